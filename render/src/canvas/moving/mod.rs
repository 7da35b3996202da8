//! Moving, scaling and turning the paint of one pass that lies inside an outline.
//!
//! What is moved is paint. It is taken up with the share of each pixel that lies inside, to the unit, read anew where it goes ([`sample`]), and
//! put beside what is there as far as there is room, else in its place. So a move by whole pixels keeps every unit of what is moved. All of this
//! runs on the CPU for every engine, as softening does, and gives equal bits everywhere.

mod placement;
mod sample;
#[cfg(test)]
mod tests;

pub use placement::{Placement, PlacementFault, SCALES};

use super::Canvas;
use super::pair_sums::PairSums;
use super::units::put;
use super::worked::WorkedTiles;
use crate::amount::FULL;
use crate::engine::EngineError;
use crate::mask::mass::MassError;
use crate::mask::protect::inside_outline;
use crate::mask::{CanvasSize, MaskTile};
use crate::paints::PaintLut;
use crate::pixel::{Pixel, amount_of};
use placement::Back;
use rayon::prelude::*;
use sample::{Sampler, Taken};
use std::collections::BTreeSet;
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_PIXELS, TILE_SIDE, TileKey, TilePixels, TilePos};

/// Paint that is being moved.
#[derive(Debug)]
pub struct MovedPaint {
    pass: PassId,
    taken: Taken,
    /// Tiles of the pass without what was taken up; others as they are, once something comes to them.
    left: WorkedTiles,
    /// Left, top, right and bottom of the outline, canvas pixels.
    bounds: [f64; 4],
    pivot: [f64; 2],
    /// Tiles that show otherwise than the pass has them.
    shown: BTreeSet<TilePos>,
}

impl MovedPaint {
    /// Left, top, right and bottom of the outline that it was taken from, canvas pixels.
    pub fn bounds(&self) -> [f64; 4] {
        self.bounds
    }

    /// The point about which it is scaled and turned: the middle of the outline, to a whole pixel, so that a quarter turn brings pixels onto
    /// pixels.
    pub fn pivot(&self) -> [f64; 2] {
        self.pivot
    }

    /// Tiles that show otherwise than the pass has them.
    pub fn shown(&self) -> &BTreeSet<TilePos> {
        &self.shown
    }

    /// The tiles that a placement brings paint to.
    fn reached(&self, placement: &Placement, size: CanvasSize) -> BTreeSet<TilePos> {
        let [left, top, right, bottom] = self.bounds;
        let corners = [[left, top], [right, top], [right, bottom], [left, bottom]];
        let around = corners.map(|corner| placement.placed(self.pivot, corner));
        // A pixel more, for what lies between pixels.
        let low = |k: usize| around.iter().map(|c| c[k]).fold(f64::INFINITY, f64::min) - 2.0;
        let high = |k: usize| around.iter().map(|c| c[k]).fold(f64::NEG_INFINITY, f64::max) + 2.0;
        let back = Back::new(placement, self.pivot);
        let side = f64::from(TILE_SIDE);
        let meets = |pos: &TilePos| {
            let (x, y) = (f64::from(pos.column) * side, f64::from(pos.row) * side);
            if x > high(0) || x + side < low(0) || y > high(1) || y + side < low(1) {
                return false;
            }
            // Turned, a tile may lie in a corner that only the box around it covers.
            let from = [[x, y], [x + side, y], [x + side, y + side], [x, y + side]].map(|[x, y]| back.source(x, y));
            let apart = |k: usize, low: f64, high: f64| {
                from.iter().all(|p| p[k] < low - 2.0) || from.iter().all(|p| p[k] > high + 2.0)
            };
            !apart(0, left, right) && !apart(1, top, bottom)
        };
        size.tiles().filter(meets).collect()
    }
}

