//! The orientation that EXIF tells.

use super::tags::Tiff;
use image::metadata::Orientation;

/// Tag of the orientation.
pub(in crate::photo) const ORIENTATION: u16 = 0x0112;

/// The orientation in EXIF data (a small TIFF, after `Exif` and two zeros or without them), if it says a usable one. The
/// standard wants a short; readers in use take any whole number, since writers in use write long ones too.
pub(in crate::photo) fn orientation(exif: &[u8]) -> Option<Orientation> {
    let tiff = Tiff::new(exif.strip_prefix(b"Exif\0\0").unwrap_or(exif))?;
    let number = tiff.directory(tiff.first)?.number(&tiff, ORIENTATION)?;
    Orientation::from_exif(u8::try_from(number).ok()?)
}

/// Tags of the second directory: where the small copy of the photo lies, and how long it is.
const THUMBNAIL: [u16; 2] = [0x0201, 0x0202];

/// The small copy of the photo in EXIF data, a JPEG, if there is one. It lies as the samples do: the orientation is its own too.
pub(in crate::photo) fn thumbnail(exif: &[u8]) -> Option<&[u8]> {
    let exif = exif.strip_prefix(b"Exif\0\0").unwrap_or(exif);
    let tiff = Tiff::new(exif)?;
    let second = tiff.directory(tiff.directory(tiff.first)?.next)?;
    let [from, length] = THUMBNAIL.map(|tag| second.number(&tiff, tag).and_then(|n| usize::try_from(n).ok()));
    let (from, length) = (from?, length?);
    exif.get(from..from.checked_add(length)?).filter(|small| small.starts_with(&[0xFF, 0xD8]))
}

/// EXIF data that say an orientation and nothing else, without `Exif` and zeros before them; `None` for upright.
pub(in crate::photo) fn with_orientation_alone(orientation: Orientation) -> Option<[u8; 26]> {
    if orientation == Orientation::NoTransforms {
        return None;
    }
    let mut exif = *b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\0\0\0\0\0\0\0";
    exif[19] = orientation.to_exif();
    Some(exif)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shorts_and_longs_of_either_byte_order_are_read() {
        let motorola_short = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
        let intel_long = b"II\x2a\0\x08\0\0\0\x01\0\x12\x01\x04\0\x01\0\0\0\x08\0\0\0\0\0\0\0";
        assert_eq!(orientation(motorola_short), Some(Orientation::Rotate90));
        assert_eq!(orientation(intel_long), Some(Orientation::Rotate270));
        for cut in 0..20 {
            assert_eq!(orientation(&intel_long[..cut]), None);
        }
    }

    #[test]
    fn a_thumbnail_is_what_the_second_directory_says() {
        // An empty first directory, then one with place and length; cut short it is none.
        let mut exif = b"II\x2a\0\x08\0\0\0\0\0\x0e\0\0\0".to_vec();
        exif.extend(b"\x02\0\x01\x02\x04\0\x01\0\0\0\x2c\0\0\0\x02\x02\x04\0\x01\0\0\0\x04\0\0\0\0\0\0\0");
        exif.extend([0xFF, 0xD8, 0xFF, 0xD9]);
        assert_eq!(thumbnail(&exif), Some(&[0xFF, 0xD8, 0xFF, 0xD9][..]));
        for cut in 0..exif.len() {
            assert_eq!(thumbnail(&exif[..cut]), None);
        }
        exif[44] = 0;
        assert_eq!(thumbnail(&exif), None);
    }

    #[test]
    fn what_is_written_is_read_again() {
        for number in 2..=8 {
            let wanted = Orientation::from_exif(number);
            assert_eq!(wanted.and_then(with_orientation_alone).as_ref().and_then(|e| orientation(e)), wanted);
        }
        assert_eq!(with_orientation_alone(Orientation::NoTransforms), None);
    }
}
