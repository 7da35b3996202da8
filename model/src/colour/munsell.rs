//! Munsell value: lightness on the painter's scale of 0 to 10, as the interface shows it.

use super::{Colour, narrow};

/// Coefficients of V^1 to V^5 in ASTM D1535: luminance in per cent of the perfect diffuser as a function of value.
const ASTM_D1535: [f64; 5] = [1.1914, -0.22533, 0.23352, -0.020484, 0.00081939];

/// Newton steps of the inversion. From the L*/10 start four are enough for 1e-12 everywhere (tested); the rest is room.
const NEWTON_STEPS: usize = 6;

/// Luminance Y (0-1, 1 = white) of a Munsell value (0-10). Source: ASTM D1535, quintic polynomial.
pub fn y_of_munsell_value(value: f64) -> f64 {
    ASTM_D1535.iter().rev().fold(0.0, |sum, c| (sum + c) * value) / 100.0
}

/// Slope of [`y_of_munsell_value`]; above 0.01 everywhere from 0 to 10, so that the inverse is unique.
fn slope(value: f64) -> f64 {
    ASTM_D1535.iter().enumerate().rev().fold(0.0, |sum, (i, c)| sum * value + (i + 1) as f64 * c) / 100.0
}

/// Munsell value (0-10) of a luminance Y (0-1, 1 = white); outside that range the nearer end. ASTM D1535 states Y as a
/// function of value; this is its numerical inverse.
pub fn munsell_value_of_y(y: f64) -> f64 {
    let y = y.clamp(0.0, 1.0);
    let mut value = (super::lab::l_star_of_y(y) / 10.0).clamp(0.0, 10.0);
    for _ in 0..NEWTON_STEPS {
        value = (value - (y_of_munsell_value(value) - y) / slope(value)).clamp(0.0, 10.0);
    }
    value
}

impl Colour {
    /// Munsell value, 0 black to 10 white, from luminance alone.
    pub fn munsell_value(self) -> f32 {
        narrow(munsell_value_of_y(self.xyz().y))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inverts_its_polynomial_over_the_whole_range() {
        let mut before = -1.0;
        for step in 0..=10_000 {
            let value = f64::from(step) / 1000.0;
            assert!(slope(value) > 0.01, "slope at {value}");
            let back = munsell_value_of_y(y_of_munsell_value(value));
            assert!((back - value).abs() < 1e-9, "{value} came back as {back}");
            assert!(back > before);
            before = back;
        }
    }

    #[test]
    fn ends_at_black_and_white() {
        assert_eq!(Colour::new(-1.0, -1.0, -1.0).munsell_value(), 0.0);
        assert_eq!(Colour::new(2.0, 2.0, 2.0).munsell_value(), 10.0);
        assert!((Colour::new(1.0, 1.0, 1.0).munsell_value() - 10.0).abs() < 1e-4);
    }
}
