//! The window on the page in a browser: what comes from there, a screen that is there later, work between two frames.

use super::app::App;
use super::screen::Screen;
use crate::base::jobs;
use crate::host::page::{self, Arrival};
use crate::ui::request::Request;
use crate::ui::stale::Stale;
use wasm_bindgen_futures::spawn_local;
use winit::event_loop::ActiveEventLoop;

impl App {
    /// Takes what came from the browser since the last call.
    pub(super) fn browser_events(&mut self, event_loop: &dyn ActiveEventLoop) {
        match self.opened_screen.take() {
            Some(Ok(screen)) => {
                self.screen = Some(screen);
                self.state.stale = Stale::All;
                if let (Some(screen), Some(window)) = (&mut self.screen, &self.window) {
                    let size = window.surface_size();
                    screen.resize(size.width, size.height);
                }
            }
            Some(Err(error)) => self.fail(event_loop, error),
            None => {}
        }
        for arrival in page::take_arrived() {
            match arrival {
                Arrival::Chosen(path) => self.state.arrived = Some(path),
                Arrival::Given(path) => self.state.requests.push(Request::Open(path)),
                Arrival::Text(text) => self.raw.events.push(egui::Event::Paste(text)),
                Arrival::Composed(text) => {
                    let preedit = egui::ImeEvent::Preedit { text, active_range_chars: None };
                    self.raw.events.push(egui::Event::Ime(preedit));
                }
                Arrival::Typed(text) => self.raw.events.push(egui::Event::Ime(egui::ImeEvent::Commit(text))),
            }
        }
        self.handle_requests(event_loop);
        self.redraw();
    }

    /// Asks for a screen, which is there a moment later.
    pub(super) fn ask_for_screen(&mut self) {
        let Some(window) = self.window.clone() else { return };
        let (slot, proxy) = (self.opened_screen.clone(), self.proxy.clone());
        let textures = self.atlas.whole().collect();
        spawn_local(async move {
            let opened = Screen::open_on_page(&window, textures).await;
            slot.replace(Some(opened));
            proxy.wake_up();
        });
    }

    /// Does one job that waits for its turn. The next has its turn when the browser has shown what came of this one.
    pub(super) fn job_between_frames(&mut self) {
        if self.shown_since_job && jobs::any_waiting() {
            self.shown_since_job = false;
            jobs::run_next();
            self.redraw();
        }
        if jobs::any_waiting() {
            self.redraw();
        }
    }
}
