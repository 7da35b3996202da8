//! Blurring in place: pixels exchange paint with their neighbours, near ones first and then ever farther ones, along rows and along
//! columns. Steps of 1, 2, 4 … pixels with a quarter of the paint each make up a triangle without gaps at any width, so that no
//! bands show; the last step is as strong as the width needs it.
//!
//! Two pixels exchange as much as the weaker cover of the two lets them, so what one gives the other takes: over the canvas no paint gains or
//! loses but by rounding, and a covered canvas stays covered.

use super::super::pair_sums::PairSums;
use crate::amount::FULL;
use crate::mask::{CanvasSize, Mask, MaskTile};
use crate::paints::PaintLut;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_PIXELS, TILE_SIDE, TilePos};

/// Farthest that paint is carried along a row or a column, all steps together: less than a tile.
const MOST_STEPS: u32 = 7;
/// The largest radius that these steps reach, pixels.
const LARGEST_RADIUS_PX: f32 = 104.0;
const SIDE: usize = TILE_SIDE as usize;

/// One exchange with the pixels so far away on both sides.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Step {
    distance: usize,
    /// Part of a quarter, 0-65535.
    strength: u64,
}

/// The steps whose blur has the standard deviation of an even disc of this radius along each axis, half the radius: steps of a quarter at a
/// distance d add d²/2 to the variance.
#[expect(clippy::cast_possible_truncation, reason = "a part of 65535")]
fn steps(radius_px: f32) -> Vec<Step> {
    let mut wanted = f64::from(radius_px.clamp(1.0, LARGEST_RADIUS_PX) / 2.0).powi(2);
    let mut steps = Vec::new();
    for i in 0..MOST_STEPS {
        let distance = 1 << i;
        let whole = (distance * distance) as f64 / 2.0;
        let part = (wanted / whole).min(1.0);
        steps.push(Step { distance, strength: (part * f64::from(FULL)) as u64 });
        wanted -= whole;
        if wanted <= 0.0 {
            break;
        }
    }
    steps
}

/// The way an exchange goes.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Axis {
    Row,
    Column,
}

impl Axis {
    /// The tiles before and after.
    fn beside(self, pos: TilePos) -> [Option<TilePos>; 2] {
        let TilePos { column, row } = pos;
        match self {
            Axis::Row => [column.checked_sub(1), column.checked_add(1)].map(|c| Some(TilePos { column: c?, row })),
            Axis::Column => [row.checked_sub(1), row.checked_add(1)].map(|r| Some(TilePos { column, row: r? })),
        }
    }

    /// Place along the axis, and how far an index moves for one pixel along it.
    fn place(self, index: usize) -> (usize, usize) {
        match self {
            Axis::Row => (index % SIDE, 1),
            Axis::Column => (index / SIDE, SIDE),
        }
    }
}

/// Tiles in the making, each with its planes.
pub type Tiles = BTreeMap<TilePos, Vec<Plane>>;

/// A tile with its cover.
#[derive(Clone, Copy)]
struct Covered<'a> {
    planes: &'a [Plane],
    mask: &'a MaskTile,
}

impl<'a> Covered<'a> {
    fn of(tiles: &'a Tiles, mask: &'a Mask, pos: TilePos) -> Option<Self> {
        Some(Covered { planes: tiles.get(&pos).map_or(&[], |p| p), mask: mask.tiles.get(&pos)? })
    }

    fn same(&self, index: usize, other: &Covered<'_>, at: usize) -> bool {
        let word = |planes: &[Plane], k: usize, i: usize| planes.get(k).map_or(0, |plane| plane[i]);
        (0..self.planes.len().max(other.planes.len())).all(|k| word(self.planes, k, index) == word(other.planes, k, at))
    }
}

/// One exchange of every pixel of a tile; none where nothing changes.
fn exchanged(
    tiles: &Tiles,
    mask: &Mask,
    pos: TilePos,
    step: Step,
    axis: Axis,
    paints: &PaintLut,
) -> Option<Vec<Plane>> {
    let here = Covered::of(tiles, mask, pos)?;
    let [before, after] = axis.beside(pos).map(|pos| Covered::of(tiles, mask, pos?));
    let whole = 4 * u64::from(FULL) * u64::from(FULL);
    let mut made: Option<Vec<Plane>> = None;
    let mut sums = PairSums::default();
    for i in 0..TILE_PIXELS {
        let cover = u64::from(here.mask.at(i));
        if cover == 0 {
            continue;
        }
        let (place, stride) = axis.place(i);
        let back = if place >= step.distance {
            Some((here, i - step.distance * stride))
        } else {
            before.map(|tile| (tile, i + SIDE * stride - step.distance * stride))
        };
        let on = if place + step.distance < SIDE {
            Some((here, i + step.distance * stride))
        } else {
            after.map(|tile| (tile, i + step.distance * stride - SIDE * stride))
        };
        let partners = [back, on].map(|other| other.filter(|(tile, at)| tile.mask.at(*at) > 0));
        // In a mass nothing changes.
        if partners.iter().flatten().all(|(tile, at)| here.same(i, tile, *at)) {
            continue;
        }
        sums.clear();
        let mut kept = whole;
        for (tile, at) in partners.into_iter().flatten() {
            let weight = cover.min(tile.mask.at(at).into()) * step.strength;
            kept -= weight;
            for pair in tile.planes.iter().map(|plane| plane[at]).take_while(|&pair| pair != 0) {
                sums.add(pair, weight);
            }
        }
        for pair in here.planes.iter().map(|plane| plane[i]).take_while(|&pair| pair != 0) {
            sums.add(pair, kept);
        }
        let planes = made.get_or_insert_with(|| here.planes.to_vec());
        let pixel = sums.pixel(whole, paints);
        while planes.len() < MAX_PLANES && pixel.get(planes.len()).is_some_and(|&pair| pair != 0) {
            planes.push(Plane::even(0));
        }
        for (plane, pair) in planes.iter_mut().zip(pixel) {
            if plane[i] != pair {
                plane[i] = pair;
            }
        }
    }
    made
}

