//! The rag: blotches of folded cloth; pressure closes them.

use crate::mask::group::{Group, step};
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// The rag.
pub struct Rag;

impl Cover for Rag {
    const WIDEST: f32 = 1.25;

    fn beyond_px(end: &Rib) -> f32 {
        end.half_px * 0.4 + 2.0
    }

    /// The far side of the step by which the mark ends.
    fn end_px(half_px: f32) -> f32 {
        0.7 * half_px
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
        let (x, y) = stroke.grain_at(spot);
        let scale = 48.0 / stroke.size_px.clamp(24.0, 160.0);
        let cloth = stroke.noise.cloth.at(x * scale * 1.3, y * scale * 1.3);
        let half = spot.half * (0.95 + 0.40 * (cloth - 0.5));
        let ends = step(-0.3 * half, 0.45 * half, spot.s) * step(-0.3 * half, 0.5 * half, spot.e);
        let edge = step(1.0, 0.55, spot.d.abs() / half) * ends;
        if !edge.simd_gt(0.0).any() {
            return Group::ZERO;
        }
        let height = 0.64 * cloth + 0.22 * stroke.tooth(spot) + 0.14 * stroke.streak(spot.s * 0.5, spot.u, 0.0);
        // The edge eats into the blotches rather than paling them.
        edge.sqrt() * step(spot.dry - 0.08, spot.dry + 0.14, height - 0.18 * (1.0 - edge))
    }
}
