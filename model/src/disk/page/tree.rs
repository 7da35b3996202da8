//! The tree of files in memory, and what it tells the mirror.

use super::batch::Batch;
use super::index::{self, Place, Places, Record, Unusable};
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::io;
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::SystemTime;

/// The folder of files whose paths are lost.
pub const RECOVERED: &str = "/Recovered";

/// Is told that something has changed since the last batch was taken.
pub type Changed = fn();

/// A stored file, as it is found at the start.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stored {
    /// Its short name.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
    /// When it was changed last.
    pub modified: SystemTime,
}

/// Why what is stored cannot be used.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum LoadError {
    /// It was written by a newer program.
    #[error(
        "the studies in this browser were kept by a newer version of Stint; load the page anew to get that version"
    )]
    Newer,
}

/// Files and folders in memory.
#[derive(Clone, Debug)]
pub(super) struct Tree(Arc<Mutex<State>>);

#[derive(Debug)]
pub(super) struct State {
    places: Places,
    contents: BTreeMap<u64, Content>,
    /// The number of the next file.
    next: u64,
    index: StoredIndex,
    /// Changes that are yet to be told.
    batch: Batch,
    /// Whether it was told that there are some.
    is_changed: bool,
    changed: Changed,
    now: fn() -> SystemTime,
    /// Batches that were taken.
    taken: u64,
}

#[derive(Debug)]
struct StoredIndex {
    name: String,
    length: u64,
}

/// A file's bytes, which go on while a handle is open.
#[derive(Debug)]
pub(super) struct Content {
    pub(super) bytes: Vec<u8>,
    pub(super) modified: SystemTime,
    /// Whether a handle holds the lock.
    pub(super) locked: bool,
    /// Handles.
    pub(super) open: usize,
    /// Whether it has a path.
    linked: bool,
}

impl Tree {
    /// A tree of what is stored. The first batch is there at once: a fresh index, and the end of files that have no path.
    ///
    /// # Errors
    /// When a newer program wrote it. Nothing is told then.
    pub(super) fn load(stored: Vec<Stored>, changed: Changed, now: fn() -> SystemTime) -> Result<Self, LoadError> {
        let mut indices: Vec<(u64, &Stored)> =
            stored.iter().filter_map(|file| Some((number_of(&file.name, 'i')?, file))).collect();
        indices.sort_by_key(|(number, _)| std::cmp::Reverse(*number));
        let mut found = None;
        for (_, file) in &indices {
            match index::read(&file.bytes) {
                Ok(places) => {
                    found = Some(places);
                    break;
                }
                Err(Unusable::Newer) => return Err(LoadError::Newer),
                Err(Unusable::CutOff) => {}
            }
        }
        let generation = indices.first().map_or(0, |(number, _)| *number) + 1;
        let old: Vec<String> = indices.iter().map(|(_, file)| file.name.clone()).collect();
        let mut state = State {
            places: Places::new(),
            contents: BTreeMap::new(),
            next: 1,
            index: StoredIndex { name: format!("i{generation}"), length: 0 },
            batch: Batch::default(),
            is_changed: false,
            changed,
            now,
            taken: 0,
        };
        let mut files: BTreeMap<u64, Stored> =
            stored.into_iter().filter_map(|file| Some((number_of(&file.name, 'f')?, file))).collect();
        state.next = files.keys().last().map_or(1, |last| last + 1);
        // Without any list, every file is given a name, so that nothing of the painter's is lost.
        state.places = found.unwrap_or_else(|| recovered(&files));
        // What was being written when the browser ended never became a file of its own.
        state.places.retain(|path, _| !is_unplaced(path));
        let numbers: Vec<u64> =
            state.places.values().filter_map(|p| if let Place::File(n) = p { Some(*n) } else { None }).collect();
        for number in numbers {
            let (bytes, modified) =
                files.remove(&number).map_or_else(|| (Vec::new(), now()), |f| (f.bytes, f.modified));
            state.contents.insert(number, Content { bytes, modified, locked: false, open: 0, linked: true });
            state.next = state.next.max(number + 1);
        }
        let list = index::list(&state.places);
        let batch = state.change();
        batch.index(list);
        for name in old.iter().chain(files.values().map(|file| &file.name)) {
            batch.removed_other(name);
        }
        Ok(Tree(Arc::new(Mutex::new(state))))
    }

