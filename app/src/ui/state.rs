//! What the window knows beside the study: tool, look, notices. Panels and tools change it; the window loop reads it.

use crate::files::settings::{self, Setting, Settings};
use crate::study::command::{Command, FILL_GAP_PX, FILL_TOLERANCE, SwatchRef};
use crate::study::export_job::{ExportJob, WaitingExport};
use crate::study::keeping::{Keeping, KeepingJob};
use crate::study::open_job::{OpenedFile, Opening};
use crate::study::session::Waker;
use crate::study::session::{Loaded, Session, SessionError};
use crate::ui::brushes::Brushes;
use crate::ui::comparing::Comparing;
use crate::ui::display::DisplayColours;
use crate::ui::file_dialog::SystemDialog;
use crate::ui::keys::Keys;
use crate::ui::looks::{Guides, Look, Surround};
use crate::ui::pen_pressure::PenPressure;
use crate::ui::preferences::Preferences;
use crate::ui::request::Request;
use crate::ui::stale::Stale;
use crate::ui::tool_kind::ToolKind;
use crate::ui::wording;
use std::path::PathBuf;
use stint_model::board::{Board, Role};
use stint_model::disk::{self, Mirrored};
use stint_model::ids::SwatchId;
use stint_model::readout::Readout;
use stint_model::study::protected::Side;
use stint_model::study::travel::Direction;
use stint_render::choose::EngineChoice;
use stint_render::mask::brush::Brush;

/// How the fill tool finds an area.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct FillSettings {
    /// How far a colour may lie from the one under the pointer and still belong to the area, deltaEOK, 0 to 1.
    pub tolerance: f32,
    /// Gaps in the boundary up to this width are closed, canvas pixels.
    pub gap_px: u32,
}

impl Default for FillSettings {
    fn default() -> Self {
        FillSettings { tolerance: FILL_TOLERANCE, gap_px: FILL_GAP_PX }
    }
}

/// The state of the window.
#[derive(Default)]
pub struct State {
    /// The open study; none on the start page.
    pub session: Option<Session>,
    /// What the pointer does.
    pub tool: ToolKind,
    /// How the fill tool finds an area.
    pub fill: FillSettings,
    /// The side of the next protected area that can be painted.
    pub next_paintable: Side,
    /// Whether the edges of masses are painted with the brush in hand.
    pub loose_edge: bool,
    /// The brushes at hand.
    pub brushes: Brushes,
    /// How the study is looked at.
    pub look: Look,
    /// Left and right exchanged.
    pub mirror: bool,
    /// Whether a finger was seen: somebody paints on the screen itself, away from the keys.
    pub hands_on: bool,
    /// Lines over canvas and photo.
    pub guides: Guides,
    /// Window pixels that a canvas pixel has on screen; 0 while there is no canvas.
    pub zoom: f64,
    /// What lies around the canvas.
    pub surround: Surround,
    /// The swatch whose paint stands out, while the pointer is over it.
    pub highlighted: Option<SwatchId>,
    /// The swatches that a remark under the pointer is about: ringed in the tray, and their paint stands out.
    pub remarked: Vec<SwatchId>,
    /// The swatch that was on the brush last.
    pub last_swatch: Option<SwatchId>,
    /// The swatch loaded before the present one.
    pub previous: Option<SwatchId>,
    /// Tiles to be shown anew.
    pub stale: Stale,
    /// The readout as of the last change.
    pub readout: Option<Readout>,
    /// Sentences for the painter, newest last.
    pub notices: Vec<String>,
    /// Those of them that tell why a file was not opened.
    pub not_opened: Vec<String>,
    /// For the window loop.
    pub requests: Vec<Request>,
    /// The file that [`Request::Choose`] asked for, until a panel takes it.
    pub arrived: Option<std::path::PathBuf>,
    /// Whether the painter was told that the browser keeps nothing any more.
    pub told_of_browser: bool,
    /// Which engine new and opened studies use.
    pub engine: EngineChoice,
    /// The board that is being tried out on the painting.
    pub trial_board: Option<Board>,
    /// Whether the canvas on screen has yet to catch up with what the study shows.
    pub catching_up: bool,
    /// Counts up whenever another study is opened, or one is closed: what was remembered of a study holds for one number.
    pub epoch: u64,
    /// Where recent studies, kept boards and the like lie; the user's data folder when `None`.
    pub data_folder: Option<PathBuf>,
    /// Has the window draw a frame soon, from any thread: a change of the study could not be kept.
    pub waker: Option<Waker>,
    /// The export that is being written.
    pub export: Option<ExportJob>,
    /// Whether a frame of the open study was shown: then the rest of it is read.
    pub shown: bool,
    /// An export that is written as soon as all of the study was read.
    pub waiting_export: Option<WaitingExport>,
    /// What is being done with a study's file beside the window.
    pub keeping: Option<KeepingJob>,
    /// Counts up whenever studies came, went or moved.
    pub studies_changed: u64,
    /// A study that is not where it was and was not found.
    pub lost_study: Option<PathBuf>,
    /// What is being opened beside the window.
    pub opening: Option<Opening>,
    /// What was opened beside the window, until [`Request::Opened`] is done.
    pub opened: Option<OpenedFile>,
    /// Counts up whenever a photo came in: the panels show it large then.
    pub photos_taken: u64,
    /// The system's own dialog for files, where there may be one.
    pub system_dialog: Option<SystemDialog>,
    /// What the painter set once and for all.
    pub settings: Settings,
    /// How hard the hand presses.
    pub pen: PenPressure,
    /// What of it the window goes by in every frame.
    pub preferences: Preferences,
    /// How much of the size of panels and words there is room for in the window, percent; none where nobody has looked.
    pub size_held_percent: Option<u32>,
    /// What the system tells of the display's colours.
    pub display: DisplayColours,
    /// Which key does what.
    pub keys: Keys,
    /// The newest refusal among the notices; what is done next cures it.
    pub refusal: Option<String>,
    /// The painting held against its photo.
    pub comparing: Comparing,
    /// How the last export ended, until it was told: the picture, or why there is none.
    pub exported: Option<Result<PathBuf, String>>,
}

