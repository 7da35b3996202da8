//! Recording: a queue between the session and the study file, so that nobody who paints waits for the disk.
//!
//! A finished step is shown at once and handed to a thread that owns the file, packs it and writes it. Until the file has it, what
//! it takes to go back is kept here. When a step cannot be kept, the steps behind it in the queue are not tried: all of them
//! are taken back together.

use super::SessionError;
use crate::base::jobs::Outcome;
use crate::base::worker::{Reply, WorkSender, Worker};
use crate::study::command::Command;
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use stint_model::disk::{self, Mark, Mirrored};
use stint_model::ids::PassId;
use stint_model::readout::Opened;
use stint_model::study::Document;
use stint_model::study::file::{
    Lid, Moved, NewPhoto, Noted, ShareRow, Shares, Step, StepId, StepKind, StudyError, StudyFile, TileChange,
};
use stint_model::study::reading::PackedTiles;
use stint_model::study::snapshot::Snapshot;
use stint_model::study::tile::{TileKey, TilePixels};
use stint_model::study::travel::{Direction, Journey};
use stint_render::canvas::{Change, TileSource};
use stint_render::engine::EngineError;
use stint_render::engine::answer::Answer;

/// Planes that may wait to be written, before and after together: 512 MiB.
const MAX_WAITING_PLANES: usize = 8192;
/// Steps that may wait to be written.
const MAX_WAITING_STEPS: usize = 256;

/// Called, on another thread, when a step could not be kept, or when the pixels of a stroke are here.
pub type Waker = Arc<dyn Fn() + Send + Sync>;

/// The file, on its thread.
pub(super) struct Writer {
    file: StudyFile,
    /// The batch of steps in which one could not be kept: no other step of it is tried.
    failed_batch: Option<u64>,
    /// The step back or on that was planned last.
    journey: Option<Journey>,
}

/// Why a step is not in the file, or the head was not moved.
pub(super) enum NotKept {
    /// The file refused it.
    Refused(Box<StudyError>),
    /// Its command cannot be written down.
    Unwritable(String),
    /// A step before it was refused.
    Behind,
}

/// What the history is at the last step that was handed over.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Position {
    pub(super) undo_depth: u64,
    pub(super) redo_depth: u64,
    pub(super) strokes: u64,
}

/// A step to be recorded.
pub(super) struct NewStep {
    pub(super) command: Command,
    pub(super) kind: StepKind,
    /// The document after it, if it changed.
    pub(super) document: Option<Document>,
    pub(super) changes: Vec<Change>,
    pub(super) shares: Shares,
    pub(super) noted: Noted,
    /// The photo that it takes in.
    pub(super) photo: Option<StoredPhoto>,
}

/// A photo as it goes into the file.
pub(super) struct StoredPhoto {
    /// From [`StudyFile::photo_key`].
    pub(super) key: i64,
    pub(super) name: String,
    pub(super) bytes: Arc<Vec<u8>>,
}

/// What it takes to go back to before a step.
pub(super) struct Before {
    pub(super) document: Document,
    pub(super) recorded_pass: PassId,
    pub(super) changes: Vec<Change>,
    position: Position,
    /// The lid that the step opened.
    opened: Option<Lid>,
}

impl Before {
    fn planes(&self) -> usize {
        self.changes.iter().map(|c| c.before.planes().len() + c.after.planes().len()).sum()
    }
}

/// Steps on their way into the study file: written on a thread of their own, in order, each answered kept or not kept.
pub(super) struct Recorder {
    worker: Worker<Writer>,
    path: PathBuf,
    /// Steps without an answer, oldest first.
    waiting: VecDeque<(Reply<Result<StepId, NotKept>>, Before)>,
    /// Counts up when steps are taken back.
    batch: u64,
    waker: Option<Waker>,
    position: Position,
    opened: Vec<Opened>,
    photo_opened: Vec<Opened>,
    /// The readout after each step up to the last, once it was asked for.
    shares: Option<Vec<ShareRow>>,
    /// The last change of the file.
    written: Mark,
}

impl Recorder {
    pub(super) fn start(file: StudyFile) -> Result<Self, SessionError> {
        let position =
            Position { undo_depth: file.undo_depth(), redo_depth: file.redo_depth(), strokes: file.strokes() };
        let path = file.path().to_owned();
        let (opened, photo_opened) = (file.opened().to_vec(), file.photo_opened().to_vec());
        let worker = Worker::start("recording", Writer { file, failed_batch: None, journey: None });
        let worker = worker.map_err(|e| SessionError::Internal(format!("no thread for recording: {e}")))?;
        let waiting = VecDeque::new();
        Ok(Recorder {
            worker,
            path,
            waiting,
            batch: 0,
            waker: None,
            position,
            opened,
            photo_opened,
            shares: None,
            written: disk::mark(),
        })
    }

    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    pub(super) fn position(&self) -> Position {
        self.position
    }

