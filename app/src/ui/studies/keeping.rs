//! What is done with studies as files, beside the window: begun, and what came of it told.

use super::close;
use crate::base::jobs::Outcome;
use crate::files::names::{same_file, stem};
use crate::study::keeping::{Keeping, KeepingJob, Kept};
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::wording;
use std::path::PathBuf;

/// Begins it. A study that is open here is closed for as long as its file is moved.
pub(super) fn begin(state: &mut State, what: Keeping, wake: impl FnOnce() + Send + 'static) {
    if state.keeping.is_some() {
        state.refuse(wording::ONE_AFTER_THE_OTHER.to_owned());
        return;
    }
    let open = state.session.as_ref().map(|session| session.path().to_owned());
    let is_open = |path: &PathBuf| open.as_ref().is_some_and(|open| open == path || same_file(open, path));
    let mut open_again = None;
    match &what {
        Keeping::Rename(path, _) | Keeping::Trash(path) if is_open(path) => {
            if !state.settle() {
                return;
            }
            close(state);
            open_again = matches!(what, Keeping::Rename(..)).then(|| path.clone());
        }
        // What was painted last goes into the copy.
        Keeping::Duplicate(path) if is_open(path) && !state.settle() => return,
        Keeping::Find { was, .. } if is_open(was) => open_again = Some(was.clone()),
        Keeping::Rename(..)
        | Keeping::Trash(_)
        | Keeping::Duplicate(_)
        | Keeping::Find { .. }
        | Keeping::BringBack(_)
        | Keeping::Forget(_)
        | Keeping::TakeIn(_) => {}
    }
    let data = state.data_folder.clone();
    match KeepingJob::start(what, data, open_again, wake) {
        Ok(job) => state.keeping = Some(job),
        Err(error) => state.notices.push(error.to_string()),
    }
}

/// Takes what came of it, once it is done.
pub fn poll(state: &mut State) {
    let Some(keeping) = &state.keeping else { return };
    let done = match keeping.poll() {
        Outcome::Running => return,
        Outcome::Done(done) => done,
        Outcome::Died => Err(wording::KEEPING_STOPPED.to_owned()),
    };
    let open_again = state.keeping.take().and_then(KeepingJob::open_again);
    state.studies_changed += 1;
    let name = |path: &PathBuf| stem(path);
    match done {
        Ok(Kept::Moved(from, to)) => {
            if open_again.is_some() {
                // One that was moved while it was open is told; a new name was asked for.
                if state.session.is_some() {
                    close(state);
                    state.notices.push(wording::study_found(&from, &to));
                }
                state.requests.push(Request::Open(to));
            }
        }
        Ok(Kept::Copied(copy)) => state.notices.push(wording::study_copied(&name(&copy))),
        Ok(Kept::Trashed(gone)) => state.notices.push(wording::study_trashed(&name(&gone.was))),
        Ok(Kept::Back(path)) => state.notices.push(wording::study_back(&name(&path))),
        Ok(Kept::NotFound(was)) => state.lost_study = Some(was),
        Ok(Kept::Forgotten) => {}
        Ok(Kept::TakenIn(done)) => state.notices.push(wording::taken_in(&done)),
        Err(why) => {
            state.notices.push(why);
            state.requests.extend(open_again.map(Request::Open));
        }
    }
}
