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
    fn what_is_written_is_read_again() {
        for number in 2..=8 {
            let wanted = Orientation::from_exif(number);
            assert_eq!(wanted.and_then(with_orientation_alone).as_ref().and_then(|e| orientation(e)), wanted);
        }
        assert_eq!(with_orientation_alone(Orientation::NoTransforms), None);
    }
}
