//! Strokes whose pixels are still on their way from the engine: shown, counted among the steps, not yet handed to the file.
//!
//! Nobody waits for a device when a pen lifts. What a stroke changed is unpacked on the thread that records, and the step is handed to it
//! when the answer is here; steps keep their order. When the device fails to answer, that stroke and all later ones are taken back.

use super::recorder::NewStep;
use super::steps::TakenBack;
use super::{Done, Session, SessionError, shares_of};
use crate::base::jobs::Outcome;
use crate::base::worker::Reply;
use crate::study::command::Command;
use stint_model::ids::PassId;
use stint_model::study::Document;
use stint_model::study::file::{Noted, StepKind, StudyError};
use stint_render::canvas::{Lift, LiftedPixels};
use stint_render::engine::EngineError;
use stint_render::engine::answer::Answer;

/// One of them.
pub(super) struct LiftedStep {
    command: Command,
    lift: Lift,
    pixels: Reply<Result<LiftedPixels, EngineError>>,
    /// The document after it, and whether that is recorded with it.
    document: Document,
    records_document: bool,
    worked_s: u64,
    /// The document before it, and the pass that was recorded last.
    before: (Document, PassId),
}

impl Session {
    /// Whether pixels of a stroke that has ended are still on their way: the readout follows when they are here.
    pub fn is_lifting(&self) -> bool {
        !self.lifted.is_empty()
    }

    /// Records a stroke that has become part of its pass: at once where its pixels are here, else when they come.
    pub(super) fn record_lift(
        &mut self,
        command: &Command,
        document: Document,
        (lift, mut answer): (Lift, Answer<LiftedPixels>),
    ) -> Result<Done, SessionError> {
        if self.lifted.is_empty() && answer.has_come() {
            let pixels = match answer.take() {
                Ok(pixels) => pixels,
                Err(error) => return Err(self.refuse_lift(lift, error.into())),
            };
            let changes = self.canvas.take_lift(lift, pixels);
            return self.record(command, StepKind::Stroke, document, changes, None);
        }
        if self.read_only {
            let why = StudyError::Reading { path: self.path().to_owned() };
            return Err(self.refuse_lift(lift, why.into()));
        }
        if let Err(why) = self.recorder.wait_for_room() {
            self.canvas.revert_lift(lift);
            return Err(self.take_back().because(why));
        }
        let worked_s = self.work_on();
        let differs = document != self.document;
        let records_document = differs || document.active_pass != self.recorded_pass;
        let recorded_pass = std::mem::replace(&mut self.recorded_pass, document.active_pass);
        let before = (std::mem::replace(&mut self.document, document.clone()), recorded_pass);
        let tiles = lift.tiles().collect();
        let pixels = self.recorder.unpack(answer);
        let command = command.clone();
        self.lifted.push_back(LiftedStep { command, lift, pixels, document, records_document, worked_s, before });
        self.changes += 1;
        Ok(Done { stroke: Some(self.strokes()), tiles, document: differs, moved: None })
    }

    fn refuse_lift(&mut self, lift: Lift, why: SessionError) -> SessionError {
        self.canvas.revert_lift(lift);
        let old = self.document.clone();
        self.show(&old);
        why
    }

    /// Hands strokes whose pixels are here to the queue that records them; waits for all of them, or never.
    ///
    /// # Errors
    /// Why the pixels of one cannot be had: [`Session::take_back_lifts`] is next.
    pub(super) fn take_lifts(&mut self, wait: bool) -> Result<(), SessionError> {
        while let Some(step) = self.lifted.front() {
            let died = || SessionError::Internal("the thread that records has ended".to_owned());
            let pixels = if wait {
                step.pixels.wait().ok_or_else(died)?
            } else {
                match step.pixels.poll() {
                    Outcome::Running => return Ok(()),
                    Outcome::Done(pixels) => pixels,
                    Outcome::Died => return Err(died()),
                }
            };
            let pixels = pixels?;
            let Some(step) = self.lifted.pop_front() else { return Ok(()) };
            let changes = self.canvas.take_lift(step.lift, pixels);
            let shares = shares_of(&self.canvas, &step.document);
            let document = step.records_document.then_some(step.document);
            let noted = Noted { opened: None, worked_s: step.worked_s };
            let (command, kind) = (step.command, StepKind::Stroke);
            let new = NewStep { command, kind, document, changes, shares, noted, photo: None };
            self.recorder.push(new, step.before.0, step.before.1);
        }
        Ok(())
    }

    /// Takes back every stroke whose pixels are not here; tells how many.
    pub(super) fn take_back_lifts(&mut self) -> TakenBack {
        // What was looked for was looked for on a picture that is taken back.
        self.filling = None;
        // The steps that they would lead over are gone.
        self.travels.clear();
        let (stroke, moved) = (self.active_stroke.take(), self.active_move.take());
        if stroke.is_some() || moved.is_some() {
            self.canvas.cancel();
        }
        let steps = std::mem::take(&mut self.lifted);
        let taken = TakenBack(steps.len());
        for step in steps.into_iter().rev() {
            self.canvas.revert_lift(step.lift);
            (self.document, self.recorded_pass) = step.before;
        }
        self.show_what_is_left();
        taken
    }
}
