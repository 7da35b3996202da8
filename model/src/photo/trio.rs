//! Shadow, local and light of an outlined surface.

use super::cluster::kmeans;
use super::region::{Outline, RegionError, Span};
use super::view::View;
use crate::colour::{Colour, Oklab};
use crate::random::SplitMix64;
use std::ops::Range;

/// Fewest opaque pixels a surface must have.
pub const MIN_REGION_PX: usize = 12;
/// Least step in OKLab lightness between shadow, local and light; in greys about six of CIE L*, a little over half a
/// Munsell value. Common practice, no published source: three values that can be told apart at a glance.
pub const MIN_STEP_L: f32 = 0.06;
/// Darkest OKLab lightness proposed: for a grey, CIE L* 10. Boards have no black (common practice, no published
/// source).
pub const MIN_L: f32 = 0.22;
/// Lightest OKLab lightness proposed: for a grey, CIE L* 94. Boards have no white (common practice, no published
/// source).
pub const MAX_L: f32 = 0.95;

/// Most pixels that are looked at; a larger surface is sampled.
const MAX_SAMPLES: usize = 40_000;
/// Share of a surface's pixels dropped at its dark and at its light end: specks, gaps, glints.
const TRIM_SHARE: f32 = 0.02;
/// Above this OKLab lightness a pixel says more about the sensor's limit than about the surface.
const BLOWN_L: f32 = 0.985;
/// Colours a surface is first gathered into.
const TONES: usize = 6;
/// Share of a surface below which such a colour is a stray: a sticker, a passing reflection.
const STRAY_SHARE: f32 = 0.02;
const RESTARTS: usize = 4;
const SEED: u64 = 0x5354_494E_5400_0001;

/// One of the three.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Tone {
    /// Its colour.
    pub colour: Colour,
    /// A pixel of the surface whose colour comes nearest to what was found (column, row), to mark on the photo.
    pub at_px: [u32; 2],
    /// Share of the surface's kept pixels that this tone stands for, 0-1; 0 for one that the photo did not show.
    pub share: f32,
}

/// A proposal for one surface, darkest first.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Trio {
    /// Where the main light does not reach.
    pub shadow: Tone,
    /// The surface's own colour.
    pub local: Tone,
    /// The surface in the main light.
    pub light: Tone,
    /// Whether the surface was too even to tell the three apart, so that shadow or light was stepped off the local by
    /// [`MIN_STEP_L`] at the same OKLab a and b. The photo did not show that value.
    pub stepped: bool,
}

/// Proposes shadow, local and light for the surface inside an outline.
///
/// 1. At most 40 000 of its opaque pixels are looked at, spread evenly.
/// 2. The darkest and lightest 2 % by OKLab lightness and anything blown out are dropped (unless that is most of it).
/// 3. The rest is gathered into six colours (k-means in OKLab); colours with under 2 % of the pixels are dropped.
/// 4. Ordered by lightness, they are cut into three runs with the least spread of lightness inside the runs (weighted
///    by pixels); the most frequent colour of each run stands for it. No colour is averaged across runs.
/// 5. Values are kept between [`MIN_L`] and [`MAX_L`] and [`MIN_STEP_L`] apart; see [`Trio::stepped`].
///
/// The same photo and outline give the same bits. Errors: the outline holds fewer than [`MIN_REGION_PX`] opaque pixels.
pub fn trio(view: &View<'_>, outline: &Outline) -> Result<Trio, RegionError> {
    let photo = view.photo();
    let positions = spread(&outline.spans(photo.width_px(), photo.height_px()));
    let seen = view.at(&positions);
    let samples: Vec<PlacedColour> = positions
        .iter()
        .zip(seen)
        .filter(|(_, (_, alpha))| *alpha >= 0.5)
        .map(|(&at_px, (colour, _))| PlacedColour { lab: colour.oklab(), at_px })
        .collect();
    let too_small = RegionError::TooSmall { pixels: samples.len(), needed: MIN_REGION_PX };
    if samples.len() < MIN_REGION_PX {
        return Err(too_small);
    }
    from_samples(&samples).ok_or(too_small)
}

/// One pixel of a surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct PlacedColour {
    /// Its colour, as seen.
    pub lab: Oklab,
    /// Where it lies, in upright photo pixels.
    pub at_px: [u32; 2],
}

/// Pixels of the spans, at most about [`MAX_SAMPLES`]: every n-th of a row, each row started at another place, so that
/// no pattern of the surface can hide between the samples.
fn spread(spans: &[Span]) -> Vec<[u32; 2]> {
    let total: usize = spans.iter().map(|s| (s.to_x - s.from_x) as usize).sum();
    let step = total.div_ceil(MAX_SAMPLES).max(1);
    #[expect(clippy::cast_possible_truncation, reason = "below the step, which is a usize")]
    let start = |y: u32| (SplitMix64(u64::from(y)).next_u64() % step as u64) as usize;
    spans.iter().flat_map(|s| (s.from_x..s.to_x).skip(start(s.y)).step_by(step).map(|x| [x, s.y])).collect()
}

