//! What a tile must keep to be shown, and the sum of its paints, both found in one walk over its pixels.

use super::tile::{
    BLOCK_PIXELS, BLOCK_SIDE, BLOCKS, MAX_PLANES, Plane, TILE_PIXELS, TILE_SIDE, TileKey, TilePixels, Words,
    block_rows, place_of,
};
use std::collections::BTreeMap;

/// Most paint a pixel can hold: full cover.
const FULL: u32 = u16::MAX as u32;

/// What holds for every tile of a study.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    /// Canvas width and height in pixels.
    size: (u32, u32),
    /// The last id of the paint table, removed and free paints included; ids begin at 1.
    last_paint: u32,
}

impl Limits {
    pub(super) fn of(document: &super::Document) -> Self {
        let last_paint = u32::try_from(document.paints.len()).unwrap_or(u32::MAX);
        Limits { size: (document.width, document.height), last_paint }
    }
}

/// The sum of the amounts of each paint in a tile of one pass, whatever lies above it: 65535 is one pixel in full.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct TileTally(BTreeMap<u16, u32>);

impl TileTally {
    /// Bytes of a paint: its id and its sum, little-endian.
    const ENTRY_BYTES: usize = 6;

    /// Six bytes a paint, by id: the id (u16) and the sum (u32), both little-endian. A tile cannot hold more than
    /// 128 * 128 * 65535 < 2^32.
    pub(super) fn to_bytes(&self) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(self.0.len() * Self::ENTRY_BYTES);
        for (id, sum) in &self.0 {
            bytes.extend(id.to_le_bytes());
            bytes.extend(sum.to_le_bytes());
        }
        bytes
    }

    /// What [`TileTally::to_bytes`] wrote; none for bytes that it never writes for paints of the table.
    pub(super) fn from_bytes(bytes: &[u8], limits: &Limits) -> Option<Self> {
        let (entries, []) = bytes.as_chunks::<{ Self::ENTRY_BYTES }>() else { return None };
        let mut sums = BTreeMap::new();
        for &[i0, i1, s0, s1, s2, s3] in entries {
            let (id, sum) = (u16::from_le_bytes([i0, i1]), u32::from_le_bytes([s0, s1, s2, s3]));
            let is_known = id > 0 && u32::from(id) <= limits.last_paint;
            if !is_known || sum == 0 || sum > FULL * TILE_SIDE * TILE_SIDE || sums.insert(id, sum).is_some() {
                return None;
            }
        }
        Some(TileTally(sums))
    }

    /// The paints with their sums, by id.
    pub(super) fn iter(&self) -> impl Iterator<Item = (u16, u32)> {
        self.0.iter().map(|(id, sum)| (*id, *sum))
    }

    /// Counts the paints of a tile and checks it: every pixel is packed (non-empty pairs first), has no paint twice and at
    /// most [`FULL`] in all, every paint is in the table, and nothing lies beyond the edge of the canvas.
    ///
    /// # Errors
    /// What is wrong, in words.
    #[expect(clippy::cast_possible_truncation, reason = "a tile has 16384 pixels")]
    pub(super) fn count(tile: &TilePixels, key: TileKey, limits: &Limits) -> Result<TileTally, String> {
        let planes = tile.planes();
        let pos = key.pos;
        let left = u32::from(pos.column) * TILE_SIDE;
        let top = u32::from(pos.row) * TILE_SIDE;
        let wrong = |index: usize, what: String| {
            let (x, y) = (index as u32 % TILE_SIDE, index as u32 / TILE_SIDE);
            format!("{}: the pixel at column {}, row {} {what}", place_of(key), left + x, top + y)
        };
        let wide = limits.size.0.saturating_sub(left).min(TILE_SIDE) as usize;
        let high = limits.size.1.saturating_sub(top).min(TILE_SIDE) as usize;
        let whole = wide == TILE_SIDE as usize && high == TILE_SIDE as usize;
        let even: Option<Vec<u32>> = if whole { planes.iter().map(Plane::even_word).collect() } else { None };
        if let Some(words) = even {
            check_pixel(words.iter().copied(), limits.last_paint).map_err(|what| wrong(0, what))?;
            let sum = |word: u32| (word & 0xffff) * TILE_PIXELS as u32;
            let paints = words.into_iter().filter(|&w| w != 0).map(|w| ((w >> 16) as u16, sum(w)));
            return Ok(TileTally(paints.collect()));
        }
        for block in 0..BLOCKS {
            let words: ArrayOfWords<'_> =
                std::array::from_fn(|k| planes.get(k).map_or(Words::Even(0), |p| p.block(block)));
            check_block(&words[..planes.len()], block, (wide, high), limits.last_paint)
                .map_err(|(index, what)| wrong(index, what))?;
        }
        let mut tally = TileTally::default();
        planes.iter().for_each(|plane| tally.add(plane));
        Ok(tally)
    }

    /// Adds a plane of checked pixels. Neighbours mostly have one paint, so the map is asked only where it changes.
    #[expect(clippy::cast_possible_truncation, reason = "a block has 1024 pixels")]
    fn add(&mut self, plane: &Plane) {
        let (mut paint, mut sum) = (0, 0);
        for block in 0..BLOCKS {
            match plane.block(block) {
                Words::Even(word) => self.add_sum(word >> 16, (word & 0xffff) * BLOCK_PIXELS as u32),
                Words::Pixels(words) => {
                    for &word in words {
                        if word >> 16 != paint {
                            self.add_sum(paint, sum);
                            (paint, sum) = (word >> 16, 0);
                        }
                        sum += word & 0xffff;
                    }
                }
            }
        }
        self.add_sum(paint, sum);
    }

    #[expect(clippy::cast_possible_truncation, reason = "ids of paints are 16 bits wide")]
    fn add_sum(&mut self, paint: u32, sum: u32) {
        if sum > 0 {
            *self.0.entry(paint as u16).or_default() += sum;
        }
    }
}

