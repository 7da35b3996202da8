//! What can go wrong with a study file, in words a painter can act on.

use super::VERSION;
use super::tile::TILE_BUDGET_BYTES;
use rusqlite::ErrorCode;
use std::io;
use std::path::{Path, PathBuf};

/// Why something could not be done with a study file. Whatever the reason, the study in the file is as it was before.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StudyError {
    /// There is no such file.
    #[error("there is no study at {}; check the name, or start a new study there", path.display())]
    Missing {
        /// The study asked for.
        path: PathBuf,
    },
    /// A new study would lie in a folder that does not exist.
    #[error("there is no folder {}; make it first, or choose another", path.display())]
    NoFolder {
        /// The folder.
        path: PathBuf,
    },
    /// A new study would replace a file.
    #[error("{} exists already; choose another name, or open it", path.display())]
    Exists {
        /// The file in the way.
        path: PathBuf,
    },
    /// Another window, or another program run, is painting on this study.
    #[error("{} is already open in another window; close it there first", path.display())]
    OpenElsewhere {
        /// The study.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("{} is not a study of Stint, or its beginning is damaged; choose another file", path.display())]
    NotAStudy {
        /// The file.
        path: PathBuf,
    },
    /// The file has a schema this program does not know yet.
    #[error(
        "{} was made by a newer Stint (study format {found}, this one reads up to {known}); update the program to open \
         it",
        path.display()
    )]
    Newer {
        /// The study.
        path: PathBuf,
        /// Schema version of the file.
        found: i64,
        /// Newest schema version of this program.
        known: i64,
    },
    /// The file has a part this program does not know, though its schema version says it should.
    #[error(
        "{} has a part that this Stint does not know ({what}, study format {version}); open it with the Stint that made \
         it, or update this one",
        path.display()
    )]
    UnknownPart {
        /// The study.
        path: PathBuf,
        /// Which part.
        what: String,
        /// Schema version of this program.
        version: i64,
    },
    /// A study of an older version could not be copied before it was brought up to this one.
    #[error(
        "{} is of an older format, and no copy of it as it is can be left beside it ({source}); it was not changed, make \
         room or copy it to another folder and open it there",
        path.display()
    )]
    NoCopy {
        /// The study.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The paint would take more memory than any study may.
    #[error(
        "the paint of {} takes {needed_mib} MiB of memory, and a study may have {} MiB; merge or clear a pass, or paint \
         on a smaller canvas",
        path.display(), TILE_BUDGET_BYTES >> 20
    )]
    TooMuchPaint {
        /// The study.
        path: PathBuf,
        /// Memory that its tiles take, in MiB.
        needed_mib: u64,
    },
    /// The content does not hold together.
    #[error("the study {} is damaged ({what}); go back to a copy of it", path.display())]
    Damaged {
        /// The study.
        path: PathBuf,
        /// What was found.
        what: String,
    },
    /// A crash left a half-done change, and the disk or folder cannot be written to take it back.
    #[error(
        "{} was cut off in the middle of a change that must be taken back, but its folder cannot be written; copy it \
         with its -journal file to a folder that can be written and open it there",
        path.display()
    )]
    CutOff {
        /// The study.
        path: PathBuf,
    },
    /// The file, its folder or its disk cannot be written.
    #[error(
        "{} cannot be written: the file, its folder or its disk is read-only; copy it to another folder to paint on it",
        path.display()
    )]
    ReadOnly {
        /// The study.
        path: PathBuf,
    },
    /// The handle was opened for reading.
    #[error("{} was opened for reading only; open it for painting to change it", path.display())]
    Reading {
        /// The study.
        path: PathBuf,
    },
    /// The file is no longer at its path.
    #[error("{} was moved, replaced or deleted while it was open; put it back to go on painting", path.display())]
    Gone {
        /// Where the study was.
        path: PathBuf,
    },
    /// No room for the change.
    #[error(
        "there is no room left for {}; the last change is not in the file, free some space and repeat it",
        path.display()
    )]
    DiskFull {
        /// The study.
        path: PathBuf,
    },
    /// Another program held a lock for longer than we wait.
    #[error(
        "{} is held by another program; the last change is not in the file, close that program and repeat it",
        path.display()
    )]
    Busy {
        /// The study.
        path: PathBuf,
    },
    /// There is no photo with this key.
    #[error("there is no photo {key} in {}; load the photo again", path.display())]
    NoPhoto {
        /// The study.
        path: PathBuf,
        /// The key asked for.
        key: i64,
    },
    /// A change that would make a study which cannot be opened again.
    #[error(
        "the change cannot be kept in {}: {what}; undo it and report this as a fault of the program",
        path.display()
    )]
    Unsound {
        /// The study.
        path: PathBuf,
        /// What is wrong with the change.
        what: String,
    },
    /// The operating system reports a fault.
    #[error("{} cannot be reached ({source}); check the disk and the permissions of its folder", path.display())]
    Disk {
        /// The study.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Anything else the database reports.
    #[error("{} cannot be read or written ({source}); check the disk, then try again", path.display())]
    Database {
        /// The study.
        path: PathBuf,
        /// What the database said.
        source: rusqlite::Error,
    },
}

