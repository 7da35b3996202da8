//! The steps that are recorded. Each keeps, for every tile it changed, the XOR of before and after; `travel` leads over them.

use super::check;
use super::codec::in_parallel;
use super::document::Document;
use super::error::Fault;
use super::file::{
    Lid, NewPhoto, Noted, ShareRow, Step, StepId, StepKind, StepRow, StudyError, StudyFile, require_budget,
};
use super::rows::{
    PackedTile, Position, read_shares, read_steps, read_worked, write_delta, write_document, write_head, write_opened,
    write_photo, write_step, write_tile, write_worked,
};
use super::tile::place_of;
use super::tile_tally::{Limits, TileTally};
use super::travel::check_edges;
use crate::readout::Opened;
use rusqlite::TransactionBehavior;
use std::collections::HashSet;
use std::time::Duration;

/// How long a step waits for somebody else who reads the file, such as a copy that is being taken of a large study: a finished
/// stroke is not given up for that.
const WAIT_TO_RECORD: Duration = Duration::from_secs(60);
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
