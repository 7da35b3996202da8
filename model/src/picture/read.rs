//! The board out of a picture.

use super::attached::Attached;
use super::chunks::{Chunks, SIGNATURE};
use super::error::PictureError;
use super::splt::SuggestedPalette;
use super::{BOARD_KEYWORD, TIME_KEYWORD};
use crate::readout::work_time::duration_of;
use flate2::read::ZlibDecoder;
use std::io::Read;
use std::path::Path;

/// Most bytes of text that a compressed `iTXt` chunk may unpack to.
const MAX_TEXT_BYTES: u64 = 16 << 20;

/// Whether `bytes`, the beginning of a file, are a PNG's; eight are enough.
pub fn is_png(bytes: &[u8]) -> bool {
    bytes.starts_with(&SIGNATURE)
}

/// What [`write_png`](super::write_png) attached to the picture at `path`: from the first `iTXt` chunk with the keyword
/// [`BOARD_KEYWORD`], before or behind the pixels, plain or compressed (another program may have rewritten it). Pixels
/// are neither read nor checked, so a board survives damage behind it. The time that the study took is read where it stands before the board.
///
/// # Errors
/// [`PictureError::NotPng`], [`PictureError::NoBoard`], [`PictureError::Truncated`] when the file ends before a board
/// was found, [`PictureError::Damaged`], [`PictureError::DamagedBoard`], [`PictureError::Attached`] when the text is wrong or of a newer format, and
/// [`PictureError::Read`].
pub fn read_attached(path: &Path) -> Result<Attached, PictureError> {
    let mut chunks = Chunks::open(path)?;
    let mut worked_s = None;
    while let Some((kind, data)) = chunks.next(|kind| kind == *b"iTXt")? {
        let of = |keyword: &str| data.strip_prefix(keyword.as_bytes()).and_then(|d| d.strip_prefix(&[0]));
        if let Some(rest) = of(TIME_KEYWORD) {
            // A time that cannot be read is no reason to give up the board.
            worked_s = international_text(rest).ok().and_then(|text| duration_of(&text)).or(worked_s);
        }
        if let Some(rest) = of(BOARD_KEYWORD) {
            let text = international_text(rest).map_err(|how| chunks.damaged_board(kind, how))?;
            let attached = Attached::from_ron(&text)
                .map_err(|e| PictureError::Attached { path: path.to_owned(), source: Box::new(e) })?;
            return Ok(Attached { worked_s, ..attached });
        }
    }
    Err(PictureError::NoBoard { path: path.to_owned() })
}

/// All suggested palettes (`sPLT`) of the PNG at `path`, of any program; empty when it has none. Colours are in the
/// colour space of that picture.
///
/// # Errors
/// As [`read_attached`], without those about the board.
pub fn read_suggested_palettes(path: &Path) -> Result<Vec<SuggestedPalette>, PictureError> {
    let mut chunks = Chunks::open(path)?;
    let mut palettes = Vec::new();
    while let Some((kind, data)) = chunks.next(|kind| kind == *b"sPLT")? {
        let palette = SuggestedPalette::from_chunk(&data);
        palettes.push(palette.ok_or_else(|| chunks.damaged(kind, "is not a suggested palette"))?);
    }
    Ok(palettes)
}

