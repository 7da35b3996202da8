//! `NAME.board.ron`: a board outside a study, as text that can be read, compared line by line and edited by hand.
//!
//! ```text
//! (
//!     format: 2,
//!     name: "tram depot, blue hour",
//!     light: Cool,
//!     families: [
//!         (
//!             id: 1,
//!             name: "wet yard",
//!             swatches: [
//!                 (id: 1, role: Shadow, colour: (0.021, 0.028, 0.052)),
//! ```
//!
//! Colours are linear-light sRGB triples and come back bit by bit. What this version does not know is refused, never
//! dropped.

use super::check::{BoardError, check};
use super::lines::line_of;
use super::review::Subject;
use super::{Board, Family, LightOfDay};
use crate::disk::{self, Replace};
use crate::format::{TextStep, TextVersionError, VersionError, Versions, adds_fields};
use serde::{Deserialize, Serialize};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// The formats there were; format 2 has distances, date, photo and dismissed remarks.
const VERSIONS: Versions<TextStep> = Versions::new(&[adds_fields]);
/// The format this program writes.
pub const FORMAT: u32 = VERSIONS.current();
/// Longest text that is read as a board, in bytes. A swatch takes about 100.
pub const MAX_BYTES: u64 = 16 << 20;

/// Why a board could not be read or written. `name` is the file's name, or what the text was called.
#[derive(Debug, thiserror::Error)]
pub enum BoardFileError {
    /// The file could not be read.
    #[error("the board {} cannot be read ({source}); check the name and the permissions", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file could not be written; one that was there before is as it was.
    #[error("the board {} cannot be written ({source}); choose another folder, or make room", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The text is longer than [`MAX_BYTES`].
    #[error("{name} is longer than any board; choose a .board.ron file")]
    TooLong {
        /// The file.
        name: String,
    },
    /// The file is not UTF-8.
    #[error("{name}, line {line}: not UTF-8 text; choose a .board.ron file, or save it as UTF-8")]
    NotText {
        /// The file.
        name: String,
        /// The line that stops being text, counted from 1.
        line: usize,
    },
    /// The format is one of the future, or none.
    #[error("{name} {source}")]
    Version {
        /// The file.
        name: String,
        /// Which of the two.
        source: VersionError,
    },
    /// The text is not a board: a bracket too few, an unknown field, a colour of two numbers.
    #[error("{name}, line {line}, column {column}: {what}; correct the line")]
    Text {
        /// The file.
        name: String,
        /// Line, counted from 1.
        line: usize,
        /// Column in characters, counted from 1.
        column: usize,
        /// What is wrong there.
        what: String,
    },
    /// The text reads well, but is not a sound board.
    #[error("{name}, line {line}: {source}")]
    Unsound {
        /// The file.
        name: String,
        /// Line in which the family or swatch begins, counted from 1.
        line: usize,
        /// What is wrong with it.
        source: BoardError,
    },
    /// A board that would not be read again was to be written.
    #[error("the board is not written to {name}: {source}")]
    Refused {
        /// The file.
        name: String,
        /// What is wrong with it.
        source: BoardError,
    },
    /// The board cannot be turned into text; no board that [`check`](super::check::check) lets through is known to do so.
    #[error("the board cannot be written as text: {0}; write it as .css or .json instead")]
    Unwritable(#[source] ron::Error),
    /// The board has no name, or one of blanks only. (In a study a board may wait for its name.)
    #[error("the board in {name} has no name; give it one")]
    NoName {
        /// The file.
        name: String,
    },
}

/// A board as it is written: the format first, so that it can be told before anything else is understood.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Board")]
struct BoardText {
    format: u32,
    name: String,
    light: LightOfDay,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    date: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    photo: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    dismissed: Vec<Subject>,
    families: Vec<Family>,
}

/// Reads a board file.
///
/// # Errors
/// When the file cannot be read, or for any reason of [`parse_board`].
pub fn read_board(path: &Path) -> Result<Board, BoardFileError> {
    let failed = |source| BoardFileError::Read { path: path.to_owned(), source };
    let name = path.display().to_string();
    let bytes = disk::read_bounded(path, MAX_BYTES).map_err(|source| match source.kind() {
        io::ErrorKind::FileTooLarge => BoardFileError::TooLong { name: name.clone() },
        _ => failed(source),
    })?;
    match std::str::from_utf8(&bytes) {
        Ok(text) => parse_board(text, &name),
        Err(e) => {
            let before = bytes.iter().take(e.valid_up_to());
            Err(BoardFileError::NotText { name, line: 1 + before.filter(|&&b| b == b'\n').count() })
        }
    }
}

/// Writes a board file, whole or not at all, in place of one that is there: [`place_board`] with [`Replace::Asked`].
///
/// # Errors
/// As for [`place_board`].
pub fn write_board(path: &Path, board: &Board) -> Result<(), BoardFileError> {
    place_board(path, board, Replace::Asked)
}

/// Writes a board file, whole or not at all. `replace` says whether a file that is there may give way.
///
/// # Errors
/// When the board is not sound or has no name, or the file cannot be written.
pub fn place_board(path: &Path, board: &Board, replace: Replace) -> Result<(), BoardFileError> {
    let name = path.display().to_string();
    if board.name.trim().is_empty() {
        return Err(BoardFileError::NoName { name });
    }
    check(board).map_err(|source| BoardFileError::Refused { name, source })?;
    let refused = |source| BoardFileError::Write { path: path.to_owned(), source };
    let text = board_text(board)?;
    disk::place(path, replace, refused, |file| file.write_all(text.as_bytes()).map_err(refused))
}

/// Reads a board from its text; `name` is what messages call it.
///
/// # Errors
/// When the format is a newer one, the text is not that of a board, or the board is not sound. Messages name the line.
pub fn parse_board(text: &str, name: &str) -> Result<Board, BoardFileError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let wrong = |error: ron::error::SpannedError| BoardFileError::Text {
        name: name.to_owned(),
        line: error.span.start.line,
        column: error.span.start.col,
        what: error.code.to_string(),
    };
    let text = VERSIONS.upgrade_text(text, "Board").map_err(|error| match error {
        TextVersionError::Text(error) => wrong(error),
        TextVersionError::Version(source) => BoardFileError::Version { name: name.to_owned(), source },
    })?;
    let BoardText { format: _, name: board_name, light, date, photo, dismissed, families } =
        ron::from_str(&text).map_err(wrong)?;
    let board = Board { name: board_name, light, date, photo, dismissed, families };
    if board.name.trim().is_empty() {
        return Err(BoardFileError::NoName { name: name.to_owned() });
    }
    match check(&board) {
        Ok(()) => Ok(board),
        Err(source) => {
            let line = line_of(&text, &source.place).unwrap_or(1);
            Err(BoardFileError::Unsound { name: name.to_owned(), line, source })
        }
    }
}

/// The text of a board, one line a swatch, with a line end at the end.
///
/// # Errors
/// [`BoardFileError::Unwritable`] when the format has no text for it.
pub fn board_text(board: &Board) -> Result<String, BoardFileError> {
    let Board { name, light, date, photo, dismissed, families } = board.clone();
    let text = BoardText { format: FORMAT, name, light, date, photo, dismissed, families };
    // Names in every script stay readable: as they are, not escaped. Four levels in, a swatch, is one line.
    let style = ron::ser::PrettyConfig::new().new_line("\n").depth_limit(4).escape_strings(false);
    let mut text = ron::ser::to_string_pretty(&text, style).map_err(BoardFileError::Unwritable)?;
    text.push('\n');
    Ok(text)
}
