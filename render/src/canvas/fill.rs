//! Filling an area: what shows alike around a place, as far as it is bounded, gaps in the boundary closed.
//!
//! The area is looked for on the picture as it shows, tile by tile as far as it reaches, on any thread: a [`FillSource`] holds the tiles as
//! they are now. Colours are those of the CPU engine, so that an area does not depend on the machine's GPU. To close gaps the flood keeps half a
//! gap away from everything that is not alike, and what it reached then grows back by as much. A pixel of the boundary itself is covered by
//! half, so that no fringe stays between an area and a soft edge around it.

use super::Canvas;
use crate::cpu::CpuEngine;
use crate::engine::answer::Answer;
use crate::engine::{Engine, EngineError, Layer, Stack};
use crate::mask::{CanvasSize, Mask, MaskTile, tile_of_pixel};
use std::collections::BTreeMap;
use stint_model::colour::Colour;
use stint_model::colour::difference::delta_ok;
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};

/// Widest gap that can be closed, pixels.
pub const MAX_GAP_PX: u32 = 60;
/// Words of a tile's bits.
const WORDS: usize = TILE_PIXELS / 64;

/// Where to fill, and what belongs to the area.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Fill {
    /// Column and row of a pixel of the area.
    pub at: (u32, u32),
    /// How far a colour may lie from the one there and still belong to the area, deltaEOK, 0 to 1.
    pub tolerance: f32,
    /// Gaps in the boundary up to this width are closed, pixels, 0 to [`MAX_GAP_PX`].
    pub gap_px: u32,
}

/// The picture as it showed at some moment, for looking for an area on another thread.
pub struct FillSource {
    size: CanvasSize,
    engine: CpuEngine,
    stacks: BTreeMap<TilePos, Stack>,
}

/// One bit for each pixel of some tiles.
#[derive(Clone)]
struct Bits {
    columns: usize,
    tiles: Vec<Option<Box<[u64; WORDS]>>>,
}

impl Bits {
    fn new(size: CanvasSize) -> Self {
        let columns = usize::from(size.columns());
        Bits { columns, tiles: vec![None; columns * usize::from(size.rows())] }
    }

    fn place(&self, pos: TilePos) -> usize {
        usize::from(pos.row) * self.columns + usize::from(pos.column)
    }

    fn tile(&self, pos: TilePos) -> Option<&[u64; WORDS]> {
        self.tiles[self.place(pos)].as_deref()
    }

    fn put(&mut self, pos: TilePos, words: Box<[u64; WORDS]>) {
        let place = self.place(pos);
        self.tiles[place] = Some(words);
    }

    fn is_full(&self, pos: TilePos) -> bool {
        self.tile(pos).is_some_and(|words| words.iter().all(|word| *word == u64::MAX))
    }

    #[inline(always)]
    fn get(&self, x: u32, y: u32) -> bool {
        let (pos, index) = tile_of_pixel(x, y);
        self.tile(pos).is_some_and(|words| words[index / 64] >> (index % 64) & 1 == 1)
    }

    /// Sets a bit; tells whether it was not set before.
    #[inline(always)]
    fn set(&mut self, x: u32, y: u32) -> bool {
        let (pos, index) = tile_of_pixel(x, y);
        let place = self.place(pos);
        let word = &mut self.tiles[place].get_or_insert_with(|| Box::new([0; WORDS]))[index / 64];
        let before = *word;
        *word |= 1 << (index % 64);
        *word != before
    }

    /// The tiles that have bits.
    #[expect(clippy::cast_possible_truncation, reason = "a canvas has far fewer than 65536 columns and rows of tiles")]
    fn places(&self) -> impl Iterator<Item = TilePos> {
        let some = self.tiles.iter().enumerate().filter(|(_, tile)| tile.is_some());
        some.map(|(i, _)| TilePos { column: (i % self.columns) as u16, row: (i / self.columns) as u16 })
    }
}

