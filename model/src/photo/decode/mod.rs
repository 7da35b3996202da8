//! From the bytes of a file to samples that are all there: one file a kind.
//!
//! Each looks at the size and at what decoding will take before it takes it, refuses what is damaged (a colour picked from
//! what a lenient decoder filled in would be picked from nothing), and says what a sound file is when it is of a kind that is not read.

mod heic;
mod jpeg;
mod jpeg_planes;
mod jpeg_walk;
mod jpeg_xl;
mod png;
mod tiff;
mod webp;

use super::container::tags::{Directory, Tiff};
use super::error::PhotoError;
use super::kind::Kind;
use super::raster::Decoded;

/// By how much the sides of a small copy may be in another ratio than the photo's: what whole pixels and whole blocks cost.
const MAX_SHAPE_OFF: f64 = 0.04;

/// Decodes the bytes of a photo; `name` is used in messages.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    match Kind::of(bytes) {
        Kind::Jpeg => jpeg::decode(bytes, name),
        Kind::Png => png::decode(bytes, name),
        Kind::WebP => webp::decode(bytes, name),
        Kind::Tiff => tiff::decode(bytes, name),
        Kind::Heic => heic::decode(bytes, name),
        Kind::JpegXl => jpeg_xl::decode(bytes, name),
        Kind::Unread(what, advice) => Err(PhotoError::unread(name, what, advice)),
        Kind::Other(_) if bytes.is_empty() => Err(PhotoError::Empty { name: name.to_owned() }),
        Kind::Other(what) => Err(PhotoError::NotAPhoto { name: name.to_owned(), what }),
    }
}

/// A photo in much fewer pixels, where there is a quick way to them; see [`super::Photo::coarse`].
pub(super) fn coarse(bytes: &[u8], name: &str) -> Option<Decoded> {
    match Kind::of(bytes) {
        Kind::Jpeg => jpeg::coarse(bytes, name),
        Kind::Heic => heic::coarse(bytes, name),
        Kind::WebP => webp::coarse(bytes, name),
        Kind::Png | Kind::Tiff | Kind::JpegXl | Kind::Unread(..) | Kind::Other(_) => None,
    }
}

/// Whether a small copy is one of the whole photo: of its shape, and not larger. Some fill the shape of a screen with black.
fn is_copy_of([width_px, height_px]: [u32; 2], photo: [u32; 2]) -> bool {
    let [across, down] = [f64::from(width_px) * f64::from(photo[1]), f64::from(height_px) * f64::from(photo[0])];
    width_px <= photo[0] && height_px <= photo[1] && (across / down - 1.0).abs() < MAX_SHAPE_OFF
}

/// The page of a TIFF that is decoded.
pub(super) fn full_page_of_tiff(tags: &Tiff<'_>) -> Option<Directory> {
    tiff::full_page(tags, "").ok().map(|(_, page)| page)
}
