//! What panels ask for that is no command to a study: making, opening and closing studies, exporting.

use super::{export, recent};
use crate::command::Command;
use crate::session::{Session, SessionError};
use crate::state::{NewStudy, Request, Stale, State};
use crate::wording;
use crate::{demo, open, places};
use std::path::Path;

/// Does every request that needs no window, in order, and leaves the others ([`Request::Fit`], [`Request::ActualSize`],
/// [`Request::Quit`]) in [`State::requests`]. What goes wrong becomes a notice.
pub fn handle(state: &mut State) {
    let requests = std::mem::take(&mut state.requests);
    for request in requests {
        match request {
            Request::NewStudy(new) => new_study(state, &new),
            Request::Open(path) => {
                if let Err(error) = open::open(state, &path) {
                    state.notices.push(error.to_string());
                }
            }
            Request::Demo => make_demo(state),
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
        let mut session = Session::create(&new.path, new.size, new.board.clone(), state.engine)?;
        let (name, colour) = new.ground.clone();
        session.apply(&Command::SetGround { name, colour })?;
        Ok(session)
    };
    match create() {
        Ok(session) => {
            let path = new.path.clone();
            enter(state, session, Some(&path));
            state.panels.start = Default::default();
        }
        Err(error) => state.notices.push(error.to_string()),
    }
}

/// Makes the demo study beside the painter's others and opens it.
fn make_demo(state: &mut State) {
    let folder = places::data(state.panels.data_folder.as_deref()).join("demo");
    let beside = state.panels.data_folder.clone().unwrap_or_else(places::documents);
    let study = places::free_name(&beside, wording::DEMO_STUDY, "stint");
    match demo::play(&folder, &study, state.engine) {
        Ok(session) => enter(state, session, Some(&study)),
        Err(error) => state.notices.push(error.to_string()),
    }
}

/// Makes a session the open one, and closes the one before.
pub fn enter(state: &mut State, mut session: Session, path: Option<&Path>) {
    while let Some(notice) = session.take_notice() {
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

/// Closes the open study; it is in its file already.
pub fn close(state: &mut State) {
    state.panels.forget_study();
    state.panels.start.forget_recent();
    (state.previous, state.lit, state.readout, state.stale) = (None, None, None, Stale::All);
    state.tried = None;
    if let Some(session) = state.session.take()
        && let Err(error) = session.close()
    {
        state.notices.push(error.to_string());
    }
}
