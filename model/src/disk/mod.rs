//! Files. The whole program reads and writes them through here and nowhere else, so that one module can put another
//! ground under it: the page in a browser has no folders of its own.
//!
//! Names and errors are those of [`std::fs`], with two differences: [`write`] leaves either the older file or the whole new one, and
//! [`read_bounded`] takes the place of [`std::fs::read`] wherever the file comes from outside.
//!
//! | what | where |
//! | --- | --- |
//! | what `std::fs` does | here |
//! | files that appear whole or not at all: [`place`], [`replace`], [`write`], [`move_new`], [`Unplaced`] | `replace.rs` |
//! | the first name that is free: [`free_name`], [`numbered`], [`create_free`] | `free_name.rs` |
//! | which file is at a place: [`Identity`] | `identity.rs` |
//! | a file that has no name yet, on a desktop | `temporary.rs` |
//! | the two forms of a path on Windows: [`verbatim`] | `verbatim.rs` |
//! | the ground on the page in a browser: a tree in memory with a mirror | `page/` |

#![expect(clippy::disallowed_methods, reason = "this is the one module that touches files")]

mod free_name;
mod identity;
#[cfg(any(target_arch = "wasm32", test))]
pub mod page;
mod replace;
#[cfg(not(target_arch = "wasm32"))]
mod temporary;
mod verbatim;

pub use free_name::{create_free, free_name, numbered};
pub use identity::Identity;
#[cfg(target_arch = "wasm32")]
pub use page::{File, Metadata, OpenOptions, ReadDir, TryLockError};
pub use replace::{Replace, Unplaced, move_new, place, replace, write};
#[cfg(not(target_arch = "wasm32"))]
pub use std::fs::{File, Metadata, OpenOptions, ReadDir, TryLockError};
pub use verbatim::verbatim;

#[cfg(target_arch = "wasm32")]
use page::{Temporary, ground};
#[cfg(not(target_arch = "wasm32"))]
use std::fs as ground;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
#[cfg(not(target_arch = "wasm32"))]
use temporary::Temporary;

