//! Which flat areas of a picture are patches of a sheet, and what colour each has.

use super::SwatchSheetError;
use super::raster::{Flat, Flatness, Outline, Raster, apart};
use crate::colour::{Colour, Oklab};
use crate::photo::reduce::Reduced;
use rayon::prelude::*;

/// A flat cell in a picture stored without loss.
const FLAT: Flatness = Flatness { reach: 1, tolerance: 0.004 };
/// A flat cell in one with the noise of lossy storage, after that has been smoothed: about three codes of a middle grey. The
/// edge of a patch is softer there, so it is looked for farther away.
const FLAT_NOISY: Flatness = Flatness { reach: 2, tolerance: 0.012 };
/// A picture is noisy when more than this share of its neighbouring cells differ, by less than [`NOISE_OKLAB`] in OKLab.
const NOISY_SHARE: f32 = 0.03;
const NOISE_OKLAB: f32 = 0.02;
/// Least depth and least number of cells of a patch; less is a letter or a line.
const MIN_RADIUS: u32 = 3;
const MIN_AREA: usize = 48;
/// A flat area less deep than this share of what is usual for the sheet's patches is none, nor is one of fewer cells than this
/// share.
const THIN_SHARE: f32 = 0.3;
const SMALL_SHARE: f32 = 0.1;
/// An area whose mean colour is nearer than this to that of the ground, in OKLab, is ground.
const SAME_OKLAB: f32 = 0.008;
/// What reaches along this share of the picture's edge is its ground.
const GROUND_EDGE_SHARE: f32 = 0.4;
/// An area whose holes hold patches that fill this share of it is what they lie on.
const CARD_SHARE: f32 = 0.08;
/// A patch has a border at most this many times that of the rectangle around it, and fills this share of the rectangle.
const MAX_BORDER_FACTOR: f32 = 1.5;
const MIN_FILL_SHARE: f32 = 0.45;
/// A patch varies by less than this, root mean square in OKLab.
const UNEVEN_OKLAB: f32 = 0.012;
/// A sheet is made of flat areas to this share at least, and its patches are more than what is flat but no patch by this
/// factor.
const MIN_FLAT_SHARE: f32 = 0.45;
const MIN_PATCH_FACTOR: f32 = 2.0;
/// Fewest and most patches of a sheet.
const MIN_PATCHES: usize = 2;
const MAX_PATCHES: usize = 256;
/// A patch is measured where it is at least this share of its greatest depth deep, and there by this share of its cells,
/// those nearest to its middle colour.
const INNER_DEPTH_SHARE: f32 = 0.5;
const KEPT_SHARE: f32 = 0.8;

/// One patch.
#[derive(Clone, Copy, Debug)]
pub(super) struct Patch {
    pub colour: Colour,
    /// First and last column and row, cells.
    pub from: [usize; 2],
    pub to: [usize; 2],
}

/// The patches of a sheet, in no order that means anything.
pub(super) fn patches(reduced: &Reduced) -> Result<Vec<Patch>, SwatchSheetError> {
    let labs: Vec<_> = reduced.colours.iter().map(|c| c.oklab()).collect();
    let opaque: Vec<bool> = reduced.alpha.iter().map(|a| *a >= 0.5).collect();
    let (width, height) = (reduced.width, reduced.height);
    let noisy = is_noisy(&labs, width);
    let (labs, flatness) = if noisy { (smoothed(&labs, width), FLAT_NOISY) } else { (labs, FLAT) };
    let (raster, areas) = Raster::new(width, height, labs, &opaque, flatness);

    let seen = opaque.iter().filter(|o| **o).count().max(1);
    let thick: Vec<Flat> = areas.into_iter().filter(|a| a.radius >= MIN_RADIUS && a.area >= MIN_AREA).collect();
    let flat_share = thick.iter().map(|a| a.area).sum::<usize>() as f32 / seen as f32;
    let ground = ground(&raster, &thick);
    let above: Vec<Flat> =
        thick.into_iter().filter(|a| ground.is_none_or(|g| apart(a.lab, g.lab) >= SAME_OKLAB)).collect();
    let shapes: Vec<(Flat, Outline)> = above.iter().map(|a| (*a, raster.outline(a))).collect();
    let cards: Vec<Flat> = shapes.iter().filter(|s| is_card(s, &shapes)).map(|s| s.0).collect();
    let on_cards: Vec<(Flat, Outline)> =
        shapes.into_iter().filter(|(a, _)| cards.iter().all(|c| apart(a.lab, c.lab) >= SAME_OKLAB)).collect();
    let (tidy, other): (Vec<_>, Vec<_>) = on_cards.into_iter().partition(|(a, outline)| is_tidy(a, outline));

    let tidy: Vec<Flat> = tidy.into_iter().map(|(a, _)| a).collect();
    let [usual_radius, usual_area] = [usual(&tidy, |a| a.radius as f32), usual(&tidy, |a| a.area as f32)];
    let is_large = |a: &Flat| a.radius as f32 >= THIN_SHARE * usual_radius && a.area as f32 >= SMALL_SHARE * usual_area;
    let tidy: Vec<Flat> = tidy.into_iter().filter(is_large).collect();
    let cells = |areas: &[Flat]| areas.iter().map(|a| a.area).sum::<usize>() as f32;
    let untidy: f32 = other.iter().map(|(a, _)| a.area as f32).sum();
    if flat_share < MIN_FLAT_SHARE || cells(&tidy) < MIN_PATCH_FACTOR * untidy {
        return Err(SwatchSheetError::APhoto);
    }
    if tidy.len() < MIN_PATCHES {
        return Err(SwatchSheetError::NoPatches { found: tidy.len() });
    }
    if tidy.len() > MAX_PATCHES {
        return Err(SwatchSheetError::TooMany { found: tidy.len(), most: MAX_PATCHES });
    }
    Ok(tidy.iter().map(|a| Patch { colour: measured(&raster, reduced, a), from: a.from, to: a.to }).collect())
}

