//! Tiles that a stroke works on pixel by pixel, on the CPU for every engine: copies that share what was not touched.

use super::Canvas;
use crate::amount::FULL;
use crate::engine::EngineError;
use crate::mask::Visit;
use crate::pixel::Pixel;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::study::tile::{
    BLOCK_PIXELS, BLOCKS, Block, MAX_PLANES, Plane, TileKey, TilePixels, TilePos, Words as PlaneWords, place_in_block,
};

/// The tiles.
#[derive(Clone, Debug, Default)]
pub struct WorkedTiles(BTreeMap<TilePos, Arc<Vec<Plane>>>);

impl WorkedTiles {
    /// The planes of a tile, if it is here.
    pub fn planes(&self, pos: TilePos) -> Option<&[Plane]> {
        self.0.get(&pos).map(|planes| &planes[..])
    }

    /// Changes the visited pixels of a tile that is here, one after the other.
    pub fn change<'a>(&mut self, pos: TilePos, visits: &'a [Visit], mut change: impl FnMut(&'a Visit, &mut Pixel)) {
        let Some(tile) = self.0.get_mut(&pos) else { return };
        for visit in visits {
            let index = visit.index.into();
            let before = pixel_of(tile, index);
            let mut pixel = before;
            change(visit, &mut pixel);
            if pixel == before {
                continue;
            }
            let planes = Arc::make_mut(tile);
            let used = pixel.iter().take_while(|&&pair| pair != 0).count();
            while planes.len() < used {
                planes.push(Plane::even(0));
            }
            for ((plane, now), then) in planes.iter_mut().zip(pixel).zip(before) {
                if now != then {
                    plane[index] = now;
                }
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

/// Visits in their order, those in a row that lie in one tile together; none is empty.
pub fn in_one_tile(visits: &[Visit]) -> impl Iterator<Item = &[Visit]> {
    visits.chunk_by(|a, b| a.pos == b.pos)
}

/// The tiles of visits, some of them more than once.
pub fn places_of(visits: &[Visit]) -> impl Iterator<Item = TilePos> {
    in_one_tile(visits).map(|run| run[0].pos)
}

/// The pairs of one pixel of some planes.
#[inline(always)]
pub fn pixel_of(planes: &[Plane], index: usize) -> Pixel {
    let mut pixel: Pixel = [0; MAX_PLANES];
    for (pair, plane) in pixel.iter_mut().zip(planes) {
        *pair = plane[index];
        // Pairs are packed.
        if *pair == 0 {
            break;
        }
    }
    pixel
}

/// Planes with some pixels changed, by their places in the tile; of several changes of one pixel the last holds. Blocks without any are
/// shared.
pub fn with_pixels<'a>(planes: &[Plane], changes: impl Iterator<Item = &'a (u16, Pixel)> + Clone) -> Vec<Plane> {
    let most = changes.clone().map(|(_, pixel)| pixel.iter().take_while(|&&pair| pair != 0).count()).max();
    let used = planes.len().max(most.unwrap_or(0));
    let mut blocks: [Option<Vec<[u32; BLOCK_PIXELS]>>; BLOCKS] = Default::default();
    for &(index, pixel) in changes {
        let (block, place) = place_in_block(index.into());
        let words = blocks[block].get_or_insert_with(|| {
            let mut words = vec![[0; BLOCK_PIXELS]; used];
            for (to, plane) in words.iter_mut().zip(planes) {
                match plane.block(block) {
                    PlaneWords::Even(word) => to.fill(word),
                    PlaneWords::Pixels(from) => to.copy_from_slice(from),
                }
            }
            words
        });
        words.iter_mut().zip(pixel).for_each(|(words, pair)| words[place] = pair);
    }
    let plane = |k: usize| {
        Plane::from_blocks(std::array::from_fn(|block| match &blocks[block] {
            Some(words) => Block::new(&words[k]),
            None => planes.get(k).map_or(Block::even(0), |plane| plane.shared_block(block)),
        }))
    };
    (0..used).map(plane).collect()
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
