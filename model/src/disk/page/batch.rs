//! What has changed since the mirror was told last, and the bytes in which it is told: only what came of the changes, whatever was
//! written twice or is gone again. A rollback journal that was made and removed meanwhile is never told.
//!
//! A batch begins with [`MAGIC`], the length of what follows the head and its CRC-32, both big-endian in 4 bytes. Then stored files follow,
//! each with a byte for what became of it and its name (its length in a byte, then ASCII): 0 for one that is gone; 1 for one that was
//! written, with two lengths in 8 bytes each, to which it is cut and then grown with zeros, how many pieces there are in 4, and of each
//! piece its place in 8, its length in 4, and its bytes.

use super::index::{self, Place, Record};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// First bytes of a batch.
const MAGIC: &[u8; 4] = b"STB1";

/// Changes that are yet to be told.
#[derive(Debug, Default)]
pub(super) struct Batch {
    /// Stored files that were written, by number.
    written: BTreeMap<u64, Written>,
    /// Stored files that are gone, by name.
    gone: Vec<String>,
    /// Records for the end of the index.
    records: Vec<OwnedRecord>,
    /// A whole index that begins with this batch.
    index: Option<String>,
}

/// What became of a file that was written.
#[derive(Debug)]
struct Written {
    /// It was made in this batch.
    is_new: bool,
    /// The shortest it was: what lies behind this is not of before.
    least: usize,
    /// Pieces that were written: their places and ends.
    pieces: BTreeMap<usize, usize>,
}

impl Written {
    fn new(is_new: bool, length: usize) -> Self {
        Written { is_new, least: length, pieces: BTreeMap::new() }
    }

    fn write(&mut self, mut from: usize, mut to: usize) {
        // Pieces that touch become one.
        while let Some((&start, &end)) = self.pieces.range(..=to).next_back()
            && end >= from
        {
            (from, to) = (from.min(start), to.max(end));
            self.pieces.remove(&start);
        }
        if from < to {
            self.pieces.insert(from, to);
        }
    }

    fn cut(&mut self, length: usize) {
        self.least = self.least.min(length);
        self.pieces.retain(|start, _| *start < length);
        if let Some(mut last) = self.pieces.last_entry() {
            *last.get_mut() = length.min(*last.get());
        }
    }
}

/// A [`Record`] that waits.
#[derive(Debug)]
enum OwnedRecord {
    Put(PathBuf, Place),
    Gone(PathBuf),
    Moved(PathBuf, PathBuf),
}

impl Batch {
    /// A file was made, with nothing in it.
    pub(super) fn created(&mut self, number: u64) {
        self.written.insert(number, Written::new(true, 0));
    }

    /// A file was written from a place up to another; `before` is its length before that.
    pub(super) fn wrote(&mut self, number: u64, from: usize, to: usize, before: usize) {
        self.file(number, before).write(from, to);
    }

    /// A file was given a length; `before` is its length before that.
    pub(super) fn cut(&mut self, number: u64, length: usize, before: usize) {
        self.file(number, before).cut(length);
    }

    fn file(&mut self, number: u64, before: usize) -> &mut Written {
        self.written.entry(number).or_insert_with(|| Written::new(false, before))
    }

    /// A stored file is gone.
    pub(super) fn removed(&mut self, number: u64) {
        if !self.written.remove(&number).is_some_and(|file| file.is_new) {
            self.gone.push(stored_name(number));
        }
    }

    /// A stored file of which nothing was known is gone.
    pub(super) fn removed_other(&mut self, name: &str) {
        self.gone.push(name.to_owned());
    }

    /// The index begins anew.
    pub(super) fn index(&mut self, list: String) {
        self.index = Some(list);
    }

    /// A record of the index.
    pub(super) fn record(&mut self, record: &Record<'_>) {
        let own = Path::to_owned;
        let record = match *record {
            Record::Gone(path) => match self.put(path) {
                // What was put there in this batch was never there.
                Some(at) => return drop(self.records.remove(at)),
                None => OwnedRecord::Gone(own(path)),
            },
            Record::Put(path, place) => OwnedRecord::Put(own(path), place),
            Record::Moved(from, to) => OwnedRecord::Moved(own(from), own(to)),
        };
        self.records.push(record);
    }

