//! Tiles as the study file stores them.
//!
//! A tile is 128 x 128 pixels and 0 to 8 planes; a plane holds one u32 a pixel, row by row: paint id in the upper 16 bits,
//! amount (0-65535, 65535 = full cover) in the lower. Pairs are packed: a pixel's non-empty pairs fill the lowest planes.

use crate::ids::PassId;

/// Side of a tile in pixels.
pub const TILE_SIDE: u32 = 128;
/// Pixels of a tile.
pub const TILE_PIXELS: usize = (TILE_SIDE * TILE_SIDE) as usize;
/// Most planes a tile can have: paints a pixel.
pub const MAX_PLANES: usize = 8;

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

/// The pixels of a tile. No planes means no paint.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct TilePixels {
    /// Planes of [`TILE_PIXELS`] words each, lowest first.
    pub planes: Vec<Vec<u32>>,
}

impl TilePixels {
    /// Drops upper planes that are empty everywhere.
    pub fn trim(&mut self) {
        while self.planes.last().is_some_and(|p| p.iter().all(|&w| w == 0)) {
            self.planes.pop();
        }
    }
}
