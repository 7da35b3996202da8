//! TIFF: its first full page is written anew around its coded samples, with the tags that describe samples and colours.

use crate::photo::container::tags::{Directory, Entry, Tiff};
use crate::photo::decode::full_page_of_tiff;

/// Tags that are kept, in TIFF 6.0 and its supplements: size, bits, coding, meaning, orientation, layout, densities, curves,
/// predictor, white, primaries, palette, inks, extra samples, formats and ranges, tables of JPEG coding, YCbCr, profile.
const KEPT: [u16; 40] = [
    256, 257, 258, 259, 262, 263, 266, 273, 274, 277, 278, 279, 282, 283, 284, 290, 291, 292, 293, 296, 301, 317, 318,
    319, 320, 322, 323, 324, 325, 332, 334, 338, 339, 340, 341, 347, 529, 530, 531, 34675,
];
/// Places and lengths of strips, and of tiles.
const DATA: [(u16, u16); 2] = [(273, 279), (324, 325)];

pub(super) fn clean(bytes: &[u8]) -> Option<Vec<u8>> {
    let tiff = Tiff::new(bytes)?;
    let page = full_page_of_tiff(&tiff)?;
    let mut out = Writer { bytes: Vec::with_capacity(bytes.len()), little: tiff.little, large: tiff.large };
    out.bytes.extend_from_slice(bytes.get(..if tiff.large { 16 } else { 8 })?);
    let mut written: Vec<(u16, u16, u64, Vec<u8>)> = Vec::new();
    for entry in page.entries.iter().filter(|e| KEPT.contains(&e.tag)) {
        let (kind, values) = match DATA.iter().find(|(places, _)| *places == entry.tag) {
            Some(&(_, lengths)) => out.copied_data(&tiff, &page, entry, lengths)?,
            None => (entry.kind, bytes[entry.values.clone()].to_vec()),
        };
        written.push((entry.tag, kind, entry.count, values));
    }
    written.sort_by_key(|entry| entry.0);
    written.dedup_by_key(|entry| entry.0);
    out.finish(&written)?;
    Some(out.bytes)
}

struct Writer {
    bytes: Vec<u8>,
    little: bool,
    large: bool,
}

impl Writer {
    /// A number in the byte order of the file, `size` bytes long.
    fn number(&self, value: u64, size: usize) -> Vec<u8> {
        if self.little { value.to_le_bytes()[..size].to_vec() } else { value.to_be_bytes()[8 - size..].to_vec() }
    }

    /// Bytes of a place.
    fn place_bytes(&self) -> usize {
        if self.large { 8 } else { 4 }
    }

    /// Copies strips or tiles; gives the kind and the values of the tag that says where they lie now.
    fn copied_data(
        &mut self,
        tiff: &Tiff<'_>,
        page: &Directory,
        places: &Entry,
        lengths: u16,
    ) -> Option<(u16, Vec<u8>)> {
        let places = tiff.numbers(places);
        let lengths = tiff.numbers(page.entry(lengths)?);
        if places.len() != lengths.len() {
            return None;
        }
        let mut values = Vec::new();
        for (place, length) in places.into_iter().zip(lengths) {
            let (place, length) = (usize::try_from(place).ok()?, usize::try_from(length).ok()?);
            // Pages of hostile files name the same bytes many times over.
            if self.bytes.len() > tiff.bytes.len() {
                return None;
            }
            let now = self.number(self.bytes.len() as u64, self.place_bytes());
            self.bytes.extend_from_slice(tiff.bytes.get(place..place.checked_add(length)?)?);
            self.align();
            values.extend(now);
        }
        Some((if self.large { 16 } else { 4 }, values))
    }

    /// Directories and values begin at even places.
    fn align(&mut self) {
        if self.bytes.len() % 2 == 1 {
            self.bytes.push(0);
        }
    }

    /// Writes long values and the directory, and tells the header where that lies.
    fn finish(&mut self, entries: &[(u16, u16, u64, Vec<u8>)]) -> Option<()> {
        let size = self.place_bytes();
        let mut directory = self.number(entries.len() as u64, if self.large { 8 } else { 2 });
        for (tag, kind, count, values) in entries {
            directory.extend(self.number(u64::from(*tag), 2));
            directory.extend(self.number(u64::from(*kind), 2));
            directory.extend(self.number(*count, size));
            if values.len() <= size {
                directory.extend(values);
                directory.resize(directory.len() + size - values.len(), 0);
            } else {
                directory.extend(self.number(self.bytes.len() as u64, size));
                self.bytes.extend(values);
                self.align();
            }
        }
        directory.extend(self.number(0, size));
        let place = self.bytes.len();
        if !self.large && u32::try_from(place).is_err() {
            return None;
        }
        self.bytes.extend(directory);
        let place = self.number(place as u64, size);
        self.bytes[size..2 * size].copy_from_slice(&place);
        Some(())
    }
}
