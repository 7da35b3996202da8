//! Filling an area beside the window: the area is looked for on a thread of its own, on the picture as it was when it was asked for.
//!
//! What is asked for while it is looked for comes behind it: whatever changes the study, or takes something else on the brush, waits for the
//! area first. So the steps keep their order, and the area is filled with the paint that was on the brush.

use super::{Done, Session, SessionError};
use crate::base::jobs::{Job, Outcome};
use crate::study::command::Command;
use stint_render::canvas::{Fill, FillError, MAX_GAP_PX};
use stint_render::mask::Mask;

/// An area that is being looked for.
pub(super) struct Filling {
    command: Command,
    job: Job<Result<Mask, FillError>>,
}

impl Session {
    /// Begins to fill an area with the loaded paint. Never waits for it: [`Session::poll`] lays it once it is found, and
    /// [`Session::take_answered`] tells.
    ///
    /// # Errors
    /// When a setting is out of range, nothing can be laid now, or something is in the making.
    pub fn begin_fill(&mut self, fill: Fill) -> Result<(), SessionError> {
        self.poll()?;
        self.finish_fill();
        self.finish_travels()?;
        self.may_begin()?;
        self.end_preview();
        self.may_fill(fill)?;
        let source = self.canvas.fill_source()?;
        let waker = self.recorder.waker();
        let job = Job::start(
            "fill",
            move || waker.iter().for_each(|wake| wake()),
            move |progress| source.take()?.mask(fill, &|| progress.is_cancelled()),
        );
        let job = job.map_err(|error| SessionError::Internal(format!("no thread for filling: {error}")))?;
        let command = Command::Fill { at: fill.at, tolerance: fill.tolerance, gap: fill.gap_px };
        self.filling = Some(Filling { command, job });
        Ok(())
    }

    /// Whether an area is being looked for.
    pub fn is_filling(&self) -> bool {
        self.filling.is_some()
    }

    /// Lets the area go that is being looked for.
    pub fn cancel_fill(&mut self) {
        self.filling = None;
    }

    /// Lays the area that was looked for if it is found. Never waits.
    pub(super) fn follow_fill(&mut self) {
        let outcome = self.filling.as_ref().map(|filling| filling.job.poll());
        let found = match outcome {
            None | Some(Outcome::Running) => return,
            Some(Outcome::Done(found)) => Some(found),
            Some(Outcome::Died) => None,
        };
        if let Some(Filling { command, .. }) = self.filling.take() {
            self.lay_found(&command, found);
        }
    }

    /// Waits for the area that is being looked for, and lays it.
    pub(super) fn finish_fill(&mut self) {
        if let Some(Filling { command, job }) = self.filling.take() {
            let found = job.wait();
            self.lay_found(&command, found);
        }
    }

    fn lay_found(&mut self, command: &Command, found: Option<Result<Mask, FillError>>) {
        self.end_preview();
        let laid = match found {
            Some(Ok(mask)) => self.lay_filled(command, mask),
            Some(Err(error)) => Err(error.into()),
            None => Err(SessionError::Internal("the thread that fills has ended".to_owned())),
        };
        self.answered.push_back(laid);
    }

    /// Fills an area with the loaded paint, and waits for it.
    pub(super) fn fill(&mut self, command: &Command, fill: Fill) -> Result<Done, SessionError> {
        self.may_fill(fill)?;
        let mask = self.canvas.fill_mask(fill)?;
        self.lay_filled(command, mask)
    }

    /// A load or a setting that is refused is refused before the area is looked for.
    fn may_fill(&self, fill: Fill) -> Result<(), SessionError> {
        let held = |what, value: f32, high| {
            let low = 0.0;
            if (low..=high).contains(&value) { Ok(()) } else { Err(SessionError::Range { what, value, low, high }) }
        };
        held("tolerance of a fill", fill.tolerance, 1.0)?;
        held("gap that a fill closes", fill.gap_px as f32, MAX_GAP_PX as f32)?;
        self.loaded_paint().map(drop)
    }

