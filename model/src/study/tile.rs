//! Tiles as the study file stores them.
//!
//! A tile is 128 x 128 pixels and 0 to 8 planes; a plane holds one u32 a pixel, row by row: paint id in the upper 16 bits,
//! amount (0-65535, 65535 = full cover) in the lower. Pairs are packed: a pixel's non-empty pairs fill the lowest planes.

use crate::ids::PassId;
use std::ops::{Deref, DerefMut};

/// Side of a tile in pixels.
pub const TILE_SIDE: u32 = 128;
/// Pixels of a tile.
pub const TILE_PIXELS: usize = (TILE_SIDE * TILE_SIDE) as usize;
/// Most planes a tile can have: paints a pixel.
pub const MAX_PLANES: usize = 8;
/// Memory that the tiles of a study may take at any moment of its history, in bytes, every plane counted in full: 65,536
/// planes. It is told from the number of planes stored with each tile, before any is unpacked.
pub const TILE_BUDGET_BYTES: u64 = 4 << 30;

/// Where a tile lies: column and row in tiles, from the top left.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct TilePos {
    /// Column, `x / 128`.
    pub column: u16,
    /// Row, `y / 128`.
    pub row: u16,
}

/// A tile of one pass.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct TileKey {
    /// The pass.
    pub pass: PassId,
    /// The place.
    pub pos: TilePos,
}

/// A tile in words.
pub(super) fn place_of(key: TileKey) -> String {
    format!("the paint of pass {} in tile column {}, row {}", key.pass, key.pos.column, key.pos.row)
}

/// One plane of a tile: exactly [`TILE_PIXELS`] words, row by row.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Plane(Box<[u32; TILE_PIXELS]>);

impl Plane {
    /// A plane of one word for all pixels; 0 is no paint.
    pub fn even(word: u32) -> Self {
        Self::try_from(vec![word; TILE_PIXELS]).unwrap_or_else(|_| unreachable!("it has the length of a plane"))
    }

    /// A plane whose words are `word(0)`, `word(1)` … [`TILE_PIXELS`] of them.
    pub fn from_fn(word: impl FnMut(usize) -> u32) -> Self {
        let words: Vec<u32> = (0..TILE_PIXELS).map(word).collect();
        Self::try_from(words).unwrap_or_else(|_| unreachable!("it has the length of a plane"))
    }

    /// The word of all pixels, if they have one.
    pub fn even_word(&self) -> Option<u32> {
        let word = self.0[0];
        self.0.iter().all(|&w| w == word).then_some(word)
    }
}

impl TryFrom<Vec<u32>> for Plane {
    /// The words, when there are not [`TILE_PIXELS`] of them.
    type Error = Vec<u32>;

    fn try_from(words: Vec<u32>) -> Result<Self, Vec<u32>> {
        words.into_boxed_slice().try_into().map(Plane).map_err(<[u32]>::into_vec)
    }
}

impl Deref for Plane {
    type Target = [u32];

    fn deref(&self) -> &[u32] {
        &self.0[..]
    }
}

impl DerefMut for Plane {
    fn deref_mut(&mut self) -> &mut [u32] {
        &mut self.0[..]
    }
}

/// The pixels of a tile. No planes means no paint; the uppermost plane has paint somewhere.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct TilePixels {
    planes: Vec<Plane>,
}

impl TilePixels {
    /// A tile of these planes, lowest first. Upper planes that are empty everywhere are dropped.
    ///
    /// # Panics
    /// When there are more than [`MAX_PLANES`].
    pub fn new(mut planes: Vec<Plane>) -> Self {
        assert!(planes.len() <= MAX_PLANES, "a tile of {} planes, where {MAX_PLANES} are the most", planes.len());
        while planes.last().is_some_and(|p| p.iter().all(|&w| w == 0)) {
            planes.pop();
        }
        TilePixels { planes }
    }

    /// The planes, lowest first; at most [`MAX_PLANES`].
    pub fn planes(&self) -> &[Plane] {
        &self.planes
    }

    /// Whether there is no paint.
    pub fn is_empty(&self) -> bool {
        self.planes.is_empty()
    }

    /// The planes, to be changed and given to [`TilePixels::new`] again.
    pub fn into_planes(self) -> Vec<Plane> {
        self.planes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_has_the_words_of_a_tile_or_is_none() {
        assert_eq!(Plane::try_from(vec![1; 5]), Err(vec![1; 5]));
        assert!(Plane::try_from(vec![1; TILE_PIXELS + 1]).is_err());
        assert_eq!(Plane::try_from(vec![7; TILE_PIXELS]), Ok(Plane::even(7)));
        assert_eq!((Plane::even(7).even_word(), Plane::from_fn(|i| i as u32).even_word()), (Some(7), None));
    }

    #[test]
    fn empty_upper_planes_are_dropped() {
        let paint = Plane::from_fn(|i| u32::from(i == TILE_PIXELS - 1));
        let tile = TilePixels::new(vec![paint.clone(), Plane::even(0), paint.clone(), Plane::even(0)]);
        assert_eq!(tile.planes(), [paint.clone(), Plane::even(0), paint]);
        assert!(TilePixels::new(vec![Plane::even(0); MAX_PLANES]).is_empty());
    }

    #[test]
    #[should_panic(expected = "9 planes")]
    fn nine_planes_are_no_tile() {
        TilePixels::new(vec![Plane::even(1); MAX_PLANES + 1]);
    }
}
