//! What a file named on the command line is: told by its content, not its name.

use super::CliError;
use crate::files::board_file::read_telling;
use crate::files::library::{Library, LibraryError};
use std::io::ErrorKind;
use std::path::Path;
use stint_model::board::Board;
use stint_model::board::exchange::Incoming;
use stint_model::disk;
use stint_model::photo::Photo;

pub use crate::files::kind::{FileKind as Kind, kind_of};

/// The board of a study, of a PNG that carries one, of a board file, a style sheet or design tokens; where there is no such
/// file, the kept board of that name. What was left out is said on standard error.
///
/// # Errors
/// When the file is none of these, or damaged, or there is neither.
pub fn board_of(path: &Path) -> Result<Board, CliError> {
    // A link that leads nowhere is there, and reading it says what is wrong.
    if disk::symlink_metadata(path).is_err_and(|e| e.kind() == ErrorKind::NotFound) {
        return match Library::open(None).find(&path.to_string_lossy()) {
            Ok(entry) => Ok(entry.board()?.clone()),
            Err(LibraryError::NoSuch { .. }) => Err(CliError::NoSuchBoard(path.to_owned())),
            Err(error) => Err(error.into()),
        };
    }
    let Incoming { board, left_out, made_opaque } = read_telling(path)?;
    let (one, many) = ("is no fixed colour and was left out", "are no fixed colours and were left out");
    tell(path, left_out, "value", one, many);
    tell(
        path,
        made_opaque,
        "colour",
        "was partly transparent and is opaque now",
        "were partly transparent and are opaque now",
    );
    Ok(board)
}

fn tell(path: &Path, count: usize, noun: &str, one: &str, many: &str) {
    match count {
        0 => {}
        1 => super::say(&format_args!("{}: 1 {noun} {one}", path.display())),
        _ => super::say(&format_args!("{}: {count} {noun}s {many}", path.display())),
    }
}

/// A photo from a file. What a person should know about it is said on standard error.
///
/// # Errors
/// When it cannot be read as one.
pub fn photo_of(path: &Path) -> Result<Photo, CliError> {
    let photo = Photo::open(path)?;
    for warning in photo.warnings() {
        super::say(warning);
    }
    Ok(photo)
}