    fn lay_filled(&mut self, command: &Command, mut mask: Mask) -> Result<Done, SessionError> {
        if mask.tiles.is_empty() {
            return Err(SessionError::NothingToFill);
        }
        self.hold_back(&mut mask)?;
        self.lay_mask(command, &mask)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::SwatchRef;
    use crate::study::session::StrokeTool;
    use std::sync::Arc;
    use std::sync::mpsc::channel;
    use std::time::Duration;
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_model::ids::SwatchId;
    use stint_render::choose::EngineChoice;
    use stint_render::mask::PenSample;
    use stint_render::mask::mass::Edge;

    const FILL: Fill = Fill { at: (100, 70), tolerance: 0.05, gap_px: 6 };

    /// A study with a closed frame, and another paint on the brush.
    fn session() -> Session {
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::in_memory((200, 150), board, EngineChoice::Cpu).unwrap();
        for (role, colour) in [(Role::Local, "#73524e"), (Role::Light, "#c0a080")] {
            let (family, name, colour) = ("Brick".to_owned(), String::new(), colour.to_owned());
            session.apply(&Command::AddSwatch { family, role, name, colour, by_role: false }).unwrap();
        }
        session.apply(&load(1)).unwrap();
        for [left, top, right, bottom] in [
            [40.0, 30.0, 160.0, 38.0],
            [40.0, 112.0, 160.0, 120.0],
            [40.0, 30.0, 48.0, 120.0],
            [152.0, 30.0, 160.0, 120.0],
        ] {
            let outline = vec![[left, top], [right, top], [right, bottom], [left, bottom]];
            session.apply(&Command::Mass { outline, edge: Edge::Hard }).unwrap();
        }
        session.apply(&load(2)).unwrap();
        session
    }

    fn load(id: u32) -> Command {
        Command::Load(SwatchRef::Id(SwatchId(id)))
    }

    fn command() -> Command {
        Command::Fill { at: FILL.at, tolerance: FILL.tolerance, gap: FILL.gap_px }
    }

    #[test]
    fn an_area_comes_when_it_is_found_and_is_the_one_that_waiting_for_it_gives() {
        let (mut beside, mut waiting) = (session(), session());
        waiting.apply(&command()).unwrap();
        let (woke, waking) = channel();
        beside.wake_with(Arc::new(move || {
            let _ = woke.send(());
        }));
        let depths = beside.depths();
        beside.begin_fill(FILL).unwrap();
        assert!(beside.is_filling() && beside.depths() == depths);
        while beside.is_filling() {
            waking.recv_timeout(Duration::from_secs(60)).unwrap();
            beside.poll().unwrap();
        }
        assert!(!beside.take_answered().unwrap().unwrap().tiles.is_empty());
        assert!(beside.take_answered().is_none());
        beside.settle().unwrap();
        assert_eq!(beside.canvas().all_tiles().unwrap(), waiting.canvas().all_tiles().unwrap());
        assert_eq!(beside.depths().0, depths.0 + 1);
    }

    /// What comes meanwhile comes behind it: the area has the paint that was on the brush, and is the step before.
    #[test]
    fn what_is_done_meanwhile_comes_behind_it() {
        let mut session = session();
        let depths = session.depths();
        session.begin_fill(FILL).unwrap();
        session.apply(&load(1)).unwrap();
        session.begin_stroke(StrokeTool::Brush).unwrap();
        session.extend_stroke(&[PenSample::new(10.0, 10.0, 1.0), PenSample::new(30.0, 12.0, 1.0)]).unwrap();
        session.finish_stroke().unwrap();
        session.settle().unwrap();
        assert!(session.take_answered().unwrap().is_ok());
        assert_eq!(session.depths().0, depths.0 + 2);
        let labels: Vec<_> = session.steps().iter().rev().take(2).map(|step| step.command.clone()).collect();
        assert!(labels[0].starts_with("Stroke") && labels[1].starts_with("Fill"), "{labels:?}");
        let paint = |session: &mut Session, x, y| session.paints_at(x, y).unwrap()[0].0;
        assert_ne!(paint(&mut session, 100, 70), paint(&mut session, 20, 11));
    }

    #[test]
    fn an_area_that_is_let_go_or_refused_changes_nothing() {
        let mut session = session();
        let depths = session.depths();
        session.begin_fill(FILL).unwrap();
        session.cancel_fill();
        session.settle().unwrap();
        assert!(session.take_answered().is_none());
        assert!(matches!(session.begin_fill(Fill { tolerance: 2.0, ..FILL }), Err(SessionError::Range { .. })));
        session.begin_fill(Fill { at: (900, 900), ..FILL }).unwrap();
        session.settle().unwrap();
        assert!(matches!(session.take_answered(), Some(Err(SessionError::NothingToFill))));
        assert_eq!(session.depths(), depths);
    }
}
