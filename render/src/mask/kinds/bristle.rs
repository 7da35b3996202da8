//! The bristle brush: each lock has its own length, its own paint and its own reach. As the paint runs low the locks part.

use crate::mask::group::{Group, at_least, at_most, choose, step};
use crate::mask::mark::Mark;
use crate::mask::sweep::{Cover, Rib, Spot, Stroke};

/// The bristle brush.
pub struct Bristle;

/// How far before its end a mark of this unevenness is ragged at most, halves of the width: what `at` makes of the longest hair, which
/// reaches the less far the drier it is. `dry` is not below 0.
#[inline(always)]
fn ragged(unevenness: f32, dry: Group) -> Group {
    0.5 * unevenness * (0.25 + at_most(dry, 1.0)) + 0.05
}

/// Up to here, in halves of the width, a mark of this unevenness is whole across: what `at` makes of its sides, and a little less.
#[inline(always)]
fn inner(unevenness: f32) -> f32 {
    0.879 - (0.5 * 0.20 + 0.5 * 0.09) * unevenness
}

impl Cover for Bristle {
    const WIDEST: f32 = 1.14;

    fn beyond_px(end: &Rib) -> f32 {
        end.thick_px + end.half_px * (1.15 * end.slant.abs() + 0.2) + 2.0
    }

    fn ragged_px(mark: &Mark, size_px: f32, dry: f32) -> f32 {
        let [ragged, ..] = ragged(mark.bristles.unevenness, Group::splat(dry.max(0.0))).to_array();
        ragged * 0.5 * size_px + 1.0
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
        let bristles = &stroke.mark.bristles;
        let radius = stroke.radius();
        // Beyond both ends no hair reaches.
        if !(spot.tail.simd_gt(-0.5) & spot.lead.simd_gt(-0.14 * radius)).any() {
            return Group::ZERO;
        }
        let dry = at_least(stroke.dryness(spot), 0.0);
        // Locks part: what lies across is drawn towards the nearest lock's middle, and wanders more and more.
        let u = spot.u * (1.0 - 0.05 * stroke.waver(spot.s, 0.0));
        let u = u + bristles.splitting * (0.07 * stroke.waver(spot.s * 0.7, 2.0) * (0.4 + dry));
        let sides = if u.abs().simd_lt(inner(bristles.unevenness)).all() {
            Group::ONE
        } else {
            let uneven = 0.20 * (stroke.hair(u, 0.0) - 0.5) + 0.09 * (stroke.streak(spot.s, u, 2.0) - 0.5);
            step(1.02, 0.88, u.abs() + bristles.unevenness * uneven)
        };
        if !sides.simd_gt(0.0).any() {
            return Group::ZERO;
        }
        let begun = spot.lead.simd_gt(0.42 * radius + 1.0);
        let start = if begun.all() {
            Group::ONE
        } else {
            let begins = stroke.hair(u, 7.0) * bristles.unevenness * radius;
            choose(begun, Group::ONE, step(-0.14 * radius, 0.06 * radius + 0.5, spot.lead - 0.34 * begins))
        };
        let goes_on = spot.tail.simd_gt(ragged(bristles.unevenness, dry) * radius + 1.0);
        let end = if goes_on.all() {
            Group::ONE
        } else {
            let ends = stroke.hair(u, 9.0) * bristles.unevenness * radius;
            let end = step(-0.5, 0.05 * radius + 1.0, spot.tail - 0.5 * ends * (0.25 + at_most(dry, 1.0)));
            choose(goes_on, Group::ONE, end)
        };
        let whole = sides * start * end;
        let wet = dry.simd_lt(0.08);
        if (wet | whole.simd_le(0.0)).all() {
            return whole;
        }
        let lock = stroke.lock(u, 0.0);
        // A lock that is long carries the paint further.
        let reach = 1.0 + bristles.unevenness * (1.0 / (0.62 + 0.76 * stroke.lock(u, 5.0)) - 1.0);
        let dry = dry * reach;
        let height = 0.44 * lock + 0.22 * stroke.hair(u, 0.0) + 0.34 * stroke.streak(spot.s, u, 0.0);
        let tooth = stroke.mark.grain.amount * 0.4 * (stroke.tooth(spot) - 0.5) * at_most(dry, 1.2);
        choose(wet, whole, stroke.broken(dry, height + tooth, 0.13) * sides * start * end)
    }
}
