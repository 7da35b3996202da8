//! One colour in the notations of other formats: the numbers of CSS Color 4, read and written.

use crate::colour::matrix::apply;
use crate::colour::rgb_space::RgbSpace;
use crate::colour::{Colour, Xyz};
use color::{ColorSpaceTag, DynamicColor, Flags, ParseError};

/// Decimals of the lightness, chroma and hue that are written. Half a unit of the last is 5e-7 in lightness and chroma and, at
/// the largest chroma of sRGB, 3e-6 in hue: a thirtieth of what moves an OKLab place by 1e-4.
const DECIMALS: (usize, usize, usize) = (6, 6, 3);
/// OKLCh chroma that counts as none; the hue of such a colour says nothing. f32 leaves greys with up to 1e-6.
const NO_CHROMA: f32 = 4e-6;
/// Farthest that written and exact colour may lie apart, in OKLab, relative to the larger of 1 and its size.
pub(super) const SAME_OKLAB: f32 = 1e-4;

/// Primaries of ITU-R BT.2020 with D65 white.
const REC2020: RgbSpace = RgbSpace::from_primaries([[0.708, 0.292], [0.170, 0.797], [0.131, 0.046]]);
/// What a reference display raises the components of BT.2020 to: ITU-R BT.1886.
const REC2020_EXPONENT: f32 = 2.4;

/// Lightness, chroma and hue of a colour as written.
pub(super) struct OklchDigits {
    /// OKLCh lightness, 0-1.
    pub l: String,
    /// OKLCh chroma.
    pub c: String,
    /// OKLCh hue, degrees; none for a grey.
    pub h: Option<String>,
    /// Whether the lightness had to be held to 0-1, as `oklch` in CSS Color 4 and in design tokens asks.
    pub clamped: bool,
}

/// OKLCh of a colour in decimal digits.
pub(super) fn oklch_digits(colour: Colour) -> OklchDigits {
    let place = colour.oklch();
    let l = fixed(place.l, DECIMALS.0);
    let clamped = !l.parse::<f32>().is_ok_and(|l| (0.0..=1.0).contains(&l));
    let l = if clamped { fixed(place.l.clamp(0.0, 1.0), DECIMALS.0) } else { l };
    let grey = place.c < NO_CHROMA;
    let c = if grey { "0".to_owned() } else { fixed(place.c, DECIMALS.1) };
    let h = fixed(place.h_degrees, DECIMALS.2);
    // A full turn is none.
    let h = if h == "360" { "0".to_owned() } else { h };
    OklchDigits { l, c, h: (!grey).then_some(h), clamped }
}

