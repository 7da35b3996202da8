//! The soft brush: no edge at all, its cover falls from the middle outwards.

use crate::mask::group::{Group, at_least, held};
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// The soft brush.
pub struct Soft;

impl Cover for Soft {
    fn beyond_px(end: &Rib) -> f32 {
        end.half_px
    }

    /// `(1 - t²)²` of the distance `t` from the path as a part of half the width, beyond what is hard.
    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
        let beyond = at_least((-spot.s).fast_max(-spot.e), 0.0);
        let distance = (spot.d * spot.d + beyond * beyond).sqrt() / at_least(spot.half, 0.5);
        let t = held((distance - stroke.hardness) / (1.0 - stroke.hardness).max(0.02), 0.0, 1.0);
        let rest = 1.0 - t * t;
        rest * rest
    }
}
