//! Turn: all hues by one angle.

use super::{Variation, VariationError, in_range, vary};
use crate::board::Board;
use crate::colour::turn;

/// The board with all hues turned by `degrees` (-180 to 180; positive: red towards yellow) in OKLCh.
///
/// # Errors
/// When the angle is out of range.
pub fn turn(board: &Board, degrees: f32) -> Result<Variation, VariationError> {
    let degrees = in_range("turn", degrees, -180.0, 180.0)?;
    Ok(vary(board, |colour| turn::turn(colour, degrees)))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{LightOfDay, Role};
    use crate::colour::Colour;

    #[test]
    fn a_turn_keeps_value_and_identity_and_says_what_gave_way() {
        let (board, family) = Board::new("depot", LightOfDay::Cool).with_family("Brick").unwrap();
        let quiet = Colour::from_hex("#775544").unwrap();
        let (board, id) = board.with_swatch(family, Role::Local, "", quiet, &[]).unwrap();
        // A yellow at the edge of sRGB has no blue of its lightness and chroma.
        let loud = Colour::from_hex("#ffee00").unwrap();
        let (board, _) = board.with_swatch(family, Role::Accent, "", loud, &[]).unwrap();
        let turned = turn(&board, 160.0).unwrap();
        assert_eq!(turned.moved_into_gamut, 1);
        let now = turned.board.swatch(id).unwrap();
        assert!((now.colour.oklab().l - quiet.oklab().l).abs() < 1e-4);
        assert!(turned.board.swatches().all(|(_, s)| s.colour.in_srgb()));
        let back = turn(&turned.board, -160.0).unwrap();
        assert_eq!(back.board.swatch(id).unwrap().colour.hex(), "#775544");
        assert!(turn(&board, f32::NAN).is_err());
    }
}
