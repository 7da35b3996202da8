//! Opening a file whatever it is, with one set of rules for the window and the command line.

use super::command::Command;
use super::session::{Session, SessionError};
use crate::base::folders;
use crate::files::kind::{FileKind, kind_of};
use crate::files::names::stem;
use std::path::{Path, PathBuf};
use stint_model::board::{Board, LightOfDay};
use stint_model::disk;
use stint_model::photo::Photo;
use stint_model::picture::{Attached, PictureError, read_attached};
use stint_model::study::file::StudyError;
use stint_render::choose::EngineChoice;

/// Longest side of the canvas of a study that is made from a photo, pixels.
pub const LONG_SIDE_PX: u32 = 2048;

/// What a file is to a painter who opens it.
#[derive(Debug)]
pub enum Opened {
    /// A study.
    Study,
    /// A picture exported by Stint, with its board and readout.
    Picture(Box<Attached>),
    /// A photo, or something that claims to be one: reading it tells.
    Photo,
}

/// What a file is.
///
/// # Errors
/// When it cannot be read, is a damaged picture of ours, or a board, which is taken in elsewhere.
pub fn look(path: &Path) -> Result<Opened, SessionError> {
    match kind_of(path) {
        Ok(FileKind::Study) => Ok(Opened::Study),
        Ok(FileKind::Picture) => Ok(Opened::Picture(Box::new(read_attached(path)?))),
        Ok(FileKind::Other) => Ok(Opened::Photo),
        Ok(FileKind::Ron | FileKind::Css | FileKind::Tokens | FileKind::Card) => {
            Err(SessionError::NotToOpen(path.to_owned()))
        }
        // What a cut-short PNG shows of itself is for whoever reads it as a photo to say.
        Err(crate::files::kind::KindError::Picture(PictureError::Truncated { .. })) => Ok(Opened::Photo),
        Err(error) => Err(error.into()),
    }
}

/// Opens a study for painting; one that cannot be written is opened for looking at it, which [`Session::is_read_only`] tells.
///
/// # Errors
/// When the file is no sound study, or is open elsewhere.
pub fn open_study(path: &Path, choice: EngineChoice) -> Result<Session, SessionError> {
    match Session::open(path, choice) {
        Err(SessionError::Study(error)) if matches!(*error, StudyError::ReadOnly { .. }) => {
            Session::open_read_only(path, choice)
        }
        other => other,
    }
}

/// Where a study goes that is made from a picture.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Place<'a> {
    /// Under a free name beside the picture, or in the user's documents where that folder cannot be written.
    Beside(&'a Path),
    /// In this file, which must be free.
    At(&'a Path),
}

/// A new study on the board of an exported picture, with a canvas of its size.
///
/// # Errors
/// When no study can be written there.
pub fn study_on_board_of(attached: &Attached, place: Place<'_>, choice: EngineChoice) -> Result<Session, SessionError> {
    let size = (attached.readout.width_px, attached.readout.height_px);
    create(place, |path| Session::create(path, size, attached.board.clone(), choice))
}

/// A new study with a photo as its reference, and a canvas of its proportions. Nothing is left behind on an error.
///
/// # Errors
/// When the file is no photo, or no study can be written.
pub fn study_from_photo(
    path: &Path,
    place: Place<'_>,
    long_side_px: u32,
    choice: EngineChoice,
) -> Result<Session, SessionError> {
    let photo = Photo::open(path)?;
    let size = canvas_size((photo.width_px(), photo.height_px()), long_side_px);
    // The study opens it again: two at a time could take more memory than there is.
    drop(photo);
    let board = Board::new(&stem(path), LightOfDay::default());
    let mut session = create(place, |path| Session::create(path, size, board.clone(), choice))?;
    match take_in(&mut session, path) {
        Ok(()) => Ok(session),
        Err(error) => {
            // A study without its photo is not what was asked for. It is ours, made a moment ago.
            let study = session.path().to_owned();
            drop(session);
            let _ = disk::remove_file(study);
            Err(error)
        }
    }
}

fn take_in(session: &mut Session, photo: &Path) -> Result<(), SessionError> {
    session.set_folder(photo.parent().unwrap_or(Path::new("")));
    let name = photo.file_name().unwrap_or_default().to_string_lossy().into_owned();
    session.apply(&Command::Reference(name)).map(|_| ())
}

fn create(place: Place<'_>, make: impl Fn(&Path) -> Result<Session, SessionError>) -> Result<Session, SessionError> {
    let picture = match place {
        Place::At(path) => return make(path),
        Place::Beside(picture) => picture,
    };
    let name = stem(picture);
    let beside = picture.parent().unwrap_or(Path::new(""));
    let free = |folder: &Path| -> PathBuf { disk::free_name(folder, &name, ".stint") };
    match make(&free(beside)) {
        Err(SessionError::Study(error))
            if matches!(
                *error,
                StudyError::ReadOnly { .. } | StudyError::Disk { .. } | StudyError::DiskFull { .. }
            ) =>
        {
            make(&free(&folders::documents()))
        }
        other => other,
    }
}

/// The canvas for a photo: its proportions, its size up to `long_side_px` on the longer side.
pub fn canvas_size((width, height): (u32, u32), long_side_px: u32) -> (u32, u32) {
    let scale = (f64::from(long_side_px) / f64::from(width.max(height).max(1))).min(1.0);
    let side = |v: u32| ((f64::from(v) * scale).round() as u32).max(1);
    (side(width), side(height))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_canvas_keeps_the_proportions_of_its_photo() {
        assert_eq!(canvas_size((4032, 3024), LONG_SIDE_PX), (2048, 1536));
        assert_eq!(canvas_size((3000, 4000), LONG_SIDE_PX), (1536, 2048));
        assert_eq!(canvas_size((800, 600), LONG_SIDE_PX), (800, 600));
        assert_eq!(canvas_size((9000, 2), LONG_SIDE_PX), (2048, 1));
    }
}
