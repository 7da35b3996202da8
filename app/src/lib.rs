//! The program `stint`: everything but the call of it, so that tests can drive it.
//!
//! The folders are layers. Each knows the ones above it in this table and none below; `tests/tests/house/boundaries.rs` holds them to it.
//!
//! | layer | holds | knows nothing of |
//! | --- | --- | --- |
//! | [`base`] | folders, clock, names, fonts, background jobs | studies |
//! | [`files`] | what kind a file is; boards, pictures and cards in and out; recent studies; kept boards | a session |
//! | [`study`] | every change a person can make; one open study; scripts; the demo | egui, a window |
//! | [`ui`] | state, theme, wording, panels, the canvas on screen, tools, keys | winit, the system |
//! | [`host`] | the window and its events, what only a desktop does | |
//! | [`cli`] | the command line, one file a subcommand | a window |
#![forbid(unsafe_code)]
#![cfg_attr(test, allow(clippy::cast_possible_truncation, reason = "tests count in small numbers"))]
#![cfg_attr(test, allow(clippy::disallowed_methods, reason = "unit tests read files, wait and draw what they like"))]

pub mod base;
#[cfg(not(target_arch = "wasm32"))]
pub mod cli;
pub mod files;
pub mod host;
pub mod study;
pub mod ui;

/// Does what the command line says, and opens the window where it asks for one.
#[cfg(not(target_arch = "wasm32"))]
pub fn start() -> std::process::ExitCode {
    use cli::Next;
    use host::window;
    use std::process::ExitCode;
    let file = match cli::main() {
        Ok(Next::End) => return ExitCode::SUCCESS,
        Ok(Next::WindowWith(_)) if !window::has_display() => return ExitCode::SUCCESS,
        Ok(Next::WindowWith(study)) => Some(study),
        Ok(Next::Window) => None,
        Err(code) => return code,
    };
    match window::run(file, stint_render::choose::EngineChoice::Auto) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            cli::say(&error);
            ExitCode::FAILURE
        }
    }
}
