//! Linear light to the integers of the file.
//!
//! A code is `round(max * encode(x))` with the curve of IEC 61966-2-1, computed in f64. Computing that power for every
//! sample of a large picture would take seconds, so it is done once per code: a table holds the smallest f32 that gets
//! each code, a coarse table of straight lines gives a first guess, and comparing with the first table makes it exact.

use super::Depth;
use super::gamut::{OutputGamut, into_output_gamut};
use crate::colour::{Colour, decode_f64, encode_f64};
use rayon::prelude::*;
use std::sync::LazyLock;

/// The 8-bit sRGB code of a linear component; below 0 and NaN give 0, above 1 gives 255.
#[expect(clippy::cast_possible_truncation, reason = "codes of 8 bits are below 256")]
pub fn code_8(linear: f32) -> u8 {
    // The codes of this table end at 255.
    EIGHT.code(linear) as u8
}

/// The 16-bit sRGB code of a linear component; below 0 and NaN give 0, above 1 gives 65535.
pub fn code_16(linear: f32) -> u16 {
    SIXTEEN.code(linear)
}

/// The code of a linear component at a depth.
pub(super) fn code(linear: f32, depth: Depth) -> u16 {
    match depth {
        Depth::Eight => EIGHT.code(linear),
        Depth::Sixteen => SIXTEEN.code(linear),
    }
}

static EIGHT: LazyLock<Codes> = LazyLock::new(|| Codes::new(u16::from(u8::MAX)));
static SIXTEEN: LazyLock<Codes> = LazyLock::new(|| Codes::new(u16::MAX));

/// The definition that the tables must agree with.
#[expect(clippy::cast_possible_truncation, reason = "a code of the depth; the cast saturates")]
fn code_by_definition(linear: f32, max: u16) -> u16 {
    (f64::from(max) * encode_f64(f64::from(linear))).round() as u16
}

/// Smallest value that the coarse table knows, 2^-21: below the first step of 16-bit codes (0.5 / 65535 / 12.92).
const COARSE_FROM: f32 = 1.0 / (1 << 21) as f32;
/// Bits of an f32 that a line of the coarse table spans: 128 lines a doubling, which keeps guesses within two 16-bit
/// codes.
const LINE_BITS: u32 = 16;

/// The codes of one depth.
struct Codes {
    /// Entry `c` is the smallest f32 with code `c`; entry 0 is below and the one after the last is above every number.
    smallest: Vec<f32>,
    /// For each span of `1 << LINE_BITS` f32 values from [`COARSE_FROM`] to 1: code plus a half at its start, and
    /// slope.
    lines: Vec<(f32, f32)>,
    /// The largest code.
    max: u16,
}

impl Codes {
    #[expect(clippy::cast_possible_truncation, reason = "thresholds and lines are kept in single precision")]
    fn new(max: u16) -> Self {
        let steps = (1..=max).map(|code| {
            let mut x = decode_f64((f64::from(code) - 0.5) / f64::from(max)) as f32;
            while code_by_definition(x, max) >= code {
                x = x.next_down();
            }
            while code_by_definition(x, max) < code {
                x = x.next_up();
            }
            x
        });
        let smallest = std::iter::once(f32::NEG_INFINITY).chain(steps).chain([f32::INFINITY]).collect();
        let starts = (COARSE_FROM.to_bits()..1.0f32.to_bits()).step_by(1 << LINE_BITS);
        let value = |bits: u32| f64::from(max) * encode_f64(f64::from(f32::from_bits(bits)));
        let lines = starts.map(|bits| {
            let rise = value(bits + (1 << LINE_BITS)) - value(bits);
            ((value(bits) + 0.5) as f32, (rise / f64::from(1u32 << LINE_BITS)) as f32)
        });
        Codes { smallest, lines: lines.collect(), max }
    }

    #[inline]
    #[expect(clippy::cast_possible_truncation, reason = "a code of the depth; the cast saturates at 0")]
    fn code(&self, linear: f32) -> u16 {
        if linear.is_nan() || linear < self.smallest[1] {
            return 0;
        }
        if linear >= self.smallest[usize::from(self.max)] {
            return self.max;
        }
        let bits = linear.to_bits() - COARSE_FROM.to_bits();
        let (start, slope) = self.lines[(bits >> LINE_BITS) as usize];
        let mut code = (start + slope * (bits & ((1 << LINE_BITS) - 1)) as f32) as usize;
        while linear < self.smallest[code] {
            code -= 1;
        }
        while linear >= self.smallest[code + 1] {
            code += 1;
        }
        code as u16
    }
}

/// Bytes a row of `width` pixels takes: three samples a pixel, most significant byte first.
pub(super) fn row_bytes(width: usize, depth: Depth) -> usize {
    width * 3 * usize::from(depth.bits() / 8)
}

