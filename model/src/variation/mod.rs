//! Variations: one board turned into another. Swatches keep their identities and roles, so a painting follows.
//!
//! | word | what moves | where |
//! | --- | --- | --- |
//! | turn | all hues, in OKLCh; value and chroma stay | [`turn`] |
//! | relight | the light, by full von Kries adaptation in CAT16 | [`relight`] |
//! | key | the values: wider or narrower, higher or lower | [`key`] |
//! | all of them | in this order, from the board as it is | [`compose`] |
//!
//! What a variation puts outside sRGB is brought back by the CSS Color 4 method, and it is said how many swatches had to
//! give way.

pub mod compose;
pub mod key;
pub mod relight;
pub mod turn;

use crate::board::Board;
use crate::colour::Colour;
use crate::colour::gamut::{SRGB, into_gamut};

/// A board made from another.
#[derive(Clone, PartialEq, Debug)]
pub struct Variation {
    /// The new board.
    pub board: Board,
    /// How many swatches the variation put outside sRGB, so that they were brought back.
    pub moved_into_gamut: usize,
}

/// Why a variation cannot be made.
#[derive(Clone, Copy, PartialEq, Debug, thiserror::Error)]
#[error("{what} is {value}; give a number from {low} to {high}")]
pub struct VariationError {
    /// Which number.
    pub what: &'static str,
    /// What was given.
    pub value: f32,
    /// Smallest allowed.
    pub low: f32,
    /// Largest allowed.
    pub high: f32,
}

fn in_range(what: &'static str, value: f32, low: f32, high: f32) -> Result<f32, VariationError> {
    if (low..=high).contains(&value) { Ok(value) } else { Err(VariationError { what, value, low, high }) }
}

/// Every swatch through `change`, and into sRGB where it came to lie outside.
fn vary(board: &Board, change: impl Fn(Colour) -> Colour) -> Variation {
    let mut board = board.clone();
    let mut moved_into_gamut = 0;
    for swatch in board.families.iter_mut().flat_map(|f| &mut f.swatches) {
        let changed = change(swatch.colour);
        let fits = SRGB.nearly_holds(changed);
        moved_into_gamut += usize::from(!fits);
        swatch.colour = if fits { changed } else { into_gamut(changed, &SRGB) };
    }
    Variation { board, moved_into_gamut }
}

/// The board that the tests of several variations start from.
#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod test_board {
    use super::*;
    use crate::board::{LightOfDay, Role};

    /// One family of three (invented).
    pub fn board() -> Board {
        let (mut board, family) = Board::new("depot", LightOfDay::Cool).with_family("Brick").unwrap();
        for (role, hex) in [(Role::Shadow, "#4f3431"), (Role::Local, "#75514c"), (Role::Light, "#94797f")] {
            board = board.with_swatch(family, role, "", Colour::from_hex(hex).unwrap(), &[]).unwrap().0;
        }
        board
    }
}
