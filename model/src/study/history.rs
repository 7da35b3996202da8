//! Undo and redo: a head that moves over the recorded steps.
//!
//! Each step keeps, for every tile it changed, the XOR of before and after. Applied to the tile at the head, the same
//! blob leads one step back or one step on. The steps above the head can be redone until a new step cuts them off.

use super::codec::{apply, in_parallel};
use super::database::{Place, document_text, read_document, read_key, read_strokes};
use super::error::Fault;
use super::file::{Moved, ShareRow, Shares, Step, StepId, StepKind, StepRow, StudyError, StudyFile};
use super::sound;
use super::tile::{TileKey, TilePixels};
use crate::readout::Opened;
use rusqlite::{Connection, TransactionBehavior};
use std::collections::HashSet;

impl StudyFile {
    /// Records a step and moves the head onto it, in one transaction. Steps that could be redone are gone. When this
    /// returns `Ok`, the step is on the disk.
    ///
    /// # Errors
    /// When the handle is for reading, the step would make a study that cannot be opened again, or the disk is full or
    /// fails. Nothing has changed then, in the file or in this handle, and it may be tried again.
    pub fn record(&mut self, step: Step<'_>) -> Result<StepId, StudyError> {
        self.require_painting()?;
        self.write_step(&step).map_err(|e| e.at(&self.path))
    }

    fn write_step(&mut self, step: &Step<'_>) -> Result<StepId, Fault> {
        check(step, &self.document).map_err(Fault::Unsound)?;
        let packed = in_parallel(step.tiles, |codec, tile| {
            let after = codec.encode(tile.after)?;
            // On bare ground the difference is the tile itself; packing is what a step costs most.
            let bare = tile.before.planes.is_empty();
            let delta = if bare { after.clone() } else { codec.encode_difference(tile.before, tile.after)? };
            Ok((tile.key, delta, after))
        })?;
        let Place { head, strokes, .. } = self.place;
        let number = head + 1;
        let strokes = strokes + i64::from(step.kind == StepKind::Stroke);
        let change = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        for cut in ["step", "document", "step_tile"] {
            change.prepare_cached(&format!("DELETE FROM {cut} WHERE step > ?1"))?.execute([head])?;
        }
        let Shares { painted_px, board, free, bare } = step.shares;
        change.prepare_cached("INSERT INTO step VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)")?.execute((
            number,
            step.label,
            step.kind.word(),
            step.command,
            strokes,
            painted_px,
            board,
            free,
            bare,
        ))?;
        let mut insert = change.prepare_cached("INSERT INTO step_tile VALUES (?1, ?2, ?3, ?4, ?5)")?;
        for (key, delta, after) in packed {
            // A tile that did not change leaves no trace.
            let Some(delta) = delta else { continue };
            if after.is_some() {
                sound::tile(step.document.unwrap_or(&self.document), key).map_err(Fault::Unsound)?;
            }
            insert.execute((number, key.pass.0, key.pos.row, key.pos.column, delta))?;
            write_tile(&change, key, after)?;
        }
        drop(insert);
        if let Some(document) = step.document {
            let ron = document_text(document)?;
            change.prepare_cached("INSERT INTO document VALUES (?1, ?2)")?.execute((number, ron))?;
            sound::stored(&change, document)?.map_err(Fault::Unsound)?;
        }
        if let Some(opened) = &step.opened {
            write_opened(&change, opened)?;
        }
        write_head(&change, number)?;
        change.commit()?;
        self.place = Place { head: number, last: number, strokes };
        if let Some(document) = step.document {
            self.document = document.clone();
        }
        self.opened.extend(step.opened.clone());
        Ok(StepId(number as u64))
    }

    /// Takes the last step back; `None` at the beginning.
    ///
    /// # Errors
    /// When the file is damaged, or the disk is full or fails. Nothing has changed then.
    pub fn undo(&mut self) -> Result<Option<Moved>, StudyError> {
        let Place { head, .. } = self.place;
        if head == 0 {
            return Ok(None);
        }
        self.require_in_place()?;
        self.travel(head, head - 1).map(Some).map_err(|e| e.at(&self.path))
    }

