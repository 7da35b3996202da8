//! What the panels ask of the system's own dialog for files. Who runs it is told in [`super::state::State::system_dialog`].

use crate::base::jobs::Job;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;

/// What is asked.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DialogRequest {
    /// Title of the dialog.
    pub title: String,
    /// Words on the button that accepts.
    pub accept: String,
    /// The folder it begins in.
    pub folder: PathBuf,
    /// The name that is offered, where a file is to be written; none where one is to be opened.
    pub saves_as: Option<String>,
    /// Kinds of files that may be shown, the first of them at once: words, and the endings of names in lower case, with their dot.
    /// No endings: every file.
    pub kinds: Vec<(String, Vec<String>)>,
}

/// How it ended.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum DialogEnd {
    /// This file.
    Chosen(PathBuf),
    /// Nothing was chosen.
    Left,
    /// There is no such dialog, it does not answer, or it failed.
    Unavailable,
}

/// Opens the dialog; what is handed over second is called when it has ended. Dropping the job shuts it.
pub type SystemDialog =
    Arc<dyn Fn(DialogRequest, Box<dyn FnOnce() + Send>) -> io::Result<Job<DialogEnd>> + Send + Sync>;