/// The picture as far as it was looked at.
struct Seen<'a> {
    source: &'a mut FillSource,
    cancelled: &'a dyn Fn() -> bool,
    alike: Bits,
    /// Alike, and so far away from everything else.
    open: Bits,
    like: Colour,
    tolerance: f32,
    radius: u32,
}

/// The four neighbours of a pixel, and those across corners, as far as they lie on the canvas.
fn around(size: CanvasSize, x: u32, y: u32, corners: bool) -> impl Iterator<Item = (u32, u32)> {
    let near = [(-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (1, -1), (-1, 1), (1, 1)];
    near.into_iter().take(if corners { 8 } else { 4 }).filter_map(move |(dx, dy)| {
        let (x, y) = (x.checked_add_signed(dx)?, y.checked_add_signed(dy)?);
        (x < size.width && y < size.height).then_some((x, y))
    })
}

/// A tile and the eight around it, as far as they lie on the canvas.
fn tiles_around(size: CanvasSize, pos: TilePos) -> impl Iterator<Item = TilePos> {
    let near = |at: u16, end: u16| at.saturating_sub(1)..=(at + 1).min(end.saturating_sub(1));
    near(pos.row, size.rows())
        .flat_map(move |row| near(pos.column, size.columns()).map(move |column| TilePos { column, row }))
}

fn colour_of(word: u32) -> Colour {
    let [r, g, b, _] = word.to_le_bytes();
    Colour::from_srgb8([r, g, b])
}

impl Seen<'_> {
    /// Looks at some tiles.
    fn look(&mut self, wanted: impl Iterator<Item = TilePos>) -> Result<(), FillError> {
        let places: Vec<TilePos> = wanted.filter(|pos| self.alike.tile(*pos).is_none()).collect();
        if places.is_empty() {
            return Ok(());
        }
        if (self.cancelled)() {
            return Err(FillError::Cancelled);
        }
        let colours = self.source.resolve(&places)?;
        let like = self.like.oklab();
        // Neighbours mostly have one colour.
        let mut last: Option<(u32, bool)> = None;
        for (pos, pixels) in places.into_iter().zip(colours.chunks_exact(TILE_PIXELS)) {
            let mut words = Box::new([0; WORDS]);
            for (i, &pixel) in pixels.iter().enumerate() {
                let is_alike = match last {
                    Some((word, is_alike)) if word == pixel => is_alike,
                    _ => {
                        let is_alike = delta_ok(colour_of(pixel).oklab(), like) <= self.tolerance;
                        last = Some((pixel, is_alike));
                        is_alike
                    }
                };
                words[i / 64] |= u64::from(is_alike) << (i % 64);
            }
            self.alike.put(pos, words);
        }
        Ok(())
    }

    /// Finds out where a tile is open; its neighbours are looked at.
    fn open_up(&mut self, pos: TilePos) -> Result<(), FillError> {
        if self.open.tile(pos).is_some() {
            return Ok(());
        }
        let size = self.source.size;
        self.look(tiles_around(size, pos))?;
        // Tiles at the edge of the canvas have bits beyond it.
        let inside = |pos: TilePos| size.tile_extent(pos) == (TILE_SIDE, TILE_SIDE);
        if tiles_around(size, pos).all(|near| inside(near) && self.alike.is_full(near)) {
            self.open.put(pos, Box::new([u64::MAX; WORDS]));
            return Ok(());
        }
        let radius = self.radius as usize;
        let side = TILE_SIDE as usize + 2 * radius;
        let (left, top) = (i64::from(pos.column) * 128 - radius as i64, i64::from(pos.row) * 128 - radius as i64);
        // Beyond the canvas nothing bounds an area: it ends there anyway.
        let closed = |x: usize, y: usize| {
            let place = |at: i64, limit: u32| u32::try_from(at).ok().filter(|at| *at < limit);
            let on = place(left + x as i64, size.width).zip(place(top + y as i64, size.height));
            on.is_some_and(|(x, y)| !self.alike.get(x, y))
        };
        let mut across: Vec<bool> = (0..side * side).map(|i| closed(i % side, i / side)).collect();
        widen(&mut across, side, radius, 1);
        widen(&mut across, side, radius, side);
        let mut words = Box::new([0; WORDS]);
        for i in 0..TILE_PIXELS {
            let (x, y) = (i % TILE_SIDE as usize + radius, i / TILE_SIDE as usize + radius);
            words[i / 64] |= u64::from(!across[y * side + x]) << (i % 64);
        }
        self.open.put(pos, words);
        Ok(())
    }

    /// Whether a tile is open to its last pixel, all of them on the canvas.
    fn is_all_open(&self, pos: TilePos) -> bool {
        self.source.size.tile_extent(pos) == (TILE_SIDE, TILE_SIDE) && self.open.is_full(pos)
    }
}

