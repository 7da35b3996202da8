//! CIE L*a*b* and the lightness L*.

use super::{Colour, Xyz, narrow};

/// CIE 1976 L*a*b* (CIE 15:2004, ISO/CIE 11664-4). White is D65 unless said otherwise. Double precision, see [`Xyz`].
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Lab {
    /// L*, 0 black to 100 white.
    pub l: f64,
    /// a*, green (-) to red (+).
    pub a: f64,
    /// b*, blue (-) to yellow (+).
    pub b: f64,
}

/// Below this ratio to white the curve is straight: (6/29)^3, exact as ISO/CIE 11664-4 gives it.
const EPSILON: f64 = 216.0 / 24389.0;
/// Slope of L* in the straight part: (29/3)^3.
const KAPPA: f64 = 24389.0 / 27.0;

fn curve(ratio: f64) -> f64 {
    if ratio > EPSILON { libm::cbrt(ratio) } else { (KAPPA * ratio + 16.0) / 116.0 }
}

fn curve_inverse(f: f64) -> f64 {
    let cube = f * f * f;
    if cube > EPSILON { cube } else { (116.0 * f - 16.0) / KAPPA }
}

impl Lab {
    /// L*a*b* of `xyz` relative to `white`, whose components must not be 0.
    ///
    /// Crate `palette` has the formula, but only for whites fixed at compile time, and its D65 is another edition of
    /// it.
    pub fn from_xyz(xyz: Xyz, white: Xyz) -> Self {
        let [x, y, z] = [curve(xyz.x / white.x), curve(xyz.y / white.y), curve(xyz.z / white.z)];
        Lab { l: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
    }

    /// The tristimulus values of this L*a*b* relative to `white`.
    pub fn xyz(self, white: Xyz) -> Xyz {
        let y = (self.l + 16.0) / 116.0;
        Xyz {
            x: curve_inverse(y + self.a / 500.0) * white.x,
            y: curve_inverse(y) * white.y,
            z: curve_inverse(y - self.b / 200.0) * white.z,
        }
    }

    /// The colour, if this L*a*b* is relative to D65.
    pub fn colour(self) -> Colour {
        Colour::from_xyz(self.xyz(Xyz::D65))
    }
}

/// L* (0-100) of a luminance Y (0-1); below black it goes on along the straight part.
pub fn l_star_of_y(y: f64) -> f64 {
    116.0 * curve(y) - 16.0
}

/// The luminance Y (0-1) of an L* (0-100).
pub fn y_of_l_star(l_star: f64) -> f64 {
    curve_inverse((l_star + 16.0) / 116.0)
}

impl Colour {
    /// L*a*b* relative to D65.
    pub fn lab(self) -> Lab {
        Lab::from_xyz(self.xyz(), Xyz::D65)
    }

    /// CIE lightness L*, 0-100: value, as code and files state it.
    pub fn l_star(self) -> f32 {
        narrow(l_star_of_y(self.xyz().y))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn middle_grey_and_the_joint_of_the_curve() {
        // Y = 18.4187 % is L* = 50: ((50 + 16) / 116)^3.
        assert!((l_star_of_y((66.0_f64 / 116.0).powi(3)) - 50.0).abs() < 1e-12);
        // Both branches meet at L* = 8.
        assert!((l_star_of_y(EPSILON) - 8.0).abs() < 1e-12 && (l_star_of_y(EPSILON * 1.000_000_1) - 8.0).abs() < 1e-5);
        for l in [-5.0, 0.0, 3.0, 8.0, 9.0, 50.0, 100.0, 120.0] {
            assert!((l_star_of_y(y_of_l_star(l)) - l).abs() < 1e-12, "{l}");
        }
    }

    #[test]
    fn out_of_gamut_colours_come_back() {
        for c in [Colour::new(1.4, -0.3, 0.2), Colour::new(-0.05, 0.01, 2.0)] {
            let back = c.lab().colour();
            assert!((back.r - c.r).abs() + (back.g - c.g).abs() + (back.b - c.b).abs() < 1e-6, "{c:?} {back:?}");
        }
    }
}
