//! sRGB as files and screens hold it: encoded numbers, 8-bit codes and `#rrggbb`.

use super::{Colour, gamut, narrow};
use palette::encoding::{IntoLinear, Srgb};

/// Encoded components are held to this before decoding, so that the power stays finite.
const LARGEST_ENCODED: f64 = 1e12;

/// Linear light to the sRGB encoding (IEC 61966-2-1); Display P3 uses the same curve (W3C CSS Color 4). Unclamped;
/// negative numbers by odd symmetry, as CSS Color 4 extends it.
pub fn encode(linear: f32) -> f32 {
    narrow(encode_f64(f64::from(linear)))
}

/// The sRGB encoding to linear light; the inverse of [`encode`].
pub fn decode(encoded: f32) -> f32 {
    narrow(decode_f64(f64::from(encoded)))
}

/// [`encode`] in double precision, for tables of codes that must be exact.
pub fn encode_f64(linear: f64) -> f64 {
    let x = linear.abs();
    let encoded = if x <= 0.003_130_8 { 12.92 * x } else { 1.055 * libm::pow(x, 1.0 / 2.4) - 0.055 };
    encoded.copysign(linear)
}

/// [`decode`] in double precision.
pub fn decode_f64(encoded: f64) -> f64 {
    let x = encoded.abs().min(LARGEST_ENCODED);
    let linear = if x <= 0.040_45 { x / 12.92 } else { libm::pow((x + 0.055) / 1.055, 2.4) };
    linear.copysign(encoded)
}

/// Linear light of an 8-bit sRGB code, from a table of 256: the fast way for photos.
pub fn srgb8_to_linear(code: u8) -> f32 {
    Srgb::into_linear(code)
}

/// Why a text is not a colour.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("\"{text}\" is not a colour; write # and six digits 0-9 or a-f, such as #7a8fa3")]
pub struct HexError {
    /// What was given.
    pub text: String,
}

impl Colour {
    /// The colour of 8-bit sRGB codes.
    pub fn from_srgb8(codes: [u8; 3]) -> Self {
        let [r, g, b] = codes.map(srgb8_to_linear);
        Colour { r, g, b }
    }

    /// The colour of encoded sRGB components, 0-1 inside sRGB, any finite number accepted.
    pub fn from_srgb(encoded: [f32; 3]) -> Self {
        let [r, g, b] = encoded.map(decode);
        Colour { r, g, b }
    }

    /// Encoded sRGB components, neither clamped nor mapped.
    pub fn srgb(self) -> [f32; 3] {
        [self.r, self.g, self.b].map(encode)
    }

    /// Whether sRGB holds this colour, but for rounding ([`gamut::ROUNDING`]).
    pub fn in_srgb(self) -> bool {
        gamut::SRGB.nearly_holds(self)
    }

    /// The 8-bit sRGB codes of this colour, mapped into sRGB first (see [`gamut`]).
    #[expect(clippy::cast_possible_truncation, reason = "codes are from 0 to 255; the cast saturates")]
    pub fn to_srgb8(self) -> [u8; 3] {
        gamut::into_gamut(self, &gamut::SRGB).srgb().map(|x| (x * 255.0).round() as u8)
    }

    /// `#rrggbb`, mapped into sRGB first (see [`gamut`]).
    pub fn hex(self) -> String {
        let [r, g, b] = self.to_srgb8();
        format!("#{r:02x}{g:02x}{b:02x}")
    }

    /// The colour of `#rrggbb` or `#rgb` (W3C CSS Color 4, section 5.2), with or without `#`, in either case.
    ///
    /// # Errors
    /// [`HexError`] for any other text.
    pub fn from_hex(text: &str) -> Result<Self, HexError> {
        // `palette` would also read longer forms with more bits a component; they are not ours.
        let digits = text.strip_prefix('#').unwrap_or(text);
        let plain = matches!(digits.len(), 3 | 6) && digits.bytes().all(|b| b.is_ascii_hexdigit());
        let refused = || HexError { text: text.to_owned() };
        let codes: palette::Srgb<u8> = plain.then_some(digits).ok_or_else(refused)?.parse().map_err(|_| refused())?;
        Ok(Colour::from_srgb8(codes.into()))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn table_follows_the_published_curve() {
        for code in 0..=255_u8 {
            let x = f64::from(code) / 255.0;
            let linear = if x <= 0.04045 { x / 12.92 } else { ((x + 0.055) / 1.055).powf(2.4) };
            assert!((f64::from(srgb8_to_linear(code)) - linear).abs() < 1e-7, "{code}");
            assert_eq!(Colour::from_srgb8([code; 3]).to_srgb8(), [code; 3]);
        }
    }

    #[test]
    fn the_curve_is_odd_and_comes_back() {
        for x in [0.0, 0.002, 0.003_130_8, 0.01, 0.2, 1.0, 1.7] {
            assert_eq!(encode(-x), -encode(x));
            assert!((decode(encode(x)) - x).abs() < 1e-6, "{x}");
            assert!((decode(encode(-x)) + x).abs() < 1e-6, "{x}");
        }
    }

    #[test]
    fn hex_reads_what_it_writes_and_refuses_the_rest() {
        assert_eq!(Colour::from_hex("#A0522d").unwrap().hex(), "#a0522d");
        assert_eq!(Colour::from_hex("fc0").unwrap().hex(), "#ffcc00");
        for bad in ["", "#", "#12345", "#1234567", "#ff00ff80", "#gggggg", "##ff00ff", "#+f00ff", "éé€", "#日本"]
        {
            let error = Colour::from_hex(bad).unwrap_err();
            assert!(error.to_string().starts_with(&format!("\"{bad}\" is not a colour")), "{error}");
        }
    }

    #[test]
    fn codes_of_a_colour_outside_keep_its_hue_better_than_clipping() {
        // Display P3 red: clipping would give #ff0000; CSS Color 4 maps it to 255, 11, 12.
        let p3_red = Colour::from_srgb([1.093_066_4, -0.226_741_97, -0.150_134_6]);
        assert!(!p3_red.in_srgb());
        assert_eq!(p3_red.to_srgb8(), [255, 11, 12]);
    }
}