/// Spreads what is set by `radius` along the rows (`stride` 1) or the columns of a square.
fn widen(grid: &mut [bool], side: usize, radius: usize, stride: usize) {
    let step = if stride == 1 { side } else { 1 };
    let mut set: Vec<usize> = Vec::with_capacity(side);
    for line in 0..side {
        let at = |i: usize| line * step + i * stride;
        set.clear();
        set.extend((0..side).filter(|&i| grid[at(i)]));
        // Where the last one reached, nothing needs to be set again.
        let mut done = 0;
        for &i in &set {
            for near in i.saturating_sub(radius).max(done)..=(i + radius).min(side - 1) {
                grid[at(near)] = true;
            }
            done = (i + radius + 1).min(side);
        }
    }
}

/// Why there is no area.
#[derive(Debug, thiserror::Error)]
pub enum FillError {
    /// Nobody wants it any more.
    #[error("the area is not wanted any more")]
    Cancelled,
    /// The engine failed.
    #[error(transparent)]
    Engine(#[from] EngineError),
}

impl Canvas {
    /// The picture as it shows now, with a stroke in the making, for [`FillSource::mask`]. Never waits: the answer may be taken on any thread.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn fill_source(&mut self) -> Result<Answer<FillSource>, EngineError> {
        let places: Vec<TilePos> = self.size.tiles().collect();
        let stacks = self.stacks(&places)?;
        let handles: Vec<_> = stacks.iter().flat_map(|s| s.layers.iter().map(|l| l.tile.clone())).collect();
        let strengths: Vec<Vec<u16>> = stacks.iter().map(|s| s.layers.iter().map(|l| l.strength).collect()).collect();
        let answer = self.with_room(|canvas| canvas.engine_with_paints()?.request_lift(&handles, &[]))?;
        let (size, paints) = (self.size, self.paints.clone());
        Ok(answer.map(move |(pixels, _)| {
            let mut kept = pixels.into_iter().map(CpuEngine::kept);
            let stack = |strengths: Vec<u16>| {
                let layers = strengths.into_iter().filter_map(|strength| Some(Layer { tile: kept.next()?, strength }));
                Stack { layers: layers.collect() }
            };
            let stacks = places.into_iter().zip(strengths.into_iter().map(stack)).collect();
            FillSource { size, engine: CpuEngine::with_paints(paints), stacks }
        }))
    }

    /// The mask of an area; nothing where the place does not lie on the canvas.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn fill_mask(&mut self, fill: Fill) -> Result<Mask, FillError> {
        self.fill_source()?.take()?.mask(fill, &|| false)
    }
}

impl FillSource {
    /// Colours of some tiles: packed 8-bit sRGB.
    fn resolve(&mut self, places: &[TilePos]) -> Result<Vec<u32>, EngineError> {
        let bare = Stack { layers: Vec::new() };
        let stacks: Vec<_> = places.iter().map(|pos| self.stacks.get(pos).unwrap_or(&bare).clone()).collect();
        self.engine.resolve(&stacks)
    }