/// Splits a pixel: what lies inside by `cover` of 65535, and what is left of it.
fn split_pixel(pixel: Pixel, cover: u16, sums: &mut PairSums, paints: &PaintLut) -> (Pixel, Pixel) {
    match cover {
        0 => ([0; MAX_PLANES], pixel),
        u16::MAX => (pixel, [0; MAX_PLANES]),
        _ => {
            sums.clear();
            for &pair in pixel.iter().take_while(|pair| **pair != 0) {
                sums.add(pair, cover.into());
            }
            let taken = sums.pixel(FULL.into(), paints);
            let mut left = [0; MAX_PLANES];
            let mut count = 0;
            for &pair in pixel.iter().take_while(|pair| **pair != 0) {
                let gone = taken.iter().find(|other| *other >> 16 == pair >> 16).map_or(0, |other| amount_of(*other));
                let kept = pair - gone.min(amount_of(pair));
                if amount_of(kept) > 0 {
                    left[count] = kept;
                    count += 1;
                }
            }
            (taken, left)
        }
    }
}

/// Puts what comes to a pixel beside what is there; what there is no room for gives way, in proportion.
fn joined(there: Pixel, comes: Pixel, sums: &mut PairSums, paints: &PaintLut) -> Pixel {
    let total = |pixel: &Pixel| pixel.iter().map(|pair| amount_of(*pair)).sum::<u32>();
    let (held, more) = (total(&there), total(&comes));
    let room = FULL.saturating_sub(more);
    let mut pixel = there;
    if held > room {
        sums.clear();
        for &pair in there.iter().take_while(|pair| **pair != 0) {
            sums.add(pair, room.into());
        }
        pixel = sums.pixel(held.into(), paints);
    }
    for &pair in comes.iter().take_while(|pair| **pair != 0) {
        put(&mut pixel, pair, paints);
    }
    pixel
}

fn pixel_of(planes: &[Plane], index: usize) -> Pixel {
    let mut pixel = [0; MAX_PLANES];
    for (pair, plane) in pixel.iter_mut().zip(planes) {
        *pair = plane[index];
    }
    pixel
}

fn set_pixel(planes: &mut Vec<Plane>, index: usize, pixel: &Pixel) {
    let used = pixel.iter().take_while(|&&pair| pair != 0).count();
    while planes.len() < used {
        planes.push(Plane::even(0));
    }
    for (plane, &pair) in planes.iter_mut().zip(pixel) {
        if plane[index] != pair {
            plane[index] = pair;
        }
    }
}

/// What of a tile lies inside, and what is left of it.
fn take_up(planes: &[Plane], inside: &MaskTile, paints: &PaintLut) -> (Vec<Plane>, Vec<Plane>) {
    if *inside == MaskTile::Even(u16::MAX) {
        return (planes.to_vec(), Vec::new());
    }
    let (mut taken, mut left) = (Vec::new(), planes.to_vec());
    let mut sums = PairSums::default();
    for index in (0..TILE_PIXELS).filter(|index| inside.at(*index) > 0) {
        let pixel = pixel_of(planes, index);
        if pixel[0] != 0 {
            let (up, rest) = split_pixel(pixel, inside.at(index), &mut sums, paints);
            set_pixel(&mut taken, index, &up);
            set_pixel(&mut left, index, &rest);
        }
    }
    (taken, left)
}

impl Canvas {
    /// Takes up what lies inside a closed outline on a pass; nothing where there is no paint. The canvas shows no difference yet.
    ///
    /// # Errors
    /// When the outline cannot be, or the engine fails.
    pub fn take_up(&mut self, pass: PassId, outline: &[[f32; 2]]) -> Result<Option<MovedPaint>, MoveError> {
        self.engine_with_paints()?;
        let inside = inside_outline(self.size, outline)?;
        self.know(inside.tiles.keys().copied())?;
        let here = |pos: &&TilePos| self.tiles.contains_key(&TileKey { pass, pos: **pos });
        let wanted: BTreeSet<TilePos> = inside.tiles.keys().filter(here).copied().collect();
        let mut left = WorkedTiles::default();
        self.take_in(pass, &wanted, &mut left)?;
        let paints = &self.paints;
        let split: Vec<_> = wanted
            .par_iter()
            .filter_map(|pos| Some((*pos, take_up(left.planes(*pos)?, inside.tiles.get(pos)?, paints))))
            .collect();
        let mut taken = Taken::new();
        for (pos, (up, rest)) in split {
            if !up.is_empty() {
                taken.insert(pos, up);
                left.put(pos, rest);
            }
        }
        if taken.is_empty() {
            return Ok(None);
        }
        let side =
            |k: usize, end: f64, far: fn(f64, f64) -> f64| outline.iter().map(|p| f64::from(p[k])).fold(end, far);
        let (low, high) = (f64::INFINITY, f64::NEG_INFINITY);
        let bounds = [side(0, low, f64::min), side(1, low, f64::min), side(0, high, f64::max), side(1, high, f64::max)];
        let pivot = [0, 1].map(|k| f64::midpoint(bounds[k], bounds[k + 2]).round());
        Ok(Some(MovedPaint { pass, taken, left, bounds, pivot, shown: BTreeSet::new() }))
    }

