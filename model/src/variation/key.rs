//! Key: the values of a board spread wider or narrower, and shifted up or down.

use super::compose::{Settings, compose};
use super::{Variation, VariationError};
use crate::board::Board;

/// The board with the distance of each value from the board's mean multiplied by `spread` (0 to 3) and `shift_munsell`
/// added (-10 to 10, ten L* each). Hue and chroma stay as far as sRGB allows.
///
/// # Errors
/// When a number is out of range.
pub fn key(board: &Board, spread: f32, shift_munsell: f32) -> Result<Variation, VariationError> {
    compose(board, &Settings { spread, shift_munsell, ..Settings::default() })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::test_board::board;
    use super::*;

    fn values(board: &Board) -> Vec<f32> {
        board.swatches().map(|(_, s)| s.colour.l_star()).collect()
    }

    #[test]
    fn spread_and_shift_do_what_they_say_in_l_star() {
        let before = values(&board());
        let mean = before.iter().sum::<f32>() / 3.0;
        let after = values(&key(&board(), 1.5, 1.0).unwrap().board);
        for (b, a) in before.iter().zip(&after) {
            assert!((a - (mean + (b - mean) * 1.5 + 10.0)).abs() < 0.05, "{b} {a}");
        }
        assert_eq!(key(&board(), 1.0, 0.0).unwrap().moved_into_gamut, 0);
        let same = key(&board(), 1.0, 0.0).unwrap().board;
        assert!(same.swatches().zip(board().swatches()).all(|((_, a), (_, b))| a.colour.hex() == b.colour.hex()));
    }

    #[test]
    fn no_key_leads_to_black_or_white() {
        for shift in [-10.0, 10.0] {
            let values = values(&key(&board(), 1.0, shift).unwrap().board);
            assert!(values.iter().all(|v| (5.5..=96.5).contains(v)), "{values:?}");
        }
        assert!(key(&board(), -1.0, 0.0).is_err());
    }
}
