//! Opening a file beside the window: a study, a new study from a photo or on the board of an exported picture, a photo for the open
//! study, the demo. The window goes on meanwhile.

use super::demo;
use super::opening::{
    NewCanvas, Openable, Place, again_name, discard, open_study, openable, study_again, study_from_decoded,
    study_on_board_of,
};
use super::session::{DecodedPhoto, Session, SessionError};
use super::small_picture::early_picture;
use crate::base::folders;
use crate::base::jobs::{Job, Outcome, Progress};
use crate::files::picture_store::SmallPicture;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};
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
        /// Name of the exported picture that gave it its board and its reference, if one did.
        from_picture: Option<String>,
    },
    /// A photo for the open study.
    Photo(Box<DecodedPhoto>),
}

/// Something that is being opened.
pub struct Opening {
    name: String,
    early: Arc<OnceLock<SmallPicture>>,
    job: Job<Result<OpenedFile, String>>,
}

impl Opening {
    /// Begins to open something; `wake` is called when there is something to see of it, and when it is done.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn start(what: ToOpen, choice: EngineChoice, wake: impl Fn() + Clone + Send + 'static) -> io::Result<Self> {
        let name = match &what {
            ToOpen::File { path, .. } | ToOpen::Again { path } => {
                path.file_name().unwrap_or_default().to_string_lossy().into_owned()
            }
            ToOpen::Empty { name, .. } | ToOpen::Demo { name, .. } => name.clone(),
        };
        let early = Arc::new(OnceLock::new());
        let (seen, woken) = (early.clone(), wake.clone());
        let show = move |picture| {
            if seen.set(picture).is_ok() {
                woken();
            }
        };
        let mut demo = DemoOnItsWay::default();
        let step = move |progress: &Progress| {
            Some(match open(&what, choice, &show, &mut demo).transpose()? {
                // Nobody waits for it any more: what was made for it goes.
                Ok(OpenedFile::Session { session, is_new: true, .. }) if progress.is_cancelled() => {
                    discard(*session);
                    Err(String::new())
                }
                other => other,
            })
        };
        Ok(Opening { name, early, job: Job::in_steps("open", wake, step)? })
    }

    /// What is being opened.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// A coarse view of a photo, once there is one, long before all of it is there.
    pub fn early(&self) -> Option<&SmallPicture> {
        self.early.get()
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

/// Shows a photo while it is decoded.
type Show<'a> = &'a dyn Fn(SmallPicture);

/// The demo while it is played. A study that nobody waits for any more before its end goes.
#[derive(Default)]
struct DemoOnItsWay(Option<demo::Playing>);

impl DemoOnItsWay {
    /// Does a little of it; gives the study at its end.
    fn step(
        &mut self,
        data: &Path,
        folder: &Path,
        name: &str,
        choice: EngineChoice,
    ) -> Result<Option<OpenedFile>, String> {
        let Some(playing) = &mut self.0 else {
            if !demo::is_ready() {
                return Ok(None);
            }
            let begun = demo::Playing::begin(data, &free_study(folder, name), choice);
            self.0 = Some(begun.map_err(|error| error.to_string())?);
            return Ok(None);
        };
        if playing.step().map_err(|error| error.to_string())? {
            return Ok(None);
        }
        let whole = self.0.take().map(demo::Playing::end);
        Ok(whole.map(|session| OpenedFile::Session { session: Box::new(session), is_new: false, from_picture: None }))
    }
}

impl Drop for DemoOnItsWay {
    fn drop(&mut self) {
        if let Some(playing) = self.0.take() {
            discard(playing.end());
        }
    }
}

/// Opens something, or goes a step towards it: none while there is more to do.
fn open(
    what: &ToOpen,
    choice: EngineChoice,
    show: Show<'_>,
    demo: &mut DemoOnItsWay,
) -> Result<Option<OpenedFile>, String> {
    let opened = match what {
        ToOpen::Demo { data, folder, name } => return demo.step(data, folder, name, choice),
        ToOpen::Empty { folder, name, canvas } => {
            let session = canvas.create(&free_study(folder, name), None, name, choice).map_err(|e| e.to_string())?;
            OpenedFile::Session { session: Box::new(session), is_new: true, from_picture: None }
        }
        ToOpen::Again { path } => {
            let mut session =
                study_again(path, Place::Beside(&again_name(path)), choice).map_err(|error| error.to_string())?;
            // Decoded here and not when it is opened on purpose; whoever shows it says why it cannot be.
            let _ = session.decode_photo();
            OpenedFile::Session { session: Box::new(session), is_new: true, from_picture: None }
        }
        ToOpen::File { path, canvas, target } => {
            file(path, canvas, *target, choice, show).map_err(|error| error.to_string())?
        }
    };
    // Here, so that the first frame of the study need not wait for it.
    stint_render::mask::prepare();
    Ok(Some(opened))
}

fn file(
    path: &Path,
    canvas: &NewCanvas,
    target: Target,
    choice: EngineChoice,
    show: Show<'_>,
) -> Result<OpenedFile, SessionError> {
    let photo = || {
        DecodedPhoto::read_with(path, |bytes, name| {
            if let Some(early) = early_picture(bytes, name) {
                show(early);
            }
        })
    };
    let session = |session: Session, is_new: bool| {
        let session = Box::new(session);
        OpenedFile::Session { session, is_new, from_picture: None }
    };
    Ok(match openable(path)? {
        Openable::Study => {
            let mut study = open_study(path, choice)?;
            // Decoded here and not when it is first shown; whoever shows it says why it cannot be.
            let _ = study.decode_photo();
            session(study, false)
        }
        Openable::Picture(attached) => {
            let session = Box::new(study_on_board_of(path, &attached, Place::Beside(path), choice)?);
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            OpenedFile::Session { session, is_new: true, from_picture: Some(name) }
        }
        Openable::Photo if target == Target::OpenStudy => OpenedFile::Photo(Box::new(photo()?)),
        Openable::Photo => session(study_from_decoded(photo()?, path, Place::Beside(path), canvas, choice)?, true),
    })
}

/// A free name for a study in a folder, or among the user's documents where that folder is not there.
fn free_study(folder: &Path, name: &str) -> PathBuf {
    let folder = if disk::is_dir(folder) { folder.to_owned() } else { folders::documents() };
    disk::free_name(&folder, name, ".stint")
}
