//! Files that appear whole or not at all: written beside their place, synced to the disk and then moved there.

use super::{File, Temporary, canonicalize, folder_of, ground, metadata};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

/// Whether a file that is there already may give way.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Replace {
    /// It stays, also when it appeared only while the new one was being written.
    #[default]
    Never,
    /// Somebody asked for it to be replaced.
    Asked,
}

/// A file that has no name of its own yet: an empty one in the folder where it will lie, removed on drop unless it is
/// given its place.
#[derive(Debug)]
pub struct Unplaced {
    file: Temporary,
}

impl Unplaced {
    /// An empty file in the folder of `path`.
    ///
    /// # Errors
    /// When the folder cannot be written.
    pub fn beside(path: &Path) -> io::Result<Self> {
        Ok(Unplaced { file: Temporary::beside(path)?.0 })
    }

    /// Where it is for now.
    pub fn path(&self) -> &Path {
        self.file.path()
    }

    /// Moves it to `path`, which must be free and in the same folder, and makes the move last.
    ///
    /// # Errors
    /// [`io::ErrorKind::AlreadyExists`] when the name is taken, else what the system says; the file is gone then.
    pub fn place_new(self, path: &Path) -> io::Result<()> {
        self.file.persist_new(path).map_err(|(error, _)| error)?;
        sync_folder(path)
    }

    /// Moves it to the first free name of `stem` and `ending` in its folder, as [`free_name`](super::free_name) forms it,
    /// and tells the name. Nothing is replaced, whoever else takes names there at the same time.
    ///
    /// # Errors
    /// What the system says; the file is gone then.
    pub fn place_free(self, stem: impl AsRef<std::ffi::OsStr>, ending: &str) -> io::Result<PathBuf> {
        let folder = folder_of(self.file.path());
        let mut file = self.file;
        loop {
            let path = super::free_name(&folder, stem.as_ref(), ending);
            match file.persist_new(&path) {
                Ok(()) => return sync_folder(&path).map(|()| path),
                Err((_, refused)) if super::is_taken(&path) => file = refused,
                Err((error, _)) => return Err(error),
            }
        }
    }
}

/// Moves a file to a name that is free, and makes the move last. On another disk it is copied there as a whole and then taken away here.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] when the name is taken, else what the system says; the file is then where it was.
pub fn move_new(from: &Path, to: &Path) -> io::Result<()> {
    if super::is_taken(to) {
        return Err(taken());
    }
    // A second name first, which replaces nothing; then the old one goes.
    match ground::hard_link(from, to) {
        Ok(()) => ground::remove_file(from).inspect_err(|_| {
            let _ = ground::remove_file(to);
        })?,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(taken()),
        // Some file systems give a file one name only.
        Err(_) => match ground::rename(from, to) {
            Err(error) if error.kind() == io::ErrorKind::CrossesDevices => {
                let copy = Unplaced::beside(to)?;
                ground::copy(from, copy.path())?;
                File::open(copy.path())?.sync_all()?;
                copy.place_new(to)?;
                ground::remove_file(from)?;
            }
            other => other?,
        },
    }
    let _ = sync_folder(from);
    let _ = sync_folder(to);
    Ok(())
}

/// Writes `bytes` to a file. At `path` there is either what was there before or the whole of them, as for [`replace`].
///
/// # Errors
/// The system's refusal; a file that was there is then as it was.
pub fn write(path: impl AsRef<Path>, bytes: impl AsRef<[u8]>) -> io::Result<()> {
    replace(path.as_ref(), |error| error, |file| file.write_all(bytes.as_ref()))
}

/// Writes a file through `fill`, in place of one that is there: [`place`] with [`Replace::Asked`].
///
/// # Errors
/// As for [`place`].
pub fn replace<E>(
    path: &Path,
    refusal: impl Fn(io::Error) -> E,
    fill: impl FnOnce(&mut BufWriter<&File>) -> Result<(), E>,
) -> Result<(), E> {
    place(path, Replace::Asked, refusal, fill)
}

