//! One open study: every change a person can make to it, as a value, and what makes them. It knows no window.

pub mod command;
pub mod demo;
pub mod export_job;
pub mod keep_board;
pub mod keeping;
pub mod open_job;
pub mod opening;
pub mod progress;
pub mod script;
pub mod session;
pub mod small_picture;
