//! ZIP archives as PKWARE's APPNOTE.TXT 6.3 describes them: written without compression, since studies and pictures are compressed
//! already; read with and without. Archives of several parts, encryption and ZIP64 are not there.
//!
//! What is read is found sound before anything of it is unpacked to stay, and files lie apart from each other: a small archive can
//! neither fill the memory nor be half taken in.

use flate2::read::DeflateDecoder;
use flate2::{Crc, CrcWriter};
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::io::{self, Read};

/// Signatures (4.3.7, 4.3.12, 4.3.16).
const LOCAL: u32 = 0x0403_4b50;
const CENTRAL: u32 = 0x0201_4b50;
const END: u32 = 0x0605_4b50;
/// Length of the record at the end without its comment, bytes.
const END_LENGTH: usize = 22;
/// Version 2.0: folders and deflate (4.4.3).
const VERSION: u16 = 20;
/// Names are UTF-8 (4.4.4, bit 11).
const UTF8: u16 = 1 << 11;
/// 1980-01-01, the first day there is (4.4.6): the date of a study is in it.
const DATE: u16 = (1 << 5) | 1;
/// Methods (4.4.5).
const STORED: u16 = 0;
const DEFLATED: u16 = 8;

/// A file in an archive, found sound.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Member<'a> {
    /// Its path, with slashes.
    pub name: String,
    packed: &'a [u8],
    packing: Packing,
    /// Bytes of what is in it.
    length: u32,
}

/// How a file lies in an archive.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Packing {
    Stored,
    Deflated,
}

impl Packing {
    fn of(method: u16) -> Option<Self> {
        match method {
            STORED => Some(Packing::Stored),
            DEFLATED => Some(Packing::Deflated),
            _ => None,
        }
    }
}

impl<'a> Member<'a> {
    /// What is in it.
    pub fn bytes(&self) -> Cow<'a, [u8]> {
        match self.packing {
            Packing::Stored => Cow::Borrowed(self.packed),
            Packing::Deflated => {
                let mut bytes = Vec::with_capacity(self.length as usize);
                // That it comes out whole was seen before.
                let _ = DeflateDecoder::new(self.packed).take(u64::from(self.length)).read_to_end(&mut bytes);
                Cow::Owned(bytes)
            }
        }
    }

    /// Whether what is in it has the length and the check sum that the archive says. Nothing of it is held.
    fn is_sound(&self, sum: u32) -> bool {
        let mut found = CrcWriter::new(io::sink());
        // One byte more than it may have tells that there is more.
        let most = u64::from(self.length) + 1;
        let read = match self.packing {
            Packing::Stored => io::copy(&mut self.packed.take(most), &mut found),
            Packing::Deflated => io::copy(&mut DeflateDecoder::new(self.packed).take(most), &mut found),
        };
        read.is_ok_and(|length| length == u64::from(self.length)) && found.crc().sum() == sum
    }
}

/// Whether bytes begin as an archive with files in it does.
pub fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(&LOCAL.to_le_bytes())
}

/// An archive on its way.
#[derive(Default)]
pub struct Writer {
    bytes: Vec<u8>,
    directory: Vec<u8>,
    count: u16,
}

impl Writer {
    /// Adds a file.
    ///
    /// # Errors
    /// When the archive would be longer than there is room for in its own numbers, or in memory.
    pub fn add(&mut self, name: &str, bytes: &[u8]) -> Result<(), String> {
        const TOO_LARGE: &str = "together they are larger than one file can be; download the studies one by one";
        let number = |length: usize| u32::try_from(length).ok().filter(|n| *n < u32::MAX).ok_or(TOO_LARGE);
        let (at, length) = (number(self.bytes.len())?, number(bytes.len())?);
        let name_length = u16::try_from(name.len()).map_err(|_| format!("the name {name} is too long"))?;
        self.count = self.count.checked_add(1).filter(|n| *n < u16::MAX).ok_or(TOO_LARGE)?;
        let mut sum = Crc::new();
        sum.update(bytes);
        // What both headers have in common, from the version on.
        let mut common = Vec::new();
        for two in [VERSION, UTF8, STORED, 0, DATE] {
            common.extend(two.to_le_bytes());
        }
        for four in [sum.sum(), length, length] {
            common.extend(four.to_le_bytes());
        }
        common.extend(name_length.to_le_bytes());
        let whole = name.len() + bytes.len() + 256;
        self.bytes.try_reserve(whole).map_err(|_| "no memory is left; download the studies one by one")?;
        self.bytes.extend(LOCAL.to_le_bytes());
        self.bytes.extend(&common);
        self.bytes.extend([0; 2]);
        self.bytes.extend(name.as_bytes());
        self.bytes.extend(bytes);
        self.directory.extend(CENTRAL.to_le_bytes());
        self.directory.extend(VERSION.to_le_bytes());
        self.directory.extend(&common);
        // No extra field, no comment, the first part, no attributes.
        self.directory.extend([0; 12]);
        self.directory.extend(at.to_le_bytes());
        self.directory.extend(name.as_bytes());
        Ok(())
    }

    /// The archive.
    ///
    /// # Errors
    /// As [`Writer::add`].
    pub fn end(mut self) -> Result<Vec<u8>, String> {
        let number = |length: usize| u32::try_from(length).map_err(|_| "the archive is too large".to_owned());
        let (at, length) = (number(self.bytes.len())?, number(self.directory.len())?);
        self.bytes.extend(&self.directory);
        self.bytes.extend(END.to_le_bytes());
        self.bytes.extend([0; 4]);
        self.bytes.extend(self.count.to_le_bytes());
        self.bytes.extend(self.count.to_le_bytes());
        self.bytes.extend(length.to_le_bytes());
        self.bytes.extend(at.to_le_bytes());
        self.bytes.extend([0; 2]);
        Ok(self.bytes)
    }
}

