//! The round brush: a capsule as wide as the pressure, with fine streaks where the paint runs low.

use crate::mask::group::{Group, at_least, choose};
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// The round brush.
pub struct Round;

/// How far the width wavers with the hair's unevenness, a part of half the width.
const WAVER: f32 = 0.09;

impl Cover for Round {
    const WIDEST: f32 = 1.0 + WAVER * 0.5;

    fn beyond_px(end: &Rib) -> f32 {
        end.thick_px + 1.0
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
        let half = spot.half * (1.0 + WAVER * stroke.mark.bristles.unevenness * stroke.waver(spot.s, 0.0));
        let edge = stroke.edge(outside(spot, half), half);
        if !edge.simd_gt(0.0).any() {
            return Group::ZERO;
        }
        let dry = stroke.dryness(spot);
        let wet = dry.simd_lt(0.15);
        if wet.all() {
            return edge;
        }
        let height =
            0.30 * stroke.hair(spot.u, 0.0) + 0.45 * stroke.streak(spot.s, spot.u, 0.0) + 0.25 * stroke.tooth(spot);
        choose(wet, edge, edge * stroke.broken(dry, height, 0.15))
    }
}

/// Distance from the outline of a mark with half-round ends, pixels, inside below 0.
#[inline(always)]
pub fn outside(spot: &Spot, half: Group) -> Group {
    let beside = (spot.d.abs() - half) * spot.askew;
    let beyond = (-spot.s).fast_max(-spot.e);
    let is_beyond = beyond.simd_gt(0.0);
    if !is_beyond.any() {
        return beside;
    }
    let along = beyond * half / at_least(spot.thick, 0.25);
    choose(is_beyond, (along * along + spot.d * spot.d).sqrt() - half, beside)
}
