//! Files and their places: files that appear whole or not at all, written beside their place and then moved there; and
//! which file is at a place.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use tempfile::{NamedTempFile, TempPath};

/// The folder a path lies in; the working folder for a bare file name.
pub(crate) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// An empty file beside `path`, removed on drop unless it is moved into place.
pub(crate) fn beside(path: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".stint-").suffix(".new");
    // What any new file gets; the process's umask takes from it.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder_of(path))
}

/// Moves a finished file to `path`, which must be free, and makes the move last.
pub(crate) fn place_new(file: TempPath, path: &Path) -> io::Result<()> {
    file.persist_noclobber(path).map_err(|e| e.error)?;
    sync_folder(path)
}

/// Writes a file through `fill` so that at `path` there is either what was there before or the whole new file, also
/// after a crash or on a full disk: `fill` writes to a neighbour, which is synced to the disk and then takes the name.
/// A link is followed and keeps pointing; permissions of an older file are kept.
///
/// # Errors
/// What `fill` returned, or the system's refusal made into one by `refusal`. The neighbour is gone by then.
pub(crate) fn replace_file<E>(
    path: &Path,
    refusal: impl Fn(io::Error) -> E,
    fill: impl FnOnce(&mut BufWriter<&File>) -> Result<(), E>,
) -> Result<(), E> {
    let target = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let permissions = match target.metadata() {
        Ok(older) if older.is_dir() => return Err(refusal(io::ErrorKind::IsADirectory.into())),
        Ok(older) if !older.is_file() => return Err(refusal(io::Error::other("it is a device, not a file"))),
        Ok(older) if older.permissions().readonly() => return Err(refusal(io::ErrorKind::PermissionDenied.into())),
        Ok(older) => Some(older.permissions()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(refusal(error)),
    };
    let file = beside(&target).map_err(&refusal)?;
    let mut writer = BufWriter::with_capacity(1 << 18, file.as_file());
    fill(&mut writer)?;
    writer.flush().map_err(&refusal)?;
    drop(writer);
    if let Some(permissions) = permissions {
        file.as_file().set_permissions(permissions).map_err(&refusal)?;
    }
    file.as_file().sync_all().map_err(&refusal)?;
    file.persist(&target).map_err(|e| refusal(e.error))?;
    // Not every file system can do this, and the file is complete either way, so a refusal is no error.
    let _ = sync_folder(&target);
    Ok(())
}

/// A move is on the disk only when its folder is.
#[cfg(unix)]
fn sync_folder(path: &Path) -> io::Result<()> {
    File::open(folder_of(path))?.sync_all()
}

#[cfg(not(unix))]
fn sync_folder(_: &Path) -> io::Result<()> {
    Ok(())
}

/// Which file something is, whatever its path.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Identity {
    #[cfg(unix)]
    device_and_number: (u64, u64),
}

impl Identity {
    /// The file at `path`.
    pub(crate) fn of(path: &Path) -> io::Result<Self> {
        path.metadata().map(|found| Self::from(&found))
    }
}

#[cfg(unix)]
impl From<&std::fs::Metadata> for Identity {
    fn from(file: &std::fs::Metadata) -> Self {
        use std::os::unix::fs::MetadataExt;
        Identity { device_and_number: (file.dev(), file.ino()) }
    }
}

// Elsewhere an open file stays where it is, so being there is all there is to know.
#[cfg(not(unix))]
impl From<&std::fs::Metadata> for Identity {
    fn from(_: &std::fs::Metadata) -> Self {
        Identity {}
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::ffi::OsString;
    use std::fs;

    fn names(folder: &Path) -> Vec<OsString> {
        let mut names: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_failure_leaves_the_older_file_alone() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("a.png");
        let full = || io::Error::from(io::ErrorKind::StorageFull);
        let fail = |writer: &mut BufWriter<&File>| {
            writer.write_all(&[1; 1 << 20])?;
            assert_eq!(names(folder.path()).iter().filter(|n| n.to_string_lossy().ends_with(".new")).count(), 1);
            Err(full())
        };
        let error = replace_file(&target, |e| e, fail).unwrap_err();
        assert_eq!((error.kind(), names(folder.path()).len()), (io::ErrorKind::StorageFull, 0));
        replace_file(&target, |e| e, |writer| writer.write_all(b"older")).unwrap();
        replace_file(&target, |e| e, fail).unwrap_err();
        assert_eq!(fs::read(&target).unwrap(), b"older");
        replace_file(&target, |e| e, |writer| writer.write_all(b"newer")).unwrap();
        assert_eq!(fs::read(&target).unwrap(), b"newer");
        assert_eq!(names(folder.path()), ["a.png"]);
    }

    #[test]
    fn what_must_not_be_replaced_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let write = |path: &Path| replace_file(path, |e| e, |writer| writer.write_all(b"new"));
        assert_eq!(write(folder.path()).unwrap_err().kind(), io::ErrorKind::IsADirectory);
        assert_eq!(write(&folder.path().join("none/a.png")).unwrap_err().kind(), io::ErrorKind::NotFound);
        let locked = folder.path().join("locked.png");
        fs::write(&locked, "old").unwrap();
        let mut permissions = fs::metadata(&locked).unwrap().permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&locked, permissions).unwrap();
        assert_eq!(write(&locked).unwrap_err().kind(), io::ErrorKind::PermissionDenied);
        assert_eq!(fs::read(&locked).unwrap(), b"old");
        assert_eq!(names(folder.path()), ["locked.png"]);
    }

    #[cfg(unix)]
    #[test]
    fn links_and_permissions_are_kept() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("real.png"), folder.path().join("link.png"));
        fs::write(&real, "old").unwrap();
        fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
        symlink("real.png", &link).unwrap();
        replace_file(&link, |e: io::Error| e, |writer| writer.write_all(b"new")).unwrap();
        assert_eq!(fs::read(&real).unwrap(), b"new");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
        assert!(replace_file(Path::new("/dev/null"), |e: io::Error| e, |_| Ok(())).is_err());
    }
}
