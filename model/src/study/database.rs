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
