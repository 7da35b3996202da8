//! A thumbnail picture of the canvas that keeps its paints: taken once, it is coloured under any board.

use super::Canvas;
use crate::amount::FULL;
use crate::cpu::{LayerWords, resolve_words};
use crate::engine::{EngineError, TileHandle, TileSample};
use crate::mask::tile_of_pixel;
use crate::paints::PaintLut;
use crate::pixel::{paint_id, show_layer};
use rayon::prelude::*;
use std::any::Any;
use std::collections::BTreeMap;
use std::sync::{Arc, Weak};
use stint_model::ids::{PaintId, PassId};
use stint_model::study::tile::{TileKey, TilePos, Words};

/// Sizes of pictures that are kept up: the strip of boards, the comparison, the small picture of the study.
const SIZES_KEPT: usize = 3;
/// Cells are worked on in groups of this many.
const GROUP: usize = 16;

/// One pass of a part: planes of pairs, as tiles have them, cell by cell.
#[derive(Clone, PartialEq, Debug)]
struct PartPass {
    planes: Vec<Vec<u32>>,
    strength: u16,
}

impl PartPass {
    fn words(&self) -> LayerWords<'_> {
        LayerWords::new(self.planes.iter().map(|plane| Words::Pixels(plane)), self.strength.into())
    }
}

/// The cells of a thumbnail picture that fall into one place for tiles: what every visible pass holds at the middle of each.
#[derive(PartialEq, Debug)]
pub struct ThumbnailPart {
    places: Arc<[(usize, usize)]>,
    /// Top first; those alone that hold paint here.
    passes: Vec<PartPass>,
}

impl ThumbnailPart {
    /// Where in the picture, counted row by row, each of its cells lies.
    pub fn places(&self) -> impl Iterator<Item = usize> + '_ {
        self.places.iter().map(|&(cell, _)| cell)
    }

    /// What its cells look like with these paints: packed 8-bit sRGB RGBA, red in the lowest byte. The colours are those that the CPU
    /// engine resolves at the sampled pixels.
    pub fn colours(&self, paints: &PaintLut) -> Vec<u32> {
        let layers: Vec<_> = self.passes.iter().map(PartPass::words).collect();
        let mut out = vec![0; self.places.len().next_multiple_of(GROUP)];
        resolve_words(&layers, paints, &mut out);
        out.truncate(self.places.len());
        out
    }

    /// Cover and chief class of each of its cells. `class_of` sorts paints into classes, of a few hundred at most; paints may be of
    /// none.
    pub fn cell_paints(&self, class_of: impl Fn(PaintId) -> Option<u16>) -> Vec<CellPaint> {
        let mut amounts: Vec<(u16, u32)> = Vec::new();
        let cell = |index: usize| {
            amounts.clear();
            let mut left = FULL;
            for pass in &self.passes {
                let pairs = pass.planes.iter().map(|plane| plane[index]);
                left = show_layer(pairs, pass.strength.into(), left, |id, amount| {
                    let Some(class) = class_of(paint_id(id)) else { return };
                    match amounts.iter_mut().find(|(of, _)| *of == class) {
                        Some((_, sum)) => *sum += amount,
                        None => amounts.push((class, amount)),
                    }
                });
            }
            // Of two classes with as much, the first: the same on every machine.
            let chief = amounts.iter().max_by_key(|&&(class, amount)| (amount, std::cmp::Reverse(class)));
            CellPaint { cover: FULL - left, class: chief.filter(|c| c.1 > 0).map(|c| c.0) }
        };
        (0..self.places.len()).map(cell).collect()
    }
}

/// The canvas point-sampled on a grid. Parts that did not change are shared from one picture to the next.
#[derive(Clone, PartialEq, Debug)]
pub struct Thumbnail {
    width: u32,
    height: u32,
    parts: Vec<Arc<ThumbnailPart>>,
}

impl Thumbnail {
    /// Cells across.
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Cells down.
    pub fn height(&self) -> u32 {
        self.height
    }

