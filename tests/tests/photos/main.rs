//! Photos that come in, pictures that go out, and a study held against its photo.
#![allow(clippy::unwrap_used, missing_docs)]

mod compare;
mod decoded;
#[cfg(target_os = "linux")]
mod held_against_photo;
mod kinds;
mod kmeans;
mod pictures;
mod private;