/// A fault before the study's name is attached.
#[derive(Debug)]
pub(super) enum Fault {
    Database(rusqlite::Error),
    Damaged(String),
    Unsound(String),
    UnknownPart(String),
    /// Bytes of memory that all tiles would take.
    TooMuchPaint(u64),
    NoPhoto(i64),
    Busy,
    Disk(io::Error),
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        Fault::Database(error)
    }
}

impl Fault {
    /// The same fault, of the study at `path`.
    pub(super) fn at(self, path: &Path) -> StudyError {
        let path = path.to_owned();
        match self {
            Fault::Database(source) => database(path, source),
            Fault::Damaged(what) => StudyError::Damaged { path, what },
            Fault::Unsound(what) => StudyError::Unsound { path, what },
            Fault::UnknownPart(what) => StudyError::UnknownPart { path, what, version: VERSION },
            Fault::TooMuchPaint(bytes) => StudyError::TooMuchPaint { path, needed_mib: bytes.div_ceil(1 << 20) },
            Fault::NoPhoto(key) => StudyError::NoPhoto { path, key },
            Fault::Busy => StudyError::Busy { path },
            Fault::Disk(source) => disk_error(&path, source),
        }
    }
}

fn database(path: PathBuf, source: rusqlite::Error) -> StudyError {
    use rusqlite::Error as E;
    match &source {
        E::SqliteFailure(error, _) => match error.code {
            ErrorCode::DiskFull => StudyError::DiskFull { path },
            ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => StudyError::Busy { path },
            ErrorCode::NotADatabase => StudyError::NotAStudy { path },
            ErrorCode::ReadOnly if error.extended_code == rusqlite::ffi::SQLITE_READONLY_ROLLBACK => {
                StudyError::CutOff { path }
            }
            ErrorCode::ReadOnly => StudyError::ReadOnly { path },
            ErrorCode::DatabaseCorrupt | ErrorCode::Unknown => StudyError::Damaged { path, what: source.to_string() },
            _ => StudyError::Database { path, source },
        },
        // Tables, columns or types that are not those of the schema: the file was changed by something else.
        E::SqlInputError { .. }
        | E::FromSqlConversionFailure(..)
        | E::IntegralValueOutOfRange(..)
        | E::InvalidColumnType(..)
        | E::Utf8Error(..)
        | E::QueryReturnedNoRows => StudyError::Damaged { path, what: source.to_string() },
        _ => StudyError::Database { path, source },
    }
}

/// A fault of the file system at the study's place.
pub(super) fn disk_error(path: &Path, source: io::Error) -> StudyError {
    let path = path.to_owned();
    match source.kind() {
        io::ErrorKind::NotFound => StudyError::Missing { path },
        io::ErrorKind::AlreadyExists => StudyError::Exists { path },
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => StudyError::ReadOnly { path },
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => StudyError::DiskFull { path },
        _ => StudyError::Disk { path, source },
    }
}
