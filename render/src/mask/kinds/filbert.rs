//! The filbert: a flat with rounded ends, the lifted one longer.

use super::round::outside;
use crate::mask::group::{Group, at_most, choose};
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// The filbert.
pub struct Filbert;

/// How uneven the end that is set down is, and the one that is lifted, parts of half the width.
const RAGGED: [f32; 2] = [0.36, 0.6];

impl Cover for Filbert {
    const WIDEST: f32 = 1.03;

    fn beyond_px(end: &Rib) -> f32 {
        end.thick_px * (1.0 + 0.5 * RAGGED[1]) + 2.0
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
        let uneven = stroke.mark.bristles.unevenness;
        let half = spot.half * (1.0 + 0.05 * uneven * stroke.waver(spot.s, 1.0));
        // Hairs stand out of the rounded ends, more of them where it is lifted; none at the sides, where an end begins.
        let beyond = (-spot.s).fast_max(-spot.e);
        let is_beyond = beyond.simd_gt(0.0);
        let ragged = if is_beyond.any() {
            let [set_down, lifted] = RAGGED;
            let much = uneven * half * choose(spot.e.simd_lt(0.0), lifted.into(), set_down.into());
            let hair = 0.6 * stroke.lock(spot.u, 6.0) + 0.4 * stroke.hair(spot.u, 6.0);
            choose(is_beyond, much * (hair - 0.5) * at_most(beyond / (0.35 * half), 1.0), Group::ZERO)
        } else {
            Group::ZERO
        };
        let edge = stroke.edge(outside(spot, half) + ragged, half);
        if !edge.simd_gt(0.0).any() {
            return Group::ZERO;
        }
        let dry = stroke.dryness(spot);
        let wet = dry.simd_lt(0.1);
        if wet.all() {
            return edge;
        }
        let u = spot.u + 0.03 * stroke.waver(spot.s, 2.0);
        let height = 0.36 * stroke.lock(u, 1.0)
            + 0.16 * stroke.hair(u, 2.0)
            + 0.34 * stroke.streak(spot.s, u, 0.0)
            + 0.14 * stroke.tooth(spot);
        choose(wet, edge, edge * stroke.broken(dry, height, 0.15))
    }
}
