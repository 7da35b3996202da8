//! The colour of a wanted lightness, whatever scale the lightness is on.
//!
//! L* and Munsell value rise with OKLab's L while hue and chroma stay, but have no closed inverse along it: the L that is wanted
//! is searched for.

use super::munsell::y_of_munsell_value;
use super::{Colour, Oklab, Oklch};
use crate::bisect::bisect;

/// The OKLab lightness, from 0 to `most`, up to which `is_too_dark` holds; to `most` / 2^`halvings`.
pub fn oklab_l_where(most: f32, halvings: u32, is_too_dark: impl Fn(f32) -> bool) -> f32 {
    let [dark, light] = bisect(0.0, most, halvings, is_too_dark);
    f32::midpoint(dark, light)
}

/// The colour of the same OKLCh chroma and hue whose CIE L* is `l_star`, not mapped into any gamut.
pub fn with_l_star(colour: Colour, l_star: f32) -> Colour {
    let place = colour.oklch();
    let at = |l: f32| Oklch { l, ..place }.colour();
    // Up to 1.2: a pink of L* 96 and chroma 0.3, hue 350 degrees, has an OKLab lightness of 1.005.
    at(oklab_l_where(1.2, 24, |l| at(l).l_star() < l_star))
}

/// Steps towards the lightness; three bring the value within 0.01 over all of sRGB (tested), the rest is room.
const VALUE_STEPS: usize = 5;

/// The colour of a Munsell value (0-10) at a place of the OKLab plane of a and b; it may lie outside any gamut.
///
/// OKLab lightness is not value: at one lightness a blue and a yellow differ in luminance. So the lightness is sought that gives
/// the luminance of the value; luminance goes about with its cube, which makes the steps short.
#[expect(clippy::cast_possible_truncation, reason = "a lightness, and a factor of it, in single precision")]
pub fn at_value(value_munsell: f32, a: f32, b: f32) -> Colour {
    let y = y_of_munsell_value(f64::from(value_munsell));
    let mut place = Oklab { l: libm::cbrt(y) as f32, a, b };
    for _ in 0..VALUE_STEPS {
        let now = place.colour().xyz().y;
        if now <= 0.0 {
            break;
        }
        place.l *= libm::cbrt(y / now) as f32;
    }
    place.colour()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lightness_moves_and_chroma_and_hue_stay() {
        let brick = Colour::from_srgb8([122, 82, 68]);
        for l_star in [6.0, 40.0, 96.0] {
            let (moved, before) = (with_l_star(brick, l_star), brick.oklch());
            assert!((moved.l_star() - l_star).abs() < 1e-3, "{l_star}: {}", moved.l_star());
            let after = moved.oklch();
            assert!((after.c - before.c).abs() < 1e-4 && (after.h_degrees - before.h_degrees).abs() < 0.1, "{after:?}");
        }
    }
}
