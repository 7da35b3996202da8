//! The round brush: a capsule as wide as the pressure, with fine streaks where the paint runs low.

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
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> f32 {
        let half = spot.half * (1.0 + WAVER * stroke.mark.bristles.unevenness * stroke.waver(spot.s, 0.0));
        let edge = stroke.edge(outside(spot, half), half);
        if edge <= 0.0 {
            return 0.0;
        }
        let dry = stroke.dryness(spot);
        if dry < 0.15 {
            return edge;
        }
        let height =
            0.30 * stroke.hair(spot.u, 0.0) + 0.45 * stroke.streak(spot.s, spot.u, 0.0) + 0.25 * stroke.tooth(spot);
        edge * stroke.broken(dry, height, 0.15)
    }
}

/// Distance from the outline of a mark with half-round ends, pixels, inside below 0.
#[inline(always)]
pub fn outside(spot: &Spot, half: f32) -> f32 {
    let beyond = (-spot.s).max(-spot.e).max(0.0);
    if beyond > 0.0 {
        let along = beyond * half / spot.thick.max(0.25);
        (along * along + spot.d * spot.d).sqrt() - half
    } else {
        (spot.d.abs() - half) * spot.askew
    }
}
