//! Rectangles of canvas pixels: what a piece of a stroke has changed, and how far that reaches.

use crate::mask::{CanvasSize, Visit};
use stint_model::study::tile::{TILE_SIDE, TilePos};

/// From the left and top pixel up to, but not with, the right and bottom one.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Rect {
    pub left: u32,
    pub top: u32,
    pub right: u32,
    pub bottom: u32,
}

impl Rect {
    /// The part of a tile that lies on the canvas.
    pub fn of_tile(pos: TilePos, size: CanvasSize) -> Rect {
        let (left, top) = (u32::from(pos.column) * TILE_SIDE, u32::from(pos.row) * TILE_SIDE);
        let (across, down) = size.tile_extent(pos);
        Rect { left, top, right: left + across, bottom: top + down }
    }

    /// Around the pixels of some visits; none where there are none.
    pub fn of_visits(visits: &[Visit]) -> Option<Rect> {
        let pixel = |visit: &Visit| {
            let (column, row) = (u32::from(visit.pos.column), u32::from(visit.pos.row));
            let index = u32::from(visit.index);
            let (left, top) = (column * TILE_SIDE + index % TILE_SIDE, row * TILE_SIDE + index / TILE_SIDE);
            Rect { left, top, right: left + 1, bottom: top + 1 }
        };
        visits.iter().map(pixel).reduce(Rect::around)
    }

    /// The smallest that holds both.
    pub fn around(self, other: Rect) -> Rect {
        Rect {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// What both have; none where they do not meet.
    pub fn common(self, other: Rect) -> Option<Rect> {
        let both = Rect {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            bottom: self.bottom.min(other.bottom),
        };
        (both.left < both.right && both.top < both.bottom).then_some(both)
    }

    /// Larger by so many pixels on every side, as far as the canvas goes.
    pub fn grown(self, by: u32, size: CanvasSize) -> Rect {
        Rect {
            left: self.left.saturating_sub(by),
            top: self.top.saturating_sub(by),
            right: (self.right + by).min(size.width),
            bottom: (self.bottom + by).min(size.height),
        }
    }

    /// Pixels across and down.
    pub fn extent(self) -> (usize, usize) {
        ((self.right - self.left) as usize, (self.bottom - self.top) as usize)
    }

    /// The tiles that it touches, row by row.
    #[expect(clippy::cast_possible_truncation, reason = "the side of a canvas is far below 65536 tiles")]
    pub fn tiles(self) -> impl Iterator<Item = TilePos> {
        let across = self.left / TILE_SIDE..self.right.div_ceil(TILE_SIDE);
        let down = self.top / TILE_SIDE..self.bottom.div_ceil(TILE_SIDE);
        down.flat_map(move |row| across.clone().map(move |column| TilePos { column: column as u16, row: row as u16 }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rectangles_by_hand() {
        let size = CanvasSize { width: 300, height: 200 };
        let tile = Rect::of_tile(TilePos { column: 2, row: 1 }, size);
        assert_eq!(tile, Rect { left: 256, top: 128, right: 300, bottom: 200 });
        let visit = |column, index| {
            let pos = TilePos { column, row: 0 };
            Visit { pos, index, lane: 0, from: 0, to: 1, pressure: 0 }
        };
        assert_eq!(Rect::of_visits(&[]), None);
        // Column 1 of row 1 in the first tile, column 3 of row 0 in the second.
        let both = Rect::of_visits(&[visit(0, 129), visit(1, 3)]);
        let both = both.map(|both| (both, both.grown(130, size), both.tiles().count()));
        let found = Rect { left: 1, top: 0, right: 132, bottom: 2 };
        assert_eq!(both, Some((found, Rect { left: 0, top: 0, right: 262, bottom: 132 }, 2)));
        assert_eq!((found.common(tile), found.extent()), (None, (131, 2)));
        let lower = Rect { left: 0, top: 1, right: 5, bottom: 9 };
        assert_eq!(found.common(lower), Some(Rect { left: 1, top: 1, right: 5, bottom: 2 }));
    }
}
