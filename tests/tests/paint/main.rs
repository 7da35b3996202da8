//! Paint: what engines lay and show, what brushes leave, and the whole job from photo to readout.
#![allow(clippy::unwrap_used, missing_docs)]

mod areas;
mod brush_marks;
mod colour_published;
mod engines_alike;
mod gamut_shown;
mod golden;
mod hostile_tiles;
mod laws;
mod laying;
mod learning;
mod main_job;
#[cfg(target_os = "linux")]
mod photo_to_dusk;
