//! Opening a file beside the window: a study, a new study from a photo or on the board of an exported picture, a photo for the open
//! study, the demo. The window goes on meanwhile.

use super::demo;
use super::opening::{
    NewCanvas, Openable, Place, again_name, discard, open_study, openable, study_again, study_from_photo,
    study_on_board_of,
};
use super::session::{DecodedPhoto, Session, SessionError};
use crate::base::folders;
use crate::base::jobs::{Job, Outcome, Progress};
use std::io;
use std::path::{Path, PathBuf};
use stint_model::disk;
use stint_render::choose::EngineChoice;

/// What is to be opened.
#[derive(Clone, PartialEq, Debug)]
pub enum ToOpen {
    /// A file, whatever it is.
    File {
        /// The file.
        path: PathBuf,
        /// The canvas of a study that a photo starts.
        canvas: NewCanvas,
        /// Where a photo goes.
        target: Target,
    },
    /// A new study without a photo, under a free name.
    Empty {
        /// Where the study goes.
        folder: PathBuf,
        /// Its name, to which a number is added where it is taken.
        name: String,
        /// Its canvas.
        canvas: NewCanvas,
    },
    /// A study that paints this one again without its photo, beside it.
    Again {
        /// The study that is painted again.
        path: PathBuf,
    },
    /// The demo, played into a study under a free name.
    Demo {
        /// Where its script and photo go.
        data: PathBuf,
        /// Where the study goes.
        folder: PathBuf,
        /// Its name, to which a number is added where it is taken.
        name: String,
    },
}

/// Where a photo goes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Target {
    /// Into a study of its own.
    NewStudy,
    /// Into the study that is open.
    OpenStudy,
}

/// What came of it.
pub enum OpenedFile {
    /// A session.
    Session {
        /// The open study.
        session: Box<Session>,
        /// Whether its file was made for it, and goes when nobody waits for it any more.
        is_new: bool,
    },
    /// A photo for the open study.
    Photo(Box<DecodedPhoto>),
}

/// Something that is being opened.
pub struct Opening {
    name: String,
    job: Job<Result<OpenedFile, String>>,
}

impl Opening {
    /// Begins to open something; `wake` is called when it is done.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn start(what: ToOpen, choice: EngineChoice, wake: impl FnOnce() + Send + 'static) -> io::Result<Self> {
        let name = match &what {
            ToOpen::File { path, .. } | ToOpen::Again { path } => {
                path.file_name().unwrap_or_default().to_string_lossy().into_owned()
            }
            ToOpen::Empty { name, .. } | ToOpen::Demo { name, .. } => name.clone(),
        };
        let work = move |progress: &Progress| {
            match open(&what, choice) {
                // Nobody waits for it any more: what was made for it goes.
                Ok(OpenedFile::Session { session, is_new: true }) if progress.is_cancelled() => {
                    discard(*session);
                    Err(String::new())
                }
                other => other,
            }
        };
        Ok(Opening { name, job: Job::start("open", wake, work)? })
    }

    /// What is being opened.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What came of it, once. Never waits.
    pub fn poll(&self) -> Outcome<Result<OpenedFile, String>> {
        self.job.poll()
    }

    /// Waits for what comes of it; `None` when the thread died.
    pub fn wait(self) -> Option<Result<OpenedFile, String>> {
        self.job.wait()
    }
}

fn open(what: &ToOpen, choice: EngineChoice) -> Result<OpenedFile, String> {
    match what {
        ToOpen::Demo { data, folder, name } => {
            let session = demo::play(data, &free_study(folder, name), choice).map_err(|error| error.to_string())?;
            Ok(OpenedFile::Session { session: Box::new(session), is_new: false })
        }
        ToOpen::Empty { folder, name, canvas } => {
            let session = canvas.create(&free_study(folder, name), None, name, choice).map_err(|e| e.to_string())?;
            Ok(OpenedFile::Session { session: Box::new(session), is_new: true })
        }
        ToOpen::Again { path } => {
            let mut session =
                study_again(path, Place::Beside(&again_name(path)), choice).map_err(|error| error.to_string())?;
            // Decoded here and not when it is opened on purpose; whoever shows it says why it cannot be.
            let _ = session.decode_photo();
            Ok(OpenedFile::Session { session: Box::new(session), is_new: true })
        }
        ToOpen::File { path, canvas, target } => file(path, canvas, *target, choice).map_err(|error| error.to_string()),
    }
}

fn file(path: &Path, canvas: &NewCanvas, target: Target, choice: EngineChoice) -> Result<OpenedFile, SessionError> {
    let session = |session: Session, is_new: bool| OpenedFile::Session { session: Box::new(session), is_new };
    Ok(match openable(path)? {
        Openable::Study => {
            let mut study = open_study(path, choice)?;
            // Decoded here and not when it is first shown; whoever shows it says why it cannot be.
            let _ = study.decode_photo();
            session(study, false)
        }
        Openable::Picture(attached) => session(study_on_board_of(&attached, Place::Beside(path), choice)?, true),
        Openable::Photo if target == Target::OpenStudy => OpenedFile::Photo(Box::new(DecodedPhoto::read(path)?)),
        Openable::Photo => session(study_from_photo(path, Place::Beside(path), canvas, choice)?, true),
    })
}

/// A free name for a study in a folder, or among the user's documents where that folder is not there.
fn free_study(folder: &Path, name: &str) -> PathBuf {
    let folder = if disk::is_dir(folder) { folder.to_owned() } else { folders::documents() };
    disk::free_name(&folder, name, ".stint")
}
