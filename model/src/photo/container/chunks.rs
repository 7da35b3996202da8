//! Chunks of a PNG.

use std::ops::Range;

/// One chunk.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::photo) struct Chunk {
    /// Its four letters.
    pub kind: [u8; 4],
    /// All of it: length, letters, data, check sum.
    pub whole: Range<usize>,
    /// Its data.
    pub data: Range<usize>,
}

/// The chunks of a PNG, up to and with `IEND`. Ends at the first that the file does not hold whole. Check sums are not looked at.
pub(in crate::photo) fn chunks(png: &[u8]) -> impl Iterator<Item = Chunk> + '_ {
    let mut at = 8;
    let mut ended = false;
    std::iter::from_fn(move || {
        let [l0, l1, l2, l3, k0, k1, k2, k3] = *png.get(at..)?.first_chunk::<8>()?;
        let length = u32::from_be_bytes([l0, l1, l2, l3]) as usize;
        let stop = at.checked_add(length)?.checked_add(12)?;
        if ended || stop > png.len() {
            return None;
        }
        let chunk = Chunk { kind: [k0, k1, k2, k3], whole: at..stop, data: at + 8..stop - 4 };
        ended = chunk.kind == *b"IEND";
        at = stop;
        Some(chunk)
    })
}

/// A chunk as bytes.
pub(in crate::photo) fn written(kind: [u8; 4], data: &[u8]) -> Vec<u8> {
    let mut check = flate2::Crc::new();
    check.update(&kind);
    check.update(data);
    #[expect(clippy::cast_possible_truncation, reason = "chunks that are written come from a file below 448 MiB")]
    let length = data.len() as u32;
    [length.to_be_bytes().as_slice(), &kind, data, &check.sum().to_be_bytes()].concat()
}
