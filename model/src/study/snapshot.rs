//! The tiles of a study at one moment, read a row of tiles at a time while painting goes on.
//!
//! Nothing is copied when a snapshot is taken. A tile that has not been read yet is saved, packed as it is, when a step is about
//! to change it; when the study is closed, all that is left is.

use super::codec::{Codec, in_parallel};
use super::error::{Fault, StudyError};
use super::rows::{StoredTile, read_key};
use super::tile::{TileKey, TilePixels, place_of};
use super::tile_tally::Limits;
use super::unpack::unpack;
use rusqlite::Connection;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

/// A snapshot; dropping it ends the saving of tiles for it.
#[derive(Debug)]
pub struct Snapshot {
    path: PathBuf,
    limits: Limits,
    tiles: Arc<Mutex<Tiles>>,
}

/// What is to be read, and what was saved of it.
#[derive(Debug, Default)]
struct Tiles {
    unread: BTreeSet<TileKey>,
    saved: BTreeMap<TileKey, StoredTile>,
}

/// Packed tiles of a snapshot: one row of tiles.
#[derive(Debug)]
pub struct PackedRow(Vec<(TileKey, StoredTile)>);

fn locked(tiles: &Mutex<Tiles>) -> MutexGuard<'_, Tiles> {
    tiles.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Snapshot {
    /// The tiles of a row of tiles while the study is open; each row can be read once.
    pub(super) fn read_row(&self, db: &Connection, row: u16) -> Result<PackedRow, Fault> {
        let mut tiles = locked(&self.tiles);
        let keys = take_row(&mut tiles.unread, row);
        let mut read = |key: TileKey| -> Result<_, Fault> {
            let stored = match tiles.saved.remove(&key) {
                Some(saved) => Some(saved),
                None => StoredTile::at(db, key)?,
            };
            Ok((key, stored.ok_or_else(|| Fault::Damaged(format!("{} is gone", place_of(key))))?))
        };
        keys.into_iter().map(&mut read).collect::<Result<_, Fault>>().map(PackedRow)
    }

    /// The tiles of a row of tiles after the study was closed; each row can be read once.
    ///
    /// # Errors
    /// When a tile could not be saved when the study was closed.
    pub fn read_row_after_close(&self, row: u16) -> Result<PackedRow, StudyError> {
        let mut tiles = locked(&self.tiles);
        let keys = take_row(&mut tiles.unread, row);
        let mut read = |key: TileKey| {
            let what = "a part of it could not be read when it was closed";
            Ok((key, tiles.saved.remove(&key).ok_or_else(|| Fault::Damaged(what.to_owned()))?))
        };
        let rows: Result<Vec<_>, Fault> = keys.into_iter().map(&mut read).collect();
        rows.map(PackedRow).map_err(|e| e.at(&self.path))
    }

    /// The pixels of packed tiles, checked as [`for_each_tile`](super::file::StudyFile::for_each_tile) does.
    ///
    /// # Errors
    /// When a tile is damaged.
    pub fn unpack(&self, row: &PackedRow) -> Result<Vec<(TileKey, TilePixels)>, StudyError> {
        let one = |codec: &mut Codec, (key, stored): &(TileKey, StoredTile)| {
            Ok((*key, unpack(codec, *key, stored, &self.limits)?))
        };
        in_parallel(&row.0, one).map_err(|e| e.at(&self.path))
    }
}

/// Takes the keys of a row of tiles out of a set.
fn take_row(keys: &mut BTreeSet<TileKey>, row: u16) -> Vec<TileKey> {
    let taken: Vec<_> = keys.iter().filter(|key| key.pos.row == row).copied().collect();
    keys.retain(|key| key.pos.row != row);
    taken
}

/// The snapshots of a study that are still being read.
#[derive(Debug, Default)]
pub(super) struct Snapshots(Vec<Weak<Mutex<Tiles>>>);

impl Snapshots {
    /// Takes a snapshot of the tiles at the head of the study at `path`.
    pub(super) fn take(&mut self, db: &Connection, path: &Path, limits: Limits) -> Result<Snapshot, Fault> {
        let mut query = db.prepare_cached("SELECT pass, tile_row, tile_column FROM tile")?;
        let unread = query.query_map([], read_key)?.collect::<rusqlite::Result<_>>()?;
        let tiles = Arc::new(Mutex::new(Tiles { unread, saved: BTreeMap::new() }));
        self.0.retain(|known| known.strong_count() > 0);
        self.0.push(Arc::downgrade(&tiles));
        Ok(Snapshot { path: path.to_owned(), limits, tiles })
    }

