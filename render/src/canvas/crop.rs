//! Another rectangle for the canvas: tiles are put together anew from what lies there, every pixel with its paints as they are.
//!
//! Tiles are counted from the top left, so a canvas that loses or gains rows or columns there has every pixel at another place of
//! another tile. Each new tile is made of up to four old ones, block by block; where the rectangle begins at a whole number of tiles
//! the old tile takes its new place as it is.
#![expect(clippy::cast_possible_truncation, reason = "places within a tile or a block, found by a remainder")]

use super::full_pixels::in_full_pixels;
use super::{Canvas, Change};
use crate::engine::{EngineError, TileHandle};
use crate::mask::CanvasSize;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::study::canvas_rect::CanvasRect;
use stint_model::study::tile::{
    BLOCK_PIXELS, BLOCK_SIDE, BLOCKS, Block, Plane, TILE_SIDE, TileKey, TilePixels, TilePos, Words,
};

/// Blocks of a tile side by side.
const ACROSS: i64 = (TILE_SIDE / BLOCK_SIDE) as i64;
/// Side of a block, pixels.
const SIDE: usize = BLOCK_SIDE as usize;

/// The tiles of one pass before.
type Tiles = BTreeMap<TilePos, Arc<TilePixels>>;

/// A tile as it will be, with the tile that it was made of, where that is the same.
struct Made {
    key: TileKey,
    pixels: Arc<TilePixels>,
    same_as: Option<TileKey>,
}

impl Canvas {
    /// Puts the tiles as they are on a canvas that is `part` of this one: paint outside it is gone, what lay outside the canvas is
    /// bare. The changes are ready for the study file; the canvas has its new size from [`Canvas::set_size`], which is next.
    ///
    /// # Errors
    /// When the engine fails; the canvas is as it was.
    pub fn crop(&mut self, part: CanvasRect) -> Result<Vec<Change>, EngineError> {
        let before: BTreeMap<TileKey, Arc<TilePixels>> = self.all_tiles()?.into_iter().collect();
        let mut passes: BTreeMap<PassId, Tiles> = BTreeMap::new();
        for (key, pixels) in &before {
            passes.entry(key.pass).or_default().insert(key.pos, pixels.clone());
        }
        let size = CanvasSize { width: part.width_px, height: part.height_px };
        let made: Vec<Made> = passes.iter().flat_map(|(&pass, tiles)| cropped(pass, tiles, part, size)).collect();
        let (moved, fresh): (Vec<_>, Vec<_>) = made.into_iter().partition(|made| made.same_as.is_some());
        let pixels: Vec<_> = fresh.iter().map(|made| made.pixels.clone()).collect();
        let uploaded = self.with_room(|canvas| canvas.engine.upload(&pixels))?;
        // From here on nothing can fail.
        let mut after: BTreeMap<TileKey, (Arc<TilePixels>, TileHandle)> = BTreeMap::new();
        for Made { key, pixels, same_as } in moved {
            if let Some(handle) = same_as.and_then(|from| self.tiles.get(&from)) {
                after.insert(key, (pixels, handle.clone()));
            }
        }
        after.extend(fresh.into_iter().zip(uploaded).map(|(made, handle)| (made.key, (made.pixels, handle))));
        let empty = Arc::new(TilePixels::default());
        let keys: BTreeSet<TileKey> = before.keys().chain(after.keys()).copied().collect();
        let mut changes = Vec::new();
        for key in keys {
            let was = before.get(&key).unwrap_or(&empty);
            let now = after.remove(&key);
            if now.as_ref().map_or(was.is_empty(), |(pixels, _)| Arc::ptr_eq(pixels, was) || pixels == was) {
                continue;
            }
            let old = self.tiles.get(&key).cloned();
            let (pixels, handle) = match now {
                Some((pixels, handle)) => (pixels, Some(handle)),
                None => (empty.clone(), None),
            };
            self.place_one(key, handle, in_full_pixels(&pixels));
            changes.push(Change { key, before: was.clone(), after: pixels, old });
        }
        Ok(changes)
    }

    /// Gives the canvas another size. Its tiles lie on it already.
    pub fn set_size(&mut self, size: CanvasSize) {
        if self.size != size {
            self.size = size;
            self.live_masks.clear();
            // Their cells lie elsewhere now.
            self.sampled.clear();
        }
    }
}

