//! RGB spaces as matrices, computed from their published chromaticities instead of copied with four digits: crate
//! `palette` stores the rounded ones, which put white 2e-4 beside D65 in Z.

use super::matrix::{Matrix3, apply, diagonal, inverse, product};

/// Chromaticity x, y of D65 as IEC 61966-2-1 and W3C CSS Color 4 state it.
pub const D65_XY: [f64; 2] = [0.3127, 0.3290];

/// Linear-light RGB against CIE 1931 XYZ (white has Y = 1).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct RgbSpace {
    /// Linear RGB to XYZ.
    pub(crate) to_xyz: Matrix3,
    /// XYZ to linear RGB.
    pub(crate) from_xyz: Matrix3,
}

impl RgbSpace {
    /// The space with these x, y chromaticities of red, green and blue, and D65 white. Primaries must not lie on one line.
    /// Source: SMPTE RP 177 (from memory; the results are checked against CSS Color 4's matrices).
    pub const fn from_primaries([red, green, blue]: [[f64; 2]; 3]) -> Self {
        let (r, g, b, w) = (xyz_of(red), xyz_of(green), xyz_of(blue), xyz_of(D65_XY));
        let primaries = [[r[0], g[0], b[0]], [r[1], g[1], b[1]], [r[2], g[2], b[2]]];
        let amounts = apply(&inverse(&primaries), w);
        let to_xyz = product(&primaries, &diagonal(amounts));
        RgbSpace { to_xyz, from_xyz: inverse(&to_xyz) }
    }
}

/// XYZ with Y = 1 of the chromaticity x, y (y not 0).
pub const fn xyz_of(xy: [f64; 2]) -> [f64; 3] {
    [xy[0] / xy[1], 1.0, (1.0 - xy[0] - xy[1]) / xy[1]]
}

/// x, y of the primaries of sRGB, red, green, blue: IEC 61966-2-1.
pub const SRGB_PRIMARIES: [[f64; 2]; 3] = [[0.640, 0.330], [0.300, 0.600], [0.150, 0.060]];

/// x, y of the primaries of Display P3: SMPTE EG 432-1, as in W3C CSS Color 4.
pub const DISPLAY_P3_PRIMARIES: [[f64; 2]; 3] = [[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]];

/// sRGB, IEC 61966-2-1.
pub const SRGB: RgbSpace = RgbSpace::from_primaries(SRGB_PRIMARIES);

/// Display P3: primaries of SMPTE EG 432-1 with D65 white, as in W3C CSS Color 4.
pub const DISPLAY_P3: RgbSpace = RgbSpace::from_primaries(DISPLAY_P3_PRIMARIES);

#[cfg(test)]
mod tests {
    use super::*;

    /// The exact fractions in the sample code of W3C CSS Color 4 (typed from memory and equal to the matrices
    /// computed here to 1e-15).
    const CSS_SRGB: Matrix3 = [
        [506752.0 / 1228815.0, 87881.0 / 245763.0, 12673.0 / 70218.0],
        [87098.0 / 409605.0, 175762.0 / 245763.0, 12673.0 / 175545.0],
        [7918.0 / 409605.0, 87881.0 / 737289.0, 1001167.0 / 1053270.0],
    ];
    const CSS_DISPLAY_P3: Matrix3 = [
        [608311.0 / 1250200.0, 189793.0 / 714400.0, 198249.0 / 1000160.0],
        [35783.0 / 156275.0, 247089.0 / 357200.0, 198249.0 / 2500400.0],
        [0.0, 32229.0 / 714400.0, 5220557.0 / 5000800.0],
    ];

    #[test]
    fn matrices_equal_the_fractions_of_css_color_4() {
        for (space, css) in [(SRGB, CSS_SRGB), (DISPLAY_P3, CSS_DISPLAY_P3)] {
            for (ours, theirs) in space.to_xyz.as_flattened().iter().zip(css.as_flattened()) {
                assert!((ours - theirs).abs() < 1e-15, "{ours} {theirs}");
            }
        }
    }
}
