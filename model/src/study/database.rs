//! The database under a study: its schema, its header, and what must hold of the file as a whole.

use super::VERSION;
use super::check;
use super::document::Document;
use super::error::{Fault, StudyError};
use super::rows::{head_sum, write_document, write_step};
use super::step::Shares;
use super::upgrade::version;
use crate::disk;
use rusqlite::backup::{Backup, StepResult};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};
use std::collections::HashSet;
use std::path::Path;
use std::time::Duration;

/// What SQLite files of this program carry in their header: "STNT".
const APPLICATION_ID: i64 = i64::from_be_bytes(*b"\0\0\0\0STNT");
const SCHEMA: &str = include_str!("schema.sql");
/// How long to wait for a reader that is taking its copy.
const BUSY_TIMEOUT: Duration = Duration::from_secs(5);

/// A connection with every setting a study needs.
pub(super) fn connect(path: &Path, access: OpenFlags) -> rusqlite::Result<Connection> {
    let path = disk::verbatim(path).map_err(|_| rusqlite::Error::InvalidPath(path.to_owned()))?;
    let db = Connection::open_with_flags(path, access | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    db.busy_timeout(BUSY_TIMEOUT)?;
    // A study comes from anywhere: nothing in it is run, and its inner tables are not writable by name.
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_VIEW, false)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    // SQLite's defaults, which the promise "nothing recorded is lost" rests on.
    db.pragma_update(None, "synchronous", "FULL")?;
    Ok(db)
}

/// Writes the schema and the empty study.
pub(super) fn fill(db: &mut Connection, document: &Document) -> Result<(), Fault> {
    check::document(document).map_err(Fault::Unsound)?;
    let change = db.transaction()?;
    change.pragma_update(None, "application_id", APPLICATION_ID)?;
    change.pragma_update(None, "user_version", VERSION)?;
    change.execute_batch(SCHEMA)?;
    change.execute("INSERT INTO study (only, head, check_sum) VALUES (1, 0, ?1)", [head_sum(0).sum()])?;
    write_step(&change, 0, ["New study", "start", ""], 0, &Shares::EMPTY)?;
    write_document(&change, 0, document)?;
    check::stored(&change, document)?.map_err(Fault::Unsound)?;
    Ok(change.commit()?)
}

/// Makes sure that the file is a study of a version this program knows, without changing it.
pub(super) fn identify(path: &Path) -> Result<(), StudyError> {
    let header = |access| -> Result<(i64, i64), StudyError> {
        let read = || -> rusqlite::Result<(i64, i64)> {
            let db = connect(path, access)?;
            Ok((db.pragma_query_value(None, "application_id", |row| row.get(0))?, version(&db)?))
        };
        read().map_err(|e| Fault::from(e).at(path))
    };
    let found = match header(OpenFlags::SQLITE_OPEN_READ_ONLY) {
        // After a crash in the middle of a step, its half is taken back on opening, which takes writing.
        Err(StudyError::CutOff { .. }) => header(OpenFlags::SQLITE_OPEN_READ_WRITE),
        found => found,
    };
    let path = path.to_owned();
    match found? {
        (APPLICATION_ID, 1..=VERSION) => Ok(()),
        (APPLICATION_ID, found) if found > VERSION => Err(StudyError::Newer { path, found, known: VERSION }),
        _ => Err(StudyError::NotAStudy { path }),
    }
}

/// Tables, views and triggers with their columns: "table tile", "column planes of table tile".
fn parts(db: &Connection) -> rusqlite::Result<HashSet<String>> {
    let mut parts = HashSet::new();
    let mut query = db.prepare(
        "SELECT type, name FROM sqlite_schema WHERE type <> 'index' AND name NOT LIKE 'sqlite~_%' ESCAPE '~'",
    )?;
    let mut columns = db.prepare("SELECT name FROM pragma_table_info(?1)")?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let (kind, name): (String, String) = (row.get(0)?, row.get(1)?);
        let whole = format!("{kind} \"{name}\"");
        if kind == "table" {
            for column in columns.query_map([&name], |row| row.get::<_, String>(0))? {
                parts.insert(format!("column \"{}\" of {whole}", column?));
            }
        }
        parts.insert(whole);
    }
    Ok(parts)
}

/// Refuses a study with parts that are not in the schema: what is not understood must not be painted over.
pub(super) fn require_known_parts(db: &Connection) -> Result<(), Fault> {
    let plain = Connection::open_in_memory()?;
    plain.execute_batch(SCHEMA)?;
    let (known, found) = (parts(&plain)?, parts(db)?);
    let mut unknown: Vec<_> = found.difference(&known).collect();
    // The shortest is the whole of which the others are parts.
    unknown.sort_by_key(|part| (part.len(), part.to_string()));
    match unknown.first() {
        Some(part) => Err(Fault::UnknownPart(format!("the {part}"))),
        None => Ok(()),
    }
}

/// SQLite notices missing pages; a last page that is cut in the middle it would read as if it ended in zeros.
pub(super) fn require_whole(db: &Connection, path: &Path) -> Result<(), Fault> {
    let number = |name| db.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let expected = number("page_count")? * number("page_size")?;
    let found = disk::metadata(path).map_err(Fault::Disk)?.len();
    if i128::from(found) < i128::from(expected) {
        return Err(Fault::Damaged(format!("it has {found} of {expected} bytes")));
    }
    Ok(())
}

