//! Tags of a TIFF, which EXIF is too: classic and large form, either byte order.

use std::ops::Range;

/// Most tags that a directory may have: real ones have some dozens.
const MAX_TAGS: u64 = 4096;

/// A TIFF whose header holds.
#[derive(Clone, Copy, Debug)]
pub(in crate::photo) struct Tiff<'a> {
    /// The whole file.
    pub bytes: &'a [u8],
    /// Byte order.
    pub little: bool,
    /// Whether it is of the large form, with offsets of 8 bytes.
    pub large: bool,
    /// Where the first directory lies.
    pub first: u64,
}

/// One tag.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::photo) struct Entry {
    /// Its number.
    pub tag: u16,
    /// The kind of its values: 1 byte, 2 text, 3 short, 4 long …
    pub kind: u16,
    /// How many values it has.
    pub count: u64,
    /// Where its values lie in the file.
    pub values: Range<usize>,
}

/// A directory: one picture of the file.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::photo) struct Directory {
    /// Its tags, without those of unknown kinds and those whose values lie beyond the file.
    pub entries: Vec<Entry>,
    /// Where the next one lies; 0 for none.
    pub next: u64,
}

/// Bytes of one value of a kind, or `None` for an unknown one. TIFF 6.0 section 2; 13, 16, 17 and 18 from the large form.
fn size_of_kind(kind: u16) -> Option<usize> {
    match kind {
        1 | 2 | 6 | 7 => Some(1),
        3 | 8 => Some(2),
        4 | 9 | 11 | 13 => Some(4),
        5 | 10 | 12 | 16 | 17 | 18 => Some(8),
        _ => None,
    }
}

impl<'a> Tiff<'a> {
    /// Reads the header.
    pub fn new(bytes: &'a [u8]) -> Option<Self> {
        let little = match bytes.first_chunk::<2>()? {
            b"II" => true,
            b"MM" => false,
            _ => return None,
        };
        let mut tiff = Tiff { bytes, little, large: false, first: 0 };
        match tiff.number(2, 2)? {
            42 => tiff.first = tiff.number(4, 4)?,
            43 if tiff.number(4, 2)? == 8 => (tiff.large, tiff.first) = (true, tiff.number(8, 8)?),
            _ => return None,
        }
        Some(tiff)
    }

    /// A number of 1, 2, 4 or 8 bytes.
    fn number(&self, at: usize, size: usize) -> Option<u64> {
        let bytes = self.bytes.get(at..at.checked_add(size)?)?;
        let add = |sum: u64, byte: &u8| sum << 8 | u64::from(*byte);
        Some(if self.little { bytes.iter().rev().fold(0, add) } else { bytes.iter().fold(0, add) })
    }

    /// The directory at a place.
    #[expect(clippy::cast_possible_truncation, reason = "numbers of two bytes, and counts below MAX_TAGS")]
    pub fn directory(&self, at: u64) -> Option<Directory> {
        let at = usize::try_from(at).ok()?;
        let (head, wide, inline) = if self.large { (8, 20, 8) } else { (2, 12, 4) };
        let count = self.number(at, head)?;
        if at == 0 || count > MAX_TAGS {
            return None;
        }
        let mut entries = Vec::new();
        let begin = at.checked_add(head)?;
        for place in (0..count as usize).map(|i| begin + i * wide) {
            let (tag, kind) = (self.number(place, 2)? as u16, self.number(place + 2, 2)? as u16);
            let count = self.number(place + 4, inline)?;
            let own = place + 4 + inline;
            let Some(size) = size_of_kind(kind) else { continue };
            let Some(length) = usize::try_from(count).ok().and_then(|n| n.checked_mul(size)) else { continue };
            let from = if length <= inline { own } else { usize::try_from(self.number(own, inline)?).ok()? };
            if let Some(end) = from.checked_add(length)
                && end <= self.bytes.len()
            {
                entries.push(Entry { tag, kind, count, values: from..end });
            }
        }
        let next = self.number(begin + count as usize * wide, inline).unwrap_or(0);
        Some(Directory { entries, next })
    }

    /// The values of a tag as whole numbers; none for text, fractions and floating point.
    pub fn numbers(&self, entry: &Entry) -> Vec<u64> {
        let size = match entry.kind {
            1 | 7 => 1,
            3 => 2,
            4 | 13 => 4,
            16 | 18 => 8,
            _ => return Vec::new(),
        };
        entry.values.clone().step_by(size).filter_map(|at| self.number(at, size)).collect()
    }
}

impl Directory {
    /// A tag by its number.
    pub fn entry(&self, tag: u16) -> Option<&Entry> {
        self.entries.iter().find(|e| e.tag == tag)
    }

    /// The first value of a tag, as a whole number.
    pub fn number(&self, tiff: &Tiff<'_>, tag: u16) -> Option<u64> {
        tiff.numbers(self.entry(tag)?).first().copied()
    }
}
