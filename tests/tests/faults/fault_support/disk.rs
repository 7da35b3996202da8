//! A file system for SQLite whose n-th call fails: SQLite's own one for this system, behind a counter ("The OS Backend (VFS) To
//! SQLite" describes both structures).
#![expect(unsafe_code, reason = "a file system of SQLite's is a table of C functions")]

use super::Trigger;
use rusqlite::ffi::{
    SQLITE_CANTOPEN, SQLITE_FULL, SQLITE_IOERR_ACCESS, SQLITE_IOERR_DELETE, SQLITE_IOERR_FSTAT, SQLITE_IOERR_FSYNC,
    SQLITE_IOERR_LOCK, SQLITE_IOERR_READ, SQLITE_IOERR_TRUNCATE, SQLITE_OK, sqlite3_file, sqlite3_filename,
    sqlite3_int64, sqlite3_io_methods, sqlite3_vfs, sqlite3_vfs_find, sqlite3_vfs_register,
};
use std::ffi::{c_char, c_int, c_void};
use std::ptr::{null, null_mut};
use std::sync::Once;
use std::sync::atomic::{AtomicPtr, Ordering};

/// Which call fails.
pub static DISK: Trigger = Trigger::new();
/// SQLite's own file system.
static SYSTEM: AtomicPtr<sqlite3_vfs> = AtomicPtr::new(null_mut());

/// An open file; the system's own is right behind it in memory.
#[repr(C)]
struct CountedFile {
    base: sqlite3_file,
}

static METHODS: sqlite3_io_methods = sqlite3_io_methods {
    iVersion: 1,
    xClose: Some(close),
    xRead: Some(read),
    xWrite: Some(write),
    xTruncate: Some(truncate),
    xSync: Some(sync),
    xFileSize: Some(file_size),
    xLock: Some(lock),
    xUnlock: Some(unlock),
    xCheckReservedLock: Some(check_reserved_lock),
    xFileControl: Some(file_control),
    xSectorSize: Some(sector_size),
    xDeviceCharacteristics: Some(device_characteristics),
    xShmMap: None,
    xShmLock: None,
    xShmBarrier: None,
    xShmUnmap: None,
    xFetch: None,
    xUnfetch: None,
};

/// Puts the counter in front of every file that SQLite opens in this process from now on.
pub fn install() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // SAFETY: the system's file system lives as long as the process, and so does the copy, which is leaked.
        unsafe {
            let system = sqlite3_vfs_find(null());
            SYSTEM.store(system, Ordering::SeqCst);
            let mut counted = Box::new(*system);
            counted.szOsFile += size_of::<CountedFile>() as c_int;
            counted.zName = c"counted".as_ptr();
            counted.pNext = null_mut();
            counted.xOpen = Some(open);
            counted.xDelete = Some(delete);
            counted.xAccess = Some(access);
            assert_eq!(sqlite3_vfs_register(Box::leak(counted), 1), SQLITE_OK);
        }
    });
}

unsafe fn real(file: *mut sqlite3_file) -> *mut sqlite3_file {
    // SAFETY: `szOsFile` has made room for both.
    unsafe { file.cast::<CountedFile>().add(1).cast() }
}

/// Passes a call on to the system's file, which has every method of version 1.
macro_rules! passed_on {
    ($method:ident, $file:ident $(, $argument:ident)*) => {{
        // SAFETY: SQLite calls the methods of open files only.
        unsafe {
            let file = real($file);
            match (*(*file).pMethods).$method {
                Some(method) => method(file $(, $argument)*),
                None => 0,
            }
        }
    }};
}

macro_rules! counted {
    ($name:ident, $method:ident, $fault:expr $(, $argument:ident: $type:ty)*) => {
        unsafe extern "C" fn $name(file: *mut sqlite3_file $(, $argument: $type)*) -> c_int {
            if DISK.fails() {
                return $fault;
            }
            passed_on!($method, file $(, $argument)*)
        }
    };
}

macro_rules! plain {
    ($name:ident, $method:ident $(, $argument:ident: $type:ty)*) => {
        unsafe extern "C" fn $name(file: *mut sqlite3_file $(, $argument: $type)*) -> c_int {
            passed_on!($method, file $(, $argument)*)
        }
    };
}

counted!(read, xRead, SQLITE_IOERR_READ, to: *mut c_void, bytes: c_int, at: sqlite3_int64);
counted!(write, xWrite, SQLITE_FULL, from: *const c_void, bytes: c_int, at: sqlite3_int64);
counted!(truncate, xTruncate, SQLITE_IOERR_TRUNCATE, size: sqlite3_int64);
counted!(sync, xSync, SQLITE_IOERR_FSYNC, flags: c_int);
counted!(file_size, xFileSize, SQLITE_IOERR_FSTAT, size: *mut sqlite3_int64);
counted!(lock, xLock, SQLITE_IOERR_LOCK, level: c_int);
plain!(close, xClose);
plain!(unlock, xUnlock, level: c_int);
plain!(check_reserved_lock, xCheckReservedLock, found: *mut c_int);
plain!(file_control, xFileControl, operation: c_int, argument: *mut c_void);
plain!(sector_size, xSectorSize);
plain!(device_characteristics, xDeviceCharacteristics);

unsafe extern "C" fn open(
    _: *mut sqlite3_vfs,
    name: sqlite3_filename,
    file: *mut sqlite3_file,
    flags: c_int,
    out: *mut c_int,
) -> c_int {
    let system = SYSTEM.load(Ordering::SeqCst);
    // SAFETY: SQLite gives memory of `szOsFile` bytes, and does not close a file without methods.
    unsafe {
        (*file).pMethods = null();
        if DISK.fails() {
            return SQLITE_CANTOPEN;
        }
        let Some(open) = (*system).xOpen else { return SQLITE_CANTOPEN };
        let done = open(system, name, real(file), flags, out);
        if !(*real(file)).pMethods.is_null() {
            (*file).pMethods = &METHODS;
        }
        done
    }
}

unsafe extern "C" fn delete(_: *mut sqlite3_vfs, name: *const c_char, sync: c_int) -> c_int {
    if DISK.fails() {
        return SQLITE_IOERR_DELETE;
    }
    let system = SYSTEM.load(Ordering::SeqCst);
    // SAFETY: passed on as it came.
    unsafe { (*system).xDelete.map_or(SQLITE_IOERR_DELETE, |delete| delete(system, name, sync)) }
}

unsafe extern "C" fn access(_: *mut sqlite3_vfs, name: *const c_char, flags: c_int, found: *mut c_int) -> c_int {
    if DISK.fails() {
        return SQLITE_IOERR_ACCESS;
    }
    let system = SYSTEM.load(Ordering::SeqCst);
    // SAFETY: passed on as it came.
    unsafe { (*system).xAccess.map_or(SQLITE_IOERR_ACCESS, |access| access(system, name, flags, found)) }
}
