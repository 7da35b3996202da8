//! What the command line can fail with; each text says what to do next.

use crate::files::board_file::BoardAnyError;
use crate::files::kind::KindError;
use crate::files::library::LibraryError;
use crate::files::memory_record::RecordError;
use crate::files::progress_file::ProgressFileError;
use crate::files::replace::Refusal;
use crate::study::demo::DemoError;
use crate::study::script::ScriptError;
use crate::study::session::SessionError;
use std::path::PathBuf;
use stint_model::board::file::BoardFileError;
use stint_model::photo::{PhotoError, ProposeError, RegionError};
use stint_model::picture::PictureError;
use stint_model::study::file::StudyError;
use stint_model::variation::VariationError;
use stint_render::engine::EngineError;

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum CliError {
    /// Nothing to mix.
    #[error("the board of {} has no swatches; add some, or choose another", .0.display())]
    EmptyBoard(PathBuf),
    /// One command of a script failed.
    #[error("command {number} of {} ({label}) was refused: {source}; all strokes before it are kept in {}", script.display(), study.display())]
    Script {
        /// The script.
        script: PathBuf,
        /// Which command, from 1.
        number: usize,
        /// What it was.
        label: &'static str,
        /// The study.
        study: PathBuf,
        /// Why it failed.
        source: SessionError,
    },
    /// A study under another ending.
    #[error("{} does not end in .stint, and a study is what is written; choose a name with that ending", .0.display())]
    NotAStudyName(PathBuf),
    /// The file is of no kind that this command takes.
    #[error("{} is neither {wanted}; choose such a file", path.display())]
    WrongKind {
        /// The file.
        path: PathBuf,
        /// What it should be.
        wanted: &'static str,
    },
    /// A folder or file cannot be made.
    #[error("{} cannot be made ({source}); choose another place", path.display())]
    Make {
        /// The path.
        path: PathBuf,
        /// Why it failed.
        source: std::io::Error,
    },
    /// A file cannot be read.
    #[error("{} cannot be read ({source}); check the name", path.display())]
    Read {
        /// The path.
        path: PathBuf,
        /// Why it failed.
        source: std::io::Error,
    },
    /// Figures of studies cannot be written.
    #[error(transparent)]
    ProgressFile(#[from] ProgressFileError),
    /// It cannot be told what a file is.
    #[error(transparent)]
    Kind(#[from] KindError),
    /// There is no such file, and no kept board of that name.
    #[error("{} is no file, and no kept board is called so; check the name, or see stint board list", .0.display())]
    NoSuchBoard(PathBuf),
    /// The board has no such swatch.
    #[error("the board has no swatch \"{words}\"; it has {}", listed(swatches))]
    NoSuchSwatch {
        /// What was asked for.
        words: String,
        /// What there is.
        swatches: Vec<String>,
    },
    /// The record of guesses from memory.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// The library refused.
    #[error(transparent)]
    Library(#[from] LibraryError),
    /// The target exists.
    #[error("{} exists already; choose another name, or remove it first", .0.display())]
    Exists(PathBuf),
    /// Nothing may be written there.
    #[error(transparent)]
    Target(#[from] Refusal),
    /// An outline on the command line that is not one.
    #[error("the outline \"{0}\" is not understood; write NAME=x,y x,y x,y with photo pixels")]
    Outline(String),
    /// A number that no remark has.
    #[error("there is no remark {number}; this board has {last} with the dismissed ones, look at them with --all")]
    NoRemark {
        /// The number that was asked for.
        number: usize,
        /// How many there are.
        last: usize,
    },
    /// A remark that nothing was found for.
    #[error("there is no offer for remark {0}; change the board by hand, or take swatches off it first")]
    NoOffer(usize),
    /// A family with two distances.
    #[error("the family \"{0}\" is marked twice; give it one distance")]
    MarkedTwice(String),
    /// Standard output went away.
    #[error("the output cannot be written ({0})")]
    Output(#[from] std::io::Error),
    /// A value cannot be written as JSON.
    #[error("the output cannot be written as JSON ({0}); please report this")]
    Json(#[from] serde_json::Error),
    /// A script that cannot be read.
    #[error(transparent)]
    Text(#[from] ScriptError),
    /// The demo cannot be made.
    #[error(transparent)]
    Demo(#[from] DemoError),
    /// A variation out of range.
    #[error(transparent)]
    Variation(#[from] VariationError),
    /// The study refused.
    #[error(transparent)]
    Session(#[from] SessionError),
    /// The study file refused.
    #[error(transparent)]
    Study(#[from] StudyError),
    /// The board file refused.
    #[error(transparent)]
    Board(#[from] BoardFileError),
    /// No board can be read from a file, or written to one.
    #[error(transparent)]
    BoardAny(#[from] BoardAnyError),
    /// Arguments that only a photo can use.
    #[error("{} is no photo but a board already; leave out {argument}", path.display())]
    OnlyForPhotos {
        /// The file.
        path: PathBuf,
        /// The argument.
        argument: &'static str,
    },
    /// The photo cannot be read.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// No board can be proposed.
    #[error(transparent)]
    Propose(#[from] ProposeError),
    /// No board can be read from a picture of swatches.
    #[error(transparent)]
    SwatchSheet(#[from] stint_model::photo::SwatchSheetError),
    /// The picture cannot be tested against the board.
    #[error(transparent)]
    Against(#[from] stint_model::board_match::BoardMatchError),
    /// An outline gives no trio.
    #[error(transparent)]
    Region(#[from] RegionError),
    /// The picture cannot be read.
    #[error(transparent)]
    Picture(#[from] PictureError),
}

fn listed(names: &[String]) -> String {
    if names.is_empty() { "none".to_owned() } else { stint_model::printable::listed(names) }
}

impl CliError {
    /// The argument that does what the text advises, where there is one.
    pub fn argument(&self) -> Option<&'static str> {
        if let CliError::Target(refusal)
        | CliError::BoardAny(BoardAnyError::Target(refusal))
        | CliError::Session(SessionError::Target(refusal)) = self
        {
            return matches!(refusal, Refusal::Taken { .. }).then_some("--replace");
        }
        let (CliError::Session(session)
        | CliError::Script { source: session, .. }
        | CliError::Demo(DemoError::Session(session))) = self
        else {
            return None;
        };
        let SessionError::Engine(engine) = session else { return None };
        match engine {
            EngineError::NoDevice(_) | EngineError::DeviceLost(_) | EngineError::OutOfMemory(_) => Some("--engine cpu"),
            EngineError::Unreadable(_) | EngineError::ForeignTile => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_engine_is_advised_in_words_and_its_argument_comes_from_here() {
        let error = |engine| CliError::Session(SessionError::Engine(engine));
        for engine in [EngineError::NoDevice, EngineError::DeviceLost, EngineError::OutOfMemory] {
            let error = error(engine("for a reason".to_owned()));
            let text = error.to_string();
            assert!(text.contains("CPU engine") && !text.contains("--"), "{text}");
            assert_eq!(error.argument(), Some("--engine cpu"));
        }
        assert_eq!(error(EngineError::ForeignTile).argument(), None);
        assert_eq!(CliError::NoOffer(3).argument(), None);
    }
}
