//! The rows of the tables, in and out. Each is written with the check sum of its values and read back against it.

use super::check_sum::CheckSum;
use super::document::Document;
use super::error::Fault;
use super::step::{Lid, NewPhoto, ShareRow, Shares, StepId, StepKind, StepRow};
use super::tile::{TileKey, TilePos, place_of};
use super::tile_tally::TileTally;
use crate::ids::PassId;
use crate::readout::Opened;
use rusqlite::blob::{Blob, ZeroBlob};
use rusqlite::{Connection, OptionalExtension, Row};

/// Where in its history a study stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Position {
    /// The step whose result is shown; 0 for the empty study.
    pub(super) head: i64,
    /// The last step that can be redone, or the head.
    pub(super) last: i64,
    /// Strokes at the head.
    pub(super) strokes: i64,
}

/// A tile as it is stored.
#[derive(Debug)]
pub(super) struct StoredTile {
    pub(super) plane_count: i64,
    pub(super) tally: Vec<u8>,
    pub(super) planes: Vec<u8>,
    check_sum: i64,
}

/// The planes of a tile, packed, with what is stored beside them.
pub(super) struct PackedTile {
    pub(super) plane_count: usize,
    pub(super) tally: TileTally,
    pub(super) planes: Vec<u8>,
}

/// Refuses values that do not have the sum that was stored with them.
fn verify(found: CheckSum, stored: i64, what: impl FnOnce() -> String) -> Result<(), Fault> {
    if found.sum() == stored { Ok(()) } else { Err(Fault::Damaged(format!("{} does not match its check sum", what()))) }
}

// One function a table: its values in the order in which its check sum takes them in.

pub(super) fn head_sum(head: i64) -> CheckSum {
    CheckSum::new().integer(head)
}

pub(super) fn text_sum(label: &str, kind: &str, command: &str) -> CheckSum {
    CheckSum::new().bytes(label.as_bytes()).bytes(kind.as_bytes()).bytes(command.as_bytes())
}

pub(super) fn step_sum(step: i64, strokes: i64, shares: &Shares, text_sum: i64) -> CheckSum {
    let Shares { painted_px, board, free, bare } = *shares;
    let sum = CheckSum::new().integer(step).integer(strokes);
    [painted_px, board, free, bare].into_iter().fold(sum, CheckSum::real).integer(text_sum)
}

pub(super) fn document_sum(step: i64, ron: &str) -> CheckSum {
    CheckSum::new().integer(step).bytes(ron.as_bytes())
}

fn key_sum(key: TileKey) -> CheckSum {
    CheckSum::new().integer(key.pass.0.into()).integer(key.pos.row.into()).integer(key.pos.column.into())
}

pub(super) fn tile_sum(key: TileKey, plane_count: i64, tally: &[u8], planes: &[u8]) -> CheckSum {
    key_sum(key).integer(plane_count).bytes(tally).bytes(planes)
}

pub(super) fn delta_sum(step: i64, key: TileKey, delta: &[u8]) -> CheckSum {
    key_sum(key).integer(step).bytes(delta)
}

pub(super) fn photo_sum(key: i64, name: &str, bytes: &[u8]) -> CheckSum {
    CheckSum::new().integer(key).bytes(name.as_bytes()).bytes(bytes)
}

pub(super) fn opened_sum(number: i64, after_strokes: i64, shares: [f64; 3]) -> CheckSum {
    shares.into_iter().fold(CheckSum::new().integer(number).integer(after_strokes), CheckSum::real)
}

fn worked_sum(step: i64, seconds: i64) -> CheckSum {
    CheckSum::new().integer(step).integer(seconds)
}

pub(super) fn read_position(db: &Connection) -> Result<Position, Fault> {
    let (head, sum): (i64, i64) =
        db.query_row("SELECT head, check_sum FROM study", [], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let (first, last, count): (i64, i64, i64) =
        db.query_row("SELECT MIN(step), MAX(step), COUNT(*) FROM step", [], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?))
        })?;
    if first != 0 || count != last + 1 || !(0..=last).contains(&head) {
        return Err(Fault::Damaged(format!("it stands at step {head} and has {count} of steps {first} to {last}")));
    }
    verify(head_sum(head), sum, || format!("that it stands at step {head}"))?;
    Ok(Position { head, last, strokes: read_share_row(db, head)?.strokes as i64 })
}

