//! JPEG: segments that do not describe samples or colours are left out.

use crate::photo::container::exif;
use crate::photo::container::segments::{END_OF_IMAGE, Segment, segments};

/// The part of a JFIF segment that is not a thumbnail: name, version, unit, two densities (ITU-T T.871, 10.1).
const JFIF_BYTES: usize = 12;

pub(super) fn clean(jpeg: &[u8]) -> Option<Vec<u8>> {
    let all: Vec<Segment> = segments(jpeg).collect();
    if all.last()?.marker != END_OF_IMAGE {
        return None;
    }
    let orientation = all
        .iter()
        .filter(|s| s.marker == 0xE1)
        .find_map(|s| exif::orientation(jpeg[s.data.clone()].strip_prefix(b"Exif\0\0")?))
        .and_then(exif::with_orientation_alone);
    let mut orientation = orientation.map(|exif| segment(0xE1, &[b"Exif\0\0", exif.as_slice()].concat()));
    let mut clean = Vec::with_capacity(jpeg.len());
    clean.extend([0xFF, 0xD8]);
    let mut at = 2;
    for s in &all {
        // Stray bytes are damage, and not to be mended in silence.
        if s.whole.start != at {
            return None;
        }
        at = s.whole.end;
        let data = &jpeg[s.data.clone()];
        if s.marker == 0xE0 && data.starts_with(b"JFIF\0") && data.len() >= JFIF_BYTES {
            clean.extend(segment(0xE0, &[&data[..JFIF_BYTES], &[0, 0]].concat()));
            continue;
        }
        // JFIF comes first where there is one; what is inserted comes next.
        clean.extend(orientation.take().into_iter().flatten());
        let kept = match s.marker {
            0xE2 => data.starts_with(b"ICC_PROFILE\0"),
            0xEE => data.starts_with(b"Adobe"),
            0xE0..=0xEF | 0xFE => false,
            _ => true,
        };
        if kept {
            clean.extend_from_slice(&jpeg[s.whole.clone()]);
        }
    }
    Some(clean)
}

fn segment(marker: u8, data: &[u8]) -> Vec<u8> {
    #[expect(clippy::cast_possible_truncation, reason = "the segments that are written here are short")]
    let length = data.len() as u16 + 2;
    [&[0xFF, marker], length.to_be_bytes().as_slice(), data].concat()
}
