//! A response curve of three values, for light, middle and full.

use serde::{Deserialize, Serialize};

/// Values at an input of 0, a half and 1, written `(0.2, 0.7, 1.0)`. Between them the curve is smooth and never leaves the values
/// beside it (Fritsch and Carlson, "Monotone piecewise cubic interpolation", 1980).
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
pub struct Curve(pub f32, pub f32, pub f32);

impl Curve {
    /// The same everywhere.
    pub const fn even(value: f32) -> Self {
        Curve(value, value, value)
    }

    /// Its value at an input, which is held to 0-1.
    pub fn at(self, input: f32) -> f32 {
        let Curve(low, middle, high) = self;
        let (rise, further) = ((middle - low) * 2.0, (high - middle) * 2.0);
        // Slopes at the three points: harmonic mean in the middle, one-sided at the ends, none where the curve turns.
        let bent = if rise * further > 0.0 { 2.0 * rise * further / (rise + further) } else { 0.0 };
        let end = |chord: f32| {
            let slope = 1.5 * chord - 0.5 * bent;
            if slope * chord <= 0.0 {
                0.0
            } else if slope.abs() > 3.0 * chord.abs() {
                3.0 * chord
            } else {
                slope
            }
        };
        let x = input.clamp(0.0, 1.0) * 2.0;
        if x <= 1.0 {
            hermite(low, middle, end(rise), bent, x)
        } else {
            hermite(middle, high, bent, end(further), x - 1.0)
        }
    }

    /// The same curve from another first value on: its middle keeps its place between the ends.
    #[must_use]
    pub fn beginning_at(self, first: f32) -> Self {
        let Curve(low, middle, high) = self;
        let place = if high == low { 0.5 } else { (middle - low) / (high - low) };
        Curve(first, first + (high - first) * place, high)
    }

    /// Whether it is `value` everywhere.
    pub fn is_even(self, value: f32) -> bool {
        self == Curve::even(value)
    }

    /// Smallest and largest of its values; not a number where one of them is none.
    pub(super) fn bounds(self) -> [f32; 2] {
        let Curve(a, b, c) = self;
        if (a + b + c).is_finite() { [a.min(b).min(c), a.max(b).max(c)] } else { [f32::NAN; 2] }
    }
}

/// The cubic over half an input, `x` 0-1 along it, with slopes given for a whole input.
fn hermite(from: f32, to: f32, slope_from: f32, slope_to: f32, x: f32) -> f32 {
    let (back, x2) = (1.0 - x, x * x);
    from * (1.0 + 2.0 * x) * back * back
        + to * x2 * (3.0 - 2.0 * x)
        + (slope_from * back - slope_to * x) * 0.5 * x * back
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_meets_its_points_and_stays_between_them() {
        for curve in [Curve(0.1, 0.2, 1.0), Curve(0.0, 1.0, 1.0), Curve(1.0, 0.3, 0.9), Curve(0.5, 0.5, 0.5)] {
            let Curve(low, middle, high) = curve;
            assert_eq!((curve.at(0.0), curve.at(0.5), curve.at(1.0)), (low, middle, high));
            assert_eq!((curve.at(-3.0), curve.at(7.0)), (low, high));
            for i in 0..=100 {
                let value = curve.at(i as f32 / 100.0);
                let (a, b) = if i <= 50 { (low, middle) } else { (middle, high) };
                assert!(value >= a.min(b) - 1e-6 && value <= a.max(b) + 1e-6, "{curve:?} at {i}: {value}");
            }
        }
    }

    #[test]
    fn another_beginning_keeps_the_bend_and_the_end() {
        assert_eq!(Curve(0.0, 0.25, 1.0).beginning_at(0.5), Curve(0.5, 0.625, 1.0));
        assert_eq!(Curve::even(1.0).beginning_at(0.2), Curve(0.2, 0.6, 1.0));
        assert_eq!(Curve(0.2, 0.6, 1.0).beginning_at(1.0), Curve::even(1.0));
    }

    #[test]
    fn a_straight_curve_is_straight() {
        for i in 0..=40 {
            let x = i as f32 / 40.0;
            assert!((Curve(0.2, 0.6, 1.0).at(x) - (0.2 + 0.8 * x)).abs() < 1e-6);
        }
    }
}
