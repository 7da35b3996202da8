//! What can go wrong with a picture.

use super::attached::AttachedError;
use std::io;
use std::path::{Path, PathBuf};

/// The reason why a caller of [`write_png`](super::write_png) could not fill a band; also its way to stop an export.
pub type BandError = Box<dyn std::error::Error + Send + Sync>;

/// What to do where the system refused to write.
fn next_to_do(why: io::ErrorKind) -> &'static str {
    match why {
        io::ErrorKind::NotFound => "make it or choose another place",
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => "choose a place where you may write",
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => {
            "make room or choose another place"
        }
        _ => "choose another place",
    }
}

/// Why a picture could not be written or read. Every text names the file and what to do.
#[derive(Debug, thiserror::Error)]
pub enum PictureError {
    /// A side is 0 or more than the 2^31 - 1 pixels that PNG allows.
    #[error(
        "{} was not written: a picture of {width} x {height} pixels cannot be a PNG; use sides from 1 to 2147483647",
        path.display()
    )]
    Size {
        /// The file that was asked for.
        path: PathBuf,
        /// Width asked for, in pixels.
        width: u32,
        /// Height asked for, in pixels.
        height: u32,
    },
    /// The print resolution is 0 or more than PNG can hold.
    #[error(
        "{} was not written: {pixels_per_metre} pixels per metre is no print resolution; use 1 to 2147483647, for \
         example 11811 for 300 dpi", path.display()
    )]
    Resolution {
        /// The file that was asked for.
        path: PathBuf,
        /// What was asked for.
        pixels_per_metre: u32,
    },
    /// The system refused a step of writing: no space, no permission, no such folder.
    #[error(
        "{} was not written: {source}; {}, an older file there is unchanged",
        path.display(), next_to_do(source.kind())
    )]
    Write {
        /// The file that was asked for.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The pixels did not come: the caller stopped the export or could not go on.
    #[error("{} was not written: {source}; an older file there is unchanged", path.display())]
    Band {
        /// The file that was asked for.
        path: PathBuf,
        /// What the caller said.
        source: BandError,
    },
    /// A pixel is NaN or infinite.
    #[error(
        "{} was not written: the pixel at column {x}, row {y} has no colour; undo the last \
         step of the study and export again",
        path.display()
    )]
    NoColour {
        /// The file that was asked for.
        path: PathBuf,
        /// Column of such a pixel, from 0.
        x: u32,
        /// Row of such a pixel, from 0.
        y: u32,
    },
    /// What should go with the picture cannot be put in a file.
    #[error("{} was not written: {source}; correct the board and export again", path.display())]
    Attach {
        /// The file that was asked for.
        path: PathBuf,
        /// What is wrong with it.
        source: Box<AttachedError>,
    },
    /// The PNG encoder refused for a reason other than those above.
    #[error(
        "{} was not written: {reason}; export with other settings, an older file there is unchanged",
        path.display()
    )]
    Encode {
        /// The file that was asked for.
        path: PathBuf,
        /// What the encoder said.
        reason: String,
    },
    /// The system refused to open or read the file.
    #[error("{} could not be read: {source}; check the name and whether you may read it", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file does not begin as a PNG does.
    #[error("{} is not a PNG; choose a PNG that Stint exported", path.display())]
    NotPng {
        /// The file.
        path: PathBuf,
    },
    /// The file ends before its end chunk.
    #[error("{} is cut short at byte {at}; fetch or copy it again from where it came from", path.display())]
    Truncated {
        /// The file.
        path: PathBuf,
        /// Length of the file in bytes.
        at: u64,
    },
    /// The chunk that holds the board, or a text that may be it, contradicts its checksum or the standard.
    #[error(
        "the board in {} is damaged: {what}; fetch or copy the picture again from where it came from, or export it again from \
         its study", path.display()
    )]
    DamagedBoard {
        /// The file.
        path: PathBuf,
        /// Which chunk, and how.
        what: String,
    },
    /// A chunk contradicts its checksum or the standard.
    #[error("{} is damaged: {what}; fetch or copy it again from where it came from", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// Which chunk, and how.
        what: String,
    },
    /// A sound PNG without our `iTXt` chunk.
    #[error(
        "{} carries no board: it was not exported by Stint or an editor dropped the board; export it again from its \
         study or open it as a photo", path.display()
    )]
    NoBoard {
        /// The file.
        path: PathBuf,
    },
    /// The board is there but its text cannot be used.
    #[error("the board in {} cannot be used: {source}", path.display())]
    Attached {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        source: Box<AttachedError>,
    },
}

impl PictureError {
    /// A refusal of the system while writing `path`.
    pub(super) fn write(path: &Path, source: io::Error) -> Self {
        PictureError::Write { path: path.to_owned(), source }
    }

    /// A refusal of the system while reading `path`.
    pub(super) fn read(path: &Path, source: io::Error) -> Self {
        PictureError::Read { path: path.to_owned(), source }
    }
}