pub(super) fn write_head(db: &Connection, head: i64) -> rusqlite::Result<()> {
    db.prepare_cached("UPDATE study SET head = ?1, check_sum = ?2")?.execute((head, head_sum(head).sum()))?;
    Ok(())
}

/// Writes a step; `kind` is the word of its kind.
pub(super) fn write_step(
    db: &Connection,
    step: i64,
    [label, kind, command]: [&str; 3],
    strokes: i64,
    shares: &Shares,
) -> rusqlite::Result<()> {
    let text_sum = text_sum(label, kind, command).sum();
    let sum = step_sum(step, strokes, shares, text_sum).sum();
    let Shares { painted_px, board, free, bare } = shares;
    db.prepare_cached("INSERT INTO step VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)")?
        .execute((step, label, kind, command, strokes, painted_px, board, free, bare, text_sum, sum))?;
    Ok(())
}

/// Columns for [`share_row`].
const SHARE_COLUMNS: &str = "step, strokes, painted_px, board_share, free_share, bare_share, text_sum, check_sum";

/// The readout after a step, with the check sum of its texts.
fn share_row(row: &Row<'_>) -> Result<(ShareRow, i64), Fault> {
    let (step, strokes, text_sum): (i64, i64, i64) = (row.get(0)?, row.get(1)?, row.get(6)?);
    let shares = Shares { painted_px: row.get(2)?, board: row.get(3)?, free: row.get(4)?, bare: row.get(5)? };
    verify(step_sum(step, strokes, &shares, text_sum), row.get(7)?, || format!("step {step}"))?;
    if step < 0 || strokes < 0 {
        return Err(Fault::Damaged(format!("it has {strokes} strokes at step {step}")));
    }
    Ok((ShareRow { step: StepId(step as u64), strokes: strokes as u64, shares }, text_sum))
}

/// The readout after a step.
pub(super) fn read_share_row(db: &Connection, step: i64) -> Result<ShareRow, Fault> {
    let query = format!("SELECT {SHARE_COLUMNS} FROM step WHERE step = ?1");
    let (row, _) = db.prepare_cached(&query)?.query_row([step], |row| Ok(share_row(row)))??;
    Ok(row)
}

/// The readout after each step up to `last`.
pub(super) fn read_shares(db: &Connection, last: i64) -> Result<Vec<ShareRow>, Fault> {
    let mut query = db.prepare(&format!("SELECT {SHARE_COLUMNS} FROM step WHERE step <= ?1 ORDER BY step"))?;
    let rows = query.query_map([last], |row| Ok(share_row(row).map(|(shares, _)| shares)))?;
    rows.map(|row| row?).collect()
}

/// The steps from `first` to `last`.
pub(super) fn read_steps(db: &Connection, first: i64, last: i64) -> Result<Vec<StepRow>, Fault> {
    let mut query = db.prepare_cached(&format!(
        "SELECT {SHARE_COLUMNS}, label, kind, command FROM step WHERE step BETWEEN ?1 AND ?2 ORDER BY step"
    ))?;
    let rows = query.query_map([first, last], |row| Ok(read_step(row)))?;
    rows.map(|row| row?).collect()
}

fn read_step(row: &Row<'_>) -> Result<StepRow, Fault> {
    let (ShareRow { step, .. }, sum) = share_row(row)?;
    let (label, word, command): (String, String, String) = (row.get(8)?, row.get(9)?, row.get(10)?);
    verify(text_sum(&label, &word, &command), sum, || format!("the text of step {}", step.0))?;
    let kind = StepKind::from_word(&word);
    let kind = kind.ok_or_else(|| Fault::Damaged(format!("step {} is of the unknown kind \"{word}\"", step.0)))?;
    Ok(StepRow { step, label, kind, command })
}

