//! JPEG: decoding, and making sure that the file really holds its whole picture.
//!
//! Lenient decoders fill what is missing with grey and report success. A grey patch would be a colour picked from
//! nothing, so a file that stops early or whose entropy data does not decode is refused. Headers are read leniently, as
//! phones write all kinds of things into them.

use super::open::{Decoded, PhotoError, Samples, check_size};
use super::profile::{CHANNELS_GREY, CHANNELS_RGB, Described};
use image::metadata::Orientation;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// Decodes a JPEG. CMYK and YCCK without a profile are converted by `R = (1 - C)(1 - K)`; with a CMYK profile they are
/// refused later, where the profile is read.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    let damaged = |reason: String| PhotoError::Damaged { name: name.to_owned(), reason };
    let lenient = DecoderOptions::default()
        .set_strict_mode(false)
        .set_max_width(usize::from(u16::MAX))
        .set_max_height(usize::from(u16::MAX));
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), lenient);
    decoder.decode_headers().map_err(|e| damaged(e.to_string()))?;
    let (width_px, height_px) = decoder.dimensions().ok_or_else(|| damaged("it has no size".into()))?;
    let (width_px, height_px) = (width_px as u32, height_px as u32);
    check_size(name, width_px, height_px)?;
    if !reaches_its_end(bytes) {
        return Err(PhotoError::CutShort { name: name.to_owned() });
    }

    let grey = match decoder.input_colorspace() {
        Some(ColorSpace::Luma) => true,
        Some(ColorSpace::RGB | ColorSpace::YCbCr | ColorSpace::CMYK | ColorSpace::YCCK) => false,
        other => {
            let what = other.map_or("an unknown kind of colour".to_owned(), |c| format!("{c:?} colours"));
            return Err(PhotoError::Unsupported { name: name.to_owned(), what });
        }
    };
    let channels = if grey { CHANNELS_GREY } else { CHANNELS_RGB };
    let out = if grey { ColorSpace::Luma } else { ColorSpace::RGB };
    decoder.set_options(lenient.set_strict_mode(true).jpeg_set_out_colorspace(out));
    let mut samples = vec![0; width_px as usize * height_px as usize * channels.count];
    decoder.decode_into(&mut samples).map_err(|e| damaged(e.to_string()))?;

    Ok(Decoded {
        width_px,
        height_px,
        channels,
        samples: Samples::Eight(samples),
        orientation: decoder.exif().and_then(|e| Orientation::from_exif_chunk(e)).unwrap_or(Orientation::NoTransforms),
        described: decoder.icc_profile().map_or(Described::Srgb, Described::Icc),
    })
}

/// Whether an end-of-image marker follows the entropy-coded data (ITU-T T.81, B.1.1 and B.2). Walks marker by marker,
/// so that a thumbnail's end inside a header does not count, and stops at the first end, so that what phones append (a
/// gain map, a short film) does not matter.
fn reaches_its_end(bytes: &[u8]) -> bool {
    const END_OF_IMAGE: u8 = 0xD9;
    const START_OF_SCAN: u8 = 0xDA;
    let mut at = 2;
    let mut scan_seen = false;
    loop {
        // To the next marker: in entropy data FF 00 is a stuffed byte and FF D0 to FF D7 are restarts.
        let Some(found) = bytes.get(at..).and_then(|rest| rest.iter().position(|&b| b == 0xFF)) else { return false };
        at += found + 1;
        while bytes.get(at) == Some(&0xFF) {
            at += 1;
        }
        let Some(&marker) = bytes.get(at) else { return false };
        at += 1;
        match marker {
            0x00 | 0x01 | 0xD0..=0xD8 => {}
            END_OF_IMAGE => return scan_seen,
            _ => {
                scan_seen |= marker == START_OF_SCAN;
                let Some(length) = bytes.get(at..at + 2) else { return false };
                at += usize::from(u16::from_be_bytes([length[0], length[1]]));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::reaches_its_end;

    #[test]
    fn the_end_is_looked_for_after_the_scan_only() {
        let header_with_thumbnail = [0xFF, 0xD8, 0xFF, 0xE1, 0, 6, 0xFF, 0xD9, 0, 0];
        let scan = [0xFF, 0xDA, 0, 2, 1, 2, 0xFF, 0, 3, 0xFF, 0xD0, 4];
        let mut file = [header_with_thumbnail.as_slice(), &scan].concat();
        assert!(!reaches_its_end(&file));
        file.extend([0xFF, 0xFF, 0xD9, 9, 9]);
        assert!(reaches_its_end(&file));
        for cut in 0..file.len() - 2 {
            assert!(!reaches_its_end(&file[..cut]), "cut at {cut}");
        }
    }
}