/// The tiles of one pass on a canvas that is a part of the one they lie on; those with paint.
fn cropped(pass: PassId, tiles: &Tiles, part: CanvasRect, size: CanvasSize) -> Vec<Made> {
    let places: BTreeSet<TilePos> = tiles.keys().flat_map(|&pos| places_of(pos, part, size)).collect();
    let make = |&pos: &TilePos| {
        let key = TileKey { pass, pos };
        if let Some((from, pixels)) = taken_over(tiles, pos, part, size) {
            return Some(Made { key, pixels, same_as: Some(TileKey { pass, pos: from }) });
        }
        let pixels = put_together(tiles, pos, part, size);
        (!pixels.is_empty()).then(|| Made { key, pixels: Arc::new(pixels), same_as: None })
    };
    places.into_iter().collect::<Vec<_>>().par_iter().filter_map(make).collect()
}

/// The places on the new canvas that a tile has pixels in: up to four.
fn places_of(pos: TilePos, part: CanvasRect, size: CanvasSize) -> impl Iterator<Item = TilePos> {
    let side = i64::from(TILE_SIDE);
    let along = |at: u16, from: i32, tiles: u16| {
        let first = i64::from(at) * side - i64::from(from);
        let last = first + side - 1;
        (first.div_euclid(side)..=last.div_euclid(side))
            .filter_map(|tile| u16::try_from(tile).ok())
            .filter(move |&tile| tile < tiles)
    };
    let rows: Vec<u16> = along(pos.row, part.y, size.rows()).collect();
    along(pos.column, part.x, size.columns())
        .flat_map(move |column| rows.clone().into_iter().map(move |row| TilePos { column, row }))
}

/// The tile that takes this place as it is: the canvas begins at a whole number of tiles, and all of it stays.
fn taken_over(tiles: &Tiles, pos: TilePos, part: CanvasRect, size: CanvasSize) -> Option<(TilePos, Arc<TilePixels>)> {
    let side = i64::from(TILE_SIDE);
    if size.tile_extent(pos) != (TILE_SIDE, TILE_SIDE) {
        return None;
    }
    let along = |at: u16, from: i32| {
        let first = i64::from(at) * side + i64::from(from);
        (first % side == 0).then(|| u16::try_from(first / side).ok()).flatten()
    };
    let from = TilePos { column: along(pos.column, part.x)?, row: along(pos.row, part.y)? };
    Some((from, tiles.get(&from)?.clone()))
}

/// The tile of a place, put together block by block.
fn put_together(tiles: &Tiles, pos: TilePos, part: CanvasRect, size: CanvasSize) -> TilePixels {
    let side = i64::from(BLOCK_SIDE);
    // Where the tile begins on the canvas before.
    let left = i64::from(pos.column) * i64::from(TILE_SIDE) + i64::from(part.x);
    let top = i64::from(pos.row) * i64::from(TILE_SIDE) + i64::from(part.y);
    let extent = size.tile_extent(pos);
    let corners = [(left, top), (left + 127, top), (left, top + 127), (left + 127, top + 127)];
    let sources = corners.iter().filter_map(|&(x, y)| tile_with(tiles, x.div_euclid(side), y.div_euclid(side)));
    let count = sources.map(|tile| tile.planes().len()).max().unwrap_or(0);
    let plane = |k: usize| {
        Plane::from_blocks(std::array::from_fn::<_, BLOCKS, _>(|block| {
            let (column, row) = (block as i64 % ACROSS, block as i64 / ACROSS);
            let held = |whole: u32, at: i64| (i64::from(whole) - at * side).clamp(0, side) as usize;
            let kept = (held(extent.0, column), held(extent.1, row));
            gathered(tiles, k, (left + column * side, top + row * side), kept)
        }))
    };
    TilePixels::new((0..count).map(plane).collect())
}

