//! What protects a part of the canvas: an outline, and the side of it that can be painted. It holds back cover where a stroke, a mass or a
//! fill has made some, before any engine sees it, so that all engines are held back alike.

use super::mass::{Edge, MassError};
use super::{CanvasSize, Mask, MaskTile, Visit, Visits};
use crate::amount::{FULL, scale};
use stint_model::study::protected::{ProtectedArea, Side};
use stint_model::study::tile::TilePos;

/// How much of each pixel lies inside a closed outline.
///
/// # Errors
/// When the outline cannot be filled.
pub fn inside_outline(size: CanvasSize, outline: &[[f32; 2]]) -> Result<Mask, MassError> {
    let mut inside = Mask::new(size);
    inside.add_mass(outline, Edge::Soft, u16::MAX)?;
    Ok(inside)
}

/// A protected area as cover: how much of each pixel lies inside its outline.
#[derive(Clone, PartialEq, Debug)]
pub struct Protection {
    inside: Mask,
    paintable: Side,
}

impl Protection {
    /// Of an area of a canvas.
    ///
    /// # Errors
    /// When the outline cannot be filled.
    pub fn new(size: CanvasSize, area: &ProtectedArea) -> Result<Self, MassError> {
        Ok(Protection { inside: inside_outline(size, &area.outline)?, paintable: area.paintable })
    }

    /// The canvas that it was made for.
    pub fn size(&self) -> CanvasSize {
        self.inside.size
    }

    /// How much of a pixel can be painted where so much of it lies inside, 0-65535.
    #[inline(always)]
    fn open(&self, inside: u16) -> u32 {
        match self.paintable {
            Side::Inside => inside.into(),
            Side::Outside => FULL - u32::from(inside),
        }
    }

    /// The cover of a tile as far as it can be painted; nothing where all of it is held back.
    #[expect(clippy::cast_possible_truncation, reason = "a part of a cover")]
    pub fn clip(&self, pos: TilePos, cover: &MaskTile) -> Option<MaskTile> {
        let nothing = MaskTile::Even(0);
        let inside = self.inside.tiles.get(&pos).unwrap_or(&nothing);
        match (inside, cover) {
            (MaskTile::Even(inside), _) if self.open(*inside) == 0 => None,
            (MaskTile::Even(inside), _) if self.open(*inside) == FULL => Some(cover.clone()),
            (MaskTile::Even(inside), MaskTile::Even(cover)) => {
                Some(MaskTile::Even(scale((*cover).into(), self.open(*inside)) as u16)).filter(is_covering)
            }
            (MaskTile::Even(_) | MaskTile::Pixels(_), _) => {
                let clipped = MaskTile::from_fn(|i| scale(cover.at(i).into(), self.open(inside.at(i))) as u16);
                Some(clipped).filter(is_covering)
            }
        }
    }

    /// Holds a whole mask back.
    pub fn clip_mask(&self, mask: &mut Mask) {
        let tiles = std::mem::take(&mut mask.tiles);
        mask.tiles = tiles.into_iter().filter_map(|(pos, tile)| Some((pos, self.clip(pos, &tile)?))).collect();
    }

    /// Holds the visits of a stroke back, as their cover is.
    pub fn clip_visits(&self, visits: &mut Visits) {
        for visits in [&mut visits.settled, &mut visits.provisional] {
            visits.retain_mut(|visit| self.clip_visit(visit));
        }
    }

    /// Tells whether anything is left of a visit.
    #[expect(clippy::cast_possible_truncation, reason = "a part of a cover")]
    fn clip_visit(&self, visit: &mut Visit) -> bool {
        let inside = self.inside.tiles.get(&visit.pos).map_or(0, |tile| tile.at(visit.index.into()));
        let open = self.open(inside);
        visit.from = scale(visit.from.into(), open) as u16;
        visit.to = scale(visit.to.into(), open) as u16;
        visit.from < visit.to
    }
}

fn is_covering(tile: &MaskTile) -> bool {
    match tile {
        MaskTile::Even(cover) => *cover > 0,
        MaskTile::Pixels(pixels) => pixels.iter().any(|cover| *cover > 0),
    }
}

/// The cover of a stroke in the making behind a protection: kept up tile by tile.
#[derive(Clone, Debug)]
pub struct ProtectedMask {
    protection: std::sync::Arc<Protection>,
    clipped: Mask,
}

