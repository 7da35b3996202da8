//! The mixture of pigments nearest to a colour. Pigments do not mix along straight lines of colour, so no hull can be asked: a search
//! begins at a mixture that is near ([`Samples`]), moves its amounts by the Gauss-Newton method, and takes in a swatch at a time as
//! long as that brings it nearer.
//!
//! The method with its active set is that of C. L. Lawson and R. J. Hanson, "Solving Least Squares Problems" (1974), chapter 23 (from
//! memory), for amounts that must not fall below nothing, with the step of a curved problem (J. Nocedal and S. J. Wright, "Numerical
//! Optimization", section 10.3; from memory).

#![expect(
    clippy::cast_possible_truncation,
    reason = "amounts and differences in the single precision of latent points"
)]

mod samples;

use super::hull::{Corners, MOST_CORNERS};
use super::metric::{local_metric, times};
use crate::colour::difference::{ciede2000, delta_ok};
use crate::colour::matrix::{Matrix3, apply, inverse};
use crate::colour::{Colour, Lab, Oklab};
use crate::mixing::reflectance::{BAND_COLOURS, BANDS};
use crate::mixing::{LATENT, Latent, Mixing, WEIGHT};
use samples::Samples;

/// Near enough to stop, deltaEOK: far below what can be seen.
const CLOSE_OK: f32 = 3e-5;
/// The same in units of CIEDE2000.
const CLOSE_CIEDE2000: f64 = 0.003;
/// A gain below this share of the difference is none.
const LEAST_GAIN: f64 = 1e-3;
/// What a blend is given of a swatch that it does not have, to see whether that leads nearer.
const TASTE: f32 = 1e-3;
/// How many of the swatches that lead nearer are followed.
const FOLLOWED: usize = 3;
/// Swatches that are taken in at most; those that were let go may come back.
const MOST_TAKEN_IN: usize = 8;
/// Steps of the Gauss-Newton method at most, halvings of one, and what keeps a flat valley from leading far astray.
const STEPS: usize = 12;
const HALVINGS: usize = 5;
const DAMPING: f64 = 1e-9;
/// The change of a linear component that derivatives look ahead by, as a part of it, and the least one.
const PROBE: f32 = 0.01;
/// The slope of the reflectance has no bound where nothing is absorbed.
const LEAST_RATIO: f32 = 1e-6;
/// Farther from the nearest sample than this beyond what a verdict hangs on, no mixture comes near: samples lie closer.
const BEYOND_CIEDE2000: f64 = 10.0;
/// Amounts below this are none.
const NONE: f32 = 1e-7;

/// The latent points of a board's swatches, and mixtures of them.
pub(super) struct Pigments {
    latents: Vec<Latent>,
    samples: Samples,
}

/// Amounts of at most four swatches, which sum to 1, and the sum of their latent points.
#[derive(Clone, Copy)]
pub(super) struct Blend {
    count: usize,
    parts: [(usize, f32); MOST_CORNERS],
    sum: Latent,
    colour: Colour,
}

impl Blend {
    /// A swatch alone.
    pub fn of_one(latents: &[Latent], swatch: usize) -> Self {
        Blend::of(latents, [(swatch, 1.0)])
    }

    fn of(latents: &[Latent], amounts: impl IntoIterator<Item = (usize, f32)>) -> Self {
        let mut blend =
            Blend { count: 0, parts: [(0, 0.0); MOST_CORNERS], sum: [0.0; LATENT], colour: Colour::default() };
        for (place, (swatch, amount)) in blend.parts.iter_mut().zip(amounts) {
            *place = (swatch, amount);
            blend.count += 1;
            blend.sum.iter_mut().zip(&latents[swatch]).for_each(|(sum, value)| *sum += amount * value);
        }
        blend.colour = Mixing::Pigment.colour(&blend.sum);
        blend
    }

    /// What it looks like.
    pub fn colour(&self) -> Colour {
        self.colour
    }

