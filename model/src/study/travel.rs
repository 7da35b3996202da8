//! Undo and redo: a head that moves over the recorded steps.
//!
//! The XOR of a tile before and after a step, applied to the tile at the head, leads one step back or one step on. The steps above the
//! head can be redone until a new step cuts them off.
//!
//! A journey has two halves, so that nobody who paints need wait for either: what would change is read and packed first, then, once the
//! canvas has it too, written.

use super::check;
use super::codec::{apply, in_parallel};
use super::document::Document;
use super::error::Fault;
use super::file::{BATCH, Moved, ShareRow, StepRow, StudyError, StudyFile, require_budget};
use super::rows::{
    PackedTile, Position, StoredTile, read_delta, read_delta_keys, read_document, read_edge_keys, read_share_row,
    read_steps, write_head, write_tile,
};
use super::tile::{TILE_SIDE, TileKey, TilePixels};
use super::tile_tally::{Limits, TileTally};
use super::unpack::unpack;
use rusqlite::{Connection, TransactionBehavior};
use std::collections::HashSet;
use std::time::Duration;

/// How long undo and redo wait for somebody else who reads the file: somebody waits for them.
const WAIT_TO_TRAVEL: Duration = Duration::from_secs(5);

/// Where the head of the history moves.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Direction {
    /// One step back: undo.
    Back,
    /// One step on: redo.
    On,
}

/// A step back or on that is ready to be written: [`StudyFile::go`].
pub struct Journey {
    /// Where the head was when it was planned.
    from: Position,
    target: i64,
    document: Option<Document>,
    tiles: Vec<(TileKey, Option<PackedTile>)>,
    plane_count: u64,
    shares: ShareRow,
}

impl StudyFile {
    /// Takes the last step back; `None` at the beginning.
    ///
    /// # Errors
    /// When the file is damaged, or the disk is full or fails. Nothing has changed then.
    pub fn undo(&mut self) -> Result<Option<Moved>, StudyError> {
        self.travel(Direction::Back)
    }

    /// Does the next step again; `None` when there is none.
    ///
    /// # Errors
    /// As for [`StudyFile::undo`].
    pub fn redo(&mut self) -> Result<Option<Moved>, StudyError> {
        self.travel(Direction::On)
    }

    fn travel(&mut self, direction: Direction) -> Result<Option<Moved>, StudyError> {
        let Some((journey, moved)) = self.plan(direction)? else { return Ok(None) };
        self.go(journey)?;
        Ok(Some(moved))
    }

    /// What a step back or on would change; `None` when there is no such step. Nothing changes yet: [`StudyFile::go`].
    ///
    /// # Errors
    /// When the handle is for reading, or the file is damaged or cannot be read.
    pub fn plan(&self, direction: Direction) -> Result<Option<(Journey, Moved)>, StudyError> {
        let Position { head, last, .. } = self.position;
        let (step, target) = match direction {
            Direction::Back if head > 0 => (head, head - 1),
            Direction::On if head < last => (head + 1, head + 1),
            Direction::Back | Direction::On => return Ok(None),
        };
        self.require_in_place()?;
        self.plan_deltas(step, target).map(Some).map_err(|e| e.at(&self.path))
    }

    /// Applies the deltas of `step` to what is stored, in whichever direction the head needs.
    fn plan_deltas(&self, step: i64, target: i64) -> Result<(Journey, Moved), Fault> {
        self.db.busy_timeout(WAIT_TO_TRAVEL)?;
        let found = read_steps(&self.db, step, step)?.pop();
        let StepRow { label, kind, .. } = found.ok_or_else(|| Fault::Damaged(format!("it has no step {step}")))?;
        let document_changed = self
            .db
            .prepare_cached("SELECT EXISTS (SELECT 1 FROM document WHERE step = ?1)")?
            .query_row([step], |row| row.get(0))?;
        let document = if document_changed { Some(read_document(&self.db, target)?) } else { None };
        if let Some(document) = &document {
            check::document(document).map_err(Fault::Damaged)?;
        }
        let (before, after) = (Limits::of(&self.document), Limits::of(document.as_ref().unwrap_or(&self.document)));
        let keys = read_delta_keys(&self.db, step)?;
        let mut tiles = Vec::with_capacity(keys.len());
        let mut packed_tiles = Vec::with_capacity(keys.len());
        let mut plane_count = self.plane_count;
        for keys in keys.chunks(BATCH) {
            let read = |&key: &TileKey| -> Result<_, Fault> {
                Ok((key, read_delta(&self.db, step, key)?, StoredTile::at(&self.db, key)?))
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
                plane_count = (plane_count + tile.planes().len() as u64).saturating_sub(shrunk);
                tiles.push((key, tile));
                packed_tiles.push((key, packed));
            }
            require_budget(plane_count)?;
        }
        let shares = read_share_row(&self.db, target)?;
        let moved = Moved { label, kind, document: document.clone(), shares, tiles };
        Ok((Journey { from: self.position, target, document, tiles: packed_tiles, plane_count, shares }, moved))
    }

    /// Writes what was planned and moves the head, in one transaction. Nothing may have been recorded in between.
    ///
    /// # Errors
    /// When the head is no longer where it was, the file is damaged, or the disk is full or fails. Nothing has changed then.
    pub fn go(&mut self, journey: Journey) -> Result<(), StudyError> {
        self.require_in_place()?;
        self.write_journey(journey).map_err(|e| e.at(&self.path))
    }

    fn write_journey(&mut self, journey: Journey) -> Result<(), Fault> {
        let Journey { from, target, document, tiles, plane_count, shares } = journey;
        if from != self.position {
            return Err(Fault::Unsound("the history went on in the meantime".to_owned()));
        }
        self.db.busy_timeout(WAIT_TO_TRAVEL)?;
        let change = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        for (key, packed) in &tiles {
            self.snapshots.save(&change, *key)?;
            write_tile(&change, *key, packed.as_ref())?;
        }
        if let Some(document) = &document {
            check::stored(&change, document)?.map_err(Fault::Damaged)?;
            check_edges(&change, &self.document, document, &tiles.iter().map(|(key, _)| *key).collect())?;
        }
        write_head(&change, target)?;
        change.commit()?;
        self.position = Position { head: target, strokes: shares.strokes as i64, ..self.position };
        self.plane_count = plane_count;
        if let Some(document) = document {
            self.document = document;
        }
        Ok(())
    }
}

/// Refuses a canvas of another size whose edge runs through paint: tiles there that the step did not change are read and looked at.
pub(super) fn check_edges(
    db: &Connection,
    before: &Document,
    after: &Document,
    changed: &HashSet<TileKey>,
) -> Result<(), Fault> {
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
