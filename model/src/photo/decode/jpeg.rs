//! JPEG: decoding, and making sure that the file really holds its whole picture.
//!
//! Lenient decoders fill what is missing with grey, or go on with wrong colours, and report success. So the decoder is strict,
//! and what passes even there is looked for beside it: a file that ends before its end marker; brightness that no samples
//! have; data left over behind the last block. Together they refuse what `djpeg -strict` of libjpeg-turbo refuses, and more.

use super::jpeg_planes::from_planes;
use super::jpeg_walk::is_sound;
use crate::photo::bounds::{check_memory, check_size};
use crate::photo::container::exif;
use crate::photo::container::segments::{END_OF_IMAGE, Frame, START_OF_SCAN, Segment, frame, segments};
use crate::photo::error::PhotoError;
use crate::photo::kind::EXPORT_IT;
use crate::photo::raster::{CHANNELS_CMYK, CHANNELS_GREY, CHANNELS_RGB, Channels, Decoded, Described, Samples};
use image::metadata::Orientation;
use libjpeg_turbo_rs::{
    DecodeLimits, Decoder, JpegError, PixelFormat, ScalingFactor, read_coefficients, write_coefficients_arithmetic,
};
use std::borrow::Cow;

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
    let walked = if is_sequential_huffman(&frame) { is_sound(bytes, &segments, &frame) } else { None };
    if walked == Some(false) {
        return Err(PhotoError::damaged(name, PICTURE_DATA));
    }
    let (channels, samples) = match frame.components.len() {
        1 => (CHANNELS_GREY, strictly(bytes, name, &frame, PixelFormat::Grayscale)?),
        3 => (CHANNELS_RGB, strictly(bytes, name, &frame, PixelFormat::Rgb)?),
        _ => (CHANNELS_CMYK, inks(strictly(bytes, name, &frame, PixelFormat::Cmyk)?, is_adobe(bytes, &segments))),
    };
    if walked.is_none() && is_unsound(bytes, &segments, &frame) {
        return Err(PhotoError::damaged(name, PICTURE_DATA));
    }
    Ok(decoded(size, channels, samples, bytes, &segments))
}

/// An eighth of the width and height, from the means of the blocks, which are stored apart from the rest: for looking at while all of it is
/// decoded. Of a progressive file the first scans tell them. Lenient, so nothing is to be picked from it. None where there is no quick way.
pub(super) fn coarse(bytes: &[u8], name: &str) -> Option<Decoded> {
    let segments: Vec<Segment> = segments(bytes).collect();
    let frame = frame(bytes, &segments)?;
    let [width_px, height_px] = [frame.width_px, frame.height_px];
    check_size(name, width_px, height_px).and_then(|()| check_kind(&frame, name)).ok()?;
    check_memory(name, [width_px, height_px], bytes.len(), bytes_per_pixel(&frame)).ok()?;
    let first = match frame.marker {
        0xC0 | 0xC1 => Cow::Borrowed(bytes),
        0xC2 => Cow::Owned([&bytes[..end_of_means(bytes, &segments, &frame)?], &[0xFF, END_OF_IMAGE]].concat()),
        _ => return None,
    };
    if !luma_is_coarsest_nowhere(&frame) {
        return None;
    }
    let limits = DecodeLimits { max_scans: MAX_SCANS, ..DecodeLimits::default() };
    let mut decoder = Decoder::new_with_limits(&first, limits).ok()?;
    decoder.set_lenient(true);
    decoder.set_scale(ScalingFactor::try_new(1, 8).ok()?);
    let (channels, format) = match frame.components.len() {
        1 => (CHANNELS_GREY, PixelFormat::Grayscale),
        3 => (CHANNELS_RGB, PixelFormat::Rgb),
        _ => (CHANNELS_CMYK, PixelFormat::Cmyk),
    };
    decoder.set_output_format(format);
    let image = decoder.decode_image().ok()?;
    let size = [u32::try_from(image.width).ok()?, u32::try_from(image.height).ok()?];
    if image.data.len() != image.width * image.height * channels.count || image.data.is_empty() {
        return None;
    }
    let samples = if channels.black.is_some() { inks(image.data, is_adobe(bytes, &segments)) } else { image.data };
    Some(decoded(size, channels, samples, bytes, &segments))
}

