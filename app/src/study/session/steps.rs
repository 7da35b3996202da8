//! How a change is made, kept in the study file, and taken back where it cannot be kept.

use super::recorder::{NewStep, StoredPhoto, Waker};
use super::{Done, Loaded, Session, SessionError, apply, readout_of};
use crate::study::command::Command;
use stint_model::disk::Mirrored;
use stint_model::readout::{FreeColourNote, Opened};
use stint_model::study::Document;
use stint_model::study::file::{Lid, Noted, Shares, StepKind, StudyError};
use stint_render::canvas::Change;

impl Session {
    /// Makes one change and waits until it is in the study file.
    ///
    /// # Errors
    /// With the reason; nothing has changed then. When an earlier change turns out not to have been kept, this one was not begun.
    pub fn apply(&mut self, command: &Command) -> Result<Done, SessionError> {
        self.settle()?;
        let done = apply::apply(self, command)?;
        match self.settle() {
            Ok(()) => Ok(done),
            // It was the only one without an answer.
            Err(SessionError::TakenBack { why, .. }) => Err(*why),
            Err(why) => Err(why),
        }
    }

    /// Makes one change, shows it and leaves it to the queue to keep it: [`Session::poll`] tells when that fails.
    ///
    /// # Errors
    /// As for [`Session::apply`], as far as it can be told at once.
    pub fn submit(&mut self, command: &Command) -> Result<Done, SessionError> {
        self.poll()?;
        apply::apply(self, command)
    }

    /// Calls `waker`, on another thread, when a change that was submitted could not be kept.
    pub fn wake_with(&mut self, waker: Waker) {
        self.recorder.wake_with(waker.clone());
        self.waker = Some(waker);
    }

    /// Takes the answers of the study file that are there. Never waits.
    ///
    /// # Errors
    /// When a change could not be kept: it and all later ones have been taken back, a stroke in the making with them.
    pub fn poll(&mut self) -> Result<(), SessionError> {
        self.follow_fill();
        self.take_lifts(false).map_err(|why| self.take_back_lifts().because(why))?;
        let answered = self.recorder.poll();
        answered.map_err(|why| self.take_back().because(why))?;
        self.follow_travels();
        Ok(())
    }

    /// What has become of what was begun and done beside the window ([`Session::begin_fill`], [`Session::begin_travel`]): once each, oldest
    /// first.
    pub fn take_answered(&mut self) -> Option<Result<Done, SessionError>> {
        self.answered.pop_front()
    }

    /// What has become of everything that was written so far, where files last a little later than they are written: on the page
    /// in a browser. A desktop's file has what was written.
    pub fn mirrored(&self) -> Mirrored {
        self.recorder.mirrored()
    }

    /// Waits until everything so far is in the study file.
    ///
    /// # Errors
    /// As for [`Session::poll`].
    pub fn settle(&mut self) -> Result<(), SessionError> {
        self.finish_fill();
        self.finish_travels()?;
        self.settle_recording()
    }

    /// Waits until every step that was recorded is in the study file.
    pub(super) fn settle_recording(&mut self) -> Result<(), SessionError> {
        self.settle_lifts()?;
        let answered = self.recorder.wait();
        answered.map_err(|why| self.take_back().because(why))
    }

    /// Waits until the pixels of every stroke that has ended are here.
    pub(super) fn settle_lifts(&mut self) -> Result<(), SessionError> {
        self.take_lifts(true).map_err(|why| self.take_back_lifts().because(why))
    }

    /// Ends the session, with everything in the file.
    ///
    /// # Errors
    /// When a change could not be kept, or the file cannot be closed in good order.
    pub fn close(mut self) -> Result<(), SessionError> {
        // What is being moved stays where it shows.
        let put_down = self.finish_move().map(drop);
        let settled = put_down.and_then(|()| self.settle());
        let closed = self.recorder.close();
        settled.and(closed)
    }

