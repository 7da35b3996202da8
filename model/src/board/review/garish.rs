//! Is anything as strong as a screen can make it?

use super::draft::Draft;
use super::{Definition, Remark, Rule, within};
use crate::board::Board;
use crate::board::limits::{GARISH_CHROMA, GARISH_SHARE_OF_GAMUT};
use crate::colour::gamut::SRGB;

/// [`Rule::Garish`].
pub(super) const GARISH: Definition = Definition {
    words: "garish",
    unit: "share of the chroma of sRGB",
    find: garish,
    draft: |board, remark, _| Draft::nudged(board, remark),
    settles: true,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::boards,
};

/// Strong swatches at the edge of sRGB or outside.
fn garish(board: &Board) -> Vec<Remark> {
    board
        .swatches()
        .filter_map(|(family, swatch)| {
            let place = swatch.colour.oklch();
            if place.c < GARISH_CHROMA {
                return None;
            }
            let most = SRGB.max_chroma(place.l, place.h_degrees);
            if place.c < GARISH_SHARE_OF_GAMUT * most {
                return None;
            }
            let found = if swatch.colour.in_srgb() {
                // Not above 100: the edge is found to 1e-4 only.
                let percent = (100.0 * place.c / most).min(100.0);
                format!("has {percent:.0} % of the chroma an sRGB screen can show at its lightness and hue")
            } else {
                "is stronger than an sRGB screen can show at its lightness and hue".to_owned()
            };
            let text = format!(
                "{} {found}: from {:.0} % a colour shouts over its neighbours; grey it down a little",
                family.swatch_name_and_place(swatch),
                100.0 * GARISH_SHARE_OF_GAMUT
            );
            Some(within(Rule::Garish, family, &[swatch], (place.c / most.max(f32::MIN_POSITIVE)).min(f32::MAX), text))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::test_boards::{Boards, oklch, recoloured, rules_of};
    use super::*;
    use crate::colour::Colour;

    pub fn boards() -> Boards {
        Boards {
            breaking: vec![
                recoloured(3, 0, Colour::from_srgb8([255, 180, 0])),
                recoloured(3, 0, oklch(0.7, 0.3, 40.0)),
            ],
            sound: vec![recoloured(3, 0, oklch(0.82, 0.15, 80.0))],
        }
    }

    #[test]
    fn a_lamp_as_strong_as_a_screen_can_make_it() {
        let board = recoloured(3, 0, Colour::from_srgb8([255, 180, 0]));
        assert_eq!(rules_of(&board), [Rule::Garish]);
        let text = &garish(&board)[0].text;
        assert!(text.starts_with("lamps accent has ") && text.contains(" % of the chroma an sRGB screen"), "{text}");
    }

    #[test]
    fn a_lamp_that_no_screen_can_show() {
        let board = recoloured(3, 0, oklch(0.7, 0.3, 40.0));
        assert_eq!(rules_of(&board), [Rule::Garish]);
        let text = &garish(&board)[0].text;
        assert!(text.starts_with("lamps accent is stronger than an sRGB screen can show"), "{text}");
    }

    #[test]
    fn dark_calm_colours_at_the_edge_are_left_in_peace() {
        // A warm near-black: close to the edge, but nobody would call it garish.
        let brown = Colour::from_srgb8([48, 24, 0]);
        assert!(brown.oklch().c > 0.9 * SRGB.max_chroma(brown.oklch().l, brown.oklch().h_degrees));
        assert_eq!(garish(&recoloured(0, 0, brown)), []);
    }
}