/// Writes a file through `fill` so that at `path` there is either what was there before or the whole new file, also
/// after a crash or on a full disk: `fill` writes to a file beside it, which is synced to the disk and then takes the
/// name. A link is followed and keeps pointing; permissions of an older file are kept. With [`Replace::Never`] the name
/// must be free, before and after `fill`.
///
/// # Errors
/// What `fill` returned, or the system's refusal made into one by `refusal`, [`io::ErrorKind::AlreadyExists`] for a name
/// that is taken. The file beside it is gone by then.
pub fn place<E>(
    path: &Path,
    replace: Replace,
    refusal: impl Fn(io::Error) -> E,
    fill: impl FnOnce(&mut BufWriter<&File>) -> Result<(), E>,
) -> Result<(), E> {
    if replace == Replace::Never && super::is_taken(path) {
        return Err(refusal(taken()));
    }
    let target = canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let permissions = match metadata(&target) {
        Ok(older) if older.is_dir() => return Err(refusal(io::ErrorKind::IsADirectory.into())),
        Ok(older) if !older.is_file() => return Err(refusal(io::Error::other("it is a device, not a file"))),
        Ok(older) if older.permissions().readonly() => return Err(refusal(io::ErrorKind::PermissionDenied.into())),
        Ok(older) => Some(older.permissions()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(refusal(error)),
    };
    let (place, file) = Temporary::beside(&target).map_err(&refusal)?;
    let mut writer = BufWriter::with_capacity(1 << 18, &file);
    fill(&mut writer)?;
    writer.flush().map_err(&refusal)?;
    drop(writer);
    if let Some(permissions) = permissions {
        file.set_permissions(permissions).map_err(&refusal)?;
    }
    file.sync_all().map_err(&refusal)?;
    // Some systems do not move a file that is open.
    drop(file);
    let placed = match replace {
        Replace::Never => place.persist_new(&target).map_err(|(error, _)| error),
        Replace::Asked => place.persist(&target),
    };
    placed.map_err(|error| refusal(if error.kind() == io::ErrorKind::AlreadyExists { taken() } else { error }))?;
    // Not every file system can do this, and the file is complete either way, so a refusal is no error.
    let _ = sync_folder(&target);
    Ok(())
}

fn taken() -> io::Error {
    io::Error::new(io::ErrorKind::AlreadyExists, "there is a file of that name already, which stays")
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_file_moves_to_a_free_name_and_to_no_other() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        std::fs::write(at("a"), "tram").unwrap();
        std::fs::write(at("b"), "depot").unwrap();
        assert_eq!(move_new(&at("a"), &at("b")).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert!(move_new(&at("a"), &at("none/a")).is_err());
        assert_eq!(std::fs::read_to_string(at("a")).unwrap(), "tram");
        move_new(&at("a"), &at("c")).unwrap();
        assert_eq!(std::fs::read_to_string(at("c")).unwrap(), "tram");
        assert_eq!(std::fs::read_to_string(at("b")).unwrap(), "depot");
        assert!(!at("a").exists());
    }
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
        let error = replace(&target, |e| e, fail).unwrap_err();
        assert_eq!((error.kind(), names(folder.path()).len()), (io::ErrorKind::StorageFull, 0));
        replace(&target, |e| e, |writer| writer.write_all(b"older")).unwrap();
        replace(&target, |e| e, fail).unwrap_err();
        assert_eq!(fs::read(&target).unwrap(), b"older");
        replace(&target, |e| e, |writer| writer.write_all(b"newer")).unwrap();
        assert_eq!(fs::read(&target).unwrap(), b"newer");
        assert_eq!(names(folder.path()), ["a.png"]);
    }

    #[test]
    fn what_must_not_be_replaced_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let write = |path: &Path| replace(path, |e| e, |writer| writer.write_all(b"new"));
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

    #[test]
    fn a_file_that_appears_meanwhile_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.png");
        let racing = |replace| {
            place(
                &path,
                replace,
                |e| e,
                |writer| {
                    fs::write(&path, "theirs").unwrap();
                    writer.write_all(b"ours")
                },
            )
        };
        assert_eq!(racing(Replace::Never).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!((fs::read(&path).unwrap(), names(folder.path()).len()), (b"theirs".to_vec(), 1));
        let unreached = place(&path, Replace::Never, |e| e, |_| unreachable!("the name is taken"));
        assert_eq!(unreached.unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        racing(Replace::Asked).unwrap();
        assert_eq!((fs::read(&path).unwrap(), names(folder.path()).len()), (b"ours".to_vec(), 1));
        fs::remove_file(&path).unwrap();
        place(&path, Replace::Never, |e: io::Error| e, |writer| writer.write_all(b"new")).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
    }

    #[test]
    fn bytes_are_written_whole() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.ron");
        write(&path, "older").unwrap();
        write(&path, b"newer").unwrap();
        assert_eq!((fs::read(&path).unwrap(), names(folder.path()).len()), (b"newer".to_vec(), 1));
    }

    #[test]
    fn a_new_file_takes_a_free_name_and_replaces_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.stint");
        fs::write(&path, "older").unwrap();
        let unplaced = || {
            let unplaced = Unplaced::beside(&path).unwrap();
            fs::write(unplaced.path(), "new").unwrap();
            unplaced
        };
        assert_eq!(unplaced().place_new(&path).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(unplaced().place_free("a", ".stint").unwrap(), folder.path().join("a 2.stint"));
        drop(unplaced());
        assert_eq!(names(folder.path()), ["a 2.stint", "a.stint"]);
        assert_eq!(
            (fs::read(&path).unwrap(), fs::read(folder.path().join("a 2.stint")).unwrap()),
            (b"older".to_vec(), b"new".to_vec())
        );
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
        replace(&link, |e: io::Error| e, |writer| writer.write_all(b"new")).unwrap();
        assert_eq!(fs::read(&real).unwrap(), b"new");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
        assert!(replace(Path::new("/dev/null"), |e: io::Error| e, |_| Ok(())).is_err());
    }
}