    /// How many swatches are in it.
    pub fn len(&self) -> usize {
        self.count
    }

    /// Whether a swatch is in it.
    pub fn has(&self, swatch: usize) -> bool {
        self.parts().iter().any(|part| part.0 == swatch)
    }

    /// Whether all its swatches are in another.
    pub fn is_within(&self, other: &Blend) -> bool {
        self.parts().iter().all(|part| other.has(part.0))
    }

    /// This far (0-1) on the way to a swatch that it does not have, of which there must be three at most.
    pub fn towards(&self, latents: &[Latent], swatch: usize, far: f32) -> Self {
        let kept = self.parts().iter().map(|&(i, part)| (i, part * (1.0 - far)));
        Blend::of(latents, kept.chain([(swatch, far)]))
    }

    fn parts(&self) -> &[(usize, f32)] {
        &self.parts[..self.count]
    }
}

/// How far a colour is from what is wanted, as three numbers whose squares are summed.
trait Residual {
    fn at(&self, colour: Colour) -> [f64; 3];
}

/// In OKLab.
struct InOklab(Oklab);

impl Residual for InOklab {
    fn at(&self, colour: Colour) -> [f64; 3] {
        let here = colour.oklab();
        [here.l - self.0.l, here.a - self.0.a, here.b - self.0.b].map(f64::from)
    }
}

/// In CIELAB, stretched so that small lengths are CIEDE2000.
struct Stretched {
    wanted: Lab,
    metric: Matrix3,
}

impl Residual for Stretched {
    fn at(&self, colour: Colour) -> [f64; 3] {
        let here = colour.lab();
        times(&self.metric, [here.l - self.wanted.l, here.a - self.wanted.a, here.b - self.wanted.b])
    }
}