    /// What the picture looks like with these paints, row by row; see [`ThumbnailPart::colours`].
    pub fn colours(&self, paints: &PaintLut) -> Vec<u32> {
        let parts: Vec<_> = self.parts.par_iter().map(|part| (part, part.colours(paints))).collect();
        let mut out = vec![0; (self.width * self.height) as usize];
        for (part, colours) in parts {
            part.places().zip(colours).for_each(|(place, colour)| out[place] = colour);
        }
        out
    }

    /// The parts that differ from those of a picture taken before, all of them where the grids differ or there is none.
    pub fn parts_since<'a>(&'a self, before: Option<&'a Thumbnail>) -> Vec<&'a ThumbnailPart> {
        let before = before.filter(|before| (before.width, before.height) == (self.width, self.height));
        let same = |i: usize, part| before.and_then(|b| b.parts.get(i)).is_some_and(|old| Arc::ptr_eq(old, part));
        self.parts.iter().enumerate().filter(|(i, part)| !same(*i, part)).map(|(_, part)| &**part).collect()
    }
}

/// What a cell of a thumbnail is made of.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct CellPaint {
    /// How much of it paint covers, 0-65535.
    pub cover: u32,
    /// The class with the most paint in it; none where no paint has one.
    pub class: Option<u16>,
}

/// What was read of the tiles for the last thumbnail picture of one size; tiles that are still the same are not read again.
#[derive(Default)]
pub(super) struct Sampled {
    grid: (u32, u32),
    cells: BTreeMap<TilePos, Cells>,
    tiles: BTreeMap<TileKey, (KnownTile, Vec<Vec<u32>>)>,
    /// The part of each place, with the tiles and strengths of the passes it was made of.
    parts: BTreeMap<TilePos, (MadeOf, Arc<ThumbnailPart>)>,
}

impl Sampled {
    /// Makes the parts anew whose tiles, or the strengths of whose passes (`visible`, top first), are others than before.
    fn make_parts(&mut self, visible: &[(PassId, u16)]) {
        let Self { cells, tiles, parts, .. } = self;
        for (&pos, places) in cells.iter() {
            let stack =
                || visible.iter().filter_map(|&(pass, strength)| Some((tiles.get(&TileKey { pass, pos })?, strength)));
            let known = parts.get(&pos).is_some_and(|(of, _)| {
                of.len() == stack().count()
                    && of.iter().zip(stack()).all(|((tile, strength), ((now, _), now_strength))| {
                        std::ptr::addr_eq(tile.as_ptr(), now.as_ptr()) && *strength == now_strength
                    })
            });
            if known {
                continue;
            }
            let passes = stack().filter_map(|((_, read), strength)| {
                let depth = read.iter().rposition(|plane| plane.iter().any(|&pair| pair != 0))? + 1;
                let mut planes = read[..depth].to_vec();
                planes.iter_mut().for_each(|plane| plane.resize(places.len().next_multiple_of(GROUP), 0));
                Some(PartPass { planes, strength })
            });
            let part = Arc::new(ThumbnailPart { places: places.clone(), passes: passes.collect() });
            let of = stack().map(|((tile, _), strength)| (tile.clone(), strength)).collect();
            parts.insert(pos, (of, part));
        }
    }
}

/// Tells whether a tile is still the same, without keeping it.
type KnownTile = Weak<dyn Any + Send + Sync>;

/// The tiles of a part, top first, with the strengths of their passes.
type MadeOf = Vec<(KnownTile, u16)>;

/// The cells of a grid that fall into one tile, with the pixels of the tile they show.
type Cells = Arc<[(usize, usize)]>;

fn is_same(known: &KnownTile, handle: &TileHandle) -> bool {
    std::ptr::addr_eq(known.as_ptr(), Arc::as_ptr(&handle.0))
}

