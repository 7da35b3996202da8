//! The painting engine of Stint. It reads no files and knows no window.
//!
//! The life of a stroke: pen samples become a smooth path of dabs ([`mask::StrokeMask`]), or an outline becomes a mass; both
//! become a [`mask::Mask`], the cover of this stroke alone. *Commit* lays a paint through the mask over copies of the touched tiles
//! ([`engine::Engine::commit`]); *resolve* turns visible amounts into colour; *tally* sums them per paint. The
//! [`canvas::Canvas`] owns the tiles of all passes and knows what has changed; an engine, [`cpu`] or [`gpu`], does the work.
//!
//! What a pixel is, and what laying paint means, is defined in plain functions in [`pixel`].

#![cfg_attr(test, allow(clippy::cast_possible_truncation, reason = "tests count in small numbers"))]

pub mod amount;
pub mod canvas;
pub mod choose;

pub mod cpu;
pub mod engine;
pub mod gpu;
mod load;

pub mod mask;
pub mod paints;
pub mod pixel;
