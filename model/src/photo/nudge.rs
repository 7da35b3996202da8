//! Nudge: the smallest step that brings a picked colour back into what a board may hold.

use crate::board::review::{GARISH_SHARE_OF_GAMUT, NEAR_BLACK_MUNSELL, NEAR_WHITE_MUNSELL};
use crate::colour::{Colour, Oklch, gamut};
use crate::variation::key::with_l_star;

/// How far past a limit the nudged colour comes to lie, so that the review does not name it again: values in CIE L*, and the
/// share of the gamut's chroma.
const CLEAR: (f32, f32) = (1.0, 0.02);
/// Below this chroma (OKLCh) a colour is a grey, which no chroma can bring nearer.
const GREY_CHROMA: f32 = 0.002;

/// `colour` moved no further than it takes: up from near-black, down from near-white, in from the edge of sRGB. A colour that
/// is in range comes back as it is.
pub fn nudge(colour: Colour) -> Colour {
    let low = NEAR_BLACK_MUNSELL * 10.0 + CLEAR.0;
    let high = NEAR_WHITE_MUNSELL * 10.0 - CLEAR.0;
    let value = colour.munsell_value();
    let mut moved = colour;
    if value < NEAR_BLACK_MUNSELL {
        moved = with_l_star(moved, low);
    } else if value > NEAR_WHITE_MUNSELL {
        moved = with_l_star(moved, high);
    }
    let place = moved.oklch();
    let most = gamut::SRGB.max_chroma(place.l, place.h_degrees) * (GARISH_SHARE_OF_GAMUT - CLEAR.1);
    if place.c > GREY_CHROMA && (place.c > most && at_edge(moved)) {
        moved = Oklch { c: most, ..place }.colour();
    }
    moved
}

/// Whether the colour is outside sRGB, or strong and at its edge.
fn at_edge(colour: Colour) -> bool {
    use crate::board::review::GARISH_CHROMA;
    let place = colour.oklch();
    !colour.in_srgb()
        || (place.c > GARISH_CHROMA
            && place.c > GARISH_SHARE_OF_GAMUT * gamut::SRGB.max_chroma(place.l, place.h_degrees))
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
        let (before, after) = (red.oklch(), nudge(red).oklch());
        assert!(!at_edge(nudge(red)) && (before.l - after.l).abs() < 1e-3 && before.c - after.c < 0.1);
        let outside = nudge(Colour::from_display_p3([0.05, 0.8, 0.05]));
        assert!(outside.in_srgb() && !at_edge(outside));
    }
}