impl Canvas {
    /// A thumbnail picture of what shows now, its longer side `max_side` cells (1 or more) or the canvas's, whichever is less. Reads
    /// only tiles that are others than at the last call, and of them only the rows that are needed.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn thumbnail(&mut self, max_side: u32) -> Result<Thumbnail, EngineError> {
        let grid = self.grid(max_side.max(1));
        let known = self.sampled.iter().position(|sampled| sampled.grid == grid);
        let mut sampled = match known {
            Some(i) => self.sampled.remove(i),
            None => Sampled { grid, cells: self.cells(grid.0, grid.1), ..Sampled::default() },
        };
        self.sampled.truncate(SIZES_KEPT - 1);
        self.read_others(&mut sampled)?;
        let shows = self.passes.iter().rev().filter(|p| p.visible && p.strength > 0);
        sampled.make_parts(&shows.map(|p| (p.id, p.strength)).collect::<Vec<_>>());
        let parts = sampled.parts.values().map(|(_, part)| part.clone()).collect();
        self.sampled.insert(0, sampled);
        Ok(Thumbnail { width: grid.0, height: grid.1, parts })
    }

    #[expect(clippy::cast_possible_truncation, reason = "not longer than the side of the canvas")]
    fn grid(&self, max_side: u32) -> (u32, u32) {
        let longer = self.size.width.max(self.size.height).max(1);
        let side = max_side.min(longer);
        let part = |length: u32| ((u64::from(length) * u64::from(side) / u64::from(longer)) as u32).max(1);
        (part(self.size.width), part(self.size.height))
    }

    /// The cells by the tile that the middle of each falls into.
    #[expect(clippy::cast_possible_truncation, reason = "held to the canvas")]
    fn cells(&self, width: u32, height: u32) -> BTreeMap<TilePos, Cells> {
        let middle = |i: u32, of: u32, length: u32| {
            ((u64::from(i) * 2 + 1) * u64::from(length) / (u64::from(of) * 2)).min(u64::from(length) - 1) as u32
        };
        let mut cells: BTreeMap<TilePos, Vec<(usize, usize)>> = BTreeMap::new();
        for row in 0..height {
            let y = middle(row, height, self.size.height);
            for column in 0..width {
                let x = middle(column, width, self.size.width);
                let (pos, pixel) = tile_of_pixel(x, y);
                cells.entry(pos).or_default().push(((row * width + column) as usize, pixel));
            }
        }
        cells.into_iter().map(|(pos, cells)| (pos, cells.into())).collect()
    }

    /// Reads the tiles that are others than at the last call, and forgets those that are gone.
    fn read_others(&mut self, sampled: &mut Sampled) -> Result<(), EngineError> {
        let sampled_here = self.away.heads.keys().filter(|key| sampled.cells.contains_key(&key.pos));
        self.bring(sampled_here.copied().collect::<Vec<_>>())?;
        let now = |key: &TileKey| self.live.get(key).or_else(|| self.tiles.get(key));
        sampled.tiles.retain(|key, (known, _)| now(key).is_some_and(|tile| is_same(known, tile)));
        let wanted: BTreeMap<TileKey, (&TileHandle, &Cells)> = self
            .tiles
            .keys()
            .chain(self.live.keys())
            .filter(|key| !sampled.tiles.contains_key(key))
            .filter_map(|key| Some((*key, (now(key)?, sampled.cells.get(&key.pos)?))))
            .collect();
        let samples: Vec<_> = wanted
            .values()
            .map(|(tile, cells)| TileSample { tile, pixels: cells.iter().map(|&(_, pixel)| pixel).collect() })
            .collect();
        let read = self.engine.sample(&samples)?;
        let known =
            wanted.into_iter().zip(read).map(|((key, (tile, _)), planes)| (key, (Arc::downgrade(&tile.0), planes)));
        sampled.tiles.extend(known);
        Ok(())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::StrokeOp;
    use crate::cpu::CpuEngine;
    use crate::mask::{CanvasSize, Mask, MaskTile};
    use stint_model::ids::{PaintId, PassId};
    use stint_model::pass::{Pass, PassKind};
    use stint_model::study::tile::TILE_SIDE;

    const SIZE: CanvasSize = CanvasSize { width: 300, height: 200 };

    fn canvas() -> Canvas {
        let pass = |id: u32, strength| Pass { strength, ..Pass::new(PassId(id), "pass", PassKind::Board) };
        let passes = [pass(1, u16::MAX), pass(2, 40_000)];
        let mut canvas =
            Canvas::new(SIZE, Box::new(CpuEngine::default()), PaintLut::for_tests(9, |_| false), &passes).unwrap();
        for (pass, paint, column, cover) in [(1, 3, 0, u16::MAX), (1, 5, 1, 30_000), (2, 7, 1, 20_000), (2, 2, 2, 9)] {
            let mut mask = Mask::new(SIZE);
            mask.tiles.insert(TilePos { column, row: 0 }, MaskTile::Even(cover));
            canvas.commit(PassId(pass), &StrokeOp::lay(PaintId(paint)), &mask).unwrap();
        }
        canvas
    }

    /// Colours that the engine shows at the middles of the cells.
    fn resolved(canvas: &mut Canvas, width: u32, height: u32) -> Vec<u32> {
        let places: Vec<_> = (0..2).flat_map(|row| (0..3).map(move |column| TilePos { column, row })).collect();
        let tiles = canvas.resolve(&places).unwrap();
        let at = |x: u32, y: u32| {
            let tile = y / TILE_SIDE * 3 + x / TILE_SIDE;
            tiles[(tile * TILE_SIDE * TILE_SIDE + y % TILE_SIDE * TILE_SIDE + x % TILE_SIDE) as usize]
        };
        let middle = |i: u32, of: u32, length: u32| (2 * i + 1) * length / (2 * of);
        let cells = (0..height).flat_map(|row| (0..width).map(move |column| (column, row)));
        cells.map(|(column, row)| at(middle(column, width, 300), middle(row, height, 200))).collect()
    }

    #[test]
    fn cells_tell_their_cover_and_the_class_with_the_most_paint() {
        let mut canvas = canvas();
        let thumbnail = canvas.thumbnail(60).unwrap();
        // Odd paints are of one class, even ones of another, and paint 2 of none.
        let mut cells = vec![CellPaint::default(); 60 * 40];
        for part in thumbnail.parts_since(None) {
            let found = part.cell_paints(|id| (id.0 != 2).then_some(id.0 % 2));
            part.places().zip(found).for_each(|(place, cell)| cells[place] = cell);
        }
        let mut at = |x: u32, y: u32| {
            let (column, row) = (x * 60 / 300, y * 40 / 200);
            let mut amounts = [0; 2];
            let found = canvas.paints_at((2 * column + 1) * 300 / 120, (2 * row + 1) * 200 / 80).unwrap();
            found.iter().filter(|(id, _)| id.0 != 2).for_each(|(id, a)| amounts[usize::from(id.0 % 2)] += a);
            let class = (amounts != [0; 2]).then_some(u16::from(amounts[1] > amounts[0]));
            (cells[(row * 60 + column) as usize], CellPaint { cover: found.iter().map(|(_, a)| a).sum(), class })
        };
        for (x, y) in [(5, 5), (130, 60), (200, 20), (290, 10), (20, 190)] {
            let (cell, wanted) = at(x, y);
            assert_eq!(cell, wanted, "{x},{y}");
        }
    }

    #[test]
    fn a_small_picture_shows_what_the_engine_shows() {
        let mut canvas = canvas();
        let thumbnail = canvas.thumbnail(60).unwrap();
        assert_eq!((thumbnail.width(), thumbnail.height()), (60, 40));
        let shown = thumbnail.colours(&canvas.paints);
        assert_eq!(shown, resolved(&mut canvas, 60, 40));
        // Other paints: the same picture coloured anew is what the engine shows with them.
        let other = PaintLut::for_tests(12, |_| false);
        assert_ne!(thumbnail.colours(&other), shown);
        canvas.set_paints(other.clone());
        assert_eq!(thumbnail.colours(&other), resolved(&mut canvas, 60, 40));
        // A canvas smaller than the wish is taken as it is.
        assert_eq!(canvas.thumbnail(5000).unwrap().width(), 300);
        let narrow = Canvas::new(
            CanvasSize { width: 1000, height: 1 },
            Box::new(CpuEngine::default()),
            PaintLut::for_tests(1, |_| false),
            &[],
        );
        let thumbnail = narrow.unwrap().thumbnail(10).unwrap();
        assert_eq!((thumbnail.width(), thumbnail.height(), thumbnail.colours(&other).len()), (10, 1, 10));
    }

    #[test]
    fn pictures_of_several_sizes_are_kept_up_side_by_side() {
        let mut canvas = canvas();
        for side in [60, 30, 60, 15, 10] {
            let thumbnail = canvas.thumbnail(side).unwrap();
            let (width, height) = (thumbnail.width(), thumbnail.height());
            assert_eq!(thumbnail.colours(&canvas.paints), resolved(&mut canvas, width, height), "{side}");
            let mut mask = Mask::new(SIZE);
            mask.tiles.insert(TilePos { column: 1, row: 1 }, MaskTile::Even(9000));
            canvas.commit(PassId(1), &StrokeOp::lay(PaintId(6)), &mask).unwrap();
        }
        let sizes: Vec<_> = canvas.sampled.iter().map(|sampled| sampled.grid.0).collect();
        assert_eq!(sizes, [10, 15, 60]);
    }

    #[test]
    fn only_tiles_that_changed_are_read_again() {
        let mut canvas = canvas();
        canvas.thumbnail(60).unwrap();
        let known = canvas.sampled[0].tiles.len();
        assert_eq!(known, 4);
        // What is known is believed: a mark in it is seen in the picture.
        let marked = TileKey { pass: PassId(1), pos: TilePos { column: 0, row: 0 } };
        canvas.sampled[0].tiles.get_mut(&marked).unwrap().1[0].fill(9 << 16 | 65_535);
        canvas.sampled[0].parts.clear();
        assert_ne!(canvas.thumbnail(60).unwrap().colours(&canvas.paints), resolved(&mut canvas, 60, 40));
        // Until its tile is another one.
        let mut mask = Mask::new(SIZE);
        mask.tiles.insert(marked.pos, MaskTile::Even(100));
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(4)), &mask).unwrap();
        assert_eq!(canvas.thumbnail(60).unwrap().colours(&canvas.paints), resolved(&mut canvas, 60, 40));
        // A picture that was given away stays as it was, and a pass that lost its tiles is gone from the next.
        let before = canvas.thumbnail(60).unwrap();
        let copy = before.colours(&canvas.paints);
        canvas.clear_pass(PassId(2)).unwrap();
        let after = canvas.thumbnail(60).unwrap();
        assert_eq!(before.colours(&canvas.paints), copy);
        assert!(after.parts.iter().all(|part| part.passes.len() <= 1));
        assert_eq!(after.colours(&canvas.paints), resolved(&mut canvas, 60, 40));
        canvas.set_passes(&[]);
        assert!(canvas.thumbnail(60).unwrap().parts.iter().all(|part| part.passes.is_empty()));
        assert!(canvas.sampled[0].tiles.is_empty());
    }

    #[test]
    fn a_picture_shares_with_the_last_one_what_did_not_change() {
        let mut canvas = canvas();
        let places = |parts: &[&ThumbnailPart]| parts.iter().map(|p| p.places().next().unwrap()).collect::<Vec<_>>();
        let first = canvas.thumbnail(60).unwrap();
        assert_eq!(first.parts_since(None).len(), 6);
        assert!(canvas.thumbnail(60).unwrap().parts_since(Some(&first)).is_empty());
        // A mark on one tile: its part alone is another one.
        let mut mask = Mask::new(SIZE);
        mask.tiles.insert(TilePos { column: 1, row: 0 }, MaskTile::Even(100));
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(4)), &mask).unwrap();
        let second = canvas.thumbnail(60).unwrap();
        assert_eq!(places(&second.parts_since(Some(&first))), [26]);
        assert_eq!(second.colours(&canvas.paints), resolved(&mut canvas, 60, 40));
        // A pass that shows less changes what it has paint on.
        let pass = |id: u32, strength| Pass { strength, ..Pass::new(PassId(id), "pass", PassKind::Board) };
        canvas.set_passes(&[pass(1, u16::MAX), pass(2, 9)]);
        let third = canvas.thumbnail(60).unwrap();
        assert_eq!(third.parts_since(Some(&second)).len(), 2);
        assert_eq!(third.colours(&canvas.paints), resolved(&mut canvas, 60, 40));
        assert_eq!(canvas.thumbnail(90).unwrap().parts_since(Some(&third)).len(), 6);
    }
}
