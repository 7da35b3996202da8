//! The lock on a study: one window paints on it at a time, any number may read.
//!
//! SQLite's own locks come and go with each transaction, so this is a lock of the operating system on an empty file
//! beside the study, `.NAME.open`. A crash ends the lock with the process; the empty file that it leaves means nothing. On Windows,
//! where a leading dot hides nothing, it has the attribute that does.

use super::error::{StudyError, disk_error};
use crate::disk::{self, File, Identity, OpenOptions, TryLockError, canonicalize, folder_of, options};
use std::path::{Path, PathBuf};

/// Held for as long as a study is open for painting.
#[derive(Debug)]
pub(super) struct StudyLock {
    /// The empty file.
    mark: PathBuf,
    /// Closing the file ends the lock.
    lock: Option<File>,
}

impl StudyLock {
    /// Locks the study at `study`, whether it exists yet or not.
    ///
    /// # Errors
    /// When another handle holds the lock, or the folder cannot be written.
    pub(super) fn take(study: &Path) -> Result<StudyLock, StudyError> {
        let mark = mark_of(study).map_err(|e| disk_error(study, e))?;
        loop {
            let mut options = options();
            options.write(true).create(true).truncate(false);
            as_a_mark(&mut options);
            let lock = options.open(&mark).map_err(|e| disk_error(study, e))?;
            match lock.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Err(StudyError::OpenElsewhere { path: study.to_owned() }),
                Err(TryLockError::Error(e)) => return Err(disk_error(study, e)),
            }
            // The holder before us removes its mark when it closes. If that happened between opening and locking, we
            // hold a file that nobody else can see, and have to take the one that can be seen.
            if is_at(&lock, &mark) {
                return Ok(StudyLock { mark, lock: Some(lock) });
            }
        }
    }
}

/// The mark's path: the same for every way to write the study's path.
fn mark_of(study: &Path) -> std::io::Result<PathBuf> {
    let study = match canonicalize(study) {
        Ok(found) => found,
        Err(_) => canonicalize(folder_of(study))?.join(study.file_name().unwrap_or_default()),
    };
    let mut name = std::ffi::OsString::from(".");
    name.push(study.file_name().unwrap_or_default());
    name.push(".open");
    Ok(study.with_file_name(name))
}

fn is_at(file: &File, path: &Path) -> bool {
    file.metadata().is_ok_and(|held| Identity::of(path).is_ok_and(|seen| seen == Identity::from(&held)))
}

/// Hidden, and nobody removes it while anybody has it open, so that the mark at the path is always the one that is locked.
#[cfg(windows)]
fn as_a_mark(options: &mut OpenOptions) {
    use std::os::windows::fs::OpenOptionsExt;
    /// Of the Windows API ("CreateFileW", "File Attribute Constants", Microsoft).
    const FILE_SHARE_READ: u32 = 1;
    const FILE_SHARE_WRITE: u32 = 2;
    const FILE_ATTRIBUTE_HIDDEN: u32 = 2;
    options.share_mode(FILE_SHARE_READ | FILE_SHARE_WRITE).attributes(FILE_ATTRIBUTE_HIDDEN);
}

#[cfg(not(windows))]
fn as_a_mark(_: &mut OpenOptions) {}

impl Drop for StudyLock {
    fn drop(&mut self) {
        // What is open cannot be removed there; whoever opens it in between keeps it from being removed.
        if cfg!(windows) {
            drop(self.lock.take());
        }
        // Elsewhere it is still locked here. A mark that stays behind is harmless.
        let _ = disk::remove_file(&self.mark);
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn one_lock_at_a_time() {
        let folder = tempfile::tempdir().unwrap();
        let study = folder.path().join("depot.stint");
        let first = StudyLock::take(&study).unwrap();
        assert!(matches!(StudyLock::take(&study), Err(StudyError::OpenElsewhere { .. })));
        drop(first);
        drop(StudyLock::take(&study).unwrap());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn a_left_over_mark_means_nothing() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join(".depot.stint.open"), "").unwrap();
        StudyLock::take(&folder.path().join("depot.stint")).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn a_link_to_a_study_is_the_same_study() {
        let folder = tempfile::tempdir().unwrap();
        let study = folder.path().join("depot.stint");
        std::fs::write(&study, "").unwrap();
        let link = folder.path().join("link.stint");
        std::os::unix::fs::symlink(&study, &link).unwrap();
        let _first = StudyLock::take(&study).unwrap();
        assert!(matches!(StudyLock::take(&link), Err(StudyError::OpenElsewhere { .. })));
    }

    #[test]
    fn locks_from_many_threads_never_overlap() {
        use std::sync::atomic::{AtomicU32, Ordering};
        let folder = tempfile::tempdir().unwrap();
        let study = folder.path().join("depot.stint");
        let (holders, taken) = (AtomicU32::new(0), AtomicU32::new(0));
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    for _ in 0..500 {
                        if let Ok(lock) = StudyLock::take(&study) {
                            assert_eq!(holders.fetch_add(1, Ordering::SeqCst), 0);
                            taken.fetch_add(1, Ordering::SeqCst);
                            holders.fetch_sub(1, Ordering::SeqCst);
                            drop(lock);
                        }
                    }
                });
            }
        });
        assert!(taken.load(Ordering::SeqCst) > 0);
    }
}
