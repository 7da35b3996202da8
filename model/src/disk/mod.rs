//! Files. The whole program reads and writes them through here and nowhere else, so that one module can put another
//! ground under it: the page in a browser has no folders of its own.
//!
//! Names are those of [`std::fs`], with two differences: [`write`] leaves either the older file or the whole new one, and
//! [`read_bounded`] takes the place of [`std::fs::read`] wherever the file comes from outside.
//!
//! | what | where |
//! | --- | --- |
//! | what `std::fs` does | here |
//! | files that appear whole or not at all: [`place`], [`replace`], [`write`], [`Unplaced`] | `replace.rs` |
//! | the first name that is free: [`free_name`], [`numbered`], [`create_free`] | `free_name.rs` |
//! | which file is at a place: [`Identity`] | `identity.rs` |

mod free_name;
mod identity;
mod replace;

pub use free_name::{create_free, free_name, numbered};
pub use identity::Identity;
pub use replace::{Replace, Unplaced, place, replace, write};
pub use std::fs::{
    File, Metadata, OpenOptions, ReadDir, TryLockError, canonicalize, copy, create_dir_all, metadata, read, read_dir,
    read_to_string, remove_file, rename, set_permissions, symlink_metadata,
};

use std::io::{self, Read};
use std::path::{Path, PathBuf};

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
    File::open(path)?.take(limit.saturating_add(1)).read_to_end(&mut bytes)?;
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
