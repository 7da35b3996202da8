//! The program `stint`: everything but the call of it, so that tests can drive it.
//!
//! | word | where |
//! | --- | --- |
//! | every change a person can make | [`command`] |
//! | one open study, without a window | [`session`] |
//! | scripts of commands | [`script`] |
//! | the command line | [`cli`] |
//! | opening whatever a file is | [`open`] |
//! | boards in files of every kind, and as a card | [`board_file`], [`card`](mod@card) |
//! | the shipped scene | [`demo`] |
//! | the boards kept outside studies | [`library`] |
//! | what was guessed from memory | [`memory_record`] |
//! | which day it is | [`clock`] |
//! | what the window knows beside the study | [`state`] |
//! | everything around the canvas, as functions of the state | [`panels`], [`theme`], [`wording`] |
//! | the canvas in the window: transform, textures, looks | [`canvas_view`] |
//! | what pointer and keys do | [`tools`], [`keys`] |
//! | the window itself | [`window`] |
#![forbid(unsafe_code)]

pub mod board_file;
pub mod canvas_view;
pub mod card;
pub mod cli;
pub mod clock;
pub mod command;
pub mod demo;
pub mod keys;
pub mod library;
pub mod memory_record;
pub mod open;
pub mod panels;
pub mod places;
pub mod script;
pub mod session;
pub mod state;
pub mod theme;
pub mod tools;
pub mod window;
pub mod wording;
