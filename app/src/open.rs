//! Opening whatever is dropped on the window or named at the start: a study, a photo, an exported picture.

use crate::command::{Command, SwatchRef};
use crate::panels::requests;
use crate::places;
use crate::session::{Session, SessionError};
use crate::state::State;
use crate::wording;
use std::io::Read;
use std::path::{Path, PathBuf};
use stint_model::board::{Board, LightOfDay};
use stint_model::photo::Photo;
use stint_model::picture::{self, Attached, PictureError};
use stint_model::study::file::StudyError;

/// Longest side of the canvas of a study that is made from a photo, pixels.
pub const LONG_SIDE_PX: u32 = 2048;
/// Every SQLite database begins so (SQLite file format, 1.3.1).
const DATABASE: &[u8] = b"SQLite format 3\0";

/// What a file turned out to be.
enum Found {
    Study,
    Exported(Box<Attached>),
    Photo,
}

/// Opens a file. A study, or a new study on the board of an exported picture, comes in place of the open one, which is
/// closed in good order; a photo becomes the reference of the open study, or starts a new one. On an error nothing changes.
///
/// # Errors
/// When the file is nothing of ours, is open elsewhere, or cannot be read; or no new study can be written for it.
pub fn open(state: &mut State, path: &Path) -> Result<(), SessionError> {
    if state.session.as_ref().is_some_and(|s| same_file(s.path(), path)) {
        state.notices.push(wording::open_here(path));
        return Ok(());
    }
    let session = match look(path)? {
        Found::Study => open_study(state, path)?,
        Found::Exported(attached) => {
            let size = (attached.readout.width, attached.readout.height);
            create(path, |to| Session::create(to, size, attached.board.clone(), state.engine))?
        }
        Found::Photo if state.session.is_some() => {
            let full = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
            return state.change(&Command::Reference(full.to_string_lossy().into_owned()));
        }
        Found::Photo => {
            let photo = Photo::open(path)?;
            let board = Board::new(&stem(path), LightOfDay::default());
            let size = canvas_size((photo.width_px(), photo.height_px()), LONG_SIDE_PX);
            // The study opens it again: two at a time could take more memory than there is.
            drop(photo);
            let mut session = create(path, |to| Session::create(to, size, board.clone(), state.engine))?;
            session.set_folder(path.parent().unwrap_or(Path::new("")));
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            session.apply(&Command::Reference(name))?;
            session
        }
    };
    let study = session.path().to_owned();
    requests::enter(state, session, Some(&study));
    Ok(())
}

/// So that the first stroke needs no choice before it.
pub fn load_first(state: &mut State) {
    let Some(session) = &state.session else { return };
    let first = session.document().board.swatches().next().map(|(_, s)| s.id);
    if let Some(first) = first.filter(|_| session.loaded().is_none()) {
        state.apply(&Command::Load(SwatchRef::Id(first)));
    }
}

