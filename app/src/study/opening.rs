//! Opening a file whatever it is, with one set of rules for the window and the command line.

use super::command::Command;
use super::session::{DecodedPhoto, Reading, Session, SessionError};
use crate::base::folders;
use crate::files::kind::{FileKind, kind_of};
use crate::files::names::stem;
use std::path::{Path, PathBuf};
use stint_model::board::{Board, LightOfDay};
use stint_model::disk;
use stint_model::picture::{Attached, PictureError, read_attached};
use stint_model::study::file::{StudyError, StudyFile};
use stint_render::choose::EngineChoice;

/// Longer side of the canvas of a study that is made from a photo, unless the painter wants another, pixels.
pub const LONG_SIDE_PX: u32 = 1600;

/// The shape of a new canvas.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum CanvasShape {
    /// That of the photo; 4 to 3 without one.
    Photo,
    /// A sheet whose longer side is this many times its shorter one; it lies as the photo does, and across without one.
    Sheet(f64),
    /// Exactly this wide and high, pixels.
    Own(u32, u32),
}

/// What a new study is made with.
#[derive(Clone, PartialEq, Debug)]
pub struct NewCanvas {
    /// Its shape.
    pub shape: CanvasShape,
    /// Its longer side, pixels; not for a size of one's own.
    pub long_side_px: u32,
    /// Name of the ground and its colour, `#rrggbb`; the usual one when there is none.
    pub ground: Option<(String, String)>,
    /// The board to start from; an empty one when there is none.
    pub board: Option<Board>,
    /// How long the painter means to work on it, minutes; none for as long as it takes.
    pub stint_min: Option<u32>,
}

impl Default for NewCanvas {
    fn default() -> Self {
        NewCanvas { shape: CanvasShape::Photo, long_side_px: LONG_SIDE_PX, ground: None, board: None, stint_min: None }
    }
}

impl NewCanvas {
    /// A canvas in the shape of its photo with this longer side, pixels.
    pub fn with_long_side(long_side_px: u32) -> Self {
        NewCanvas { long_side_px, ..NewCanvas::default() }
    }

    /// Width and height in pixels, for a photo of this width and height, or for none.
    pub fn size_px(&self, photo: Option<(u32, u32)>) -> (u32, u32) {
        let (width, height) = photo.unwrap_or((4, 3));
        let (width, height) = (f64::from(width.max(1)), f64::from(height.max(1)));
        let long = f64::from(self.long_side_px);
        let ratio = match self.shape {
            CanvasShape::Own(width, height) => return (width, height),
            CanvasShape::Sheet(ratio) => ratio,
            CanvasShape::Photo => width.max(height) / width.min(height),
        };
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a side of the canvas, which is checked; the cast saturates"
        )]
        let short = (long / ratio).round().max(1.0) as u32;
        if width >= height { (self.long_side_px, short) } else { (short, self.long_side_px) }
    }

    /// A study in a new file, without a photo.
    ///
    /// # Errors
    /// When the size is out of range, or the file exists or cannot be written. No file is left behind then.
    pub fn create(
        &self,
        path: &Path,
        photo: Option<(u32, u32)>,
        name: &str,
        choice: EngineChoice,
    ) -> Result<Session, SessionError> {
        let board = self.board.clone().unwrap_or_else(|| Board::new(name, LightOfDay::default()));
        let mut session = Session::create(path, self.size_px(photo), board, choice)?;
        let ground = self.ground.clone().map(|(name, colour)| Command::SetGround { name, colour });
        let stint = self.stint_min.map(|minutes| Command::SetStint(Some(minutes)));
        for command in ground.into_iter().chain(stint) {
            if let Err(error) = session.apply(&command) {
                discard(session);
                return Err(error);
            }
        }
        Ok(session)
    }
}

/// Takes away a study that was made a moment ago and is not what was asked for.
pub fn discard(session: Session) {
    let study = session.path().to_owned();
    drop(session);
    // What cannot be taken away is an empty study at worst.
    let _ = disk::remove_file(study);
}