    /// Every opening of free colour.
    pub(super) fn opened(&self) -> &[Opened] {
        &self.opened
    }

    /// Every opening of the photo of a study that is painted without it.
    pub(super) fn photo_opened(&self) -> &[Opened] {
        &self.photo_opened
    }

    pub(super) fn wake_with(&mut self, waker: Waker) {
        self.waker = Some(waker);
    }

    pub(super) fn waker(&self) -> Option<Waker> {
        self.waker.clone()
    }

    /// Has an answer of the engine unpacked, and wakes whoever waits for it.
    pub(super) fn unpack<R: Send + 'static>(&self, answer: Answer<R>) -> Reply<Result<R, EngineError>> {
        self.send_and_wake(move |_| answer.take())
    }

    /// Hands a step over; `document` and `recorded_pass` are those before it.
    pub(super) fn push(&mut self, step: NewStep, document: Document, recorded_pass: PassId) {
        let (kind, shares, opened) = (step.kind, step.shares, step.noted.opened.clone());
        let (position, batch, changes) = (self.position, self.batch, step.changes.clone());
        let waker = self.waker.clone();
        let failed = Arc::new(AtomicBool::new(false));
        let told = failed.clone();
        let write = move |writer: &mut Writer| {
            let answer = writer.write(&step, batch);
            failed.store(answer.is_err(), Ordering::Relaxed);
            answer
        };
        let wake = move || waker.iter().filter(|_| told.load(Ordering::Relaxed)).for_each(|wake| wake());
        let reply = self.worker.sender().send(write, wake);
        self.written = disk::mark();
        self.position = Position {
            undo_depth: position.undo_depth + 1,
            redo_depth: 0,
            strokes: position.strokes + u64::from(kind == StepKind::Stroke),
        };
        if let Some(rows) = &mut self.shares {
            rows.push(ShareRow { step: StepId(self.position.undo_depth), strokes: self.position.strokes, shares });
        }
        let lid = opened.as_ref().map(|(lid, _)| *lid);
        if let Some((lid, opened)) = opened {
            self.opened_mut(lid).push(opened);
        }
        self.waiting.push_back((reply, Before { document, recorded_pass, changes, position, opened: lid }));
    }

    fn opened_mut(&mut self, lid: Lid) -> &mut Vec<Opened> {
        match lid {
            Lid::FreeColour => &mut self.opened,
            Lid::Photo => &mut self.photo_opened,
        }
    }

    /// What has become of everything that was written so far, where files last a little later than they are written.
    pub(super) fn mirrored(&self) -> Mirrored {
        disk::mirrored(self.written)
    }

    /// Takes the answers that are there. Never waits.
    ///
    /// # Errors
    /// Why a step could not be kept: [`Recorder::take_back`] is next.
    pub(super) fn poll(&mut self) -> Result<(), SessionError> {
        while let Some((reply, _)) = self.waiting.front() {
            match reply.poll() {
                Outcome::Running => return Ok(()),
                Outcome::Done(Ok(_)) => drop(self.waiting.pop_front()),
                Outcome::Done(Err(why)) => return Err(why.into()),
                Outcome::Died => return Err(writer_ended()),
            }
        }
        Ok(())
    }

    /// Waits until every step is answered.
    ///
    /// # Errors
    /// As for [`Recorder::poll`].
    pub(super) fn wait(&mut self) -> Result<(), SessionError> {
        self.wait_for(0)
    }

    /// Waits while so much is without an answer that memory could run out.
    ///
    /// # Errors
    /// As for [`Recorder::poll`].
    pub(super) fn wait_for_room(&mut self) -> Result<(), SessionError> {
        while self.waiting.len() > 1
            && self.waiting.iter().map(|(_, before)| before.planes()).sum::<usize>() > MAX_WAITING_PLANES
        {
            self.wait_for(self.waiting.len() - 1)?;
        }
        self.wait_for(MAX_WAITING_STEPS)
    }

    fn wait_for(&mut self, most: usize) -> Result<(), SessionError> {
        while self.waiting.len() > most
            && let Some((reply, _)) = self.waiting.front()
        {
            match reply.wait() {
                Some(Ok(_)) => drop(self.waiting.pop_front()),
                Some(Err(why)) => return Err(why.into()),
                None => return Err(writer_ended()),
            }
        }
        Ok(())
    }

    /// Takes every step without an answer out of the queue, the last first.
    pub(super) fn take_back(&mut self) -> Vec<Before> {
        self.batch += 1;
        let steps: Vec<Before> = self.waiting.drain(..).rev().map(|(_, before)| before).collect();
        for before in &steps {
            self.position = before.position;
            if let Some(lid) = before.opened {
                self.opened_mut(lid).pop();
            }
            if let Some(rows) = &mut self.shares {
                rows.pop();
            }
        }
        steps
    }

    /// Has something done with the file, after every step that was handed over, and waits for it.
    ///
    /// # Errors
    /// As `work` says.
    pub(super) fn call<R: Send + 'static>(
        &self,
        work: impl FnOnce(&mut StudyFile) -> Result<R, StudyError> + Send + 'static,
    ) -> Result<R, SessionError> {
        let done = self.worker.sender().call(|writer| work(&mut writer.file));
        Ok(done.ok_or_else(writer_ended)??)
    }

    /// Begins a step back or on: reads what would change, after every step that was handed over, and changes nothing. None at the end of
    /// the history.
    pub(super) fn plan(&self, direction: Direction) -> Reply<Result<Option<Moved>, NotKept>> {
        let batch = self.batch;
        self.send_and_wake(move |writer| writer.plan(direction, batch))
    }

    /// Moves the head of the history as it was planned last. Nothing may be handed over in between.
    pub(super) fn go(&mut self) -> Reply<Result<(), NotKept>> {
        let reply = self.send_and_wake(Writer::go);
        self.written = disk::mark();
        reply
    }

    /// Notes that the head has moved, to the row of shares that was told when it was planned.
    pub(super) fn went(&mut self, direction: Direction, now: ShareRow) {
        let Position { undo_depth, redo_depth, .. } = self.position;
        let (undo_depth, redo_depth) = match direction {
            Direction::Back => (undo_depth - 1, redo_depth + 1),
            Direction::On => (undo_depth + 1, redo_depth - 1),
        };
        self.position = Position { undo_depth, redo_depth, strokes: now.strokes };
        if let Some(rows) = &mut self.shares {
            match direction {
                Direction::Back => drop(rows.pop()),
                Direction::On => rows.push(now),
            }
        }
    }

    /// Has something done with the file, after every step that was handed over, and wakes whoever waits for it.
    pub(super) fn send_and_wake<R: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Writer) -> R + Send + 'static,
    ) -> Reply<R> {
        let waker = self.waker.clone();
        self.worker.sender().send(work, move || waker.iter().for_each(|wake| wake()))
    }

    /// The readout after each step up to the last one. Read from the file the first time, when every step must have been
    /// answered.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub(super) fn shares(&mut self) -> Result<&[ShareRow], SessionError> {
        if self.shares.is_none() {
            self.shares = Some(self.call(|file| file.shares())?);
        }
        Ok(self.shares.as_deref().unwrap_or_default())
    }

    /// Whether [`Recorder::shares`] has to read the file.
    pub(super) fn must_read_shares(&self) -> bool {
        self.shares.is_none()
    }

    /// A snapshot of the tiles, after every step that was handed over.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub(super) fn snapshot(&self) -> Result<SnapshotReader, SessionError> {
        let snapshot = Arc::new(self.call(StudyFile::snapshot)?);
        Ok(SnapshotReader { writer: self.worker.sender().clone(), snapshot })
    }

    /// Reads tiles from any thread, between the steps that are being written.
    pub(super) fn tile_reader(&self) -> TileReader {
        TileReader { writer: self.worker.sender().clone() }
    }

    /// Ends the thread and closes the file, after everything that was handed over.
    ///
    /// # Errors
    /// When the system reports a fault on closing.
    pub(super) fn close(self) -> Result<(), SessionError> {
        // While the thread still answers: an export that finds it gone goes on with what was saved.
        self.call(|file| {
            file.save_snapshots();
            Ok(())
        })?;
        let writer = self.worker.end().ok_or_else(writer_ended)?;
        Ok(writer.file.close()?)
    }
}

