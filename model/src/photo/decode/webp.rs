//! WebP: lossy and lossless; of an animation the first picture.

use super::{is_copy_of, jpeg};
use crate::photo::bounds::{MAX_PROFILE_BYTES, check_memory, check_size};
use crate::photo::container::exif;
use crate::photo::container::riff::{RiffChunk, riff_chunks};
use crate::photo::error::PhotoError;
use crate::photo::kind::EXPORT_IT;
use crate::photo::raster::{CHANNELS_RGB, CHANNELS_RGBA, Decoded, Described, Samples};
use image::codecs::webp::WebPDecoder;
use image::metadata::Orientation;
use image::{ColorType, ImageDecoder, ImageError};
use std::io::Cursor;

/// The most that decoding holds: samples and the decoder's own buffers, each up to four bytes a pixel.
const BYTES_PER_PIXEL: f64 = 8.0;

/// What EXIF data have room for where they come from, in a JPEG.
const MAX_THUMBNAIL_BYTES: usize = 1 << 16;

/// Decodes a WebP.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    let failed = |error| failure(&error, name);
    let decoder = WebPDecoder::new(Cursor::new(bytes)).map_err(failed)?;
    let (width_px, height_px) = decoder.dimensions();
    check_size(name, width_px, height_px)?;
    check_memory(name, [width_px, height_px], bytes.len(), BYTES_PER_PIXEL)?;
    let channels = match decoder.color_type() {
        ColorType::Rgb8 => CHANNELS_RGB,
        ColorType::Rgba8 => CHANNELS_RGBA,
        _ => return Err(PhotoError::damaged(name, "its header does not hold")),
    };
    let mut samples = vec![0; width_px as usize * height_px as usize * channels.count];
    decoder.read_image(&mut samples).map_err(failed)?;
    let chunks: Vec<RiffChunk> = riff_chunks(bytes).collect();
    let data = |kind: &[u8; 4]| chunks.iter().find(|c| c.kind == *kind).map(|c| &bytes[c.data.clone()]);
    let described = match data(b"ICCP") {
        None => Described::Srgb,
        Some(profile) if profile.len() > MAX_PROFILE_BYTES => {
            Described::Unusable("it is larger than any real one".to_owned())
        }
        Some(profile) => Described::Icc(profile.to_vec()),
    };
    Ok(Decoded {
        width_px,
        height_px,
        channels,
        samples: Samples::Eight(samples),
        max_sample: u16::from(u8::MAX),
        orientation: data(b"EXIF").and_then(exif::orientation).unwrap_or(Orientation::NoTransforms),
        described,
    })
}

/// The small copy that the file holds for its EXIF data, in the colours of the photo.
pub(super) fn coarse(bytes: &[u8], name: &str) -> Option<Decoded> {
    let decoder = WebPDecoder::new(Cursor::new(bytes)).ok()?;
    let (width_px, height_px) = decoder.dimensions();
    let exif = riff_chunks(bytes).find(|c| c.kind == *b"EXIF").map(|c| &bytes[c.data])?;
    let small = exif::thumbnail(exif).filter(|small| small.len() <= MAX_THUMBNAIL_BYTES)?;
    let small = jpeg::decode(small, name).ok()?;
    let orientation = exif::orientation(exif).unwrap_or(Orientation::NoTransforms);
    is_copy_of([small.width_px, small.height_px], [width_px, height_px]).then_some(Decoded { orientation, ..small })
}

fn failure(error: &ImageError, name: &str) -> PhotoError {
    match error {
        ImageError::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => PhotoError::cut_short(name),
        ImageError::Limits(_) => PhotoError::too_large(name, "more to decode than is allowed".to_owned(), EXPORT_IT),
        _ => PhotoError::damaged(name, "its picture data do not hold"),
    }
}
