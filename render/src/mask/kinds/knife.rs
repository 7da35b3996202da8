//! The knife: straight sides, paint in one sheet, torn where the blade skips over a hollow.

use crate::mask::group::{Group, choose, step};
use crate::mask::mark::Mark;
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// The knife.
pub struct Knife;

/// How much further the sheet is torn where the blade is lifted than where it is set down.
const LIFTED: f32 = 1.4;

/// How far the sheet is torn where the blade is set down, pixels at most.
#[inline(always)]
fn torn_px(mark: &Mark, radius_px: f32) -> f32 {
    mark.bristles.unevenness * radius_px * 0.12
}

impl Cover for Knife {
    const WIDEST: f32 = 1.06;

    fn beyond_px(end: &Rib) -> f32 {
        end.thick_px + end.half_px * (1.1 * end.slant.abs() + 0.12) + 2.0
    }

    fn ragged_px(mark: &Mark, size_px: f32, _: f32) -> f32 {
        LIFTED * torn_px(mark, 0.5 * size_px) + 2.0
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
        let uneven = stroke.mark.bristles.unevenness;
        // The blade is straight but its corner digs in a little as the hand turns.
        let side =
            uneven * 0.10 * spot.half * stroke.waver(spot.s * 0.5, choose(spot.d.simd_gt(0.0), Group::ONE, 3.0.into()));
        let edge = stroke.edge((spot.d.abs() - spot.half - side) * spot.askew, spot.half);
        let torn = torn_px(stroke.mark, stroke.radius());
        let long = spot.lead.simd_gt(torn + 2.0) & spot.tail.simd_gt(LIFTED * torn + 2.0);
        let ends = if long.all() {
            Group::ONE
        } else {
            let ends = step(-0.5, 0.9, spot.lead - torn * stroke.hair(spot.u, 5.0))
                * step(-0.5, 0.9, spot.tail - LIFTED * torn * stroke.lock(spot.u * 0.6, 8.0));
            choose(long, Group::ONE, ends)
        };
        let whole = edge * ends;
        if !whole.simd_gt(0.0).any() {
            return Group::ZERO;
        }
        let dry = stroke.dryness(spot);
        let wet = dry.simd_lt(0.05);
        if wet.all() {
            return whole;
        }
        let (x, y) = stroke.grain_at(spot);
        let scale = 48.0 / stroke.size_px.clamp(24.0, 192.0);
        let height = 0.40 * stroke.noise.hollows.at(x * scale, y * scale)
            + 0.28 * stroke.lock(spot.u * 0.4, 0.0)
            + 0.32 * stroke.streak(spot.s * 0.45, spot.u * 0.5, 0.0);
        choose(wet, whole, whole * stroke.broken(dry, height, 0.03))
    }
}
