//! What the hand's pressure is to a brush: hands and pens differ, so the painter shows three strokes, and they are made to count alike.

use serde::{Deserialize, Serialize};

/// What the three strokes count as, 0-1. Common practice, no published source.
pub const COUNT_AS: [f32; 3] = [0.25, 0.5, 0.85];
/// Strokes whose pressures differ by less than this cannot be told apart.
const LEAST_APART: f32 = 0.03;
/// Readings that a stroke has at least.
const LEAST_READINGS: usize = 8;

/// The pressures with which a hand paints lightly, as usual, and firmly; 0-1, each greater than the one before.
///
/// Between them, nothing and full pressure runs a curve that never falls: the monotone cubic of F. N. Fritsch and R. E. Carlson, "Monotone
/// piecewise cubic interpolation", SIAM J. Numer. Anal. 17(2):238-246 (1980) (from memory).
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PressureCurve {
    light: f32,
    usual: f32,
    firm: f32,
}

/// Why three strokes make no curve.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum PressureFault {
    /// A stroke has too few readings.
    #[error("one of the strokes is too short to tell how hard the hand presses; draw a longer one")]
    Short,
    /// Two strokes were pressed alike, or the wrong way round.
    #[error("each stroke must be pressed a little harder than the one before; draw the one that is not again")]
    Alike,
}

impl PressureCurve {
    /// The curve under which a pen's pressure counts as it is.
    pub const PLAIN: PressureCurve = PressureCurve { light: COUNT_AS[0], usual: COUNT_AS[1], firm: COUNT_AS[2] };

    /// From three pressures.
    ///
    /// # Errors
    /// When they are not between 0 and 1 or do not rise enough.
    pub fn new([light, usual, firm]: [f32; 3]) -> Result<Self, PressureFault> {
        let steps = [(0.0, light), (light, usual), (usual, firm), (firm, 1.0)];
        // The firmest stroke may come near to all that the pen can tell.
        let rises = steps[..3].iter().all(|(a, b)| b - a >= LEAST_APART) && firm < 1.0;
        if rises { Ok(PressureCurve { light, usual, firm }) } else { Err(PressureFault::Alike) }
    }

    /// From the pressures along three strokes: of each the median of its middle, as hands land and lift in their own ways.
    ///
    /// # Errors
    /// When a stroke is too short, or they do not rise.
    pub fn of_strokes(strokes: [&[f32]; 3]) -> Result<Self, PressureFault> {
        let mut pressures = [0.0; 3];
        for (pressure, stroke) in pressures.iter_mut().zip(strokes) {
            *pressure = stroke_pressure(stroke).ok_or(PressureFault::Short)?;
        }
        // A pen that tells no more than full pressure for a firm stroke still leaves room above it.
        pressures[2] = pressures[2].min(1.0 - LEAST_APART / 2.0);
        PressureCurve::new(pressures)
    }

    /// The pressures of the three strokes.
    pub fn pressures(&self) -> [f32; 3] {
        [self.light, self.usual, self.firm]
    }

    /// What a pressure of 0-1 counts as, 0-1.
    pub fn at(&self, pressure: f32) -> f32 {
        let xs = [0.0, self.light, self.usual, self.firm, 1.0];
        let ys = [0.0, COUNT_AS[0], COUNT_AS[1], COUNT_AS[2], 1.0];
        let x = pressure.clamp(0.0, 1.0);
        if *self == Self::PLAIN {
            return x;
        }
        let secant = |i: usize| (ys[i + 1] - ys[i]) / (xs[i + 1] - xs[i]);
        let mut slopes = [secant(0), 0.0, 0.0, 0.0, secant(3)];
        for (i, slope) in slopes.iter_mut().enumerate().take(4).skip(1) {
            *slope = f32::midpoint(secant(i - 1), secant(i));
        }
        // Slopes no steeper than keep each piece from turning back.
        for i in 0..4 {
            let (a, b) = (slopes[i] / secant(i), slopes[i + 1] / secant(i));
            let size = libm::hypotf(a, b);
            if size > 3.0 {
                slopes[i] = 3.0 * a / size * secant(i);
                slopes[i + 1] = 3.0 * b / size * secant(i);
            }
        }
        let i = (0..3).rfind(|&i| x >= xs[i + 1]).map_or(0, |i| i + 1);
        let width = xs[i + 1] - xs[i];
        let t = (x - xs[i]) / width;
        let (t2, t3) = (t * t, t * t * t);
        let y = (2.0 * t3 - 3.0 * t2 + 1.0) * ys[i]
            + (t3 - 2.0 * t2 + t) * width * slopes[i]
            + (3.0 * t2 - 2.0 * t3) * ys[i + 1]
            + (t3 - t2) * width * slopes[i + 1];
        y.clamp(0.0, 1.0)
    }
}