    /// Saves the tile at a place for every snapshot that has yet to read it: it is about to change.
    pub(super) fn save(&self, db: &Connection, key: TileKey) -> rusqlite::Result<()> {
        for tiles in self.0.iter().filter_map(Weak::upgrade) {
            let mut tiles = locked(&tiles);
            if tiles.unread.contains(&key)
                && !tiles.saved.contains_key(&key)
                && let Some(stored) = StoredTile::at(db, key)?
            {
                tiles.saved.insert(key, stored);
            }
        }
        Ok(())
    }

    /// Saves all that is still to be read: the file is about to be closed. What cannot be read is missed by the reader.
    pub(super) fn save_all(&self, db: &Connection) {
        for tiles in self.0.iter().filter_map(Weak::upgrade) {
            let unread: Vec<_> = locked(&tiles).unread.iter().copied().collect();
            for key in unread {
                if let Ok(Some(stored)) = StoredTile::at(db, key) {
                    locked(&tiles).saved.entry(key).or_insert(stored);
                }
            }
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{Board, LightOfDay};
    use crate::colour::Colour;
    use crate::ids::PassId;
    use crate::study::Document;
    use crate::study::file::{Shares, Step, StepKind, StudyFile, TileChange};
    use crate::study::tile::{Plane, TilePos};

    fn paint(study: &mut StudyFile, column: u16, row: u16, before: &TilePixels, amount: u32) -> TilePixels {
        let after = TilePixels::new(vec![Plane::from_fn(|i| 1 << 16 | (amount + i as u32 % 7))]);
        let key = TileKey { pass: PassId(1), pos: TilePos { column, row } };
        let tiles = [TileChange { key, before, after: &after }];
        let (label, kind, shares) = ("Stroke", StepKind::Stroke, Shares::EMPTY);
        study
            .record(Step { label, kind, command: "", document: None, tiles: &tiles, shares, noted: Default::default() })
            .unwrap();
        after
    }

    fn rows(snapshot: &Snapshot, read: &mut dyn FnMut(u16) -> PackedRow) -> Vec<(TileKey, TilePixels)> {
        (0..4).flat_map(|row| snapshot.unpack(&read(row)).unwrap()).collect()
    }

    #[test]
    fn a_snapshot_stays_as_it_was_taken_while_painting_goes_on() {
        let folder = tempfile::tempdir().unwrap();
        let mut document = Document::new(512, 512, Board::new("depot", LightOfDay::Cool)).unwrap();
        document.paints.load_free(Colour::new(0.1, 0.2, 0.3)).unwrap();
        let mut study = StudyFile::create(&folder.path().join("depot.stint"), &document).unwrap();
        let empty = TilePixels::default();
        for row in 0..4 {
            for column in 0..4 {
                paint(&mut study, column, row, &empty, 100);
            }
        }
        let mut then = Vec::new();
        study.for_each_tile(&mut |key, pixels| then.push((key, pixels))).unwrap();
        then.sort_by_key(|(key, _)| (key.pos.row, key.pos.column));

        let (whole, closed) = (study.snapshot().unwrap(), study.snapshot().unwrap());
        let mut read = |row: u16| {
            // Painted over, painted again, and undone, before and after its row is read.
            let old = then.iter().find(|(key, _)| key.pos == TilePos { column: 1, row }).unwrap().1.clone();
            let new = paint(&mut study, 1, row, &old, 900);
            let newer = paint(&mut study, 1, row, &new, 2000);
            study.undo().unwrap().unwrap();
            let packed = study.read_row(&whole, row).unwrap();
            paint(&mut study, 1, row, &new, 3000);
            assert_ne!(newer, old);
            packed
        };
        assert_eq!(rows(&whole, &mut read), then);
        let again = study.read_row(&whole, 0).unwrap();
        assert!(whole.unpack(&again).unwrap().is_empty(), "a row is read once");
        study.close().unwrap();
        assert_eq!(rows(&closed, &mut |row| closed.read_row_after_close(row).unwrap()), then);
    }
}