impl ProtectedMask {
    /// Of a stroke that covers nothing yet.
    pub fn new(protection: std::sync::Arc<Protection>) -> Self {
        let clipped = Mask::new(protection.inside.size);
        ProtectedMask { protection, clipped }
    }

    /// Brings `touched` tiles in line with the stroke's own cover, and its visits.
    pub fn follow(&mut self, mask: &Mask, visits: &mut Visits, touched: impl Iterator<Item = TilePos>) {
        for pos in touched {
            match mask.tiles.get(&pos).and_then(|tile| self.protection.clip(pos, tile)) {
                Some(tile) => self.clipped.tiles.insert(pos, tile),
                None => self.clipped.tiles.remove(&pos),
            };
        }
        self.protection.clip_visits(visits);
    }

    /// The cover that is left.
    pub fn mask(&self) -> &Mask {
        &self.clipped
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::mask::brush::Brush;
    use crate::mask::{PenSample, StrokeMask};
    use std::sync::Arc;

    const SIZE: CanvasSize = CanvasSize { width: 400, height: 300 };

    /// Columns 100 to 300 and rows 50 to 200 and a half.
    fn protection(paintable: Side) -> Protection {
        let outline = vec![[100.0, 50.0], [300.0, 50.0], [300.0, 200.5], [100.0, 200.5]];
        Protection::new(SIZE, &ProtectedArea { outline, paintable }).unwrap()
    }

    #[test]
    fn cover_is_held_back_on_one_side_and_in_part_on_the_edge() {
        for (paintable, inside, edge, outside) in
            [(Side::Inside, 40_000, 20_000, 0), (Side::Outside, 0, 20_000, 40_000)]
        {
            let mut mask = Mask::new(SIZE);
            mask.tiles.extend(SIZE.tiles().map(|pos| (pos, MaskTile::Even(40_000))));
            protection(paintable).clip_mask(&mut mask);
            for (x, y, wanted) in
                [(150, 100, inside), (299, 199, inside), (200, 200, edge), (200, 201, outside), (50, 9, outside)]
            {
                // A pixel of the edge lies inside by half, to a unit either way.
                assert!(mask.at(x, y).abs_diff(wanted) <= 1, "{paintable:?} {x} {y}: {}", mask.at(x, y));
            }
        }
    }

    #[test]
    fn what_is_held_back_whole_leaves_no_tile() {
        let mut mask = Mask::new(SIZE);
        mask.tiles.insert(TilePos { column: 0, row: 2 }, MaskTile::Even(u16::MAX));
        protection(Side::Inside).clip_mask(&mut mask);
        assert!(mask.tiles.is_empty());
    }

    /// Kept up sample by sample it is the cover of the whole stroke, held back at the end.
    #[test]
    fn a_growing_stroke_is_held_back_as_a_whole_one() {
        let brush = Brush { size_px: 40.0, strength: 1.0, ..Brush::default() };
        for paintable in [Side::Inside, Side::Outside] {
            let protection = Arc::new(protection(paintable));
            let mut stroke = StrokeMask::new(SIZE, brush.clone()).unwrap();
            let mut held = ProtectedMask::new(protection.clone());
            for i in 0..20_u8 {
                let sample = PenSample::new(20.0 * f32::from(i), 40.0 + 9.0 * f32::from(i), 0.8);
                let touched = stroke.extend(&[sample]).unwrap();
                held.follow(stroke.mask(), &mut Visits::default(), touched.into_iter());
            }
            let mut whole = stroke.into_mask();
            protection.clip_mask(&mut whole);
            assert!(*held.mask() == whole);
        }
    }

    #[test]
    fn visits_are_held_back_as_their_cover_is() {
        let visit = |x: u32, y: u32| {
            let (pos, index) = crate::mask::tile_of_pixel(x, y);
            Visit { pos, index: index as u16, lane: 0, from: 10_000, to: 30_000, pressure: 1 }
        };
        let mut visits = Visits { settled: vec![visit(150, 100), visit(20, 20)], ..Visits::default() };
        visits.provisional = vec![visit(200, 200)];
        protection(Side::Inside).clip_visits(&mut visits);
        assert_eq!(visits.settled, [visit(150, 100)]);
        let [edge] = visits.provisional[..] else { panic!("the edge is half open") };
        assert!(edge.from.abs_diff(5_000) <= 1 && edge.to.abs_diff(15_000) <= 1);
    }
}
