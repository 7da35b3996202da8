//! The database under a study: its schema, its header, and the rows that are read when it is opened.

use super::document::Document;
use super::error::{Fault, StudyError};
use super::sound;
use super::step::Shares;
use super::tile::{TileKey, TilePos};
use crate::ids::PassId;
use crate::readout::Opened;
use rusqlite::backup::{Backup, StepResult};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::time::Duration;

/// What SQLite files of this program carry in their header: "STNT".
const APPLICATION_ID: i64 = i64::from_be_bytes(*b"\0\0\0\0STNT");
/// Version of the schema in `schema.sql`, kept in the header as `user_version`.
const SCHEMA_VERSION: i64 = 2;
/// The first version. Version 2 only added fields to the documents: the links of picks and the other boards.
const FIRST_VERSION: i64 = 1;
const SCHEMA: &str = include_str!("schema.sql");
/// How long to wait for a reader that is taking its copy.
const PATIENCE: Duration = Duration::from_secs(5);

/// Where in its history a study stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Place {
    /// The step whose result is shown; 0 for the empty study.
    pub(super) head: i64,
    /// The last step that can be redone, or the head.
    pub(super) last: i64,
    /// Strokes at the head.
    pub(super) strokes: i64,
}

/// A connection with every setting a study needs.
pub(super) fn connect(path: &Path, access: OpenFlags) -> rusqlite::Result<Connection> {
    let db = Connection::open_with_flags(path, access | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    db.busy_timeout(PATIENCE)?;
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
    sound::document(document).map_err(Fault::Unsound)?;
    let ron = document_text(document)?;
    let change = db.transaction()?;
    change.pragma_update(None, "application_id", APPLICATION_ID)?;
    change.pragma_update(None, "user_version", SCHEMA_VERSION)?;
    change.execute_batch(SCHEMA)?;
    change.execute("INSERT INTO study (only, head) VALUES (1, 0)", [])?;
    let Shares { painted_px, board, free, bare } = Shares::EMPTY;
    change.execute(
        "INSERT INTO step VALUES (0, 'New study', 'start', '', 0, ?1, ?2, ?3, ?4)",
        (painted_px, board, free, bare),
    )?;
    change.execute("INSERT INTO document VALUES (0, ?1)", [ron])?;
    sound::stored(&change, document)?.map_err(Fault::Unsound)?;
    Ok(change.commit()?)
}

/// Makes sure that the file is a study of a version this program knows, without changing it.
pub(super) fn identify(path: &Path) -> Result<(), StudyError> {
    let header = |access| -> Result<(i64, i64), StudyError> {
        let read = || -> rusqlite::Result<(i64, i64)> {
            let db = connect(path, access)?;
            let number = |name| db.pragma_query_value(None, name, |row| row.get(0));
            Ok((number("application_id")?, number("user_version")?))
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
        (APPLICATION_ID, FIRST_VERSION..=SCHEMA_VERSION) => Ok(()),
        (APPLICATION_ID, found) if found > SCHEMA_VERSION => {
            Err(StudyError::Newer { path, found, known: SCHEMA_VERSION })
        }
        _ => Err(StudyError::NotAStudy { path }),
    }
}

/// Brings a study of an older version up to this one: its documents read as they are, but what is written from now on is of
/// this version.
pub(super) fn upgrade(db: &Connection) -> Result<(), Fault> {
    let found: i64 = db.pragma_query_value(None, "user_version", |row| row.get(0))?;
    if found < SCHEMA_VERSION {
        db.pragma_update(None, "user_version", SCHEMA_VERSION)?;
    }
    Ok(())
}

/// SQLite notices missing pages; a last page that is cut in the middle it would read as if it ended in zeros.
pub(super) fn require_whole(db: &Connection, path: &Path) -> Result<(), Fault> {
    let number = |name| db.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let expected = number("page_count")? * number("page_size")?;
    let found = path.metadata().map_err(Fault::Disk)?.len();
    if i128::from(found) < i128::from(expected) {
        return Err(Fault::Damaged(format!("it has {found} of {expected} bytes")));
    }
    Ok(())
}

/// A copy in memory of the state at one moment.
pub(super) fn copy(source: &Connection) -> Result<Connection, Fault> {
    let mut copy = Connection::open_in_memory()?;
    // A copy in memory must have the page size of its source.
    let page_size: i64 = source.pragma_query_value(None, "page_size", |row| row.get(0))?;
    copy.pragma_update(None, "page_size", page_size)?;
    let all_pages = -1;
    let step = Backup::new(source, &mut copy)?.step(all_pages)?;
    match step {
        StepResult::Done => Ok(copy),
        _ => Err(Fault::Busy),
    }
}

pub(super) fn read_place(db: &Connection) -> Result<Place, Fault> {
    let head: i64 = db.query_row("SELECT head FROM study", [], |row| row.get(0))?;
    let (first, last, count): (i64, i64, i64) =
        db.query_row("SELECT MIN(step), MAX(step), COUNT(*) FROM step", [], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?))
        })?;
    if first != 0 || count != last + 1 || !(0..=last).contains(&head) {
        return Err(Fault::Damaged(format!("it stands at step {head} and has {count} of steps {first} to {last}")));
    }
    Ok(Place { head, last, strokes: read_strokes(db, head)? })
}

pub(super) fn read_strokes(db: &Connection, step: i64) -> Result<i64, Fault> {
    let strokes = db.query_row("SELECT strokes FROM step WHERE step = ?1", [step], |row| row.get(0))?;
    if strokes < 0 {
        return Err(Fault::Damaged(format!("it has {strokes} strokes at step {step}")));
    }
    Ok(strokes)
}

/// The document that holds at `step`.
pub(super) fn read_document(db: &Connection, step: i64) -> Result<Document, Fault> {
    let query = "SELECT ron FROM document WHERE step <= ?1 ORDER BY step DESC LIMIT 1";
    let text: String = db.query_row(query, [step], |row| row.get(0))?;
    ron::from_str(&text).map_err(|e| Fault::Damaged(format!("its document at step {step} cannot be read: {e}")))
}

pub(super) fn document_text(document: &Document) -> Result<String, Fault> {
    ron::to_string(document).map_err(|e| Fault::Unsound(e.to_string()))
}

pub(super) fn read_opened(db: &Connection) -> rusqlite::Result<Vec<Opened>> {
    let mut query =
        db.prepare("SELECT after_strokes, board_share, free_share, bare_share FROM opened ORDER BY number")?;
    let rows = query.query_map([], |row| {
        let after_strokes: i64 = row.get(0)?;
        Ok(Opened {
            after_strokes: after_strokes.max(0) as u64,
            board_share: row.get(1)?,
            free_share: row.get(2)?,
            bare_share: row.get(3)?,
        })
    })?;
    rows.collect()
}

/// The tile key in the first three columns: pass, row, column.
pub(super) fn read_key(row: &rusqlite::Row<'_>) -> rusqlite::Result<TileKey> {
    Ok(TileKey { pass: PassId(row.get(0)?), pos: TilePos { row: row.get(1)?, column: row.get(2)? } })
}
