//! Where what is moved goes: scaled about the middle of its area, turned about it, and shifted.

use crate::mask::angle::direction;
use serde::{Deserialize, Serialize};

/// Smallest and largest scale.
pub const SCALES: std::ops::RangeInclusive<f32> = 0.05..=20.0;
/// Farthest shift along an axis, canvas pixels: the longest side of a canvas.
pub const FARTHEST_PX: f32 = 16_384.0;

/// A place for what is moved.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Placement {
    /// How far to the right and down, canvas pixels, each to [`FARTHEST_PX`] either way.
    pub by: [f32; 2],
    /// How much wider and higher, each within [`SCALES`].
    pub scale: [f32; 2],
    /// How far it is turned, degrees clockwise, after it was scaled.
    pub turn: f32,
}

impl Default for Placement {
    fn default() -> Self {
        Placement { by: [0.0, 0.0], scale: [1.0, 1.0], turn: 0.0 }
    }
}

/// A number of a placement that is out of range.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlacementFault {
    /// Which number, in words.
    pub what: &'static str,
    /// Given.
    pub value: f32,
    /// Least.
    pub low: f32,
    /// Most.
    pub high: f32,
}

impl Placement {
    /// Whether everything stays where it is.
    pub fn is_rest(&self) -> bool {
        self.by == [0.0, 0.0] && self.scale == [1.0, 1.0] && self.turn % 360.0 == 0.0
    }

    /// Whether its numbers are within their ranges.
    ///
    /// # Errors
    /// With the first that is not.
    pub fn check(&self) -> Result<(), PlacementFault> {
        let held = |what, value: f32, low: f32, high: f32| {
            if (low..=high).contains(&value) { Ok(()) } else { Err(PlacementFault { what, value, low, high }) }
        };
        for by in self.by {
            held("way that an area is moved", by, -FARTHEST_PX, FARTHEST_PX)?;
        }
        for scale in self.scale {
            held("scale of an area", scale, *SCALES.start(), *SCALES.end())?;
        }
        held("turn of an area", self.turn, -360.0, 360.0)
    }

    /// Where a point goes, about a pivot; canvas pixels.
    pub fn placed(&self, pivot: [f64; 2], point: [f64; 2]) -> [f64; 2] {
        let [cos, sin] = direction(self.turn).map(f64::from);
        let [x, y] = [0, 1].map(|k| (point[k] - pivot[k]) * f64::from(self.scale[k]));
        let [right, down] = self.by.map(f64::from);
        [pivot[0] + right + cos * x - sin * y, pivot[1] + down + sin * x + cos * y]
    }
}

/// The way back from a place to where it comes from: x' = m[0] x + m[1] y + m[2], y' = m[3] x + m[4] y + m[5].
#[derive(Clone, Copy, Debug)]
pub(super) struct Back([f64; 6]);

impl Back {
    pub(super) fn new(placement: &Placement, pivot: [f64; 2]) -> Self {
        let [cos, sin] = direction(placement.turn).map(f64::from);
        let [wide, high] = placement.scale.map(f64::from);
        let [right, down] = [0, 1].map(|k| pivot[k] + f64::from(placement.by[k]));
        let (a, b) = (cos / wide, sin / wide);
        let (c, d) = (-sin / high, cos / high);
        Back([a, b, pivot[0] - a * right - b * down, c, d, pivot[1] - c * right - d * down])
    }

    #[inline(always)]
    pub(super) fn source(&self, x: f64, y: f64) -> [f64; 2] {
        let m = &self.0;
        [m[0] * x + m[1] * y + m[2], m[3] * x + m[4] * y + m[5]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_back_leads_back() {
        let placement = Placement { by: [30.0, -7.5], scale: [2.0, 0.5], turn: 33.0 };
        let pivot = [120.0, 80.0];
        for point in [[0.0, 0.0], [120.0, 80.0], [300.5, -20.25]] {
            let [x, y] = placement.placed(pivot, point);
            let back = Back::new(&placement, pivot).source(x, y);
            assert!((0..2).all(|k| (back[k] - point[k]).abs() < 1e-4), "{point:?} {back:?}");
        }
    }

    /// By hand: twice as wide, a quarter turn clockwise about (10, 10), then 5 to the right. (13, 10) is 3 to the right of the pivot, 6 when
    /// scaled, and lies 6 below it when turned.
    #[test]
    fn a_place_by_hand() {
        let placement = Placement { by: [5.0, 0.0], scale: [2.0, 1.0], turn: 90.0 };
        assert_eq!(placement.placed([10.0, 10.0], [13.0, 10.0]), [15.0, 16.0]);
        assert!(!placement.is_rest() && Placement { turn: -360.0, ..Placement::default() }.is_rest());
    }

    #[test]
    fn numbers_out_of_range_are_named() {
        let scaled = Placement { scale: [1.0, 0.01], ..Placement::default() };
        assert_eq!(scaled.check().map_err(|fault| fault.what), Err("scale of an area"));
        assert!(Placement { turn: f32::NAN, ..Placement::default() }.check().is_err());
        assert!(Placement { by: [16_385.0, 0.0], ..Placement::default() }.check().is_err());
        assert_eq!(Placement::default().check(), Ok(()));
    }
}
