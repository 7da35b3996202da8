//! Soften: blends what is there, without adding or taking paint.
//!
//! Under the mask a pixel becomes the mean of itself and of places spread evenly around it; at half cover half way.
//! What is averaged is paint, so the result is still board paint. This runs on the CPU for every engine: it reaches across
//! tiles, is used in small places, and so gives equal bits everywhere.

use super::Canvas;
use super::pair_sums::PairSums;
use crate::amount::FULL;
use crate::engine::{EngineError, TileHandle};
use crate::mask::{CanvasSize, MaskTile, tile_of_pixel};
use crate::paints::PaintLut;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_PIXELS, TILE_SIDE, TileKey, TilePixels, TilePos};

/// Farthest that paint is carried: one tile.
const MAX_RADIUS_PX: f32 = 120.0;

/// Pairs of opposite places around a pixel that are looked at.
const PAIRS: u32 = 16;

/// Places around a pixel, pixels: an even spiral over the disc (H. Vogel, "A better way to construct the sunflower head", Math.
/// Biosciences 44:179-189, 1979; from memory), each with its opposite, so that a straight edge stays where it is.
#[expect(clippy::cast_possible_truncation, reason = "places lie within 120 px")]
fn ring(radius_px: f32) -> Vec<(i32, i32)> {
    let radius = radius_px.clamp(1.0, MAX_RADIUS_PX);
    let golden_angle = std::f32::consts::PI * (3.0 - 5.0_f32.sqrt());
    let spot = |i: u32| {
        let (sin, cos) = (i as f32 * golden_angle).sin_cos();
        let far = radius * ((i as f32 + 0.5) / PAIRS as f32).sqrt();
        ((cos * far).round() as i32, (sin * far).round() as i32)
    };
    (0..PAIRS).map(spot).flat_map(|(x, y)| [(x, y), (-x, -y)]).collect()
}

/// Tiles around those that are softened.
struct Surrounding {
    tiles: BTreeMap<TilePos, Arc<TilePixels>>,
    size: CanvasSize,
}

impl Surrounding {
    /// Pairs of a canvas pixel; the edge repeats beyond the canvas.
    fn pairs(&self, x: i32, y: i32) -> impl Iterator<Item = u32> {
        let x = x.clamp(0, self.size.width as i32 - 1) as u32;
        let y = y.clamp(0, self.size.height as i32 - 1) as u32;
        let (pos, index) = tile_of_pixel(x, y);
        let planes = self.tiles.get(&pos).map(|t| t.planes()).unwrap_or_default();
        planes.iter().map(move |p| p[index]).take_while(|&pair| pair != 0)
    }

    #[expect(clippy::cast_possible_truncation, reason = "an index in a tile is below 16384")]
    fn soften(&self, pos: TilePos, mask: &MaskTile, ring: &[(i32, i32)], paints: &PaintLut) -> TilePixels {
        let base = self.tiles.get(&pos);
        let mut planes = vec![Plane::even(0); MAX_PLANES];
        for (to, from) in planes.iter_mut().zip(base.iter().flat_map(|t| t.planes())) {
            to.copy_from_slice(from);
        }
        let spots = ring.len() as u64 + 1;
        let whole = u64::from(FULL) * spots;
        let (left, top) = (i32::from(pos.column) * TILE_SIDE as i32, i32::from(pos.row) * TILE_SIDE as i32);
        let mut sums = PairSums::default();
        for i in 0..TILE_PIXELS {
            let cover = u64::from(mask.at(i));
            if cover == 0 {
                continue;
            }
            let (x, y) = (left + i as i32 % TILE_SIDE as i32, top + i as i32 / TILE_SIDE as i32);
            sums.clear();
            for pair in self.pairs(x, y) {
                sums.add(pair, (u64::from(FULL) - cover) * spots + cover);
            }
            for (dx, dy) in ring {
                for pair in self.pairs(x + dx, y + dy) {
                    sums.add(pair, cover);
                }
            }
            for (plane, pair) in planes.iter_mut().zip(sums.pixel(whole, paints)) {
                plane[i] = pair;
            }
        }
        TilePixels::new(planes)
    }
}

