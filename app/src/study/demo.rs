//! The demo: the shipped scene and the script of a whole study on it, for the command line and the start page.

use crate::study::command::Command;
use crate::study::script::{self, Script, ScriptError};
use crate::study::session::{Session, SessionError};
use std::path::{Path, PathBuf};
use stint_model::board::Board;
use stint_model::disk;
use stint_render::choose::EngineChoice;

/// File name of the script.
pub const SCRIPT_NAME: &str = "tram_depot.ron";
/// File name of the photo.
pub const PHOTO_NAME: &str = "tram_depot.jpg";
const SCRIPT: &str = include_str!("../../../assets/demo/tram_depot.ron");
#[cfg(not(target_arch = "wasm32"))]
const PHOTO: &[u8] = include_bytes!("../../../assets/demo/tram_depot.jpg");
/// On the page the photo is a file of its own, which comes when the program is there: a tenth of what would be loaded.
#[cfg(target_arch = "wasm32")]
static BROUGHT: std::sync::OnceLock<Result<Vec<u8>, String>> = std::sync::OnceLock::new();

/// The photo, or why it cannot be had, came from the document.
#[cfg(target_arch = "wasm32")]
pub fn photo_arrived(photo: Result<Vec<u8>, String>) {
    // A second one changes nothing.
    let _ = BROUGHT.set(photo);
}

/// The photo; none while it is on its way.
fn photo() -> Option<Result<&'static [u8], DemoError>> {
    #[cfg(target_arch = "wasm32")]
    return BROUGHT.get().map(|photo| photo.as_deref().map_err(|why| DemoError::Photo(why.clone())));
    #[cfg(not(target_arch = "wasm32"))]
    Some(Ok(PHOTO))
}

/// Why the demo could not be made.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// Its files cannot be written.
    #[error("{} cannot be made ({source}); choose another place", path.display())]
    Write {
        /// The file or folder.
        path: PathBuf,
        /// Why it failed.
        source: std::io::Error,
    },
    /// Its photo is not there, on a page without a network.
    #[cfg(target_arch = "wasm32")]
    #[error("the photo of the demo cannot be loaded ({0}); load the page anew when there is a network")]
    Photo(String),
    /// Its script is not understood: a fault of the program.
    #[error(transparent)]
    Script(#[from] ScriptError),
    /// A command was refused.
    #[error(transparent)]
    Session(#[from] SessionError),
}

/// The script of the demo.
///
/// # Errors
/// Only for a program that was built from damaged files.
pub fn script(folder: &Path) -> Result<Script, DemoError> {
    Ok(script::parse(SCRIPT, &folder.join(SCRIPT_NAME))?)
}

/// Writes script and photo into a folder, which is made if need be. Half a file is never left behind.
///
/// # Errors
/// When the folder cannot be written, or there is no photo.
pub fn unpack(folder: &Path) -> Result<(), DemoError> {
    let Some(photo) = photo().transpose()? else { return Ok(()) };
    let refused = |path: &Path, source| DemoError::Write { path: path.to_owned(), source };
    disk::create_dir_all(folder).map_err(|e| refused(folder, e))?;
    for (name, bytes) in [(SCRIPT_NAME, SCRIPT.as_bytes()), (PHOTO_NAME, photo)] {
        let path = folder.join(name);
        disk::write(&path, bytes).map_err(|e| {
            let _ = disk::remove_file(&path);
            refused(&path, e)
        })?;
    }
    Ok(())
}

/// A file in a folder that is not what the demo writes under its name, where [`unpack`] would replace one.
pub fn in_the_way(folder: &Path) -> Option<PathBuf> {
    let photo = photo().and_then(Result::ok).unwrap_or_default();
    let shipped = [(SCRIPT_NAME, SCRIPT.as_bytes()), (PHOTO_NAME, photo)];
    let mut paths = shipped.into_iter().map(|(name, bytes)| (folder.join(name), bytes));
    let other = paths.find(|(path, bytes)| {
        disk::is_taken(path) && disk::read_bounded(path, bytes.len() as u64).map_or(true, |there| there != *bytes)
    });
    other.map(|(path, _)| path)
}

/// Whether its photo is there, or will never be.
pub fn is_ready() -> bool {
    photo().is_some()
}

/// Plays the demo into a new study at `path`, with its files in `folder`.
///
/// # Errors
/// When a file cannot be written or a command is refused.
pub fn play(folder: &Path, path: &Path, choice: EngineChoice) -> Result<Session, DemoError> {
    let mut playing = Playing::begin(folder, path, choice)?;
    while playing.step()? {}
    Ok(playing.end())
}

/// The demo on its way into a study, a command at a time.
pub struct Playing {
    session: Session,
    commands: std::vec::IntoIter<Command>,
}

impl Playing {
    /// Makes the study, with nothing on it.
    ///
    /// # Errors
    /// When a file cannot be written.
    pub fn begin(folder: &Path, path: &Path, choice: EngineChoice) -> Result<Self, DemoError> {
        unpack(folder)?;
        let script = script(folder)?;
        let board = Board::new(&script.board, script.light);
        let mut session = Session::create(path, (script.width, script.height), board, choice)?;
        session.set_folder(folder);
        session.count_time(false);
        Ok(Playing { session, commands: script.commands.into_iter() })
    }

    /// Does the next command; tells whether there was one.
    ///
    /// # Errors
    /// When it is refused.
    pub fn step(&mut self) -> Result<bool, DemoError> {
        let Some(command) = self.commands.next() else { return Ok(false) };
        self.session.apply(&command)?;
        Ok(true)
    }

    /// The study as far as it was played.
    pub fn end(mut self) -> Session {
        self.session.count_time(true);
        self.session
    }
}
