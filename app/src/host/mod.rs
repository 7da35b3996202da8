//! The system around the program: the window and its events, and what only a desktop does.

pub mod desktop;
pub mod window;
