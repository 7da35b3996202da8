//! Keeping the board of a study outside of it.

use super::session::Session;
use crate::files::library::{Library, LibraryError, thumbnail};
use image::RgbImage;
use std::path::PathBuf;

/// Keeps the board of a study among the kept boards, with its reference as the photo. The file it went to.
///
/// # Errors
/// As [`Library::keep`]. A reference that cannot be read is no reason not to keep the board: it is kept without a picture.
pub fn keep_board(library: &mut Library, session: &mut Session) -> Result<PathBuf, LibraryError> {
    let mut board = session.document().board.clone();
    let (photo, thumbnail) = photo_of(session);
    if !photo.is_empty() {
        board.photo = photo;
    }
    library.keep(&board, thumbnail.as_ref())
}

/// Name of the reference of a study, empty if it has none, and a small copy of it if it can be read.
pub fn photo_of(session: &mut Session) -> (String, Option<RgbImage>) {
    let name = session.document().reference.as_ref().map(|r| r.name.clone()).unwrap_or_default();
    (name, session.reference().ok().map(|(photo, adjustments)| thumbnail(&photo, adjustments)))
}
