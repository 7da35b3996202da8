//! Chunks of a WebP.

use std::ops::Range;

/// One chunk.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::photo) struct RiffChunk {
    /// Its four letters.
    pub kind: [u8; 4],
    /// All of it: letters, length, data, and a byte that makes the length even.
    pub whole: Range<usize>,
    /// Its data.
    pub data: Range<usize>,
}

/// The chunks of a WebP after its 12-byte header. Ends at the first that the file does not hold whole.
pub(in crate::photo) fn riff_chunks(webp: &[u8]) -> impl Iterator<Item = RiffChunk> + '_ {
    let mut at = 12;
    std::iter::from_fn(move || {
        let [k0, k1, k2, k3, l0, l1, l2, l3] = *webp.get(at..)?.first_chunk::<8>()?;
        let length = u32::from_le_bytes([l0, l1, l2, l3]) as usize;
        let data = at + 8..(at + 8).checked_add(length)?;
        if data.end > webp.len() {
            return None;
        }
        // The last chunk of some files lacks the byte that makes it even.
        let stop = (data.end + length % 2).min(webp.len());
        let chunk = RiffChunk { kind: [k0, k1, k2, k3], whole: at..stop, data };
        at = stop;
        Some(chunk)
    })
}