/// Fills `bytes` (whole rows of [`row_bytes`]) from `pixels` (as many rows of `width`).
///
/// # Errors
/// Column and row, from 0 within the band, of a pixel that is not finite.
#[expect(clippy::cast_possible_truncation, reason = "codes of 8 bits are below 256")]
pub(super) fn encode_band(
    pixels: &[Colour],
    width: usize,
    depth: Depth,
    gamut: OutputGamut,
    bytes: &mut [u8],
) -> Result<(), (usize, usize)> {
    let rows = bytes.par_chunks_exact_mut(row_bytes(width, depth)).zip(pixels.par_chunks_exact(width)).enumerate();
    rows.try_for_each(|(y, (bytes, pixels))| {
        if let Some(x) = pixels.iter().position(|p| !p.is_finite()) {
            return Err((x, y));
        }
        match depth {
            Depth::Eight => {
                let codes = &*EIGHT;
                let of = |pixel: Colour| into_output_gamut(pixel, gamut).map(|v| codes.code(v) as u8);
                each_colour(bytes.as_chunks_mut::<3>().0, pixels, of);
            }
            Depth::Sixteen => {
                let codes = &*SIXTEEN;
                let of = |pixel: Colour| {
                    let [r, g, b] = into_output_gamut(pixel, gamut).map(|v| codes.code(v).to_be_bytes());
                    [r[0], r[1], g[0], g[1], b[0], b[1]]
                };
                each_colour(bytes.as_chunks_mut::<6>().0, pixels, of);
            }
        }
        Ok(())
    })
}

/// Samples of pixels; neighbours are mostly of one colour, which is worked out once.
fn each_colour<S: Copy>(samples: &mut [S], pixels: &[Colour], of: impl Fn(Colour) -> S) {
    let Some(&first) = pixels.first() else { return };
    let mut last = (first, of(first));
    for (sample, &pixel) in samples.iter_mut().zip(pixels) {
        if pixel != last.0 {
            last = (pixel, of(pixel));
        }
        *sample = last.1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every f32 just around a step, and a sweep of all exponents, against the definition.
    #[test]
    fn codes_equal_the_definition() {
        for codes in [&*EIGHT, &*SIXTEEN] {
            for &step in &codes.smallest[1..=usize::from(codes.max)] {
                for x in [step.next_down().next_down(), step.next_down(), step, step.next_up()] {
                    assert_eq!(codes.code(x), code_by_definition(x, codes.max), "{x:e}");
                }
            }
            for bits in (0..=1.0f32.to_bits()).step_by(4099) {
                let x = f32::from_bits(bits);
                assert_eq!(codes.code(x), code_by_definition(x, codes.max), "{x:e}");
            }
        }
    }

    /// W3C CSS Color 4 keeps `#rrggbb` and `rgb()` in 255ths: every code must survive linear light.
    #[test]
    fn every_code_comes_back_from_linear_light() {
        for code in 0..=u8::MAX {
            assert_eq!(code_8(decode_f64(f64::from(code) / 255.0) as f32), code);
        }
        for code in 0..=u16::MAX {
            assert_eq!(code_16(decode_f64(f64::from(code) / 65535.0) as f32), code);
        }
    }

    #[test]
    fn outside_and_nan() {
        for x in [f32::NAN, f32::NEG_INFINITY, -1.0, -0.0, 0.0, 1e-30] {
            assert_eq!((code_8(x), code_16(x)), (0, 0), "{x}");
        }
        for x in [1.0, 1.5, f32::INFINITY] {
            assert_eq!((code_8(x), code_16(x)), (255, 65535), "{x}");
        }
    }

    #[test]
    fn guesses_need_at_most_two_steps() {
        let codes = &*SIXTEEN;
        for (i, (start, slope)) in codes.lines.iter().enumerate() {
            for low in (0..1u32 << LINE_BITS).step_by(997) {
                let x = f32::from_bits(COARSE_FROM.to_bits() + ((i as u32) << LINE_BITS) + low);
                let guess = (start + slope * low as f32) as i32;
                assert!((guess - i32::from(codes.code(x))).abs() <= 2, "{x:e}");
            }
        }
    }

    #[test]
    fn a_pixel_without_colour_is_found() {
        let mut pixels = vec![Colour::new(0.5, 0.5, 0.5); 12];
        let mut bytes = vec![0; 36];
        assert_eq!(encode_band(&pixels, 4, Depth::Eight, OutputGamut::Srgb, &mut bytes), Ok(()));
        assert_eq!(bytes, [188; 36]); // 0.5 linear is 0.7354 encoded, 187.5 of 255
        pixels[9].g = f32::NAN;
        assert_eq!(encode_band(&pixels, 4, Depth::Eight, OutputGamut::Srgb, &mut bytes), Err((1, 2)));
    }
}
