//! Soften: blends what is there, without adding or taking paint.
//!
//! Under the mask a pixel exchanges paint with places spread evenly around it, each exchange as strong as the weaker cover of the two
//! places: deep under a full mask it becomes the mean of itself and of those places. What one pixel gives the other takes, so over
//! the canvas no paint gains or loses but by rounding. What is exchanged is paint, so the result is still board paint. This runs on the
//! CPU for every engine: it reaches across tiles, is used in small places, and so gives equal bits everywhere.

use super::Canvas;
use super::pair_sums::PairSums;
use crate::amount::FULL;
use crate::engine::{EngineError, TileHandle};
use crate::mask::{Mask, MaskTile, tile_of_pixel};
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

/// Tiles around those that are softened, and the cover of the stroke.
struct Surrounding<'a> {
    tiles: BTreeMap<TilePos, Arc<TilePixels>>,
    mask: &'a Mask,
}

impl Surrounding<'_> {
    /// Cover and pairs of a canvas pixel; none beyond the canvas.
    fn at(&self, x: i32, y: i32) -> Option<(u64, impl Iterator<Item = u32>)> {
        let (x, y) = (u32::try_from(x).ok()?, u32::try_from(y).ok()?);
        if x >= self.mask.size.width || y >= self.mask.size.height {
            return None;
        }
        let (pos, index) = tile_of_pixel(x, y);
        let cover = self.mask.tiles.get(&pos)?.at(index);
        let planes = self.tiles.get(&pos).map(|t| t.planes()).unwrap_or_default();
        Some((cover.into(), planes.iter().map(move |p| p[index]).take_while(|&pair| pair != 0)))
    }

    #[expect(clippy::cast_possible_truncation, reason = "an index in a tile is below 16384")]
    fn soften(&self, pos: TilePos, ring: &[(i32, i32)], paints: &PaintLut) -> TilePixels {
        let base = self.tiles.get(&pos);
        let mut planes = vec![Plane::even(0); MAX_PLANES];
        for (to, from) in planes.iter_mut().zip(base.iter().flat_map(|t| t.planes())) {
            to.copy_from_slice(from);
        }
        // What all weights of a pixel sum to.
        let whole = u64::from(FULL) * (ring.len() as u64 + 1);
        let (left, top) = (i32::from(pos.column) * TILE_SIDE as i32, i32::from(pos.row) * TILE_SIDE as i32);
        let mut sums = PairSums::default();
        for i in 0..TILE_PIXELS {
            let (x, y) = (left + i as i32 % TILE_SIDE as i32, top + i as i32 / TILE_SIDE as i32);
            let Some((cover, own)) = self.at(x, y).filter(|(cover, _)| *cover > 0) else { continue };
            sums.clear();
            let mut kept = whole;
            for (dx, dy) in ring {
                let Some((other, pairs)) = self.at(x + dx, y + dy) else { continue };
                let weight = cover.min(other);
                kept -= weight;
                for pair in pairs {
                    sums.add(pair, weight);
                }
            }
            for pair in own {
                sums.add(pair, kept);
            }
            for (plane, pair) in planes.iter_mut().zip(sums.pixel(whole, paints)) {
                plane[i] = pair;
            }
        }
        TilePixels::new(planes)
    }
}

/// The tile and the eight around it, as far as tiles can be counted.
fn around(pos: TilePos) -> impl Iterator<Item = TilePos> {
    (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (dx, dy))).filter_map(move |(dx, dy)| {
        let column = u16::try_from(i32::from(pos.column) + dx).ok()?;
        Some(TilePos { column, row: u16::try_from(i32::from(pos.row) + dy).ok()? })
    })
}

/// Tiles that soften changes where the cover of some tiles has changed: paint is exchanged across their edges too.
pub(super) fn reached(touched: &BTreeSet<TilePos>, mask: &Mask) -> BTreeSet<TilePos> {
    touched.iter().flat_map(|&pos| around(pos)).filter(|pos| mask.tiles.contains_key(pos)).collect()
}

impl Canvas {
    /// New tiles, softened through the mask of the stroke.
    pub(super) fn soften(
        &mut self,
        radius_px: f32,
        places: &[(TileKey, &MaskTile)],
        mask: &Mask,
    ) -> Result<Vec<TileHandle>, EngineError> {
        let Some((first, _)) = places.first() else { return Ok(Vec::new()) };
        let pass = first.pass;
        let near: BTreeSet<_> = places.iter().flat_map(|(key, _)| around(key.pos)).collect();
        let held: Vec<_> =
            near.into_iter().filter_map(|pos| Some((pos, self.tiles.get(&TileKey { pass, pos })?.clone()))).collect();
        let handles: Vec<_> = held.iter().map(|(_, handle)| handle.clone()).collect();
        let pixels = self.engine.download(&handles)?;
        let tiles = held.into_iter().map(|(pos, _)| pos).zip(pixels).collect();
        let surrounding = Surrounding { tiles, mask };
        let ring = ring(radius_px);
        let paints = &self.paints;
        let softened: Vec<_> =
            places.par_iter().map(|(key, _)| Arc::new(surrounding.soften(key.pos, &ring, paints))).collect();
        self.engine.upload(&softened)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::StrokeOp;
    use crate::cpu::CpuEngine;
    use crate::mask::CanvasSize;
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
