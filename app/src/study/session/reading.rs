//! Reading the tiles of a study: at once, or as they are needed and beside the window in the meantime.

use super::{Session, SessionError};
use crate::base::jobs::{Job, Outcome};
use std::collections::BTreeSet;
use std::sync::Arc;
use stint_model::study::tile::TilePos;
use stint_render::canvas::ReadTiles;

/// Tiles that are being read.
pub(super) enum ReadingJob {
    /// Some, beside the window.
    Running(Job<Result<ReadTiles, String>>),
    /// None any more: one could not be read, which was told.
    Failed,
}

impl Session {
    /// Tells the canvas, which has no tiles, of all that the file has.
    pub(super) fn expect_tiles(&mut self) -> Result<(), SessionError> {
        let (heads, shares) = self.recorder.call(|file| Ok((file.tile_heads()?, file.shares_at_head()?)))?;
        self.canvas.expect(heads, shares.amounts(), Arc::new(self.recorder.tile_reader()));
        Ok(())
    }

    /// Whether there are tiles that were not read yet. Whatever takes all of them, a small picture or an export, waits for that.
    pub fn is_reading(&self) -> bool {
        self.canvas.is_reading()
    }

    /// The part of the canvas whose paint is counted by swatch, 0-1.
    pub fn counted_share(&self) -> f64 {
        let (uncounted, all) = self.canvas.uncounted();
        1.0 - uncounted as f64 / all.max(1) as f64
    }

    /// Takes tiles that were read beside the window, and has further ones read. Never waits. Tells the places that can be shown now.
    ///
    /// # Errors
    /// When a tile cannot be read: the study is damaged, which is told once. What was painted is in its file.
    pub fn follow_reading(&mut self) -> Result<BTreeSet<TilePos>, SessionError> {
        let mut here = BTreeSet::new();
        match &self.reading {
            Some(ReadingJob::Failed) => return Ok(here),
            Some(ReadingJob::Running(job)) => match job.poll() {
                Outcome::Running => return Ok(here),
                Outcome::Done(read) => {
                    self.reading = None;
                    let read = read.map_err(|why| self.fail_reading(SessionError::Unreadable(why)))?;
                    here = self.canvas.take_read(read).map_err(|why| self.fail_reading(why.into()))?;
                }
                Outcome::Died => {
                    return Err(self.fail_reading(SessionError::Internal("the thread that reads has ended".to_owned())));
                }
            },
            None => {}
        }
        if let Some(unread) = self.canvas.unread() {
            let waker = self.waker.clone();
            let job = Job::start("reading", move || waker.iter().for_each(|wake| wake()), move |_| unread.read());
            let job = job.map_err(|why| self.fail_reading(SessionError::Internal(why.to_string())))?;
            self.reading = Some(ReadingJob::Running(job));
        }
        Ok(here)
    }

    fn fail_reading(&mut self, why: SessionError) -> SessionError {
        self.reading = Some(ReadingJob::Failed);
        why
    }
}
