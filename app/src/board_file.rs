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

use crate::card::{self, CardError};
use crate::open::stem;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use stint_model::board::Board;
use stint_model::board::check::{BoardError, check};
use stint_model::board::exchange::{ExchangeError, Incoming, css, tokens, write_text};
use stint_model::board::file::{BoardFileError, LONGEST, read_board, write_board};
use stint_model::picture::{PictureError, is_png, read_attached};
use stint_model::study::file::{StudyError, StudyFile};

/// First bytes of every SQLite 3 database (SQLite file format, section 1.3.1).
const DATABASE: &[u8] = b"SQLite format 3\0";
/// How much of a file is looked at to tell what it is, bytes.
const HEAD: u64 = 4096;

/// What a file is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BoardFileKind {
    /// A study, or another database; opening it tells.
    Study,
    /// A PNG that carries a board.
    Picture,
    /// Our own text.
    Ron,
    /// A style sheet, or declarations without a rule.
    Css,
    /// JSON.
    Tokens,
    /// An SVG, which is only to look at.
    Card,
    /// Anything else: perhaps a photo.
    Other,
}

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
    /// The name does not say in which form to write.
    #[error("{} ends in none of .board.ron, .css, .json, .svg and .png; choose one of these endings", .0.display())]
    NoForm(PathBuf),
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
    #[error(transparent)]
    Card(#[from] CardError),
}

/// What a file is, by its content; text that could be more than one thing by its name.
///
/// # Errors
/// When it cannot be read, or is a PNG that is cut short or whose board is damaged.
pub fn kind_of(path: &Path) -> Result<BoardFileKind, BoardAnyError> {
    let read = |source| BoardAnyError::Read { path: path.to_owned(), source };
    // Opening a pipe would wait for somebody to write into it. Whoever reads it as a photo says what it is.
    let told = std::fs::metadata(path).map_err(read)?;
    if !told.is_file() && !told.is_dir() {
        return Ok(BoardFileKind::Other);
    }
    let mut head = Vec::new();
    std::fs::File::open(path).map_err(read)?.take(HEAD).read_to_end(&mut head).map_err(read)?;
    let name = path.to_string_lossy().to_lowercase();
    if head.starts_with(DATABASE) || name.ends_with(".stint") {
        return Ok(BoardFileKind::Study);
    }
    if is_png(&head) {
        return match read_attached(path) {
            Ok(_) => Ok(BoardFileKind::Picture),
            Err(PictureError::NoBoard { .. }) => Ok(BoardFileKind::Other),
            Err(error) => Err(error.into()),
        };
    }
    Ok(text_kind(&head, &name))
}

fn text_kind(head: &[u8], name: &str) -> BoardFileKind {
    let is = |ending: &str| name.ends_with(ending);
    if is(".ron") {
        return BoardFileKind::Ron;
    }
    // The head may end within a letter.
    let text = match std::str::from_utf8(head) {
        Ok(text) => text,
        Err(error) if error.error_len().is_none() => {
            std::str::from_utf8(&head[..error.valid_up_to()]).unwrap_or_default()
        }
        Err(_) => "",
    };
    let text = text.trim_start_matches('\u{feff}').trim_start();
    let behind = |start: &str| text.strip_prefix(start).map(str::trim_start);
    // An object of JSON begins with a name; a rule of CSS never begins with a bracket.
    if behind("{").is_some_and(|rest| rest.is_empty() || rest.starts_with(['"', '}'])) {
        BoardFileKind::Tokens
    } else if behind("(").is_some() || behind("Board").is_some_and(|rest| rest.starts_with('(')) {
        BoardFileKind::Ron
    } else if is(".json") || is(".tokens") {
        BoardFileKind::Tokens
    } else if is(".css") {
        BoardFileKind::Css
    } else if is(".svg") || text.starts_with("<svg") {
        BoardFileKind::Card
    } else if declares_property(text) {
        BoardFileKind::Css
    } else {
        BoardFileKind::Other
    }
}

