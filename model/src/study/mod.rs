//! The study: one painting with its board, passes, reference and history, kept in one file.
//!
//! [`document`] is everything but the paint on the canvas and the photo's bytes: small, cheap to copy, one value.
//! [`file`](mod@file), [`history`] and [`travel`] are the only places that know SQLite.

pub mod canvas_rect;
mod check;
mod check_sum;
mod codec;
mod database;
pub mod document;
mod error;
pub mod file;
pub mod hand_out;
mod history;
mod lock;
pub mod picked;
pub mod protected;
pub mod reading;
pub mod relocate;
mod rows;
pub mod snapshot;
mod step;
pub mod tile;
mod tile_tally;
pub mod travel;
mod unpack;
mod upgrade;

pub use document::{Document, Ground, Reference};
pub use picked::{PickSource, Picked};

/// Version of the schema in `schema.sql`, kept in the header as `user_version`: the last that the steps in `upgrade.rs` lead to.
const VERSION: i64 = upgrade::VERSIONS.current() as i64;
