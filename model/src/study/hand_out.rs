//! A copy of a study to hand out: without what its photos tell about place, time and camera, and, if asked, without the photos
//! themselves or the history.
//!
//! The copy is written anew, page by page, so that nothing of what was left out remains in unused parts of the file.

use super::document::Document;
use super::error::{Fault, StudyError, disk_error};
use super::file::StudyFile;
use super::rows::{
    insert_photo, read_document, read_photo, read_share_row, read_steps, read_worked, write_document, write_head,
    write_step, write_worked,
};
use crate::disk::{Unplaced, is_taken, options};
use crate::photo::private::without_private_data;
use rusqlite::Connection;
use std::path::Path;

/// What a copy leaves out.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct LeaveOut {
    /// The photos, with the links of swatches to them.
    pub photos: bool,
    /// Every step: nothing can be undone in the copy.
    pub history: bool,
}

/// Writes a copy of the study at `path` to `copy`, whose name must be free. Gives the names of photos whose private data cannot be
/// told apart from the picture: they are in the copy as they are.
///
/// # Errors
/// When the study cannot be read, the name is taken, or the copy cannot be written; nothing is left then.
pub fn hand_out(path: &Path, copy: &Path, leave_out: LeaveOut) -> Result<Vec<String>, StudyError> {
    if is_taken(copy) {
        return Err(StudyError::Exists { path: copy.to_owned() });
    }
    // A copy in memory of one state, brought up to this version.
    let StudyFile { mut db, position, .. } = StudyFile::open_read_only(path)?;
    let mut changed = || -> Result<Vec<String>, Fault> {
        let change = db.transaction()?;
        if leave_out.history {
            drop_history(&change, position.head)?;
        }
        let unclean = if leave_out.photos { drop_photos(&change)? } else { clean_photos(&change)? };
        drop_folders(&change)?;
        change.commit()?;
        Ok(unclean)
    };
    let unclean = changed().map_err(|e| e.at(path))?;
    let file = Unplaced::beside(copy).map_err(|e| disk_error(copy, e))?;
    let written = file.path().to_str().ok_or_else(|| Fault::Unsound("its folder's name is not text".to_owned()));
    let written = written.and_then(|to| Ok(db.execute("VACUUM INTO ?1", [to])?));
    written.map_err(|e| e.at(copy))?;
    let synced = options().write(true).open(file.path()).and_then(|f| f.sync_all());
    synced.and_then(|()| file.place_new(copy)).map_err(|e| disk_error(copy, e))?;
    Ok(unclean)
}

/// Makes the study at the head the beginning.
fn drop_history(db: &Connection, head: i64) -> Result<(), Fault> {
    let document = read_document(db, head)?;
    let now = read_share_row(db, head)?;
    let worked_s = read_worked(db)?.iter().map(|(_, seconds)| *seconds).max();
    for table in ["step", "document", "step_tile", "worked"] {
        db.execute(&format!("DELETE FROM {table}"), [])?;
    }
    write_step(db, 0, ["New study", "start", ""], now.strokes as i64, &now.shares)?;
    write_document(db, 0, &document)?;
    if let Some(seconds) = worked_s {
        write_worked(db, 0, seconds)?;
    }
    Ok(write_head(db, 0)?)
}

/// Takes the photos away, and what points to them, from every document.
fn drop_photos(db: &Connection) -> Result<Vec<String>, Fault> {
    db.execute("DELETE FROM photo", [])?;
    for step in numbers(db, "SELECT step FROM document")? {
        let mut document: Document = read_document(db, step)?;
        document.reference = None;
        document.picks.clear();
        document.photo_shut = false;
        db.execute("DELETE FROM document WHERE step = ?1", [step])?;
        write_document(db, step, &document)?;
    }
    Ok(Vec::new())
}

/// Takes the private data of the photos away, and the photos that no document names.
fn clean_photos(db: &Connection) -> Result<Vec<String>, Fault> {
    let mut named = Vec::new();
    for step in numbers(db, "SELECT step FROM document")? {
        named.extend(read_document(db, step)?.reference.map(|r| r.photo));
    }
    let mut unclean = Vec::new();
    for key in numbers(db, "SELECT key FROM photo")? {
        if !named.contains(&key) {
            db.execute("DELETE FROM photo WHERE key = ?1", [key])?;
            continue;
        }
        let (name, bytes) = read_photo(db, key)?;
        match without_private_data(&bytes) {
            Some(clean) => {
                db.execute("DELETE FROM photo WHERE key = ?1", [key])?;
                insert_photo(db, key, &name, &clean)?;
            }
            None => unclean.push(name),
        }
    }
    Ok(unclean)
}

/// Takes the folders out of the paths that steps name: of `Reference("/home/anna/depot.jpg")` the name of the file stays.
fn drop_folders(db: &Connection) -> Result<(), Fault> {
    for step in numbers(db, "SELECT step FROM step WHERE step > 0")? {
        let Some(row) = read_steps(db, step, step)?.pop() else { continue };
        let Some(command) = without_folder(&row.command) else { continue };
        let now = read_share_row(db, step)?;
        db.execute("DELETE FROM step WHERE step = ?1", [step])?;
        write_step(db, step, [&row.label, row.kind.word(), &command], now.strokes as i64, &now.shares)?;
    }
    Ok(())
}

/// A command without the folder of the path that it names, if it names one.
fn without_folder(command: &str) -> Option<String> {
    let (name, rest) = command.split_once('(')?;
    let path: String = ron::from_str(rest.strip_suffix(')')?).ok()?;
    let file = path.rsplit(['/', '\\']).next().filter(|file| *file != path)?;
    let takes_path = ["Reference", "UseBoard"].contains(&name);
    takes_path.then(|| ron::to_string(file).ok().map(|file| format!("{name}({file})")))?
}

fn numbers(db: &Connection, query: &str) -> rusqlite::Result<Vec<i64>> {
    db.prepare(query)?.query_map([], |row| row.get(0))?.collect()
}
