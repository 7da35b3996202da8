//! The flat brush: square ends, crisp sides, streaks along it as it dries.

use crate::mask::group::{Group, choose, step};
use crate::mask::mark::Mark;
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// The flat brush.
pub struct Flat;

/// How far from its ends the mark is ragged, pixels.
#[inline(always)]
fn inner_px(radius_px: f32) -> f32 {
    radius_px * 0.14 + 2.0
}

impl Cover for Flat {
    const WIDEST: f32 = 1.03;

    fn beyond_px(end: &Rib) -> f32 {
        end.thick_px + end.half_px * (1.1 * end.slant.abs() + 0.12) + 2.0
    }

    fn ragged_px(_: &Mark, size_px: f32, _: f32) -> f32 {
        inner_px(0.5 * size_px)
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
        let (radius, uneven) = (stroke.radius(), stroke.mark.bristles.unevenness);
        // What lies well inside needs no look at its edges.
        let (inner, near) = (inner_px(radius), (1.0 - stroke.hardness) * spot.half + radius * 0.04 + 2.0);
        let long = spot.lead.simd_gt(inner) & spot.tail.simd_gt(inner);
        let ends = if long.all() {
            Group::ONE
        } else {
            let ragged = |which: f32| (stroke.hair(spot.u, which) - 0.5) * uneven * radius * 0.16;
            let ends = step(-0.8, 1.0, spot.lead + ragged(3.0)) * step(-0.8, 1.0, spot.tail + 1.5 * ragged(7.0));
            choose(long, Group::ONE, ends)
        };
        let inside = (spot.half - spot.d.abs()).simd_gt(near);
        let edge = if inside.all() {
            Group::ONE
        } else {
            let streak = stroke.streak(spot.s * 0.6, choose(spot.d.simd_gt(0.0), 0.9.into(), (-0.9).into()), 1.0);
            let side = uneven * radius * 0.06 * (streak - 0.5);
            let edge = stroke.edge((spot.d.abs() - spot.half - side) * spot.askew, spot.half);
            choose(inside, Group::ONE, edge)
        };
        let whole = edge * ends;
        if !whole.simd_gt(0.0).any() {
            return Group::ZERO;
        }
        let dry = stroke.dryness(spot);
        let wet = dry.simd_lt(0.1);
        if wet.all() {
            return whole;
        }
        let u = spot.u + 0.03 * stroke.waver(spot.s, 2.0);
        let height = 0.40 * stroke.lock(u, 0.0)
            + 0.22 * stroke.hair(u, 4.0)
            + 0.24 * stroke.streak(spot.s, spot.u, 0.0)
            + 0.14 * stroke.tooth(spot);
        choose(wet, whole, whole * stroke.broken(dry, height, 0.11))
    }
}