    /// The mask of an area; nothing where the place does not lie on the canvas. `cancelled` is asked now and then.
    ///
    /// # Errors
    /// When it is not wanted any more, or the engine fails.
    pub fn mask(mut self, fill: Fill, cancelled: &dyn Fn() -> bool) -> Result<Mask, FillError> {
        let size = self.size;
        let mut mask = Mask::new(size);
        let (x, y) = fill.at;
        if x >= size.width || y >= size.height {
            return Ok(mask);
        }
        let (first, index) = tile_of_pixel(x, y);
        let like = colour_of(self.resolve(&[first])?[index]);
        let mut radius = fill.gap_px.min(MAX_GAP_PX).div_ceil(2);
        // Where the area is narrower than the gap, the widest gap that leaves it open counts.
        let mut alike = Bits::new(size);
        let (mut seen, reached) = loop {
            let open = Bits::new(size);
            let source = &mut self;
            let mut seen = Seen { source, cancelled, alike, open, like, tolerance: fill.tolerance, radius };
            seen.open_up(first)?;
            if radius == 0 || seen.open.get(x, y) {
                let reached = flood(&mut seen, (x, y))?;
                break (seen, reached);
            }
            radius /= 2;
            alike = seen.alike;
        };
        let filled = grow_back(&mut seen, reached)?;
        let mut edge = Bits::new(size);
        for_each_at_an_edge(&filled, size, |x, y| {
            for (x, y) in around(size, x, y, true).filter(|&(x, y)| !filled.get(x, y)) {
                edge.set(x, y);
            }
        });
        let tiles: std::collections::BTreeSet<TilePos> = filled.places().chain(edge.places()).collect();
        for pos in tiles {
            if filled.is_full(pos) {
                mask.tiles.insert(pos, MaskTile::Even(u16::MAX));
                continue;
            }
            let bit = |bits: &Bits, i: usize| bits.tile(pos).is_some_and(|words| words[i / 64] >> (i % 64) & 1 == 1);
            mask.tiles.insert(
                pos,
                MaskTile::from_fn(|i| match (bit(&filled, i), bit(&edge, i)) {
                    (true, _) => u16::MAX,
                    (false, true) => u16::MAX / 2,
                    (false, false) => 0,
                }),
            );
        }
        Ok(mask)
    }
}

/// Calls for every pixel whose bit is set, but those of tiles that are full among full ones.
#[expect(clippy::cast_possible_truncation, reason = "an index in a tile is below 16384")]
fn for_each_at_an_edge(bits: &Bits, size: CanvasSize, mut each: impl FnMut(u32, u32)) {
    for pos in bits.places() {
        if tiles_around(size, pos).all(|near| bits.is_full(near)) {
            continue;
        }
        let Some(words) = bits.tile(pos) else { continue };
        let (left, top) = (u32::from(pos.column) * TILE_SIDE, u32::from(pos.row) * TILE_SIDE);
        for (i, &word) in words.iter().enumerate() {
            let mut rest = word;
            while rest != 0 {
                let index = i as u32 * 64 + rest.trailing_zeros();
                each(left + index % TILE_SIDE, top + index / TILE_SIDE);
                rest &= rest - 1;
            }
        }
    }
}

/// Everything open that hangs together with a pixel.
fn flood(seen: &mut Seen<'_>, from: (u32, u32)) -> Result<Bits, FillError> {
    let size = seen.source.size;
    let mut reached = Bits::new(size);
    let mut waiting = vec![from];
    while let Some((x, y)) = waiting.pop() {
        let (pos, _) = tile_of_pixel(x, y);
        seen.open_up(pos)?;
        if !seen.open.get(x, y) {
            continue;
        }
        if seen.is_all_open(pos) {
            if !reached.is_full(pos) {
                reached.put(pos, Box::new([u64::MAX; WORDS]));
                waiting.extend(beside(size, pos).filter(|&(x, y)| !reached.get(x, y)));
            }
            continue;
        }
        if reached.set(x, y) {
            waiting.extend(around(size, x, y, false).filter(|&(x, y)| !reached.get(x, y)));
        }
    }
    Ok(reached)
}

