//! Where the window was and how large, for the next time.

use crate::files::settings::{Setting, Settings};
use crate::ui::state::State;
use serde::{Deserialize, Serialize};
use winit::dpi::{LogicalSize, PhysicalPosition, validate_scale_factor};
use winit::event_loop::ActiveEventLoop;
use winit::window::{Window, WindowAttributes};

/// Size of a new window, logical points.
const SIZE: (f64, f64) = (1280.0, 800.0);
/// Smallest size that the panels fit in, logical points.
const MIN_SIZE: (f64, f64) = (640.0, 480.0);
/// As much of a window as must lie on a screen for it to be found again, pixels.
const FOUND_AGAIN: i64 = 64;

/// Place and size of the window.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
struct WindowPlace {
    /// Logical points.
    width: f64,
    /// Logical points.
    height: f64,
    /// Upper left corner of its frame, pixels of the desktop; not known everywhere.
    corner: Option<(i32, i32)>,
    maximised: bool,
}

const WINDOW: Setting<WindowPlace> = Setting::new("window");

/// Attributes with the place and the size the window had last, as far as there is a screen there now.
pub(super) fn placed(
    attributes: WindowAttributes,
    event_loop: &dyn ActiveEventLoop,
    settings: &Settings,
) -> WindowAttributes {
    let attributes = attributes.with_min_surface_size(LogicalSize::new(MIN_SIZE.0, MIN_SIZE.1));
    let largest = event_loop.available_monitors().filter_map(|screen| {
        // A browser does not tell the scale of its screens, and says 0.
        let scale = Some(screen.scale_factor()).filter(|scale| validate_scale_factor(*scale))?;
        let size: LogicalSize<f64> = screen.current_video_mode()?.size().to_logical(scale);
        Some((size.width, size.height))
    });
    let largest = largest.fold((0.0, 0.0), |most: (f64, f64), (w, h)| (most.0.max(w), most.1.max(h)));
    let Some(last) = settings.get(&WINDOW).filter(WindowPlace::is_whole) else {
        let (width, height) = held(SIZE, largest);
        return attributes.with_surface_size(LogicalSize::new(width, height));
    };
    let (width, height) = held((last.width, last.height), largest);
    let attributes = attributes.with_surface_size(LogicalSize::new(width, height)).with_maximized(last.maximised);
    let screens = event_loop.available_monitors().filter_map(|screen| {
        let (at, size) = (screen.position()?, screen.current_video_mode()?.size());
        Some([i64::from(at.x), i64::from(at.y), i64::from(size.width), i64::from(size.height)])
    });
    match last.corner.filter(|corner| screens.into_iter().any(|screen| is_on(*corner, screen))) {
        Some((x, y)) => attributes.with_position(PhysicalPosition::new(x, y)),
        None => attributes,
    }
}

impl WindowPlace {
    /// Whether a window can be like this.
    fn is_whole(&self) -> bool {
        let fits = |value: f64, least: f64| (least..=100_000.0).contains(&value);
        fits(self.width, MIN_SIZE.0) && fits(self.height, MIN_SIZE.1)
    }
}

/// A size, no larger than the largest screen where one is known, and never smaller than the panels fit in.
fn held(size: (f64, f64), screen: (f64, f64)) -> (f64, f64) {
    let side = |wanted: f64, screen: f64, least: f64| {
        if screen > 0.0 { wanted.min(screen).max(least) } else { wanted }
    };
    (side(size.0, screen.0, MIN_SIZE.0), side(size.1, screen.1, MIN_SIZE.1))
}

/// Whether the upper left corner of a window lies on a screen (left, top, width, height) with enough of the window to be taken hold of.
fn is_on((x, y): (i32, i32), [left, top, width, height]: [i64; 4]) -> bool {
    let inside = |at: i32, from: i64, size: i64| (from..from + size - FOUND_AGAIN).contains(&i64::from(at));
    inside(x, left, width) && inside(y, top, height)
}

/// Keeps place and size. A maximised window, and one that covers the screen, keeps the size it had before that.
pub(super) fn remember(window: &dyn Window, state: &mut State) {
    let usual = WindowPlace { width: SIZE.0, height: SIZE.1, corner: None, maximised: false };
    let last = state.settings.get(&WINDOW).filter(WindowPlace::is_whole).unwrap_or(usual);
    let maximised = window.is_maximized();
    let now = if maximised || window.fullscreen().is_some() {
        WindowPlace { maximised, ..last }
    } else {
        let size: LogicalSize<f64> = window.surface_size().to_logical(window.scale_factor());
        let corner = window.outer_position().ok().map(|at| (at.x, at.y));
        WindowPlace { width: size.width.round(), height: size.height.round(), corner, maximised }
    };
    if now.is_whole() {
        state.keep_setting(&WINDOW, now, usual);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_window_is_no_larger_than_the_screen() {
        assert_eq!(held(SIZE, (900.0, 600.0)), (900.0, 600.0));
        assert_eq!(held(SIZE, (2560.0, 1440.0)), SIZE);
        assert_eq!(held(SIZE, (320.0, 200.0)), MIN_SIZE);
        assert_eq!(held(SIZE, (0.0, 0.0)), SIZE, "where no screen is known");
    }

    #[test]
    fn a_window_comes_back_only_where_there_is_a_screen() {
        let screens = [[0, 0, 1280, 800], [1280, -200, 1920, 1080]];
        let found = |corner| screens.iter().any(|screen| is_on(corner, *screen));
        for corner in [(0, 0), (600, 300), (1400, -150), (3000, 700)] {
            assert!(found(corner), "{corner:?}");
        }
        for corner in [(-10, 0), (600, 790), (3190, 0), (5000, 100), (100, -100)] {
            assert!(!found(corner), "{corner:?}");
        }
    }

    #[test]
    fn sizes_that_no_window_can_have_are_not_taken() {
        let place = WindowPlace { width: 900.0, height: 600.0, corner: None, maximised: true };
        assert!(place.is_whole());
        for (width, height) in [(0.0, 600.0), (900.0, f64::NAN), (f64::INFINITY, 600.0), (900.0, 100.0)] {
            assert!(!WindowPlace { width, height, ..place }.is_whole());
        }
    }
}
