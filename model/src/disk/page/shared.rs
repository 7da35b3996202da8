//! The one tree of the page, and how far its mirror is.

use super::handle::{File, Metadata, OpenOptions, ReadDir};
use super::tree::{Changed, LoadError, Stored, Tree, absolute};
use crate::disk::{Mark, Mirrored};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, OnceLock, PoisonError};
use std::time::SystemTime;

static TREE: OnceLock<Tree> = OnceLock::new();
/// Batches that the mirror has kept.
static DONE: AtomicU64 = AtomicU64::new(0);
static FAILURE: Mutex<Option<String>> = Mutex::new(None);
static WAKE: Mutex<Option<Box<dyn Fn() + Send>>> = Mutex::new(None);
/// Counts up for names of files that have none yet.
static UNNAMED: AtomicU64 = AtomicU64::new(0);

/// Begins with what is stored. Call it once, before anything else touches a file.
///
/// # Errors
/// When a newer program wrote it.
pub fn load(stored: Vec<Stored>, changed: Changed, now: fn() -> SystemTime) -> Result<(), LoadError> {
    let tree = Tree::load(stored, changed, now)?;
    // A second call changes nothing.
    let _ = TREE.set(tree);
    Ok(())
}

/// What has changed since the last call, as one batch for the mirror; none when nothing has. Call it when the program has given its turn
/// back after it was told that something has changed.
pub fn take_batch() -> Option<Vec<u8>> {
    TREE.get()?.state().take_batch()
}

/// The mirror has kept so many batches, all told.
pub fn confirmed(done: u64) {
    DONE.store(done, Ordering::Relaxed);
    wake();
}

/// The mirror could not keep a batch, and keeps none any more; what is there is what was told before it.
pub fn failed(why: String) {
    FAILURE.lock().unwrap_or_else(PoisonError::into_inner).get_or_insert(why);
    wake();
}

/// Calls `wake` whenever the mirror has answered.
pub fn wake_with(wake: impl Fn() + Send + 'static) {
    *WAKE.lock().unwrap_or_else(PoisonError::into_inner) = Some(Box::new(wake));
}

fn wake() {
    if let Some(wake) = &*WAKE.lock().unwrap_or_else(PoisonError::into_inner) {
        wake();
    }
}

fn tree() -> io::Result<&'static Tree> {
    TREE.get().ok_or_else(|| io::Error::other("the files of this browser are not loaded yet"))
}

/// The batch with everything that has changed so far.
pub(in crate::disk) fn mark() -> Mark {
    Mark(TREE.get().map_or(0, |tree| tree.state().last_batch()))
}

/// What has become of everything up to a mark.
pub(in crate::disk) fn progress(mark: Mark) -> Mirrored {
    if mark.0 <= DONE.load(Ordering::Relaxed) {
        return Mirrored::Done;
    }
    let failure = FAILURE.lock().unwrap_or_else(PoisonError::into_inner).clone();
    failure.map_or(Mirrored::Underway, Mirrored::Failed)
}

/// The functions of [`std::fs`] that the page has.
pub(in crate::disk) mod ground {
    use super::*;

    pub fn read(path: impl AsRef<Path>) -> io::Result<Vec<u8>> {
        tree()?.read(path.as_ref())
    }

    pub fn read_to_string(path: impl AsRef<Path>) -> io::Result<String> {
        let no_text = |e| io::Error::new(io::ErrorKind::InvalidData, e);
        String::from_utf8(read(path)?).map_err(no_text)
    }

    pub fn read_dir(path: impl AsRef<Path>) -> io::Result<ReadDir> {
        tree()?.read_dir(path.as_ref())
    }

    pub fn metadata(path: impl AsRef<Path>) -> io::Result<Metadata> {
        tree()?.metadata(path.as_ref())
    }

    /// Nothing is a link here.
    pub use self::metadata as symlink_metadata;

