//! Boards that were taken away lie in a folder beside the others until they are brought back.

use super::{Library, LibraryError, names};
use crate::base::clock::{self, SystemTime};
use std::path::{Path, PathBuf};
use stint_model::board::file::{read_board, write_board};
use stint_model::disk;

/// A discarded board.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Discarded {
    /// Its file.
    pub path: PathBuf,
    /// Name of the board; that of the file when it is broken.
    pub name: String,
}

impl Library {
    fn discarded_folder(&self) -> PathBuf {
        self.folder.join("discarded")
    }

    /// Takes a board away, broken or not, with the small copy of its photo. Where it lies now, for [`Library::restore`].
    ///
    /// # Errors
    /// When the file is not there or cannot be moved.
    pub fn discard(&mut self, path: &Path) -> Result<PathBuf, LibraryError> {
        let entry = self.entry(path)?;
        let to = names::claim(&self.discarded_folder(), &entry.stem())?;
        self.moved(path, &to)?;
        // The list is by this time; a file system without it lists in another order.
        let _ = disk::options().append(true).open(&to).and_then(|f| f.set_modified(clock::system_now()));
        Ok(to)
    }

    /// Brings a discarded board back, under its name with a number behind it when that is taken by now. Its file.
    ///
    /// # Errors
    /// When the file is not there or cannot be moved.
    pub fn restore(&mut self, discarded: &Path) -> Result<PathBuf, LibraryError> {
        if !disk::is_file(discarded) {
            return Err(LibraryError::Gone(discarded.to_owned()));
        }
        let name = name_of(discarded);
        let free = self.free_name(&name)?;
        if free != name
            && let Ok(mut board) = read_board(discarded)
        {
            board.name = free.clone();
            write_board(discarded, &board)?;
        }
        let to = self.claim(&free)?;
        self.moved(discarded, &to)?;
        Ok(to)
    }

    /// What was discarded, the last first.
    ///
    /// # Errors
    /// When the folder is there but cannot be read.
    pub fn discarded(&self) -> Result<Vec<Discarded>, LibraryError> {
        let folder = self.discarded_folder();
        let refused = |source| LibraryError::Folder { path: folder.clone(), source };
        if !disk::is_dir(&folder) {
            return Ok(Vec::new());
        }
        let mut found: Vec<(SystemTime, Discarded)> = Vec::new();
        for file in disk::read_dir(&folder).map_err(refused)? {
            let file = file.map_err(refused)?;
            let path = file.path();
            if path.to_string_lossy().ends_with(names::BOARD_SUFFIX) {
                let when = file.metadata().and_then(|m| m.modified()).unwrap_or(SystemTime::UNIX_EPOCH);
                found.push((when, Discarded { name: name_of(&path), path }));
            }
        }
        found.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.name.cmp(&b.1.name)));
        Ok(found.into_iter().map(|(_, discarded)| discarded).collect())
    }

    /// A discarded board by its name or that of its file, the last one of several.
    ///
    /// # Errors
    /// When there is none.
    pub fn find_discarded(&self, name: &str) -> Result<Discarded, LibraryError> {
        let all = self.discarded()?;
        let wanted = name.trim().trim_end_matches(names::BOARD_SUFFIX);
        let found = all.iter().find(|d| names::same(&d.name, wanted) || names::same(&stem_of(&d.path), wanted));
        found.cloned().ok_or_else(|| LibraryError::NotDiscarded {
            name: name.to_owned(),
            names: all.into_iter().map(|d| d.name).collect(),
        })
    }
}

fn stem_of(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    name.strip_suffix(names::BOARD_SUFFIX).unwrap_or(&name).to_owned()
}

fn name_of(path: &Path) -> String {
    read_board(path).map_or_else(|_| stem_of(path), |board| board.name)
}
