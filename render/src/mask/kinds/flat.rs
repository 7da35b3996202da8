//! The flat brush: square ends, crisp sides, streaks along it as it dries.

use crate::mask::sweep::{Cover, Spot, Stroke, step};

/// The flat brush.
pub struct Flat;

impl Cover for Flat {
    const WIDEST: f32 = 1.03;

    fn beyond_px(thick_px: f32, half_px: f32) -> f32 {
        thick_px + half_px * 0.7 + 2.0
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> f32 {
        let (radius, uneven) = (stroke.radius(), stroke.mark.bristles.unevenness);
        let ragged = |which: f32| (stroke.hair(spot.u, which) - 0.5) * uneven * radius * 0.16;
        let ends = step(-0.8, 1.0, spot.lead + ragged(3.0)) * step(-0.8, 1.0, spot.tail + 1.5 * ragged(7.0));
        let side =
            uneven * radius * 0.06 * (stroke.streak(spot.s * 0.6, if spot.d > 0.0 { 0.9 } else { -0.9 }, 1.0) - 0.5);
        let edge = stroke.edge((spot.d.abs() - spot.half - side) * spot.askew, spot.half);
        if edge * ends <= 0.0 {
            return 0.0;
        }
        let dry = stroke.dryness(spot);
        if dry < 0.1 {
            return edge * ends;
        }
        let u = spot.u + 0.03 * stroke.waver(spot.s, 2.0);
        let height = 0.40 * stroke.lock(u, 0.0)
            + 0.22 * stroke.hair(u, 4.0)
            + 0.24 * stroke.streak(spot.s, spot.u, 0.0)
            + 0.14 * stroke.tooth(spot);
        edge * ends * stroke.broken(dry, height, 0.11)
    }
}