/// The document that holds at `step`.
pub(super) fn read_document(db: &Connection, step: i64) -> Result<Document, Fault> {
    let query = "SELECT step, ron, check_sum FROM document WHERE step <= ?1 ORDER BY step DESC LIMIT 1";
    let (at, text, sum): (i64, String, i64) =
        db.query_row(query, [step], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    verify(document_sum(at, &text), sum, || format!("its document at step {at}"))?;
    ron::from_str(&text).map_err(|error| {
        use ron::Error as E;
        let what = format!("its document at step {at} cannot be read: {error}");
        match error.code {
            E::NoSuchStructField { .. } | E::NoSuchEnumVariant { .. } => Fault::UnknownPart(what),
            _ => Fault::Damaged(what),
        }
    })
}

pub(super) fn write_document(db: &Connection, step: i64, document: &Document) -> Result<(), Fault> {
    let ron = ron::to_string(document).map_err(|e| Fault::Unsound(e.to_string()))?;
    let sum = document_sum(step, &ron).sum();
    db.prepare_cached("INSERT INTO document VALUES (?1, ?2, ?3)")?.execute((step, ron, sum))?;
    Ok(())
}

/// The tile key in the first three columns: pass, row, column.
pub(super) fn read_key(row: &Row<'_>) -> rusqlite::Result<TileKey> {
    Ok(TileKey { pass: PassId(row.get(0)?), pos: TilePos { row: row.get(1)?, column: row.get(2)? } })
}

/// The stored tile in four columns from `first` on: number of planes, tally, planes, check sum.
pub(super) fn read_tile(row: &Row<'_>, first: usize) -> rusqlite::Result<StoredTile> {
    let plane_count = row.get(first)?;
    let (tally, planes, check_sum) = (row.get(first + 1)?, row.get(first + 2)?, row.get(first + 3)?);
    Ok(StoredTile { plane_count, tally, planes, check_sum })
}

impl StoredTile {
    /// The tile at a place, if it has paint.
    pub(super) fn at(db: &Connection, key: TileKey) -> rusqlite::Result<Option<Self>> {
        let query = "SELECT plane_count, tally, planes, check_sum FROM tile \
                     WHERE pass = ?1 AND tile_row = ?2 AND tile_column = ?3";
        let at = (key.pass.0, key.pos.row, key.pos.column);
        db.prepare_cached(query)?.query_row(at, |row| read_tile(row, 0)).optional()
    }

    /// Refuses a row that is not as it was written.
    pub(super) fn verify(&self, key: TileKey) -> Result<(), Fault> {
        let sum = tile_sum(key, self.plane_count, &self.tally, &self.planes);
        verify(sum, self.check_sum, || place_of(key))
    }
}

/// Writes the tile at a place, or takes it away.
pub(super) fn write_tile(db: &Connection, key: TileKey, tile: Option<&PackedTile>) -> rusqlite::Result<()> {
    let (pass, row, column) = (key.pass.0, key.pos.row, key.pos.column);
    match tile {
        Some(PackedTile { plane_count, tally, planes }) => {
            let (plane_count, tally) = (*plane_count as i64, tally.to_bytes());
            let sum = tile_sum(key, plane_count, &tally, planes).sum();
            db.prepare_cached(
                "INSERT INTO tile (pass, tile_row, tile_column, plane_count, tally, planes, check_sum) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7) ON CONFLICT (pass, tile_row, tile_column) DO UPDATE SET \
                 plane_count = excluded.plane_count, tally = excluded.tally, planes = excluded.planes, \
                 check_sum = excluded.check_sum",
            )?
            .execute((pass, row, column, plane_count, tally, planes, sum))?
        }
        None => db
            .prepare_cached("DELETE FROM tile WHERE pass = ?1 AND tile_row = ?2 AND tile_column = ?3")?
            .execute((pass, row, column))?,
    };
    Ok(())
}

/// The tiles that a step changed.
pub(super) fn read_delta_keys(db: &Connection, step: i64) -> rusqlite::Result<Vec<TileKey>> {
    let mut query = db.prepare_cached("SELECT pass, tile_row, tile_column FROM step_tile WHERE step = ?1")?;
    let rows = query.query_map([step], read_key)?;
    rows.collect()
}

/// The tiles of a column and of a row.
pub(super) fn read_edge_keys(db: &Connection, column: Option<u32>, row: Option<u32>) -> rusqlite::Result<Vec<TileKey>> {
    let mut query =
        db.prepare_cached("SELECT pass, tile_row, tile_column FROM tile WHERE tile_column = ?1 OR tile_row = ?2")?;
    let rows = query.query_map((column, row), read_key)?;
    rows.collect()
}

/// What a step did to a tile, packed.
pub(super) fn read_delta(db: &Connection, step: i64, key: TileKey) -> Result<Vec<u8>, Fault> {
    let query = "SELECT delta, check_sum FROM step_tile \
                 WHERE step = ?1 AND pass = ?2 AND tile_row = ?3 AND tile_column = ?4";
    let at = (step, key.pass.0, key.pos.row, key.pos.column);
    let (delta, sum): (Vec<u8>, i64) = db.prepare_cached(query)?.query_row(at, |row| Ok((row.get(0)?, row.get(1)?)))?;
    verify(delta_sum(step, key, &delta), sum, || format!("what step {step} did to {}", place_of(key)))?;
    Ok(delta)
}

pub(super) fn write_delta(db: &Connection, step: i64, key: TileKey, delta: &[u8]) -> rusqlite::Result<()> {
    let sum = delta_sum(step, key, delta).sum();
    db.prepare_cached("INSERT INTO step_tile VALUES (?1, ?2, ?3, ?4, ?5, ?6)")?.execute((
        step,
        key.pass.0,
        key.pos.row,
        key.pos.column,
        delta,
        sum,
    ))?;
    Ok(())
}

/// Name and bytes of a photo.
pub(super) fn read_photo(db: &Connection, key: i64) -> Result<(String, Vec<u8>), Fault> {
    let query = "SELECT name, check_sum FROM photo WHERE key = ?1";
    let found = db.query_row(query, [key], |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
    let (name, sum): (String, i64) = found.ok_or(Fault::NoPhoto(key))?;
    let bytes = read_photo_bytes(db, key)?;
    verify(photo_sum(key, &name, &bytes), sum, || format!("its photo \"{name}\""))?;
    Ok((name, bytes))
}

/// What of a photo is on its way into the file or out of it at one time, bytes: SQLite would hold all of it beside whoever gives or takes it.
const PIECE_BYTES: usize = 1 << 18;

/// The place of a photo's bytes in the file.
fn photo_blob(db: &Connection, key: i64, read_only: bool) -> rusqlite::Result<Blob<'_>> {
    db.blob_open("main", "photo", "bytes", key, read_only)
}

fn read_photo_bytes(db: &Connection, key: i64) -> Result<Vec<u8>, Fault> {
    let blob = photo_blob(db, key, true)?;
    // A damaged row may claim any length.
    let file_bytes: i64 =
        db.query_row("SELECT page_count * page_size FROM pragma_page_count, pragma_page_size", [], |row| row.get(0))?;
    if blob.len() as i64 > file_bytes {
        return Err(Fault::Damaged(format!("photo {key} is longer than the file it lies in")));
    }
    let mut bytes = vec![0; blob.len()];
    for (i, piece) in bytes.chunks_mut(PIECE_BYTES).enumerate() {
        blob.read_at_exact(piece, i * PIECE_BYTES)?;
    }
    Ok(bytes)
}

/// Whether a stored photo has these bytes; it is as long as they are.
fn has_bytes(db: &Connection, key: i64, bytes: &[u8]) -> rusqlite::Result<bool> {
    let blob = photo_blob(db, key, true)?;
    let mut stored = vec![0; PIECE_BYTES.min(bytes.len())];
    for (i, piece) in bytes.chunks(PIECE_BYTES).enumerate() {
        let stored = &mut stored[..piece.len()];
        blob.read_at_exact(stored, i * PIECE_BYTES)?;
        if *stored != *piece {
            return Ok(false);
        }
    }
    Ok(true)
}

/// The key of a photo that is there, or the one that it would get, and whether it is there.
pub(super) fn photo_key(db: &Connection, name: &str, bytes: &[u8]) -> rusqlite::Result<(i64, bool)> {
    let mut alike = db.prepare("SELECT key FROM photo WHERE name = ?1 AND length(bytes) = ?2 ORDER BY key")?;
    let alike: Vec<i64> =
        alike.query_map((name, bytes.len() as i64), |row| row.get(0))?.collect::<rusqlite::Result<_>>()?;
    for key in alike {
        if has_bytes(db, key, bytes)? {
            return Ok((key, true));
        }
    }
    let next = "SELECT IFNULL(MAX(key), 0) + 1 FROM photo";
    db.query_row(next, [], |row| row.get(0)).map(|key| (key, false))
}

/// Stores a photo; one that is there stays as it is.
pub(super) fn write_photo(db: &Connection, photo: NewPhoto<'_>) -> Result<(), Fault> {
    let NewPhoto { key, name, bytes } = photo;
    let (wanted, is_there) = photo_key(db, name, bytes)?;
    if wanted != key {
        return Err(Fault::Unsound(format!("photo {key} is another one than \"{name}\"")));
    }
    if !is_there {
        insert_photo(db, key, name, bytes)?;
    }
    Ok(())
}

/// Stores a photo under a key that is free: room for it first, then its bytes piece by piece.
pub(super) fn insert_photo(db: &Connection, key: i64, name: &str, bytes: &[u8]) -> rusqlite::Result<()> {
    let sum = photo_sum(key, name, bytes).sum();
    let insert = "INSERT INTO photo (key, name, check_sum, bytes) VALUES (?1, ?2, ?3, ?4)";
    db.execute(insert, (key, name, sum, ZeroBlob(bytes.len() as u64)))?;
    let mut blob = photo_blob(db, key, false)?;
    for (i, piece) in bytes.chunks(PIECE_BYTES).enumerate() {
        blob.write_all_at(piece, i * PIECE_BYTES)?;
    }
    blob.close()
}

impl Lid {
    /// The table of its openings, and what they are called.
    fn table(self) -> (&'static str, &'static str) {
        match self {
            Lid::FreeColour => ("opened", "free colour"),
            Lid::Photo => ("photo_opened", "the photo"),
        }
    }
}

pub(super) fn read_opened(db: &Connection, lid: Lid) -> Result<Vec<Opened>, Fault> {
    let (table, what) = lid.table();
    let mut query = db.prepare(&format!(
        "SELECT number, after_strokes, board_share, free_share, bare_share, check_sum FROM {table} ORDER BY number"
    ))?;
    let mut rows = query.query([])?;
    let mut all = Vec::new();
    while let Some(row) = rows.next()? {
        let (number, after): (i64, i64) = (row.get(0)?, row.get(1)?);
        let [board_share, free_share, bare_share]: [f64; 3] = [row.get(2)?, row.get(3)?, row.get(4)?];
        let sum = opened_sum(number, after, [board_share, free_share, bare_share]);
        verify(sum, row.get(5)?, || format!("opening {number} of {what}"))?;
        all.push(Opened { after_strokes: after.max(0) as u64, board_share, free_share, bare_share });
    }
    Ok(all)
}

pub(super) fn write_opened(db: &Connection, lid: Lid, opened: &Opened) -> Result<(), Fault> {
    let after = i64::try_from(opened.after_strokes).map_err(|e| Fault::Unsound(e.to_string()))?;
    let Opened { board_share, free_share, bare_share, .. } = *opened;
    let (table, _) = lid.table();
    let next = format!("SELECT IFNULL(MAX(number), 0) + 1 FROM {table}");
    let number: i64 = db.query_row(&next, [], |row| row.get(0))?;
    let sum = opened_sum(number, after, [board_share, free_share, bare_share]).sum();
    db.prepare_cached(&format!("INSERT INTO {table} VALUES (?1, ?2, ?3, ?4, ?5, ?6)"))?.execute((
        number,
        after,
        board_share,
        free_share,
        bare_share,
        sum,
    ))?;
    Ok(())
}

/// For how many seconds a study had been worked on at its steps, in their order.
pub(super) fn read_worked(db: &Connection) -> Result<Vec<(StepId, u64)>, Fault> {
    let mut query = db.prepare("SELECT step, seconds, check_sum FROM worked ORDER BY step")?;
    let mut rows = query.query([])?;
    let mut all = Vec::new();
    while let Some(row) = rows.next()? {
        let (step, seconds): (i64, i64) = (row.get(0)?, row.get(1)?);
        verify(worked_sum(step, seconds), row.get(2)?, || format!("the time worked up to step {step}"))?;
        let (Ok(step), Ok(seconds)) = (u64::try_from(step), u64::try_from(seconds)) else {
            return Err(Fault::Damaged(format!("it was worked on for {seconds} s up to step {step}")));
        };
        all.push((StepId(step), seconds));
    }
    Ok(all)
}

/// Notes for how many seconds the study has been worked on at a step.
pub(super) fn write_worked(db: &Connection, step: i64, seconds: u64) -> Result<(), Fault> {
    let seconds = i64::try_from(seconds).map_err(|e| Fault::Unsound(e.to_string()))?;
    let sum = worked_sum(step, seconds).sum();
    db.prepare_cached("INSERT OR REPLACE INTO worked VALUES (?1, ?2, ?3)")?.execute((step, seconds, sum))?;
    Ok(())
}
