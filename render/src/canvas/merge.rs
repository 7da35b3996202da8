//! Merging a pass into the one below it: what shows of both becomes the paint of one.

use super::full_pixels::in_full_pixels;
use super::pair_sums::PairSums;
use super::{Canvas, Change};
use crate::amount::FULL;
use crate::engine::EngineError;
use crate::pixel::{Pixel, show_layer};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_PIXELS, TileKey, TilePixels};

impl Canvas {
    /// Merges `top` into `below`, each with its strength (0-65535). Afterwards `top` is empty and `below` holds what both
    /// showed; it wants full strength from then on. The changes are ready for the study file.
    ///
    /// # Errors
    /// When the engine fails; the canvas is as it was.
    pub fn merge(&mut self, top: (PassId, u16), below: (PassId, u16)) -> Result<Vec<Change>, EngineError> {
        let keys = self.tiles.keys().chain(self.away.heads.keys());
        let places: BTreeSet<_> = keys.filter(|k| [top.0, below.0].contains(&k.pass)).map(|k| k.pos).collect();
        self.know(places.iter().copied())?;
        let empty = Arc::new(TilePixels::default());
        let mut pixels = |pass: PassId| -> Result<Vec<Arc<TilePixels>>, EngineError> {
            let handles: Vec<_> = places.iter().map(|&pos| self.tiles.get(&TileKey { pass, pos }).cloned()).collect();
            let held: Vec<_> = handles.iter().flatten().cloned().collect();
            let mut found = self.engine.download(&held)?.into_iter();
            let tiles = handles.iter().map(|h| h.as_ref().and_then(|_| found.next()).unwrap_or_else(|| empty.clone()));
            Ok(tiles.collect())
        };
        let (tops, belows) = (pixels(top.0)?, pixels(below.0)?);
        let paints = &self.paints;
        let one = |(over, under): (&Arc<TilePixels>, &Arc<TilePixels>)| {
            let mut planes = vec![Plane::even(0); MAX_PLANES];
            let mut sums = PairSums::default();
            for i in 0..TILE_PIXELS {
                sums.clear();
                let mut left = FULL;
                for (tile, strength) in [(over, top.1), (under, below.1)] {
                    let pairs = tile.planes().iter().map(|p| p[i]);
                    left = show_layer(pairs, strength.into(), left, |id, amount| sums.add(id << 16 | amount, 1));
                }
                let pixel: Pixel = sums.pixel(1, paints);
                for (plane, pair) in planes.iter_mut().zip(pixel) {
                    if plane[i] != pair {
                        plane[i] = pair;
                    }
                }
            }
            Arc::new(TilePixels::new(planes))
        };
        let merged: Vec<_> = tops.par_iter().zip(&belows).map(one).collect();
        let handles = self.with_room(|canvas| canvas.engine.upload(&merged))?;
        let mut changes = Vec::new();
        for ((((&pos, over), under), new), handle) in places.iter().zip(&tops).zip(&belows).zip(&merged).zip(handles) {
            self.stale.insert(pos);
            let (upper, lower) = (TileKey { pass: top.0, pos }, TileKey { pass: below.0, pos });
            if let Some(old) = self.tiles.remove(&upper) {
                self.full_pixels.remove(&upper);
                changes.push(Change { key: upper, before: over.clone(), after: empty.clone(), old: Some(old) });
            }
            if new != under {
                let old = if new.is_empty() { self.tiles.remove(&lower) } else { self.tiles.insert(lower, handle) };
                self.note_full_pixels(lower, in_full_pixels(new));
                changes.push(Change { key: lower, before: under.clone(), after: new.clone(), old });
            }
        }
        Ok(changes)
    }
}
