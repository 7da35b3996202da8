//! Soften: smears what is there along the stroke and blurs it in place, without adding or taking paint.
//!
//! A light hand blurs, a firm one drags along: see [`smear`] and [`blur`]. What moves is paint, so the result is still board paint. All of
//! this runs on the CPU for every engine: it reaches across tiles, is used in small places, and so gives equal bits everywhere.

mod blur;
mod rect;
mod smear;

use super::Canvas;
use super::worked::{WorkedTiles, places_of, with_pixels};
use crate::engine::EngineError;
use crate::mask::{CanvasSize, Mask, Visit, Visits};
use blur::Blur;
use rayon::prelude::*;
use rect::Rect;
use smear::Smear;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::study::tile::{Plane, TilePixels, TilePos};

/// How far paint is dragged along, as a part of the brush's size.
const DRAGGED: f64 = 0.4;

/// A stroke of softening in the making.
#[derive(Clone, Debug)]
pub struct SoftenStroke {
    blur: Blur,
    size_px: f32,
    /// Visits that were not worked off yet, because the engine failed.
    pending: Vec<Visit>,
    /// Those of the end of the stroke, as far as it is painted.
    provisional: Vec<Visit>,
    /// How much each lane holds; see [`Visits::lanes`].
    lanes: Vec<u32>,
    smear: Smear,
    /// Tiles as they were before the stroke, smeared where it is settled.
    tiles: WorkedTiles,
    /// The covered tiles as they were shown last, blurred: what nothing has changed near is not blurred again.
    shown: BTreeMap<TilePos, Vec<Plane>>,
    /// Where the end of the stroke lay that may be different now.
    end: Option<Rect>,
    /// Tiles that are other than they are shown, because the engine failed.
    owed: BTreeSet<TilePos>,
}

impl SoftenStroke {
    /// A brush of this size that blurs as an even disc of this radius does.
    pub fn new(radius_px: f32, size_px: f32) -> Self {
        SoftenStroke {
            blur: Blur::new(radius_px),
            size_px,
            pending: Vec::new(),
            provisional: Vec::new(),
            lanes: Vec::new(),
            smear: Smear::default(),
            tiles: WorkedTiles::default(),
            shown: BTreeMap::new(),
            end: None,
            owed: BTreeSet::new(),
        }
    }

    /// Where cover or paint may be other than they were when tiles were blurred last. What has no visits, as a mass, has changed all over.
    fn changed(&self, touched: &BTreeSet<TilePos>, size: CanvasSize) -> Option<Rect> {
        let visited = [&self.pending, &self.provisional].map(|visits| Rect::of_visits(visits));
        let changed = visited.into_iter().chain([self.end]).flatten().reduce(Rect::around);
        changed.or_else(|| touched.iter().map(|&pos| Rect::of_tile(pos, size)).reduce(Rect::around))
    }

    #[expect(clippy::cast_possible_truncation, reason = "units of the largest brush stay below 2^53")]
    fn fill(&mut self) {
        if self.smear.is_empty() {
            let size = f64::from(self.size_px);
            let mean = DRAGGED * size * size / self.lanes.len().max(1) as f64;
            // A share of 65535 is the mean, and a pixel is 65535 units.
            self.smear = Smear::new(self.lanes.iter().map(|&share| (mean * f64::from(share)) as u64));
        }
    }
}

impl Canvas {
    /// As [`Canvas::preview`] for softening: works off the visits of its stroke, blurs, and shows the tiles that changed.
    ///
    /// # Errors
    /// When the engine fails; the visits are worked off with the next, or by [`Canvas::preview_soften_again`].
    pub fn preview_soften(
        &mut self,
        pass: PassId,
        soften: &mut SoftenStroke,
        visits: Visits,
        mask: &Mask,
        touched: BTreeSet<TilePos>,
    ) -> Result<BTreeSet<TilePos>, EngineError> {
        soften.pending.extend(visits.settled);
        (soften.provisional, soften.lanes) = (visits.provisional, visits.lanes);
        self.preview_soften_again(pass, soften, mask, touched)
    }

    /// The same where nothing came since, but the engine had failed.
    ///
    /// # Errors
    /// As [`Canvas::preview_soften`].
    pub fn preview_soften_again(
        &mut self,
        pass: PassId,
        soften: &mut SoftenStroke,
        mask: &Mask,
        touched: BTreeSet<TilePos>,
    ) -> Result<BTreeSet<TilePos>, EngineError> {
        self.engine_with_paints()?;
        let (size, reach) = (self.size, soften.blur.reach());
        let changed = soften.changed(&touched, size);
        let changed = changed.map(|changed| changed.grown(reach, size));
        let parts: Vec<(TilePos, Rect)> = changed
            .into_iter()
            .flat_map(|changed| changed.tiles().map(move |pos| (pos, changed)))
            .filter(|(pos, _)| mask.tiles.contains_key(pos))
            .filter_map(|(pos, changed)| Some((pos, changed.common(Rect::of_tile(pos, size))?)))
            .collect();
        let near = parts.iter().flat_map(|(_, part)| part.grown(reach, size).tiles());
        let visited = places_of(&soften.pending).chain(places_of(&soften.provisional));
        let needed = visited.chain(near).chain(touched.iter().copied()).collect();
        self.take_in(pass, &needed, &mut soften.tiles)?;
        soften.fill();
        soften.smear.work(&mut soften.tiles, &std::mem::take(&mut soften.pending), &self.paints);
        let mut smeared = soften.tiles.clone();
        soften.smear.clone().work(&mut smeared, &soften.provisional, &self.paints);
        // What is covered no more is as it was, and begins anew when it is covered again.
        soften.shown.retain(|pos, _| mask.tiles.contains_key(pos));
        let (blur, shown, paints) = (&soften.blur, &soften.shown, &self.paints);
        let blurred = |&(pos, part): &(TilePos, Rect)| {
            let pixels = blur.of_part(part, |pos| smeared.planes(pos), mask, paints);
            let before = shown.get(&pos).map(|planes| &planes[..]).or_else(|| smeared.planes(pos));
            (pos, with_pixels(before.unwrap_or(&[]), pixels.iter()))
        };
        let blurred: Vec<_> = parts.par_iter().map(blurred).collect();
        let owed = std::mem::take(&mut soften.owed);
        let wanted = touched.into_iter().chain(owed).chain(blurred.iter().map(|(pos, _)| *pos)).collect();
        soften.shown.extend(blurred);
        soften.end = Rect::of_visits(&soften.provisional);
        let shown = |pos: TilePos| {
            let planes = soften.shown.get(&pos).map(|planes| &planes[..]).or_else(|| smeared.planes(pos));
            planes.map(|planes| Arc::new(TilePixels::new(planes.to_vec())))
        };
        let worked = self.show_worked(pass, &wanted, |pos| mask.tiles.contains_key(&pos).then(|| shown(pos)).flatten());
        if worked.is_err() {
            soften.owed.clone_from(&wanted);
        }
        worked.map(|()| wanted)
    }
}

#[cfg(test)]
mod tests;
