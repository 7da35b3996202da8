//! JPEG XL: of the boxes around a coded picture only those that are needed to read it are kept. A bare coded picture carries nothing.

use crate::photo::container::boxes::boxes;

/// Boxes that are kept: ISO/IEC 18181-2. `jbrd` goes, which would bring back a JPEG with all its metadata.
const KEPT: [&[u8; 4]; 5] = [b"JXL ", b"ftyp", b"jxll", b"jxlc", b"jxlp"];

pub(super) fn clean(file: &[u8]) -> Option<Vec<u8>> {
    if file.starts_with(&[0xFF, 0x0A]) {
        return Some(file.to_vec());
    }
    let all: Vec<_> = boxes(file, 0..file.len()).collect();
    all.iter().find(|b| matches!(&b.kind, b"jxlc" | b"jxlp"))?;
    Some(all.iter().filter(|b| KEPT.contains(&&b.kind)).flat_map(|b| &file[b.whole.clone()]).copied().collect())
}
