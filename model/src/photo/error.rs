//! What is said when a photo cannot be opened, or not quite as its maker meant.
//!
//! Every text is ours: what a decoder says never shows, since it speaks of its own insides. Names of files are printed with
//! their control characters written out.

use crate::printable::printable;

/// Why a photo could not be opened.
#[derive(Debug, thiserror::Error)]
pub enum PhotoError {
    /// The file system said no.
    #[error("could not read {}: {source}; check that the file is there and may be read", printable(name))]
    Read {
        /// The file.
        name: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// A folder, a device, a pipe: nothing that has an end.
    #[error("{} is {what}, not a file; choose a photo", printable(name))]
    NotAFile {
        /// What was named.
        name: String,
        /// What it is.
        what: &'static str,
    },
    /// A file of no bytes.
    #[error("{} is empty; copy it from the camera again", printable(name))]
    Empty {
        /// The file.
        name: String,
    },
    /// Not a photo of any kind that is known.
    #[error("{} is {what}, not a photo; choose a JPEG, HEIC, PNG, WebP, TIFF or JPEG XL", printable(name))]
    NotAPhoto {
        /// The file.
        name: String,
        /// What it looks like.
        what: &'static str,
    },
    /// A sound picture of a kind that is not read.
    #[error("{} is {what}, which Stint does not read; {advice}", printable(name))]
    Unread {
        /// The file.
        name: String,
        /// What it is, as a painter knows it.
        what: String,
        /// What to do with it.
        advice: &'static str,
    },
    /// More pixels or bytes than are read. Raised before memory for the pixels is taken.
    #[error("{} is too large ({size}); {advice}", printable(name))]
    TooLarge {
        /// The file.
        name: String,
        /// Its size in words.
        size: String,
        /// What to do with it.
        advice: String,
    },
    /// The file stops before its picture does.
    #[error("{} ends before its picture does; copy it from the camera again", printable(name))]
    CutShort {
        /// The file.
        name: String,
    },
    /// The file contradicts itself.
    #[error("{} is damaged ({part}); copy it from the camera again", printable(name))]
    Damaged {
        /// The file.
        name: String,
        /// What does not hold.
        part: &'static str,
    },
}

impl PhotoError {
    /// See [`PhotoError::Damaged`].
    pub(super) fn damaged(name: &str, part: &'static str) -> Self {
        PhotoError::Damaged { name: name.to_owned(), part }
    }

    /// See [`PhotoError::TooLarge`].
    pub(super) fn too_large(name: &str, size: String, advice: impl Into<String>) -> Self {
        PhotoError::TooLarge { name: name.to_owned(), size, advice: advice.into() }
    }

    /// See [`PhotoError::CutShort`].
    pub(super) fn cut_short(name: &str) -> Self {
        PhotoError::CutShort { name: name.to_owned() }
    }

    /// See [`PhotoError::Unread`].
    pub(super) fn unread(name: &str, what: impl Into<String>, advice: &'static str) -> Self {
        PhotoError::Unread { name: name.to_owned(), what: what.into(), advice }
    }
}

/// What a painter should know about a photo that was opened all the same.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum PhotoWarning {
    /// Its colours are described in a way that cannot be followed, and were read as sRGB.
    Profile {
        /// The photo.
        name: String,
        /// What is wrong with the description, for instance which part of it is missing.
        what: String,
    },
    /// Its inks are described by no profile that can be used, and were converted by the plain formula.
    Inks {
        /// The photo.
        name: String,
        /// What is wrong with the profile, if there is one.
        what: Option<String>,
    },
    /// What its file tells about place, time, camera and owner could not be taken out.
    PrivateData {
        /// The photo.
        name: String,
    },
}

impl std::fmt::Display for PhotoWarning {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            PhotoWarning::Profile { name, what } => write!(
                f,
                "the colour profile of {} cannot be used ({what}) and its colours are read as sRGB; export the photo as sRGB \
                 if they look wrong",
                printable(name)
            ),
            PhotoWarning::Inks { name, what } => {
                let name = printable(name);
                match what {
                    Some(what) => write!(f, "the print profile of {name} cannot be used ({what})")?,
                    None => write!(f, "{name} is made for print (CMYK) and has no profile")?,
                }
                f.write_str(", so its colours are only about right; export the photo as sRGB for true ones")
            }
            PhotoWarning::PrivateData { name } => write!(
                f,
                "what {} tells about place, time and camera could not be taken out; export it as a PNG first if the study will \
                 be handed out",
                printable(name)
            ),
        }
    }
}