impl Writer {
    fn write(&mut self, step: &NewStep, batch: u64) -> Result<StepId, NotKept> {
        if self.failed_batch == Some(batch) {
            return Err(NotKept::Behind);
        }
        self.record(step).inspect_err(|_| self.failed_batch = Some(batch))
    }

    fn plan(&mut self, direction: Direction, batch: u64) -> Result<Option<Moved>, NotKept> {
        if self.failed_batch == Some(batch) {
            return Err(NotKept::Behind);
        }
        self.journey = None;
        let planned = self.file.plan(direction).map_err(|error| NotKept::Refused(Box::new(error)))?;
        Ok(planned.map(|(journey, moved)| {
            self.journey = Some(journey);
            moved
        }))
    }

    fn go(&mut self) -> Result<(), NotKept> {
        match self.journey.take() {
            Some(journey) => self.file.go(journey).map_err(|error| NotKept::Refused(Box::new(error))),
            None => Err(NotKept::Behind),
        }
    }

    fn record(&mut self, step: &NewStep) -> Result<StepId, NotKept> {
        let NewStep { command, kind, document, changes, shares, noted, photo } = step;
        let text = ron::to_string(command).map_err(|e| NotKept::Unwritable(e.to_string()))?;
        let tiles: Vec<_> =
            changes.iter().map(|c| TileChange { key: c.key, before: &c.before, after: &c.after }).collect();
        let step = Step {
            label: command.label(),
            kind: *kind,
            command: &text,
            document: document.as_ref(),
            tiles: &tiles,
            shares: *shares,
            noted: noted.clone(),
        };
        let kept = match photo {
            Some(StoredPhoto { key, name, bytes }) => {
                self.file.record_with_photo(step, NewPhoto { key: *key, name, bytes })
            }
            None => self.file.record(step),
        };
        kept.map_err(|error| NotKept::Refused(Box::new(error)))
    }
}

