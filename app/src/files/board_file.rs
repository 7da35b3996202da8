//! Boards in files of every kind: what a file holds is told by its content, what is written by its name.
//!
//! | ending | form | read | written |
//! | --- | --- | --- | --- |
//! | `.board.ron` | our own text | yes | yes |
//! | `.css` | CSS custom properties | yes | yes |
//! | `.json` | design tokens | yes | yes |
//! | `.svg` | a card to look at | no | yes |
//! | `.png` | a card to look at with the board inside, or an exported study | yes | yes, a card |
//! | `.stint` | a study, whose board is read | yes | no |

use super::kind::{FileKind, KindError, OutputForm, form_of, kind_of};
use super::names::stem;
use super::replace::{Refusal, Writes, may_write};
#[cfg(not(target_arch = "wasm32"))]
use crate::files::card::{self, CardError};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use stint_model::board::Board;
use stint_model::board::check::{BoardError, check};
use stint_model::board::exchange::{ExchangeError, Incoming, css, tokens, write_text};
use stint_model::board::file::{BoardFileError, MAX_BYTES, place_board, read_board};
use stint_model::disk::{self, Replace};
use stint_model::picture::{PictureError, read_attached};
use stint_model::study::file::{StudyError, StudyFile};

/// Why no board was read from a file, or written to one.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BoardAnyError {
    /// The file cannot be read.
    #[error("{} cannot be read ({source}); check the name", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file cannot be written; one that was there before is as it was.
    #[error("{} cannot be written ({source}); choose another folder, or make room", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file holds no board that Stint knows of.
    #[error(
        "{} is neither a board (.board.ron, .css, .json), a study (.stint), nor a PNG exported by Stint; choose such a file",
        .0.display()
    )]
    NoBoard(PathBuf),
    /// A card in SVG.
    #[error("{} is a card to look at; choose the board as .board.ron, .css, .json or .png instead", .0.display())]
    OnlyToLookAt(PathBuf),
    /// Nothing may be written there.
    #[error(transparent)]
    Target(#[from] Refusal),
    /// The file is not UTF-8.
    #[error("{}, line {line}: not UTF-8 text; save it as UTF-8", path.display())]
    NotText {
        /// The file.
        path: PathBuf,
        /// The line that stops being text, counted from 1.
        line: usize,
    },
    /// The text does not give a board.
    #[error("{}: {source}", path.display())]
    Exchange {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        source: ExchangeError,
    },
    /// A board that would not be read again was to be written.
    #[error("the board is not written to {}: {source}", path.display())]
    Refused {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        source: BoardError,
    },
    /// The file cannot be told.
    #[error(transparent)]
    Kind(#[from] KindError),
    /// The board file is not sound.
    #[error(transparent)]
    Ron(#[from] BoardFileError),
    /// The study cannot be opened.
    #[error(transparent)]
    Study(#[from] Box<StudyError>),
    /// The picture cannot be read.
    #[error(transparent)]
    Picture(#[from] PictureError),
    /// The card cannot be made.
    #[cfg(not(target_arch = "wasm32"))]
    #[error(transparent)]
    Card(#[from] CardError),
}

/// The board of a file of any kind.
///
/// # Errors
/// [`BoardAnyError`]: when the file holds no board, or is damaged.
pub fn read_any(path: &Path) -> Result<Board, BoardAnyError> {
    Ok(read_telling(path)?.board)
}

/// The board of a file of any kind, with what was left out of it.
///
/// # Errors
/// As [`read_any`].
pub fn read_telling(path: &Path) -> Result<Incoming, BoardAnyError> {
    let board = match kind_of(path)? {
        FileKind::Study => StudyFile::open_read_only(path).map_err(Box::new)?.document().board.clone(),
        FileKind::Picture => read_attached(path)?.board,
        FileKind::Ron => read_board(path)?,
        FileKind::Css => return foreign(path, css::read),
        FileKind::Tokens => return foreign(path, tokens::read),
        FileKind::Card => return Err(BoardAnyError::OnlyToLookAt(path.to_owned())),
        FileKind::Other => return Err(BoardAnyError::NoBoard(path.to_owned())),
    };
    Ok(Incoming { board, left_out: 0, made_opaque: 0 })
}

type Reader = fn(&str, &str) -> Result<Incoming, ExchangeError>;

fn foreign(path: &Path, read: Reader) -> Result<Incoming, BoardAnyError> {
    let exchange = |source| BoardAnyError::Exchange { path: path.to_owned(), source };
    let text = text_of(path)?.ok_or_else(|| exchange(ExchangeError::TooLong))?;
    // `depot.tokens.json` holds the board "depot".
    let name = stem(path);
    read(&text, name.strip_suffix(".tokens").unwrap_or(&name)).map_err(exchange)
}

/// The text of a file; none when it is longer than any board.
fn text_of(path: &Path) -> Result<Option<String>, BoardAnyError> {
    let failed = |source| BoardAnyError::Read { path: path.to_owned(), source };
    let mut bytes = Vec::new();
    // Not by the length the system tells: a pipe has none.
    disk::open(path).map_err(failed)?.take(MAX_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > MAX_BYTES {
        return Ok(None);
    }
    String::from_utf8(bytes).map(Some).map_err(|error| {
        let before = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = 1 + before.iter().filter(|&&b| b == b'\n').count();
        BoardAnyError::NotText { path: path.to_owned(), line }
    })
}

/// Writes a board in the form that the name of the file asks for, whole or not at all. `replace` says whether a file that is
/// there may give way.
///
/// # Errors
/// [`BoardAnyError`]: when the name asks for no form or is taken, the board is not sound, or the file cannot be written.
pub fn write_any(path: &Path, board: &Board, replace: Replace) -> Result<(), BoardAnyError> {
    may_write(path, Writes::Board, replace)?;
    let form = form_of(path).ok_or_else(|| Refusal::NoForm(path.to_owned()))?;
    check(board).map_err(|source| BoardAnyError::Refused { path: path.to_owned(), source })?;
    let text = match form {
        OutputForm::Ron => return Ok(place_board(path, board, replace)?),
        #[cfg(not(target_arch = "wasm32"))]
        OutputForm::Png => return Ok(card::write(path, board, replace)?),
        // A page draws no picture from a card: every browser shows the card itself.
        #[cfg(target_arch = "wasm32")]
        OutputForm::Png => {
            let source = io::Error::other("here a card to look at is written as .svg");
            return Err(BoardAnyError::Write { path: path.to_owned(), source });
        }
        OutputForm::Css => css::to_css(board),
        OutputForm::Tokens => tokens::to_tokens(board),
        OutputForm::Svg => stint_model::board::exchange::card::svg(board),
    };
    write_text(path, &text, replace).map_err(|source| BoardAnyError::Write { path: path.to_owned(), source })
}