/// What a file is to a painter who opens it.
#[derive(Debug)]
pub enum Openable {
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
pub fn openable(path: &Path) -> Result<Openable, SessionError> {
    match kind_of(path) {
        Ok(FileKind::Study) => Ok(Openable::Study),
        Ok(FileKind::Picture) => Ok(Openable::Picture(Box::new(read_attached(path)?))),
        Ok(FileKind::Other) => Ok(Openable::Photo),
        Ok(FileKind::Ron | FileKind::Css | FileKind::Tokens | FileKind::Card) => {
            Err(SessionError::NotToOpen(path.to_owned()))
        }
        // What a cut-short PNG shows of itself is for whoever reads it as a photo to say.
        Err(crate::files::kind::KindError::Picture(PictureError::Truncated { .. })) => Ok(Openable::Photo),
        Err(error) => Err(error.into()),
    }
}

/// Opens a study for painting in a window, which has its tiles read beside it; one that cannot be written is opened for looking at it,
/// which [`Session::is_read_only`] tells.
///
/// # Errors
/// When the file is no sound study, or is open elsewhere.
pub fn open_study(path: &Path, choice: EngineChoice) -> Result<Session, SessionError> {
    match Session::open_reading(path, choice, Reading::AsNeeded) {
        Err(SessionError::Study(error)) if matches!(*error, StudyError::ReadOnly { .. }) => {
            Session::open_read_only_reading(path, choice, Reading::AsNeeded)
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

/// A new study on the board of an exported picture, which becomes its reference, with a canvas of its size. Nothing is left behind on an
/// error.
///
/// # Errors
/// When the picture cannot be read, or no study can be written there.
pub fn study_on_board_of(
    picture: &Path,
    attached: &Attached,
    place: Place<'_>,
    choice: EngineChoice,
) -> Result<Session, SessionError> {
    let decoded = DecodedPhoto::read(picture)?;
    let size = (attached.readout.width_px, attached.readout.height_px);
    let session = create(place, |path| Session::create(path, size, attached.board.clone(), choice))?;
    with_reference(session, decoded)
}

/// A session that was made a moment ago, with its reference.
fn with_reference(mut session: Session, photo: DecodedPhoto) -> Result<Session, SessionError> {
    match session.take_decoded(photo).and_then(|_| session.settle()) {
        Ok(()) => Ok(session),
        Err(error) => {
            discard(session);
            Err(error)
        }
    }
}

/// A new study with a photo as its reference. Nothing is left behind on an error.
///
/// # Errors
/// When the file is no photo, or no study can be written.
pub fn study_from_photo(
    path: &Path,
    place: Place<'_>,
    canvas: &NewCanvas,
    choice: EngineChoice,
) -> Result<Session, SessionError> {
    study_from_decoded(DecodedPhoto::read(path)?, path, place, canvas, choice)
}

/// The same with a photo that was read from `path` already.
///
/// # Errors
/// When no study can be written.
pub fn study_from_decoded(
    photo: DecodedPhoto,
    path: &Path,
    place: Place<'_>,
    canvas: &NewCanvas,
    choice: EngineChoice,
) -> Result<Session, SessionError> {
    let size = photo.size_px();
    let session = create(place, |study| canvas.create(study, Some(size), &stem(path), choice))?;
    with_reference(session, photo)
}

/// A new study beside another one that paints it again without its photo: `depot from memory.stint`.
///
/// # Errors
/// When the other study has no photo, or no study can be written there.
pub fn study_again(path: &Path, place: Place<'_>, choice: EngineChoice) -> Result<Session, SessionError> {
    let source = StudyFile::open_read_only(path)?;
    create(place, |to| Session::paint_again(&source, to, choice))
}

/// The name that a study gets which paints this one again: it says from memory once, however often it is painted.
pub fn again_name(study: &Path) -> PathBuf {
    const WORDS: &str = " from memory";
    let name = stem(study);
    let name = name.split_once(WORDS).map_or(name.as_str(), |(name, _)| name);
    study.with_file_name(format!("{name}{WORDS}.stint"))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(target_os = "linux")]
    #[test]
    #[allow(clippy::unwrap_used)]
    fn a_photo_whose_name_is_no_text_makes_a_study_like_any_other() {
        use std::os::unix::ffi::OsStrExt;
        let folder = tempfile::tempdir().unwrap();
        let photo = folder.path().join(std::ffi::OsStr::from_bytes(b"d\xe9p\xf4t.jpg"));
        let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg");
        std::fs::copy(demo, &photo).unwrap();
        let made = study_from_photo(&photo, Place::Beside(&photo), &NewCanvas::default(), EngineChoice::Cpu).unwrap();
        assert!(made.document().reference.is_some());
        made.close().unwrap();
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
        // What is no photo leaves nothing.
        let text = folder.path().join(std::ffi::OsStr::from_bytes(b"\xff.jpg"));
        std::fs::write(&text, "no photo").unwrap();
        assert!(study_from_photo(&text, Place::Beside(&text), &NewCanvas::default(), EngineChoice::Cpu).is_err());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3);
    }

    #[test]
    fn a_canvas_has_the_shape_of_its_photo_and_the_size_a_painter_wants() {
        let quick = NewCanvas::default();
        assert_eq!(quick.size_px(Some((4032, 3024))), (1600, 1200));
        assert_eq!(quick.size_px(Some((3000, 4000))), (1200, 1600));
        // A small photo is no reason for a small canvas.
        assert_eq!(quick.size_px(Some((640, 480))), (1600, 1200));
        assert_eq!(quick.size_px(Some((451, 300))), (1600, 1064));
        assert_eq!(quick.size_px(Some((9000, 2))), (1600, 1));
        assert_eq!(quick.size_px(None), (1600, 1200));
        // ISO 216: the sides of a sheet are as one to the square root of two.
        let sheet =
            NewCanvas { shape: CanvasShape::Sheet(std::f64::consts::SQRT_2), long_side_px: 3200, ..quick.clone() };
        assert_eq!(sheet.size_px(Some((4032, 3024))), (3200, 2263));
        assert_eq!(sheet.size_px(Some((3024, 4032))), (2263, 3200));
        let own = NewCanvas { shape: CanvasShape::Own(700, 300), ..quick };
        assert_eq!(own.size_px(Some((3024, 4032))), (700, 300));
    }
}