/// The words of a block of each plane.
type ArrayOfWords<'a> = [Words<'a>; MAX_PLANES];

/// What is wrong with a block of some planes, and the index of the pixel in its tile; the canvas is `wide` and `high` from where the tile
/// begins.
fn check_block(
    planes: &[Words<'_>],
    block: usize,
    (wide, high): (usize, usize),
    last_paint: u32,
) -> Result<(), (usize, String)> {
    const SIDE: usize = TILE_SIDE as usize;
    const WIDTH: usize = BLOCK_SIDE as usize;
    let even = planes.iter().all(|words| matches!(words, Words::Even(_)));
    let mut last: ArrayOfPairs = [0; MAX_PLANES];
    for (row, at) in block_rows(block).enumerate() {
        let (left, y) = (at % SIDE, at / SIDE);
        for column in 0..WIDTH {
            let mut pairs = [0; MAX_PLANES];
            for (pair, words) in pairs.iter_mut().zip(planes) {
                *pair = words.at(row * WIDTH + column);
            }
            // Neighbours are mostly alike.
            let known = pairs == last;
            last = pairs;
            if left + column >= wide || y >= high {
                if pairs != [0; MAX_PLANES] {
                    return Err((at + column, "has paint beyond the edge of the canvas".to_owned()));
                }
            } else if !known {
                check_pixel(pairs[..planes.len()].iter().copied(), last_paint).map_err(|what| (at + column, what))?;
            }
        }
        // All its rows are like the first, but for where the canvas ends.
        if even && (row == 0 && at / SIDE + WIDTH <= high) {
            return Ok(());
        }
    }
    Ok(())
}

/// The pairs of a pixel.
type ArrayOfPairs = [u32; MAX_PLANES];

/// What is wrong with the pairs of a pixel, lowest first.
fn check_pixel(pairs: impl Iterator<Item = u32>, last_paint: u32) -> Result<(), String> {
    let mut seen = [0; MAX_PLANES];
    let (mut count, mut sum, mut ended) = (0, 0, false);
    for pair in pairs {
        if pair == 0 {
            ended = true;
            continue;
        }
        if ended {
            return Err("has an empty place below paint".to_owned());
        }
        let (paint, amount) = (pair >> 16, pair & 0xffff);
        if amount == 0 {
            return Err(format!("has a pair of paint {paint} without any"));
        }
        if paint == 0 || paint > last_paint {
            return Err(format!("has paint {paint}, which is not in the paint table"));
        }
        if seen[..count].contains(&paint) {
            return Err(format!("has paint {paint} twice"));
        }
        seen[count] = paint;
        count += 1;
        sum += amount;
    }
    if sum > FULL { Err(format!("holds {sum} of at most {FULL} parts of paint")) } else { Ok(()) }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::tile::TilePos;
    use super::*;
    use crate::ids::PassId;

    const LIMITS: Limits = Limits { size: (200, 130), last_paint: 9 };

    fn count(tile: &TilePixels, column: u16, row: u16) -> Result<TileTally, String> {
        TileTally::count(tile, TileKey { pass: PassId(1), pos: TilePos { column, row } }, &LIMITS)
    }

    /// A pair.
    fn of(paint: u32, amount: u32) -> u32 {
        paint << 16 | amount
    }

    fn only(index: usize, word: u32) -> Plane {
        Plane::from_fn(|i| if i == index { word } else { 0 })
    }

    #[test]
    fn sums_are_those_of_a_plain_count() {
        let lowest = Plane::from_fn(|i| of(1 + i as u32 / 100 % 9, 1 + i as u32));
        let second = Plane::from_fn(|i| if i % 3 == 0 { of(1 + (i as u32 / 100 + 1) % 9, 500) } else { 0 });
        let tile = TilePixels::new(vec![lowest, second]);
        let mut plain = BTreeMap::new();
        for word in tile.planes().iter().flat_map(|p| p.iter()).filter(|w| **w != 0) {
            *plain.entry((word >> 16) as u16).or_insert(0) += word & 0xffff;
        }
        assert_eq!(count(&tile, 0, 0).unwrap().0, plain);
        let even = TilePixels::new(vec![Plane::even(of(3, 65535))]);
        assert_eq!(count(&even, 0, 0).unwrap().to_bytes(), [3, 0, 0, 0xc0, 0xff, 0x3f]);
        assert!(count(&TilePixels::default(), 0, 0).unwrap().to_bytes().is_empty());
    }

    #[test]
    fn every_fault_of_a_pixel_has_its_place_and_words() {
        let paint = || only(300, of(1, 30_000));
        for (planes, words) in [
            (vec![Plane::even(0), paint()], "column 44, row 2 has an empty place below paint"),
            (vec![paint(), only(300, of(1, 5))], "has paint 1 twice"),
            (vec![paint(), only(300, of(2, 40_000))], "holds 70000 of at most 65535"),
            (vec![only(300, of(10, 1))], "has paint 10, which is not in the paint table"),
            (vec![only(300, of(0, 1))], "has paint 0, which"),
            (vec![only(300, of(4, 0))], "has a pair of paint 4 without any"),
            (vec![Plane::even(of(1, 40_000)), Plane::even(of(2, 40_000))], "column 0, row 0 holds 80000"),
        ] {
            let said = count(&TilePixels::new(planes), 0, 0).unwrap_err();
            assert!(said.contains(words), "{said}");
        }
    }

    #[test]
    fn nothing_lies_beyond_the_edge() {
        // The canvas ends 72 pixels into the second column and 2 into the second row.
        for (index, column, row, inside) in
            [(71, 1, 0, true), (72, 1, 0, false), (128 + 5, 0, 1, true), (256, 0, 1, false)]
        {
            let found = count(&TilePixels::new(vec![only(index, of(1, 9))]), column, row);
            assert_eq!(found.is_ok(), inside, "{index}: {found:?}");
        }
        let said = count(&TilePixels::new(vec![Plane::even(of(1, 9))]), 1, 0).unwrap_err();
        assert!(said.contains("column 200, row 0 has paint beyond the edge"), "{said}");
    }
}
