//! Which study is open: requests, a study that panels opened, one whose engine is gone, and the end.

use super::app::App;
use super::placement;
use super::{FRAME_TIMES_VARIABLE, WindowError};
use crate::base::clock::{self, Duration};
use crate::base::jobs;
use crate::ui::panels::PanelState;
use crate::ui::request::Request;
use crate::ui::stale::Stale;
use crate::ui::{remembered, studies, wording};
use stint_model::disk;
use stint_model::printable::printable;
use stint_render::engine::EngineError;
use winit::event_loop::ActiveEventLoop;
use winit::monitor::Fullscreen;

impl App {
    /// Does what panels and keys asked of the window.
    pub(super) fn handle_requests(&mut self, event_loop: &dyn ActiveEventLoop) {
        if self.state.requests.is_empty() {
            return;
        }
        for request in std::mem::take(&mut self.state.requests) {
            match request {
                Request::Fit => {
                    if let Some(session) = &self.state.session {
                        self.view.fit([session.document().width, session.document().height]);
                    }
                }
                Request::ActualSize => self.view.actual_size(),
                Request::WholeScreen => {
                    if let Some(window) = &self.window {
                        let covers = window.fullscreen().is_none().then_some(Fullscreen::Borderless(None));
                        window.set_fullscreen(covers);
                    }
                }
                Request::Paste => {
                    if !self.exchange.paste(event_loop, false) {
                        self.state.refuse(wording::NOTHING_TO_PASTE.to_owned());
                    }
                }
                Request::Act(action) => self.begin(action),
                #[cfg(target_arch = "wasm32")]
                request @ (Request::Choose { .. } | Request::HandOver(_) | Request::HandOverAll) => {
                    self.state.notices.extend(crate::host::page::handle(&request).err());
                }
                // A desktop chooses in the window, and its files lie where they were written.
                #[cfg(not(target_arch = "wasm32"))]
                Request::Choose { .. } | Request::HandOver(_) | Request::HandOverAll => {}
                Request::Quit => self.quit(event_loop),
                other @ (Request::NewStudy(_)
                | Request::Demo
                | Request::PaintAgain
                | Request::Export { .. }
                | Request::Open(_)
                | Request::Opened
                | Request::Keep(_)
                | Request::CloseStudy) => {
                    // Whatever comes instead, a stroke in the making is kept.
                    self.pointer.finish_drag(&mut self.state);
                    self.state.requests.push(other);
                }
            }
        }
        let (timer, wake) = (self.frame_timer.clone(), self.proxy.clone());
        studies::handle(&mut self.state, move || {
            timer.ask(clock::now(), Duration::ZERO);
            wake.wake_up();
        });
        self.panels.follow_study(&self.state);
        self.redraw();
    }

    /// Notices that another study is open than in the last frame.
    pub(super) fn follow_study(&mut self) {
        let now = self.state.session.as_ref().map(|s| s.path().to_owned());
        let size = self.state.session.as_ref().map(|s| [s.document().width, s.document().height]);
        let same_size = std::mem::replace(&mut self.shown_size, size) == size;
        if now == self.shown_study {
            if let Some(size) = size.filter(|_| !same_size) {
                // The canvas was cropped or extended, or that was taken back: what the pointer had begun lay elsewhere.
                self.pointer.reset();
                self.view.fit(size);
                self.redraw();
            }
            return;
        }
        self.shown_study = now;
        self.pointer.reset();
        self.state.keep_brush_loaded();
        self.previous_paint.reset(&mut self.state);
        self.state.stale = Stale::All;
        if let Some(screen) = &mut self.screen {
            screen.renderer().reset_canvas();
        }
        if let Some(session) = &self.state.session {
            self.view.fit([session.document().width, session.document().height]);
        }
        self.redraw();
    }

    /// The engine's device is gone. Another takes its place, the one that was wished for or the CPU; study, panels and what is held
    /// but not laid stay as they are.
    pub(super) fn replace_engine(&mut self, why: &EngineError) {
        self.pointer.reset();
        studies::replace_engine(&mut self.state, why);
        self.redraw();
    }

    /// Ends the window with an error.
    pub(super) fn fail(&mut self, event_loop: &dyn ActiveEventLoop, error: WindowError) {
        #[cfg(target_arch = "wasm32")]
        if let Some(browser) = crate::host::page::browser() {
            browser.failed(&error.to_string());
        }
        self.failed.replace(Some(error));
        self.quit(event_loop);
    }

    /// Ends the window in good order.
    pub(super) fn quit(&mut self, event_loop: &dyn ActiveEventLoop) {
        self.pointer.finish_drag(&mut self.state);
        self.state.notices.clear();
        if let Some(window) = &self.window {
            placement::remember(window.as_ref(), &mut self.state);
        }
        self.panels.remember(&mut self.state);
        remembered::remember(&mut self.state);
        studies::close(&mut self.state);
        // A picture that was asked for is written to its end, and nothing is cut off in the middle of a file.
        studies::finish_export(&mut self.state);
        // What only the panels waited for is cancelled with them.
        self.panels = PanelState::default();
        jobs::join_all();
        for notice in &self.state.notices {
            eprintln!("stint: {}", printable(notice));
        }
        if let Some(file) = &self.frame_times_file
            && let Err(error) = disk::write(file, self.frame_times.csv())
        {
            eprintln!(
                "stint: {} cannot be written ({error}); set {FRAME_TIMES_VARIABLE} to another file",
                file.display()
            );
        }
        event_loop.exit();
    }
}