/// Reads tiles of the open file. A tile that nothing was put in the place of is in it as it was when the study was opened.
pub(super) struct TileReader {
    writer: WorkSender<Writer>,
}

impl TileSource for TileReader {
    fn read(&self, keys: &[TileKey]) -> Result<Vec<(TileKey, TilePixels)>, String> {
        self.packed(keys)?.unpack().map_err(|error| error.to_string())
    }

    fn read_beside(&self, keys: &[TileKey]) -> Result<Vec<(TileKey, TilePixels)>, String> {
        self.packed(keys)?.unpack_in_turn().map_err(|error| error.to_string())
    }
}

impl TileReader {
    fn packed(&self, keys: &[TileKey]) -> Result<PackedTiles, String> {
        let keys = keys.to_vec();
        let packed = self.writer.call(move |writer| writer.file.packed_tiles(&keys));
        packed.ok_or_else(|| writer_ended().to_string())?.map_err(|error| error.to_string())
    }
}

/// Reads a snapshot from any thread, between the steps that are being written, and after the study was closed.
pub(super) struct SnapshotReader {
    writer: WorkSender<Writer>,
    snapshot: Arc<Snapshot>,
}

impl SnapshotReader {
    /// The tiles of a row of tiles; each row can be read once.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub(super) fn read_row(&self, row: u16) -> Result<Vec<(TileKey, TilePixels)>, SessionError> {
        let snapshot = self.snapshot.clone();
        let packed = self.writer.call(move |writer| writer.file.read_row(&snapshot, row));
        let packed = packed.unwrap_or_else(|| self.snapshot.read_row_after_close(row))?;
        Ok(self.snapshot.unpack(&packed)?)
    }
}

impl From<NotKept> for SessionError {
    fn from(why: NotKept) -> Self {
        match why {
            NotKept::Refused(error) => SessionError::Study(error),
            NotKept::Unwritable(what) => SessionError::Internal(what),
            NotKept::Behind => SessionError::Internal("a step was queued behind one that failed".to_owned()),
        }
    }
}

pub(super) fn writer_ended() -> SessionError {
    SessionError::Internal("the thread that records has ended".to_owned())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::SwatchRef;
    use crate::study::session::Session;
    use std::sync::mpsc::channel;
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_model::ids::SwatchId;
    use stint_render::choose::EngineChoice;
    use stint_render::mask::mass::Edge;

    /// Nothing stands in its way any more when its turn comes, and it is not tried all the same: it lies on what is not in the file.
    #[test]
    fn what_waits_behind_a_step_that_failed_is_not_tried() {
        let folder = tempfile::tempdir().unwrap();
        let (path, away) = (folder.path().join("depot.stint"), folder.path().join("away"));
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::create(&path, (300, 200), board, EngineChoice::Cpu).unwrap();
        let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
        session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
        session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
        let mass = |left: f32| {
            let outline = vec![[left, 10.0], [left + 90.0, 10.0], [left, 150.0]];
            Command::Mass { outline, edge: Edge::Soft }
        };
        // The paint is in the study before, so that nothing else stands in the way of what comes behind.
        session.apply(&mass(5.0)).unwrap();
        let before = session.depths();
        let (go, gate) = channel::<()>();
        let held = session.recorder.send_and_wake(move |_| gate.recv().is_ok());
        session.submit(&mass(10.0)).unwrap();
        let (from, to) = (away.clone(), path.clone());
        let back = session.recorder.send_and_wake(move |_| std::fs::rename(from, to).is_ok());
        session.submit(&mass(120.0)).unwrap();
        // Away while the first is written, and there again before the second.
        std::fs::rename(&path, &away).unwrap();
        go.send(()).unwrap();
        let refused = session.settle().unwrap_err();
        assert!(matches!(refused, SessionError::TakenBack { steps: 2, .. }), "{refused}");
        assert_eq!((held.wait(), back.wait()), (Some(true), Some(true)));
        assert_eq!(session.depths(), before);
        session.close().unwrap();
        assert_eq!(StudyFile::open(&path).unwrap().undo_depth(), before.0);
    }
}
