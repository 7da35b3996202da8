//! The modules of a crate and what they name of each other, read from the source with a parser, so that comments and strings
//! do not count.

pub mod loops;
mod mentions;
pub mod modules;
pub mod source;
