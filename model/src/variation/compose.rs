//! Turn, light and key of a board at once, in this order, always from the board as it is.
//!
//! Colours stay outside sRGB between the steps and are brought back once, at the end, so that what one step puts outside and the
//! next takes back in loses nothing.

use super::relight::{White, adaptation};
use super::{Variation, VariationError, in_range, vary};
use crate::board::Board;
use crate::colour::lightness::with_l_star;
use crate::colour::matrix::apply;
use crate::colour::rgb_space::D65_XY;
use crate::colour::{Colour, Xyz, turn};
use std::ops::RangeInclusive;

/// Kelvin of the light a board is taken to be seen in: daylight, D65.
pub const AS_IT_IS_KELVIN: f32 = 6504.0;
/// Degrees that a board can be turned by.
pub const TURN_DEGREES: RangeInclusive<f32> = -180.0..=180.0;
/// How far values can be spread; 1 keeps them.
pub const SPREAD: RangeInclusive<f32> = 0.0..=3.0;
/// How far values can be shifted, Munsell values.
pub const SHIFT_MUNSELL: RangeInclusive<f32> = -10.0..=10.0;
/// Lowest and highest L* that a key leads to: boards have no black and no white (common practice, no published source).
pub const RANGE_L_STAR: RangeInclusive<f32> = 6.0..=96.0;

/// The light that a board is moved to.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub enum Light {
    /// The light it is in.
    #[default]
    AsItIs,
    /// A light of this correlated colour temperature, kelvin, 1700 to 25000.
    Kelvin(f32),
    /// A light with this white.
    White(White),
}

/// What is done to a board.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Settings {
    /// How far all hues are turned, -180 to 180.
    pub turn_degrees: f32,
    /// The light that the board is moved to.
    pub light: Light,
    /// Factor of the distance of each value from their mean, 0 to 3.
    pub spread: f32,
    /// What is added to each value, -10 to 10.
    pub shift_munsell: f32,
}

impl Default for Settings {
    fn default() -> Self {
        Settings { turn_degrees: 0.0, light: Light::AsItIs, spread: 1.0, shift_munsell: 0.0 }
    }
}

impl Settings {
    /// Whether the board stays as it is.
    pub fn is_neutral(&self) -> bool {
        *self == Settings::default()
    }
}

/// The board with all of `settings` done to it. A step that is at rest does nothing, to the bit.
///
/// # Errors
/// When a number is out of range.
pub fn compose(board: &Board, settings: &Settings) -> Result<Variation, VariationError> {
    let degrees = in_range("turn", settings.turn_degrees, *TURN_DEGREES.start(), *TURN_DEGREES.end())?;
    let spread = in_range("spread of the values", settings.spread, *SPREAD.start(), *SPREAD.end())?;
    let shift = in_range("shift of the values", settings.shift_munsell, *SHIFT_MUNSELL.start(), *SHIFT_MUNSELL.end())?;
    let white = match settings.light {
        Light::AsItIs => None,
        Light::Kelvin(kelvin) => Some(White::of_temperature(kelvin)?),
        Light::White(white) => Some(white),
    };
    let matrix = white.map(|white| adaptation(D65_XY, white.xy()));
    let lit = |colour: Colour| {
        let turned = if degrees == 0.0 { colour } else { turn::turn(colour, degrees) };
        matrix.as_ref().map_or(turned, |matrix| {
            let seen = turned.xyz();
            let [x, y, z] = apply(matrix, [seen.x, seen.y, seen.z]);
            Colour::from_xyz(Xyz { x, y, z })
        })
    };
    let values: Vec<f32> = board.swatches().map(|(_, s)| lit(s.colour).l_star()).collect();
    let mean = values.iter().sum::<f32>() / values.len().max(1) as f32;
    let keeps_values = spread == 1.0 && shift == 0.0;
    Ok(vary(board, |colour| {
        let colour = lit(colour);
        if keeps_values {
            return colour;
        }
        let wanted = mean + (colour.l_star() - mean) * spread + shift * 10.0;
        with_l_star(colour, wanted.clamp(*RANGE_L_STAR.start(), *RANGE_L_STAR.end()))
    }))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::test_board::board;
    use super::*;
    use crate::board::{LightOfDay, Role};
    use crate::variation::{key::key, relight::relight, relight::relight_to, turn::turn as turn_board};

    fn hexes(board: &Board) -> Vec<String> {
        board.swatches().map(|(_, s)| s.colour.hex()).collect()
    }

    #[test]
    fn each_step_alone_is_that_variation_and_none_is_the_board() {
        let (board, rest) = (board(), Settings::default());
        let composed = |settings| compose(&board, &settings).unwrap();
        assert_eq!(composed(rest).board, board);
        assert_eq!(composed(Settings { turn_degrees: 40.0, ..rest }), turn_board(&board, 40.0).unwrap());
        let warm = Settings { light: Light::Kelvin(3200.0), ..rest };
        assert_eq!(composed(warm), relight(&board, 3200.0).unwrap());
        let white = White::new(0.33, 0.35).unwrap();
        assert_eq!(composed(Settings { light: Light::White(white), ..rest }), relight_to(&board, white));
        assert_eq!(composed(Settings { spread: 1.4, shift_munsell: -1.0, ..rest }), key(&board, 1.4, -1.0).unwrap());
    }

    #[test]
    fn steps_follow_each_other_and_lose_nothing_between_them() {
        let board = board();
        let all = Settings { turn_degrees: 20.0, light: Light::Kelvin(5000.0), spread: 1.1, shift_munsell: 0.5 };
        let one_by_one = relight(&turn_board(&board, 20.0).unwrap().board, 5000.0).unwrap().board;
        let one_by_one = key(&one_by_one, 1.1, 0.5).unwrap().board;
        // Quiet colours stay inside sRGB all the way, so both ways are one.
        assert_eq!(hexes(&compose(&board, &all).unwrap().board), hexes(&one_by_one));
        // A turned light yellow lies outside sRGB until it is made darker.
        let (loud, family) = Board::new("loud", LightOfDay::Warm).with_family("Sign").unwrap();
        let yellow = Colour::from_hex("#ffee00").unwrap();
        let (loud, id) = loud.with_swatch(family, Role::Local, "", yellow, &[]).unwrap();
        let settings = Settings { turn_degrees: 150.0, shift_munsell: -4.0, ..Settings::default() };
        let stepwise = key(&turn_board(&loud, 150.0).unwrap().board, 1.0, -4.0).unwrap();
        let chroma = |board: &Board| board.swatch(id).unwrap().colour.oklch().c;
        let composed = compose(&loud, &settings).unwrap();
        assert!(chroma(&composed.board) > chroma(&stepwise.board) + 0.02);
        assert_eq!(composed.moved_into_gamut, 1);
        assert!(composed.board.swatches().all(|(_, s)| s.colour.in_srgb()));
    }

    #[test]
    fn numbers_out_of_range_are_refused() {
        let rest = Settings::default();
        for settings in [
            Settings { turn_degrees: 181.0, ..rest },
            Settings { light: Light::Kelvin(1000.0), ..rest },
            Settings { spread: -0.1, ..rest },
            Settings { shift_munsell: f32::NAN, ..rest },
        ] {
            assert!(compose(&board(), &settings).is_err(), "{settings:?}");
        }
    }
}
