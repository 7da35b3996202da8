//! What panels ask for that is no command to a study: making, opening and closing studies, exporting.

use super::{export, recent, reference};
use crate::command::Command;
use crate::session::{Session, SessionError};
use crate::state::{NewStudy, Request, Stale, State};
use crate::wording;
use std::path::Path;
use stint_model::picture::{is_png, read_attached};
use stint_model::study::file::StudyError;

/// Does every request that needs no window, in order, and leaves the others ([`Request::Fit`], [`Request::ActualSize`],
/// [`Request::Demo`], [`Request::Quit`]) in [`State::requests`]. What goes wrong becomes a notice.
pub fn handle(state: &mut State) {
    let requests = std::mem::take(&mut state.requests);
    for request in requests {
        match request {
            Request::NewStudy(new) => new_study(state, &new),
            Request::Open(path) => open(state, &path),
            Request::CloseStudy => close(state),
            Request::Export { path, options } => export::start(state, path, options),
            other => state.requests.push(other),
        }
    }
}

/// Whether an export is still being written.
pub fn exporting(state: &State) -> bool {
    state.panels.export.is_some()
}

fn new_study(state: &mut State, new: &NewStudy) {
    let create = || -> Result<Session, SessionError> {
        let mut session = Session::create(&new.path, new.size, new.board.under(new.light), state.engine)?;
        let (name, colour) = new.ground.clone();
        session.apply(&Command::SetGround { name, colour })?;
        Ok(session)
    };
    match create() {
        Ok(session) => {
            let path = new.path.clone();
            enter(state, session, Some(&path));
            state.panels.start = Default::default();
            if let Some(photo) = &new.photo {
                // The study is there even if its photo cannot be read; the notice says why.
                state.apply(&Command::Reference(photo.display().to_string()));
            }
        }
        Err(error) => state.notices.push(error.to_string()),
    }
}

/// Makes a session the open one, and closes the one before.
pub fn enter(state: &mut State, mut session: Session, path: Option<&Path>) {
    if let Some(notice) = session.take_notice() {
        state.notices.push(notice);
    }
    close(state);
    state.session = Some(session);
    if let Some(path) = path
        && let Err((list, why)) = recent::add(state.panels.data_folder.as_deref(), path)
    {
        state.notices.push(wording::recent_not_kept(&list, &why));
    }
    state.refresh();
}

fn close(state: &mut State) {
    state.panels.forget_study();
    state.panels.start.forget_recent();
    (state.previous, state.lit, state.readout, state.stale) = (None, None, None, Stale::All);
    if let Some(session) = state.session.take()
        && let Err(error) = session.close()
    {
        state.notices.push(error.to_string());
    }
}

/// Opens a study, an exported picture (for its board) or a photo (as the reference).
fn open(state: &mut State, path: &Path) {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("stint")) {
        open_study(state, path);
    } else if begins_like_png(path)
        && let Ok(attached) = read_attached(path)
    {
        // A picture of ours: its board goes into a new study.
        close(state);
        state.panels.start.suggest(&attached.name);
        state.panels.start.take_board(attached.board);
    } else if state.session.is_some() {
        if state.apply(&Command::Reference(path.display().to_string())) {
            reference::forget_spots(state);
        }
    } else {
        match stint_model::photo::Photo::open(path) {
            Ok(_) => {
                state.panels.start.suggest(&path.file_stem().unwrap_or_default().to_string_lossy());
                state.panels.start.photo = Some(path.to_owned());
            }
            Err(error) => state.notices.push(error.to_string()),
        }
    }
}

fn begins_like_png(path: &Path) -> bool {
    use std::io::Read;
    let mut first = [0; 16];
    std::fs::File::open(path).and_then(|mut file| file.read(&mut first)).is_ok_and(|read| is_png(&first[..read]))
}

fn open_study(state: &mut State, path: &Path) {
    let same = |open: &Session| match (open.path().canonicalize(), path.canonicalize()) {
        (Ok(open), Ok(path)) => open == path,
        _ => false,
    };
    if state.session.as_ref().is_some_and(same) {
        state.notices.push(wording::open_here(path));
        return;
    }
    match Session::open(path, state.engine) {
        Ok(session) => enter(state, session, Some(path)),
        Err(SessionError::Study(StudyError::ReadOnly { .. })) => match Session::open_read_only(path, state.engine) {
            Ok(session) => {
                enter(state, session, Some(path));
                state.notices.push(wording::opened_for_looking(path));
            }
            Err(error) => state.notices.push(error.to_string()),
        },
        Err(error) => state.notices.push(error.to_string()),
    }
}