impl Canvas {
    /// New tiles, softened through masks.
    pub(super) fn soften(
        &mut self,
        radius_px: f32,
        places: &[(TileKey, &MaskTile)],
    ) -> Result<Vec<TileHandle>, EngineError> {
        let Some((first, _)) = places.first() else { return Ok(Vec::new()) };
        let pass = first.pass;
        let mut near = BTreeSet::new();
        for (key, _) in places {
            for (dx, dy) in (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (dx, dy))) {
                let place = (i32::from(key.pos.column) + dx, i32::from(key.pos.row) + dy);
                if let (Ok(column), Ok(row)) = (u16::try_from(place.0), u16::try_from(place.1)) {
                    near.insert(TilePos { column, row });
                }
            }
        }
        let held: Vec<_> =
            near.into_iter().filter_map(|pos| Some((pos, self.tiles.get(&TileKey { pass, pos })?.clone()))).collect();
        let handles: Vec<_> = held.iter().map(|(_, handle)| handle.clone()).collect();
        let pixels = self.engine.download(&handles)?;
        let tiles = held.into_iter().map(|(pos, _)| pos).zip(pixels).collect();
        let around = Surrounding { tiles, size: self.size };
        let ring = ring(radius_px);
        let paints = &self.paints;
        let softened: Vec<_> =
            places.par_iter().map(|(key, mask)| Arc::new(around.soften(key.pos, mask, &ring, paints))).collect();
        self.engine.upload(&softened)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::StrokeOp;
    use crate::cpu::CpuEngine;
    use crate::mask::Mask;
    use crate::mask::mass::Edge;
    use stint_model::ids::{PaintId, PassId};
    use stint_model::pass::{Pass, PassKind};

    fn canvas() -> Canvas {
        let size = CanvasSize { width: 300, height: 100 };
        let lut = PaintLut::for_tests(4, |_| false);
        let pass = Pass::new(PassId(1), "pass", PassKind::Board);
        Canvas::new(size, Box::new(CpuEngine::default()), lut, &[pass]).unwrap()
    }

    fn mass(canvas: &mut Canvas, work: &StrokeOp, outline: &[[f32; 2]]) {
        let mut mask = Mask::new(canvas.size());
        mask.add_mass(outline, Edge::Soft, u16::MAX).unwrap();
        canvas.commit(PassId(1), work, &mask).unwrap();
    }

    #[test]
    fn an_edge_blends_across_tiles_and_no_paint_is_lost() {
        let mut canvas = canvas();
        mass(&mut canvas, &StrokeOp::lay(PaintId(1)), &[[0.0, 0.0], [128.0, 0.0], [128.0, 100.0], [0.0, 100.0]]);
        mass(&mut canvas, &StrokeOp::lay(PaintId(2)), &[[128.0, 0.0], [300.0, 0.0], [300.0, 100.0], [128.0, 100.0]]);
        let before = canvas.tally().unwrap().clone();
        let soften = StrokeOp::Soften { radius_px: 10.0 };
        mass(&mut canvas, &soften, &[[100.0, 0.0], [160.0, 0.0], [160.0, 100.0], [100.0, 100.0]]);
        // Far from the edge nothing changes; at the edge both paints meet; the canvas stays full.
        assert_eq!(canvas.paints_at(105, 50).unwrap(), [(PaintId(1), 65535)]);
        let edge = canvas.paints_at(127, 50).unwrap();
        assert_eq!(edge.len(), 2);
        assert_eq!(edge.iter().map(|p| p.1).sum::<u32>(), 65535);
        let after = canvas.tally().unwrap();
        assert_eq!(after.total(), before.total());
        // The edge is straight and the ring symmetric, so what one side gains the other gives.
        let moved = after.amount(PaintId(1)).abs_diff(before.amount(PaintId(1)));
        assert!(moved < 65535 * 100, "{moved}");
    }
}