    pub fn canonicalize(path: impl AsRef<Path>) -> io::Result<PathBuf> {
        metadata(&path)?;
        Ok(absolute(path.as_ref()))
    }

    pub fn copy(from: impl AsRef<Path>, to: impl AsRef<Path>) -> io::Result<u64> {
        let bytes = read(from)?;
        File::create(to)?.write_all(&bytes)?;
        Ok(bytes.len() as u64)
    }

    pub fn rename(from: impl AsRef<Path>, to: impl AsRef<Path>) -> io::Result<()> {
        tree()?.state().rename(&absolute(from.as_ref()), &absolute(to.as_ref()))
    }

    /// A file has one path here.
    pub fn hard_link(_: impl AsRef<Path>, _: impl AsRef<Path>) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }

    pub fn remove_file(path: impl AsRef<Path>) -> io::Result<()> {
        tree()?.state().remove_file(&absolute(path.as_ref()))
    }

    pub fn create_dir_all(path: impl AsRef<Path>) -> io::Result<()> {
        tree()?.state().create_dir_all(&absolute(path.as_ref()))
    }
}

impl OpenOptions {
    /// Nothing asked for yet.
    #[expect(clippy::new_without_default, reason = "the name std::fs has")]
    pub fn new() -> Self {
        OpenOptions::default()
    }

    /// Opens a file in this way.
    ///
    /// # Errors
    /// As [`std::fs::OpenOptions::open`] has them.
    pub fn open(&self, path: impl AsRef<Path>) -> io::Result<File> {
        self.open_in(tree()?, path.as_ref())
    }
}

impl File {
    /// Opens a file for reading.
    ///
    /// # Errors
    /// As [`std::fs::File::open`] has them.
    pub fn open(path: impl AsRef<Path>) -> io::Result<File> {
        OpenOptions::default().read(true).open(path)
    }

    /// Makes an empty file, or empties the one that is there.
    ///
    /// # Errors
    /// As [`std::fs::File::create`] has them.
    pub fn create(path: impl AsRef<Path>) -> io::Result<File> {
        OpenOptions::default().write(true).create(true).truncate(true).open(path)
    }

    /// Makes a file that was not there.
    ///
    /// # Errors
    /// As [`std::fs::File::create_new`] has them.
    pub fn create_new(path: impl AsRef<Path>) -> io::Result<File> {
        OpenOptions::default().read(true).write(true).create_new(true).open(path)
    }
}

/// A file beside its place, removed on drop unless it is given one.
#[derive(Debug)]
pub(in crate::disk) struct Temporary {
    path: PathBuf,
    placed: bool,
}

impl Temporary {
    /// An empty file in the folder of `path`.
    pub(in crate::disk) fn beside(path: &Path) -> io::Result<(Self, File)> {
        loop {
            let number = UNNAMED.fetch_add(1, Ordering::Relaxed);
            let path = crate::disk::folder_of(path).join(format!(".stint-{number}.new"));
            match File::create_new(&path) {
                Ok(file) => return Ok((Temporary { path, placed: false }, file)),
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                Err(error) => return Err(error),
            }
        }
    }

    pub(in crate::disk) fn path(&self) -> &Path {
        &self.path
    }

    /// Takes the place of what is there.
    pub(in crate::disk) fn persist(mut self, to: &Path) -> io::Result<()> {
        ground::rename(&self.path, to)?;
        self.placed = true;
        Ok(())
    }

    /// Takes a place that is free; comes back when it is not.
    pub(in crate::disk) fn persist_new(self, to: &Path) -> Result<(), (io::Error, Self)> {
        if ground::metadata(to).is_ok() {
            return Err((io::ErrorKind::AlreadyExists.into(), self));
        }
        let mut file = self;
        match ground::rename(&file.path, to) {
            Ok(()) => {
                file.placed = true;
                Ok(())
            }
            Err(error) => Err((error, file)),
        }
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        if !self.placed {
            // It is gone at the next start at the latest.
            let _ = ground::remove_file(&self.path);
        }
    }
}
