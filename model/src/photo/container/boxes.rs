//! Boxes of ISO/IEC 14496-12.

use std::ops::Range;

/// One box.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::photo) struct Box4 {
    /// Its four letters.
    pub kind: [u8; 4],
    /// All of it, header included.
    pub whole: Range<usize>,
    /// What is in it.
    pub content: Range<usize>,
}

/// The boxes that lie one after the other in a part of a file. Ends at the first that does not fit into it.
pub(in crate::photo) fn boxes(bytes: &[u8], within: Range<usize>) -> impl Iterator<Item = Box4> + '_ {
    let mut at = within.start;
    let end = within.end.min(bytes.len());
    std::iter::from_fn(move || {
        let head = bytes.get(at..end)?.first_chunk::<8>()?;
        let [l0, l1, l2, l3, k0, k1, k2, k3] = *head;
        let (length, header) = match u32::from_be_bytes([l0, l1, l2, l3]) {
            // To the end of the file.
            0 => (end - at, 8),
            1 => {
                let long = bytes.get(at + 8..end)?.first_chunk::<8>()?;
                (usize::try_from(u64::from_be_bytes(*long)).ok()?, 16)
            }
            length => (length as usize, 8),
        };
        let stop = at.checked_add(length)?;
        if length < header || stop > end {
            return None;
        }
        let found = Box4 { kind: [k0, k1, k2, k3], whole: at..stop, content: at + header..stop };
        at = stop;
        Some(found)
    })
}
