//! The system's accessibility tree: AT-SPI on Linux, through AccessKit. Nothing is made for it until something on the desktop, such as a
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

/// Where there is no adapter that needs no unsafe code, nobody ever asks.
#[cfg(not(all(unix, not(target_os = "macos"))))]
struct Adapter;

#[cfg(not(all(unix, not(target_os = "macos"))))]
impl Adapter {
    fn new(_: Listener, _: Listener, _: Listener) -> Self {
        Adapter
    }
    fn set_root_window_bounds(&mut self, _: Rect, _: Rect) {}
    fn update_if_active(&mut self, _: impl FnOnce() -> TreeUpdate) {}
    fn update_window_focus_state(&mut self, _: bool) {}
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
    pub fn open(timer: &FrameTimer, proxy: &EventLoopProxy) -> Self {
        let shared = Arc::new(Shared::default());
        let listener = Listener { shared: shared.clone(), timer: timer.clone(), proxy: proxy.clone() };
        let adapter = Adapter::new(listener.clone(), listener.clone(), listener);
        Access { adapter: Some(adapter), shared, place: None }
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
