//! SQLite over the files of [`disk`]: the page has no other files, and what is told to the mirror keeps SQLite's own order of
//! writes and syncs, which is what its promise of atomic commit rests on ("Atomic Commit In SQLite", section 3).
//!
//! One tab holds all studies and has one thread, so no two connections are ever in the middle of a transaction, and locks need
//! not be told.

use rsqlite_vfs::{
    AccessMode, LockLevel, OpenOptions, OpenRequest, OpenedFile, SQLiteIoMethods, SQLiteVfs, SyncOptions, VfsError,
    VfsErrorCode, VfsFile, VfsResult, VfsStore, register_vfs,
};
use std::io;
use std::path::Path;
use stint_model::disk::{self, File};

/// A file of the tree, or one in memory that SQLite asked for without a name.
pub enum Open {
    Named(File),
    Unnamed(Vec<u8>),
}

impl VfsFile for Open {
    fn read(&mut self, buffer: &mut [u8], offset: u64) -> VfsResult<usize> {
        match self {
            Open::Named(file) => file.read_at(buffer, offset).map_err(|e| fault(VfsErrorCode::IoRead, &e)),
            Open::Unnamed(bytes) => {
                let from = usize::try_from(offset).map_or(bytes.len(), |from| from.min(bytes.len()));
                let count = buffer.len().min(bytes.len() - from);
                buffer[..count].copy_from_slice(&bytes[from..from + count]);
                Ok(count)
            }
        }
    }

    fn write(&mut self, buffer: &[u8], offset: u64) -> VfsResult<()> {
        match self {
            Open::Named(file) => file.write_all_at(buffer, offset).map_err(|e| full(&e)),
            Open::Unnamed(bytes) => {
                let out_of_memory = || VfsError::new(VfsErrorCode::Full, "no memory is left".into());
                let from = usize::try_from(offset).map_err(|_| out_of_memory())?;
                let end = from.checked_add(buffer.len()).ok_or_else(out_of_memory)?;
                if end > bytes.len() {
                    bytes.try_reserve(end - bytes.len()).map_err(|_| out_of_memory())?;
                    bytes.resize(end, 0);
                }
                bytes[from..end].copy_from_slice(buffer);
                Ok(())
            }
        }
    }

    fn truncate(&mut self, size: u64) -> VfsResult<()> {
        match self {
            Open::Named(file) => file.set_len(size).map_err(|e| full(&e)),
            Open::Unnamed(bytes) => {
                bytes.truncate(usize::try_from(size).unwrap_or(usize::MAX));
                Ok(())
            }
        }
    }

    fn sync(&mut self, _: SyncOptions) -> VfsResult<()> {
        match self {
            Open::Named(file) => file.sync_all().map_err(|e| fault(VfsErrorCode::IoSync, &e)),
            Open::Unnamed(_) => Ok(()),
        }
    }

    fn size(&self) -> VfsResult<u64> {
        match self {
            Open::Named(file) => Ok(file.metadata().map_err(|e| fault(VfsErrorCode::IoStat, &e))?.len()),
            Open::Unnamed(bytes) => Ok(bytes.len() as u64),
        }
    }

    fn lock(&mut self, _: LockLevel) -> VfsResult<()> {
        Ok(())
    }

    fn unlock(&mut self, _: LockLevel) -> VfsResult<()> {
        Ok(())
    }

    fn check_reserved_lock(&self) -> VfsResult<bool> {
        Ok(false)
    }
}

fn fault(code: VfsErrorCode, error: &io::Error) -> VfsError {
    VfsError::new(code, error.to_string().into())
}

fn full(error: &io::Error) -> VfsError {
    let code = if error.kind() == io::ErrorKind::OutOfMemory { VfsErrorCode::Full } else { VfsErrorCode::IoWrite };
    fault(code, error)
}

/// Opens and removes files of the tree.
pub struct Files;

impl VfsStore for Files {
    type File = Open;
    type AppData = ();

    fn open_file((): &(), request: OpenRequest<'_>) -> VfsResult<OpenedFile<Open>> {
        let options = request.options;
        let file = match request.filename {
            None => Open::Unnamed(Vec::new()),
            Some(name) => {
                let mut how = disk::options();
                how.read(true).write(true).create(options.create()).create_new(options.exclusive() && options.create());
                Open::Named(how.open(name.path()).map_err(|e| fault(VfsErrorCode::CantOpen, &e))?)
            }
        };
        Ok(OpenedFile { file, access: options.access() })
    }

    fn close_file(data: &(), name: Option<&str>, file: Open, options: OpenOptions) -> VfsResult<()> {
        drop(file);
        match name {
            Some(name) if options.delete_on_close() => Self::delete_file(data, name, false),
            _ => Ok(()),
        }
    }

    fn access((): &(), name: &str, _: AccessMode) -> VfsResult<bool> {
        Ok(disk::exists(Path::new(name)))
    }

    fn full_pathname((): &(), name: &str) -> VfsResult<String> {
        Ok(name.to_owned())
    }

    fn delete_file((): &(), name: &str, _: bool) -> VfsResult<()> {
        disk::remove_file(name).map_err(|e| {
            let missing = e.kind() == io::ErrorKind::NotFound;
            fault(if missing { VfsErrorCode::IoDeleteNoEntry } else { VfsErrorCode::IoDelete }, &e)
        })
    }
}

/// What SQLite calls on an open file.
#[derive(Clone, Copy, Default)]
pub struct Io;

impl SQLiteIoMethods for Io {
    type Store = Files;
}

/// What SQLite calls for a file.
#[derive(Clone, Copy, Default)]
pub struct Vfs;

static SYSTEM: sqlite_wasm_rs::WasmOsCallback = sqlite_wasm_rs::WasmOsCallback;

impl SQLiteVfs<Io> for Vfs {
    type Os = sqlite_wasm_rs::WasmOsCallback;

    fn os((): &()) -> &Self::Os {
        &SYSTEM
    }

    const MAX_PATH_SIZE: core::ffi::c_int = 1024;
}

/// Puts SQLite on the files of the tree, from now on and for every connection.
///
/// # Errors
/// When SQLite refuses.
pub fn install() -> Result<(), String> {
    #[expect(unsafe_code, reason = "SQLite takes what lies under it through a registration of C")]
    // SAFETY: the page has one thread, so nothing of SQLite is running meanwhile; and what is registered is never taken back:
    // its registration is forgotten below, so that it lives as long as the program.
    let registered = unsafe { register_vfs::<Io, Vfs>("stint", (), true) };
    std::mem::forget(registered.map_err(|error| format!("the studies cannot be opened ({error:?})"))?);
    Ok(())
}