/// Where the scans of a progressive file end that first tell the means of all its components.
fn end_of_means(bytes: &[u8], segments: &[Segment], frame: &Frame) -> Option<usize> {
    let mut told = 0;
    for scan in segments.iter().filter(|s| s.marker == START_OF_SCAN) {
        told += usize::from(*bytes.get(scan.data.start)?);
        if told >= frame.components.len() {
            return Some(scan.whole.end);
        }
    }
    None
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

fn is_sequential_huffman(frame: &Frame) -> bool {
    matches!(frame.marker, 0xC0 | 0xC1)
}

/// The most that decoding holds at one time. Samples of all components over pixels: 1.5 for 4:2:0, 3 for 4:4:4. A decoder
/// holds them as planes beside its result; where the data cannot be walked through, coefficients of two bytes come on top.
fn bytes_per_pixel(frame: &Frame) -> f64 {
    let factor = |place: usize| frame.components.iter().map(|c| f64::from(c[place])).fold(1.0, f64::max);
    let (most_h, most_v) = (factor(1), factor(2));
    let samples: f64 = frame.components.iter().map(|c| f64::from(c[1]) * f64::from(c[2]) / (most_h * most_v)).sum();
    let result = frame.components.len() as f64;
    let coefficients = if is_sequential_huffman(frame) { 0.0 } else { 2.0 * samples };
    result + samples + coefficients
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

/// Looks for damage that a strict decoder passes, in data that [`is_sound`] cannot walk through.
fn is_unsound(bytes: &[u8], segments: &[Segment], frame: &Frame) -> bool {
    (frame.components.len() < 4 && has_impossible_brightness(bytes))
        || match frame.marker {
            0xC2 => has_left_over(bytes, segments),
            0xC9 => has_other_length(bytes, segments),
            _ => false,
        }
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

/// Whether a scan of a progressive JPEG decodes without its last two bytes: then they were left over, and the data are not
/// what an encoder wrote. The last bytes of a sound scan hold nine bits at least that are needed.
fn has_left_over(bytes: &[u8], segments: &[Segment]) -> bool {
    const CUT: usize = 2;
    /// Each costs a pass; real files have about ten.
    const SCANS: usize = 24;
    let scans = segments.iter().filter(|s| s.marker == START_OF_SCAN && s.whole.end - s.data.end > 2 * CUT);
    scans.take(SCANS).any(|scan| {
        let end = scan.whole.end - CUT;
        // Two equal bytes may be there to fill up.
        let is_filling = matches!(bytes[end..scan.whole.end], [0, 0] | [0xFF, 0xFF]);
        !is_filling && read_coefficients(&[&bytes[..end], &[0xFF, END_OF_IMAGE]].concat()).is_ok()
    })
}

/// Whether the one scan of a JPEG with arithmetic coding is longer than its coefficients need: that coder reads on behind any
/// damage, but stops elsewhere.
fn has_other_length(bytes: &[u8], segments: &[Segment]) -> bool {
    /// Coders differ in how they end.
    const ALLOWED: usize = 16;
    /// Marker of restart intervals.
    const RESTARTS: u8 = 0xDD;
    /// Marker of conditioning, and what it says when it says what holds without it (T.81, F.1.4.4.1.4 and F.1.4.4.2.1).
    const CONDITIONING: u8 = 0xCC;
    let is_usual = |pair: &[u8]| matches!(pair, [0x00..=0x0F, 0x10] | [0x10..=0x1F, 5]);
    let coded = |segments: &[Segment]| {
        let mut scans = segments.iter().filter(|s| s.marker == START_OF_SCAN);
        scans.next().filter(|_| scans.next().is_none()).map(|s| s.whole.end - s.data.end)
    };
    if segments
        .iter()
        .any(|s| s.marker == RESTARTS || (s.marker == CONDITIONING && !bytes[s.data.clone()].chunks(2).all(is_usual)))
    {
        return false;
    }
    let again = read_coefficients(bytes).and_then(|c| write_coefficients_arithmetic(&c));
    let again =
        again.ok().and_then(|again| coded(&crate::photo::container::segments::segments(&again).collect::<Vec<_>>()));
    coded(segments).zip(again).is_some_and(|(stored, again)| stored.abs_diff(again) > ALLOWED)
}

fn failure(error: &JpegError, name: &str) -> PhotoError {
    match error {
        JpegError::UnexpectedEof => PhotoError::damaged(name, "part of its picture data is missing"),
        JpegError::LimitExceeded { .. } | JpegError::AllocationFailed { .. } => {
            PhotoError::too_large(name, "more to decode than is allowed".to_owned(), EXPORT_IT)
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
