//! Soften: smears what is there along the stroke and blurs it in place, without adding or taking paint.
//!
//! A light hand blurs, a firm one drags along: see [`smear`] and [`blur`]. What moves is paint, so the result is still board paint. All of
//! this runs on the CPU for every engine: it reaches across tiles, is used in small places, and so gives equal bits everywhere.

mod blur;
mod smear;

use super::Canvas;
use super::worked::{WorkedTiles, places_of};
use crate::engine::EngineError;
use crate::mask::{Mask, Visit, Visits};
use blur::{Tiles, blur, is_on};
use smear::Smear;
use std::collections::BTreeSet;
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::study::tile::{TilePixels, TilePos};

/// How far paint is dragged along, as a part of the brush's size.
const DRAGGED: f64 = 0.4;

/// A stroke of softening in the making.
#[derive(Clone, Debug)]
pub struct SoftenStroke {
    radius_px: f32,
    size_px: f32,
    /// Visits that were not worked off yet, because the engine failed.
    pending: Vec<Visit>,
    smear: Smear,
    /// Tiles as they were before the stroke, smeared where it is settled.
    tiles: WorkedTiles,
}

impl SoftenStroke {
    /// A brush of this size that blurs as an even disc of this radius does.
    pub fn new(radius_px: f32, size_px: f32) -> Self {
        SoftenStroke { radius_px, size_px, pending: Vec::new(), smear: Smear::default(), tiles: WorkedTiles::default() }
    }

    #[expect(clippy::cast_possible_truncation, reason = "units of the largest brush stay below 2^53")]
    fn fill(&mut self, lanes: &[u32]) {
        if self.smear.is_empty() {
            let size = f64::from(self.size_px);
            let mean = DRAGGED * size * size / lanes.len().max(1) as f64;
            // A share of 65535 is the mean, and a pixel is 65535 units.
            self.smear = Smear::new(lanes.iter().map(|&share| (mean * f64::from(share)) as u64));
        }
    }
}

/// The tile and the eight around it, as far as tiles can be counted.
fn around(pos: TilePos) -> impl Iterator<Item = TilePos> {
    (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (dx, dy))).filter_map(move |(dx, dy)| {
        let column = u16::try_from(i32::from(pos.column) + dx).ok()?;
        Some(TilePos { column, row: u16::try_from(i32::from(pos.row) + dy).ok()? })
    })
}

/// Tiles that blurring changes where the cover or the paint of some tiles has changed: paint is exchanged across their edges too.
fn reached(touched: &BTreeSet<TilePos>, mask: &Mask) -> BTreeSet<TilePos> {
    let near = touched.iter().flat_map(|&pos| around(pos)).filter(|pos| mask.tiles.contains_key(pos));
    // A tile that is covered no more has to be shown as it was.
    near.chain(touched.iter().copied()).collect()
}

impl Canvas {
    /// As [`Canvas::preview`] for softening: works off the visits of its stroke, blurs, and shows the tiles that changed.
    ///
    /// # Errors
    /// When the engine fails; the visits are worked off with the next.
    pub fn preview_soften(
        &mut self,
        pass: PassId,
        soften: &mut SoftenStroke,
        visits: Visits,
        mask: &Mask,
        touched: BTreeSet<TilePos>,
    ) -> Result<BTreeSet<TilePos>, EngineError> {
        self.engine_with_paints()?;
        soften.pending.extend(visits.settled);
        let wanted = reached(&touched, mask);
        let size = self.size;
        let near: BTreeSet<TilePos> =
            wanted.iter().flat_map(|&pos| around(pos)).filter(|&pos| is_on(size, pos)).collect();
        let visited = places_of(&soften.pending).chain(places_of(&visits.provisional));
        let needed = visited.chain(near.iter().copied()).collect();
        self.take_in(pass, &needed, &mut soften.tiles)?;
        soften.fill(&visits.lanes);
        soften.smear.work(&mut soften.tiles, &std::mem::take(&mut soften.pending), &self.paints);
        let mut shown = soften.tiles.clone();
        soften.smear.clone().work(&mut shown, &visits.provisional, &self.paints);
        let mut tiles: Tiles = near.iter().filter_map(|&pos| Some((pos, shown.planes(pos)?.to_vec()))).collect();
        blur(&mut tiles, mask, &wanted, soften.radius_px, &self.paints);
        let covered = |pos: TilePos| mask.tiles.contains_key(&pos);
        self.show_worked(pass, &wanted, |pos| {
            covered(pos).then(|| tiles.get(&pos).map(|planes| Arc::new(TilePixels::new(planes.clone())))).flatten()
        })?;
        Ok(wanted)
    }
}

#[cfg(test)]
mod tests;
