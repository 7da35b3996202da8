//! Studies of older versions: opened for ever, and brought up to this version by one step a version.
//!
//! A study that is opened for reading is brought up in the copy in memory. One that is opened for painting is brought up in
//! its file, in one transaction, after a copy of it as it was has been left beside it.

use super::VERSION;
use super::codec::in_parallel;
use super::error::Fault;
use super::rows::{
    PackedTile, delta_sum, document_sum, head_sum, opened_sum, photo_sum, read_document, read_key, step_sum, text_sum,
    tile_sum,
};
use super::step::Shares;
use super::tile::TileKey;
use super::tile_tally::{Limits, TileTally};
use crate::disk::{Unplaced, options, verbatim};
use crate::format::Versions;
use crate::photo::private::without_private_data;
use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};
use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

/// A change of the tables and rows of one version into those of the next.
type UpgradeStep = fn(&Connection) -> Result<(), Fault>;
/// A step says everything of its version itself, tables, statements and sums: it stays as it is when `schema.sql` and `rows.rs`
/// go on.
pub(super) const VERSIONS: Versions<UpgradeStep> = Versions::new(&[to_version_2, to_version_3, to_version_4]);

/// Tiles brought up at a time.
const BATCH: usize = 128;

/// The version a study is of.
pub(super) fn version(db: &Connection) -> rusqlite::Result<i64> {
    db.pragma_query_value(None, "user_version", |row| row.get(0))
}

/// Brings a study up to [`VERSION`], in the transaction of the caller.
///
/// # Errors
/// When the study is damaged, or cannot be written.
pub(super) fn upgrade(db: &Connection) -> Result<(), Fault> {
    let found = u32::try_from(version(db)?).unwrap_or(0);
    for step in VERSIONS.steps_from(found).map_err(|e| Fault::Damaged(e.to_string()))? {
        step(db)?;
    }
    Ok(db.pragma_update(None, "user_version", VERSION)?)
}

/// Leaves a copy of the study as it is now beside it, under the first free name of `NAME before upgrade.stint`, and tells
/// where. Nothing is replaced.
///
/// # Errors
/// When there is no room or no permission; nothing is left then.
pub(super) fn leave_copy(db: &Connection, path: &Path) -> io::Result<PathBuf> {
    let copy = Unplaced::beside(path)?;
    let filled = || -> rusqlite::Result<bool> {
        let path = verbatim(copy.path()).map_err(|_| rusqlite::Error::InvalidPath(copy.path().to_owned()))?;
        let mut target = Connection::open(path)?;
        // It has no name yet: a crash leaves nothing that anybody would open.
        target.pragma_update_and_check(None, "journal_mode", "OFF", |_| Ok(()))?;
        let all_pages = -1;
        let done = Backup::new(db, &mut target)?.step(all_pages)? == StepResult::Done;
        target.close().map_err(|(_, error)| error)?;
        Ok(done)
    };
    if !filled().map_err(io::Error::other)? {
        return Err(io::Error::other("another program holds it"));
    }
    options().write(true).open(copy.path())?.sync_all()?;
    let mut stem = path.file_stem().map(OsString::from).unwrap_or_default();
    stem.push(" before upgrade");
    let ending = path.extension().map(|e| format!(".{}", e.to_string_lossy())).unwrap_or_default();
    copy.place_free(stem, &ending)
}

/// Version 2 has more fields in its documents, the links of picks and the other boards; they may be left out.
fn to_version_2(_: &Connection) -> Result<(), Fault> {
    Ok(())
}

/// Version 3 has a check sum a row, and with each tile its tally and the number of its planes.
fn to_version_3(db: &Connection) -> Result<(), Fault> {
    for table in ["study", "document", "step_tile", "photo", "opened"] {
        add_column(db, table, "check_sum")?;
    }
    add_column(db, "step", "text_sum")?;
    add_column(db, "step", "check_sum")?;
    let head: i64 = db.query_row("SELECT head FROM study", [], |row| row.get(0))?;
    db.execute("UPDATE study SET check_sum = ?1", [head_sum(head).sum()])?;

    let mut update = db.prepare("UPDATE document SET check_sum = ?2 WHERE step = ?1")?;
    for step in keys(db, "SELECT step FROM document")? {
        let query = "SELECT ron FROM document WHERE step = ?1";
        let ron: String = db.prepare_cached(query)?.query_row([step], |row| row.get(0))?;
        update.execute((step, document_sum(step, &ron).sum()))?;
    }

    let mut update = db.prepare("UPDATE step SET text_sum = ?2, check_sum = ?3 WHERE step = ?1")?;
    for step in keys(db, "SELECT step FROM step")? {
        let query = "SELECT label, kind, command, strokes, painted_px, board_share, free_share, bare_share \
                     FROM step WHERE step = ?1";
        let (texts, strokes, shares) = db.prepare_cached(query)?.query_row([step], |row| {
            let texts: [String; 3] = [row.get(0)?, row.get(1)?, row.get(2)?];
            let shares = Shares { painted_px: row.get(4)?, board: row.get(5)?, free: row.get(6)?, bare: row.get(7)? };
            Ok((texts, row.get(3)?, shares))
        })?;
        let text_sum = text_sum(&texts[0], &texts[1], &texts[2]).sum();
        update.execute((step, text_sum, step_sum(step, strokes, &shares, text_sum).sum()))?;
    }

    // Photos lose what they tell about place, time and camera, as they do on entry today.
    let mut update = db.prepare("UPDATE photo SET bytes = ?2, check_sum = ?3 WHERE key = ?1")?;
    for key in keys(db, "SELECT key FROM photo")? {
        let query = "SELECT name, bytes FROM photo WHERE key = ?1";
        let (name, bytes): (String, Vec<u8>) = db.query_row(query, [key], |row| Ok((row.get(0)?, row.get(1)?)))?;
        let bytes = without_private_data(&bytes).unwrap_or(bytes);
        let sum = photo_sum(key, &name, &bytes).sum();
        update.execute((key, bytes, sum))?;
    }

    let mut update = db.prepare("UPDATE opened SET check_sum = ?2 WHERE number = ?1")?;
    for number in keys(db, "SELECT number FROM opened")? {
        let query = "SELECT after_strokes, board_share, free_share, bare_share FROM opened WHERE number = ?1";
        let (after, shares) =
            db.query_row(query, [number], |row| Ok((row.get(0)?, [row.get(1)?, row.get(2)?, row.get(3)?])))?;
        update.execute((number, opened_sum(number, after, shares).sum()))?;
    }

    let mut update = db.prepare("UPDATE step_tile SET check_sum = ?2 WHERE rowid = ?1")?;
    for rowid in keys(db, "SELECT rowid FROM step_tile")? {
        let query = "SELECT pass, tile_row, tile_column, step, delta FROM step_tile WHERE rowid = ?1";
        let (key, step, delta): (TileKey, i64, Vec<u8>) =
            db.prepare_cached(query)?.query_row([rowid], |row| Ok((read_key(row)?, row.get(3)?, row.get(4)?)))?;
        update.execute((rowid, delta_sum(step, key, &delta).sum()))?;
    }

    tiles_to_version_3(db, &Limits::of(&read_document(db, head)?))
}