/// The pressure of a stroke: the median without its first and last sixth; none when it is too short.
pub fn stroke_pressure(readings: &[f32]) -> Option<f32> {
    if readings.len() < LEAST_READINGS {
        return None;
    }
    let ends = readings.len() / 6;
    let mut middle = readings[ends..readings.len() - ends].to_vec();
    middle.sort_by(f32::total_cmp);
    Some(middle[middle.len() / 2])
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_plain_curve_changes_nothing() {
        for i in 0_u8..=200 {
            let pressure = f32::from(i) / 200.0;
            assert_eq!(PressureCurve::PLAIN.at(pressure), pressure);
        }
    }

    /// Whatever the hand: through the three strokes, from nothing to full, and never falling.
    #[test]
    fn a_curve_goes_through_its_strokes_and_never_falls() {
        for pressures in [[0.05, 0.09, 0.13], [0.12, 0.3, 0.62], [0.3, 0.55, 0.9], [0.6, 0.8, 0.97], [0.03, 0.9, 0.96]]
        {
            let curve = PressureCurve::new(pressures).unwrap();
            for (pressure, counts) in pressures.into_iter().zip(COUNT_AS) {
                assert!((curve.at(pressure) - counts).abs() < 1e-5, "{pressures:?}");
            }
            assert!(curve.at(0.0) == 0.0 && (curve.at(1.0) - 1.0).abs() < 1e-6);
            let all: Vec<f32> = (0..=1000).map(|i| curve.at(i as f32 / 1000.0)).collect();
            assert!(all.windows(2).all(|w| w[1] >= w[0] - 1e-6), "{pressures:?}");
        }
    }

    /// By hand: strokes at 0.1, 0.2 and 0.6. Between the first two the secant is 2.5; the slopes there are (2.5 + 2.5) / 2 and
    /// (2.5 + 0.875) / 2 = 1.6875, none too steep; in the middle the cubic is (0.25 + 0.5) / 2 + 0.1 / 8 (2.5 - 1.6875).
    #[test]
    fn a_curve_by_hand() {
        let curve = PressureCurve::new([0.1, 0.2, 0.6]).unwrap();
        assert!((curve.at(0.15) - 0.385_156_25).abs() < 1e-6, "{}", curve.at(0.15));
    }

    #[test]
    fn strokes_are_measured_in_their_middle_and_refused_with_a_reason() {
        // They land and lift lightly, and one reading is wild.
        let stroke = |pressure: f32| {
            let mut readings = vec![pressure; 30];
            readings[..5].fill(0.01);
            readings[25..].fill(0.02);
            readings[15] = 1.0;
            readings
        };
        let [light, usual, firm] = [0.2, 0.4, 1.0].map(stroke);
        let curve = PressureCurve::of_strokes([&light, &usual, &firm]).unwrap();
        assert_eq!(curve.pressures()[..2], [0.2, 0.4]);
        assert!(curve.pressures()[2] > 0.97);
        assert_eq!(PressureCurve::of_strokes([&light, &light, &firm]), Err(PressureFault::Alike));
        assert_eq!(PressureCurve::of_strokes([&usual, &light, &firm]), Err(PressureFault::Alike));
        assert_eq!(PressureCurve::of_strokes([&light[..5], &usual, &firm]), Err(PressureFault::Short));
        assert_eq!(PressureCurve::new([0.2, f32::NAN, 0.9]), Err(PressureFault::Alike));
    }
}
