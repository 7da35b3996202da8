//! What is kept: one entry a board file, read anew only when the file has changed. A broken file is an entry too.

use super::{Library, LibraryError, Palette, names, photo_of};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;
use stint_model::board::Board;
use stint_model::board::file::read_board;
use stint_model::board::review::review;
use stint_model::disk;

/// A board that was read, with what searching and showing need of it.
#[derive(Clone, PartialEq, Debug)]
pub struct KeptBoard {
    /// The board.
    pub board: Board,
    /// Its colours, for comparing.
    pub palette: Palette,
    /// How many remarks the review makes.
    pub remarks: usize,
}

/// A file of the library.
#[derive(Clone, PartialEq, Debug)]
pub struct Entry {
    /// The file.
    pub path: PathBuf,
    /// Name of the board; that of the file when it is broken.
    pub name: String,
    /// The board, or what is wrong with the file.
    pub content: Result<Arc<KeptBoard>, String>,
    /// The small copy of its photo, if there is one.
    pub photo: Option<PathBuf>,
    stamp: Stamp,
}

/// What tells that a file has changed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Stamp {
    modified: Option<SystemTime>,
    bytes: u64,
}

impl Entry {
    fn read(path: PathBuf, stamp: Stamp) -> Self {
        let content = match read_board(&path) {
            Ok(board) => {
                let (palette, remarks) = (Palette::of(&board), review(&board).len());
                Ok(Arc::new(KeptBoard { board, palette, remarks }))
            }
            Err(error) => Err(error.to_string()),
        };
        let mut entry = Entry { path, name: String::new(), content, photo: None, stamp };
        entry.name = entry.content.as_ref().map_or_else(|_| entry.stem(), |kept| kept.board.name.clone());
        entry
    }

    /// Name of the file without its suffix.
    pub fn stem(&self) -> String {
        let name = self.path.file_name().unwrap_or_default().to_string_lossy();
        name.strip_suffix(names::BOARD_SUFFIX).unwrap_or(&name).to_owned()
    }

    /// The board.
    ///
    /// # Errors
    /// What is wrong with the file.
    pub fn board(&self) -> Result<&Board, LibraryError> {
        self.content.as_ref().map(|kept| &kept.board).map_err(|why| LibraryError::Broken(why.clone()))
    }

    /// Whether the board or its file is called so, whatever the case of the letters.
    pub fn is_called(&self, name: &str) -> bool {
        names::same(&self.name, name) || names::same(&self.stem(), name)
    }
}

impl Library {
    /// All boards by name. Looks into the folder, and reads only the files that are new or have changed since the last time.
    ///
    /// # Errors
    /// When the folder is there but cannot be read; [`Library::seen`] stays as it was.
    pub fn entries(&mut self) -> Result<&[Entry], LibraryError> {
        let files =
            board_files(&self.folder).map_err(|source| LibraryError::Folder { path: self.folder.clone(), source })?;
        let mut before = std::mem::take(&mut self.entries);
        let mut changed = false;
        for (path, stamp) in files {
            let known = before.iter().position(|e| e.path == path && e.stamp == stamp);
            let mut entry = match known {
                Some(at) => before.swap_remove(at),
                None => {
                    changed = true;
                    Entry::read(path, stamp)
                }
            };
            let photo = Some(photo_of(&entry.path)).filter(|p| disk::is_file(p));
            changed |= photo != entry.photo;
            entry.photo = photo;
            self.entries.push(entry);
        }
        self.changes += u64::from(changed || !before.is_empty());
        self.entries.sort_by_cached_key(|e| (e.name.to_lowercase(), e.path.clone()));
        Ok(&self.entries)
    }

    /// The entries as [`Library::entries`] last found them.
    pub fn seen(&self) -> &[Entry] {
        &self.entries
    }

    /// Grows whenever [`Library::entries`] finds something that is new, changed or gone.
    pub fn changes(&self) -> u64 {
        self.changes
    }
}

/// The board files of a folder; none when there is no such folder.
fn board_files(folder: &Path) -> std::io::Result<Vec<(PathBuf, Stamp)>> {
    let list = match disk::read_dir(folder) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        other => other?,
    };
    let mut files = Vec::new();
    for file in list {
        let file = file?;
        let name = file.file_name();
        let name = name.to_string_lossy();
        if !name.ends_with(names::BOARD_SUFFIX) || name.starts_with('.') {
            continue;
        }
        // Of a link the file it leads to counts; one that leads nowhere is read, and says so.
        let stamp = match disk::metadata(file.path()) {
            Ok(data) if !data.is_file() => continue,
            Ok(data) => Stamp { modified: data.modified().ok(), bytes: data.len() },
            Err(_) => Stamp { modified: None, bytes: 0 },
        };
        files.push((file.path(), stamp));
    }
    Ok(files)
}