/// Version 4 tells how long a study was worked on, and when a photo that was shut was opened; the bytes of a photo are the last of its row.
fn to_version_4(db: &Connection) -> Result<(), Fault> {
    Ok(db.execute_batch(
        "ALTER TABLE photo RENAME TO photo_3;
         CREATE TABLE photo (
             key INTEGER PRIMARY KEY,
             name TEXT NOT NULL,
             check_sum INTEGER NOT NULL,
             bytes BLOB NOT NULL
         ) STRICT;
         INSERT INTO photo SELECT key, name, check_sum, bytes FROM photo_3;
         DROP TABLE photo_3;
         CREATE TABLE photo_opened (
             number INTEGER PRIMARY KEY,
             after_strokes INTEGER NOT NULL,
             board_share REAL NOT NULL,
             free_share REAL NOT NULL,
             bare_share REAL NOT NULL,
             check_sum INTEGER NOT NULL
         ) STRICT;
         CREATE TABLE worked (
             step INTEGER PRIMARY KEY,
             seconds INTEGER NOT NULL CHECK (seconds > 0),
             check_sum INTEGER NOT NULL
         ) STRICT;",
    )?)
}

fn tiles_to_version_3(db: &Connection, limits: &Limits) -> Result<(), Fault> {
    db.execute_batch(
        "ALTER TABLE tile RENAME TO tile_2;
         CREATE TABLE tile (
             pass INTEGER NOT NULL,
             tile_row INTEGER NOT NULL,
             tile_column INTEGER NOT NULL,
             plane_count INTEGER NOT NULL CHECK (plane_count BETWEEN 1 AND 8),
             tally BLOB NOT NULL,
             planes BLOB NOT NULL,
             check_sum INTEGER NOT NULL,
             PRIMARY KEY (pass, tile_row, tile_column)
         ) STRICT;",
    )?;
    let rowids = keys(db, "SELECT rowid FROM tile_2")?;
    for batch in rowids.chunks(BATCH) {
        let mut query = db.prepare_cached("SELECT pass, tile_row, tile_column, planes FROM tile_2 WHERE rowid = ?1")?;
        let tiles = batch.iter().map(|rowid| query.query_row([rowid], |row| Ok((read_key(row)?, row.get(3)?))));
        let tiles: Vec<(TileKey, Vec<u8>)> = tiles.collect::<rusqlite::Result<_>>()?;
        let packed = in_parallel(&tiles, |codec, (key, blob)| {
            let pixels = codec.decode(blob)?;
            let tally = TileTally::count(&pixels, *key, limits).map_err(Fault::Damaged)?;
            let planes = codec.encode(&pixels)?;
            Ok(planes.map(|planes| PackedTile { plane_count: pixels.planes().len(), tally, planes }))
        })?;
        let mut insert = db.prepare_cached(
            "INSERT INTO tile (pass, tile_row, tile_column, plane_count, tally, planes, check_sum) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?;
        for ((key, _), tile) in tiles.iter().zip(&packed) {
            // Version 2 kept no row for a tile without paint either.
            let Some(PackedTile { plane_count, tally, planes }) = tile else { continue };
            let (plane_count, tally) = (*plane_count as i64, tally.to_bytes());
            let sum = tile_sum(*key, plane_count, &tally, planes).sum();
            insert.execute((key.pass.0, key.pos.row, key.pos.column, plane_count, tally, planes, sum))?;
        }
    }
    Ok(db.execute_batch("DROP TABLE tile_2")?)
}

fn add_column(db: &Connection, table: &str, column: &str) -> rusqlite::Result<()> {
    db.execute_batch(&format!("ALTER TABLE {table} ADD COLUMN {column} INTEGER NOT NULL DEFAULT 0"))
}

/// A column of whole numbers. Rows are changed one by one afterwards, not while they are walked over.
fn keys(db: &Connection, query: &str) -> rusqlite::Result<Vec<i64>> {
    db.prepare(query)?.query_map([], |row| row.get(0))?.collect()
}
