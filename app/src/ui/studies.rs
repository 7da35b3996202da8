//! Which study is open: making, opening and closing studies, and writing one as a picture.

mod keeping;

pub use keeping::poll as poll_keeping;

use super::remembered;
use super::request::{NewStudy, Request};
use super::stale::Stale;
use super::state::State;
use super::wording;
use crate::base::folders;
use crate::base::jobs::Outcome;
use crate::files::all_in_one;
use crate::files::library::safe_stem;
use crate::files::names::same_file;
use crate::files::recent;
use crate::files::settings::FIRST_STEPS;
use crate::study::export_job::{ExportJob, WaitingExport};
use crate::study::keeping::Keeping;
use crate::study::open_job::{OpenedFile, Opening, Target, ToOpen};
use crate::study::opening::NewCanvas;
use crate::study::session::{ExportOptions, ExportSource, Session};
use std::path::{Path, PathBuf};
use stint_render::choose::EngineChoice;
use stint_render::engine::EngineError;

/// Does every request that needs no window, in order, and leaves the others ([`Request::Fit`], [`Request::ActualSize`], [`Request::WholeScreen`],
/// [`Request::Paste`], [`Request::Act`], [`Request::Choose`], [`Request::HandOver`], [`Request::HandOverAll`], [`Request::Quit`]) in [`State::requests`]. What goes wrong
/// becomes a notice. `wake` is called when work beside the
/// window is done.
pub fn handle(state: &mut State, wake: impl Fn() + Clone + Send + 'static) {
    for request in std::mem::take(&mut state.requests) {
        match request {
            Request::NewStudy(new) => new_study(state, new, wake.clone()),
            Request::Open(path) => open(state, &path, wake.clone()),
            Request::Opened => take_opened(state),
            Request::PaintAgain => paint_again(state, wake.clone()),
            Request::Demo => make_demo(state, wake.clone()),
            Request::CloseStudy => close(state),
            Request::Keep(what) => keeping::begin(state, what, wake.clone()),
            Request::Export { path, options } => export(state, path, options, wake.clone()),
            Request::Fit
            | Request::ActualSize
            | Request::WholeScreen
            | Request::Paste
            | Request::Act(_)
            | Request::Choose { .. }
            | Request::HandOver(_)
            | Request::HandOverAll
            | Request::Quit => state.requests.push(request),
        }
    }
}

/// Begins to open a file beside the window. A study, or a new study on the board of an exported picture, comes in place of the open one,
/// which is closed in good order; a photo becomes the reference of the open study, or starts a new one. On an error nothing changes.
fn open(state: &mut State, path: &Path, wake: impl Fn() + Clone + Send + 'static) {
    if state.session.as_ref().is_some_and(|s| same_file(s.path(), path)) {
        state.notices.push(wording::open_here(path));
        return;
    }
    let full = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let target = if state.session.is_some() { Target::OpenStudy } else { Target::NewStudy };
    begin(state, ToOpen::File { path: full, canvas: NewCanvas::default(), target }, wake);
}

/// Begins to make a study.
fn new_study(state: &mut State, new: NewStudy, wake: impl Fn() + Clone + Send + 'static) {
    let what = match new.photo {
        Some(photo) => ToOpen::File { path: photo, canvas: new.canvas, target: Target::NewStudy },
        None => {
            let name = new.canvas.board.as_ref().map(|b| b.name.trim()).filter(|n| !n.is_empty());
            let name = safe_stem(name.unwrap_or(wording::EMPTY_STUDY));
            let folder = state.data_folder.clone().unwrap_or_else(folders::pictures);
            ToOpen::Empty { folder, name, canvas: new.canvas }
        }
    };
    begin(state, what, wake);
}

/// Begins to make a study that paints the open one again without its photo.
fn paint_again(state: &mut State, wake: impl Fn() + Clone + Send + 'static) {
    if !state.settle() {
        return;
    }
    let Some(path) = state.session.as_ref().map(|s| s.path().to_owned()) else { return };
    begin(state, ToOpen::Again { path }, wake);
}

/// Begins to make the demo study among the painter's others.
fn make_demo(state: &mut State, wake: impl Fn() + Clone + Send + 'static) {
    let data = folders::data(state.data_folder.as_deref()).join("demo");
    let folder = state.data_folder.clone().unwrap_or_else(folders::documents);
    begin(state, ToOpen::Demo { data, folder, name: wording::DEMO_STUDY.to_owned() }, wake);
}

