//! A wet brush at work: it carries paints under its tip, lays from them, and takes up what it comes over.
//!
//! The tip has lanes along the stroke, each with a small map of paints and amounts, so that streaks follow the hand. A pixel exchanges
//! with the lane that comes over it, once for each rise of its cover, in the order of the path; see [`tip`]. This runs on the CPU for
//! every engine, as softening does, and so gives equal bits everywhere. That the canvas as it was before the stroke is kept beside what
//! the stroke makes of it is after N. Chu, W. Baxter, L.-Y. Wei, N. Govindaraju, "Detail-preserving paint modeling for 3D brushes",
//! NPAR 2010 (title from memory).

mod on_all;
mod tip;

use super::worked::{WorkedTiles, in_one_tile, places_of, rise};
use super::{BrushLoad, Canvas};
use crate::amount::{FULL, from_fraction};
use crate::engine::EngineError;
use crate::mask::mark::Wet;
use crate::mask::{Mask, Visit, Visits};
use crate::paints::PaintLut;
use on_all::VISITS_FOR_ALL;
use std::collections::BTreeSet;
use stint_model::ids::PassId;
use stint_model::study::tile::TilePos;
use tip::{Exchange, Tip};

/// What a stroke has made of some tiles, and what it carries.
#[derive(Clone, Debug, Default)]
struct Worked {
    tips: Vec<Tip>,
    tiles: WorkedTiles,
}

/// A stroke of a wet brush in the making.
#[derive(Clone, Debug)]
pub struct WetStroke {
    exchange: Exchange,
    /// How far paint is carried, pixels.
    carries_px: f32,
    size_px: f32,
    /// Visits that were not worked off yet, because the engine failed.
    pending: Vec<Visit>,
    /// Those of the end of the stroke, as far as it is painted.
    end: Vec<Visit>,
    /// How much paint each lane holds; see [`Visits::lanes`].
    lanes: Vec<u32>,
    /// After everything that is settled.
    settled: Worked,
}

impl WetStroke {
    /// A brush of this size, loaded, before it touches the canvas. `takes_free` says whether it may take up free paint: only where
    /// free paint may be laid.
    pub fn new(load: BrushLoad, wet: &Wet, size_px: f32, takes_free: bool) -> Self {
        let part = |fraction: f32| u32::from(from_fraction(fraction));
        let exchange = Exchange { load, pickup: part(wet.pickup), fresh: part(wet.fresh), takes_free };
        let settled = Worked::default();
        let (pending, end, lanes) = Default::default();
        WetStroke { exchange, carries_px: wet.carries * size_px, size_px, pending, end, lanes, settled }
    }

    /// Fills the lanes, each with its share of what is under the tip, if they are empty.
    #[expect(clippy::cast_possible_truncation, reason = "units of the largest brush stay below 2^53")]
    fn fill(&mut self) {
        if self.settled.tips.is_empty() {
            let mean = f64::from(self.carries_px) * f64::from(self.size_px) / self.lanes.len().max(1) as f64;
            // A share of 65535 is the mean, and a pixel is 65535 units.
            let holds = |&share: &u32| (mean * f64::from(share)) as u64;
            self.settled.tips = self.lanes.iter().map(|lane| Tip::new(holds(lane), &self.exchange)).collect();
        }
    }
}

impl Worked {
    /// Works off what is settled, and tells what the end of the stroke makes of that.
    fn work(&mut self, settled: &[Visit], end: &[Visit], exchange: &Exchange, paints: &PaintLut) -> Worked {
        if settled.len() + end.len() >= VISITS_FOR_ALL {
            return self.work_on_all(settled, end, exchange, paints);
        }
        self.work_in_turn(settled, exchange, paints);
        let mut shown = self.clone();
        shown.work_in_turn(end, exchange, paints);
        shown
    }

    /// One visit after the other.
    fn work_in_turn(&mut self, visits: &[Visit], exchange: &Exchange, paints: &PaintLut) {
        let tips = &mut self.tips;
        for run in in_one_tile(visits) {
            self.tiles.change(run[0].pos, run, |visit, pixel| {
                if let Some(tip) = tips.get_mut(usize::from(visit.lane)) {
                    tip.exchange(pixel, rise(visit), exchange, paints);
                }
            });
        }
    }
}

impl Canvas {
    /// As [`Canvas::preview`] for a wet brush: works off the visits of its stroke and shows the `touched` tiles.
    ///
    /// # Errors
    /// When the engine fails; the visits are worked off with the next, or by [`Canvas::preview_wet_again`].
    pub fn preview_wet(
        &mut self,
        pass: PassId,
        wet: &mut WetStroke,
        visits: Visits,
        mask: &Mask,
        touched: BTreeSet<TilePos>,
    ) -> Result<BTreeSet<TilePos>, EngineError> {
        wet.pending.extend(visits.settled);
        (wet.end, wet.lanes) = (visits.provisional, visits.lanes);
        self.preview_wet_again(pass, wet, mask, touched)
    }

    /// The same where nothing came since, but the engine had failed.
    ///
    /// # Errors
    /// As [`Canvas::preview_wet`].
    pub fn preview_wet_again(
        &mut self,
        pass: PassId,
        wet: &mut WetStroke,
        mask: &Mask,
        touched: BTreeSet<TilePos>,
    ) -> Result<BTreeSet<TilePos>, EngineError> {
        self.engine_with_paints()?;
        let wanted = places_of(&wet.pending).chain(places_of(&wet.end)).collect();
        self.take_in(pass, &wanted, &mut wet.settled.tiles)?;
        wet.fill();
        let pending = std::mem::take(&mut wet.pending);
        let shown = wet.settled.work(&pending, &wet.end, &wet.exchange, &self.paints);
        // What a provisional end of the stroke covered, and its next end does not, is as before the stroke.
        let covered = |pos: &TilePos| mask.tiles.contains_key(pos);
        self.show_worked(pass, &touched, |pos| shown.tiles.tile(pos).filter(|_| covered(&pos)))?;
        Ok(touched)
    }
}

const _: () = assert!(FULL == u16::MAX as u32, "a mean share of a lane is a pixel's units");

#[cfg(test)]
mod tests;
