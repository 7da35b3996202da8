//! Warm and cool.
//!
//! Painters agree on which of two colours is warmer far more than on where warm begins, so only comparisons are
//! offered. The axis is physical: the direction in the OKLab a, b plane in which the white of daylight moves as its
//! correlated colour temperature falls (CIE D series), taken at D65. A grey has warmth 0, but 0 is no border between
//! warm and cool.

use super::{Colour, Oklab, narrow};
use std::cmp::Ordering;

/// The unit vector (a, b) of the axis, 80.06 degrees from +a: almost yellow against blue, with a little red in the
/// yellow. A test recomputes it from the CIE daylight locus (CIE 15:2004).
pub const AXIS: [f64; 2] = [0.172685, 0.984977];

/// Coordinate of `colour` along [`AXIS`], in OKLab units: larger is warmer. Only the difference of two has a meaning.
pub fn warmth(colour: Colour) -> f32 {
    warmth_of_oklab(colour.oklab())
}

/// The same for a place in OKLab.
pub fn warmth_of_oklab(place: Oklab) -> f32 {
    narrow(f64::from(place.a) * AXIS[0] + f64::from(place.b) * AXIS[1])
}

/// How much warmer `one` is than `other`, in OKLab units; negative if it is cooler.
pub fn warmer_by(one: Colour, other: Colour) -> f32 {
    narrow(f64::from(warmth(one)) - f64::from(warmth(other)))
}

/// Whether `one` is warmer than `other`.
pub fn warmer(one: Colour, other: Colour) -> bool {
    warmer_by(one, other) > 0.0
}

/// Cooler before warmer, for sorting.
pub fn compare(one: Colour, other: Colour) -> Ordering {
    warmth(one).total_cmp(&warmth(other))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::colour::Xyz;
    use crate::colour::light_sources::{D65_K, daylight_xy};
    use crate::colour::matrix::apply;
    use crate::colour::oklab::oklab_of;
    use crate::colour::rgb_space::{SRGB, xyz_of};

    /// OKLab of the daylight white at this temperature, Y = 1.
    fn white(cct_k: f64) -> Oklab {
        Colour::from_xyz(Xyz::white(daylight_xy(cct_k).unwrap())).oklab()
    }

    #[test]
    fn axis_is_the_tangent_of_the_daylight_locus_at_d65() {
        // A central difference over 2 K, in double precision.
        let white = |cct_k: f64| oklab_of(apply(&SRGB.from_xyz, xyz_of(daylight_xy(cct_k).unwrap())));
        let (warm, cool) = (white(D65_K - 1.0), white(D65_K + 1.0));
        let (a, b) = (warm[1] - cool[1], warm[2] - cool[2]);
        let length = libm::hypot(a, b);
        assert!(
            (a / length - AXIS[0]).abs() < 1e-6 && (b / length - AXIS[1]).abs() < 1e-6,
            "{:?}",
            [a / length, b / length]
        );
        assert!((AXIS[0].hypot(AXIS[1]) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn daylight_gets_warmer_all_the_way_down() {
        let whites: Vec<f32> = (40..=250).map(|k| warmth_of_oklab(white(f64::from(k) * 100.0))).collect();
        assert!(whites.windows(2).all(|pair| pair[0] > pair[1]));
    }

    #[test]
    fn orange_is_warmer_than_blue() {
        let [orange, blue] = [[220, 130, 40], [60, 90, 160]].map(Colour::from_srgb8);
        assert!(warmer(orange, blue) && !warmer(blue, orange) && !warmer(blue, blue));
        assert_eq!(compare(blue, orange), Ordering::Less);
        assert_eq!(warmer_by(orange, blue), -warmer_by(blue, orange));
    }
}
