//! An export beside the window: it is written from a snapshot of the study, so that painting goes on meanwhile.

use super::session::{ExportOptions, ExportSource};
use crate::base::jobs::{Job, Outcome, Progress};
use std::io;
use std::path::{Path, PathBuf};

/// An export that begins when all of its study was read.
pub struct WaitingExport {
    /// The picture.
    pub target: PathBuf,
    /// How it is written.
    pub options: ExportOptions,
    /// Called when it has ended.
    pub wake: Box<dyn FnOnce() + Send>,
}

/// An export on its way.
#[derive(Debug)]
pub struct ExportJob {
    target: PathBuf,
    rows: u64,
    job: Job<Result<(), String>>,
}

impl ExportJob {
    /// Starts to write a study as it was taken in `source` to `target`. `wake` is called when it has ended.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn start(
        source: ExportSource,
        target: PathBuf,
        options: ExportOptions,
        wake: impl FnOnce() + Send + 'static,
    ) -> io::Result<Self> {
        let (to, rows) = (target.clone(), source.rows());
        let work = move |progress: &Progress| {
            let written = source.write(&to, &options, &mut |done| progress.set(done));
            written.map_err(|error| error.to_string())
        };
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
