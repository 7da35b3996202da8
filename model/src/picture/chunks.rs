//! Walking the chunks of a PNG (5.3) that may be damaged, cut short or made to do harm.
//!
//! The decoder of crate `png` would unpack all pixels before it shows text behind them, and it hides `sPLT`; so the
//! chunks are walked here, and pixels are stepped over.

use super::BOARD_KEYWORD;
use super::error::PictureError;
use crate::disk::{self, File};
use flate2::Crc;
use std::io::{self, BufReader, Read, Seek};
use std::path::Path;

/// The eight bytes every PNG begins with (5.2).
pub(super) const SIGNATURE: [u8; 8] = [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n'];

/// Most bytes of one chunk that are taken into memory.
const MAX_CHUNK_BYTES: u32 = 16 << 20;

/// One chunk: its kind and its data.
pub(super) type Chunk = ([u8; 4], Vec<u8>);

/// The chunks of a file, in order.
pub(super) struct Chunks<'a, R> {
    path: &'a Path,
    reader: R,
    file_bytes: u64,
    /// Where the reader stands.
    at: u64,
    ended: bool,
}

impl<'a> Chunks<'a, BufReader<File>> {
    /// Opens a file and checks its signature.
    pub fn open(path: &'a Path) -> Result<Self, PictureError> {
        // Before it is opened: opening a pipe waits for somebody to write into it.
        let metadata = disk::metadata(path).map_err(|e| PictureError::read(path, e))?;
        if metadata.is_dir() {
            return Err(PictureError::read(path, io::ErrorKind::IsADirectory.into()));
        }
        if !metadata.is_file() {
            return Err(PictureError::NotPng { path: path.to_owned() });
        }
        let file = disk::open(path).map_err(|e| PictureError::read(path, e))?;
        Chunks::new(path, BufReader::new(file), metadata.len())
    }
}

impl<'a, R: Read + Seek> Chunks<'a, R> {
    fn new(path: &'a Path, reader: R, file_bytes: u64) -> Result<Self, PictureError> {
        let mut chunks = Chunks { path, reader, file_bytes, at: 0, ended: false };
        let not_png = || PictureError::NotPng { path: path.to_owned() };
        if file_bytes < SIGNATURE.len() as u64 || chunks.read::<8>()? != SIGNATURE {
            return Err(not_png());
        }
        Ok(chunks)
    }

    fn read<const N: usize>(&mut self) -> Result<[u8; N], PictureError> {
        let mut bytes = [0; N];
        self.fill(&mut bytes)?;
        Ok(bytes)
    }

    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), PictureError> {
        self.at += bytes.len() as u64;
        if self.at > self.file_bytes {
            return Err(PictureError::Truncated { path: self.path.to_owned(), at: self.file_bytes });
        }
        self.reader.read_exact(bytes).map_err(|e| PictureError::read(self.path, e))
    }

    /// The error for a chunk of this file.
    pub fn damaged(&self, kind: [u8; 4], how: &str) -> PictureError {
        let what = format!("chunk {} {how}", kind.escape_ascii());
        PictureError::Damaged { path: self.path.to_owned(), what }
    }

    /// The error for the chunk of this file that holds the board.
    pub fn damaged_board(&self, kind: [u8; 4], how: &str) -> PictureError {
        let what = format!("chunk {} {how}", kind.escape_ascii());
        PictureError::DamagedBoard { path: self.path.to_owned(), what }
    }

    /// The kind and data of the next chunk that `wanted` accepts; chunks before it are stepped over unread. `None`
    /// after `IEND`.
    ///
    /// # Errors
    /// [`PictureError::Truncated`] when the file ends before `IEND`, [`PictureError::Damaged`] for a kind that is not
    /// four letters, a length above 2^31 - 1, or a wanted chunk with a wrong checksum or above 16 MiB;
    /// of texts (`iTXt`) only one that may be the board, as [`PictureError::DamagedBoard`].
    pub fn next(&mut self, wanted: impl Fn([u8; 4]) -> bool) -> Result<Option<Chunk>, PictureError> {
        while !self.ended {
            let length = u32::from_be_bytes(self.read()?);
            let kind = self.read::<4>()?;
            if !kind.iter().all(u8::is_ascii_alphabetic) {
                return Err(self.damaged(kind, "has a name that is not four letters"));
            }
            if length > i32::MAX as u32 {
                return Err(self.damaged(kind, &format!("claims {length} bytes")));
            }
            self.ended = kind == *b"IEND";
            if wanted(kind) {
                return Ok(Some((kind, self.data(kind, length)?)));
            }
            self.step_over(u64::from(length) + 4)?;
        }
        Ok(None)
    }

    fn data(&mut self, kind: [u8; 4], length: u32) -> Result<Vec<u8>, PictureError> {
        if length > MAX_CHUNK_BYTES {
            return Err(self.damaged(kind, &format!("is too large ({length} bytes)")));
        }
        if u64::from(length) > self.file_bytes - self.at {
            return Err(PictureError::Truncated { path: self.path.to_owned(), at: self.file_bytes });
        }
        let mut data = vec![0; length as usize];
        self.fill(&mut data)?;
        let stored = u32::from_be_bytes(self.read()?);
        let mut crc = Crc::new();
        crc.update(&kind);
        crc.update(&data);
        if crc.sum() == stored {
            return Ok(data);
        }
        let how = "does not match its checksum";
        match &kind {
            b"iTXt" if may_be_board(&data) => Err(self.damaged_board(kind, how)),
            // A damaged title or note says nothing about the board.
            b"iTXt" => Ok(data),
            _ => Err(self.damaged(kind, how)),
        }
    }

    fn step_over(&mut self, bytes: u64) -> Result<(), PictureError> {
        self.at += bytes;
        if self.at > self.file_bytes {
            return Err(PictureError::Truncated { path: self.path.to_owned(), at: self.file_bytes });
        }
        let bytes = i64::try_from(bytes).map_err(|e| PictureError::read(self.path, io::Error::other(e)))?;
        self.reader.seek_relative(bytes).map_err(|e| PictureError::read(self.path, e))
    }
}

