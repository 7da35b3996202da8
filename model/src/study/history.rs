//! Undo and redo: a head that moves over the recorded steps.
//!
//! Each step keeps, for every tile it changed, the XOR of before and after. Applied to the tile at the head, the same
//! blob leads one step back or one step on. The steps above the head can be redone until a new step cuts them off.

use super::check;
use super::codec::{apply, in_parallel};
use super::document::Document;
use super::error::Fault;
use super::file::{
    BATCH, Lid, Moved, NewPhoto, Noted, ShareRow, Step, StepId, StepKind, StepRow, StudyError, StudyFile,
    require_budget,
};
use super::rows::{
    PackedTile, Position, StoredTile, read_delta, read_delta_keys, read_document, read_edge_keys, read_share_row,
    read_shares, read_steps, read_worked, write_delta, write_document, write_head, write_opened, write_photo,
    write_step, write_tile, write_worked,
};
use super::tile::{TILE_SIDE, TileKey, TilePixels, place_of};
use super::tile_tally::{Limits, TileTally};
use super::unpack::unpack;
use crate::readout::Opened;
use rusqlite::{Connection, TransactionBehavior};
use std::collections::HashSet;
use std::time::Duration;

/// How long a step waits for somebody else who reads the file, such as a copy that is being taken of a large study: a finished
/// stroke is not given up for that.
const WAIT_TO_RECORD: Duration = Duration::from_secs(60);
/// How long undo and redo wait: somebody waits for them.
const WAIT_TO_TRAVEL: Duration = Duration::from_secs(5);

/// Where the head of the history moves.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Direction {
    /// One step back: undo.
    Back,
    /// One step on: redo.
    On,
}

impl StudyFile {
    /// Records a step and moves the head onto it, in one transaction. Steps that could be redone are gone. When this
    /// returns `Ok`, the step is on the disk.
    ///
    /// # Errors
    /// When the handle is for reading, the step would make a study that cannot be opened again or takes more memory than
    /// [`TILE_BUDGET_BYTES`](super::tile::TILE_BUDGET_BYTES), or the disk is full or fails. Nothing has changed then, in the
    /// file or in this handle, and it may be tried again.
    pub fn record(&mut self, step: Step<'_>) -> Result<StepId, StudyError> {
        self.require_painting()?;
        self.write_step(&step, None).map_err(|e| e.at(&self.path))
    }

    /// Records a step that takes in a photo, both in one transaction.
    ///
    /// # Errors
    /// As for [`StudyFile::record`], and when the photo has another key than it says.
    pub fn record_with_photo(&mut self, step: Step<'_>, photo: NewPhoto<'_>) -> Result<StepId, StudyError> {
        self.require_painting()?;
        self.write_step(&step, Some(photo)).map_err(|e| e.at(&self.path))
    }

    fn write_step(&mut self, step: &Step<'_>, photo: Option<NewPhoto<'_>>) -> Result<StepId, Fault> {
        check_step(step, &self.document).map_err(Fault::Unsound)?;
        let document = step.document.unwrap_or(&self.document);
        let limits = Limits::of(document);
        let packed = in_parallel(step.tiles, |codec, tile| {
            let after = match codec.encode(tile.after)? {
                None => None,
                Some(planes) => {
                    check::tile(document, tile.key).map_err(Fault::Unsound)?;
                    let tally = TileTally::count(tile.after, tile.key, &limits).map_err(Fault::Unsound)?;
                    Some(PackedTile { plane_count: tile.after.planes().len(), tally, planes })
                }
            };
            // On bare ground the difference is the tile itself; packing is what a step costs most.
            let delta = match &after {
                Some(after) if tile.before.is_empty() => Some(after.planes.clone()),
                _ => codec.encode_difference(tile.before, tile.after)?,
            };
            Ok((*tile, delta, after))
        })?;
        let changed = packed.iter().filter(|(_, delta, _)| delta.is_some());
        let grown: u64 = changed.clone().map(|(tile, ..)| tile.after.planes().len() as u64).sum();
        let shrunk: u64 = changed.map(|(tile, ..)| tile.before.planes().len() as u64).sum();
        let plane_count = (self.plane_count + grown).saturating_sub(shrunk);
        require_budget(plane_count)?;
        let Position { head, strokes, .. } = self.position;
        let number = head + 1;
        let strokes = strokes + i64::from(step.kind == StepKind::Stroke);
        self.db.busy_timeout(WAIT_TO_RECORD)?;
        let change = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        for cut in ["step", "document", "step_tile", "worked"] {
            change.prepare_cached(&format!("DELETE FROM {cut} WHERE step > ?1"))?.execute([head])?;
        }
        write_step(&change, number, [step.label, step.kind.word(), step.command], strokes, &step.shares)?;
        for (tile, delta, after) in packed {
            // A tile that did not change leaves no trace.
            let Some(delta) = delta else { continue };
            write_delta(&change, number, tile.key, &delta)?;
            self.snapshots.save(&change, tile.key)?;
            write_tile(&change, tile.key, after.as_ref())?;
        }
        if let Some(photo) = photo {
            write_photo(&change, photo)?;
        }
        if let Some(document) = step.document {
            write_document(&change, number, document)?;
            check::stored(&change, document)?.map_err(Fault::Unsound)?;
            let changed = step.tiles.iter().map(|tile| tile.key).collect();
            check_edges(&change, &self.document, document, &changed).map_err(|fault| match fault {
                Fault::Damaged(what) => Fault::Unsound(what),
                other => other,
            })?;
        }
        let Noted { opened, worked_s } = &step.noted;
        if let Some((lid, opened)) = opened {
            write_opened(&change, *lid, opened)?;
        }
        let worked_s = self.worked_s.max(*worked_s);
        if worked_s > 0 {
            write_worked(&change, number, worked_s)?;
        }
        write_head(&change, number)?;
        change.commit()?;
        self.position = Position { head: number, last: number, strokes };
        self.plane_count = plane_count;
        if let Some(document) = step.document {
            self.document = document.clone();
        }
        match opened.clone() {
            Some((Lid::FreeColour, opened)) => self.opened.push(opened),
            Some((Lid::Photo, opened)) => self.photo_opened.push(opened),
            None => {}
        }
        self.worked_s = worked_s;
        Ok(StepId(number as u64))
    }

