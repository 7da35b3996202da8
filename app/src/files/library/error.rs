//! What the library can fail with; each text says what to do next.

use std::path::PathBuf;
use stint_model::board::file::BoardFileError;

/// Most names that a message lists.
const MAX_LISTED: usize = 8;

/// Why the library refused.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LibraryError {
    /// A board without a name.
    #[error("the board has no name; give it one to keep it")]
    NoName,
    /// Another board has the name.
    #[error("a kept board is called \"{0}\" already; choose another name")]
    Taken(String),
    /// No board has the name.
    #[error("no kept board is called \"{name}\"; {}", there_are(names))]
    NoSuch {
        /// What was asked for.
        name: String,
        /// What there is.
        names: Vec<String>,
    },
    /// Nothing discarded has the name.
    #[error("no discarded board is called \"{name}\"; {}", there_are(names))]
    NotDiscarded {
        /// What was asked for.
        name: String,
        /// What there is.
        names: Vec<String>,
    },
    /// Several boards have the name.
    #[error("several kept boards are called \"{name}\"; name the file instead: {}", listed(files))]
    Several {
        /// What was asked for.
        name: String,
        /// Their files.
        files: Vec<String>,
    },
    /// The file went away meanwhile.
    #[error("the kept board {} is not there any more; look at the list again", .0.display())]
    Gone(PathBuf),
    /// The file is not a board.
    #[error("{0}")]
    Broken(String),
    /// The folder cannot be made or read.
    #[error("the folder of kept boards {} cannot be used ({source}); check its permissions", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file cannot be written.
    #[error("{} cannot be written ({source}); make room, or check the permissions of its folder", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file cannot be moved.
    #[error("{} cannot be moved ({source}); check the permissions of its folder", path.display())]
    Move {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The board cannot be written.
    #[error(transparent)]
    Board(#[from] BoardFileError),
}

fn listed(names: &[String]) -> String {
    let shown = names.iter().take(MAX_LISTED).map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(MAX_LISTED) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

fn there_are(names: &[String]) -> String {
    if names.is_empty() { "there is none yet".to_owned() } else { format!("there are {}", listed(names)) }
}
