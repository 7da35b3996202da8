//! The system around the program: the window and its events, and what only a desktop does.

pub mod desktop;
#[cfg(target_arch = "wasm32")]
pub mod page;
pub mod window;
