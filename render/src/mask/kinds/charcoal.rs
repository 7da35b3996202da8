//! Charcoal: a stick that leaves its dust on the humps of the canvas, more of them the harder it is pressed.

use crate::mask::group::{Group, at_least, choose, step};
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// Charcoal.
pub struct Charcoal;

impl Cover for Charcoal {
    const WIDEST: f32 = 1.1;

    fn beyond_px(end: &Rib) -> f32 {
        end.half_px * 0.5 + 2.0
    }

    /// The far side of the step by which the mark ends, and what the grain adds to it.
    fn end_px(half_px: f32) -> f32 {
        0.6 * half_px
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
        let u = spot.d.abs() / at_least(spot.half, 0.25);
        let within = u.simd_le(1.1);
        if !within.any() {
            return Group::ZERO;
        }
        let (x, y) = stroke.grain_at(spot);
        let height = 0.60 * stroke.noise.tooth.at(x, y) + 0.40 * stroke.noise.specks.at(x, y);
        // The stick is round: it presses less at its sides.
        let threshold = 0.84 - (0.84 - spot.dry) * (1.0 - 0.62 * u * u);
        let (near, far) = (-0.2 * spot.half, 0.3 * spot.half);
        let ends = step(near, far, spot.s + 0.5 * spot.half * (height - 0.5))
            * step(near, far, spot.e + 0.5 * spot.half * (height - 0.5));
        let cover =
            step(threshold - 0.11, threshold + 0.11, height) * step(1.06, 0.88, u - 0.25 * (height - 0.5)) * ends;
        choose(within, cover, Group::ZERO)
    }
}