/// Whether there is something like `--brick-shadow:` in a text.
fn declares_property(text: &str) -> bool {
    text.match_indices("--").any(|(at, _)| {
        let rest = &text[at + 2..];
        let end = rest.find(|c: char| c.is_whitespace() || matches!(c, ':' | ';' | '{' | '}'));
        end.is_some_and(|end| end > 0 && rest[end..].trim_start().starts_with(':'))
    })
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
        BoardFileKind::Study => StudyFile::open_read_only(path).map_err(Box::new)?.document().board.clone(),
        BoardFileKind::Picture => read_attached(path)?.board,
        BoardFileKind::Ron => read_board(path)?,
        BoardFileKind::Css => return foreign(path, css::read),
        BoardFileKind::Tokens => return foreign(path, tokens::read),
        BoardFileKind::Card => return Err(BoardAnyError::OnlyToLookAt(path.to_owned())),
        BoardFileKind::Other => return Err(BoardAnyError::NoBoard(path.to_owned())),
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
    std::fs::File::open(path).map_err(failed)?.take(LONGEST + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > LONGEST {
        return Ok(None);
    }
    String::from_utf8(bytes).map(Some).map_err(|error| {
        let before = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = 1 + before.iter().filter(|&&b| b == b'\n').count();
        BoardAnyError::NotText { path: path.to_owned(), line }
    })
}

/// Writes a board in the form that the name of the file asks for, whole or not at all. A file that is there is replaced.
///
/// # Errors
/// [`BoardAnyError`]: when the name asks for no form, the board is not sound, or the file cannot be written.
pub fn write_any(path: &Path, board: &Board) -> Result<(), BoardAnyError> {
    let form = form_of(path).ok_or_else(|| BoardAnyError::NoForm(path.to_owned()))?;
    check(board).map_err(|source| BoardAnyError::Refused { path: path.to_owned(), source })?;
    let text = match form {
        BoardFileKind::Ron => return Ok(write_board(path, board)?),
        BoardFileKind::Picture => return Ok(card::write(path, board)?),
        BoardFileKind::Css => css::to_css(board),
        BoardFileKind::Tokens => tokens::to_tokens(board),
        _ => stint_model::board::exchange::card::svg(board),
    };
    write_text(path, &text).map_err(|source| BoardAnyError::Write { path: path.to_owned(), source })
}

/// The form that a name asks for.
pub fn form_of(path: &Path) -> Option<BoardFileKind> {
    let name = path.to_string_lossy().to_lowercase();
    let forms = [
        (".ron", BoardFileKind::Ron),
        (".css", BoardFileKind::Css),
        (".json", BoardFileKind::Tokens),
        (".tokens", BoardFileKind::Tokens),
        (".svg", BoardFileKind::Card),
        (".png", BoardFileKind::Picture),
    ];
    forms.into_iter().find(|(ending, _)| name.ends_with(ending)).map(|(_, form)| form)
}

/// Whether the file there is a board that Stint wrote in the form its name asks for, and so may give way to a newer one. A
/// style sheet or a list of tokens by somebody else may not.
pub fn is_ours(path: &Path) -> bool {
    let has = |mark: &str| text_of(path).is_ok_and(|text| text.is_some_and(|text| text.contains(mark)));
    match form_of(path) {
        Some(BoardFileKind::Ron) => read_board(path).is_ok(),
        Some(BoardFileKind::Picture) => read_attached(path).is_ok(),
        Some(BoardFileKind::Css) => has("--board-format:"),
        Some(BoardFileKind::Tokens) => has("\"stint\":"),
        Some(BoardFileKind::Card) => has("<desc>A board of Stint: "),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_told_by_what_is_in_it() {
        use BoardFileKind::{Card, Css, Other, Ron, Tokens};
        for (text, name, kind) in [
            ("{\"a\": 1}", "a.css", Tokens),
            (" \n{ \"a\": 1}", "a.txt", Tokens),
            ("[1]", "a.json", Tokens),
            ("(format: 2,", "a.txt", Ron),
            ("Board (", "a", Ron),
            ("", "a.board.ron", Ron),
            ("{", "a.board.ron", Ron),
            (":root { --a: red }", "a.txt", Css),
            ("--wet-yard-shadow : red", "a", Css),
            ("body { color: red }", "a.css", Css),
            ("\u{feff}--門: red", "a", Css),
            ("<svg xmlns", "a", Card),
            ("<?xml", "a.svg", Card),
            ("a -- b: c", "a.txt", Other),
            ("hello", "a.jpg", Other),
            ("", "a", Other),
        ] {
            assert_eq!(text_kind(text.as_bytes(), name), kind, "{text:?} {name}");
        }
        assert_eq!(text_kind(b"\xff\xd8--a:", "a.jpg"), Other);
        assert_eq!(text_kind(b"--a: red; \xe9\x9b", "a"), Css);
    }
}
