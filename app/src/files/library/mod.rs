//! The library: boards kept outside any study, each a `NAME.board.ron` in the user's data folder, with a small copy of the
//! photo it came from beside it (`NAME.photo.png`).
//!
//! | question | where |
//! | --- | --- |
//! | what is kept, read anew only where it changed | [`entry`] |
//! | which of it fits | [`search`] |
//! | how like two boards are | [`palette`] |
//! | file names that any system takes | `names` |
//! | taking away and bringing back | `discarded` |
//!
//! Nothing is ever overwritten and nothing deleted: names that are taken get numbers, and what is discarded moves to a folder
//! beside the boards. The system's own trash was the other choice; its well-kept crate cannot bring things back on macOS, and
//! some systems have no trash for every disk, while a folder of ours does the same everywhere.

mod discarded;
pub mod entry;
mod error;
mod names;
pub mod palette;
pub mod search;
#[cfg(test)]
mod tests;

pub use discarded::Discarded;
pub use entry::{Entry, KeptBoard};
pub use error::LibraryError;
pub use names::safe_stem;
pub use palette::Palette;
pub use search::{Hit, Order, Query, search};

use crate::base::{clock, folders};
use image::RgbImage;
use std::path::{Path, PathBuf};
use stint_model::board::Board;
use stint_model::board::file::write_board;
use stint_model::colour::Colour;
use stint_model::disk;
use stint_model::photo::{Adjustments, Photo};

/// Longest side of the small copy of a photo, pixels.
pub const THUMBNAIL_PX: u32 = 256;

/// The kept boards.
#[derive(Clone, Debug)]
pub struct Library {
    folder: PathBuf,
    entries: Vec<Entry>,
    changes: u64,
}

impl Library {
    /// The library in `data_folder`, or in the user's data folder. Nothing is read or made yet.
    pub fn open(data_folder: Option<&Path>) -> Self {
        Library { folder: folders::data(data_folder).join("boards"), entries: Vec::new(), changes: 0 }
    }

    /// The folder the boards lie in; it is made when the first one is kept.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Keeps a board under its name, with a number behind it when that is taken, and with today's date unless it has one. Its
    /// photo's name is the caller's to fill in; `thumbnail` is the small copy of that photo. The file it went to.
    ///
    /// # Errors
    /// When the board has no name or is not sound, or the folder cannot be written; nothing is kept then.
    pub fn keep(&mut self, board: &Board, thumbnail: Option<&RgbImage>) -> Result<PathBuf, LibraryError> {
        if board.name.trim().is_empty() {
            return Err(LibraryError::NoName);
        }
        let mut board = board.clone();
        // Two programs that keep a board at the same moment must not find the same name free.
        let _names = names::lock(&self.folder)?;
        board.name = self.free_name(board.name.trim())?;
        if board.date.is_empty() {
            board.date = clock::today();
        }
        let path = self.claim(&board.name)?;
        let written = write_board(&path, &board).map_err(LibraryError::from).and_then(|()| match thumbnail {
            Some(thumbnail) => write_thumbnail(&photo_of(&path), thumbnail),
            None => Ok(()),
        });
        match written {
            Ok(()) => Ok(path),
            Err(error) => {
                // What cannot be taken back either is an empty file at worst, which shows as such.
                let _ = disk::remove_file(&path);
                let _ = disk::remove_file(photo_of(&path));
                Err(error)
            }
        }
    }

    /// Gives a kept board another name; its file follows. The file it is in now.
    ///
    /// # Errors
    /// When another has that name, the file is broken, or cannot be moved.
    pub fn rename(&mut self, path: &Path, name: &str) -> Result<PathBuf, LibraryError> {
        let name = name.trim();
        if name.is_empty() {
            return Err(LibraryError::NoName);
        }
        let _names = names::lock(&self.folder)?;
        let entry = self.entry(path)?;
        let mut board = entry.board()?.clone();
        if self.entries()?.iter().any(|e| e.path != path && e.is_called(name)) {
            return Err(LibraryError::Taken(name.to_owned()));
        }
        board.name = name.to_owned();
        let stem = names::safe_stem(name);
        if names::same(&stem, &entry.stem()) {
            // Other letters of the same name: on some systems the file itself would seem to be in the way.
            write_board(path, &board)?;
            let to = names::board_file(&self.folder, &stem);
            self.shift(path, &to)?;
            return Ok(to);
        }
        let to = self.claim(name)?;
        let written = write_board(path, &board).inspect_err(|_| {
            let _ = disk::remove_file(&to);
        });
        written?;
        self.moved(path, &to)?;
        Ok(to)
    }

