//! Does anything leave no room below or above?

use super::offer::Draft;
use super::{Remark, Rule, called, within};
use crate::board::Board;
use crate::board::nudge::nudge;

/// Below this Munsell value (L* 10) a swatch is black to the eye.
pub const NEAR_BLACK_MUNSELL: f32 = 1.0;
/// Above this Munsell value (L* 95) a swatch is white to the eye.
pub const NEAR_WHITE_MUNSELL: f32 = 9.5;

/// Swatches that are almost black.
pub(super) fn near_black(board: &Board) -> Vec<Remark> {
    let dark = board.swatches().filter(|(_, s)| s.colour.munsell_value() < NEAR_BLACK_MUNSELL);
    dark.map(|(family, swatch)| {
        let text = format!(
            "{} is almost black, value {:.1}: below {NEAR_BLACK_MUNSELL:.1} no hue is left and the study gets a hole; \
             lighten it and let it lean towards a colour",
            called(family, swatch),
            swatch.colour.munsell_value()
        );
        within(Rule::NearBlack, family, &[swatch], swatch.colour.munsell_value(), text)
    })
    .collect()
}

/// Swatches that are almost white.
pub(super) fn near_white(board: &Board) -> Vec<Remark> {
    let light = board.swatches().filter(|(_, s)| s.colour.munsell_value() > NEAR_WHITE_MUNSELL);
    light
        .map(|(family, swatch)| {
            let text = format!(
                "{} is almost white, value {:.1}: above {NEAR_WHITE_MUNSELL:.1} nothing can be lighter and no hue is \
                 left; darken it and let it lean towards the colour of the light",
                called(family, swatch),
                swatch.colour.munsell_value()
            );
            within(Rule::NearWhite, family, &[swatch], swatch.colour.munsell_value(), text)
        })
        .collect()
}

/// The swatch moved back into range.
pub(super) fn drafts(board: &Board, remark: &Remark) -> Vec<Draft> {
    let nudged = remark.swatches.iter().filter_map(|&id| board.with_colour(id, nudge(board.swatch(id)?.colour)).ok());
    nudged.map(Draft::moved).collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample::{oklch, recoloured, rules_of};
    use super::*;

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