fn dot(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn length(a: &[f64; 3]) -> f64 {
    dot(a, a).sqrt()
}

/// How what is left to the wanted colour changes with a sum of latent points, one row for each of its three numbers: the derivative of the
/// mean, of the reflectance in each band (from its absorption ratio k: -R / sqrt(k (k + 2))) and of the residual.
fn slopes(sum: &Latent, colour: Colour, here: &[f64; 3], wanted: &impl Residual) -> [Latent; 3] {
    let mut by_colour = [[0.0; 3]; 3];
    for (k, column) in by_colour.iter_mut().enumerate() {
        let mut beside = [colour.r, colour.g, colour.b];
        let step = PROBE * (PROBE + beside[k].abs());
        beside[k] += step;
        let there = wanted.at(Colour::new(beside[0], beside[1], beside[2]));
        *column = std::array::from_fn(|i| (there[i] - here[i]) / f64::from(step));
    }
    let weight = sum[WEIGHT];
    let bands: [f32; BANDS] = std::array::from_fn(|band| {
        let ratio = (sum[WEIGHT + 1 + band] / weight).max(LEAST_RATIO);
        let root = (ratio * (ratio + 2.0)).sqrt();
        -1.0 / ((1.0 + ratio + root) * root)
    });
    std::array::from_fn(|i| {
        let mut slope = [0.0; LATENT];
        for (k, row) in BAND_COLOURS.iter().enumerate() {
            let by = by_colour[k][i] as f32 / weight;
            slope[k] = by;
            for (band, (per_ratio, reflected)) in bands.iter().zip(row).enumerate() {
                slope[WEIGHT + 1 + band] += by * per_ratio * reflected;
            }
        }
        // The mean is the sum by its weight: more weight takes off as much as all else brings.
        slope[WEIGHT] = -slope.iter().zip(sum).map(|(by, value)| by * value).sum::<f32>() / weight;
        slope
    })
}

impl Pigments {
    pub fn new(colours: impl Iterator<Item = Colour>) -> Self {
        let latents: Vec<Latent> = colours.map(|colour| Mixing::Pigment.latent(colour)).collect();
        let samples = Samples::of(&latents);
        Pigments { latents, samples }
    }

    /// The same with one colour more.
    pub fn with(&self, colour: Colour) -> Self {
        let latents: Vec<Latent> = self.latents.iter().copied().chain([Mixing::Pigment.latent(colour)]).collect();
        let samples = self.samples.with_last(&latents);
        Pigments { latents, samples }
    }

    /// A mixture with its CIEDE2000 from a colour: the first that is met within `enough` of it, and the nearest where none is. `before`
    /// is the mixture of a neighbouring colour, which may save most of the way; `within` and `far` bound the differences on which a
    /// verdict hangs. None without swatches.
    pub fn nearest(
        &self,
        colour: Colour,
        before: Corners,
        (within, far): (f64, f64),
        enough: f64,
    ) -> Option<(Colour, Corners, f64)> {
        let (oklab, lab) = (colour.oklab(), colour.lab());
        let apart = |blend: &Blend| delta_ok(blend.colour.oklab(), oklab);
        let measured = |blend: &Blend| {
            // A mixture, but for rounding.
            if apart(blend) < CLOSE_OK { 0.0 } else { ciede2000(blend.colour.lab(), lab) }
        };
        let found = |blend: &Blend, off: f64| {
            let parts = blend.parts().iter().map(|&(i, part)| (i, f64::from(part)));
            Some((blend.colour, Corners::of(parts), off))
        };
        let (sample, nearest_ok) = self.samples.nearest(oklab, None)?;
        let mut best = *sample;
        if before.iter().next().is_some() && before.iter().all(|(i, _)| i < self.latents.len()) {
            let before = Blend::of(&self.latents, before.iter().map(|(i, part)| (i, part as f32)));
            if apart(&before) < nearest_ok {
                best = before;
            }
        }
        let mut off = measured(&best);
        if off <= enough || enough > 0.0 && off > far + BEYOND_CIEDE2000 {
            return found(&best, off);
        }
        self.settle(&mut best, &InOklab(oklab), f64::from(CLOSE_OK));
        off = measured(&best);
        if off > enough.max(CLOSE_CIEDE2000) && off <= far {
            // Pigments bend space: another beginning may lead where the first does not.
            if let Some((&sample, _)) = self.samples.nearest(oklab, Some(&best)) {
                let mut next = sample;
                self.settle(&mut next, &InOklab(oklab), f64::from(CLOSE_OK));
                let next_off = measured(&next);
                if next_off < off {
                    (best, off) = (next, next_off);
                }
            }
        }
        if off <= enough || off <= within || off > far {
            return found(&best, off);
        }
        // The verdict hangs on it: once more by the measure that counts.
        let here = best.colour.lab();
        let halfway =
            Lab { l: f64::midpoint(here.l, lab.l), a: f64::midpoint(here.a, lab.a), b: f64::midpoint(here.b, lab.b) };
        let mut next = best;
        self.settle(&mut next, &Stretched { wanted: lab, metric: local_metric(halfway) }, CLOSE_CIEDE2000);
        let next_off = measured(&next);
        if next_off < off {
            (best, off) = (next, next_off);
        }
        found(&best, off)
    }

    /// Goes on until no amount and no further swatch leads nearer, or it is within `close`.
    fn settle(&self, blend: &mut Blend, wanted: &impl Residual, close: f64) {
        let mut off = self.polish(blend, wanted, close);
        for _ in 0..MOST_TAKEN_IN {
            let here = length(&off);
            if here <= close || blend.count == MOST_CORNERS {
                return;
            }
            let slopes = slopes(&blend.sum, blend.colour, &off, wanted);
            let mut leads: Vec<(f64, usize)> = (0..self.latents.len())
                .filter(|swatch| !blend.has(*swatch))
                .map(|swatch| (dot(&off, &self.change(&slopes, &blend.sum, swatch)), swatch))
                .filter(|(change, _)| *change < 0.0)
                .collect();
            leads.sort_by(|a, b| a.0.total_cmp(&b.0));
            let followed = leads.into_iter().take(FOLLOWED).map(|(_, swatch)| {
                let mut with = blend.towards(&self.latents, swatch, TASTE);
                let off = self.polish(&mut with, wanted, close);
                (length(&off), off, with)
            });
            match followed.min_by(|a, b| a.0.total_cmp(&b.0)) {
                Some((there, left, with)) if there < here * (1.0 - LEAST_GAIN) => (*blend, off) = (with, left),
                _ => return,
            }
        }
    }

    /// What is left changes like this when a sum goes towards a swatch.
    fn change(&self, slopes: &[Latent; 3], sum: &Latent, swatch: usize) -> [f64; 3] {
        let to = &self.latents[swatch];
        std::array::from_fn(|i| {
            f64::from(slopes[i].iter().zip(to.iter().zip(sum)).map(|(by, (to, from))| by * (to - from)).sum::<f32>())
        })
    }

    /// The Gauss-Newton method on the amounts of the swatches that are in a blend; those that fall to nothing leave it. Returns what is
    /// left.
    fn polish(&self, blend: &mut Blend, wanted: &impl Residual, close: f64) -> [f64; 3] {
        let mut here = wanted.at(blend.colour);
        for _ in 0..STEPS {
            if length(&here) <= close || blend.count < 2 {
                break;
            }
            // The largest part gives what the others take.
            let largest = (0..blend.count).max_by(|&a, &b| blend.parts[a].1.total_cmp(&blend.parts[b].1)).unwrap_or(0);
            blend.parts.swap(0, largest);
            let (first, first_part) = blend.parts[0];
            let others = &blend.parts[1..blend.count];
            let slopes = slopes(&blend.sum, blend.colour, &here, wanted);
            let mut changes = [[0.0; 3]; MOST_CORNERS - 1];
            for (change, &(i, _)) in changes.iter_mut().zip(others) {
                *change = self.change(&slopes, &self.latents[first], i);
            }
            let mut normal: Matrix3 = [[0.0; 3]; 3];
            for (i, row) in normal.iter_mut().enumerate() {
                for (j, value) in row.iter_mut().enumerate() {
                    // A swatch that is not there has no part in it.
                    let own = if i >= others.len() { 1.0 } else { DAMPING };
                    *value = dot(&changes[i], &changes[j]) + if i == j { own } else { 0.0 };
                }
            }
            let step = apply(&inverse(&normal), changes.map(|change| -dot(&change, &here)));
            if !step.iter().all(|amount| amount.is_finite()) {
                break;
            }
            // As far as no amount falls below nothing.
            let given: f64 = step.iter().take(others.len()).sum();
            let falls = others.iter().zip(step).map(|(p, step)| (p.1, -step)).chain([(first_part, given)]);
            let mut far =
                falls.filter(|(_, fall)| *fall > 0.0).map(|(part, fall)| f64::from(part) / fall).fold(1.0, f64::min);
            let mut nearer = None;
            for _ in 0..=HALVINGS {
                let next = self.stepped(blend, step.map(|amount| amount * far));
                let there = wanted.at(next.colour);
                if length(&there) < length(&here) {
                    nearer = Some((next, there));
                    break;
                }
                far *= 0.5;
            }
            let Some((next, there)) = nearer else { break };
            let gain = 1.0 - length(&there) / length(&here);
            (*blend, here) = (next, there);
            if gain < LEAST_GAIN {
                break;
            }
        }
        here
    }

    /// A blend with these amounts more of all parts but the first, which gives them.
    fn stepped(&self, blend: &Blend, step: [f64; MOST_CORNERS - 1]) -> Blend {
        let mut parts = blend.parts;
        for (place, amount) in (1..blend.count).zip(step) {
            parts[place].1 += amount as f32;
            parts[0].1 -= amount as f32;
        }
        let kept = || parts[..blend.count].iter().filter(|part| part.1 > NONE);
        let all: f32 = kept().map(|part| part.1).sum();
        Blend::of(&self.latents, kept().map(|&(i, part)| (i, part / all)))
    }
}
