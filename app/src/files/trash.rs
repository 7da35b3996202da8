//! Studies in the trash, and back from it: the FreeDesktop.org Trash specification 1.0. A file lies in `files`, and beside it in `info` a
//! note of the same name says where it was and when it went.

use crate::base::{clock, percent};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use stint_model::disk;
use stint_model::study::file::StudyError;
use stint_model::study::relocate::relocate;

/// Ending of the notes.
const NOTE: &str = ".trashinfo";
/// Most studies that are told of.
const MOST: usize = 500;

/// A study in the trash.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Trashed {
    /// Its file now.
    file: PathBuf,
    note: PathBuf,
    /// Where it was.
    pub was: PathBuf,
    /// When it went, as the note has it: `2026-11-25T17:04:09`.
    pub when: String,
}

/// Why a study cannot be put in the trash or brought back.
#[derive(Debug, thiserror::Error)]
pub enum TrashError {
    /// The study's own reason.
    #[error(transparent)]
    Study(#[from] StudyError),
    /// The trash cannot be written.
    #[error("the trash {} cannot be used ({source}); the study is where it was", path.display())]
    Folder {
        /// The trash.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// Puts a study that nobody paints on in the trash.
///
/// # Errors
/// When it is open, or the trash cannot be written; the study is then where it was.
pub fn put(trash: &Path, study: &Path) -> Result<Trashed, TrashError> {
    let refused = |source| TrashError::Folder { path: trash.to_owned(), source };
    let study = disk::canonicalize(study).unwrap_or_else(|_| study.to_owned());
    let (files, notes) = (trash.join("files"), trash.join("info"));
    for folder in [&files, &notes] {
        disk::create_dir_all(folder).map_err(refused)?;
    }
    // The note first: who makes it owns the name.
    let name = study.file_name().unwrap_or_default();
    let stem = study.file_stem().unwrap_or(name).to_string_lossy().into_owned();
    let (note, file) = loop {
        let file = disk::free_name(&files, &stem, ".stint");
        let mut note = file.file_name().unwrap_or_default().to_owned();
        note.push(NOTE);
        let note = notes.join(note);
        match disk::create_new(&note) {
            Ok(mut opened) => {
                let was = percent::encoded(&study.to_string_lossy());
                let when = clock::to_the_second();
                let written = writeln!(opened, "[Trash Info]\nPath={was}\nDeletionDate={when}");
                written.map_err(refused)?;
                break (note, file);
            }
            // A note without its file: somebody else's, just now or left over.
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                let beside =
                    disk::free_name(&notes, format!("{stem} {}", clock::to_the_second().replace(':', "-")), NOTE);
                if disk::is_taken(&file) {
                    continue;
                }
                disk::rename(&note, beside).map_err(refused)?;
            }
            Err(error) => return Err(refused(error)),
        }
    };
    match relocate(&study, &file) {
        Ok(()) => read(&file, &note).ok_or_else(|| refused(io::ErrorKind::InvalidData.into())),
        Err(error) => {
            let _ = disk::remove_file(&note);
            Err(error.into())
        }
    }
}

/// Studies in the trash, the last that went first. A trash that cannot be read holds none.
pub fn list(trash: &Path) -> Vec<Trashed> {
    let Ok(entries) = disk::read_dir(trash.join("info")) else { return Vec::new() };
    let mut found: Vec<_> = entries
        .flatten()
        .filter_map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            let file = trash.join("files").join(name.strip_suffix(NOTE).filter(|n| n.ends_with(".stint"))?);
            read(&file, &entry.path())
        })
        .collect();
    found.sort_by(|a, b| b.when.cmp(&a.when).then_with(|| a.was.cmp(&b.was)));
    found.truncate(MOST);
    found
}

fn read(file: &Path, note: &Path) -> Option<Trashed> {
    if !disk::is_file(file) {
        return None;
    }
    let text = disk::read_to_string(note).ok()?;
    let value = |key: &str| text.lines().find_map(|line| line.strip_prefix(key)?.strip_prefix('='));
    let was = PathBuf::from(percent::decoded(value("Path")?)?);
    let when = value("DeletionDate").unwrap_or_default().to_owned();
    disk::is_absolute(&was).then(|| Trashed { file: file.to_owned(), note: note.to_owned(), was, when })
}

/// Brings a study back to where it was, under a free name where that is taken by now. Its file.
///
/// # Errors
/// When it is in the trash no more, or its folder cannot be written.
pub fn bring_back(trashed: &Trashed) -> Result<PathBuf, TrashError> {
    let folder = disk::folder_of(&trashed.was);
    disk::create_dir_all(&folder).map_err(|source| TrashError::Folder { path: folder.clone(), source })?;
    let stem = trashed.was.file_stem().unwrap_or_default();
    let to = disk::free_name(&folder, stem, ".stint");
    relocate(&trashed.file, &to)?;
    // A note without a file means nothing to anybody.
    let _ = disk::remove_file(&trashed.note);
    Ok(to)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use stint_model::board::Board;
    use stint_model::study::Document;
    use stint_model::study::file::StudyFile;

    fn study(path: &Path) {
        StudyFile::create(path, &Document::new(40, 30, Board::default()).unwrap()).unwrap().close().unwrap();
    }

    #[test]
    fn a_study_comes_back_from_the_trash_to_where_it_was() {
        let home = tempfile::tempdir().unwrap();
        let home = home.path().canonicalize().unwrap();
        let (trash, path) = (home.join("Trash"), home.join("depot 夜.stint"));
        study(&path);
        let gone = put(&trash, &path).unwrap();
        assert!(!path.exists());
        let note = std::fs::read_to_string(trash.join("info/depot 夜.stint.trashinfo")).unwrap();
        assert!(note.starts_with("[Trash Info]\nPath=/") && note.contains("/depot%20%E5%A4%9C.stint\nDeletionDate=20"));
        // Another of the same name, and a note that lost its file.
        study(&path);
        std::fs::write(trash.join("info/depot 夜 2.stint.trashinfo"), "left over").unwrap();
        put(&trash, &path).unwrap();
        assert_eq!(list(&trash).len(), 2);
        study(&path);
        let back = bring_back(&gone).unwrap();
        assert_eq!(back, home.join("depot 夜 2.stint"), "the name is taken by now");
        StudyFile::open(&back).unwrap().close().unwrap();
        let [left] = &list(&trash)[..] else { panic!("one is left") };
        assert_eq!(left.was, path);
        std::fs::remove_file(&path).unwrap();
        assert_eq!(bring_back(left).unwrap(), path);
        assert!(list(&trash).is_empty());
    }

    #[test]
    fn a_study_somebody_paints_on_stays_where_it_is() {
        let home = tempfile::tempdir().unwrap();
        let (trash, path) = (home.path().join("Trash"), home.path().join("depot.stint"));
        study(&path);
        let open = StudyFile::open(&path).unwrap();
        assert!(put(&trash, &path).unwrap_err().to_string().contains("open"));
        assert!(path.exists() && list(&trash).is_empty());
        assert_eq!(std::fs::read_dir(trash.join("info")).unwrap().count(), 0);
        open.close().unwrap();
    }
}
