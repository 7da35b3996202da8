//! An export beside the window: the study is read again from its file, so that painting goes on meanwhile.

use super::session::{ExportOptions, Session, export_png};
use crate::base::jobs::{Job, Outcome, Progress};
use std::io;
use std::path::{Path, PathBuf};
use stint_render::choose::EngineChoice;

/// An export on its way.
#[derive(Debug)]
pub struct ExportJob {
    target: PathBuf,
    rows: u64,
    job: Job<Result<(), String>>,
}

impl ExportJob {
    /// Starts to export the study in the file `study`, which has `rows` rows of pixels, to `target`. `wake` is called when it has ended.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn start(
        study: PathBuf,
        rows: u64,
        target: PathBuf,
        options: ExportOptions,
        wake: impl FnOnce() + Send + 'static,
    ) -> io::Result<Self> {
        let to = target.clone();
        let work = move |progress: &Progress| export(&study, &to, &options, progress);
        Ok(ExportJob { target, rows, job: Job::start("export", wake, work)? })
    }

    /// The picture that is being written.
    pub fn target(&self) -> &Path {
        &self.target
    }

    /// Rows that are written, and rows there are.
    pub fn progress(&self) -> (u64, u64) {
        (self.job.progress().done(), self.rows)
    }

    /// How it ended, or why there is no picture. Never waits.
    pub fn poll(&self) -> Outcome<Result<(), String>> {
        self.job.poll()
    }

    /// Waits until the picture is written; `None` when the thread died.
    pub fn wait(self) -> Option<Result<(), String>> {
        self.job.wait()
    }
}

fn export(study: &Path, target: &Path, options: &ExportOptions, progress: &Progress) -> Result<(), String> {
    let write = || {
        let mut copy = Session::open_read_only(study, EngineChoice::Cpu)?;
        export_png(&mut copy, target, options, &mut |done| progress.set(done))
    };
    write().map_err(|error| error.to_string())
}
