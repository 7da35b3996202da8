//! Which pixels a stroke came over, in the order of its path: what a wet brush and softening need to know beside its cover.

#![expect(clippy::cast_possible_truncation, reason = "lanes and shares are held to their range")]

use super::brush::Brush;
use super::group::Group;
use super::mark::Mark;
use super::noise::noise;
use stint_model::study::tile::TilePos;

/// Finest lane, pixels.
const FINEST_LANE_PX: f32 = 2.0;

/// A pixel that a piece of the stroke covers more than the pieces before it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Visit {
    /// Its tile.
    pub pos: TilePos,
    /// Its index in the tile.
    pub index: u16,
    /// The lane of the tip that comes over it, from the left of the way the stroke goes.
    pub lane: u16,
    /// Cover before, 0-65535.
    pub from: u16,
    /// Cover after, above that before.
    pub to: u16,
    /// Pressure there, 0-65535.
    pub pressure: u16,
}

/// The visits of a stroke since they were last taken.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Visits {
    /// For each lane how much paint it holds, against 65535 in the mean.
    pub lanes: Vec<u32>,
    /// Those that stay as they are.
    pub settled: Vec<Visit>,
    /// Those of the end of the stroke, after all settled ones; the next samples bring others.
    pub provisional: Vec<Visit>,
}

/// Lanes across the tip of a brush.
pub fn lane_count(size_px: f32, mark: &Mark) -> usize {
    mark.bristles.count.min(size_px / FINEST_LANE_PX).clamp(4.0, 200.0) as usize
}

/// The lane at a place across, -1 to 1; beyond its edges the outermost.
#[inline(always)]
pub fn lane_at(u: f32, lanes: f32) -> u16 {
    ((u * 0.5 + 0.5) * lanes).clamp(0.0, lanes - 1.0) as u16
}

/// How much paint each lane holds, by the noise that its stroke sees.
pub fn lanes(brush: &Brush, mark: &Mark, seed: f32) -> Vec<u32> {
    let count = lane_count(brush.size_px, mark);
    let uneven = mark.bristles.unevenness;
    let one = |lane: usize| {
        let [lock, ..] = noise().locks.along(Group::splat(lane as f32 * 4.0 + seed + 1881.0)).to_array();
        ((1.0 + uneven * (1.4 * lock - 0.7)) * 65535.0) as u32
    };
    (0..count).map(one).collect()
}
