//! The system's accessibility tree, through AccessKit: AT-SPI on Linux, UI Automation on Windows. Nothing is made for it until something on the desktop, such as a
//! screen reader, asks.

use super::frame_timer::FrameTimer;
use crate::base::clock::{self, Duration};
use egui::accesskit::{ActionHandler, ActionRequest, ActivationHandler, DeactivationHandler, Rect, TreeUpdate};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use winit::event_loop::EventLoopProxy;
use winit::window::Window;

#[cfg(all(unix, not(target_os = "macos")))]
use accesskit_unix::Adapter;

/// The adapter of Windows in the shape of the one above. It asks the system itself where the window is, and hears of the focus from it.
#[cfg(windows)]
struct Adapter(accesskit_windows::SubclassingAdapter);

#[cfg(windows)]
impl Adapter {
    fn set_root_window_bounds(&mut self, _: Rect, _: Rect) {}
    fn update_if_active(&mut self, update: impl FnOnce() -> TreeUpdate) {
        if let Some(events) = self.0.update_if_active(update) {
            events.raise();
        }
    }
    fn update_window_focus_state(&mut self, _: bool) {}
}

/// Where there is no adapter that needs no unsafe code, nobody ever asks.
#[cfg(not(any(windows, all(unix, not(target_os = "macos")))))]
struct Adapter;

#[cfg(not(any(windows, all(unix, not(target_os = "macos")))))]
impl Adapter {
    fn set_root_window_bounds(&mut self, _: Rect, _: Rect) {}
    fn update_if_active(&mut self, _: impl FnOnce() -> TreeUpdate) {}
    fn update_window_focus_state(&mut self, _: bool) {}
}

/// The adapter of this system; none where there is none.
#[cfg(all(unix, not(target_os = "macos")))]
fn adapter(_: &dyn Window, listener: Listener) -> Option<Adapter> {
    Some(Adapter::new(listener.clone(), listener.clone(), listener))
}

#[cfg(windows)]
fn adapter(window: &dyn Window, listener: Listener) -> Option<Adapter> {
    use winit::raw_window_handle::{HasWindowHandle, RawWindowHandle};
    let RawWindowHandle::Win32(handle) = window.window_handle().ok()?.as_raw() else { return None };
    let window = accesskit_windows::HWND(std::ptr::without_provenance_mut(handle.hwnd.get().cast_unsigned()));
    Some(Adapter(accesskit_windows::SubclassingAdapter::new(window, listener.clone(), listener)))
}

#[cfg(not(any(windows, all(unix, not(target_os = "macos")))))]
fn adapter(_: &dyn Window, _: Listener) -> Option<Adapter> {
    None
}

/// What the system's thread and the window's share.
#[derive(Default)]
struct Shared {
    /// Whether somebody asks.
    asked: AtomicBool,
    /// What is to be done to controls, the oldest first.
    actions: Mutex<Vec<ActionRequest>>,
}

/// Hears what the system asks, on a thread of its own, and has the window draw a frame.
#[derive(Clone)]
struct Listener {
    shared: Arc<Shared>,
    timer: FrameTimer,
    proxy: EventLoopProxy,
}

impl Listener {
    fn wake(&self) {
        self.timer.ask(clock::now(), Duration::ZERO);
        self.proxy.wake_up();
    }
}

impl ActivationHandler for Listener {
    fn request_initial_tree(&mut self) -> Option<TreeUpdate> {
        self.shared.asked.store(true, Ordering::Release);
        self.wake();
        // It comes with the next frame.
        None
    }
}

impl DeactivationHandler for Listener {
    fn deactivate_accessibility(&mut self) {
        self.shared.asked.store(false, Ordering::Release);
        self.wake();
    }
}

impl ActionHandler for Listener {
    fn do_action(&mut self, request: ActionRequest) {
        if let Ok(mut actions) = self.shared.actions.lock() {
            actions.push(request);
        }
        self.wake();
    }
}

/// The window's side of the tree.
#[derive(Default)]
pub struct Access {
    adapter: Option<Adapter>,
    shared: Arc<Shared>,
    place: Option<(Rect, Rect)>,
}

impl Access {
    /// Offers the window to whoever asks for it.
    pub fn open(window: &dyn Window, timer: &FrameTimer, proxy: &EventLoopProxy) -> Self {
        let shared = Arc::new(Shared::default());
        let listener = Listener { shared: shared.clone(), timer: timer.clone(), proxy: proxy.clone() };
        Access { adapter: adapter(window, listener), shared, place: None }
    }

    /// Whether somebody asks for the tree: it is made with every frame then.
    pub fn is_asked(&self) -> bool {
        self.shared.asked.load(Ordering::Acquire)
    }

    /// What is to be done to controls since the last call, as events for egui.
    pub fn take_actions(&self) -> Vec<egui::Event> {
        let actions = self.shared.actions.lock().map(|mut actions| std::mem::take(&mut *actions)).unwrap_or_default();
        actions.into_iter().map(egui::Event::AccessKitActionRequest).collect()
    }

    /// Takes the tree of a frame, and where the window is.
    pub fn follow(&mut self, window: &dyn Window, update: Option<&TreeUpdate>) {
        let (Some(adapter), Some(update)) = (&mut self.adapter, update) else { return };
        let place = place_of(window);
        if self.place != Some(place) {
            self.place = Some(place);
            adapter.set_root_window_bounds(place.0, place.1);
        }
        adapter.update_if_active(|| update.clone());
    }

    /// The window got the keyboard, or lost it.
    pub fn focused(&mut self, focused: bool) {
        if let Some(adapter) = &mut self.adapter {
            adapter.update_window_focus_state(focused);
        }
    }
}

/// The window with its frame and without, pixels of the desktop; from its own corner where the system tells no place.
fn place_of(window: &dyn Window) -> (Rect, Rect) {
    let corner = window.outer_position().map_or((0.0, 0.0), |at| (f64::from(at.x), f64::from(at.y)));
    let rect = |(x, y): (f64, f64), size: winit::dpi::PhysicalSize<u32>| {
        Rect::new(x, y, x + f64::from(size.width), y + f64::from(size.height))
    };
    let inset = window.surface_position();
    let inner = (corner.0 + f64::from(inset.x), corner.1 + f64::from(inset.y));
    (rect(corner, window.outer_size()), rect(inner, window.surface_size()))
}