/// With so many decimals at most, without zeros at the end.
fn fixed(value: f32, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The shortest digits that are this number again, with an exponent when it is very large or small.
pub(super) fn exact(value: f32) -> String {
    if value == 0.0 || (1e-5..1e7).contains(&value.abs()) { format!("{value}") } else { format!("{value:e}") }
}

/// The exact linear-light colour of a note, if it is what `written` says with fewer digits; else somebody has changed the
/// written colour, which then counts.
pub(super) fn refined(written: Colour, exact: Colour) -> Colour {
    let (w, e) = (written.oklab(), exact.oklab());
    let size = e.l.abs().max(e.chroma()).max(1.0);
    let apart = (w.l - e.l).abs().max((w.a - e.a).abs()).max((w.b - e.b).abs());
    if exact.is_finite() && apart <= SAME_OKLAB * size { exact } else { written }
}

/// A colour in the syntax of CSS Color 4 (hex, names and every function), and its alpha, 0-1.
pub(super) fn parse(text: &str) -> Result<(Colour, f32), Fault> {
    let mut parsed = color::parse_color(text).map_err(Fault::Syntax)?;
    // In `lch()` 100 % of chroma are 150 (CSS Color 4, section 9.4); crate `color` 0.3 takes the 125 of `lab()`.
    let chroma = text.split_once('(').and_then(|(_, inside)| inside.split_whitespace().nth(1));
    if parsed.cs == ColorSpaceTag::Lch && chroma.is_some_and(|chroma| chroma.ends_with('%')) {
        parsed.components[1] *= 150.0 / 125.0;
    }
    let alpha = parsed.components[3];
    Ok((colour_of(parsed).ok_or(Fault::NotFinite)?, alpha))
}

/// Why a text is not a colour.
#[derive(Debug)]
pub(super) enum Fault {
    /// It is not CSS Color 4.
    Syntax(ParseError),
    /// It is, with numbers beyond all measure.
    NotFinite,
}

/// The colour of components in a named space, with white adapted to D65 by the Bradford method where it must be (CSS Color
/// 4, section 10). Missing components count as 0 (section 4.4). `None` when a number is not finite.
#[expect(clippy::cast_possible_truncation, reason = "codes are from 0 to 255; the cast saturates")]
pub(super) fn colour_of(given: DynamicColor) -> Option<Colour> {
    let [r, g, b, _] = given.components;
    if given.cs == ColorSpaceTag::Srgb {
        // 8-bit codes get the very numbers that they have everywhere else in Stint.
        let codes = [r, g, b].map(|x| x * 255.0);
        if codes.iter().all(|x| (x - x.round()).abs() < 1e-4 && (0.0..=255.0).contains(x)) {
            return Some(Colour::from_srgb8(codes.map(|x| x.round() as u8)));
        }
        let colour = Colour::from_srgb([r, g, b]);
        return [r, g, b].iter().all(|x| x.is_finite()).then_some(colour);
    }
    let colour = if given.cs == ColorSpaceTag::Rec2020 {
        // CSS Color 4 has read rec2020 as a display shows it since 2025; crate `color` 0.3 still reads it as a camera writes it.
        let linear = [r, g, b].map(|x| f64::from(libm::powf(x.abs(), REC2020_EXPONENT).copysign(x)));
        let [x, y, z] = apply(&REC2020.to_xyz, linear);
        Colour::from_xyz(Xyz { x, y, z })
    } else {
        // A missing component is 0 here; left as missing it would be carried into the other space.
        let whole = DynamicColor { flags: Flags::default(), ..given };
        let [r, g, b, _] = whole.convert(ColorSpaceTag::LinearSrgb).components;
        Colour::new(r, g, b)
    };
    (colour.is_finite() && [r, g, b].iter().all(|x| x.is_finite())).then_some(colour)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_short_and_enough() {
        let written = oklch_digits(Colour::from_srgb8([0x4c, 0x34, 0x32]));
        assert_eq!((written.l.len(), written.c.len()), (8, 8));
        let grey = oklch_digits(Colour::from_srgb8([119; 3]));
        assert_eq!((grey.c.as_str(), grey.h), ("0", None));
        assert_eq!(oklch_digits(Colour::from_srgb8([255; 3])).l, "1");
        assert_eq!(oklch_digits(Colour::from_srgb8([0; 3])).l, "0");
        let bright = oklch_digits(Colour::new(3.0, 2.5, 2.0));
        assert_eq!((bright.l.as_str(), bright.clamped), ("1", true));
        assert_eq!([exact(0.021), exact(-0.0), exact(1e20), exact(1e-40)], ["0.021", "-0", "1e20", "1e-40"]);
    }

    #[test]
    fn eight_bit_codes_are_those_of_the_rest_of_the_program() {
        for code in 0..=255_u8 {
            let hex = format!("#{code:02x}{code:02x}00");
            assert_eq!(parse(&hex).unwrap().0, Colour::from_srgb8([code, code, 0]));
        }
        assert_eq!(parse("rgb(76 52 50 / 0.5)").unwrap(), (Colour::from_srgb8([76, 52, 50]), 0.5));
        assert!(matches!(parse("color(xyz 1e999 0 0)"), Err(Fault::NotFinite)));
        assert!(matches!(parse("color(srgb 1e999 0 0)"), Err(Fault::NotFinite)));
        assert!(matches!(parse("#12"), Err(Fault::Syntax(_))));
    }
}
