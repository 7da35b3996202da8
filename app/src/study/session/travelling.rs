//! Stepping back and on beside the window: what changes is read and packed on the thread that records, the canvas takes it, the head of
//! the history is moved there, and what shows comes last, which cannot fail.
//!
//! Whatever else is asked for meanwhile comes behind it, so steps keep their order.

use super::recorder::{NotKept, writer_ended};
use super::{Done, Session, SessionError};
use crate::base::jobs::Outcome;
use crate::base::worker::Reply;
use std::collections::BTreeSet;
use stint_model::study::Document;
use stint_model::study::file::{Moved, ShareRow};
use stint_model::study::tile::TilePos;
use stint_model::study::travel::Direction;
use stint_render::canvas::Uploaded;

/// A step back or on that is on its way.
pub(super) struct Travel {
    direction: Direction,
    stage: Stage,
}

enum Stage {
    /// Behind strokes whose pixels are on their way, an area that is being looked for, or another of its kind.
    Behind,
    /// What would change is being read.
    Reading(Reply<Result<Option<Moved>, NotKept>>),
    /// The canvas can follow; the head is being moved.
    Going(Reply<Result<(), NotKept>>, Box<Ready>),
}

/// What the canvas follows with.
struct Ready {
    label: String,
    document: Option<Document>,
    shares: ShareRow,
    tiles: BTreeSet<TilePos>,
    uploaded: Uploaded,
}

impl Session {
    /// Begins a step back or on, behind those that were begun before. Never waits for it: [`Session::poll`] follows, and
    /// [`Session::take_answered`] tells.
    ///
    /// # Errors
    /// When there is nothing to step over, something is in the making, or a step before could not be kept.
    pub fn begin_travel(&mut self, direction: Direction) -> Result<(), SessionError> {
        self.poll()?;
        self.may_begin()?;
        self.settle_pick();
        self.end_preview();
        let depth = match (direction, self.depths()) {
            (Direction::Back, (back, _)) => back,
            (Direction::On, (_, on)) => on,
        };
        // An area that is being looked for is a step that is still to come.
        if depth == 0 && self.filling.is_none() {
            return Err(at_the_end(direction));
        }
        self.work_on();
        self.travels.push_back(Travel { direction, stage: Stage::Behind });
        self.follow_travels();
        Ok(())
    }

    /// Whether steps back or on are on their way.
    pub fn is_travelling(&self) -> bool {
        !self.travels.is_empty()
    }

    /// Steps back or on, and waits for it.
    pub(super) fn travel(&mut self, direction: Direction) -> Result<Done, SessionError> {
        self.settle()?;
        self.work_on();
        self.travels.push_back(Travel { direction, stage: Stage::Behind });
        let earlier = self.answered.len();
        self.finish_travels()?;
        // Everything before it was settled, so the one answer that was added is its own.
        self.answered.remove(earlier).unwrap_or_else(|| Err(at_the_end(direction)))
    }

    /// How many steps can be undone and redone once those on their way are there.
    pub(super) fn travelled(&self, depths: (u64, u64)) -> (u64, u64) {
        self.travels.iter().fold(depths, |(back, on), travel| match travel.direction {
            Direction::Back => (back.saturating_sub(1), on + 1),
            Direction::On => (back + 1, on.saturating_sub(1)),
        })
    }

    /// Brings steps back and on as far as they come without waiting.
    pub(super) fn follow_travels(&mut self) {
        while let Some(Travel { direction, stage }) = self.travels.pop_front() {
            let next = match stage {
                Stage::Behind if self.filling.is_some() || !self.lifted.is_empty() => Err(Stage::Behind),
                Stage::Behind => Ok(Some(Stage::Reading(self.recorder.plan(direction)))),
                Stage::Reading(reply) => match reply.poll() {
                    Outcome::Running => Err(Stage::Reading(reply)),
                    // The step before it was not kept, which the next look at the queue tells.
                    Outcome::Done(Err(NotKept::Behind)) => Err(Stage::Behind),
                    Outcome::Done(read) => Ok(self.prepare(direction, Some(read))),
                    Outcome::Died => Ok(self.prepare(direction, None)),
                },
                Stage::Going(reply, ready) => match reply.poll() {
                    Outcome::Running => Err(Stage::Going(reply, ready)),
                    Outcome::Done(gone) => Ok(self.arrive(direction, *ready, Some(gone))),
                    Outcome::Died => Ok(self.arrive(direction, *ready, None)),
                },
            };
            match next {
                Ok(Some(stage)) => self.travels.push_front(Travel { direction, stage }),
                Ok(None) => {}
                Err(stage) => {
                    self.travels.push_front(Travel { direction, stage });
                    return;
                }
            }
        }
    }

