//! Studies as files: recorded, damaged, killed, undone, handed out, and read again years later.
#![allow(clippy::unwrap_used, missing_docs)]

mod bad_input;
mod damage;
#[cfg(unix)]
mod disk;
mod files;
mod fuzzed;
mod hand_out;
mod history;
#[cfg(unix)]
mod kill;
mod limits;
mod old_formats;
mod reading;
mod recording;
mod replacing;
mod study_support;
mod undo;