/// The text of an `iTXt` chunk (11.3.3.4) from what follows the keyword and its NUL: compression flag, method, language
/// tag NUL, translated keyword NUL, text.
fn international_text(data: &[u8]) -> Result<String, &'static str> {
    let [flag, method, rest @ ..] = data else { return Err("ends before its text") };
    let mut fields = rest.splitn(3, |byte| *byte == 0);
    let (Some(_language), Some(_translated), Some(text)) = (fields.next(), fields.next(), fields.next()) else {
        return Err("ends before its text");
    };
    let bytes = match (flag, method) {
        (0, _) => text.to_vec(),
        (1, 0) => {
            let mut unpacked = Vec::new();
            let limited = &mut ZlibDecoder::new(text).take(MAX_TEXT_BYTES + 1);
            limited.read_to_end(&mut unpacked).map_err(|_| "does not unpack")?;
            if unpacked.len() as u64 > MAX_TEXT_BYTES {
                return Err("unpacks to more than 16 MiB");
            }
            unpacked
        }
        _ => return Err("is compressed in a way that the standard does not know"),
    };
    String::from_utf8(bytes).map_err(|_| "is not UTF-8")
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::attached::tests::depot;
    use super::super::chunks::tests::chunk;
    use super::*;
    use std::io::Write;

    fn packed(text: &[u8]) -> Vec<u8> {
        let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
        encoder.write_all(text).unwrap();
        encoder.finish().unwrap()
    }

    fn itxt(head: &[u8], text: &[u8]) -> Vec<u8> {
        chunk(b"iTXt", &[BOARD_KEYWORD.as_bytes(), head, text].concat())
    }

    fn read(chunks: &[&[u8]]) -> Result<Attached, PictureError> {
        let file = tempfile::NamedTempFile::with_suffix(".png").unwrap();
        let (header, end) = (chunk(b"IHDR", &[0, 0, 0, 1, 0, 0, 0, 1, 8, 2, 0, 0, 0]), chunk(b"IEND", b""));
        std::fs::write(file.path(), [&SIGNATURE[..], &header, &chunks.concat(), &end].concat()).unwrap();
        read_attached(file.path())
    }

    #[test]
    fn reads_a_board_in_every_legal_form() {
        let text = depot().to_ron().unwrap().into_bytes();
        let pixels = chunk(b"IDAT", &[0; 40]);
        let other = chunk(b"iTXt", b"Title\0\0\0\0\0Depot");
        let longer = chunk(b"iTXt", b"Stint boards\0\0\0\0\0not ours");
        let plain = itxt(b"\0\0\0\0\0", &text);
        let with_language = itxt(b"\0\0\0en-GB\0Brett\0", &text);
        let compressed = itxt(b"\0\x01\0\0\0", &packed(&text));
        for ours in [&plain, &with_language, &compressed] {
            for order in [[&other[..], &longer, ours, &pixels], [&other[..], &pixels, &longer, ours]] {
                assert_eq!(read(&order).unwrap(), depot());
            }
        }
    }

    #[test]
    fn faults_are_told_apart() {
        let none = read(&[]).unwrap_err();
        assert!(matches!(none, PictureError::NoBoard { .. }), "{none}");
        assert!(none.to_string().contains("carries no board: "), "{none}");
        let newer = depot().to_ron().unwrap().replace("format: 1,", "format: 2,");
        let newer = read(&[&itxt(b"\0\0\0\0\0", newer.as_bytes())]).unwrap_err();
        assert!(newer.to_string().contains("newer Stint"), "{newer}");
        let large = packed(&vec![b' '; (MAX_TEXT_BYTES + 1) as usize]);
        for (bad, word) in [
            (itxt(b"\0\0\0\0\0", b"\xff"), "UTF-8"),
            (itxt(b"\0\x01\0\0\0", b"1234"), "does not unpack"),
            (itxt(b"\0\x01\x07\0\0", b"1234"), "compressed in a way"),
            (itxt(b"\0\x01\0\0\0", &large), "16 MiB"),
            (itxt(b"\0", b""), "ends before"),
            (itxt(b"\0\0\0\0", b"(format: 1)"), "ends before"),
        ] {
            let error = read(&[&bad]).unwrap_err();
            assert!(matches!(error, PictureError::DamagedBoard { .. }) && error.to_string().contains(word), "{error}");
        }
    }

    #[test]
    fn other_files_are_told() {
        let missing = read_attached(Path::new("no-such-picture.png")).unwrap_err();
        assert!(matches!(missing, PictureError::Read { .. }), "{missing}");
        let folder = tempfile::tempdir().unwrap();
        assert!(matches!(read_attached(folder.path()).unwrap_err(), PictureError::Read { .. }));
        let text = folder.path().join("notes.png");
        std::fs::write(&text, "not a picture").unwrap();
        assert!(matches!(read_attached(&text).unwrap_err(), PictureError::NotPng { .. }));
        assert!(!is_png(b"not a picture") && !is_png(b"") && is_png(&SIGNATURE));
    }
}
