//! Colour: one linear-light value, and what can be said about it.
//!
//! Everything inside Stint is [`Colour`]: linear light, sRGB primaries, D65 white, f32, *not* clamped, so that a colour
//! outside sRGB (a Display P3 photo has many) keeps its identity until the moment it is shown.

use palette::IntoColor;
use serde::{Deserialize, Serialize};

/// A colour in linear light with sRGB primaries and D65 white (IEC 61966-2-1). Components are 0-1 inside sRGB and may lie
/// outside that range.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Colour {
    /// Red.
    pub r: f32,
    /// Green.
    pub g: f32,
    /// Blue.
    pub b: f32,
}

/// OKLab (B. Ottosson, "A perceptual color space for image processing", 2020).
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Oklab {
    /// Lightness, 0 black to 1 white.
    pub l: f32,
    /// Green (-) to red (+).
    pub a: f32,
    /// Blue (-) to yellow (+).
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

    fn linear(self) -> palette::LinSrgb<f32> {
        palette::LinSrgb::new(self.r, self.g, self.b)
    }

    /// OKLab of this colour.
    pub fn oklab(self) -> Oklab {
        let lab: palette::Oklab<f32> = self.linear().into_color();
        Oklab { l: lab.l, a: lab.a, b: lab.b }
    }

    /// `#rrggbb`, brought into sRGB first.
    pub fn hex(self) -> String {
        let c: palette::Srgb<u8> = palette::Srgb::<f32>::from_linear(self.linear()).into_format();
        format!("#{:02x}{:02x}{:02x}", c.red, c.green, c.blue)
    }
}

impl Oklab {
    /// The colour at this place.
    pub fn colour(self) -> Colour {
        let lin: palette::LinSrgb<f32> = palette::Oklab::new(self.l, self.a, self.b).into_color();
        Colour::new(lin.red, lin.green, lin.blue)
    }
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
