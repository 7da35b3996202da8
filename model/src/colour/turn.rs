//! Turning the hue of a colour.

use super::{Colour, Oklab};

/// `colour` with its OKLCh hue turned by `degrees` (positive: red towards yellow), lightness and chroma kept. Not
/// mapped: the result may lie outside sRGB, so that turning back gives the colour again; see [`gamut`](super::gamut).
pub fn turn(colour: Colour, degrees: f32) -> Colour {
    turn_oklab(colour.oklab(), degrees).colour()
}

/// The same in OKLab: a rotation of the a, b plane, which needs no hue and so has no trouble with greys.
pub fn turn_oklab(place: Oklab, degrees: f32) -> Oklab {
    let (sin, cos) = libm::sincosf(degrees.rem_euclid(360.0).to_radians());
    Oklab { l: place.l, a: place.a * cos - place.b * sin, b: place.a * sin + place.b * cos }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keeps_lightness_and_chroma_and_comes_back() {
        let brick = Colour::from_srgb8([160, 82, 45]);
        let (before, after) = (brick.oklch(), turn(brick, 75.0).oklch());
        assert!((before.l - after.l).abs() < 1e-5 && (before.c - after.c).abs() < 1e-5);
        assert!((after.h_degrees - before.h_degrees - 75.0).abs() < 1e-2);
        let back = turn(turn(brick, 75.0), -75.0);
        assert!((back.r - brick.r).abs() + (back.g - brick.g).abs() + (back.b - brick.b).abs() < 1e-5);
    }

    #[test]
    fn a_grey_stays_grey() {
        let grey = Colour::new(0.2, 0.2, 0.2);
        let turned = turn(grey, 120.0);
        assert!((turned.r - 0.2).abs() + (turned.g - 0.2).abs() + (turned.b - 0.2).abs() < 1e-5, "{turned:?}");
    }
}
