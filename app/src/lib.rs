//! The program `stint`: everything but the call of it, so that tests can drive it.
//!
//! | word | where |
//! | --- | --- |
//! | every change a person can make | [`command`] |
//! | one open study, without a window | [`session`] |
//! | scripts of commands | [`script`] |
//! | the command line | [`cli`] |
//! | what the window knows beside the study | [`state`] |
#![forbid(unsafe_code)]

pub mod cli;
pub mod command;
pub mod panels;
pub mod script;
pub mod session;
pub mod state;
pub mod theme;
pub mod wording;