fn look(path: &Path) -> Result<Found, SessionError> {
    let mut first = [0; 16];
    // Opening a pipe would wait for somebody to write into it.
    let is_file = std::fs::metadata(path).is_ok_and(|told| told.is_file());
    let known = is_file && std::fs::File::open(path).and_then(|mut f| f.read_exact(&mut first)).is_ok();
    let named_study = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("stint"));
    if named_study || known && first == DATABASE {
        return Ok(Found::Study);
    }
    if known && picture::is_png(&first) {
        match picture::read_attached(path) {
            Ok(attached) => return Ok(Found::Exported(Box::new(attached))),
            // Any other PNG is a photo.
            Err(PictureError::NoBoard { .. } | PictureError::Truncated { .. }) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Ok(Found::Photo)
}

fn open_study(state: &mut State, path: &Path) -> Result<Session, SessionError> {
    match Session::open(path, state.engine) {
        // It can be looked at all the same; every change will say why it is refused.
        Err(SessionError::Study(error)) if matches!(*error, StudyError::ReadOnly { .. }) => {
            let session = Session::open_read_only(path, state.engine)?;
            state.notices.push(wording::opened_for_looking(path));
            Ok(session)
        }
        other => other,
    }
}

/// A new study beside a picture, or in the user's documents where that folder cannot be written.
fn create(picture: &Path, make: impl Fn(&Path) -> Result<Session, SessionError>) -> Result<Session, SessionError> {
    let name = stem(picture);
    let beside = picture.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    match make(&places::free_name(beside, &name, "stint")) {
        Err(SessionError::Study(error))
            if matches!(
                *error,
                StudyError::ReadOnly { .. } | StudyError::Disk { .. } | StudyError::DiskFull { .. }
            ) =>
        {
            make(&places::free_name(&places::documents(), &name, "stint"))
        }
        other => other,
    }
}

/// The name of a file without its last suffix.
pub fn stem(path: &Path) -> String {
    path.file_stem().map_or_else(|| "study".to_owned(), |s| s.to_string_lossy().into_owned())
}

fn same_file(a: &Path, b: &Path) -> bool {
    let full = |p: &Path| -> Option<PathBuf> { p.canonicalize().ok() };
    a == b || full(a).is_some_and(|a| full(b) == Some(a))
}

/// The canvas for a photo: its proportions, its size up to `long_side_px` on the longer side.
pub fn canvas_size((width, height): (u32, u32), long_side_px: u32) -> (u32, u32) {
    let scale = (f64::from(long_side_px) / f64::from(width.max(height).max(1))).min(1.0);
    let side = |v: u32| ((f64::from(v) * scale).round() as u32).max(1);
    (side(width), side(height))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::session::{ExportOptions, export_png};
    use stint_render::choose::EngineWish;

    fn demo_photo() -> PathBuf {
        PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"))
    }

    fn state() -> State {
        State { engine: EngineWish::Cpu, ..State::default() }
    }

    #[test]
    fn a_canvas_keeps_the_proportions_of_its_photo() {
        assert_eq!(canvas_size((4032, 3024), LONG_SIDE_PX), (2048, 1536));
        assert_eq!(canvas_size((3000, 4000), LONG_SIDE_PX), (1536, 2048));
        assert_eq!(canvas_size((800, 600), LONG_SIDE_PX), (800, 600));
        assert_eq!(canvas_size((9000, 2), LONG_SIDE_PX), (2048, 1));
    }

    #[test]
    fn a_photo_starts_a_study_beside_it_and_the_study_opens_again() {
        let folder = tempfile::tempdir().unwrap();
        let photo = folder.path().join("depot.jpg");
        std::fs::copy(demo_photo(), &photo).unwrap();
        let mut s = state();
        open(&mut s, &photo).unwrap();
        let session = s.session.as_ref().unwrap();
        assert_eq!(session.path().file_name().unwrap(), "depot.stint");
        assert_eq!(session.document().reference.as_ref().unwrap().name, "depot.jpg");
        assert!(s.readout.is_some() && s.stale == crate::state::Stale::All);
        let study = session.path().to_owned();
        // Opening what is open changes nothing, and a photo becomes the reference of what is open.
        open(&mut s, &study).unwrap();
        open(&mut s, &photo).unwrap();
        assert_eq!(s.session.as_ref().unwrap().path(), study);
        assert_eq!(s.session.as_ref().unwrap().depths(), (2, 0));
        // With nothing open it makes a second study.
        requests::close(&mut s);
        open(&mut s, &photo).unwrap();
        assert_eq!(s.session.as_ref().unwrap().path().file_name().unwrap(), "depot 2.stint");
        open(&mut s, &study).unwrap();
        assert_eq!(s.session.as_ref().unwrap().path(), study);
        // A second window on the same study is refused with the reason, and the first goes on.
        let mut other = state();
        let error = open(&mut other, &study).unwrap_err().to_string();
        assert!(error.contains("already open"), "{error}");
        assert!(other.session.is_none());
    }

    #[test]
    fn an_exported_picture_starts_a_study_with_its_board() {
        let folder = tempfile::tempdir().unwrap();
        let mut session = Session::create(
            &folder.path().join("a.stint"),
            (300, 200),
            Board::new("b", LightOfDay::Cool),
            EngineWish::Cpu,
        )
        .unwrap();
        for (role, colour) in [("Local", "#5b6f8f"), ("Light", "#9fb1c8")] {
            let text = format!("AddSwatch(family: \"Sky\", role: {role}, colour: \"{colour}\")");
            session.apply(&ron::from_str(&text).unwrap()).unwrap();
        }
        let board = session.document().board.clone();
        let png = folder.path().join("sky.png");
        export_png(&mut session, &png, &ExportOptions::default(), &mut |_| {}).unwrap();
        let mut s = state();
        open(&mut s, &png).unwrap();
        load_first(&mut s);
        let session = s.session.as_ref().unwrap();
        assert_eq!(session.document().board, board);
        assert_eq!((session.document().width, session.document().height), (300, 200));
        assert!(session.loaded().is_some(), "the first swatch is on the brush");
    }

    #[test]
    fn what_is_nothing_of_ours_leaves_the_open_study_alone() {
        let folder = tempfile::tempdir().unwrap();
        let mut s = state();
        s.session = Some(Session::in_memory((10, 10), Board::default(), EngineWish::Cpu).unwrap());
        for (name, bytes) in
            [("notes.txt", &b"hello"[..]), ("empty.stint", b""), ("half.png", b"\x89PNG\r\n\x1a\n\0\0")]
        {
            let path = folder.path().join(name);
            std::fs::write(&path, bytes).unwrap();
            let error = open(&mut s, &path).unwrap_err().to_string();
            assert!(error.contains(name), "{error}");
        }
        assert!(open(&mut s, &folder.path().join("none.jpg")).is_err());
        assert!(s.session.is_some());
        assert!(!folder.path().join("notes.stint").exists());
    }
}