    /// Takes back every step that is not in the file.
    pub(super) fn take_back(&mut self) -> TakenBack {
        let lifted = self.take_back_lifts();
        let steps = self.recorder.take_back();
        let taken = TakenBack(steps.len() + lifted.0);
        for step in steps {
            self.canvas.revert(step.changes);
            (self.document, self.recorded_pass) = (step.document, step.recorded_pass);
        }
        self.show_what_is_left();
        taken
    }

    /// After steps were taken back.
    pub(super) fn show_what_is_left(&mut self) {
        self.previewing = false;
        self.changes += 1;
        let document = self.document.clone();
        self.show(&document);
        self.unload_what_is_gone();
    }

    /// Lets go of what is on the brush when the study, as it is now, does not have it.
    pub(super) fn unload_what_is_gone(&mut self) {
        let document = &self.document;
        self.loaded = self.loaded.filter(|loaded| match loaded {
            Loaded::Swatch(id) => document.board.swatch(*id).is_some(),
            Loaded::Free(_) => document.free_open,
            Loaded::Mixture => self.usable_mixture().is_some(),
            Loaded::Well => !document.well.is_empty(),
        });
    }

    /// Hands one step to the queue: the document (if it differs from the session's) and the changes already made to the canvas.
    /// If that fails everything is taken back.
    pub(super) fn record(
        &mut self,
        command: &Command,
        kind: StepKind,
        document: Document,
        changes: Vec<Change>,
        opened: Option<(Lid, Opened)>,
    ) -> Result<Done, SessionError> {
        self.record_with_photo(command, kind, document, (changes, opened), None)
    }

    /// As [`Session::record`], with the photo that the step takes in.
    pub(super) fn record_with_photo(
        &mut self,
        command: &Command,
        kind: StepKind,
        document: Document,
        (changes, opened): (Vec<Change>, Option<(Lid, Opened)>),
        photo: Option<StoredPhoto>,
    ) -> Result<Done, SessionError> {
        if let Err(error) = self.settle_lifts() {
            self.canvas.revert(changes);
            return Err(error);
        }
        let shares = match self.shares_with(&document) {
            Ok(shares) => shares,
            Err(error) => {
                let old = self.document.clone();
                self.show(&old);
                self.canvas.revert(changes);
                return Err(error);
            }
        };
        if let Err(why) = self.recorder.wait_for_room() {
            self.canvas.revert(changes);
            return Err(self.take_back().because(why));
        }
        let worked_s = self.work_on();
        let differs = document != self.document;
        let tiles = changes.iter().map(|c| c.key.pos).collect();
        let recorded = differs || document.active_pass != self.recorded_pass;
        let new = recorded.then(|| document.clone());
        let recorded_pass = std::mem::replace(&mut self.recorded_pass, document.active_pass);
        let before = std::mem::replace(&mut self.document, document);
        let noted = Noted { opened, worked_s };
        let step = NewStep { command: command.clone(), kind, document: new, changes, shares, noted, photo };
        self.recorder.push(step, before, recorded_pass);
        self.changes += 1;
        let stroke = (kind == StepKind::Stroke).then(|| self.strokes());
        Ok(Done { stroke, tiles, document: differs, moved: None })
    }

    /// The shares with a document that is about to become the session's, which the canvas shows from here on.
    pub(super) fn shares_with(&mut self, document: &Document) -> Result<Shares, SessionError> {
        if self.read_only {
            return Err(StudyError::Reading { path: self.path().to_owned() }.into());
        }
        self.show(document);
        Ok(Shares::from(&readout_of(&mut self.canvas, document, FreeColourNote::default())?))
    }
}

/// How many steps were taken back.
pub(super) struct TakenBack(pub(super) usize);

impl TakenBack {
    pub(super) fn because(self, why: SessionError) -> SessionError {
        SessionError::TakenBack { steps: self.0, why: Box::new(why) }
    }
}
