//! Progress of long work, on standard error, and only when somebody is looking at it.

use crate::base::clock::Stopwatch;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::time::Duration;

/// How long work may take before a bar shows.
const SHOW_AFTER: Duration = Duration::from_secs(1);

/// A bar that stays hidden for the first second, and altogether when standard error is no terminal.
pub struct Progress {
    bar: ProgressBar,
    start: Stopwatch,
    shown: bool,
}

impl Progress {
    /// Work of `length` units, called `what` beside the bar.
    pub fn new(what: &'static str, length: u64) -> Self {
        let bar = ProgressBar::with_draw_target(Some(length), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{msg} {wide_bar} {pos}/{len}") {
            bar.set_style(style);
        }
        bar.set_message(what);
        Progress { bar, start: Stopwatch::start(), shown: false }
    }

    /// Shows that `done` units are done.
    pub fn set(&mut self, done: u64) {
        if !self.shown && self.start.elapsed() >= SHOW_AFTER {
            // This target draws nothing when standard error is no terminal.
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
            self.shown = true;
        }
        self.bar.set_position(done);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