/// Functions of [`std::fs`] under their own names, each with the system's errors.
macro_rules! as_in_std {
    ($($(#[$doc:meta])* $name:ident($($argument:ident: $type:ty),*) -> $result:ty = $call:path;)*) => {
        $($(#[$doc])*
        ///
        /// # Errors
        /// What the system says.
        pub fn $name($($argument: $type),*) -> io::Result<$result> {
            $call($($argument),*)
        })*
    };
}

as_in_std! {
    /// Opens a file for reading.
    open(path: impl AsRef<Path>) -> File = File::open;
    /// Makes an empty file, or empties the one that is there. What must not be half written goes through [`replace`].
    create(path: impl AsRef<Path>) -> File = File::create;
    /// Makes a file that was not there.
    create_new(path: impl AsRef<Path>) -> File = File::create_new;
    /// The bytes of a file of our own.
    read(path: impl AsRef<Path>) -> Vec<u8> = ground::read;
    /// The text of a file of our own.
    read_to_string(path: impl AsRef<Path>) -> String = ground::read_to_string;
    /// What lies in a folder.
    read_dir(path: impl AsRef<Path>) -> ReadDir = ground::read_dir;
    /// What is known of a file; a link is followed.
    metadata(path: impl AsRef<Path>) -> Metadata = ground::metadata;
    /// What is known of a file or of a link itself.
    symlink_metadata(path: impl AsRef<Path>) -> Metadata = ground::symlink_metadata;
    /// Copies a file with its permissions; tells how many bytes it has.
    copy(from: impl AsRef<Path>, to: impl AsRef<Path>) -> u64 = ground::copy;
    /// Moves a file; one that has the new name is replaced.
    rename(from: impl AsRef<Path>, to: impl AsRef<Path>) -> () = ground::rename;
    /// Takes a file away.
    remove_file(path: impl AsRef<Path>) -> () = ground::remove_file;
    /// Makes a folder and those it lies in.
    create_dir_all(path: impl AsRef<Path>) -> () = ground::create_dir_all;
}

/// The whole path of what is there, links followed, as people write it.
///
/// # Errors
/// What the system says.
pub fn canonicalize(path: impl AsRef<Path>) -> io::Result<PathBuf> {
    ground::canonicalize(path).map(verbatim::plain)
}

/// Other ways to open a file.
pub fn options() -> OpenOptions {
    OpenOptions::new()
}

/// A moment in the changes of files, from [`mark`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Mark(u64);

/// What has become of changes that were made.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Mirrored {
    /// They are where they last.
    Done,
    /// They are on their way.
    Underway,
    /// They will not come there, because of this.
    Failed(String),
}

/// The moment after every change so far. On a desktop a change that was made is where it lasts.
pub fn mark() -> Mark {
    #[cfg(target_arch = "wasm32")]
    return page::mark();
    #[cfg(not(target_arch = "wasm32"))]
    Mark::default()
}

/// What has become of every change up to a moment.
#[cfg_attr(not(target_arch = "wasm32"), expect(unused_variables, reason = "a desktop keeps at once"))]
pub fn mirrored(up_to: Mark) -> Mirrored {
    #[cfg(target_arch = "wasm32")]
    return page::progress(up_to);
    #[cfg(not(target_arch = "wasm32"))]
    Mirrored::Done
}

/// Whether a path begins at the root, so that it means the same in every folder.
pub fn is_absolute(path: &Path) -> bool {
    // The library's own answer is "no" to every path of a page.
    if cfg!(target_arch = "wasm32") { path.has_root() } else { path.is_absolute() }
}

/// The folder a path lies in; the working folder for a bare file name.
pub fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// Whether there is a folder at `path`; false also when that cannot be told.
pub fn is_dir(path: &Path) -> bool {
    metadata(path).is_ok_and(|found| found.is_dir())
}

/// Whether there is a file at `path`, links followed; false also when that cannot be told.
pub fn is_file(path: &Path) -> bool {
    metadata(path).is_ok_and(|found| found.is_file())
}

/// Whether there is anything at `path`, links followed; false also when that cannot be told.
pub fn exists(path: &Path) -> bool {
    metadata(path).is_ok()
}

/// Whether anything has the name `path`, a link that leads nowhere included; false also when that cannot be told.
pub fn is_taken(path: &Path) -> bool {
    symlink_metadata(path).is_ok()
}

/// The content of a file of at most `limit` bytes. Devices and pipes, which may never end, are refused.
///
/// # Errors
/// What the system says; [`io::ErrorKind::FileTooLarge`] for a longer file, [`io::ErrorKind::IsADirectory`] for a folder
/// and [`io::ErrorKind::InvalidInput`] for what is neither a file nor a folder.
pub fn read_bounded(path: &Path, limit: u64) -> io::Result<Vec<u8>> {
    let found = metadata(path)?;
    if found.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    if !found.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is a device or a pipe, not a file"));
    }
    let too_large = || io::Error::new(io::ErrorKind::FileTooLarge, format!("it is longer than {limit} bytes"));
    if found.len() > limit {
        return Err(too_large());
    }
    let mut bytes = Vec::new();
    // One more than may be there, in case it grew since; special files claim a length of 0.
    open(path)?.take(limit.saturating_add(1)).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > limit { Err(too_large()) } else { Ok(bytes) }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_bound_and_nothing_else_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.txt");
        std::fs::write(&path, "tram").unwrap();
        assert_eq!(read_bounded(&path, 4).unwrap(), b"tram");
        assert_eq!(read_bounded(&path, 3).unwrap_err().kind(), io::ErrorKind::FileTooLarge);
        assert_eq!(read_bounded(folder.path(), 4).unwrap_err().kind(), io::ErrorKind::IsADirectory);
        assert_eq!(read_bounded(&folder.path().join("none"), 4).unwrap_err().kind(), io::ErrorKind::NotFound);
    }

    #[cfg(unix)]
    #[test]
    fn what_never_ends_is_not_read() {
        assert_eq!(read_bounded(Path::new("/dev/zero"), 4).unwrap_err().kind(), io::ErrorKind::InvalidInput);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_that_leads_nowhere_takes_its_name() {
        let folder = tempfile::tempdir().unwrap();
        let link = folder.path().join("depot.stint");
        std::os::unix::fs::symlink("nowhere", &link).unwrap();
        assert!(is_taken(&link) && !link.exists());
    }
}