/// A copy in memory of the state at one moment, taken piece by piece: a window that records a step meanwhile waits for a piece
/// at most.
pub(super) fn copy(source: &Connection) -> Result<Connection, Fault> {
    copy_in_pieces(source, PIECE_BYTES, &mut || {})
}

/// How much is copied before the file is given free for a moment, in bytes: a millisecond's work.
const PIECE_BYTES: i64 = 1 << 20;

/// Copies `piece_bytes` at a time and calls `between` while the file is free. Whenever somebody has changed the file, SQLite
/// begins anew ("SQLite Backup API", file and database connection locking); the pieces are then twice as large, so that
/// a painter who never rests cannot keep the copy from coming to its end.
fn copy_in_pieces(source: &Connection, piece_bytes: i64, between: &mut dyn FnMut()) -> Result<Connection, Fault> {
    let mut copy = Connection::open_in_memory()?;
    // A copy in memory must have the page size of its source.
    let page_size: i64 = source.pragma_query_value(None, "page_size", |row| row.get(0))?;
    copy.pragma_update(None, "page_size", page_size)?;
    let backup = Backup::new(source, &mut copy)?;
    let mut pages = i32::try_from(piece_bytes / page_size.max(1)).unwrap_or(1).max(1);
    let mut left = i32::MAX;
    loop {
        match backup.step(pages)? {
            StepResult::Done => break,
            StepResult::More => {}
            _ => return Err(Fault::Busy),
        }
        let now = backup.progress().remaining;
        if now >= left {
            pages = pages.saturating_mul(2);
        }
        left = now;
        between();
    }
    drop(backup);
    Ok(copy)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{Board, LightOfDay};
    use crate::ids::PassId;
    use crate::random::SplitMix64;
    use crate::study::file::{Step, StepKind, StudyFile, TileChange};
    use crate::study::tile::{Plane, TileKey, TilePixels, TilePos};

    /// Records a stroke. Somebody in the way would have to be this very thread, which never gives way.
    fn stroke(study: &mut StudyFile, number: u32) {
        let key = TileKey { pass: PassId(1), pos: TilePos { column: number as u16 % 4, row: number as u16 / 4 % 4 } };
        // Noise takes room, so that the copy has many pieces.
        let mut random = SplitMix64(u64::from(number));
        let after = TilePixels::new(vec![Plane::from_fn(|_| 1 << 16 | (1 + random.next_u64() as u32 % 32_000))]);
        let tiles = [TileChange { key, before: &TilePixels::default(), after: &after }];
        let (label, kind, shares) = ("Stroke", StepKind::Stroke, Shares::EMPTY);
        study
            .record(Step { label, kind, command: "", document: None, tiles: &tiles, shares, noted: Default::default() })
            .unwrap();
    }

    #[test]
    fn a_stroke_beside_a_copy_is_kept_at_once_and_the_copy_is_of_one_moment() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.stint");
        let mut document = Document::new(512, 512, Board::new("depot", LightOfDay::Cool)).unwrap();
        document.paints.load_free(crate::colour::Colour::new(0.1, 0.2, 0.3)).unwrap();
        let mut study = StudyFile::create(&path, &document).unwrap();
        (0..8).for_each(|number| stroke(&mut study, number));

        let source = connect(&path, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
        let (mut pieces, mut strokes) = (0, 8);
        let copied = copy_in_pieces(&source, 4096, &mut || {
            pieces += 1;
            if pieces % 20 == 0 && strokes < 11 {
                stroke(&mut study, strokes);
                strokes += 1;
            }
        });
        let copied = copied.unwrap();
        assert!(pieces > 60 && strokes == 11, "{pieces} pieces, {strokes} strokes");
        let whole: String = copied.pragma_query_value(None, "integrity_check", |row| row.get(0)).unwrap();
        let heads = |db: &Connection| -> [i64; 3] {
            ["SELECT head FROM study", "SELECT COUNT(*) FROM step", "SELECT COUNT(*) FROM tile"]
                .map(|query| db.query_row(query, [], |row| row.get(0)).unwrap())
        };
        assert_eq!((whole.as_str(), heads(&copied)), ("ok", heads(&study.db)));
    }

    #[test]
    fn a_painter_who_never_rests_cannot_keep_a_copy_from_its_end() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.stint");
        let mut document = Document::new(512, 512, Board::new("depot", LightOfDay::Cool)).unwrap();
        document.paints.load_free(crate::colour::Colour::new(0.1, 0.2, 0.3)).unwrap();
        let mut study = StudyFile::create(&path, &document).unwrap();
        (0..8).for_each(|number| stroke(&mut study, number));
        let source = connect(&path, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
        let mut strokes = 8;
        copy_in_pieces(&source, 4096, &mut || {
            stroke(&mut study, strokes);
            strokes += 1;
        })
        .unwrap();
        assert!((9..40).contains(&strokes), "{strokes}");
    }
}