/// A block of plane `k` that begins at a pixel of the canvas before; what lies beyond the first `wide` columns and `high` rows of it
/// is bare.
fn gathered(tiles: &Tiles, k: usize, (left, top): (i64, i64), (wide, high): (usize, usize)) -> Block {
    let side = i64::from(BLOCK_SIDE);
    if wide == 0 || high == 0 {
        return Block::even(0);
    }
    // The old blocks that it lies over: which one, its first pixel that is taken, where that goes, and how many.
    let pieces = |first: i64| {
        let skipped = first.rem_euclid(side) as usize;
        let block = first.div_euclid(side);
        let next = (skipped > 0).then_some((block + 1, 0, SIDE - skipped, skipped));
        std::iter::once((block, skipped, 0, SIDE - skipped)).chain(next)
    };
    let found: Vec<_> = pieces(top)
        .flat_map(|row| pieces(left).map(move |column| (column, row)))
        .map(|(column, row)| (column, row, words_of(tiles, k, column.0, row.0)))
        .collect();
    let even = |words: &Words<'_>| match words {
        Words::Even(word) => Some(*word),
        Words::Pixels(_) => None,
    };
    let first = found.first().and_then(|(_, _, words)| even(words));
    if let Some(word) = first
        && found.iter().all(|(_, _, words)| even(words) == Some(word))
        && (word == 0 || (wide, high) == (SIDE, SIDE))
    {
        return Block::even(word);
    }
    if let [((column, 0, ..), (row, 0, ..), _)] = found[..]
        && (wide, high) == (SIDE, SIDE)
        && let Some(plane) = tile_with(tiles, column, row).and_then(|tile| tile.planes().get(k))
    {
        // It lies as a block did: their pixels are shared.
        return plane.shared_block(block_index(column, row));
    }
    let mut pixels = [0; BLOCK_PIXELS];
    for ((_, from_x, to_x, across), (_, from_y, to_y, down), words) in found {
        for y in 0..down.min(high.saturating_sub(to_y)) {
            for x in 0..across.min(wide.saturating_sub(to_x)) {
                pixels[(to_y + y) * SIDE + to_x + x] = words.at((from_y + y) * SIDE + from_x + x);
            }
        }
    }
    Block::new(&pixels)
}

/// The tile that holds a block of the canvas, whose blocks are counted from its top left.
fn tile_with(tiles: &Tiles, column: i64, row: i64) -> Option<&TilePixels> {
    let at = |block: i64| u16::try_from(block.div_euclid(ACROSS)).ok();
    tiles.get(&TilePos { column: at(column)?, row: at(row)? }).map(|tile| &**tile)
}

/// The same block counted in its tile.
fn block_index(column: i64, row: i64) -> usize {
    (row.rem_euclid(ACROSS) * ACROSS + column.rem_euclid(ACROSS)) as usize
}