/// The files of an archive, folders left out; together no longer than `most` bytes.
///
/// # Errors
/// What is wrong with it, in words that follow the name of the file.
pub fn read(bytes: &[u8], most: u64) -> Result<Vec<Member<'_>>, String> {
    const CUT_OFF: &str = "is cut off or damaged";
    let end = (0..=bytes.len().saturating_sub(END_LENGTH))
        .rev()
        // A comment is no longer than a number of two bytes.
        .take(usize::from(u16::MAX) + 1)
        .find(|at| four(bytes, *at) == Some(END))
        .ok_or("is no archive, or is cut off")?;
    let count = two(bytes, end + 10).ok_or(CUT_OFF)?;
    let mut at = four(bytes, end + 16).ok_or(CUT_OFF)? as usize;
    let mut left = most;
    let mut members = Vec::new();
    let mut names = BTreeSet::new();
    let mut places = Vec::new();
    for _ in 0..count {
        if four(bytes, at) != Some(CENTRAL) {
            return Err(CUT_OFF.to_owned());
        }
        let number = |from: usize| four(bytes, at + from).ok_or(CUT_OFF);
        let short = |from: usize| two(bytes, at + from).ok_or(CUT_OFF);
        let (flags, method) = (short(8)?, short(10)?);
        let (sum, packed, length, local) = (number(16)?, number(20)? as usize, number(24)?, number(42)? as usize);
        let [name_length, extra, comment] = [short(28)?, short(30)?, short(32)?].map(usize::from);
        let name = bytes.get(at + 46..at + 46 + name_length).ok_or(CUT_OFF)?;
        let name = String::from_utf8_lossy(name).into_owned();
        at += 46 + name_length + extra + comment;
        if name.ends_with('/') {
            continue;
        }
        if flags & 1 != 0 {
            return Err("is locked with a password".to_owned());
        }
        left = left.checked_sub(u64::from(length)).ok_or("has more in it than there is room for")?;
        if four(bytes, local) != Some(LOCAL) {
            return Err(CUT_OFF.to_owned());
        }
        let skipped = two(bytes, local + 26).zip(two(bytes, local + 28)).ok_or(CUT_OFF)?;
        let from = local + 30 + usize::from(skipped.0) + usize::from(skipped.1);
        let packed = bytes.get(from..).and_then(|rest| rest.get(..packed)).ok_or(CUT_OFF)?;
        places.push((local, from + packed.len()));
        let packing = Packing::of(method).ok_or_else(|| format!("has {name} in a form that is not read"))?;
        if !names.insert(name.clone()) {
            return Err(format!("has two files called {name}"));
        }
        members.push((Member { name, packed, packing, length }, sum));
    }
    places.sort_unstable();
    if places.windows(2).any(|pair| pair[0].1 > pair[1].0) {
        return Err("has one part for several files, as no archive of ours has".to_owned());
    }
    if let Some((member, _)) = members.iter().find(|(member, sum)| !member.is_sound(*sum)) {
        return Err(format!("is damaged at {}", member.name));
    }
    Ok(members.into_iter().map(|(member, _)| member).collect())
}

fn two(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
}

fn four(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn archive() -> Vec<u8> {
        let mut writer = Writer::default();
        writer.add("Studies/tram depot.stint", b"the depot at blue hour").unwrap();
        writer.add("Studies/夜.stint", b"").unwrap();
        writer.end().unwrap()
    }

    #[test]
    fn what_is_written_is_read_back_and_half_of_it_is_refused() {
        let bytes = archive();
        assert!(is_archive(&bytes));
        let members = read(&bytes, 100).unwrap();
        let found: Vec<_> = members.iter().map(|m| (m.name.as_str(), m.bytes().len())).collect();
        assert_eq!(found, [("Studies/tram depot.stint", 22), ("Studies/夜.stint", 0)]);
        for end in 0..bytes.len() {
            assert!(read(&bytes[..end], 100).is_err(), "{end}");
        }
        assert!(read(&bytes, 21).unwrap_err().contains("room"));
        let mut damaged = bytes;
        damaged[60] ^= 1;
        assert!(read(&damaged, 100).unwrap_err().contains("damaged at Studies/tram depot.stint"));
    }

    /// One part for many files is how a small archive comes to hold more than any memory.
    #[test]
    fn files_that_share_a_part_or_a_name_are_refused() {
        let whole = archive();
        let directory = whole.windows(4).position(|four| *four == CENTRAL.to_le_bytes()).unwrap();
        // The second entry of the directory, behind the 46 bytes and the name of the first.
        let second = directory + 46 + "Studies/tram depot.stint".len();
        let mut shared = whole.clone();
        shared.copy_within(directory + 16..directory + 28, second + 16);
        shared.copy_within(directory + 42..directory + 46, second + 42);
        assert!(read(&shared, 100).unwrap_err().contains("several files"));
        let mut writer = Writer::default();
        writer.add("a.stint", b"one").unwrap();
        writer.add("a.stint", b"another").unwrap();
        assert!(read(&writer.end().unwrap(), 100).unwrap_err().contains("two files called a.stint"));
    }
}
