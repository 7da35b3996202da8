//! Scripts: a study written down as a canvas and a list of commands, in RON.

use crate::study::command::Command;
use serde::{Deserialize, Serialize};
use std::io;
use std::path::{Path, PathBuf};
use stint_model::board::{Board, LightOfDay};
use stint_model::disk;
use stint_model::format::{TextStep, TextVersionError, VersionError, Versions};
use stint_model::study::Document;
use stint_model::study::document::CanvasSizeError;

/// The script format this program writes.
pub const FORMAT: u32 = VERSIONS.current();
const VERSIONS: Versions<TextStep> = Versions::new(&[]);
/// Longest script that is read, in bytes. A long stroke takes about 10,000.
pub const MAX_BYTES: u64 = 256 << 20;

/// A script.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Script {
    /// [`FORMAT`].
    pub format: u32,
    /// Canvas width in pixels.
    pub width: u32,
    /// Canvas height in pixels.
    pub height: u32,
    /// Name of the board, which starts empty.
    pub board: String,
    /// Its light of the day.
    #[serde(default)]
    pub light: LightOfDay,
    /// What is done.
    pub commands: Vec<Command>,
}

/// Why a script cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum ScriptError {
    /// The file cannot be read.
    #[error("the script {} cannot be read ({source}); check the name", path.display())]
    Read {
        /// The script.
        path: PathBuf,
        /// Why it failed.
        source: io::Error,
    },
    /// The text is no script.
    #[error("line {line} of the script {} is not understood ({what}); mend it there", path.display())]
    Text {
        /// The script.
        path: PathBuf,
        /// Line, from 1.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// A format of a later program, or one that there never was.
    #[error("the script {} {source}", path.display())]
    Version {
        /// The script.
        path: PathBuf,
        /// Which of the two.
        source: VersionError,
    },
    /// A board without a name.
    #[error("the board of the script {} has no name; give it one", path.display())]
    NoName {
        /// The script.
        path: PathBuf,
    },
    /// A canvas that cannot be made.
    #[error("the script {} asks too much: {source}", path.display())]
    Size {
        /// The script.
        path: PathBuf,
        /// Why it failed.
        source: CanvasSizeError,
    },
}

/// Reads a script.
///
/// # Errors
/// When the file cannot be read, and as [`parse`].
pub fn read(path: &Path) -> Result<Script, ScriptError> {
    let failed = |source| ScriptError::Read { path: path.to_owned(), source };
    let bytes = disk::read_bounded(path, MAX_BYTES).map_err(failed)?;
    let text = String::from_utf8(bytes).map_err(|e| failed(io::Error::new(io::ErrorKind::InvalidData, e)))?;
    parse(&text, path)
}

/// Reads a script from its text; `path` is what messages call it.
///
/// # Errors
/// When the script is of a later format, or is not understood (the text names the line), or no study can start from it.
pub fn parse(text: &str, path: &Path) -> Result<Script, ScriptError> {
    let wrong = |e: ron::error::SpannedError| ScriptError::Text {
        path: path.to_owned(),
        line: e.span.start.line,
        what: e.code.to_string(),
    };
    let text = VERSIONS.upgrade_text(text, "Script").map_err(|error| match error {
        TextVersionError::Text(error) => wrong(error),
        TextVersionError::Version(source) => ScriptError::Version { path: path.to_owned(), source },
    })?;
    let script: Script = ron::from_str(&text).map_err(wrong)?;
    let path = path.to_owned();
    if script.board.trim().is_empty() {
        return Err(ScriptError::NoName { path });
    }
    match Document::new(script.width, script.height, Board::new(&script.board, script.light)) {
        Ok(_) => Ok(script),
        Err(source) => Err(ScriptError::Size { path, source }),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn read_text(text: &str) -> Result<Script, ScriptError> {
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), text).unwrap();
        read(file.path())
    }

    #[test]
    fn unknown_fields_are_named_at_every_depth() {
        let good = "(format: 1, width: 10, height: 20, board: \"b\", commands: [\n\
                    Load(Swatch(family: \"a\", role: Light)),\n\
                    Brush((size: 44.0, hardness: 0.7, strength: 0.6, spacing: 0.1, pressure_size: true, pressure_strength: false)),\n])";
        read_text(good).unwrap();
        for place in ["width: 10", "role: Light", "size: 44.0"] {
            let text = read_text(&good.replace(place, &format!("gloss: 3, {place}"))).unwrap_err().to_string();
            assert!(text.contains("gloss"), "{text}");
        }
    }

    #[test]
    fn a_script_reads_and_faults_name_their_line() {
        let good = "(format: 1, width: 10, height: 20, board: \"b\", commands: [\n Undo,\n Load(Id(3)),\n])";
        assert_eq!(read_text(good).unwrap().commands.len(), 2);
        let text = read_text(&good.replace("Undo", "Undoo")).unwrap_err().to_string();
        assert!(text.contains("line 2") && text.contains("Undoo"), "{text}");
        let text = read_text(&good.replace("format: 1", "format: 9, extra: 2")).unwrap_err().to_string();
        assert!(text.contains("format 9"), "{text}");
        for (from, to, word) in [
            ("format: 1", "format: 0", "format 0, which there never was"),
            ("board: \"b\"", "board: \" \"", "has no name"),
            ("width: 10", "width: 0", "0 x 20 px cannot be made"),
            ("height: 20", "height: 16385", "10 x 16385 px cannot be made"),
        ] {
            let text = read_text(&good.replace(from, to)).unwrap_err().to_string();
            assert!(text.contains(word), "{text}");
        }
    }
}