/// Whether the picture carries the noise of lossy storage: small differences all over, where a drawn sheet has none.
fn is_noisy(labs: &[Oklab], width: usize) -> bool {
    let small = |(a, b): (&Oklab, &Oklab)| {
        let apart = apart(*a, *b);
        apart > 1e-4 && apart < NOISE_OKLAB
    };
    let beside = labs.chunks(width).flat_map(|row| row.iter().zip(&row[1..]));
    let below = labs.iter().zip(&labs[width.min(labs.len())..]);
    let count = beside.filter(|&p| small(p)).count() + below.filter(|&p| small(p)).count();
    count as f32 > NOISY_SHARE * 2.0 * labs.len() as f32
}

/// Means of 3 x 3 cells: the ripples that lossy storage leaves beside edges are about two cells long.
fn smoothed(labs: &[Oklab], width: usize) -> Vec<Oklab> {
    let height = labs.len() / width.max(1);
    let mean = |i: usize| {
        let (x, y) = (i % width, i / width);
        let (mut sum, mut count) = ([0.0; 3], 0.0);
        for near_y in y.saturating_sub(1)..(y + 2).min(height) {
            for near_x in x.saturating_sub(1)..(x + 2).min(width) {
                let lab = labs[near_y * width + near_x];
                sum = [sum[0] + lab.l, sum[1] + lab.a, sum[2] + lab.b];
                count += 1.0;
            }
        }
        let [l, a, b] = sum.map(|s| s / count);
        Oklab { l, a, b }
    };
    (0..labs.len()).into_par_iter().map(mean).collect()
}

/// The area that runs along most of the picture's edge.
fn ground(raster: &Raster, areas: &[Flat]) -> Option<Flat> {
    let edge = (2 * (raster.width + raster.height)) as f32;
    let widest = areas.iter().max_by_key(|a| a.on_edge)?;
    (widest.on_edge as f32 >= GROUND_EDGE_SHARE * edge).then_some(*widest)
}

/// What most of the flat cells' areas have of something: the median, each area counted by its cells.
fn usual(areas: &[Flat], what: fn(&Flat) -> f32) -> f32 {
    let mut sorted: Vec<&Flat> = areas.iter().collect();
    sorted.sort_by(|a, b| what(a).total_cmp(&what(b)));
    let half = areas.iter().map(|a| a.area).sum::<usize>() / 2;
    let mut sum = 0;
    let middle = sorted.into_iter().find(|a| {
        sum += a.area;
        sum > half
    });
    middle.map_or(0.0, what)
}

/// Whether other tidy areas lie in the holes of this one.
fn is_card((card, outline): &(Flat, Outline), all: &[(Flat, Outline)]) -> bool {
    let filled = outline.area();
    let inside = all.iter().filter(|(a, shape)| {
        let middle = [0, 1].map(|axis| usize::midpoint(a.from[axis], a.to[axis]));
        let within = (0..2).all(|axis| a.from[axis] > card.from[axis] && a.to[axis] < card.to[axis]);
        a.label != card.label && within && outline.holds(middle[0], middle[1]) && is_tidy(a, shape)
    });
    inside.map(|(a, _)| a.area).sum::<usize>() as f32 >= CARD_SHARE * filled as f32
}

fn is_tidy(area: &Flat, outline: &Outline) -> bool {
    let [width, height] = [0, 1].map(|axis| (area.to[axis] - area.from[axis] + 1) as f32);
    outline.border() as f32 <= MAX_BORDER_FACTOR * 2.0 * (width + height)
        && outline.area() as f32 >= MIN_FILL_SHARE * width * height
        && area.spread <= UNEVEN_OKLAB
}

/// The colour of a patch: the mean in linear light of its inner cells, without the fifth that lies farthest from their middle.
#[expect(
    clippy::cast_possible_truncation,
    reason = "shares of a depth and of a count, and a mean in the single precision of colours"
)]
fn measured(raster: &Raster, reduced: &Reduced, area: &Flat) -> Colour {
    let deep = (INNER_DEPTH_SHARE * area.radius as f32).ceil() as u32;
    let mut cells = Vec::new();
    for y in area.from[1]..=area.to[1] {
        let row = y * raster.width;
        cells.extend(
            (row + area.from[0]..=row + area.to[0])
                .filter(|&i| raster.labels[i] == area.label && raster.depths[i] >= deep),
        );
    }
    let middle = |part: fn(&Oklab) -> f32| {
        let mut values: Vec<f32> = cells.iter().map(|&i| part(&raster.labs[i])).collect();
        values.sort_by(f32::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or_default()
    };
    let middle = Oklab { l: middle(|c| c.l), a: middle(|c| c.a), b: middle(|c| c.b) };
    cells.sort_by(|&i, &j| apart(raster.labs[i], middle).total_cmp(&apart(raster.labs[j], middle)).then(i.cmp(&j)));
    cells.truncate(((cells.len() as f32 * KEPT_SHARE).ceil() as usize).max(1));
    let mut sum = [0.0; 3];
    for &i in &cells {
        let colour = reduced.colours[i];
        sum = [sum[0] + f64::from(colour.r), sum[1] + f64::from(colour.g), sum[2] + f64::from(colour.b)];
    }
    let [r, g, b] = sum.map(|s| (s / cells.len().max(1) as f64) as f32);
    Colour::new(r, g, b)
}
