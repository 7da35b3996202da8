//! CIE 1931 XYZ.

use super::Colour;
use super::matrix::apply;
use super::rgb_space::{D65_XY, SRGB, xyz_of};

/// CIE 1931 tristimulus values (CIE 15:2004), white at Y = 1. Double precision, because colour differences of
/// near-greys subtract numbers that are almost equal.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Xyz {
    /// X: 0.9505 for white.
    pub x: f64,
    /// Y, the luminance: 0 black to 1 white.
    pub y: f64,
    /// Z: 1.0891 for white.
    pub z: f64,
}

impl Xyz {
    /// The white of sRGB: x 0.3127, y 0.3290, Y = 1.
    pub const D65: Xyz = Xyz::white(D65_XY);

    /// The white with chromaticity x, y (y not 0) and Y = 1.
    pub const fn white(xy: [f64; 2]) -> Self {
        let [x, y, z] = xyz_of(xy);
        Xyz { x, y, z }
    }
}

impl Colour {
    /// XYZ of this colour, D65.
    pub fn xyz(self) -> Xyz {
        let [x, y, z] = apply(&SRGB.to_xyz, self.wide());
        Xyz { x, y, z }
    }

    /// The colour with these tristimulus values, read as D65: no adaptation.
    pub fn from_xyz(xyz: Xyz) -> Self {
        Colour::from_wide(apply(&SRGB.from_xyz, [xyz.x, xyz.y, xyz.z]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_is_d65_and_the_way_back_is_exact() {
        let white = Colour::new(1.0, 1.0, 1.0).xyz();
        assert!((white.x - Xyz::D65.x).abs() < 1e-15 && (white.z - Xyz::D65.z).abs() < 1e-15, "{white:?}");
        let c = Colour::new(0.25, -0.125, 1.5);
        assert_eq!(Colour::from_xyz(c.xyz()), c);
    }
}
