//! Tiles that a stroke works on pixel by pixel, on the CPU for every engine: copies that share what was not touched.

use super::Canvas;
use crate::amount::FULL;
use crate::engine::EngineError;
use crate::mask::Visit;
use crate::pixel::Pixel;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::study::tile::{MAX_PLANES, Plane, TileKey, TilePixels, TilePos};

/// The tiles.
#[derive(Clone, Debug, Default)]
pub struct WorkedTiles(BTreeMap<TilePos, Arc<Vec<Plane>>>);

impl WorkedTiles {
    /// The planes of a tile, if it is here.
    pub fn planes(&self, pos: TilePos) -> Option<&[Plane]> {
        self.0.get(&pos).map(|planes| &planes[..])
    }

    /// Changes one pixel of a tile that is here.
    pub fn change(&mut self, pos: TilePos, index: usize, change: impl FnOnce(&mut Pixel)) {
        let Some(tile) = self.0.get_mut(&pos) else { return };
        let mut pixel: Pixel = [0; MAX_PLANES];
        for (pair, plane) in pixel.iter_mut().zip(tile.iter()) {
            *pair = plane[index];
        }
        let before = pixel;
        change(&mut pixel);
        if pixel == before {
            return;
        }
        let planes = Arc::make_mut(tile);
        let used = pixel.iter().take_while(|&&pair| pair != 0).count();
        while planes.len() < used {
            planes.push(Plane::even(0));
        }
        for (plane, pair) in planes.iter_mut().zip(pixel) {
            if plane[index] != pair {
                plane[index] = pair;
            }
        }
    }

    /// Puts the planes of a tile in the place of those that are here.
    pub fn put(&mut self, pos: TilePos, planes: Vec<Plane>) {
        self.0.insert(pos, Arc::new(planes));
    }

    /// A tile as the engine takes it.
    pub fn tile(&self, pos: TilePos) -> Option<Arc<TilePixels>> {
        Some(Arc::new(TilePixels::new(self.0.get(&pos)?.to_vec())))
    }
}

/// What of the pixel the stroke had left uncovered before a visit is covered by it, 0-65535.
pub fn rise(visit: &Visit) -> u32 {
    let (from, to) = (u32::from(visit.from), u32::from(visit.to));
    // The product stays below 2^32.
    let left = (FULL - from).max(1);
    ((to.saturating_sub(from) * FULL + left / 2) / left).min(FULL)
}

impl Canvas {
    /// Takes tiles in as they were before the stroke, those that are not here already.
    pub(super) fn take_in(
        &mut self,
        pass: PassId,
        wanted: &BTreeSet<TilePos>,
        worked: &mut WorkedTiles,
    ) -> Result<(), EngineError> {
        self.know(wanted.iter().copied())?;
        let fresh = wanted.iter().filter(|pos| !worked.0.contains_key(pos));
        let keys: Vec<TileKey> = fresh.map(|&pos| TileKey { pass, pos }).collect();
        for (key, tile) in keys.iter().zip(self.pixels_of(&keys)?) {
            worked.0.insert(key.pos, Arc::new(tile.map_or_else(Vec::new, |tile| tile.planes().to_vec())));
        }
        self.ask_ahead(pass, keys.iter().map(|key| key.pos));
        Ok(())
    }

    /// Shows tiles of a stroke in the making in the place of those of the pass; a place without one shows the pass as it is.
    pub(super) fn show_worked(
        &mut self,
        pass: PassId,
        touched: &BTreeSet<TilePos>,
        tile: impl Fn(TilePos) -> Option<Arc<TilePixels>>,
    ) -> Result<(), EngineError> {
        self.know(touched.iter().copied())?;
        let shown: Vec<_> = touched.iter().filter_map(|&pos| Some((pos, tile(pos)?))).collect();
        let (places, tiles): (Vec<TilePos>, Vec<_>) = shown.into_iter().unzip();
        let handles = self.engine.upload(&tiles)?;
        self.stale.extend(touched);
        for pos in touched {
            self.live.remove(&TileKey { pass, pos: *pos });
        }
        self.live.extend(places.into_iter().map(|pos| TileKey { pass, pos }).zip(handles));
        Ok(())
    }
}
