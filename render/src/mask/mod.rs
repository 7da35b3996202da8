//! The mask: how much of each pixel one stroke covers.
//!
//! A mask is made once, on the CPU, and handed to whichever engine commits it. So what a stroke covers never depends on the
//! machine's GPU, and both engines start from equal bits. [`StrokeMask`] builds it from a brush and the hand's samples, [`mass`] from an outline.

pub(crate) mod angle;
mod area;
mod bare;
pub mod brush;
pub mod curve;
mod dabs;
mod group;
mod hand;
mod kinds;
pub mod loose;
pub mod mark;
pub mod mass;
mod noise;
mod one_euro;
pub mod outline;
mod path;
mod pen_sample;
pub mod pressure_curve;
pub mod protect;
mod ribs;
mod spline;
mod strips;
mod stroke;
mod sweep;
mod swept;
mod visits;

pub use pen_sample::{PenSample, Pointer};
pub use stroke::StrokeMask;
pub use visits::{Visit, Visits};

use std::collections::{BTreeMap, BTreeSet};
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};

/// Makes the tables of noise that brushes are drawn with, once, which takes a fifth of a second: whoever opens a study beside the window
/// calls it there. The first mark makes them otherwise.
pub fn prepare() {
    noise::noise();
}

/// Cover of one tile, 0-65535 a pixel.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum MaskTile {
    /// The same everywhere: the inside of a mass.
    Even(u16),
    /// One value a pixel, row by row.
    Pixels(Box<[u16; TILE_PIXELS]>),
}

impl MaskTile {
    /// A tile of single pixels; `cover` gives the value for each index in the tile.
    pub fn from_fn(cover: impl FnMut(usize) -> u16) -> Self {
        MaskTile::Pixels(Box::new(std::array::from_fn(cover)))
    }

    /// Cover of the pixel with this index in the tile.
    ///
    /// # Panics
    /// When the index is [`TILE_PIXELS`] or more and the tile is not even.
    #[inline]
    pub fn at(&self, index: usize) -> u16 {
        match self {
            MaskTile::Even(value) => *value,
            MaskTile::Pixels(pixels) => pixels[index],
        }
    }

    /// The pixels for writing; an even tile becomes single pixels.
    pub fn pixels_mut(&mut self) -> &mut [u16; TILE_PIXELS] {
        if let MaskTile::Even(value) = *self {
            *self = MaskTile::Pixels(Box::new([value; TILE_PIXELS]));
        }
        match self {
            MaskTile::Pixels(pixels) => pixels,
            MaskTile::Even(_) => unreachable!("an even tile was made pixels just above"),
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
    /// Tiles across; 65535 for a canvas that is wider than tiles can be counted.
    pub fn columns(self) -> u16 {
        u16::try_from(self.width.div_ceil(TILE_SIDE)).unwrap_or(u16::MAX)
    }

    /// Tiles down; 65535 for a canvas that is higher than tiles can be counted.
    pub fn rows(self) -> u16 {
        u16::try_from(self.height.div_ceil(TILE_SIDE)).unwrap_or(u16::MAX)
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

/// The tile that holds a canvas pixel, and the index of the pixel in it, row by row.
#[inline(always)]
#[expect(clippy::cast_possible_truncation, reason = "the side of a canvas is far below 65536 tiles")]
pub(crate) fn tile_of_pixel(x: u32, y: u32) -> (TilePos, usize) {
    let pos = TilePos { column: (x / TILE_SIDE) as u16, row: (y / TILE_SIDE) as u16 };
    (pos, (y % TILE_SIDE * TILE_SIDE + x % TILE_SIDE) as usize)
}

/// Cover of one stroke, tile by tile. Nothing outside the canvas is ever covered.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mask {
    /// The canvas it was made for.
    pub size: CanvasSize,
    /// Covered tiles.
    pub tiles: BTreeMap<TilePos, MaskTile>,
}

/// Tiles as they were before something provisional was drawn on them; none where there was no tile.
type Saved = BTreeMap<TilePos, Option<MaskTile>>;

impl Mask {
    /// Takes back what is provisional; gives its tiles as they were until now.
    fn restore(&mut self, saved: &mut Saved) -> Saved {
        let take_back = |(pos, before): (TilePos, Option<MaskTile>)| {
            let shown = match before {
                Some(tile) => self.tiles.insert(pos, tile),
                None => self.tiles.remove(&pos),
            };
            (pos, shown)
        };
        std::mem::take(saved).into_iter().map(take_back).collect()
    }

    /// The tiles that are not as they were: of those `drawn` on, and of those that were taken back and are now as they are.
    fn changed(&self, drawn: BTreeSet<TilePos>, shown: &Saved) -> BTreeSet<TilePos> {
        let same = |pos: &TilePos| shown.get(pos).is_some_and(|shown| shown.as_ref() == self.tiles.get(pos));
        let mut changed = drawn;
        changed.extend(shown.keys());
        changed.retain(|pos| !same(pos));
        changed
    }

    /// A mask that covers nothing.
    pub fn new(size: CanvasSize) -> Self {
        Mask { size, tiles: BTreeMap::new() }
    }

    /// Cover of one canvas pixel.
    pub fn at(&self, x: u32, y: u32) -> u16 {
        let (pos, index) = tile_of_pixel(x, y);
        self.tiles.get(&pos).map_or(0, |t| t.at(index))
    }
}