    /// Does the next step again; `None` when there is none.
    ///
    /// # Errors
    /// As for [`StudyFile::undo`].
    pub fn redo(&mut self) -> Result<Option<Moved>, StudyError> {
        let Place { head, last, .. } = self.place;
        if head == last {
            return Ok(None);
        }
        self.require_in_place()?;
        self.travel(head + 1, head + 1).map(Some).map_err(|e| e.at(&self.path))
    }

    /// Applies the deltas of `step`, in whichever direction the head needs, and puts the head on `target`.
    fn travel(&mut self, step: i64, target: i64) -> Result<Moved, Fault> {
        let change = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let StepRow { label, kind, .. } = change
            .prepare_cached("SELECT step, label, kind, command FROM step WHERE step = ?1")?
            .query_row([step], |row| Ok(read_step(row)))??;
        let document_changed = change
            .prepare_cached("SELECT EXISTS (SELECT 1 FROM document WHERE step = ?1)")?
            .query_row([step], |row| row.get(0))?;
        let document = if document_changed { Some(read_document(&change, target)?) } else { None };
        if let Some(document) = &document {
            sound::document(document).map_err(Fault::Damaged)?;
        }
        let moved = in_parallel(&read_deltas(&change, step)?, |codec, (key, delta, planes)| {
            let mut tile = match planes {
                Some(planes) => codec.decode(planes)?,
                None => TilePixels::default(),
            };
            apply(&mut tile, codec.decode(delta)?);
            let blob = codec.encode(&tile)?;
            Ok((*key, tile, blob))
        })?;
        let mut tiles = Vec::with_capacity(moved.len());
        for (key, tile, blob) in moved {
            write_tile(&change, key, blob)?;
            tiles.push((key, tile));
        }
        if let Some(document) = &document {
            sound::stored(&change, document)?.map_err(Fault::Damaged)?;
        }
        let strokes = read_strokes(&change, target)?;
        write_head(&change, target)?;
        change.commit()?;
        self.place = Place { head: target, strokes, ..self.place };
        if let Some(document) = document {
            self.document = document;
        }
        Ok(Moved { label, kind, document_changed, tiles })
    }

    /// How many steps can be undone.
    pub fn undo_depth(&self) -> u64 {
        self.place.head as u64
    }

    /// How many steps can be redone.
    pub fn redo_depth(&self) -> u64 {
        (self.place.last - self.place.head) as u64
    }

    /// All steps in order, those that can be redone included: the first [`StudyFile::undo_depth`] are done.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn steps(&self) -> Result<Vec<StepRow>, StudyError> {
        let read = || -> Result<Vec<StepRow>, Fault> {
            let mut query =
                self.db.prepare("SELECT step, label, kind, command FROM step WHERE step > 0 ORDER BY step")?;
            let rows = query.query_map([], |row| Ok(read_step(row)))?;
            rows.map(|row| row?).collect()
        };
        read().map_err(|e| e.at(&self.path))
    }

    /// The readout over time: one row a step up to the head, first the empty study.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn shares(&self) -> Result<Vec<ShareRow>, StudyError> {
        let read = || -> Result<Vec<ShareRow>, Fault> {
            let mut query = self.db.prepare(
                "SELECT step, strokes, painted_px, board_share, free_share, bare_share FROM step \
                 WHERE step <= ?1 ORDER BY step",
            )?;
            let rows = query.query_map([self.place.head], |row| {
                let (step, strokes): (i64, i64) = (row.get(0)?, row.get(1)?);
                let shares =
                    Shares { painted_px: row.get(2)?, board: row.get(3)?, free: row.get(4)?, bare: row.get(5)? };
                Ok(ShareRow { step: StepId(step as u64), strokes: strokes as u64, shares })
            })?;
            Ok(rows.collect::<rusqlite::Result<_>>()?)
        };
        read().map_err(|e| e.at(&self.path))
    }

    /// Logs an opening of free colour that is no step of its own. Undo does not take it out.
    ///
    /// # Errors
    /// When the handle is for reading, a share is not finite, or the disk is full or fails.
    pub fn note_opened(&mut self, opened: Opened) -> Result<(), StudyError> {
        self.require_painting()?;
        check_opened(&opened).map_err(|e| Fault::Unsound(e).at(&self.path))?;
        write_opened(&self.db, &opened).map_err(|e| e.at(&self.path))?;
        self.opened.push(opened);
        Ok(())
    }

    /// Every opening of free colour, oldest first, those that were undone included.
    pub fn opened(&self) -> &[Opened] {
        &self.opened
    }
}

