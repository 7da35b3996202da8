//! Boards as files, in the library, handed out, reviewed, and turned to another light.
#![allow(clippy::unwrap_used, missing_docs)]

mod dusk;
mod exchange;
mod exchange_outside;
mod exchange_support;
mod files;
mod image_against_board;
mod library;
mod reach;
mod review;
mod round_trips;
mod variations;
