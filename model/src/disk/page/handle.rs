//! What [`std::fs`] calls `File`, `Metadata`, `OpenOptions`, `ReadDir`: the same names and the same errors, over the tree.

use super::index::Place;
use super::tree::{Tree, absolute};
use std::ffi::OsString;
use std::fmt;
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::SystemTime;

/// An open file. It goes on when its path is gone.
#[derive(Debug)]
pub struct File {
    tree: Tree,
    number: u64,
    at: AtomicU64,
    reads: bool,
    writes: bool,
    appends: bool,
    /// Whether this handle has the lock.
    locks: AtomicBool,
}

/// Why a file could not be locked.
#[derive(Debug)]
pub enum TryLockError {
    /// Something went wrong.
    Error(io::Error),
    /// Somebody else holds the lock.
    WouldBlock,
}

/// What is known of a file or folder.
#[derive(Clone, Copy, Debug)]
pub struct Metadata {
    pub(super) number: Option<u64>,
    length: u64,
    modified: SystemTime,
}

/// What may be done with a file: everything.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Permissions;

impl Permissions {
    /// Whether it may not be written: never.
    pub fn readonly(&self) -> bool {
        false
    }
}

impl Metadata {
    /// Whether it is a folder.
    pub fn is_dir(&self) -> bool {
        self.number.is_none()
    }

    /// Whether it is a file.
    pub fn is_file(&self) -> bool {
        self.number.is_some()
    }

    /// Length in bytes.
    pub fn len(&self) -> u64 {
        self.length
    }

    /// Whether it has no bytes.
    pub fn is_empty(&self) -> bool {
        self.length == 0
    }

    /// When it was changed last.
    ///
    /// # Errors
    /// Never.
    pub fn modified(&self) -> io::Result<SystemTime> {
        Ok(self.modified)
    }

    /// What may be done with it.
    pub fn permissions(&self) -> Permissions {
        Permissions
    }

    /// The number of a file, the same for as long as it is there; none of a folder.
    pub fn number(&self) -> Option<u64> {
        self.number
    }
}

/// Whether something is a file or a folder.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct FileType {
    is_dir: bool,
}

impl FileType {
    /// Whether it is a folder.
    pub fn is_dir(&self) -> bool {
        self.is_dir
    }

    /// Whether it is a file.
    pub fn is_file(&self) -> bool {
        !self.is_dir
    }

    /// Whether it is a link: never.
    pub fn is_symlink(&self) -> bool {
        false
    }
}

/// How a file is opened.
#[derive(Clone, Copy, Default, Debug)]
pub struct OpenOptions {
    read: bool,
    write: bool,
    append: bool,
    truncate: bool,
    create: bool,
    create_new: bool,
}