/// What can be told of a step before anything is written.
fn check(step: &Step<'_>, before: &super::Document) -> Result<(), String> {
    if let Some(document) = step.document
        && document != before
    {
        sound::document(document)?;
    }
    if !step.shares.are_finite() {
        return Err(format!("its shares are {:?}", step.shares));
    }
    if let Some(opened) = &step.opened {
        check_opened(opened)?;
    }
    let mut keys = HashSet::with_capacity(step.tiles.len());
    match step.tiles.iter().find(|t| !keys.insert(t.key)) {
        Some(twice) => Err(format!("it changes {:?} twice", twice.key)),
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

/// A tile a step changed: its key, the delta, and its planes at the head if it has paint.
type Delta = (TileKey, Vec<u8>, Option<Vec<u8>>);

fn read_deltas(db: &Connection, step: i64) -> rusqlite::Result<Vec<Delta>> {
    let mut query = db.prepare_cached(
        "SELECT pass, tile_row, tile_column, delta, planes FROM step_tile \
         LEFT JOIN tile USING (pass, tile_row, tile_column) WHERE step = ?1",
    )?;
    let rows = query.query_map([step], |row| Ok((read_key(row)?, row.get(3)?, row.get(4)?)))?;
    rows.collect()
}

fn read_step(row: &rusqlite::Row<'_>) -> Result<StepRow, Fault> {
    let (step, word): (i64, String) = (row.get(0)?, row.get(2)?);
    let kind = StepKind::from_word(&word);
    let kind = kind.ok_or_else(|| Fault::Damaged(format!("step {step} is of the unknown kind \"{word}\"")))?;
    Ok(StepRow { step: StepId(step as u64), label: row.get(1)?, kind, command: row.get(3)? })
}

fn write_tile(db: &Connection, key: TileKey, blob: Option<Vec<u8>>) -> rusqlite::Result<()> {
    let (pass, row, column) = (key.pass.0, key.pos.row, key.pos.column);
    match blob {
        Some(blob) => db
            .prepare_cached(
                "INSERT INTO tile VALUES (?1, ?2, ?3, ?4) \
                 ON CONFLICT (pass, tile_row, tile_column) DO UPDATE SET planes = excluded.planes",
            )?
            .execute((pass, row, column, blob))?,
        None => db
            .prepare_cached("DELETE FROM tile WHERE pass = ?1 AND tile_row = ?2 AND tile_column = ?3")?
            .execute((pass, row, column))?,
    };
    Ok(())
}

fn write_head(db: &Connection, head: i64) -> rusqlite::Result<()> {
    db.prepare_cached("UPDATE study SET head = ?1")?.execute([head])?;
    Ok(())
}

fn write_opened(db: &Connection, opened: &Opened) -> Result<(), Fault> {
    let after = i64::try_from(opened.after_strokes).map_err(|e| Fault::Unsound(e.to_string()))?;
    db.prepare_cached(
        "INSERT INTO opened (after_strokes, board_share, free_share, bare_share) VALUES (?1, ?2, ?3, ?4)",
    )?
    .execute((after, opened.board_share, opened.free_share, opened.bare_share))?;
    Ok(())
}
