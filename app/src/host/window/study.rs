//! Which study is open: requests, a study that panels opened, one whose engine is gone, and the end.

use super::app::App;
use super::{FRAME_TIMES_VARIABLE, WindowError};
use crate::base::jobs;
use crate::study::command::{Command, SwatchRef};
use crate::study::session::{Loaded, Session, SessionError};
use crate::ui::panels::PanelState;
use crate::ui::request::Request;
use crate::ui::stale::Stale;
use crate::ui::{studies, wording};
use stint_model::disk;
use stint_model::printable::printable;
use stint_render::choose::EngineChoice;
use stint_render::engine::EngineError;
use winit::event_loop::ActiveEventLoop;

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
                Request::Paste => {
                    if !self.exchange.paste(event_loop, false) {
                        self.state.refuse(wording::NOTHING_TO_PASTE.to_owned());
                    }
                }
                Request::Quit => self.quit(event_loop),
                other => {
                    // Whatever comes instead, a stroke in the making is kept.
                    self.pointer.finish_drag(&mut self.state);
                    self.state.requests.push(other);
                }
            }
        }
        let wake = self.proxy.clone();
        studies::handle(&mut self.state, move || wake.wake_up());
        self.panels.follow_study(&self.state);
        self.redraw();
    }

    /// Notices that another study is open than in the last frame.
    pub(super) fn follow_study(&mut self) {
        let now = self.state.session.as_ref().map(|s| s.path().to_owned());
        if now == self.shown_study {
            return;
        }
        self.shown_study = now;
        self.pointer.reset();
        studies::load_first(&mut self.state);
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

    /// The engine's device is gone. The study file has every finished stroke, so it is opened again: with what was wished
    /// for, or on the CPU.
    pub(super) fn reopen_study(&mut self, why: &EngineError) {
        self.pointer.reset();
        let Some(session) = self.state.session.take() else { return };
        let (path, brush, loaded) = (session.path().to_owned(), session.brush().clone(), session.loaded());
        drop(session);
        let engines = [self.state.engine, EngineChoice::Cpu];
        let opened: Result<Session, SessionError> =
            Session::open(&path, engines[0]).or_else(|_| Session::open(&path, engines[1]));
        match opened {
            Ok(mut session) => {
                let mut commands = vec![Command::Brush(brush)];
                match loaded {
                    Some(Loaded::Swatch(id)) => {
                        commands.push(Command::Load(SwatchRef::Id(id)));
                    }
                    Some(Loaded::Free(colour)) => commands.push(Command::LoadFree(colour.hex())),
                    Some(Loaded::Mixture) | None => {}
                }
                for command in commands {
                    if let Err(error) = session.apply(&command) {
                        self.state.notices.push(error.to_string());
                    }
                }
                studies::enter(&mut self.state, session, None);
                let text = format!("the study was opened again with all finished strokes, because {why}");
                self.state.notices.push(text);
            }
            Err(error) => {
                studies::close(&mut self.state);
                self.state.notices.push(error.to_string());
            }
        }
        self.redraw();
    }

    /// Ends the window with an error.
    pub(super) fn fail(&mut self, event_loop: &dyn ActiveEventLoop, error: WindowError) {
        self.failed.replace(Some(error));
        self.quit(event_loop);
    }

    /// Ends the window in good order.
    pub(super) fn quit(&mut self, event_loop: &dyn ActiveEventLoop) {
        self.pointer.finish_drag(&mut self.state);
        self.state.notices.clear();
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
