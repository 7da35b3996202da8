//! The program `stint`: everything but the call of it, so that tests can drive it.
#![forbid(unsafe_code)]

pub mod command;
pub mod script;
pub mod session;
pub mod state;