    /// Waits for steps back and on.
    ///
    /// # Errors
    /// When a step before them could not be kept: it and they are gone.
    pub(super) fn finish_travels(&mut self) -> Result<(), SessionError> {
        while let Some(Travel { direction, stage }) = self.travels.pop_front() {
            let stage = match stage {
                Stage::Behind => {
                    self.finish_fill();
                    self.settle_recording()?;
                    Some(Stage::Reading(self.recorder.plan(direction)))
                }
                Stage::Reading(reply) => match reply.wait() {
                    Some(Err(NotKept::Behind)) => Some(Stage::Behind),
                    read => self.prepare(direction, read),
                },
                Stage::Going(reply, ready) => self.arrive(direction, *ready, reply.wait()),
            };
            if let Some(stage) = stage {
                self.travels.push_front(Travel { direction, stage });
            }
        }
        Ok(())
    }

    /// Has the canvas take what was read, and the head moved; `None` when that ends here.
    fn prepare(&mut self, direction: Direction, read: Option<Result<Option<Moved>, NotKept>>) -> Option<Stage> {
        let Moved { label, document, shares, tiles, .. } = match read {
            Some(Ok(Some(moved))) => moved,
            Some(Ok(None)) => return self.travel_failed(at_the_end(direction)),
            Some(Err(why)) => return self.travel_failed(why.into()),
            None => return self.travel_failed(writer_ended()),
        };
        let places = tiles.iter().map(|(key, _)| key.pos).collect();
        match self.canvas.upload(tiles) {
            Ok(uploaded) => {
                let ready = Ready { label, document, shares, tiles: places, uploaded };
                Some(Stage::Going(self.recorder.go(), Box::new(ready)))
            }
            Err(error) => self.travel_failed(error.into()),
        }
    }

    /// Shows where the head is now.
    fn arrive(&mut self, direction: Direction, ready: Ready, gone: Option<Result<(), NotKept>>) -> Option<Stage> {
        match gone {
            Some(Ok(())) => {}
            Some(Err(why)) => return self.travel_failed(why.into()),
            None => return self.travel_failed(writer_ended()),
        }
        let Ready { label, document, shares, tiles, uploaded } = ready;
        self.recorder.went(direction, shares);
        self.changes += 1;
        let done = Done { tiles, document: document.is_some(), moved: Some(label), ..Done::default() };
        // What was taken in hand or tried out meanwhile was so on what is left now.
        self.end_preview();
        if let Some(mut document) = document {
            // What was put away was another area.
            self.protection.away &= document.protected == self.document.protected;
            self.recorded_pass = document.active_pass;
            // A pass that was chosen stays chosen, unless the step made or removed passes.
            let passes = |d: &Document| (d.free_open, d.passes.iter().map(|p| p.id).collect::<BTreeSet<_>>());
            if passes(&document) == passes(&self.document) {
                document.active_pass = self.document.active_pass;
            }
            self.document = document;
        }
        let document = self.document.clone();
        self.show(&document);
        self.canvas.place(uploaded);
        self.unload_what_is_gone();
        self.answered.push_back(Ok(done));
        None
    }

    /// A step that failed ends those behind it too: they were asked for on top of it.
    fn travel_failed(&mut self, why: SessionError) -> Option<Stage> {
        self.travels.clear();
        self.answered.push_back(Err(why));
        None
    }
}