impl State {
    /// Applies a command to the open study, if there is one.
    ///
    /// # Errors
    /// When the study refuses it.
    pub fn change(&mut self, command: &Command) -> Result<(), SessionError> {
        if let Some(session) = &mut self.session {
            let done = session.submit(command);
            self.notices.extend(std::iter::from_fn(|| session.take_notice()));
            self.drop_ended_trial();
            if let Err(error @ SessionError::TakenBack { .. }) = done {
                self.stale = Stale::All;
                self.refresh();
                return Err(error);
            }
            self.stale.add(&done?);
            self.refresh();
            self.keep_brush_loaded();
        }
        Ok(())
    }

    /// Keeps a setting; what nobody ever changed is not written. Why it cannot be kept becomes a notice.
    pub fn keep_setting<T>(&mut self, setting: &Setting<T>, now: T, usual: T)
    where
        T: serde::Serialize + serde::de::DeserializeOwned + PartialEq,
    {
        if now == usual && self.settings.get(setting).is_none() {
            return;
        }
        if let Err(why) = self.settings.set(setting, &now)
            && !self.notices.contains(&why)
        {
            self.notices.push(why);
        }
    }

    /// Remembers the swatch on the brush; loads it again when the brush was emptied, as by shutting free colour, and the first local when
    /// nothing was loaded before.
    pub fn keep_brush_loaded(&mut self) {
        let Some(session) = &mut self.session else { return };
        match session.loaded() {
            Some(Loaded::Swatch(id)) => self.last_swatch = Some(id),
            Some(_) => {}
            None => {
                let board = &session.document().board;
                let last = self.last_swatch.filter(|id| board.swatch(*id).is_some());
                let local =
                    || board.swatches().find(|(_, s)| s.role == Role::Local).or_else(|| board.swatches().next());
                if let Some(id) = last.or_else(|| local().map(|(_, s)| s.id)) {
                    // What cannot be loaded leaves the brush as it was: empty.
                    let _ = session.apply(&Command::Load(SwatchRef::Id(id)));
                    self.last_swatch = Some(id);
                }
            }
        }
    }

    /// Applies a command; a refusal becomes a notice. Tells whether it was done.
    pub fn apply(&mut self, command: &Command) -> bool {
        match self.change(command) {
            Ok(()) => {
                self.cure_refusal();
                self.session.is_some()
            }
            Err(error) => {
                self.refuse(error.to_string());
                false
            }
        }
    }

    /// Takes note of strokes whose pixels are here now, and of changes that could not be kept after all and were taken back. Never
    /// waits.
    pub fn follow_recording(&mut self) {
        let Some(session) = &mut self.session else { return };
        let lifting = session.is_lifting();
        let polled = session.poll();
        self.follow_answers();
        let Some(session) = &mut self.session else { return };
        match polled {
            Ok(()) if lifting && !session.is_lifting() => self.refresh(),
            Ok(()) => {}
            Err(error) => self.taken_back(&error),
        }
        self.follow_pick();
        self.follow_reading();
        if let Some(Mirrored::Failed(why)) = self.session.as_ref().map(Session::mirrored)
            && !std::mem::replace(&mut self.told_of_browser, true)
        {
            self.notices.push(wording::browser_keeps_nothing(&why));
        }
    }