/// Blurs `tiles` through a mask, those around them too as far as `wanted` ones depend on them; `tiles` holds all of both.
pub fn blur(tiles: &mut Tiles, mask: &Mask, wanted: &BTreeSet<TilePos>, radius_px: f32, paints: &PaintLut) {
    let places: Vec<TilePos> = tiles.keys().copied().filter(|pos| mask.tiles.contains_key(pos)).collect();
    if places.iter().all(|pos| !wanted.contains(pos)) {
        return;
    }
    for step in steps(radius_px) {
        for axis in [Axis::Row, Axis::Column] {
            let now = &*tiles;
            let next: Vec<_> = places
                .par_iter()
                .filter_map(|&pos| Some((pos, exchanged(now, mask, pos, step, axis, paints)?)))
                .collect();
            tiles.extend(next);
        }
    }
}

/// Whether a place lies on the canvas that a mask was made for.
pub fn is_on(size: CanvasSize, pos: TilePos) -> bool {
    pos.column < size.columns() && pos.row < size.rows()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::pixel::amount_of;

    /// What a single full pixel in the middle becomes along its row, parts of the whole, summed over columns.
    fn spread(radius_px: f32) -> Vec<f64> {
        let size = CanvasSize { width: 384, height: 384 };
        let mut mask = Mask::new(size);
        mask.tiles.extend(size.tiles().map(|pos| (pos, MaskTile::Even(u16::MAX))));
        let mut tiles = Tiles::new();
        // A bar of paint 1 one pixel wide on paint 2, so that nothing is lost to rounding.
        let one = |pos: TilePos| {
            vec![Plane::from_fn(|i| if pos.column == 1 && i % 128 == 64 { 1 << 16 | 65535 } else { 2 << 16 | 65535 })]
        };
        tiles.extend(size.tiles().map(|pos| (pos, one(pos))));
        blur(&mut tiles, &mask, &size.tiles().collect(), radius_px, &PaintLut::for_tests(4, |_| false));
        (0..384_usize)
            .map(|x| {
                let planes = &tiles[&TilePos { column: (x / 128) as u16, row: 1 }];
                let pairs = planes.iter().map(|p| p[64 * 128 + x % 128]);
                pairs.filter(|pair| pair >> 16 == 1).map(|pair| f64::from(amount_of(pair)) / 65535.0).sum()
            })
            .collect()
    }

    /// At any radius a line becomes one hill: it falls to both sides without a gap or a second top, and is as wide as a disc of the radius.
    #[test]
    fn no_bands_at_any_radius() {
        for radius_px in [1.0, 3.0, 8.0, 12.5, 20.0, 37.0, 60.0, 90.0, 104.0] {
            let line = spread(radius_px);
            let sum: f64 = line.iter().sum();
            assert!((sum - 1.0).abs() < 0.01, "{radius_px}: {sum}");
            for i in 193..384 {
                // Each amount is rounded fourteen times, to 1/65535.
                assert!(line[i] <= line[i - 1] + 2.5e-4, "{radius_px} px: {} after {} at {i}", line[i], line[i - 1]);
            }
            let variance: f64 = line.iter().enumerate().map(|(i, v)| v * (i as f64 - 192.0).powi(2)).sum::<f64>() / sum;
            let wanted = f64::from(radius_px) / 2.0;
            assert!(
                (variance.sqrt() / wanted - 1.0).abs() < 0.06,
                "{radius_px} px: {} wanted {wanted}",
                variance.sqrt()
            );
        }
    }

    #[test]
    fn steps_grow_until_the_width_is_reached() {
        let distances = |radius_px| steps(radius_px).iter().map(|s| s.distance).collect::<Vec<_>>();
        assert_eq!(distances(1.0), [1]);
        assert_eq!(distances(8.0), [1, 2, 4, 8]);
        let all: usize = distances(LARGEST_RADIUS_PX).iter().sum();
        assert!(all < SIDE, "{all}");
    }
}
