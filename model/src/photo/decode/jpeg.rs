//! JPEG: decoding, and making sure that the file really holds its whole picture.
//!
//! Lenient decoders fill what is missing with grey, or go on with wrong colours, and report success. So the decoder is strict:
//! it refuses what `djpeg -strict` of libjpeg-turbo refuses. Two kinds of damage pass even there, and are looked for here: a
//! file that ends before its end marker, and data that fall back into step with all brightness shifted.

use super::jpeg_planes::from_planes;
use crate::photo::bounds::{check_memory, check_size};
use crate::photo::container::exif;
use crate::photo::container::segments::{END_OF_IMAGE, Frame, START_OF_SCAN, Segment, frame, segments};
use crate::photo::error::PhotoError;
use crate::photo::kind::EXPORT_IT;
use crate::photo::raster::{CHANNELS_CMYK, CHANNELS_GREY, CHANNELS_RGB, Channels, Decoded, Described, Samples};
use image::metadata::Orientation;
use libjpeg_turbo_rs::{DecodeLimits, Decoder, JpegError, PixelFormat, read_coefficients};

/// Most scans a file may have. Real progressive files have about ten; each costs a pass over the picture.
const MAX_SCANS: usize = 200;
/// What is said about entropy-coded data that contradict themselves.
const PICTURE_DATA: &str = "part of its picture data cannot be what the camera wrote";

/// Decodes a JPEG.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    let segments: Vec<Segment> = segments(bytes).collect();
    let ended = segments.last().is_some_and(|s| s.marker == END_OF_IMAGE);
    let scanned = segments.iter().any(|s| s.marker == START_OF_SCAN);
    if !(ended && scanned) {
        // Where the picture ends, what lies behind it is not looked at; where it does not, nothing is missed.
        return Err(if ended {
            PhotoError::damaged(name, "it has no picture data")
        } else {
            PhotoError::cut_short(name)
        });
    }
    let frame = frame(bytes, &segments).ok_or_else(|| PhotoError::damaged(name, "it does not say its size"))?;
    check_size(name, frame.width_px, frame.height_px)?;
    check_kind(&frame, name)?;
    let size = [frame.width_px, frame.height_px];
    check_memory(name, size, bytes.len(), bytes_per_pixel(&frame))?;

    // What lies behind the end belongs to other pictures.
    let end = segments.last().map_or(bytes.len(), |s| s.whole.end);
    let bytes = &bytes[..end];
    let (channels, samples) = match frame.components.len() {
        1 => (CHANNELS_GREY, strictly(bytes, name, &frame, PixelFormat::Grayscale)?),
        3 => (CHANNELS_RGB, strictly(bytes, name, &frame, PixelFormat::Rgb)?),
        _ => (CHANNELS_CMYK, inks(strictly(bytes, name, &frame, PixelFormat::Cmyk)?, is_adobe(bytes, &segments))),
    };
    if frame.components.len() < 4 && has_impossible_brightness(bytes) {
        return Err(PhotoError::damaged(name, PICTURE_DATA));
    }
    Ok(decoded(size, channels, samples, bytes, &segments))
}

fn decoded(size: [u32; 2], channels: Channels, samples: Vec<u8>, bytes: &[u8], segments: &[Segment]) -> Decoded {
    let orientation = segments
        .iter()
        .filter(|s| s.marker == 0xE1)
        .find_map(|s| exif::orientation(bytes[s.data.clone()].strip_prefix(b"Exif\0\0")?));
    Decoded {
        width_px: size[0],
        height_px: size[1],
        channels,
        samples: Samples::Eight(samples),
        max_sample: u16::from(u8::MAX),
        orientation: orientation.unwrap_or(Orientation::NoTransforms),
        described: profile(bytes, segments),
    }
}

/// Refuses the sound kinds of JPEG that are not read, by name.
fn check_kind(frame: &Frame, name: &str) -> Result<(), PhotoError> {
    let what = match (frame.marker, frame.precision, frame.components.len()) {
        (0xC3 | 0xC7 | 0xCB | 0xCF, ..) => "a lossless JPEG".to_owned(),
        (0xC5 | 0xC6 | 0xCD | 0xCE, ..) => "a hierarchical JPEG".to_owned(),
        (_, 8, 1 | 3 | 4) => return Ok(()),
        (_, 8, count) => format!("a JPEG of {count} channels"),
        (_, bits, _) => format!("a JPEG of {bits} bits a sample"),
    };
    Err(PhotoError::unread(name, what, EXPORT_IT))
}

/// The most that decoding holds at one time. Samples of all components over pixels: 1.5 for 4:2:0, 3 for 4:4:4. A decoder
/// holds them as planes beside its result; a progressive one, and the look at brightness, as coefficients of two bytes.
fn bytes_per_pixel(frame: &Frame) -> f64 {
    let factor = |place: usize| frame.components.iter().map(|c| f64::from(c[place])).fold(1.0, f64::max);
    let (most_h, most_v) = (factor(1), factor(2));
    let samples: f64 = frame.components.iter().map(|c| f64::from(c[1]) * f64::from(c[2]) / (most_h * most_v)).sum();
    let result = frame.components.len() as f64;
    let coefficients = 2.0 * samples;
    if matches!(frame.marker, 0xC0 | 0xC1 | 0xC9) {
        result + samples.max(coefficients)
    } else {
        result + samples + coefficients
    }
}