fn begin(state: &mut State, what: ToOpen, wake: impl Fn() + Clone + Send + 'static) {
    // A page has one way in for files of the device, for everything of another browser too.
    if cfg!(target_arch = "wasm32")
        && let ToOpen::File { path, .. } = &what
        && all_in_one::is_archive(path)
    {
        keeping::begin(state, Keeping::TakeIn(path.clone()), wake);
        return;
    }
    // What was being opened before is not wanted any more.
    state.opening = None;
    match Opening::start(what, state.engine, wake) {
        Ok(opening) => state.opening = Some(opening),
        Err(error) => state.notices.push(error.to_string()),
    }
}

/// Asks for [`Request::Opened`] once what is being opened is there. Tells whether it is still being opened.
pub fn poll_opening(state: &mut State) -> bool {
    let Some(opening) = &state.opening else { return false };
    let done = match opening.poll() {
        Outcome::Running => return true,
        Outcome::Done(done) => done,
        Outcome::Died => Err(wording::OPENING_STOPPED.to_owned()),
    };
    state.opening = None;
    match done {
        Ok(opened) => {
            state.opened = Some(opened);
            state.requests.push(Request::Opened);
        }
        Err(why) => {
            state.not_opened.push(why.clone());
            state.notices.push(why);
        }
    }
    false
}

/// Goes on with what was opened beside the window.
fn take_opened(state: &mut State) {
    let opened = state.opened.take();
    if opened.is_some() {
        // Something opened after all: what was said of files that did not is over.
        let over = std::mem::take(&mut state.not_opened);
        state.notices.retain(|notice| !over.contains(notice));
    }
    match opened {
        Some(OpenedFile::Session { session, from_picture, .. }) => {
            let path = session.path().to_owned();
            if session.is_read_only() {
                state.notices.push(wording::opened_for_looking(&path));
            }
            let document = session.document();
            // A photo that nothing was made of yet: what comes next is its board.
            let fresh = document.reference.is_some()
                && !document.photo_shut
                && document.board.families.is_empty()
                && session.strokes() == 0;
            enter(state, *session, Some(&path));
            state.notices.extend(from_picture.map(|name| wording::picture_opened(&name)));
            if fresh {
                state.photos_taken += 1;
            }
        }
        Some(OpenedFile::Photo(photo)) => {
            let Some(session) = &mut state.session else { return };
            let done = session.take_decoded(*photo);
            state.notices.extend(std::iter::from_fn(|| session.take_notice()));
            match done {
                Ok(done) => {
                    state.stale.add(&done);
                    state.refresh();
                    state.photos_taken += 1;
                }
                Err(error) => state.refuse(error.to_string()),
            }
            state.drop_ended_trial();
        }
        None => {}
    }
}

/// Makes a session the open one, and closes the one before. `path` goes on the list of recent studies.
pub fn enter(state: &mut State, mut session: Session, path: Option<&Path>) {
    while let Some(notice) = session.take_notice() {
        state.notices.push(notice);
    }
    close(state);
    if let Some(waker) = &state.waker {
        session.wake_with(waker.clone());
    }
    (state.session, state.shown) = (Some(session), false);
    if let Some(brush) = state.brushes.chosen_brush().map(|held| held.named.brush.clone()) {
        state.set_brush(brush);
    }
    if let Some(path) = path
        && let Err((list, why)) = recent::add(state.data_folder.as_deref(), path)
    {
        state.notices.push(wording::recent_not_kept(&list, &why));
    }
    state.refresh();
    state.keep_brush_loaded();
}

/// Gives the open study another engine in the place of one whose device is gone: the one that was wished for, or the CPU's. A board
/// that is tried out goes on to show. Without any engine the study is closed, with all finished strokes in its file.
pub fn replace_engine(state: &mut State, why: &EngineError) {
    let Some(session) = &mut state.session else { return };
    let engine = state.engine;
    let replaced = session.replace_engine(engine).or_else(|_| session.replace_engine(EngineChoice::Cpu));
    state.notices.extend(std::iter::from_fn(|| session.take_notice()));
    match replaced {
        Ok(()) => {
            state.notices.push(wording::engine_replaced(why));
            state.stale = Stale::All;
            if let Some(trial) = state.trial_board.take() {
                state.try_board(Some(&trial));
            }
            state.refresh();
        }
        Err(error) => {
            state.notices.push(error.to_string());
            close(state);
        }
    }
}

