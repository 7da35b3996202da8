//! Why a board could not be read from another format.

use crate::board::check::BoardError;

/// What is wrong with a text that should hold a board. The name of the file is for whoever opened it to say.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum ExchangeError {
    /// Something in a line.
    #[error("line {line}: {what}")]
    Line {
        /// The line, counted from 1.
        line: usize,
        /// What is wrong there and what to do.
        what: String,
    },
    /// Something in a token.
    #[error("the token {token}: {what}")]
    Token {
        /// Names of its groups and of itself, joined by dots.
        token: String,
        /// What is wrong with it and what to do.
        what: String,
    },
    /// The text is longer than any board ([`MAX_BYTES`](crate::board::file::MAX_BYTES)).
    #[error("it is longer than any board; choose a file with the colours of one board")]
    TooLong,
    /// There is nothing in it that could be a swatch.
    #[error("it holds no colours; choose a file that names colours")]
    NoColours,
    /// Notes that a newer Stint left for itself.
    #[error("it was made by a newer Stint (format {found}, this one reads {known}); update the program to read it")]
    Newer {
        /// Their format.
        found: u32,
        /// The newest that is known.
        known: u32,
    },
    /// The text reads well, but does not make a sound board.
    #[error("it makes no sound board: {0}")]
    Unsound(#[from] BoardError),
}