    /// Takes the last step back; `None` at the beginning.
    ///
    /// # Errors
    /// When the file is damaged, or the disk is full or fails. Nothing has changed then.
    pub fn undo(&mut self) -> Result<Option<Moved>, StudyError> {
        self.travel(Direction::Back, Some)
    }

    /// Does the next step again; `None` when there is none.
    ///
    /// # Errors
    /// As for [`StudyFile::undo`].
    pub fn redo(&mut self) -> Result<Option<Moved>, StudyError> {
        self.travel(Direction::On, Some)
    }

    /// Moves the head by one step, if `agree`, which is told what would change before it does, gives an answer; its answer,
    /// or `None` when it gives none or there is no such step.
    ///
    /// # Errors
    /// As for [`StudyFile::undo`].
    pub fn travel<R>(
        &mut self,
        direction: Direction,
        agree: impl FnOnce(Moved) -> Option<R>,
    ) -> Result<Option<R>, StudyError> {
        let Position { head, last, .. } = self.position;
        let (step, target) = match direction {
            Direction::Back if head > 0 => (head, head - 1),
            Direction::On if head < last => (head + 1, head + 1),
            Direction::Back | Direction::On => return Ok(None),
        };
        self.require_in_place()?;
        self.apply_deltas(step, target, agree).map_err(|e| e.at(&self.path))
    }

    /// Applies the deltas of `step`, in whichever direction the head needs, and puts the head on `target`.
    fn apply_deltas<R>(
        &mut self,
        step: i64,
        target: i64,
        agree: impl FnOnce(Moved) -> Option<R>,
    ) -> Result<Option<R>, Fault> {
        self.db.busy_timeout(WAIT_TO_TRAVEL)?;
        let change = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let found = read_steps(&change, step, step)?.pop();
        let StepRow { label, kind, .. } = found.ok_or_else(|| Fault::Damaged(format!("it has no step {step}")))?;
        let document_changed = change
            .prepare_cached("SELECT EXISTS (SELECT 1 FROM document WHERE step = ?1)")?
            .query_row([step], |row| row.get(0))?;
        let document = if document_changed { Some(read_document(&change, target)?) } else { None };
        if let Some(document) = &document {
            check::document(document).map_err(Fault::Damaged)?;
        }
        let (before, after) = (Limits::of(&self.document), Limits::of(document.as_ref().unwrap_or(&self.document)));
        let keys = read_delta_keys(&change, step)?;
        let mut tiles = Vec::with_capacity(keys.len());
        let mut plane_count = self.plane_count;
        for keys in keys.chunks(BATCH) {
            let read = |&key: &TileKey| -> Result<_, Fault> {
                Ok((key, read_delta(&change, step, key)?, StoredTile::at(&change, key)?))
            };
            let stored: Vec<_> = keys.iter().map(read).collect::<Result<_, Fault>>()?;
            let moved = in_parallel(&stored, |codec, (key, delta, stored)| {
                let tile = match stored {
                    Some(stored) => unpack(codec, *key, stored, &before)?,
                    None => TilePixels::default(),
                };
                let shrunk = tile.planes().len() as u64;
                let tile = apply(tile, codec.decode(delta)?);
                let tally = TileTally::count(&tile, *key, &after).map_err(Fault::Damaged)?;
                let plane_count = tile.planes().len();
                let packed = codec.encode(&tile)?.map(|planes| PackedTile { plane_count, tally, planes });
                Ok((*key, tile, packed, shrunk))
            })?;
            for (key, tile, packed, shrunk) in moved {
                self.snapshots.save(&change, key)?;
                write_tile(&change, key, packed.as_ref())?;
                plane_count = (plane_count + tile.planes().len() as u64).saturating_sub(shrunk);
                tiles.push((key, tile));
            }
            require_budget(plane_count)?;
        }
        if let Some(document) = &document {
            check::stored(&change, document)?.map_err(Fault::Damaged)?;
            check_edges(&change, &self.document, document, &keys.iter().copied().collect())?;
        }
        let shares = read_share_row(&change, target)?;
        write_head(&change, target)?;
        // Whoever is asked must be able to follow before the move is made to last.
        let Some(answer) = agree(Moved { label, kind, document: document.clone(), shares, tiles }) else {
            return Ok(None);
        };
        change.commit()?;
        self.position = Position { head: target, strokes: shares.strokes as i64, ..self.position };
        self.plane_count = plane_count;
        if let Some(document) = document {
            self.document = document;
        }
        Ok(Some(answer))
    }

