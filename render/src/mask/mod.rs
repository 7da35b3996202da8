//! The mask: how much of each pixel one stroke covers.
//!
//! A mask is made once, on the CPU, and handed to whichever engine commits it. So what a stroke covers never depends on the
//! machine's GPU, and both engines start from equal bits. [`dabs`] builds it from a brush, [`mass`] from an outline.

pub mod brush;
pub mod dabs;
pub mod mass;
pub mod path;

use std::collections::BTreeMap;
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};

/// Cover of one tile, 0-65535 a pixel.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum MaskTile {
    /// The same everywhere: the inside of a mass.
    Even(u16),
    /// One value a pixel, row by row, [`TILE_PIXELS`] of them.
    Pixels(Box<[u16]>),
}

impl MaskTile {
    /// Cover of the pixel with this index in the tile.
    #[inline]
    pub fn at(&self, index: usize) -> u16 {
        match self {
            MaskTile::Even(value) => *value,
            MaskTile::Pixels(pixels) => pixels[index],
        }
    }

    /// The pixels for writing; an even tile becomes single pixels.
    pub fn pixels_mut(&mut self) -> &mut [u16] {
        if let MaskTile::Even(value) = self {
            *self = MaskTile::Pixels(vec![*value; TILE_PIXELS].into_boxed_slice());
        }
        match self {
            MaskTile::Pixels(pixels) => pixels,
            MaskTile::Even(_) => &mut [],
        }
    }
}

/// Size of a canvas, for clipping.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct CanvasSize {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

impl CanvasSize {
    /// Tiles across.
    pub fn columns(self) -> u16 {
        self.width.div_ceil(TILE_SIDE) as u16
    }

    /// Tiles down.
    pub fn rows(self) -> u16 {
        self.height.div_ceil(TILE_SIDE) as u16
    }

    /// All tile places, row by row.
    pub fn tiles(self) -> impl Iterator<Item = TilePos> {
        let columns = self.columns();
        (0..self.rows()).flat_map(move |row| (0..columns).map(move |column| TilePos { column, row }))
    }

    /// Width and height in pixels of the part of a tile that lies on the canvas.
    pub fn tile_extent(self, pos: TilePos) -> (u32, u32) {
        let part = |at: u16, all: u32| all.saturating_sub(u32::from(at) * TILE_SIDE).min(TILE_SIDE);
        (part(pos.column, self.width), part(pos.row, self.height))
    }
}

/// Cover of one stroke, tile by tile. Nothing outside the canvas is ever covered.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mask {
    /// The canvas it was made for.
    pub size: CanvasSize,
    /// Covered tiles.
    pub tiles: BTreeMap<TilePos, MaskTile>,
}

impl Mask {
    /// A mask that covers nothing.
    pub fn new(size: CanvasSize) -> Self {
        Mask { size, tiles: BTreeMap::new() }
    }

    /// Cover of one canvas pixel.
    pub fn at(&self, x: u32, y: u32) -> u16 {
        let pos = TilePos { column: (x / TILE_SIDE) as u16, row: (y / TILE_SIDE) as u16 };
        let index = (y % TILE_SIDE * TILE_SIDE + x % TILE_SIDE) as usize;
        self.tiles.get(&pos).map_or(0, |t| t.at(index))
    }
}
