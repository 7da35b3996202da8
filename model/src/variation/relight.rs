//! Relight: the board as it would look in another light.
//!
//! Full von Kries adaptation in CAT16 (C. Li et al., "Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS", Color Res.
//! Appl. 42(6):703-718, 2017): the board is taken as seen in D65, and what a screen shows is the adapted colour read without
//! adapting the eye, which is how the light tints it.

use super::{Variation, VariationError, in_range, vary};
use crate::board::Board;
use crate::colour::light_sources::{DAYLIGHT_RANGE_K, daylight_xy, planckian_xy};
use crate::colour::matrix::{Matrix3, apply, diagonal, inverse, product};
use crate::colour::rgb_space::{D65_XY, xyz_of};
use crate::colour::{Colour, Xyz};

/// CAT16 (Li et al. 2017): XYZ to sharpened cone responses.
const CAT16: Matrix3 =
    [[0.401288, 0.650173, -0.051461], [-0.250268, 1.204414, 0.045854], [-0.002079, 0.048952, 0.953127]];

/// Adaptation of XYZ from one white to another; whites as x, y.
pub fn adaptation(from: [f64; 2], to: [f64; 2]) -> Matrix3 {
    let response = |xy| apply(&CAT16, xyz_of(xy));
    let (old, new) = (response(from), response(to));
    let gain = diagonal([new[0] / old[0], new[1] / old[1], new[2] / old[2]]);
    product(&inverse(&CAT16), &product(&gain, &CAT16))
}

/// x, y of a light of this correlated colour temperature in kelvin, 1700 to 25000: CIE daylight from 4000 K, a glowing body
/// below.
///
/// # Errors
/// When the temperature is out of range.
pub fn white_of(kelvin: f32) -> Result<[f64; 2], VariationError> {
    let kelvin = f64::from(in_range("colour temperature", kelvin, 1700.0, 25_000.0)?);
    let daylight = DAYLIGHT_RANGE_K.contains(&kelvin).then(|| daylight_xy(kelvin)).flatten();
    Ok(daylight.unwrap_or_else(|| planckian_xy(kelvin)))
}

/// The board in a light of this correlated colour temperature, kelvin: about 3000 for a lamp, 6504 for no change, 12000 for
/// blue hour.
///
/// # Errors
/// When the temperature is out of range.
pub fn relight(board: &Board, kelvin: f32) -> Result<Variation, VariationError> {
    Ok(relight_to(board, white_of(kelvin)?))
}

/// Whether x, y can be the chromaticity of a light that a board is moved to: CAT16 must give it three positive cone responses.
pub fn is_white(x: f64, y: f64) -> bool {
    let finite = x.is_finite() && y.is_finite() && x > 0.0 && y > 1e-3 && x + y < 1.0;
    finite && apply(&CAT16, xyz_of([x, y])).iter().all(|r| *r > 1e-3)
}

/// The chromaticity x, y of what is taken to be white; none where it can be no white in any light, see [`is_white`].
pub fn white_like(colour: Colour) -> Option<[f64; 2]> {
    let Xyz { x, y, z } = colour.xyz();
    let sum = x + y + z;
    let [x, y] = [x / sum, y / sum];
    is_white(x, y).then_some([x, y])
}

/// The board in a light whose white has the chromaticity x, y; y must not be 0.
pub fn relight_to(board: &Board, white: [f64; 2]) -> Variation {
    let matrix = adaptation(D65_XY, white);
    vary(board, |colour| {
        let xyz = colour.xyz();
        let [x, y, z] = apply(&matrix, [xyz.x, xyz.y, xyz.z]);
        Colour::from_xyz(Xyz { x, y, z })
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{LightOfDay, Role};
    use crate::colour::warmth::warmth;

    #[test]
    fn a_lamp_warms_blue_hour_cools_and_daylight_changes_nothing() {
        let (board, family) = Board::new("depot", LightOfDay::Cool).with_family("Wall").unwrap();
        let grey = Colour::new(0.3, 0.3, 0.3);
        let (board, id) = board.with_swatch(family, Role::Local, "", grey, &[]).unwrap();
        let at = |kelvin| relight(&board, kelvin).unwrap().board.swatch(id).unwrap().colour;
        assert!(warmth(at(3000.0)) > warmth(grey) + 0.02);
        assert!(warmth(at(12_000.0)) < warmth(grey) - 0.01);
        assert_eq!(at(6504.0).hex(), grey.hex());
        assert!(relight(&board, 1000.0).is_err());
        let paper = white_like(at(3000.0)).unwrap();
        assert_eq!(relight_to(&board, paper).board.swatch(id).unwrap().colour.hex(), at(3000.0).hex());
        assert_eq!(white_like(Colour::new(0.0, 0.0, 0.0)), None);
    }
}
