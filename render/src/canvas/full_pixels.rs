//! Pixels that hold eight paints, the most there is room for: what a ninth paint displaced there went to the paint most like it, so
//! how their amounts are shared among single swatches is approximate. Totals of a class are exact all the same.

use super::Canvas;
use crate::amount::{FULL, scale};
use crate::pixel::amount_of;
use stint_model::study::tile::{MAX_PLANES, TILE_PIXELS, TilePixels};

/// Amounts in the pixels of a tile that hold eight paints; costs nothing for a tile of fewer planes.
pub(super) fn in_full_pixels(tile: &TilePixels) -> u64 {
    let planes = tile.planes();
    let Some(top) = planes.get(MAX_PLANES - 1) else { return 0 };
    let amounts = |i: usize| planes.iter().map(|plane| u64::from(amount_of(plane[i]))).sum::<u64>();
    (0..TILE_PIXELS).filter(|&i| top[i] != 0).map(amounts).sum()
}

impl Canvas {
    /// Amounts in pixels of visible passes that hold eight paints, as strong as their pass shows; what passes above them hide counts
    /// too. 65535 is one pixel in full.
    #[expect(clippy::cast_possible_truncation, reason = "whole pixels and the rest of one, each within its type")]
    pub fn in_full_pixels(&self) -> u64 {
        let strength =
            |pass| self.passes.iter().find(|p| p.id == pass && p.visible).map_or(0, |p| u32::from(p.strength));
        let shown = |(key, amount): (&stint_model::study::tile::TileKey, &u64)| {
            let (pixels, rest) = (amount / u64::from(FULL), (amount % u64::from(FULL)) as u32);
            pixels * u64::from(strength(key.pass)) + u64::from(scale(rest, strength(key.pass)))
        };
        self.full_pixels.iter().map(shown).sum()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::StrokeOp;
    use crate::cpu::CpuEngine;
    use crate::mask::{CanvasSize, Mask, MaskTile};
    use crate::paints::PaintLut;
    use stint_model::ids::{PaintId, PassId};
    use stint_model::pass::{Pass, PassKind};
    use stint_model::study::tile::TilePos;

    const SIZE: CanvasSize = CanvasSize { width: 128, height: 128 };

    /// Seven even glazes, and an eighth over the upper half.
    fn glazed(canvas: &mut Canvas) {
        for paint in 1..=8 {
            let mut mask = Mask::new(SIZE);
            let half =
                MaskTile::Pixels(Box::new(std::array::from_fn(|i| if i < TILE_PIXELS / 2 { 20_000 } else { 0 })));
            let tile = if paint < 8 { MaskTile::Even(30_000) } else { half };
            mask.tiles.insert(TilePos { column: 0, row: 0 }, tile);
            canvas.commit(PassId(1), &StrokeOp::lay(PaintId(paint)), &mask).unwrap();
        }
    }

    #[test]
    fn only_paint_in_pixels_of_eight_paints_counts_and_it_follows_every_change() {
        let passes = |strength, visible| [Pass { strength, visible, ..Pass::new(PassId(1), "pass", PassKind::Board) }];
        let lut = PaintLut::for_tests(12, |_| false);
        let mut canvas = Canvas::new(SIZE, Box::new(CpuEngine::default()), lut, &passes(u16::MAX, true)).unwrap();
        glazed(&mut canvas);
        let tiles = canvas.all_tiles().unwrap();
        let upper: u64 = tiles[0]
            .1
            .planes()
            .iter()
            .flat_map(|p| p.iter().take(TILE_PIXELS / 2))
            .map(|&w| u64::from(w & 0xffff))
            .sum();
        assert_eq!(canvas.in_full_pixels(), upper);

        canvas.set_passes(&passes(32768, true));
        assert!(canvas.in_full_pixels().abs_diff(upper / 2) < TILE_PIXELS as u64, "{}", canvas.in_full_pixels());
        canvas.set_passes(&passes(u16::MAX, false));
        assert_eq!(canvas.in_full_pixels(), 0);
        canvas.set_passes(&passes(u16::MAX, true));

        let cleared = canvas.clear_pass(PassId(1)).unwrap();
        assert_eq!(canvas.in_full_pixels(), 0);
        canvas.revert(cleared);
        assert_eq!(canvas.in_full_pixels(), upper);
        // From the study file, and away.
        let stored = vec![(tiles[0].0, (*tiles[0].1).clone())];
        canvas.put_tiles(vec![(tiles[0].0, TilePixels::default())]).unwrap();
        assert_eq!(canvas.in_full_pixels(), 0);
        canvas.put_tiles(stored).unwrap();
        assert_eq!(canvas.in_full_pixels(), upper);
        // Covered in full by one paint.
        let mut mask = Mask::new(SIZE);
        mask.tiles.insert(TilePos { column: 0, row: 0 }, MaskTile::Even(u16::MAX));
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(3)), &mask).unwrap();
        assert_eq!(canvas.in_full_pixels(), 0);
    }
}