/// Closes the open study; it is in its file already. An export of it that is being written goes on.
pub fn close(state: &mut State) {
    if state.waiting_export.is_some() {
        // It was promised. What cannot be read ends the export as well, in words.
        let read = state.session.as_mut().map(|session| session.canvas().read_all());
        match read {
            Some(Err(error)) => {
                state.waiting_export = None;
                state.exported = Some(Err(error.to_string()));
            }
            Some(Ok(())) | None => begin_waiting_export(state),
        }
    }
    state.remember_brush();
    remembered::remember(state);
    state.epoch += 1;
    (state.previous, state.highlighted, state.readout, state.stale) = (None, None, None, Stale::All);
    (state.trial_board, state.last_swatch) = (None, None);
    if let Some(session) = state.session.take()
        && let Err(error) = session.close()
    {
        state.notices.push(error.to_string());
    }
}

/// Starts an export beside the window, of the study as it is now.
fn export(state: &mut State, path: PathBuf, options: ExportOptions, wake: impl FnOnce() + Send + 'static) {
    if !state.settle() {
        return;
    }
    let Some(session) = &mut state.session else { return };
    if same_file(session.path(), &path) {
        state.exported = Some(Err(wording::EXPORT_ON_STUDY.to_owned()));
        return;
    }
    state.exported = None;
    if session.is_reading() {
        state.waiting_export = Some(WaitingExport { target: path, options, wake: Box::new(wake) });
        return;
    }
    let source = ExportSource::of(session).map_err(|error| error.to_string());
    match source.and_then(|s| ExportJob::start(s, path, options, wake).map_err(|error| error.to_string())) {
        Ok(job) => state.export = Some(job),
        Err(error) => state.exported = Some(Err(error)),
    }
}

/// Begins the export that waited for the study to be read.
fn begin_waiting_export(state: &mut State) {
    if let Some(WaitingExport { target, options, wake }) = state.waiting_export.take() {
        export(state, target, options, wake);
    }
}

/// Takes the result of an export that has ended. Tells whether one is still being written.
pub fn poll_export(state: &mut State) -> bool {
    if state.waiting_export.is_some() && state.session.as_ref().is_some_and(Session::is_reading) {
        return true;
    }
    begin_waiting_export(state);
    let Some(job) = &state.export else { return false };
    let done = match job.poll() {
        Outcome::Running => return true,
        Outcome::Done(done) => done,
        Outcome::Died => Err(wording::EXPORT_STOPPED.to_owned()),
    };
    let finished = done.is_ok();
    state.exported = Some(done.map(|()| job.target().to_owned()));
    state.export = None;
    if finished {
        end_first_steps(state);
        if let Some(Ok(path)) = &state.exported {
            hand_over(&mut state.requests, path);
        }
    }
    false
}

/// Asks for a file that was written to be handed over to the painter. A desktop's files lie where the painter wanted them.
pub fn hand_over(requests: &mut Vec<Request>, path: &Path) {
    if cfg!(target_arch = "wasm32") {
        requests.push(Request::HandOver(path.to_owned()));
    }
}

/// The first study left the house, or the painter wants to be left alone: no next step is named any more, in no study.
pub fn end_first_steps(state: &mut State) {
    if let Err(why) = state.settings.set(&FIRST_STEPS, &false) {
        state.notices.push(why);
    }
}

