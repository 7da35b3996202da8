//! A photo's file without what it tells beside the picture: where and when it was taken, by which camera with which serial
//! number, by whom, and a small copy that may show what was cropped away. Studies are handed out, so this goes when a photo
//! enters one.
//!
//! Nothing is coded anew: every sample stays what it was. What stays beside the picture is how to hold it and what its
//! colours mean. What each kind of file loses:
//!
//! | kind | goes | how |
//! | --- | --- | --- |
//! | JPEG | all application and comment segments, thumbnails, everything behind the picture | left out |
//! | PNG, WebP | texts, times, EXIF, XMP, unknown chunks, everything behind the picture | left out |
//! | TIFF | all tags but those that describe samples and colours, all other pages | the page is written anew around its coded samples |
//! | HEIC | all items but the picture with its tiles and its alpha, so also the rest of a burst | overwritten with zeros: the container has places counted in bytes everywhere |
//! | JPEG XL | all boxes but the coded picture, so also what would bring back a JPEG | left out |
//!
//! An orientation that only EXIF tells is kept as EXIF with that one tag.

mod heic;
mod jpeg;
mod jpeg_xl;
mod png;
mod tiff;
mod webp;

use super::kind::Kind;

/// The bytes of a photo without private data, or `None` when the parts of the file cannot be told apart.
pub fn without_private_data(bytes: &[u8]) -> Option<Vec<u8>> {
    match Kind::of(bytes) {
        Kind::Jpeg => jpeg::clean(bytes),
        Kind::Png => png::clean(bytes),
        Kind::WebP => webp::clean(bytes),
        Kind::Tiff => tiff::clean(bytes),
        Kind::Heic => heic::clean(bytes),
        Kind::JpegXl => jpeg_xl::clean(bytes),
        Kind::Unread(..) | Kind::Other(_) => None,
    }
}

#[cfg(test)]
mod tests;