    /// How many steps can be undone.
    pub fn undo_depth(&self) -> u64 {
        self.position.head as u64
    }

    /// How many steps can be redone.
    pub fn redo_depth(&self) -> u64 {
        (self.position.last - self.position.head) as u64
    }

    /// All steps in order, those that can be redone included: the first [`StudyFile::undo_depth`] are done.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn steps(&self) -> Result<Vec<StepRow>, StudyError> {
        read_steps(&self.db, 1, self.position.last).map_err(|e| e.at(&self.path))
    }

    /// The readout over time: one row a step up to the head, first the empty study.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn shares(&self) -> Result<Vec<ShareRow>, StudyError> {
        read_shares(&self.db, self.position.head).map_err(|e| e.at(&self.path))
    }

    /// Logs an opening of free colour that is no step of its own. Undo does not take it out.
    ///
    /// # Errors
    /// When the handle is for reading, a share is not finite, or the disk is full or fails.
    pub fn note_opened(&mut self, opened: Opened) -> Result<(), StudyError> {
        self.require_painting()?;
        check_opened(&opened).map_err(|e| Fault::Unsound(e).at(&self.path))?;
        write_opened(&self.db, Lid::FreeColour, &opened).map_err(|e| e.at(&self.path))?;
        self.opened.push(opened);
        Ok(())
    }

    /// Every opening of free colour, oldest first, those that were undone included.
    pub fn opened(&self) -> &[Opened] {
        &self.opened
    }

    /// Every opening of the photo of a study that is painted without it, in the same way.
    pub fn photo_opened(&self) -> &[Opened] {
        &self.photo_opened
    }

    /// For how many seconds the study was worked on, all told: undo gives no time back.
    pub fn worked_s(&self) -> u64 {
        self.worked_s
    }

    /// The same at each step that it was noted with, those that can be redone included.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn worked(&self) -> Result<Vec<(StepId, u64)>, StudyError> {
        read_worked(&self.db).map_err(|e| e.at(&self.path))
    }
}

/// Refuses a canvas of another size whose edge runs through paint: tiles there that the step did not change are read and looked at.
fn check_edges(db: &Connection, before: &Document, after: &Document, changed: &HashSet<TileKey>) -> Result<(), Fault> {
    if (before.width, before.height) == (after.width, after.height) {
        return Ok(());
    }
    let cut = |side: u32| (!side.is_multiple_of(TILE_SIDE)).then_some(side / TILE_SIDE);
    let mut edge = read_edge_keys(db, cut(after.width), cut(after.height))?;
    edge.retain(|key| !changed.contains(key));
    let limits = Limits::of(after);
    for keys in edge.chunks(BATCH) {
        let read = |&key: &TileKey| -> Result<_, Fault> { Ok((key, StoredTile::at(db, key)?)) };
        let stored: Vec<_> = keys.iter().map(read).collect::<Result<_, Fault>>()?;
        in_parallel(&stored, |codec, (key, stored)| match stored {
            Some(stored) => unpack(codec, *key, stored, &limits).map(drop),
            None => Ok(()),
        })?;
    }
    Ok(())
}

/// What can be told of a step before anything is written.
fn check_step(step: &Step<'_>, before: &Document) -> Result<(), String> {
    if let Some(document) = step.document
        && document != before
    {
        check::next_document(document, before)?;
    }
    if !step.shares.are_finite() {
        return Err(format!("its shares are {:?}", step.shares));
    }
    if let Some((_, opened)) = &step.noted.opened {
        check_opened(opened)?;
    }
    let mut keys = HashSet::with_capacity(step.tiles.len());
    match step.tiles.iter().find(|t| !keys.insert(t.key)) {
        Some(twice) => Err(format!("it changes {} twice", place_of(twice.key))),
        None => Ok(()),
    }
}

fn check_opened(opened: &Opened) -> Result<(), String> {
    let shares = [opened.board_share, opened.free_share, opened.bare_share];
    if shares.iter().all(|v| v.is_finite()) && i64::try_from(opened.after_strokes).is_ok() {
        Ok(())
    } else {
        Err(format!("it would log {opened:?}"))
    }
}
