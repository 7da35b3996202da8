//! Colour: one linear-light value, and what can be said about it.
//!
//! Everything inside Stint is [`Colour`]: linear light, sRGB primaries, D65 white, f32, *not* clamped, so that a colour
//! outside sRGB (a Display P3 photo has many) keeps its identity until the moment it is shown. Only [`gamut`] maps.
//!
//! | question | where |
//! | --- | --- |
//! | which hue, how strong, how light to the eye | [`Oklab`], [`Oklch`] |
//! | which value | [`Colour::l_star`] in code and files, [`Colour::munsell_value`] for people |
//! | can these two be told apart | [`difference`] |
//! | in which way is it off, in words | [`deviation`] |
//! | can a screen show it, and what instead | [`gamut`] |
//! | is it warmer than that one | [`warmth`] |
//! | the same colour with its hue turned | [`turn`] |
//! | the same colour under another white | [`adaptation`] |
//! | the white of a daylight | [`light_sources`] |
//! | the same colour lighter or darker | `lightness` |
//!
//! Every conversion gives finite numbers for finite numbers: results too large for their type stop at its end.

pub mod adaptation;
pub mod deviation;
pub mod difference;
pub mod gamut;
pub mod lab;
pub mod light_sources;
pub(crate) mod lightness;
pub mod matrix;
pub mod munsell;
mod oklab;
mod oklch;
pub(crate) mod power;
pub mod rgb_space;
mod srgb;
pub mod turn;
pub mod warmth;
pub mod words;
mod xyz;

pub use lab::Lab;
pub use lightness::at_value;
pub use oklab::Oklab;
pub use oklch::Oklch;
pub use srgb::{HexError, decode, decode_f64, encode, encode_f64, srgb8_to_linear};
pub use xyz::Xyz;

use serde::{Deserialize, Serialize};

/// A colour in linear light with sRGB primaries and D65 white (IEC 61966-2-1). Components are 0-1 inside sRGB and may
/// lie outside that range.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Colour {
    /// Red, linear light.
    pub r: f32,
    /// Green, linear light.
    pub g: f32,
    /// Blue, linear light.
    pub b: f32,
}

impl Colour {
    /// A colour from linear-light components.
    pub const fn new(r: f32, g: f32, b: f32) -> Self {
        Colour { r, g, b }
    }

    /// Whether no component is NaN or infinite.
    pub fn is_finite(self) -> bool {
        self.r.is_finite() && self.g.is_finite() && self.b.is_finite()
    }

    /// The components in double precision, for the matrices and formulas that need it.
    fn wide(self) -> [f64; 3] {
        [self.r, self.g, self.b].map(f64::from)
    }

    /// The colour of double-precision components; what f32 cannot hold stops at its largest number.
    fn from_wide(rgb: [f64; 3]) -> Self {
        let [r, g, b] = rgb.map(narrow);
        Colour { r, g, b }
    }
}

/// f64 to f32 without ever turning a finite number into an infinite one.
#[expect(clippy::cast_possible_truncation, reason = "clamped to the range of single precision")]
pub(crate) fn narrow(x: f64) -> f32 {
    x.clamp(f64::from(f32::MIN), f64::from(f32::MAX)) as f32
}

// In files a colour is a plain triple, so that boards stay short and diffs readable.
impl Serialize for Colour {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        (self.r, self.g, self.b).serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Colour {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (r, g, b) = <(f32, f32, f32)>::deserialize(deserializer)?;
        let colour = Colour::new(r, g, b);
        if colour.is_finite() {
            Ok(colour)
        } else {
            Err(serde::de::Error::custom("a colour must be three finite numbers"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Components from nothing to the largest f32, both signs.
    const EXTREMES: [f32; 9] = [0.0, 1.0, -1.0, 1e-40, -1e-40, 1e20, -1e20, f32::MAX, f32::MIN];

    #[test]
    fn every_conversion_of_a_finite_colour_is_finite() {
        for r in EXTREMES {
            for g in EXTREMES {
                for b in EXTREMES {
                    let c = Colour::new(r, g, b);
                    let lab = c.lab();
                    let ok = c.oklab();
                    let lch = c.oklch();
                    let numbers = [c.srgb().map(f64::from), [lab.l, lab.a, lab.b], [ok.l, ok.a, ok.b].map(f64::from)];
                    assert!(numbers.as_flattened().iter().all(|x| x.is_finite()), "{c:?}");
                    assert!([lch.l, lch.c, lch.h_degrees].iter().all(|x| x.is_finite()), "{c:?}");
                    assert!(c.l_star().is_finite() && c.munsell_value().is_finite(), "{c:?}");
                    assert!(warmth::warmth(c).is_finite() && turn::turn(c, 30.0).is_finite(), "{c:?}");
                    assert!(ok.colour().is_finite() && lch.colour().is_finite(), "{c:?}");
                    assert!(Colour::from_srgb([r, g, b]).is_finite(), "{c:?}");
                    assert!(Oklab { l: r, a: g, b }.colour().is_finite(), "{c:?}");
                    assert!(Oklch { l: r, c: g, h_degrees: b }.colour().is_finite(), "{c:?}");
                    assert!(Colour::from_xyz(c.xyz()).is_finite(), "{c:?}");
                    assert!(c.to_display_p3().iter().all(|x| x.is_finite()), "{c:?}");
                    let mapped = gamut::into_gamut(c, &gamut::SRGB);
                    assert!(gamut::SRGB.holds(mapped), "{c:?} became {mapped:?}");
                    let white = Colour::new(1.0, 1.0, 1.0);
                    assert!(difference::ciede2000(lab, white.lab()).is_finite(), "{c:?}");
                    assert!(difference::delta_ok(ok, white.oklab()).is_finite(), "{c:?}");
                }
            }
        }
    }
}
