//! The study: one painting with its board, passes, reference and history, kept in one file.
//!
//! [`document`] is everything but the paint on the canvas and the photo's bytes: small, cheap to copy, one value.
//! [`file`](mod@file) and [`history`] are the only places that know SQLite.

mod claim;
mod codec;
mod database;
pub mod document;
mod error;
pub mod file;
pub mod history;
pub mod picked;
mod sound;
mod step;
pub mod tile;

pub use document::{Document, Ground, Reference};
pub use picked::{How, Picked};