    /// Shows what was taken up at another place, in the way of a stroke in the making: [`Canvas::lift`] or [`Canvas::cancel`] ends it. Tells
    /// the tiles that look different now.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn preview_moved(
        &mut self,
        moved: &mut MovedPaint,
        placement: &Placement,
    ) -> Result<BTreeSet<TilePos>, EngineError> {
        self.engine_with_paints()?;
        let pass = moved.pass;
        if placement.is_rest() {
            let shown = std::mem::take(&mut moved.shown);
            self.show_worked(pass, &shown, |_| None)?;
            return Ok(shown);
        }
        let reached = moved.reached(placement, self.size);
        self.take_in(pass, &reached, &mut moved.left)?;
        let changed: BTreeSet<TilePos> = moved.taken.keys().chain(&reached).copied().collect();
        let (size, paints, moved_now) = (self.size, &self.paints, &*moved);
        let placed = |pos: &TilePos| -> (TilePos, Option<Arc<TilePixels>>) {
            let planes = moved_now.left.planes(*pos).unwrap_or(&[]);
            let made =
                if reached.contains(pos) { place(moved_now, placement, *pos, planes, (size, paints)) } else { None };
            let is_left = moved_now.taken.contains_key(pos);
            (*pos, made.or_else(|| is_left.then(|| planes.to_vec())).map(|planes| Arc::new(TilePixels::new(planes))))
        };
        let tiles: std::collections::BTreeMap<_, _> = changed.par_iter().map(placed).collect();
        let shown: BTreeSet<TilePos> = tiles.iter().filter(|(_, tile)| tile.is_some()).map(|(pos, _)| *pos).collect();
        let touched: BTreeSet<TilePos> = shown.union(&moved.shown).copied().collect();
        self.show_worked(pass, &touched, |pos| tiles.get(&pos).cloned().flatten())?;
        moved.shown = shown;
        Ok(touched)
    }
}

/// A tile with what comes to it; none where nothing does.
fn place(
    moved: &MovedPaint,
    placement: &Placement,
    pos: TilePos,
    planes: &[Plane],
    (size, paints): (CanvasSize, &PaintLut),
) -> Option<Vec<Plane>> {
    let (width, height) = size.tile_extent(pos);
    let (left, top) = (u32::from(pos.column) * TILE_SIDE, u32::from(pos.row) * TILE_SIDE);
    let mut sampler = Sampler::new(&moved.taken, placement, moved.pivot, paints);
    let mut sums = PairSums::default();
    let mut made: Option<Vec<Plane>> = None;
    for y in 0..height {
        for x in 0..width {
            let comes = sampler.at(left + x, top + y);
            if comes[0] == 0 {
                continue;
            }
            let index = (y * TILE_SIDE + x) as usize;
            let made = made.get_or_insert_with(|| planes.to_vec());
            let there = pixel_of(made, index);
            let pixel = joined(there, comes, &mut sums, paints);
            set_pixel(made, index, &pixel);
        }
    }
    made
}

/// Why paint cannot be taken up.
#[derive(Debug, thiserror::Error)]
pub enum MoveError {
    /// The outline cannot be filled.
    #[error(transparent)]
    Outline(#[from] MassError),
    /// The engine failed.
    #[error(transparent)]
    Engine(#[from] EngineError),
}