fn at_the_end(direction: Direction) -> SessionError {
    match direction {
        Direction::Back => SessionError::NothingToUndo,
        Direction::On => SessionError::NothingToRedo,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::{Command, SwatchRef};
    use crate::study::session::StrokeTool;
    use std::collections::BTreeMap;
    use std::sync::Arc;
    use std::sync::mpsc::{Receiver, channel};
    use std::time::Duration;
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_model::ids::SwatchId;
    use stint_model::study::tile::{TileKey, TilePixels};
    use stint_render::choose::EngineChoice;
    use stint_render::mask::PenSample;
    use stint_render::mask::mass::Edge;

    /// A study of three masses, one over the other.
    fn session() -> Session {
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::in_memory((300, 200), board, EngineChoice::Cpu).unwrap();
        let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
        session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
        session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
        for i in 0..3 {
            let left = 40.0 * i as f32;
            let outline = vec![[left, 10.0], [left + 90.0, 10.0], [left + 90.0, 150.0], [left, 150.0]];
            session.apply(&Command::Mass { outline, edge: Edge::Soft }).unwrap();
        }
        session
    }

    /// The paint, and where the history stands.
    fn seen(session: &mut Session) -> (BTreeMap<TileKey, TilePixels>, (u64, u64), u64) {
        let tiles = session.canvas().all_tiles().unwrap();
        let tiles = tiles.into_iter().map(|(key, pixels)| (key, (*pixels).clone())).collect();
        (tiles, session.depths(), session.strokes())
    }

    /// Polls, as a window does when it is woken, until nothing is on its way.
    fn follow(session: &mut Session, waking: &Receiver<()>) {
        while session.is_travelling() {
            waking.recv_timeout(Duration::from_secs(60)).unwrap();
            session.poll().unwrap();
        }
    }

    #[test]
    fn steps_beside_the_window_end_where_steps_that_are_waited_for_end() {
        let (mut beside, mut waiting) = (session(), session());
        let (woke, waking) = channel();
        beside.wake_with(Arc::new(move || {
            let _ = woke.send(());
        }));
        for (ways, command_after) in [
            (&[Direction::Back, Direction::Back, Direction::On][..], None),
            (&[Direction::On, Direction::Back, Direction::Back], Some(())),
        ] {
            for way in ways {
                beside.begin_travel(*way).unwrap();
                waiting.travel(*way).unwrap();
                assert_eq!(beside.depths(), waiting.depths(), "what is on its way counts");
            }
            follow(&mut beside, &waking);
            for way in ways {
                let done = beside.take_answered().unwrap().unwrap();
                assert_eq!(done.moved.as_deref(), Some("Mass"), "{way:?}");
                assert!(!done.tiles.is_empty());
            }
            assert!(beside.take_answered().is_none());
            assert_eq!(seen(&mut beside), seen(&mut waiting));
            assert_eq!(beside.readout().unwrap().board_share, waiting.readout().unwrap().board_share);
            if command_after.is_some() {
                assert!(beside.shares().unwrap() == waiting.shares().unwrap());
            }
        }
    }

    /// The thread that records is held up: nobody waits for it, and nothing shows before the file has moved its head.
    #[test]
    fn a_step_is_begun_while_the_file_is_busy_and_shows_when_the_file_has_it() {
        let mut session = session();
        let before = seen(&mut session).0;
        let (go, gate) = channel::<()>();
        let held = session.recorder.send_and_wake(move |_| gate.recv().is_ok());
        session.begin_travel(Direction::Back).unwrap();
        session.begin_travel(Direction::Back).unwrap();
        session.poll().unwrap();
        assert!(session.is_travelling() && session.take_answered().is_none());
        assert_eq!(seen(&mut session).0, before);
        assert_eq!(session.depths().1, 2);
        go.send(()).unwrap();
        assert_eq!(held.wait(), Some(true));
        session.settle().unwrap();
        assert!(session.take_answered().unwrap().is_ok() && session.take_answered().unwrap().is_ok());
        assert_ne!(seen(&mut session).0, before);
    }

    /// A stroke that is begun meanwhile is painted on what the steps leave, and is the step behind them.
    #[test]
    fn what_is_begun_meanwhile_comes_behind() {
        let mut session = session();
        let (back, _) = session.depths();
        session.begin_travel(Direction::Back).unwrap();
        session.begin_stroke(StrokeTool::Brush).unwrap();
        assert!(!session.is_travelling());
        session.extend_stroke(&[PenSample::new(10.0, 180.0, 1.0), PenSample::new(60.0, 182.0, 1.0)]).unwrap();
        assert!(matches!(session.begin_travel(Direction::Back), Err(SessionError::Painting)));
        session.finish_stroke().unwrap();
        session.settle().unwrap();
        assert_eq!(session.depths(), (back, 0));
    }

    #[test]
    fn the_end_of_the_history_is_told_at_once() {
        let mut session = session();
        assert!(matches!(session.begin_travel(Direction::On), Err(SessionError::NothingToRedo)));
        let (back, _) = session.depths();
        for _ in 0..back {
            session.begin_travel(Direction::Back).unwrap();
        }
        assert!(matches!(session.begin_travel(Direction::Back), Err(SessionError::NothingToUndo)));
        session.settle().unwrap();
        assert_eq!(session.depths(), (0, back));
    }
}