    /// Begins a step back or on, beside the window; a refusal becomes a notice.
    pub fn step(&mut self, direction: Direction) {
        let Some(session) = &mut self.session else { return };
        let begun = session.begin_travel(direction);
        self.notices.extend(std::iter::from_fn(|| session.take_notice()));
        self.drop_ended_trial();
        match begun {
            Ok(()) => self.follow_answers(),
            Err(error) => self.told(error),
        }
    }

    /// Shows what was begun and is done now: areas filled, steps back and on. Why one could not be done becomes a notice.
    pub(super) fn follow_answers(&mut self) {
        while let Some(answered) = self.session.as_mut().and_then(Session::take_answered) {
            self.drop_ended_trial();
            match answered {
                Ok(done) => {
                    self.stale.add(&done);
                    self.cure_refusal();
                }
                Err(error) => self.told(error),
            }
            self.refresh();
            self.keep_brush_loaded();
        }
    }

    /// What was done cures a refusal before it.
    fn cure_refusal(&mut self) {
        if let Some(refusal) = self.refusal.take() {
            self.notices.retain(|notice| *notice != refusal);
        }
    }

    /// Picks up the paint at a canvas pixel, column and row; a refusal becomes a notice.
    pub fn pick_up(&mut self, at: (u32, u32)) {
        match self.session.as_mut().map(|session| session.pick_up(at)) {
            Some(Err(error)) => self.refuse(error.to_string()),
            Some(Ok(())) | None => self.follow_pick(),
        }
    }

    /// Notes that what was picked up is on the brush, once it is.
    fn follow_pick(&mut self) {
        match self.session.as_mut().map(Session::follow_pick) {
            Some(Ok(true)) => {
                self.cure_refusal();
                self.keep_brush_loaded();
            }
            Some(Err(error)) => self.refuse(error.to_string()),
            Some(Ok(false)) | None => {}
        }
    }

    /// Takes what was read of the study beside the window, so that it shows. A study that cannot be read to its end is closed.
    fn follow_reading(&mut self) {
        if !self.shown {
            return;
        }
        let Some(session) = self.session.as_mut().filter(|session| session.is_reading()) else { return };
        match session.follow_reading() {
            Ok(here) if here.is_empty() => {}
            Ok(here) => {
                self.stale.add_tiles(here);
                self.refresh();
            }
            Err(error) => {
                self.notices.push(error.to_string());
                self.requests.push(Request::CloseStudy);
            }
        }
    }

    /// Waits until everything so far is in the study file. Tells whether it is; why not becomes a notice.
    pub fn settle(&mut self) -> bool {
        let settled = self.session.as_mut().map(Session::settle);
        self.follow_answers();
        match settled {
            Some(Err(error)) => {
                self.taken_back(&error);
                false
            }
            Some(Ok(())) | None => true,
        }
    }

    /// Has the open study looked for when it is not where it was any more: nothing can be kept until it is found.
    pub fn look_for_study(&mut self) {
        let Some(session) = &self.session else { return };
        let was = session.path().to_owned();
        if self.keeping.is_none() && disk::is_absolute(&was) && !disk::is_file(&was) {
            let also = self.settings.get(&settings::LAST_FOLDER).into_iter().collect();
            self.requests.push(Request::Keep(Keeping::Find { was, also }));
        }
    }

    fn taken_back(&mut self, error: &SessionError) {
        self.notices.push(error.to_string());
        self.look_for_study();
        self.drop_ended_trial();
        self.stale = Stale::All;
        self.refresh();
    }

    /// Tells the painter that something cannot be done; once, however often it is asked for, and until something else is done.
    pub fn refuse(&mut self, why: String) {
        if self.notices.last() != Some(&why) {
            self.notices.push(why.clone());
        }
        self.refusal = Some(why);
    }

    /// Shows the painting under another board, or under its own again; nothing is recorded.
    pub fn try_board(&mut self, board: Option<&Board>) {
        let Some(session) = &mut self.session else { return };
        if self.trial_board.as_ref() == board {
            return;
        }
        let shown = match board {
            Some(board) => session.preview(board),
            None => {
                session.end_preview();
                Ok(())
            }
        };
        match shown {
            Ok(()) => self.trial_board = board.cloned(),
            Err(error) => self.notices.push(error.to_string()),
        }
        self.stale = Stale::All;
    }