/// Characters of the keyword that may be damaged and still tell it.
const KEYWORD_FAULTS: usize = 2;

/// Whether a text chunk that is damaged may be the one with the board.
fn may_be_board(data: &[u8]) -> bool {
    let keyword = BOARD_KEYWORD.as_bytes();
    let same = data.iter().zip(keyword).filter(|(a, b)| a == b).count();
    same + KEYWORD_FAULTS >= keyword.len()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
pub(super) mod tests {
    use super::*;
    use std::io::Cursor;

    /// A chunk as it stands in a file.
    pub fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
        let mut crc = Crc::new();
        crc.update(kind);
        crc.update(data);
        let length = u32::try_from(data.len()).unwrap().to_be_bytes();
        [&length[..], kind, data, &crc.sum().to_be_bytes()].concat()
    }

    fn kinds(bytes: &[u8]) -> Result<Vec<[u8; 4]>, PictureError> {
        let mut chunks = Chunks::new(Path::new("depot.png"), Cursor::new(bytes), bytes.len() as u64)?;
        let mut kinds = Vec::new();
        while let Some((kind, _)) = chunks.next(|kind| kind[0] == b'a')? {
            kinds.push(kind);
        }
        Ok(kinds)
    }

    #[test]
    fn walks_to_the_end_and_tells_every_cut() {
        let file = [&SIGNATURE[..], &chunk(b"aaAa", b"12"), &chunk(b"IDAT", b"123456"), &chunk(b"abAa", b"")].concat();
        let whole = [&file[..], &chunk(b"IEND", b""), b"behind the end"].concat();
        assert_eq!(kinds(&whole).unwrap(), [*b"aaAa", *b"abAa"]);
        for cut in 0..file.len() + 12 {
            match kinds(&whole[..cut]).unwrap_err() {
                PictureError::NotPng { .. } if cut < 8 => {}
                PictureError::Truncated { at, .. } if cut >= 8 && at == cut as u64 => {}
                other => panic!("cut at {cut}: {other}"),
            }
        }
    }

    #[test]
    fn damage_is_told() {
        let end = chunk(b"IEND", b"");
        let file = |chunk: &[u8]| [&SIGNATURE[..], chunk, &end].concat();
        let mut wrong_sum = chunk(b"aaAa", b"12");
        wrong_sum[9] ^= 1;
        let long = [&0x8000_0000u32.to_be_bytes()[..], b"aaAa"].concat();
        let large = [&(MAX_CHUNK_BYTES + 1).to_be_bytes()[..], b"aaAa"].concat();
        for (bad, word) in [
            (&wrong_sum[..], "checksum"),
            (&long, "claims 2147483648"),
            (&large, "too large"),
            (&chunk(b"a\0Aa", b""), "four letters"),
        ] {
            let error = kinds(&file(bad)).unwrap_err();
            assert!(matches!(error, PictureError::Damaged { .. }), "{error}");
            assert!(error.to_string().contains(word) && error.to_string().contains("depot.png"), "{error}");
        }
        // A claim that memory could hold but the file cannot.
        let claim = [&(1u32 << 23).to_be_bytes()[..], b"aaAa"].concat();
        assert!(matches!(kinds(&file(&claim)).unwrap_err(), PictureError::Truncated { .. }));
    }
}