/// Waits until an export that is being written has ended: the painter was promised a picture.
pub fn finish_export(state: &mut State) {
    let Some(job) = state.export.take() else { return };
    let target = job.target().to_owned();
    let done = job.wait().unwrap_or_else(|| Err(wording::EXPORT_STOPPED.to_owned()));
    if let Err(why) = &done {
        state.notices.push(why.clone());
    }
    state.exported = Some(done.map(|()| target));
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::session::{ExportOptions, export_png};
    use std::path::PathBuf;
    use stint_model::board::{Board, LightOfDay};
    use stint_render::choose::EngineChoice;

    fn demo_photo() -> PathBuf {
        PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"))
    }

    fn state() -> State {
        State { engine: EngineChoice::Cpu, ..State::default() }
    }

    /// Opens a file and waits for it; why it cannot be opened.
    fn open(state: &mut State, path: &Path) -> Result<(), String> {
        super::open(state, path, || {});
        let Some(opening) = state.opening.take() else { return Ok(()) };
        let opened = opening.wait().unwrap()?;
        state.opened = Some(opened);
        take_opened(state);
        Ok(())
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
        assert!(s.readout.is_some() && s.stale == crate::ui::stale::Stale::All);
        let study = session.path().to_owned();
        // Opening what is open changes nothing, and a photo becomes the reference of what is open.
        open(&mut s, &study).unwrap();
        open(&mut s, &photo).unwrap();
        assert_eq!(s.session.as_ref().unwrap().path(), study);
        assert_eq!(s.session.as_ref().unwrap().depths(), (2, 0));
        // With nothing open it makes a second study.
        close(&mut s);
        open(&mut s, &photo).unwrap();
        assert_eq!(s.session.as_ref().unwrap().path().file_name().unwrap(), "depot 2.stint");
        open(&mut s, &study).unwrap();
        assert_eq!(s.session.as_ref().unwrap().path(), study);
        // A second window on the same study is refused with the reason, and the first goes on.
        let mut other = state();
        let error = open(&mut other, &study).unwrap_err();
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
            EngineChoice::Cpu,
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
        let session = s.session.as_ref().unwrap();
        assert_eq!(session.document().board, board);
        assert_eq!((session.document().width, session.document().height), (300, 200));
        // The picture is there to be looked at, and one sentence says so.
        assert_eq!(session.document().reference.as_ref().unwrap().name, "sky.png");
        assert_eq!(s.notices, [wording::picture_opened("sky.png")]);
        let session = s.session.as_mut().unwrap();
        let (photo, _) = session.reference().unwrap();
        assert_eq!((photo.width_px(), photo.height_px()), (300, 200));
        assert!(session.loaded().is_some(), "the first swatch is on the brush");
    }

    /// Closing the study and ending the program both let an export come to its end, also one that waits for the study to be read.
    #[test]
    fn an_export_is_written_to_its_end_whatever_is_closed_meanwhile() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let board = Board::new("b", LightOfDay::Cool);
        let mut session = Session::create(&at("depot.stint"), (900, 700), board, EngineChoice::Cpu).unwrap();
        for text in [
            "AddSwatch(family: \"Sky\", role: Local, colour: \"#5b6f8f\")",
            "Load(Swatch(family: \"Sky\", role: Local))",
            "Mass(outline: [(50.0, 20.0), (800.0, 300.0), (90.0, 650.0)])",
        ] {
            session.apply(&ron::from_str(text).unwrap()).unwrap();
        }
        export_png(&mut session, &at("plain.png"), &ExportOptions::default(), &mut |_| {}).unwrap();
        session.close().unwrap();
        let plain = std::fs::read(at("plain.png")).unwrap();
        for (name, read_first) in [("waiting.png", false), ("begun.png", true)] {
            let mut s = state();
            open(&mut s, &at("depot.stint")).unwrap();
            if read_first {
                s.session.as_mut().unwrap().canvas().read_all().unwrap();
            }
            export(&mut s, at(name), ExportOptions::default(), || {});
            assert_eq!((s.waiting_export.is_some(), s.export.is_some()), (!read_first, read_first));
            close(&mut s);
            assert!(s.session.is_none() && s.waiting_export.is_none() && s.export.is_some());
            finish_export(&mut s);
            assert_eq!((s.exported, s.notices), (Some(Ok(at(name))), Vec::new()));
            assert!(std::fs::read(at(name)).unwrap() == plain, "{name}");
        }
    }

    #[test]
    fn what_is_nothing_of_ours_leaves_the_open_study_alone() {
        let folder = tempfile::tempdir().unwrap();
        let mut s = state();
        s.session = Some(Session::in_memory((10, 10), Board::default(), EngineChoice::Cpu).unwrap());
        for (name, bytes) in
            [("notes.txt", &b"hello"[..]), ("empty.stint", b""), ("half.png", b"\x89PNG\r\n\x1a\n\0\0")]
        {
            let path = folder.path().join(name);
            std::fs::write(&path, bytes).unwrap();
            let error = open(&mut s, &path).unwrap_err();
            assert!(error.contains(name), "{error}");
        }
        assert!(open(&mut s, &folder.path().join("none.jpg")).is_err());
        assert!(s.session.is_some());
        assert!(!folder.path().join("notes.stint").exists());
    }
}
