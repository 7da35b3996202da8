//! What a file named on the command line is: told by its content, not its name.

use super::CliError;
use crate::library::{Library, LibraryError};
use std::io::{ErrorKind, Read};
use std::path::Path;
use stint_model::board::Board;
use stint_model::board::file::read_board;
use stint_model::photo::Photo;
use stint_model::picture::{PictureError, is_png, read_attached};
use stint_model::study::file::StudyFile;

/// First bytes of every SQLite 3 database (SQLite file format, section 1.3.1).
const SQLITE: &[u8] = b"SQLite format 3\0";

/// Kinds of file Stint reads.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A study, or another database; opening it tells.
    Study,
    /// A PNG that carries a board.
    Picture,
    /// A board file.
    Board,
    /// Anything else: perhaps a photo.
    Other,
}

/// The kind of a file.
///
/// # Errors
/// When it cannot be read, or is a PNG whose board is damaged.
pub fn kind_of(path: &Path) -> Result<Kind, CliError> {
    let read = |source| CliError::Read { path: path.to_owned(), source };
    let mut head = Vec::new();
    std::fs::File::open(path).map_err(read)?.take(64).read_to_end(&mut head).map_err(read)?;
    let name = path.to_string_lossy();
    if head.starts_with(SQLITE) || name.ends_with(".stint") {
        return Ok(Kind::Study);
    }
    if is_png(&head) {
        return match read_attached(path) {
            Ok(_) => Ok(Kind::Picture),
            Err(PictureError::NoBoard { .. }) => Ok(Kind::Other),
            Err(error) => Err(error.into()),
        };
    }
    Ok(if name.ends_with(".board.ron") { Kind::Board } else { Kind::Other })
}

/// The board of a study, of an exported PNG, or of a board file; where there is no such file, the kept board of that name.
///
/// # Errors
/// When the file is none of these, or damaged, or there is neither.
pub fn board_of(path: &Path) -> Result<Board, CliError> {
    // A link that leads nowhere is there, and reading it says what is wrong.
    if path.symlink_metadata().is_err_and(|e| e.kind() == ErrorKind::NotFound) {
        return match Library::open(None).find(&path.to_string_lossy()) {
            Ok(entry) => Ok(entry.board()?.clone()),
            Err(LibraryError::NoSuch { .. }) => Err(CliError::NoSuchBoard(path.to_owned())),
            Err(error) => Err(error.into()),
        };
    }
    match kind_of(path)? {
        Kind::Study => Ok(StudyFile::open_read_only(path)?.document().board.clone()),
        Kind::Picture => Ok(read_attached(path)?.board),
        Kind::Board => Ok(read_board(path)?),
        Kind::Other if path.extension().is_some_and(|e| e == "ron") => Ok(read_board(path)?),
        Kind::Other => Err(CliError::WrongKind {
            path: path.to_owned(),
            wanted: "a board (.board.ron), a study (.stint), nor a PNG exported by Stint",
        }),
    }
}

/// Refuses a target that is there and is not of the kind that is about to be written: a picture may replace an older
/// picture of ours, a board an older board, and nothing else.
///
/// # Errors
/// Names the file in the way.
pub fn replaceable(path: &Path, kind: Kind) -> Result<(), CliError> {
    let (ours, wanted) = match kind {
        Kind::Picture => (read_attached(path).is_ok(), "a PNG exported by Stint"),
        _ => (read_board(path).is_ok(), "a board"),
    };
    // A device or a folder is told apart by whoever writes.
    if path.is_file() && !ours { Err(CliError::InTheWay { path: path.to_owned(), wanted }) } else { Ok(()) }
}

/// A photo from a file.
///
/// # Errors
/// When it cannot be read as one.
pub fn photo_of(path: &Path) -> Result<Photo, CliError> {
    Ok(Photo::open(path)?)
}
