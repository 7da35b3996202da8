//! Nudge: the smallest step that brings a colour back into what a board may hold.

use super::limits::{
    GARISH_CHROMA, GARISH_SHARE_OF_GAMUT, HIGHEST_MUNSELL, LOWEST_MUNSELL, NEAR_BLACK_MUNSELL, NEAR_WHITE_MUNSELL,
};
use super::moves::at_value;
use crate::colour::Colour;
use crate::colour::gamut::SRGB;

/// `colour` moved no further than it takes: up from near-black, down from near-white, in from the edge of sRGB, a little past
/// each limit so that the review does not name it again. Hue and, in from the edge, value stay. A colour that is in range comes
/// back as it is.
pub fn nudge(colour: Colour) -> Colour {
    let value = colour.munsell_value();
    if value < NEAR_BLACK_MUNSELL {
        at_value(colour, LOWEST_MUNSELL)
    } else if value > NEAR_WHITE_MUNSELL {
        at_value(colour, HIGHEST_MUNSELL)
    } else if at_edge(colour) {
        at_value(colour, value)
    } else {
        colour
    }
}

/// Whether the colour is outside sRGB, or strong and at its edge.
fn at_edge(colour: Colour) -> bool {
    let place = colour.oklch();
    !SRGB.nearly_holds(colour)
        || (place.c >= GARISH_CHROMA && place.c >= GARISH_SHARE_OF_GAMUT * SRGB.max_chroma(place.l, place.h_degrees))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_in_range_stays_and_what_is_not_comes_in() {
        let quiet = Colour::from_srgb8([120, 96, 80]);
        assert_eq!(nudge(quiet), quiet);
        let black = nudge(Colour::new(0.002, 0.002, 0.003));
        assert!(black.munsell_value() > NEAR_BLACK_MUNSELL && black.munsell_value() < NEAR_BLACK_MUNSELL + 0.3);
        let white = nudge(Colour::new(0.97, 0.98, 0.96));
        assert!(white.munsell_value() < NEAR_WHITE_MUNSELL && white.munsell_value() > NEAR_WHITE_MUNSELL - 0.3);
        let red = Colour::new(1.0, 0.0, 0.0);
        let after = nudge(red);
        assert!(!at_edge(after) && (red.munsell_value() - after.munsell_value()).abs() < 1e-3);
        assert!(red.oklch().c - after.oklch().c < 0.1);
        let outside = nudge(Colour::from_display_p3([0.05, 0.8, 0.05]));
        assert!(outside.in_srgb() && !at_edge(outside));
    }
}
