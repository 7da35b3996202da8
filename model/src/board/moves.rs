//! The moves of one colour that the offers of a review are made of: in value, chroma, warmth or hue, one at a time.
//!
//! What is moved comes to lie inside sRGB and below what [`review`](super::review) calls garish. Apart from [`at_value`], every
//! move keeps the value, so that a surface keeps its steps from dark to light.

use super::limits::{GARISH_CHROMA, GARISH_SHARE_OF_GAMUT, HIGHEST_MUNSELL, LOWEST_MUNSELL};
use crate::colour::gamut::SRGB;
use crate::colour::lightness::oklab_l_where;
use crate::colour::warmth::AXIS;
use crate::colour::{Colour, Oklab, Oklch};

/// Largest share of the gamut's chroma that a strong colour keeps.
const CALM_SHARE_OF_GAMUT: f32 = GARISH_SHARE_OF_GAMUT - 0.02;
/// Up to this OKLCh chroma a colour may lie at the edge of sRGB.
const CALM_CHROMA: f32 = GARISH_CHROMA - 0.005;
/// Share of the gamut's chroma that counts as inside: the edge is found to 1e-4 only.
const INSIDE_SHARE_OF_GAMUT: f32 = 0.99;

/// The chroma that a colour of chroma `c` keeps at this lightness and hue.
fn calm_chroma(c: f32, l: f32, h_degrees: f32) -> f32 {
    let most = SRGB.max_chroma(l, h_degrees);
    let room = CALM_SHARE_OF_GAMUT * most;
    if c <= room { c } else { room.max(c.min(CALM_CHROMA).min(INSIDE_SHARE_OF_GAMUT * most)) }
}

/// The colour of this hue and chroma, or the nearest calm chroma there is, whose Munsell value is `munsell`, held to the range
/// that a board may have.
pub(crate) fn at_value(colour: Colour, munsell: f32) -> Colour {
    let wanted = munsell.clamp(LOWEST_MUNSELL, HIGHEST_MUNSELL);
    let Oklch { c, h_degrees, .. } = colour.oklch();
    let at = |l: f32| Oklch { l, c: calm_chroma(c, l, h_degrees), h_degrees }.colour();
    at(oklab_l_where(1.0, 22, |l| at(l).munsell_value() < wanted))
}

/// The colour at another OKLCh chroma; hue and value stay.
pub(crate) fn with_chroma(colour: Colour, chroma: f32) -> Colour {
    let place = colour.oklch();
    at_value(Oklch { c: chroma.max(0.0), ..place }.colour(), colour.munsell_value())
}

/// The colour moved `by` OKLab units along the warmth axis, positive: warmer; the value stays. At the edge of sRGB it comes
/// less far.
pub(crate) fn warmed(colour: Colour, by: f32) -> Colour {
    let Oklab { l, a, b } = colour.oklab();
    #[expect(clippy::cast_possible_truncation, reason = "an axis in the single precision of colours")]
    let moved = Oklab { l, a: a + by * AXIS[0] as f32, b: b + by * AXIS[1] as f32 };
    at_value(moved.colour(), colour.munsell_value())
}

/// The colour with its OKLCh hue turned; chroma stays as far as sRGB allows, value always.
pub(crate) fn turned(colour: Colour, degrees: f32) -> Colour {
    let place = colour.oklch();
    at_value(Oklch { h_degrees: place.h_degrees + degrees, ..place }.colour(), colour.munsell_value())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::warmth::warmer_by;

    #[test]
    fn every_move_keeps_what_it_promises() {
        let brick = Colour::from_srgb8([122, 82, 68]);
        let (value, place) = (brick.munsell_value(), brick.oklch());
        let lighter = at_value(brick, value + 1.0);
        assert!((lighter.munsell_value() - value - 1.0).abs() < 1e-3);
        assert!(
            (lighter.oklch().c - place.c).abs() < 1e-4 && (lighter.oklch().h_degrees - place.h_degrees).abs() < 0.1
        );
        let greyed = with_chroma(brick, 0.02);
        assert!((greyed.oklch().c - 0.02).abs() < 1e-4 && (greyed.munsell_value() - value).abs() < 1e-3);
        let cooler = warmed(brick, -0.03);
        assert!((warmer_by(cooler, brick) + 0.03).abs() < 1e-4 && (cooler.munsell_value() - value).abs() < 1e-3);
        let hue = turned(brick, 20.0);
        assert!(
            (hue.oklch().h_degrees - place.h_degrees - 20.0).abs() < 0.1 && (hue.munsell_value() - value).abs() < 1e-3
        );
    }

    #[test]
    fn whatever_is_moved_comes_to_lie_inside() {
        for colour in [Colour::new(f32::MAX, -3.0, 0.1), Colour::new(0.0, 0.0, 4.0), Colour::new(-1.0, 0.2, -1e20)] {
            for munsell in [-2.0, 1.0, 5.0, 12.0] {
                let moved = at_value(colour, munsell);
                assert!(SRGB.nearly_holds(moved), "{colour:?} {munsell} {moved:?}");
                let value = moved.munsell_value();
                assert!(
                    (LOWEST_MUNSELL - 0.01..=HIGHEST_MUNSELL + 0.01).contains(&value),
                    "{colour:?} {munsell} {value}"
                );
            }
        }
    }
}