fn words_of(tiles: &Tiles, k: usize, column: i64, row: i64) -> Words<'_> {
    let plane = tile_with(tiles, column, row).and_then(|tile| tile.planes().get(k));
    plane.map_or(Words::Even(0), |plane| plane.block(block_index(column, row)))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::StrokeOp;
    use crate::cpu::CpuEngine;
    use crate::engine::Engine;
    use crate::gpu::{GpuEngine, test_device};
    use crate::mask::{Mask, MaskTile};
    use crate::paints::PaintLut;
    use stint_model::ids::PaintId;
    use stint_model::pass::{Pass, PassKind};

    const SIZE: CanvasSize = CanvasSize { width: 300, height: 200 };

    fn canvas(engine: Box<dyn Engine>) -> Canvas {
        let passes = [1, 2].map(|id| Pass::new(PassId(id), "pass", PassKind::Board));
        let mut canvas = Canvas::new(SIZE, engine, PaintLut::for_tests(9, |_| false), &passes).unwrap();
        // An even layer, a mass with an edge, and pixels of several paints.
        for (pass, paint, outline) in [
            (1, 1, vec![[0.0, 0.0], [300.0, 0.0], [300.0, 200.0], [0.0, 200.0]]),
            (1, 2, vec![[20.5, 10.0], [250.0, 30.0], [180.0, 190.0]]),
            (2, 3, vec![[100.0, 60.0], [299.0, 70.0], [290.0, 150.0], [110.0, 140.0]]),
        ] {
            let mut mask = Mask::new(SIZE);
            mask.add_mass(&outline, crate::mask::mass::Edge::Soft, 60_000).unwrap();
            canvas.commit(PassId(pass), &StrokeOp::lay(PaintId(paint)), &mask).unwrap();
        }
        let mut mask = Mask::new(SIZE);
        mask.tiles.insert(TilePos { column: 1, row: 0 }, MaskTile::from_fn(|i| (i * 37 % 60_000) as u16));
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(4)), &mask).unwrap();
        canvas
    }

    /// The CPU engine, and a GPU engine where there is one.
    fn canvases() -> Vec<Canvas> {
        let gpu = test_device("cropping on a device").map(|gpu| canvas(Box::new(GpuEngine::new(gpu).unwrap())));
        std::iter::once(canvas(Box::new(CpuEngine::default()))).chain(gpu).collect()
    }

    type Pixels = BTreeMap<(u32, i64, i64), Vec<u32>>;

    /// Every pixel with paint, by pass, column and row.
    fn pixels(canvas: &mut Canvas) -> Pixels {
        let mut all = BTreeMap::new();
        for (key, tile) in canvas.all_tiles().unwrap() {
            for i in 0..(TILE_SIDE * TILE_SIDE) as usize {
                let pairs: Vec<u32> =
                    tile.planes().iter().map(|plane| plane[i]).take_while(|&pair| pair != 0).collect();
                if !pairs.is_empty() {
                    let x = i64::from(key.pos.column) * 128 + i as i64 % 128;
                    let y = i64::from(key.pos.row) * 128 + i as i64 / 128;
                    all.insert((key.pass.0, x, y), pairs);
                }
            }
        }
        all
    }

    /// What must come out, pixel by pixel.
    fn expected(before: &Pixels, part: CanvasRect) -> Pixels {
        let moved = before
            .iter()
            .map(|(&(pass, x, y), pairs)| ((pass, x - i64::from(part.x), y - i64::from(part.y)), pairs.clone()));
        let on = |&(_, x, y): &(u32, i64, i64)| {
            (0..i64::from(part.width_px)).contains(&x) && (0..i64::from(part.height_px)).contains(&y)
        };
        moved.filter(|(at, _)| on(at)).collect()
    }

    fn crop(canvas: &mut Canvas, part: CanvasRect) -> Vec<Change> {
        let changes = canvas.crop(part).unwrap();
        canvas.set_size(CanvasSize { width: part.width_px, height: part.height_px });
        changes
    }

    const PARTS: [CanvasRect; 7] = [
        // Off every edge, by no whole number of blocks.
        CanvasRect { x: 13, y: 27, width_px: 250, height_px: 100 },
        // Beyond every edge.
        CanvasRect { x: -70, y: -5, width_px: 500, height_px: 333 },
        // By blocks, and by tiles.
        CanvasRect { x: 32, y: -64, width_px: 268, height_px: 264 },
        CanvasRect { x: 128, y: -128, width_px: 300, height_px: 328 },
        // At the right and the bottom alone.
        CanvasRect { x: 0, y: 0, width_px: 200, height_px: 129 },
        CanvasRect { x: 0, y: 0, width_px: 301, height_px: 900 },
        // A single pixel.
        CanvasRect { x: 150, y: 100, width_px: 1, height_px: 1 },
    ];

    #[test]
    fn every_pixel_keeps_its_paints_and_what_is_new_is_bare() {
        for part in PARTS {
            for mut canvas in canvases() {
                let before = pixels(&mut canvas);
                let changes = crop(&mut canvas, part);
                assert_eq!(pixels(&mut canvas), expected(&before, part), "{part:?}");
                assert!(changes.iter().all(|c| c.before != c.after), "{part:?}");
                // What is counted and shown is what a canvas with these tiles counts and shows.
                let tally = canvas.tally().unwrap().clone();
                let tiles: Vec<_> = canvas.all_tiles().unwrap();
                let passes = canvas.passes.clone();
                let engine = Box::new(CpuEngine::default());
                let paints = PaintLut::for_tests(9, |_| false);
                let mut fresh = Canvas::new(canvas.size(), engine, paints, &passes).unwrap();
                fresh.put_tiles(tiles.into_iter().map(|(key, tile)| (key, (*tile).clone())).collect()).unwrap();
                assert_eq!(tally, *fresh.tally().unwrap(), "{part:?}");
                assert_eq!(canvas.in_full_pixels(), fresh.in_full_pixels(), "{part:?}");
                assert_eq!(canvas.thumbnail(40).unwrap(), fresh.thumbnail(40).unwrap(), "{part:?}");
            }
        }
    }

    #[test]
    fn a_crop_that_is_taken_back_leaves_the_canvas_as_it_was() {
        for part in PARTS {
            for mut canvas in canvases() {
                let (before, tally) = (pixels(&mut canvas), canvas.tally().unwrap().clone());
                let picture = canvas.thumbnail(40).unwrap();
                let changes = crop(&mut canvas, part);
                canvas.set_size(SIZE);
                canvas.revert(changes);
                assert_eq!(pixels(&mut canvas), before, "{part:?}");
                assert_eq!(*canvas.tally().unwrap(), tally, "{part:?}");
                assert_eq!(canvas.thumbnail(40).unwrap(), picture, "{part:?}");
            }
        }
    }

    #[test]
    fn tiles_that_take_another_place_as_they_are_are_not_made_again() {
        let mut canvas = canvas(Box::new(CpuEngine::default()));
        let key = |column, row| TileKey { pass: PassId(1), pos: TilePos { column, row } };
        let tile = |canvas: &Canvas, column, row| Arc::as_ptr(&canvas.tiles[&key(column, row)].0).cast::<u8>();
        let before = tile(&canvas, 0, 0);
        crop(&mut canvas, CanvasRect { x: -128, y: -256, width_px: 600, height_px: 600 });
        assert_eq!(tile(&canvas, 1, 2), before);
    }
}
