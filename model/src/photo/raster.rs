//! What a decoder hands over: samples as stored, where the channels lie in them, and how the file describes its colours.

use crate::colour::rgb_space::{D65_XY, DISPLAY_P3_PRIMARIES};
use image::metadata::Orientation;

/// Stored samples, interleaved, rows from the top as stored.
pub(super) enum Samples {
    /// Of up to 8 bits.
    Eight(Vec<u8>),
    /// Of more than 8 bits.
    Sixteen(Vec<u16>),
}

/// What a decoder hands over.
pub(super) struct Decoded {
    /// Stored width.
    pub width_px: u32,
    /// Stored height.
    pub height_px: u32,
    /// Layout of a pixel.
    pub channels: Channels,
    /// All samples.
    pub samples: Samples,
    /// The sample that stands for full: 255, 65535, or less for the 10 and 12 bits of HEIC.
    pub max_sample: u16,
    /// How to hold the picture.
    pub orientation: Orientation,
    /// Its colour space.
    pub described: Described,
}

/// Where the channels lie in a stored pixel.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Channels {
    /// Samples per pixel.
    pub count: usize,
    /// Places of red, green and blue, or of cyan, magenta and yellow; one place three times for grey.
    pub colour: [usize; 3],
    /// Place of black ink, which makes the colours inks: full is all ink.
    pub black: Option<usize>,
    /// Place of alpha, which is straight.
    pub alpha: Option<usize>,
}

impl Channels {
    /// Whether there is one colour channel only.
    pub fn are_grey(&self) -> bool {
        self.colour[0] == self.colour[1]
    }
}

/// Grey.
pub(super) const CHANNELS_GREY: Channels = Channels { count: 1, colour: [0, 0, 0], black: None, alpha: None };
/// Grey and alpha.
pub(super) const CHANNELS_GREY_ALPHA: Channels = Channels { count: 2, colour: [0, 0, 0], black: None, alpha: Some(1) };
/// Red, green, blue.
pub(super) const CHANNELS_RGB: Channels = Channels { count: 3, colour: [0, 1, 2], black: None, alpha: None };
/// Red, green, blue and alpha.
pub(super) const CHANNELS_RGBA: Channels = Channels { count: 4, colour: [0, 1, 2], black: None, alpha: Some(3) };
/// Cyan, magenta, yellow, black.
pub(super) const CHANNELS_CMYK: Channels = Channels { count: 4, colour: [0, 1, 2], black: Some(3), alpha: None };

/// How samples become linear light.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Curve {
    /// The curve of sRGB (IEC 61966-2-1).
    Srgb,
    /// A power: 1 for linear samples, 2.2 for what a `gAMA` of 0.45455 says.
    Power(f64),
}

/// What the file says about its colours.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Described {
    /// Nothing, or sRGB in words: sRGB (IEC 61966-2-1).
    Srgb,
    /// Primaries and a curve, in numbers.
    Numbers {
        /// x, y of red, green and blue.
        primaries: [[f64; 2]; 3],
        /// x, y of white.
        white: [f64; 2],
        /// From samples to light.
        curve: Curve,
    },
    /// An embedded ICC profile.
    Icc(Vec<u8>),
    /// A description that cannot be followed; the phrase says what is wrong with it.
    Unusable(String),
}

/// Display P3: SMPTE EG 432-1 primaries, D65, sRGB transfer curve.
pub(super) const DISPLAY_P3: Described =
    Described::Numbers { primaries: DISPLAY_P3_PRIMARIES, white: D65_XY, curve: Curve::Srgb };

/// x, y of the primaries of ITU-R BT.2020, table 3 (from memory).
pub(super) const BT2020_PRIMARIES: [[f64; 2]; 3] = [[0.708, 0.292], [0.170, 0.797], [0.131, 0.046]];

/// Code points that ask for more light than a screen of ordinary brightness has: the curve's name.
pub(super) struct HighDynamicRange(pub &'static str);

/// The colours that code points of ITU-T H.273 describe (numbers from memory): primaries 1 (sRGB), 9 (BT.2020) and 12
/// (Display P3); curves 13 (sRGB), 1, 6, 14 and 15 (the one curve of BT.709 and BT.2020), 8 (linear), 4 and 5 (powers 2.2 and
/// 2.8); 2 is "not said" and taken as sRGB. Pictures marked with the curve of a camera for film (1, 6, 14, 15) are shown with
/// that of sRGB, as the common readers of still pictures do (common practice, no published source).
pub(super) fn from_code_points(primaries: u16, curve: u16) -> Result<Described, HighDynamicRange> {
    let curve = match curve {
        16 => return Err(HighDynamicRange("PQ")),
        18 => return Err(HighDynamicRange("HLG")),
        1 | 2 | 6 | 13 | 14 | 15 => Curve::Srgb,
        4 => Curve::Power(2.2),
        5 => Curve::Power(2.8),
        8 => Curve::Power(1.0),
        other => return Ok(Described::Unusable(format!("it names curve {other} of ITU-T H.273"))),
    };
    let primaries = match primaries {
        1 | 2 if curve == Curve::Srgb => return Ok(Described::Srgb),
        12 if curve == Curve::Srgb => return Ok(DISPLAY_P3),
        1 | 2 => crate::colour::rgb_space::SRGB_PRIMARIES,
        9 => BT2020_PRIMARIES,
        12 => DISPLAY_P3_PRIMARIES,
        other => return Ok(Described::Unusable(format!("it names primaries {other} of ITU-T H.273"))),
    };
    Ok(Described::Numbers { primaries, white: D65_XY, curve })
}

/// Divides colours that were multiplied by their alpha before they were stored, so that alpha is straight. The nearest
/// code is taken: what was lost when they were multiplied is not to be had again, and counts as little as it is opaque.
pub(super) fn make_alpha_straight(samples: &mut Samples, channels: &Channels, max_sample: u16) {
    fn divide<S: Copy + Into<u32> + TryFrom<u32>>(samples: &mut [S], channels: &Channels, max: u32) {
        let Some(alpha) = channels.alpha else { return };
        for pixel in samples.chunks_exact_mut(channels.count) {
            let a: u32 = pixel[alpha].into();
            if a == 0 || a >= max {
                continue;
            }
            for (place, sample) in pixel.iter_mut().enumerate() {
                if place != alpha {
                    let straight = ((*sample).into() * max + a / 2) / a;
                    *sample = S::try_from(straight.min(max)).unwrap_or(*sample);
                }
            }
        }
    }
    match samples {
        Samples::Eight(samples) => divide(samples, channels, u32::from(max_sample)),
        Samples::Sixteen(samples) => divide(samples, channels, u32::from(max_sample)),
    }
}