/// Decodes; anything that the decoder would have to make up is an error.
fn strictly(bytes: &[u8], name: &str, frame: &Frame, format: PixelFormat) -> Result<Vec<u8>, PhotoError> {
    let failed = |error| failure(&error, name);
    let limits = DecodeLimits { max_scans: MAX_SCANS, ..DecodeLimits::default() };
    let mut decoder = Decoder::new_with_limits(bytes, limits).map_err(failed)?;
    if luma_is_coarsest_nowhere(frame) {
        decoder.set_output_format(format);
        let image = decoder.decode_image().map_err(failed)?;
        return if image.warnings.is_empty() { Ok(image.data) } else { Err(PhotoError::damaged(name, PICTURE_DATA)) };
    }
    let (planes, warnings) = decoder.decode_raw_with_warnings().map_err(failed)?;
    if warnings.is_empty() { Ok(from_planes(&planes, frame)) } else { Err(PhotoError::damaged(name, PICTURE_DATA)) }
}

/// Whether a JPEG decodes without anything made up. What this decoder does not know is left to another.
pub(super) fn decodes_strictly(bytes: &[u8]) -> bool {
    match Decoder::new(bytes).and_then(|decoder| decoder.decode_image()) {
        Ok(image) => image.warnings.is_empty(),
        Err(error) => matches!(error, JpegError::Unsupported(_)),
    }
}

/// Whether the first component has at least as many samples as any other in both directions, in whole steps: what the decoder
/// scales by itself.
fn luma_is_coarsest_nowhere(frame: &Frame) -> bool {
    let [first, others @ ..] = frame.components.as_slice() else { return true };
    frame.components.len() != 3
        || others.iter().all(|c| [1, 2].iter().all(|&d| c[d] > 0 && c[d] <= first[d] && first[d].is_multiple_of(c[d])))
}

/// Inks as the rest of the program has them, full at 255. Files with an Adobe segment store them upside down (common
/// practice; Adobe's technical note 5116 does not say so).
fn inks(mut samples: Vec<u8>, upside_down: bool) -> Vec<u8> {
    if upside_down {
        samples.iter_mut().for_each(|s| *s = !*s);
    }
    samples
}

fn is_adobe(bytes: &[u8], segments: &[Segment]) -> bool {
    segments.iter().any(|s| s.marker == 0xEE && bytes[s.data.clone()].starts_with(b"Adobe"))
}

/// Whether a mean brightness of a block lies outside what 8-bit samples can give. The mean of a block times eight is its
/// first coefficient times its quantiser; samples from -128 to 127 keep it within 1024 (ITU-T T.81, A.3.3), rounding within
/// one quantiser more. Data that lost their place and found it again carry all brightness shifted, often beyond that.
fn has_impossible_brightness(bytes: &[u8]) -> bool {
    let Ok(coefficients) = read_coefficients(bytes) else { return false };
    let Some(luma) = coefficients.components.first() else { return false };
    let Some(quantiser) = coefficients.quant_tables.get(usize::from(luma.quant_table_index)) else { return false };
    let quantiser = i32::from(quantiser[0]);
    luma.blocks.iter().any(|block| (i32::from(block[0]) * quantiser).abs() > 1024 + quantiser)
}

fn failure(error: &JpegError, name: &str) -> PhotoError {
    match error {
        JpegError::UnexpectedEof => PhotoError::damaged(name, "part of its picture data is missing"),
        JpegError::LimitExceeded { .. } | JpegError::AllocationFailed { .. } => {
            PhotoError::too_large(name, "more to decode than is allowed".to_owned())
        }
        JpegError::Unsupported(_) => PhotoError::unread(name, "a JPEG of an unusual kind", EXPORT_IT),
        _ => PhotoError::damaged(name, PICTURE_DATA),
    }
}

/// The embedded profile, from its pieces in order (ICC.1:2022, annex B.4).
fn profile(bytes: &[u8], segments: &[Segment]) -> Described {
    let mut pieces: Vec<(u8, u8, &[u8])> = segments
        .iter()
        .filter(|s| s.marker == 0xE2)
        .filter_map(|s| match bytes[s.data.clone()].strip_prefix(b"ICC_PROFILE\0")? {
            [number, count, piece @ ..] => Some((*number, *count, piece)),
            _ => None,
        })
        .collect();
    let Some(&(_, count, _)) = pieces.first() else { return Described::Srgb };
    pieces.sort_by_key(|p| p.0);
    pieces.dedup_by_key(|p| p.0);
    let missing = (1..=count).find(|number| pieces.iter().all(|p| p.0 != *number));
    match missing {
        Some(missing) => Described::Unusable(format!("piece {missing} of {count} of it is missing")),
        None if pieces.len() > usize::from(count) || count == 0 => {
            Described::Unusable("its pieces are numbered wrongly".to_owned())
        }
        None => Described::Icc(pieces.iter().flat_map(|p| p.2).copied().collect()),
    }
}
