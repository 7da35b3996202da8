//! WebP: chunks that do not describe samples or colours are left out.

use crate::photo::container::exif;
use crate::photo::container::riff::{RiffChunk, riff_chunks};

/// Chunks that are kept: RFC 9649, 2.7.
const KEPT: [&[u8; 4]; 7] = [b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ICCP", b"ANIM", b"ANMF"];
/// Bits of the first byte of `VP8X` that say that EXIF and XMP follow.
const HAS_EXIF: u8 = 0x08;
const HAS_XMP: u8 = 0x04;

#[expect(clippy::cast_possible_truncation, reason = "26 bytes")]
pub(super) fn clean(webp: &[u8]) -> Option<Vec<u8>> {
    let all: Vec<RiffChunk> = riff_chunks(webp).collect();
    all.iter().find(|c| matches!(&c.kind, b"VP8 " | b"VP8L" | b"ANMF"))?;
    let orientation = all.iter().find(|c| c.kind == *b"EXIF").and_then(|c| exif::orientation(&webp[c.data.clone()]));
    let exif = orientation.and_then(exif::with_orientation_alone);
    let mut clean = Vec::with_capacity(webp.len());
    clean.extend_from_slice(webp.get(..12)?);
    for chunk in all.iter().filter(|c| KEPT.contains(&&c.kind)) {
        let start = clean.len();
        clean.extend_from_slice(&webp[chunk.whole.clone()]);
        if chunk.kind == *b"VP8X"
            && let Some(flags) = clean.get_mut(start + 8)
        {
            *flags = *flags & !(HAS_EXIF | HAS_XMP) | if exif.is_some() { HAS_EXIF } else { 0 };
        }
        if (clean.len() - start) % 2 == 1 {
            clean.push(0);
        }
    }
    if let Some(exif) = exif {
        clean.extend_from_slice(b"EXIF");
        clean.extend((exif.len() as u32).to_le_bytes());
        clean.extend(exif);
    }
    let length = u32::try_from(clean.len() - 8).ok()?;
    clean[4..8].copy_from_slice(&length.to_le_bytes());
    Some(clean)
}
