//! Does anything leave no room below or above?

use super::draft::Draft;
use super::{Definition, Remark, Rule, within};
use crate::board::Board;
use crate::board::limits::{NEAR_BLACK_MUNSELL, NEAR_WHITE_MUNSELL};

/// [`Rule::NearBlack`].
pub(super) const NEAR_BLACK: Definition = Definition {
    words: "near black",
    unit: "Munsell value",
    find: near_black,
    draft: |board, remark, _| Draft::nudged(board, remark),
    settles: true,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::near_black_boards,
};

/// [`Rule::NearWhite`].
pub(super) const NEAR_WHITE: Definition = Definition {
    words: "near white",
    unit: "Munsell value",
    find: near_white,
    draft: |board, remark, _| Draft::nudged(board, remark),
    settles: true,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::near_white_boards,
};

/// Swatches that are almost black.
fn near_black(board: &Board) -> Vec<Remark> {
    let dark = board.swatches().filter(|(_, s)| s.colour.munsell_value() < NEAR_BLACK_MUNSELL);
    dark.map(|(family, swatch)| {
        let text = format!(
            "{} is almost black, value {:.1}: below {NEAR_BLACK_MUNSELL:.1} no hue is left and the study gets a hole; \
             lighten it and let it lean towards a colour",
            family.swatch_name_and_place(swatch),
            swatch.colour.munsell_value()
        );
        within(Rule::NearBlack, family, &[swatch], swatch.colour.munsell_value(), text)
    })
    .collect()
}

/// Swatches that are almost white.
fn near_white(board: &Board) -> Vec<Remark> {
    let light = board.swatches().filter(|(_, s)| s.colour.munsell_value() > NEAR_WHITE_MUNSELL);
    light
        .map(|(family, swatch)| {
            let text = format!(
                "{} is almost white, value {:.1}: above {NEAR_WHITE_MUNSELL:.1} nothing can be lighter and no hue is \
                 left; darken it and let it lean towards the colour of the light",
                family.swatch_name_and_place(swatch),
                swatch.colour.munsell_value()
            );
            within(Rule::NearWhite, family, &[swatch], swatch.colour.munsell_value(), text)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::test_boards::{Boards, oklch, recoloured, rules_of};
    use super::*;

    pub fn near_black_boards() -> Boards {
        Boards {
            breaking: vec![recoloured(1, 0, oklch(0.12, 0.01, 280.0))],
            sound: vec![recoloured(1, 0, oklch(0.235, 0.02, 280.0))],
        }
    }

    pub fn near_white_boards() -> Boards {
        Boards {
            breaking: vec![recoloured(2, 1, oklch(0.98, 0.005, 240.0))],
            sound: vec![recoloured(2, 1, oklch(0.95, 0.015, 240.0))],
        }
    }

    #[test]
    fn a_black_shadow() {
        let board = recoloured(1, 0, oklch(0.12, 0.01, 280.0));
        assert_eq!(rules_of(&board), [Rule::NearBlack]);
        let text = &near_black(&board)[0].text;
        assert!(text.starts_with("wet yard shadow is almost black, value 0."), "{text}");
    }

    #[test]
    fn a_white_light() {
        let board = recoloured(2, 1, oklch(0.98, 0.005, 240.0));
        assert_eq!(rules_of(&board), [Rule::NearWhite]);
        let text = &near_white(&board)[0].text;
        assert!(text.starts_with("sky light is almost white, value 9."), "{text}");
    }
}