    pub(super) fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    /// The changes that are yet to be told, for another.
    fn change(&mut self) -> &mut Batch {
        if !std::mem::replace(&mut self.is_changed, true) {
            (self.changed)();
        }
        &mut self.batch
    }

    /// What has changed since the last call; none when nothing has. Between any two pieces of work the whole is sound, as a disk would be
    /// after the power was cut there: whoever takes a batch may do so at any moment, and must keep all of it or nothing.
    pub(super) fn take_batch(&mut self) -> Option<Vec<u8>> {
        if !std::mem::take(&mut self.is_changed) {
            return None;
        }
        self.taken += 1;
        let batch = std::mem::take(&mut self.batch);
        let content = |number| self.contents.get(&number).map(|content| content.bytes.as_slice());
        Some(batch.bytes((&self.index.name, &mut self.index.length), content))
    }

    /// The batch in which everything is told that has changed so far.
    #[cfg(target_arch = "wasm32")]
    pub(super) fn last_batch(&self) -> u64 {
        self.taken + u64::from(self.is_changed)
    }

    pub(super) fn now(&self) -> SystemTime {
        (self.now)()
    }

    fn record(&mut self, record: &Record<'_>) {
        self.change().record(record);
    }

    /// What is at a path; the root is a folder.
    pub(super) fn place(&self, path: &Path) -> Option<Place> {
        if path == Path::new("/") { Some(Place::Folder) } else { self.places.get(path).copied() }
    }

    pub(super) fn content(&mut self, number: u64) -> io::Result<&mut Content> {
        self.contents.get_mut(&number).ok_or_else(|| io::ErrorKind::NotFound.into())
    }

    /// Names in a folder, with what they are.
    pub(super) fn entries(&self, folder: &Path) -> io::Result<Vec<(OsString, Place)>> {
        match self.place(folder) {
            Some(Place::Folder) => {}
            Some(Place::File(_)) => return Err(io::ErrorKind::NotADirectory.into()),
            None => return Err(io::ErrorKind::NotFound.into()),
        }
        let inside = self.places.iter().filter(|(path, _)| path.parent() == Some(folder));
        Ok(inside.filter_map(|(path, place)| Some((path.file_name()?.to_owned(), *place))).collect())
    }

