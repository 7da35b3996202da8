//! A study that nobody paints on is moved as a whole: to another name, into the trash, back from there.

use super::error::{StudyError, disk_error};
use super::file::StudyFile;
use super::lock::StudyLock;
use crate::disk::{is_taken, move_new};
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// Moves the study at `from` to `to`, whose name must be free.
///
/// # Errors
/// When it is open in a window, is not there or damaged by a crash and cannot be mended, or the name is taken or cannot be written. The
/// study is then where it was.
pub fn relocate(from: &Path, to: &Path) -> Result<(), StudyError> {
    if is_taken(to) {
        return Err(StudyError::Exists { path: to.to_owned() });
    }
    // What a crash left half done is beside the study, under its old name; opening it takes that back.
    if is_taken(&journal_of(from)) {
        StudyFile::open(from)?.close()?;
    }
    let _lock = StudyLock::take(from)?;
    move_new(from, to).map_err(|e| disk_error(from, e))
}

/// SQLite's rollback journal ("Atomic Commit In SQLite", 3.5).
fn journal_of(study: &Path) -> PathBuf {
    let mut name = OsString::from(study);
    name.push("-journal");
    name.into()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::Board;
    use crate::study::Document;

    #[test]
    fn a_study_moves_whole_unless_somebody_paints_on_it() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let document = Document::new(40, 30, Board::default()).unwrap();
        let open = StudyFile::create(&at("a.stint"), &document).unwrap();
        assert!(matches!(relocate(&at("a.stint"), &at("b.stint")), Err(StudyError::OpenElsewhere { .. })));
        open.close().unwrap();
        std::fs::write(at("c.stint"), "taken").unwrap();
        assert!(matches!(relocate(&at("a.stint"), &at("c.stint")), Err(StudyError::Exists { .. })));
        relocate(&at("a.stint"), &at("b.stint")).unwrap();
        let moved = StudyFile::open(&at("b.stint")).unwrap();
        assert_eq!(moved.document().width, 40);
        moved.close().unwrap();
        assert!(relocate(&at("a.stint"), &at("d.stint")).is_err());
    }
}
