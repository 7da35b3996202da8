//! PNG: chunks that do not describe samples or colours are left out.

use crate::photo::container::chunks::{Chunk, chunks, written};
use crate::photo::container::exif;

/// Chunks that are kept: PNG (third edition), 11.2 and 11.3.
const KEPT: [&[u8; 4]; 16] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB", b"cICP", b"mDCV",
    b"cLLI", b"bKGD", b"pHYs", b"hIST",
];

pub(super) fn clean(png: &[u8]) -> Option<Vec<u8>> {
    let all: Vec<Chunk> = chunks(png).collect();
    let first_data = all.iter().position(|c| c.kind == *b"IDAT")?;
    let orientation = all.iter().filter(|c| c.kind == *b"eXIf").find_map(|c| exif::orientation(&png[c.data.clone()]));
    let mut clean = Vec::with_capacity(png.len());
    clean.extend_from_slice(png.get(..8)?);
    for (place, chunk) in all.iter().enumerate() {
        if place == first_data
            && let Some(exif) = orientation.and_then(exif::with_orientation_alone)
        {
            clean.extend(written(*b"eXIf", &exif));
        }
        if KEPT.contains(&&chunk.kind) {
            clean.extend_from_slice(&png[chunk.whole.clone()]);
        }
    }
    Some(clean)
}
