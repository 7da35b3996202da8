//! ZIP archives as PKWARE's APPNOTE.TXT 6.3 describes them: written without compression, since studies and pictures are compressed
//! already; read with and without. Archives of several parts, encryption and ZIP64 are not there.

use flate2::Crc;
use flate2::read::DeflateDecoder;
use std::io::Read;

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

/// A file in an archive.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Member {
    /// Its path, with slashes.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
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
pub fn read(bytes: &[u8], most: u64) -> Result<Vec<Member>, String> {
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
    for _ in 0..count {
        if four(bytes, at) != Some(CENTRAL) {
            return Err(CUT_OFF.to_owned());
        }
        let number = |from: usize| four(bytes, at + from).ok_or(CUT_OFF);
        let short = |from: usize| two(bytes, at + from).map(usize::from).ok_or(CUT_OFF);
        let (flags, method) = (short(8)?, short(10)?);
        let (sum, packed, length, local) = (number(16)?, number(20)? as usize, number(24)?, number(42)? as usize);
        let (name_length, extra, comment) = (short(28)?, short(30)?, short(32)?);
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
        let content = unpacked(packed, u16::try_from(method).unwrap_or(u16::MAX), length)
            .ok_or_else(|| format!("has {name} in a form that is not read"))?;
        let mut found = Crc::new();
        found.update(&content);
        if found.sum() != sum || content.len() != length as usize {
            return Err(format!("is damaged at {name}"));
        }
        members.push(Member { name, bytes: content });
    }
    Ok(members)
}

/// At most `length` bytes of a packed file; none when it is packed in another way.
fn unpacked(packed: &[u8], method: u16, length: u32) -> Option<Vec<u8>> {
    match method {
        STORED => Some(packed.to_vec()),
        DEFLATED => {
            let mut content = Vec::new();
            // A damaged one is shorter than it says, which is told by whoever asks.
            let _ = DeflateDecoder::new(packed).take(u64::from(length)).read_to_end(&mut content);
            Some(content)
        }
        _ => None,
    }
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
        let found: Vec<_> = members.iter().map(|m| (m.name.as_str(), m.bytes.len())).collect();
        assert_eq!(found, [("Studies/tram depot.stint", 22), ("Studies/夜.stint", 0)]);
        for end in 0..bytes.len() {
            assert!(read(&bytes[..end], 100).is_err(), "{end}");
        }
        assert!(read(&bytes, 21).unwrap_err().contains("room"));
        let mut damaged = bytes;
        damaged[60] ^= 1;
        assert!(read(&damaged, 100).unwrap_err().contains("damaged at Studies/tram depot.stint"));
    }
}
