//! The window: events in, frames out.

mod access;
mod app;
mod atlas;
#[cfg(target_arch = "wasm32")]
mod browser;
mod canvas_area;
mod controls;
mod damage;
mod display;
mod display_pass;
mod display_profile;
#[cfg(all(unix, not(target_os = "macos")))]
mod display_x11;
mod event_times;
mod events;
mod exchange;
mod frame;
pub mod frame_renderer;
mod frame_timer;
pub mod frame_times;
mod identity;
mod ime;
mod keyboard;
#[cfg(test)]
mod pen_ramp_tests;
#[cfg(all(unix, not(target_os = "macos")))]
mod pen_x11;
mod pens;
mod placement;
mod platform_output;
mod retained_frame;
mod screen;
mod study;

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;
use stint_render::choose::EngineChoice;

/// Set to a file name, the times from event to presented frame are written there when the window closes.
pub const FRAME_TIMES_VARIABLE: &str = "STINT_FRAME_TIMES";

/// Set to a file name, the place and the name of every control are kept there, for tests and for taking pictures.
pub const CONTROLS_VARIABLE: &str = "STINT_CONTROLS";

/// Why there is no window.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// No display server, or none we can speak to.
    #[cfg_attr(
        all(unix, not(target_os = "macos")),
        error(
            "no window can be opened ({0}); check DISPLAY or WAYLAND_DISPLAY, or use the other commands of stint, which need none"
        )
    )]
    #[cfg_attr(
        not(all(unix, not(target_os = "macos"))),
        error("no window can be opened ({0}); the other commands of stint need none")
    )]
    NoDisplay(String),
    /// No graphics device draws into the window.
    #[cfg_attr(
        windows,
        error("no graphics device can draw into the window ({0}); bring the driver of the graphics card up to date")
    )]
    #[cfg_attr(
        not(any(windows, target_arch = "wasm32")),
        error("no graphics device can draw into the window ({0}); install a Vulkan or OpenGL driver, such as Mesa's")
    )]
    #[cfg_attr(
        target_arch = "wasm32",
        error(
            "this browser draws neither by WebGPU nor by WebGL 2 here ({0}); use a newer browser, or allow graphics acceleration in its settings"
        )
    )]
    NoDevice(String),
    /// The window came to an end by itself.
    #[error("the window stopped ({0}); all finished strokes are in the study, start again")]
    Stopped(String),
}

/// Opens the window and stays until it is closed; with a file to open, or the start page.
///
/// # Errors
/// When no window can be opened, or it stopped by itself. Whatever happens to a study is told in the window.
pub fn run(file: Option<PathBuf>, choice: EngineChoice) -> Result<(), WindowError> {
    let event_loop = winit::event_loop::EventLoop::new().map_err(|e| WindowError::NoDisplay(cause(&e)))?;
    let failed = Rc::new(RefCell::new(None));
    let app = app::App::new(file, choice, failed.clone(), event_loop.create_proxy(), event_loop.owned_display_handle());
    event_loop.run_app(app).map_err(|e| WindowError::Stopped(cause(&e)))?;
    match failed.take() {
        Some(error) => Err(error),
        None => Ok(()),
    }
}

/// What the system said. The texts of winit's own errors name places in its source, which help nobody in front of a window.
fn cause(error: &(dyn std::error::Error + 'static)) -> String {
    error.source().unwrap_or(error).to_string()
}

/// Whether there is a display to open a window on.
pub fn has_display() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(all(unix, not(target_os = "macos"))) || set("WAYLAND_DISPLAY") || set("DISPLAY")
}

#[cfg(test)]
mod tests {
    use super::*;
    use winit::error::{EventLoopError, OsError};

    #[test]
    fn an_error_of_the_system_is_told_without_a_place_in_a_source() {
        let error = EventLoopError::from(OsError::new(7, "/home/somebody/registry/lib.rs", "no server answers"));
        assert!(error.to_string().contains("lib.rs"), "else cause() is not needed any more");
        assert_eq!(cause(&error), "no server answers");
        assert_eq!(cause(&EventLoopError::ExitFailure(3)), EventLoopError::ExitFailure(3).to_string());
    }
}