    /// Forgets the board that was tried out once the study no longer shows it: every change and every stroke ends a preview.
    pub fn drop_ended_trial(&mut self) {
        if self.trial_board.is_some() && !self.session.as_ref().is_some_and(Session::is_previewing) {
            self.trial_board = None;
            self.stale = Stale::All;
        }
    }

    /// The board whose colours the painting shows: the one that is tried out, or the study's own.
    pub fn shown_board(&self) -> Option<&Board> {
        self.trial_board.as_ref().or_else(|| Some(&self.session.as_ref()?.document().board))
    }

    /// Takes the brush up again where paint was loaded while the scraper was in hand: whoever loads some wants to lay it.
    pub fn leave_scraper(&mut self) {
        if self.tool == ToolKind::Scrape {
            self.tool = ToolKind::Brush;
        }
    }

    /// The loaded swatch; none while the brush is empty or holds a mixture or a free colour.
    pub fn loaded_swatch(&self) -> Option<SwatchId> {
        match self.session.as_ref()?.loaded()? {
            Loaded::Swatch(id) => Some(id),
            Loaded::Free(_) | Loaded::Mixture | Loaded::Well => None,
        }
    }

    /// Works parts of the loaded swatch into the well, or takes some out; a refusal becomes a notice.
    pub fn stir(&mut self, parts: i32) {
        if let Some(id) = self.loaded_swatch() {
            self.apply(&Command::Stir { swatch: SwatchRef::Id(id), parts });
        }
    }

    /// Loads the mixture in the well; a refusal becomes a notice.
    pub fn load_well(&mut self) {
        if self.apply(&Command::LoadWell) {
            self.leave_scraper();
        }
    }

    /// Loads a swatch and remembers the one before it.
    pub fn load(&mut self, swatch: SwatchId) -> bool {
        let before = self.session.as_ref().and_then(Session::loaded);
        let done = self.apply(&Command::Load(SwatchRef::Id(swatch)));
        if done {
            self.leave_scraper();
        }
        if done
            && let Some(Loaded::Swatch(before)) = before
            && before != swatch
        {
            self.previous = Some(before);
        }
        done
    }

    /// Sets the brush: no change of the study, so nothing is read anew. A refusal becomes a notice.
    pub fn set_brush(&mut self, brush: Brush) {
        if let Some(session) = &mut self.session
            && let Err(error) = session.submit(&Command::Brush(brush))
        {
            self.notices.push(error.to_string());
        }
    }

    /// Takes up the brush at this place to work with it; a place without one changes nothing.
    pub fn take_up_brush(&mut self, index: usize) {
        if index >= self.brushes.all().len() {
            return;
        }
        self.choose_brush(index);
        // Who takes up a brush wants to paint with it; soften and scrape go on with the new one.
        if matches!(self.tool, ToolKind::Mass | ToolKind::Fill | ToolKind::Protect) && !self.is_moving() {
            self.tool = ToolKind::Brush;
        }
    }

    /// Takes up a brush at hand, as it was last set.
    pub fn choose_brush(&mut self, index: usize) {
        self.remember_brush();
        if let Some(brush) = self.brushes.choose(index) {
            self.set_brush(brush);
        }
        let name = self.brushes.chosen_brush().map(|held| held.named.name.clone());
        if let Some(Err(why)) = name.map(|name| self.settings.set(&settings::BRUSH, &name)) {
            self.notices.push(why);
        }
    }

    /// Remembers how the brush that is held is set, and the sizes of all beyond the end of the program.
    pub fn remember_brush(&mut self) {
        let Some(session) = &self.session else { return };
        self.brushes.remember(session.brush());
        if let Err(why) = self.settings.set(&settings::BRUSH_SIZES, &self.brushes.sizes_px()) {
            self.notices.push(why);
        }
    }

    /// Finds the painter's own brushes, and takes up the one that was held last.
    pub fn gather_brushes(&mut self) {
        let broken = self.brushes.take_own(self.data_folder.as_deref());
        self.notices.extend(broken);
        self.brushes.set_sizes(&self.settings.get(&settings::BRUSH_SIZES).unwrap_or_default());
        if let Some(name) = self.settings.get(&settings::BRUSH) {
            self.brushes.choose_named(&name);
        }
    }

    /// Reads the readout anew; counts only what changed. While a stroke is on its way from the engine the readout stays as it is, until
    /// [`State::follow_recording`].
    pub fn refresh(&mut self) {
        if let Some(session) = &mut self.session {
            self.notices.extend(std::iter::from_fn(|| session.take_notice()));
            if session.is_lifting() {
                return;
            }
            match session.readout() {
                Ok(readout) => self.readout = Some(readout),
                Err(error) => self.notices.push(error.to_string()),
            }
        }
    }
}