macro_rules! switches {
    ($($(#[$doc:meta])* $name:ident)*) => {
        $($(#[$doc])*
        pub fn $name(&mut self, on: bool) -> &mut Self {
            self.$name = on;
            self
        })*
    };
}

impl OpenOptions {
    switches! {
        /// For reading.
        read
        /// For writing.
        write
        /// For writing behind the end.
        append
        /// Emptied when it is there.
        truncate
        /// Made when it is not there.
        create
        /// Made, and refused when it is there.
        create_new
    }

    pub(super) fn open_in(&self, tree: &Tree, path: &Path) -> io::Result<File> {
        let path = absolute(path);
        let writes = self.write || self.append;
        let mut state = tree.state();
        let number = match state.place(&path) {
            Some(Place::Folder) => return Err(io::ErrorKind::IsADirectory.into()),
            Some(Place::File(_)) if self.create_new => return Err(io::ErrorKind::AlreadyExists.into()),
            Some(Place::File(number)) => number,
            None if (self.create || self.create_new) && writes => state.create(&path)?,
            None => return Err(io::ErrorKind::NotFound.into()),
        };
        if self.truncate && writes && !state.content(number)?.bytes.is_empty() {
            state.truncate(number, 0)?;
        }
        state.content(number)?.open += 1;
        drop(state);
        let (at, tree) = (AtomicU64::new(0), tree.clone());
        let locks = AtomicBool::new(false);
        Ok(File { tree, number, at, reads: self.read, writes, appends: self.append, locks })
    }
}

impl File {
    /// Reads at a place, as far as there is something.
    ///
    /// # Errors
    /// When it was not opened for reading.
    pub fn read_at(&self, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
        if !self.reads {
            return Err(io::ErrorKind::PermissionDenied.into());
        }
        let mut state = self.tree.state();
        let bytes = &state.content(self.number)?.bytes;
        let from = usize::try_from(offset).map_or(bytes.len(), |from| from.min(bytes.len()));
        let count = buffer.len().min(bytes.len() - from);
        buffer[..count].copy_from_slice(&bytes[from..from + count]);
        Ok(count)
    }

    /// Writes at a place; what lies between it and the end becomes zeros.
    ///
    /// # Errors
    /// When it was not opened for writing, or memory runs out.
    pub fn write_all_at(&self, bytes: &[u8], offset: u64) -> io::Result<()> {
        if !self.writes {
            return Err(io::ErrorKind::PermissionDenied.into());
        }
        self.tree.state().write(self.number, offset, bytes)
    }

    /// Gives it a length.
    ///
    /// # Errors
    /// When it was not opened for writing, or memory runs out.
    pub fn set_len(&self, length: u64) -> io::Result<()> {
        if !self.writes {
            return Err(io::ErrorKind::PermissionDenied.into());
        }
        self.tree.state().truncate(self.number, length)
    }

    /// Everything so far is on the disk before anything that comes later, since changes are told in order.
    ///
    /// # Errors
    /// When the file is gone.
    pub fn sync_all(&self) -> io::Result<()> {
        self.tree.state().content(self.number).map(drop)
    }

    /// What is known of it.
    ///
    /// # Errors
    /// When the file is gone.
    pub fn metadata(&self) -> io::Result<Metadata> {
        let mut state = self.tree.state();
        let content = state.content(self.number)?;
        let (length, modified) = (content.bytes.len() as u64, content.modified);
        Ok(Metadata { number: Some(self.number), length, modified })
    }

    /// Says when it was changed last.
    ///
    /// # Errors
    /// When the file is gone.
    pub fn set_modified(&self, modified: SystemTime) -> io::Result<()> {
        self.tree.state().content(self.number)?.modified = modified;
        Ok(())
    }

    /// Does nothing: everybody may do everything.
    ///
    /// # Errors
    /// Never.
    pub fn set_permissions(&self, _: Permissions) -> io::Result<()> {
        Ok(())
    }

    /// Takes the lock on the file, which ends with this handle.
    ///
    /// # Errors
    /// When another handle holds it.
    pub fn try_lock(&self) -> Result<(), TryLockError> {
        let mut state = self.tree.state();
        let content = state.content(self.number).map_err(TryLockError::Error)?;
        if content.locked {
            return Err(TryLockError::WouldBlock);
        }
        content.locked = true;
        self.locks.store(true, Ordering::Relaxed);
        Ok(())
    }

    /// Takes the lock on the file. Nobody can be waited for here, so it is refused when another handle holds it.
    ///
    /// # Errors
    /// When another handle holds it.
    pub fn lock(&self) -> io::Result<()> {
        self.try_lock().map_err(|why| match why {
            TryLockError::Error(error) => error,
            TryLockError::WouldBlock => io::ErrorKind::WouldBlock.into(),
        })
    }
}

impl Drop for File {
    fn drop(&mut self) {
        self.tree.state().close(self.number, self.locks.load(Ordering::Relaxed));
    }
}

impl Read for &File {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let at = self.at.load(Ordering::Relaxed);
        let count = self.read_at(buffer, at)?;
        self.at.store(at + count as u64, Ordering::Relaxed);
        Ok(count)
    }
}

impl Write for &File {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let at = if self.appends { self.metadata()?.len() } else { self.at.load(Ordering::Relaxed) };
        self.write_all_at(bytes, at)?;
        self.at.store(at + bytes.len() as u64, Ordering::Relaxed);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for &File {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let (from, by) = match to {
            SeekFrom::Start(at) => (at, 0),
            SeekFrom::End(by) => (self.metadata()?.len(), by),
            SeekFrom::Current(by) => (self.at.load(Ordering::Relaxed), by),
        };
        let at = from.checked_add_signed(by).ok_or(io::ErrorKind::InvalidInput)?;
        self.at.store(at, Ordering::Relaxed);
        Ok(at)
    }
}

impl Read for File {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        (&*self).read(buffer)
    }
}

impl Write for File {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        (&*self).write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for File {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        (&*self).seek(to)
    }
}

/// What lies in a folder, as it was when it was asked for.
#[derive(Debug)]
pub struct ReadDir(std::vec::IntoIter<DirEntry>);

impl Iterator for ReadDir {
    type Item = io::Result<DirEntry>;

    fn next(&mut self) -> Option<Self::Item> {
        self.0.next().map(Ok)
    }
}

/// Something in a folder.
pub struct DirEntry {
    tree: Tree,
    folder: PathBuf,
    name: OsString,
}

impl fmt::Debug for DirEntry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("DirEntry").field(&self.path()).finish()
    }
}

impl DirEntry {
    /// Its whole path.
    pub fn path(&self) -> PathBuf {
        self.folder.join(&self.name)
    }

    /// Its name alone.
    pub fn file_name(&self) -> OsString {
        self.name.clone()
    }

    /// What is known of it.
    ///
    /// # Errors
    /// When it is gone.
    pub fn metadata(&self) -> io::Result<Metadata> {
        self.tree.metadata(&self.path())
    }

    /// What it is.
    ///
    /// # Errors
    /// When it is gone.
    pub fn file_type(&self) -> io::Result<FileType> {
        Ok(FileType { is_dir: self.metadata()?.is_dir() })
    }
}

impl Tree {
    pub(super) fn metadata(&self, path: &Path) -> io::Result<Metadata> {
        let mut state = self.state();
        match state.place(&absolute(path)) {
            Some(Place::Folder) => Ok(Metadata { number: None, length: 0, modified: state.now() }),
            Some(Place::File(number)) => {
                let content = state.content(number)?;
                let (length, modified) = (content.bytes.len() as u64, content.modified);
                Ok(Metadata { number: Some(number), length, modified })
            }
            None => Err(io::ErrorKind::NotFound.into()),
        }
    }

    pub(super) fn read_dir(&self, path: &Path) -> io::Result<ReadDir> {
        let folder = absolute(path);
        let entries = self.state().entries(&folder)?;
        let entry = |(name, _)| DirEntry { tree: self.clone(), folder: folder.clone(), name };
        Ok(ReadDir(entries.into_iter().map(entry).collect::<Vec<_>>().into_iter()))
    }

    pub(super) fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        OpenOptions::default().read(true).open_in(self, path)?.read_to_end(&mut bytes)?;
        Ok(bytes)
    }
}