    /// The last record that speaks of a path, if it put a file there.
    fn put(&self, path: &Path) -> Option<usize> {
        let at = self.records.iter().rposition(|record| match record {
            OwnedRecord::Put(other, _) | OwnedRecord::Gone(other) => other == path,
            // Whether it speaks of the path takes a look at all that was moved.
            OwnedRecord::Moved(..) => true,
        })?;
        matches!(self.records[at], OwnedRecord::Put(_, Place::File(_))).then_some(at)
    }

    /// The bytes of the batch; `index` is the name of the index and its length, which goes on; `content` gives what is in a file.
    pub(super) fn bytes<'a>(self, index: (&str, &mut u64), content: impl Fn(u64) -> Option<&'a [u8]>) -> Vec<u8> {
        let mut bytes = vec![0; 12];
        for (number, file) in self.written {
            let Some(content) = content(number) else { continue };
            let pieces: Vec<_> = file.pieces.iter().map(|(from, to)| (*from, &content[*from..*to])).collect();
            put_file(&mut bytes, &stored_name(number), (file.least, content.len()), &pieces);
        }
        let (name, length) = index;
        let begins = self.index.is_some();
        let mut text = self.index.unwrap_or_default();
        for record in &self.records {
            text += &index::line(&match record {
                OwnedRecord::Put(path, place) => Record::Put(path, *place),
                OwnedRecord::Gone(path) => Record::Gone(path),
                OwnedRecord::Moved(from, to) => Record::Moved(from, to),
            });
        }
        if !text.is_empty() {
            let from = if begins { 0 } else { usize::try_from(*length).unwrap_or(usize::MAX) };
            let to = from.saturating_add(text.len());
            put_file(&mut bytes, name, (from, to), &[(from, text.as_bytes())]);
            *length = to as u64;
        }
        for name in self.gone {
            put_name(&mut bytes, 0, &name);
        }
        let (length, sum) = (bytes.len() - 12, index::sum(&bytes[12..]));
        bytes[..4].copy_from_slice(MAGIC);
        bytes[4..8].copy_from_slice(&short(length));
        bytes[8..12].copy_from_slice(&sum.to_be_bytes());
        bytes
    }
}

fn put_name(bytes: &mut Vec<u8>, what: u8, name: &str) {
    // A letter and a number.
    let name = &name.as_bytes()[..name.len().min(255)];
    #[expect(clippy::cast_possible_truncation, reason = "at most 255")]
    bytes.extend([what, name.len() as u8]);
    bytes.extend(name);
}

fn put_file(bytes: &mut Vec<u8>, name: &str, (least, length): (usize, usize), pieces: &[(usize, &[u8])]) {
    put_name(bytes, 1, name);
    bytes.extend((least as u64).to_be_bytes());
    bytes.extend((length as u64).to_be_bytes());
    bytes.extend(short(pieces.len()));
    for (at, piece) in pieces {
        bytes.extend((*at as u64).to_be_bytes());
        bytes.extend(short(piece.len()));
        bytes.extend(*piece);
    }
}

/// A length in 4 bytes. More than they can say does not fit into the memory of a page.
fn short(length: usize) -> [u8; 4] {
    u32::try_from(length).unwrap_or(u32::MAX).to_be_bytes()
}

/// The short name of a stored file.
pub(super) fn stored_name(number: u64) -> String {
    format!("f{number}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_that_touch_become_one_and_a_cut_ends_them() {
        let mut file = Written::new(false, 100);
        for (from, to) in [(10, 20), (30, 40), (20, 30), (5, 8), (60, 70), (65, 80), (7, 12), (50, 50)] {
            file.write(from, to);
        }
        assert_eq!(file.pieces, BTreeMap::from([(5, 40), (60, 80)]));
        file.write(0, 90);
        assert_eq!(file.pieces, BTreeMap::from([(0, 90)]));
        file.write(95, 120);
        file.cut(50);
        file.cut(70);
        assert_eq!((file.pieces, file.least), (BTreeMap::from([(0, 50)]), 50));
    }
}