/// The trio of these pixels, or `None` when there are none.
pub(super) fn from_samples(samples: &[PlacedColour]) -> Option<Trio> {
    let kept = trimmed(samples);
    let labs: Vec<Oklab> = kept.iter().map(|s| s.lab).collect();
    let found = kmeans(&labs, TONES, RESTARTS, SEED);
    let total = labs.len() as f32;
    let share = |c: usize| found.sizes[c] as f32 / total;
    let mut tones: Vec<usize> = (0..found.centres.len()).filter(|&c| share(c) >= STRAY_SHARE).collect();
    tones.sort_by(|&a, &b| found.centres[a].l.total_cmp(&found.centres[b].l));
    let runs = runs_of(&tones.iter().map(|&c| (found.centres[c].l, share(c))).collect::<Vec<_>>());
    let tone = |run: &[usize]| {
        let &chief = run.iter().max_by(|&&a, &&b| found.sizes[a].cmp(&found.sizes[b]).then(b.cmp(&a)))?;
        let lab = found.centres[chief];
        let apart =
            |s: &PlacedColour| (s.lab.l - lab.l).powi(2) + (s.lab.a - lab.a).powi(2) + (s.lab.b - lab.b).powi(2);
        let at_px = kept.iter().min_by(|a, b| apart(a).total_cmp(&apart(b)))?.at_px;
        Some((lab, at_px, run.iter().map(|&c| share(c)).sum::<f32>()))
    };
    let parts: Vec<_> = runs.into_iter().filter_map(|run| tone(&tones[run])).collect();
    // A missing run means that the surface is even. Its neighbour's colour then stands in, with no pixels of its own,
    // and the steps below part the two.
    let none = |(lab, at_px, _): (Oklab, [u32; 2], f32)| (lab, at_px, 0.0);
    let (dark, middle, bright) = match *parts.as_slice() {
        [one] => (none(one), one, none(one)),
        [dark, bright] if dark.2 > bright.2 => (none(dark), dark, bright),
        [dark, bright] => (dark, bright, none(bright)),
        [dark, middle, bright] => (dark, middle, bright),
        _ => return None,
    };
    let local_l = middle.0.l.clamp(MIN_L + MIN_STEP_L, MAX_L - MIN_STEP_L);
    let shadow_l = dark.0.l.clamp(MIN_L, local_l - MIN_STEP_L);
    let light_l = bright.0.l.clamp(local_l + MIN_STEP_L, MAX_L);
    let stepped = middle.0.l - dark.0.l < MIN_STEP_L || bright.0.l - middle.0.l < MIN_STEP_L;
    let with_l = |(lab, at_px, share): (Oklab, [u32; 2], f32), l: f32| Tone {
        colour: Oklab { l, ..lab }.colour(),
        at_px,
        share,
    };
    Some(Trio {
        shadow: with_l(dark, shadow_l),
        local: with_l(middle, local_l),
        light: with_l(bright, light_l),
        stepped,
    })
}

/// The samples without the ends of their range of values. Where most of a surface is blown out, that is its colour.
fn trimmed(samples: &[PlacedColour]) -> Vec<PlacedColour> {
    let mut values: Vec<f32> = samples.iter().map(|s| s.lab.l).collect();
    values.sort_by(f32::total_cmp);
    #[expect(clippy::cast_possible_truncation, reason = "a share of a count")]
    let cut = (values.len() as f32 * TRIM_SHARE) as usize;
    let Some((&darkest, &lightest)) = values.get(cut).zip(values.get(values.len() - 1 - cut)) else {
        return Vec::new();
    };
    let inside: Vec<PlacedColour> =
        samples.iter().filter(|s| (darkest..=lightest).contains(&s.lab.l)).copied().collect();
    let sound: Vec<PlacedColour> = inside.iter().filter(|s| s.lab.l < BLOWN_L).copied().collect();
    if 2 * sound.len() >= inside.len() { sound } else { inside }
}

/// Cuts tones (lightness, weight), ordered by lightness, into three runs with the least weighted spread of lightness;
/// three or fewer stay on their own.
fn runs_of(tones: &[(f32, f32)]) -> Vec<Range<usize>> {
    let n = tones.len();
    if n <= 3 {
        return (0..n).map(|i| i..i + 1).collect();
    }
    let spread = |run: Range<usize>| {
        let weight: f32 = tones[run.clone()].iter().map(|t| t.1).sum();
        let mean = tones[run.clone()].iter().map(|t| t.0 * t.1).sum::<f32>() / weight;
        tones[run].iter().map(|t| t.1 * (t.0 - mean).powi(2)).sum::<f32>()
    };
    let mut best = (f32::INFINITY, 1, 2);
    for first in 1..n - 1 {
        for second in first + 1..n {
            let total = spread(0..first) + spread(first..second) + spread(second..n);
            if total < best.0 {
                best = (total, first, second);
            }
        }
    }
    vec![0..best.1, best.1..best.2, best.2..n]
}

#[cfg(test)]
#[path = "trio_tests.rs"]
mod tests;