/// The pixels along the four sides of a tile, outside it and on the canvas.
fn beside(size: CanvasSize, pos: TilePos) -> impl Iterator<Item = (u32, u32)> {
    let (left, top) = (u32::from(pos.column) * TILE_SIDE, u32::from(pos.row) * TILE_SIDE);
    let (right, bottom) = (left + TILE_SIDE, top + TILE_SIDE);
    let columns = [left.checked_sub(1), Some(right).filter(|x| *x < size.width)].into_iter().flatten();
    let rows = [top.checked_sub(1), Some(bottom).filter(|y| *y < size.height)].into_iter().flatten();
    let down = columns.flat_map(move |x| (top..bottom.min(size.height)).map(move |y| (x, y)));
    let across = rows.flat_map(move |y| (left..right.min(size.width)).map(move |x| (x, y)));
    down.chain(across)
}

/// Grows by the radius that the flood kept away, within what is alike.
fn grow_back(seen: &mut Seen<'_>, reached: Bits) -> Result<Bits, FillError> {
    let size = seen.source.size;
    let mut filled = reached;
    let mut front: Vec<(u32, u32)> = Vec::new();
    for_each_at_an_edge(&filled, size, |x, y| {
        if around(size, x, y, true).any(|(x, y)| !filled.get(x, y)) {
            front.push((x, y));
        }
    });
    for _ in 0..seen.radius {
        let mut next = Vec::new();
        for (x, y) in front {
            // Across corners too: what was kept away from is a square.
            for (x, y) in around(size, x, y, true) {
                seen.look(std::iter::once(tile_of_pixel(x, y).0))?;
                if seen.alike.get(x, y) && filled.set(x, y) {
                    next.push((x, y));
                }
            }
        }
        front = next;
    }
    Ok(filled)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::StrokeOp;
    use crate::cpu::CpuEngine;
    use crate::mask::mass::Edge;
    use crate::paints::PaintLut;
    use stint_model::ids::{PaintId, PassId};
    use stint_model::pass::{Pass, PassKind};

    const SIZE: CanvasSize = CanvasSize { width: 300, height: 200 };

    fn canvas() -> Canvas {
        let lut = PaintLut::for_tests(8, |_| false);
        Canvas::new(SIZE, Box::new(CpuEngine::default()), lut, &[Pass::new(PassId(1), "pass", PassKind::Board)])
            .unwrap()
    }

    fn block(canvas: &mut Canvas, paint: u16, [left, top, right, bottom]: [f32; 4]) {
        let mut mask = Mask::new(SIZE);
        mask.add_mass(&[[left, top], [right, top], [right, bottom], [left, bottom]], Edge::Hard, u16::MAX).unwrap();
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(paint)), &mask).unwrap();
    }

    /// A frame around columns 60 to 240 and rows 40 to 160, eight pixels wide, across the edges of tiles.
    fn frame(canvas: &mut Canvas) {
        for sides in [
            [60.0, 40.0, 240.0, 48.0],
            [60.0, 152.0, 240.0, 160.0],
            [60.0, 40.0, 68.0, 160.0],
            [232.0, 40.0, 240.0, 160.0],
        ] {
            block(canvas, 8, sides);
        }
    }

    fn fill(canvas: &mut Canvas, at: (u32, u32), gap_px: u32) -> Mask {
        canvas.fill_mask(Fill { at, tolerance: 0.05, gap_px }).unwrap()
    }

    fn covered(mask: &Mask) -> usize {
        (0..SIZE.width * SIZE.height).filter(|i| mask.at(i % SIZE.width, i / SIZE.width) == 65535).count()
    }

    #[test]
    fn a_bounded_area_is_filled_to_its_edge_and_no_further() {
        let mut canvas = canvas();
        frame(&mut canvas);
        for gap_px in [0, 12] {
            let inside = fill(&mut canvas, (150, 100), gap_px);
            // By hand: 164 columns and 104 rows lie inside; half cover on the first pixel of the frame, none behind it.
            assert_eq!(covered(&inside), 164 * 104, "{gap_px}");
            assert_eq!((inside.at(67, 100), inside.at(66, 100), inside.at(10, 10)), (32767, 0, 0));
            let outside = fill(&mut canvas, (5, 5), gap_px);
            assert_eq!(covered(&outside), 300 * 200 - 180 * 120, "{gap_px}");
        }
        let line = fill(&mut canvas, (64, 100), 12);
        assert_eq!(
            covered(&line),
            180 * 120 - 164 * 104,
            "a frame that is narrower than the gap is filled all the same"
        );
        assert!(fill(&mut canvas, (300, 5), 0).tiles.is_empty());
    }

    #[test]
    fn a_gap_in_the_boundary_is_closed_when_asked_for() {
        let mut canvas = canvas();
        frame(&mut canvas);
        // A gap of six rows.
        block(&mut canvas, 1, [60.0, 97.0, 68.0, 103.0]);
        let base = |canvas: &mut Canvas| block(canvas, 1, [68.0, 48.0, 232.0, 152.0]);
        base(&mut canvas);
        block(&mut canvas, 1, [0.0, 0.0, 300.0, 40.0]);
        block(&mut canvas, 1, [0.0, 160.0, 300.0, 200.0]);
        block(&mut canvas, 1, [0.0, 40.0, 60.0, 160.0]);
        block(&mut canvas, 1, [240.0, 40.0, 300.0, 160.0]);
        let leaks = fill(&mut canvas, (150, 100), 0);
        assert_eq!(leaks.at(10, 10), 65535);
        let holds = fill(&mut canvas, (150, 100), 10);
        assert_eq!(holds.at(10, 10), 0);
        // All of the inside, and at most the gap itself.
        assert!((164 * 104..=164 * 104 + 8 * 6).contains(&covered(&holds)), "{}", covered(&holds));
    }

    /// Tiles that are open to the last pixel are taken whole; what is reached is the same as pixel by pixel, around a corner and back.
    #[test]
    fn a_large_area_is_filled_to_its_last_pixel() {
        let size = CanvasSize { width: 1100, height: 900 };
        let lut = PaintLut::for_tests(8, |_| false);
        let passes = [Pass::new(PassId(1), "pass", PassKind::Board)];
        let mut canvas = Canvas::new(size, Box::new(CpuEngine::default()), lut, &passes).unwrap();
        let mut mask = Mask::new(size);
        // A wall of 5 px from the top, which leaves a way round below, and a closed box of 64 px inside.
        for [left, top, right, bottom] in [[550.0, 0.0, 555.0, 700.0], [700.0, 500.0, 764.0, 564.0]] {
            let outline = [[left, top], [right, top], [right, bottom], [left, bottom]];
            mask.add_mass(&outline, Edge::Hard, u16::MAX).unwrap();
        }
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(8)), &mask).unwrap();
        for gap_px in [0, 20] {
            let filled = canvas.fill_mask(Fill { at: (20, 20), tolerance: 0.02, gap_px }).unwrap();
            let full = (0..size.width * size.height).filter(|i| filled.at(i % size.width, i / size.width) == 65535);
            assert_eq!(full.count(), 1100 * 900 - 5 * 700 - 64 * 64, "{gap_px}");
        }
        let source = canvas.fill_source().unwrap().take().unwrap();
        let refused = source.mask(Fill { at: (20, 20), tolerance: 0.02, gap_px: 0 }, &|| true);
        assert!(matches!(refused, Err(FillError::Cancelled)));
    }

    #[test]
    fn the_tolerance_says_what_belongs() {
        let mut canvas = canvas();
        for i in 0..6_u16 {
            let left = 50.0 * f32::from(i);
            block(&mut canvas, i + 1, [left, 0.0, left + 50.0, 200.0]);
        }
        let strict = canvas.fill_mask(Fill { at: (10, 10), tolerance: 0.01, gap_px: 0 }).unwrap();
        assert_eq!(covered(&strict), 50 * 200);
        let loose = canvas.fill_mask(Fill { at: (10, 10), tolerance: 1.0, gap_px: 0 }).unwrap();
        assert_eq!(covered(&loose), 300 * 200);
    }
}