    /// Makes an empty file at a free path.
    pub(super) fn create(&mut self, path: &Path) -> io::Result<u64> {
        self.require_folder(path)?;
        if self.place(path).is_some() {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let number = self.next;
        self.next += 1;
        let modified = self.now();
        self.contents.insert(number, Content { bytes: Vec::new(), modified, locked: false, open: 0, linked: true });
        self.places.insert(path.to_owned(), Place::File(number));
        self.change().created(number);
        self.record(&Record::Put(path, Place::File(number)));
        Ok(number)
    }

    fn require_folder(&self, path: &Path) -> io::Result<()> {
        match path.parent().map(|folder| self.place(folder)) {
            Some(Some(Place::Folder)) => Ok(()),
            Some(Some(Place::File(_))) => Err(io::ErrorKind::NotADirectory.into()),
            Some(None) | None => Err(io::ErrorKind::NotFound.into()),
        }
    }

    pub(super) fn create_dir_all(&mut self, path: &Path) -> io::Result<()> {
        let steps: Vec<&Path> = path.ancestors().collect();
        for step in steps.into_iter().rev() {
            match self.place(step) {
                Some(Place::Folder) => {}
                Some(Place::File(_)) => return Err(io::ErrorKind::AlreadyExists.into()),
                None => {
                    self.places.insert(step.to_owned(), Place::Folder);
                    self.record(&Record::Put(step, Place::Folder));
                }
            }
        }
        Ok(())
    }

    pub(super) fn remove_file(&mut self, path: &Path) -> io::Result<()> {
        match self.place(path) {
            Some(Place::File(number)) => {
                self.places.remove(path);
                self.record(&Record::Gone(path));
                self.unlink(number);
                Ok(())
            }
            Some(Place::Folder) => Err(io::ErrorKind::IsADirectory.into()),
            None => Err(io::ErrorKind::NotFound.into()),
        }
    }

    /// Moves a file or a folder; a file at the new path is replaced, in one step.
    pub(super) fn rename(&mut self, from: &Path, to: &Path) -> io::Result<()> {
        let moving = self.place(from).ok_or(io::ErrorKind::NotFound)?;
        self.require_folder(to)?;
        if from == to {
            return Ok(());
        }
        let replaced = match (moving, self.place(to)) {
            (_, None) => None,
            (Place::File(_), Some(Place::File(older))) => Some(older),
            (_, Some(Place::Folder)) => return Err(io::ErrorKind::IsADirectory.into()),
            (Place::Folder, Some(Place::File(_))) => return Err(io::ErrorKind::NotADirectory.into()),
        };
        if to.starts_with(from) {
            return Err(io::ErrorKind::InvalidInput.into());
        }
        index::moved(&mut self.places, from, to);
        self.record(&Record::Moved(from, to));
        if let Some(older) = replaced {
            self.unlink(older);
        }
        Ok(())
    }

    /// The path of a file is gone; its bytes go with its last handle.
    fn unlink(&mut self, number: u64) {
        let Some(content) = self.contents.get_mut(&number) else { return };
        content.linked = false;
        if content.open == 0 {
            self.contents.remove(&number);
        }
        self.change().removed(number);
    }

    /// A handle is closed, and with it the lock that it has.
    pub(super) fn close(&mut self, number: u64, unlocks: bool) {
        if let Some(content) = self.contents.get_mut(&number) {
            content.locked &= !unlocks;
            content.open -= 1;
            if content.open == 0 && !content.linked {
                self.contents.remove(&number);
            }
        }
    }

    pub(super) fn write(&mut self, number: u64, offset: u64, bytes: &[u8]) -> io::Result<()> {
        let now = self.now();
        let content = self.content(number)?;
        let out_of_memory = |_| io::Error::from(io::ErrorKind::OutOfMemory);
        let start = usize::try_from(offset).map_err(out_of_memory)?;
        let end = start.checked_add(bytes.len()).ok_or(io::ErrorKind::FileTooLarge)?;
        let before = content.bytes.len();
        if end > before {
            content.bytes.try_reserve(end - before).map_err(|_| io::ErrorKind::OutOfMemory)?;
            content.bytes.resize(end, 0);
        }
        content.bytes[start..end].copy_from_slice(bytes);
        content.modified = now;
        if content.linked {
            self.change().wrote(number, start, end, before);
        }
        Ok(())
    }

    pub(super) fn truncate(&mut self, number: u64, length: u64) -> io::Result<()> {
        let now = self.now();
        let content = self.content(number)?;
        let wanted = usize::try_from(length).map_err(|_| io::ErrorKind::OutOfMemory)?;
        let before = content.bytes.len();
        content.bytes.try_reserve(wanted.saturating_sub(before)).map_err(|_| io::ErrorKind::OutOfMemory)?;
        content.bytes.resize(wanted, 0);
        content.modified = now;
        if content.linked {
            self.change().cut(number, wanted, before);
        }
        Ok(())
    }
}

/// The number in a short name.
fn number_of(name: &str, kind: char) -> Option<u64> {
    name.strip_prefix(kind)?.parse().ok()
}

/// Whether a file was still without its place, as [`Unplaced`](crate::disk::Unplaced) names it, or is the journal of such a file.
fn is_unplaced(path: &Path) -> bool {
    path.file_name()
        .and_then(|name| name.to_str())
        .is_some_and(|name| name.starts_with(".stint-") && name.contains(".new"))
}

/// Names for files of which no list tells the path.
fn recovered(files: &BTreeMap<u64, Stored>) -> Places {
    let mut places = Places::new();
    for (number, file) in files {
        let ending = if file.bytes.starts_with(b"SQLite format 3\0") { ".stint" } else { "" };
        places.insert(PathBuf::from(format!("{RECOVERED}/Recovered {number}{ending}")), Place::File(*number));
    }
    if !places.is_empty() {
        places.insert(PathBuf::from(RECOVERED), Place::Folder);
    }
    places
}

/// A path from the root, without `.` and `..`.
pub(super) fn absolute(path: &Path) -> PathBuf {
    let mut whole = PathBuf::from("/");
    for part in path.components() {
        match part {
            Component::Normal(name) => whole.push(name),
            Component::ParentDir => drop(whole.pop()),
            Component::RootDir | Component::CurDir | Component::Prefix(_) => {}
        }
    }
    whole
}
