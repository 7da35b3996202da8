//! What is read from outside, as functions of bytes: the fuzzers of `tests/fuzz` call them for hours, `tests/tests/studies/fuzzed.rs` for
//! seconds. Whatever the bytes are, a target neither panics nor lets anything through that does not hold: what was read can be written
//! and comes back the same, and what is refused is refused in a message of bounded length.

mod archive;
mod boards;
pub mod mutation;
mod photo;
mod picture;
mod program;
mod study;

use std::fmt::Display;
use std::path::{Path, PathBuf};

/// One way in.
#[derive(Clone, Copy, Debug)]
pub struct Target {
    /// Its name; the folder of its kept inputs is called so too.
    pub name: &'static str,
    /// Reads bytes.
    ///
    /// # Panics
    /// When something does not hold.
    pub run: fn(&[u8]),
    /// Sound inputs to begin with.
    pub seeds: fn() -> Vec<Vec<u8>>,
}

/// All of them.
pub const TARGETS: [Target; 9] = [
    Target { name: "study", run: study::run, seeds: study::seeds },
    Target { name: "board", run: boards::ron, seeds: boards::ron_seeds },
    Target { name: "picture", run: picture::run, seeds: picture::seeds },
    Target { name: "photo", run: photo::run, seeds: photo::seeds },
    Target { name: "script", run: program::script, seeds: program::script_seeds },
    Target { name: "css", run: boards::css, seeds: boards::css_seeds },
    Target { name: "tokens", run: boards::tokens, seeds: boards::token_seeds },
    Target { name: "keys", run: program::key_file, seeds: program::key_seeds },
    Target { name: "archive", run: archive::run, seeds: archive::seeds },
];

/// The target of a name.
///
/// # Panics
/// When there is none.
pub fn target(name: &str) -> Target {
    *TARGETS.iter().find(|target| target.name == name).expect("the table has every target")
}

/// Inputs that once did harm, and stay: `tests/data/fuzz/NAME`.
///
/// # Panics
/// When a file of them cannot be read.
pub fn kept(target: Target) -> Vec<(PathBuf, Vec<u8>)> {
    files(&data(&format!("fuzz/{}", target.name)))
}

fn data(name: &str) -> PathBuf {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/data")).join(name)
}

/// The files of a folder with what is in them, sorted by name; none when there is no such folder.
fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<_> = entries.map(|entry| entry.expect("test data can be read").path()).collect();
    paths.retain(|path| path.is_file());
    paths.sort();
    let read = |path: PathBuf| {
        let bytes = std::fs::read(&path).expect("test data can be read");
        (path, bytes)
    };
    paths.into_iter().map(read).collect()
}

/// Longest message that a refusal may have, in bytes. Names of files come on top.
const LONGEST_MESSAGE: usize = 4000;

/// What was read, or nothing when it was refused in a message that people can read.
fn read<T, E: Display>(result: Result<T, E>) -> Option<T> {
    match result {
        Ok(value) => Some(value),
        Err(error) => {
            let message = error.to_string();
            assert!(!message.trim().is_empty(), "a refusal says why");
            assert!(message.len() <= LONGEST_MESSAGE, "a message of {} bytes: {message:.200}", message.len());
            None
        }
    }
}

/// Bytes as text, up to the first that is none.
fn text(bytes: &[u8]) -> &str {
    match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default(),
    }
}
