//! The filbert: a flat with rounded ends, the lifted one longer.

use super::round::outside;
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// The filbert.
pub struct Filbert;

impl Cover for Filbert {
    const WIDEST: f32 = 1.03;

    fn beyond_px(end: &Rib) -> f32 {
        end.thick_px + 1.0
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> f32 {
        let uneven = stroke.mark.bristles.unevenness;
        let half = spot.half * (1.0 + 0.05 * uneven * stroke.waver(spot.s, 1.0));
        // Single hairs stand out of the rounded ends.
        let ragged = uneven * 0.05 * half * (stroke.hair(spot.u, 6.0) - 0.5);
        let ragged = if spot.s < 0.0 || spot.e < 0.0 { ragged } else { 0.0 };
        let edge = stroke.edge(outside(spot, half) + ragged, half);
        if edge <= 0.0 {
            return 0.0;
        }
        let dry = stroke.dryness(spot);
        if dry < 0.1 {
            return edge;
        }
        let u = spot.u + 0.03 * stroke.waver(spot.s, 2.0);
        let height = 0.36 * stroke.lock(u, 1.0)
            + 0.16 * stroke.hair(u, 2.0)
            + 0.34 * stroke.streak(spot.s, u, 0.0)
            + 0.14 * stroke.tooth(spot);
        edge * stroke.broken(dry, height, 0.15)
    }
}