    /// Keeps a copy of a kept board, under `name` or its own with a number. The file of the copy.
    ///
    /// # Errors
    /// When the file is broken or the copy cannot be written.
    pub fn duplicate(&mut self, path: &Path, name: Option<&str>) -> Result<PathBuf, LibraryError> {
        let entry = self.entry(path)?;
        let mut board = entry.board()?.clone();
        board.name = name.unwrap_or(&board.name).to_owned();
        let to = self.keep(&board, None)?;
        if let Some(photo) = entry.photo {
            let target = photo_of(&to);
            disk::copy(&photo, &target).map_err(|source| LibraryError::Write { path: target, source })?;
        }
        Ok(to)
    }

    /// A kept board by its name or the name of its file, whatever the case of its letters.
    ///
    /// # Errors
    /// When there is none, or several have the name.
    pub fn find(&mut self, name: &str) -> Result<Entry, LibraryError> {
        let wanted = name.trim().trim_end_matches(names::BOARD_SUFFIX);
        let entries = self.entries()?;
        let exact: Vec<_> = entries.iter().filter(|e| e.name == wanted || e.stem() == wanted).collect();
        let found = if exact.is_empty() { entries.iter().filter(|e| e.is_called(wanted)).collect() } else { exact };
        match found[..] {
            [one] => Ok(one.clone()),
            [] => {
                let names = entries.iter().map(|e| e.name.clone()).collect();
                Err(LibraryError::NoSuch { name: name.to_owned(), names })
            }
            ref several => {
                let files = several.iter().map(|e| e.stem()).collect();
                Err(LibraryError::Several { name: name.to_owned(), files })
            }
        }
    }

    /// The entry of a file.
    fn entry(&mut self, path: &Path) -> Result<Entry, LibraryError> {
        let found = self.entries()?.iter().find(|e| e.path == path).cloned();
        found.ok_or_else(|| LibraryError::Gone(path.to_owned()))
    }

    /// The name, or the name with the first number that no kept board has.
    fn free_name(&mut self, name: &str) -> Result<String, LibraryError> {
        let entries = self.entries()?;
        Ok(disk::numbered(name, |n| entries.iter().any(|e| e.is_called(n))))
    }

    /// Makes the folder, and in it an empty file for a board of this name that no other program can have made as well.
    fn claim(&self, name: &str) -> Result<PathBuf, LibraryError> {
        names::claim(&self.folder, name)
    }

    /// Moves a board's file and its photo onto a place that is claimed or its own.
    fn shift(&self, from: &Path, to: &Path) -> Result<(), LibraryError> {
        if from == to {
            return Ok(());
        }
        let moved = |from: &Path, to: &Path| {
            disk::rename(from, to).map_err(|source| LibraryError::Move { path: from.to_owned(), source })
        };
        moved(from, to)?;
        let photo = photo_of(from);
        if disk::is_file(&photo) { moved(&photo, &photo_of(to)) } else { Ok(()) }
    }

    /// Moves onto a claimed place, which is given up when that fails.
    fn moved(&self, from: &Path, to: &Path) -> Result<(), LibraryError> {
        self.shift(from, to).inspect_err(|_| {
            // The claim is an empty file; if the board is there already, only its photo stayed behind.
            if disk::is_file(from) {
                let _ = disk::remove_file(to);
            }
        })
    }
}

/// Where the small copy of the photo of a board lies.
pub fn photo_of(board: &Path) -> PathBuf {
    let name = board.file_name().unwrap_or_default().to_string_lossy();
    let stem = name.strip_suffix(names::BOARD_SUFFIX).unwrap_or(&name);
    board.with_file_name(format!("{stem}{}", names::PHOTO_SUFFIX))
}

/// The small copy of a photo, as it is seen under its adjustments.
pub fn thumbnail(photo: &Photo, adjustments: Adjustments) -> RgbImage {
    // A middle grey behind what is transparent.
    let behind = Colour::from_srgb8([121; 3]);
    let (width, height, pixels) = photo.view(adjustments).thumbnail(THUMBNAIL_PX, behind);
    RgbImage::from_fn(width, height, |x, y| image::Rgb(pixels[(y * width + x) as usize]))
}

fn write_thumbnail(path: &Path, thumbnail: &RgbImage) -> Result<(), LibraryError> {
    let refused = |source| LibraryError::Write { path: path.to_owned(), source };
    let mut bytes = std::io::Cursor::new(Vec::new());
    thumbnail
        .write_to(&mut bytes, image::ImageFormat::Png)
        .map_err(|e| refused(std::io::Error::other(e.to_string())))?;
    disk::write(path, bytes.into_inner()).map_err(refused)
}
