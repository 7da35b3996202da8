//! Relight: the board as it would look in another light.
//!
//! Full von Kries adaptation in CAT16 (C. Li et al., "Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS", Color Res.
//! Appl. 42(6):703-718, 2017): the board is taken as seen in D65, and what a screen shows is the adapted colour read without
//! adapting the eye, which is how the light tints it.

use super::{Variation, VariationError, in_range, vary};
use crate::board::Board;
use crate::colour::light_sources::light_xy;
use crate::colour::matrix::{Matrix3, apply, diagonal, inverse, product};
use crate::colour::rgb_space::{D65_XY, xyz_of};
use crate::colour::{Colour, Xyz};

/// CAT16 (Li et al. 2017): XYZ to sharpened cone responses.
const CAT16: Matrix3 =
    [[0.401288, 0.650173, -0.051461], [-0.250268, 1.204414, 0.045854], [-0.002079, 0.048952, 0.953127]];

/// Adaptation of XYZ from one white to another; whites as x, y, with cone responses that are not 0.
pub fn adaptation(from: [f64; 2], to: [f64; 2]) -> Matrix3 {
    let response = |xy| apply(&CAT16, xyz_of(xy));
    let (old, new) = (response(from), response(to));
    let gain = diagonal([new[0] / old[0], new[1] / old[1], new[2] / old[2]]);
    product(&inverse(&CAT16), &product(&gain, &CAT16))
}

/// The chromaticity of a white that a board can be moved to: CAT16 gives it three positive cone responses.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct White {
    xy: [f64; 2],
}

impl White {
    /// The white of this CIE 1931 x, y; none where it can be no white in any light.
    pub fn new(x: f64, y: f64) -> Option<Self> {
        let finite = x.is_finite() && y.is_finite() && x > 0.0 && y > 1e-3 && x + y < 1.0;
        let is_white = finite && apply(&CAT16, xyz_of([x, y])).iter().all(|r| *r > 1e-3);
        is_white.then_some(White { xy: [x, y] })
    }

    /// The white of a light of this correlated colour temperature in kelvin, 1700 to 25000: a glowing body up to 4000 K, CIE
    /// daylight from 5000 K, a blend of both between ([`light_xy`]).
    ///
    /// # Errors
    /// When the temperature is out of range.
    pub fn of_temperature(kelvin: f32) -> Result<Self, VariationError> {
        let kelvin = f64::from(in_range("colour temperature", kelvin, 1700.0, 25_000.0)?);
        Ok(White { xy: light_xy(kelvin) })
    }

    /// The white of the light in which a white thing looks like `colour`; none where that can be no white in any light.
    pub fn like(colour: Colour) -> Option<Self> {
        let Xyz { x, y, z } = colour.xyz();
        let sum = x + y + z;
        White::new(x / sum, y / sum)
    }

    /// CIE 1931 x, y.
    pub fn xy(self) -> [f64; 2] {
        self.xy
    }
}

/// The board in a light of this correlated colour temperature, kelvin: about 3000 for a lamp, 6504 for no change, 12000 for
/// blue hour.
///
/// # Errors
/// When the temperature is out of range.
pub fn relight(board: &Board, kelvin: f32) -> Result<Variation, VariationError> {
    Ok(relight_to(board, White::of_temperature(kelvin)?))
}

/// The board in a light with this white.
pub fn relight_to(board: &Board, white: White) -> Variation {
    let matrix = adaptation(D65_XY, white.xy);
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
        let paper = White::like(at(3000.0)).unwrap();
        assert_eq!(relight_to(&board, paper).board.swatch(id).unwrap().colour.hex(), at(3000.0).hex());
        assert_eq!(White::like(Colour::new(0.0, 0.0, 0.0)), None);
        for (x, y) in [(0.0, 0.3), (0.3, 0.0), (0.7, 0.3), (0.8, 0.15), (f64::NAN, 0.3)] {
            assert_eq!(White::new(x, y), None, "{x} {y}");
        }
        // Every temperature in range has a white that the check lets pass.
        for kelvin in (1700_u16..=25_000).step_by(100) {
            let [x, y] = White::of_temperature(f32::from(kelvin)).unwrap().xy();
            assert!(White::new(x, y).is_some(), "{kelvin} K");
        }
    }
    /// No step between neighbouring kelvins that an eye could see, over the whole range, for greys and strong colours, dark and light.
    #[test]
    fn the_light_changes_without_a_step() {
        let (mut board, family) = Board::new("depot", LightOfDay::Cool).with_family("Wall").unwrap();
        for hex in ["#808080", "#e8e4da", "#302c2a", "#a04030", "#3d6b3a", "#34568b", "#c9a227"] {
            board = board.with_swatch(family, Role::Local, hex, Colour::from_hex(hex).unwrap(), &[]).unwrap().0;
        }
        let at = |kelvin: u16| {
            let relit = relight(&board, f32::from(kelvin)).unwrap().board;
            relit.swatches().map(|(_, s)| s.colour.lab()).collect::<Vec<_>>()
        };
        let mut before = at(1700);
        let mut largest = (0.0, 0);
        for kelvin in 1701..=25_000 {
            let now = at(kelvin);
            for (a, b) in before.iter().zip(&now) {
                let step = crate::colour::difference::ciede2000(*a, *b);
                largest = if step > largest.0 { (step, kelvin) } else { largest };
            }
            before = now;
        }
        assert!(largest.0 < 0.15, "{largest:?}");
    }
}
