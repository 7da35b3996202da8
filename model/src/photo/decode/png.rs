//! PNG: all kinds of it, 16 bits kept.

use crate::colour::rgb_space::{D65_XY, SRGB_PRIMARIES};
use crate::photo::bounds::{MAX_PROFILE_BYTES, check_memory, check_size};
use crate::photo::container::chunks::{Chunk, chunks};
use crate::photo::container::exif;
use crate::photo::error::PhotoError;
use crate::photo::kind::EXPORT_IT;
use crate::photo::raster::{
    CHANNELS_GREY, CHANNELS_GREY_ALPHA, CHANNELS_RGB, CHANNELS_RGBA, Curve, Decoded, Described, HighDynamicRange,
    Samples, from_code_points,
};
use flate2::read::ZlibDecoder;
use image::metadata::Orientation;
use png::{BitDepth, ColorType, DecodingError, Limits, Transformations};
use std::io::{Cursor, Read};

/// What the decoder may hold beside the samples, in bytes.
const DECODER_BYTES: usize = 16 << 20;

/// Decodes a PNG.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    let failed = |error| failure(error, name);
    let chunks: Vec<Chunk> = chunks(bytes).collect();
    // First, so that no picture is decoded that will be refused for its colours.
    let described = colours(bytes, &chunks).map_err(|HighDynamicRange(curve)| {
        PhotoError::unread(name, format!("an HDR picture ({curve})"), "export it with ordinary brightness (SDR)")
    })?;
    let mut decoder = png::Decoder::new_with_limits(Cursor::new(bytes), Limits { bytes: DECODER_BYTES });
    // Profiles are unpacked here, within a bound; texts are not wanted.
    decoder.set_ignore_iccp_chunk(true);
    decoder.set_ignore_text_chunk(true);
    decoder.set_transformations(Transformations::EXPAND);
    let (width_px, height_px) = decoder.read_header_info().map_err(failed)?.size();
    check_size(name, width_px, height_px)?;
    let mut reader = decoder.read_info().map_err(failed)?;
    let (kind, depth) = reader.output_color_type();
    let channels = match kind {
        ColorType::Grayscale => CHANNELS_GREY,
        ColorType::GrayscaleAlpha => CHANNELS_GREY_ALPHA,
        ColorType::Rgba => CHANNELS_RGBA,
        ColorType::Rgb | ColorType::Indexed => CHANNELS_RGB,
    };
    let sixteen = depth == BitDepth::Sixteen;
    let bytes_per_pixel = channels.count << usize::from(sixteen);
    check_memory(name, [width_px, height_px], bytes.len(), bytes_per_pixel as f64)?;
    // All rows may be there all the same, but something is missing.
    if chunks.last().is_none_or(|last| last.kind != *b"IEND") {
        return Err(PhotoError::cut_short(name));
    }
    let count = width_px as usize * height_px as usize * channels.count;
    let (samples, max_sample) = if sixteen {
        let mut samples = vec![0u16; count];
        reader.next_frame(bytemuck::cast_slice_mut(&mut samples)).map_err(failed)?;
        samples.iter_mut().for_each(|s| *s = u16::from_be(*s));
        (Samples::Sixteen(samples), u16::MAX)
    } else {
        let mut samples = vec![0; count];
        reader.next_frame(&mut samples).map_err(failed)?;
        (Samples::Eight(samples), u16::from(u8::MAX))
    };
    let orientation =
        chunks.iter().filter(|c| c.kind == *b"eXIf").find_map(|c| exif::orientation(&bytes[c.data.clone()]));
    let orientation = orientation.unwrap_or(Orientation::NoTransforms);
    Ok(Decoded { width_px, height_px, channels, samples, max_sample, orientation, described })
}

fn failure(error: DecodingError, name: &str) -> PhotoError {
    match error {
        DecodingError::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => PhotoError::cut_short(name),
        DecodingError::LimitsExceeded => {
            PhotoError::too_large(name, "more to decode than is allowed".to_owned(), EXPORT_IT)
        }
        _ => PhotoError::damaged(name, "its picture data or its header do not hold"),
    }
}

/// The colour space. In order of precedence (PNG third edition, 4.3): `cICP`, `iCCP`, `sRGB`, `gAMA` with `cHRM`. Only what
/// comes before the picture data counts (5.6).
fn colours(bytes: &[u8], chunks: &[Chunk]) -> Result<Described, HighDynamicRange> {
    let before = &chunks[..chunks.iter().position(|c| c.kind == *b"IDAT").unwrap_or(chunks.len())];
    let data = |kind: &[u8; 4]| before.iter().find(|c| c.kind == *kind).map(|c| &bytes[c.data.clone()]);
    if let Some(cicp) = data(b"cICP") {
        return match *cicp {
            [primaries, curve, 0, 1] => from_code_points(u16::from(primaries), u16::from(curve)),
            _ => Ok(Described::Unusable("its cICP chunk is not one of RGB in full range".to_owned())),
        };
    }
    if let Some(iccp) = data(b"iCCP") {
        return Ok(unpacked(iccp).map_or_else(|what| Described::Unusable(what.to_owned()), Described::Icc));
    }
    if data(b"sRGB").is_some() {
        return Ok(Described::Srgb);
    }
    let number = |data: &[u8], place: usize| {
        data.get(4 * place..)?.first_chunk().map(|b| f64::from(u32::from_be_bytes(*b)) / 100_000.0)
    };
    let (gamma, chromaticities) = (data(b"gAMA"), data(b"cHRM"));
    if gamma.is_none() && chromaticities.is_none() {
        return Ok(Described::Srgb);
    }
    let curve = match gamma.map(|data| number(data, 0)) {
        None => Curve::Srgb,
        Some(Some(gamma)) if (0.1..=10.0).contains(&gamma) => Curve::Power(1.0 / gamma),
        Some(_) => return Ok(Described::Unusable("its gAMA chunk makes no sense".to_owned())),
    };
    let (white, primaries) = match chromaticities {
        None => (D65_XY, SRGB_PRIMARIES),
        Some(data) => {
            let xy = |place: usize| Some([number(data, 2 * place)?, number(data, 2 * place + 1)?]);
            match (xy(0), xy(1), xy(2), xy(3)) {
                (Some(white), Some(red), Some(green), Some(blue)) if white[1] > 0.0 => (white, [red, green, blue]),
                _ => return Ok(Described::Unusable("its cHRM chunk makes no sense".to_owned())),
            }
        }
    };
    Ok(Described::Numbers { primaries, white, curve })
}

/// The profile in an `iCCP` chunk: a name, a zero, a zero for the only method there is, and the packed profile.
fn unpacked(iccp: &[u8]) -> Result<Vec<u8>, &'static str> {
    let named = iccp.iter().position(|&b| b == 0).ok_or("its iCCP chunk does not hold one")?;
    let packed = iccp.get(named + 2..).ok_or("its iCCP chunk does not hold one")?;
    let mut profile = Vec::new();
    // One byte more than allowed tells that there is more.
    let read = ZlibDecoder::new(packed).take(MAX_PROFILE_BYTES as u64 + 1).read_to_end(&mut profile);
    match read {
        Ok(length) if length > MAX_PROFILE_BYTES => Err("it is larger than any real one"),
        Ok(_) => Ok(profile),
        Err(_) => Err("its iCCP chunk is damaged"),
    }
}
