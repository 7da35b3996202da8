//! The source and its words: layers, mirrors, what stands on screen, what the command line prints.
#![allow(clippy::unwrap_used, missing_docs)]

mod boundaries;
mod boundaries_support;
mod cli;
mod last_bits;
mod mirrors;
mod words;
