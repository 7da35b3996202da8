//! The bristle brush: each lock has its own length, its own paint and its own reach. As the paint runs low the locks part.

use crate::mask::mark::Mark;
use crate::mask::sweep::{Cover, Rib, Spot, Stroke, step};

/// The bristle brush.
pub struct Bristle;

/// How far before its end a mark of this unevenness is ragged at most, halves of the width: what `at` makes of the longest hair.
#[inline(always)]
fn ragged(unevenness: f32) -> f32 {
    0.625 * unevenness + 0.05
}

impl Cover for Bristle {
    const WIDEST: f32 = 1.14;

    fn beyond_px(end: &Rib) -> f32 {
        end.thick_px + end.half_px * (1.15 * end.slant.abs() + 0.2) + 2.0
    }

    fn ragged_px(mark: &Mark, size_px: f32) -> f32 {
        ragged(mark.bristles.unevenness) * 0.5 * size_px + 1.0
    }

    #[inline(always)]
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> f32 {
        let bristles = &stroke.mark.bristles;
        let radius = stroke.radius();
        // Beyond both ends no hair reaches.
        if spot.tail <= -0.5 || spot.lead <= -0.14 * radius {
            return 0.0;
        }
        let dry = stroke.dryness(spot).max(0.0);
        // Locks part: what lies across is drawn towards the nearest lock's middle, and wanders more and more.
        let u = spot.u * (1.0 - 0.05 * stroke.waver(spot.s, 0.0));
        let u = u + bristles.splitting * (0.07 * stroke.waver(spot.s * 0.7, 2.0) * (0.4 + dry));
        let hair = stroke.hair(u, 0.0);
        let sides = step(
            1.02,
            0.88,
            u.abs() + bristles.unevenness * (0.20 * (hair - 0.5) + 0.09 * (stroke.streak(spot.s, u, 2.0) - 0.5)),
        );
        if sides <= 0.0 {
            return 0.0;
        }
        let start = if spot.lead > 0.42 * radius + 1.0 {
            1.0
        } else {
            let begins = stroke.hair(u, 7.0) * bristles.unevenness * radius;
            step(-0.14 * radius, 0.06 * radius + 0.5, spot.lead - 0.34 * begins)
        };
        let end = if spot.tail > ragged(bristles.unevenness) * radius + 1.0 {
            1.0
        } else {
            let ends = stroke.hair(u, 9.0) * bristles.unevenness * radius;
            step(-0.5, 0.05 * radius + 1.0, spot.tail - 0.5 * ends * (0.25 + dry.min(1.0)))
        };
        if start * end <= 0.0 {
            return 0.0;
        }
        if dry < 0.08 {
            return sides * start * end;
        }
        let lock = stroke.lock(u, 0.0);
        // A lock that is long carries the paint further.
        let reach = 1.0 + bristles.unevenness * (1.0 / (0.62 + 0.76 * stroke.lock(u, 5.0)) - 1.0);
        let dry = dry * reach;
        let height = 0.44 * lock + 0.22 * hair + 0.34 * stroke.streak(spot.s, u, 0.0);
        let tooth = stroke.mark.grain.amount * 0.4 * (stroke.tooth(spot) - 0.5) * dry.min(1.2);
        stroke.broken(dry, height + tooth, 0.13) * sides * start * end
    }
}
