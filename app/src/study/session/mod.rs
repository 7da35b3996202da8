//! The session: one study, its canvas, the brush in hand. It knows no window.
//!
//! Every change goes through [`Session::apply`] or [`Session::submit`]. Both show it; `apply` waits until it is in the study file,
//! `submit` leaves that to a queue. A change that cannot be kept is taken back, with all later ones.

mod apply;
mod board;
mod boards;
mod compare;
mod crop_canvas;
mod engine;
mod error;
mod export;
mod filling;
mod free;
mod from_memory;
mod lifting;
mod moving;
mod paint;
mod passes;
mod picks;
mod preview;
mod protection;
mod reading;
mod recorder;
mod reference;
mod steps;
mod stroke;
mod surfaces;
mod thumbnail;
mod travelling;
mod work_time;

pub use compare::{ComparisonResult, ComparisonSource, Kept, LaidPhoto};
pub use engine::{remember_engines_in, share_device};
pub use error::SessionError;
pub use export::{ExportOptions, ExportSource, export_png};
pub use free::{FREE_AIM, FREE_PASS};
pub use moving::Moving;
pub use recorder::Waker;
pub use reference::DecodedPhoto;
pub use stroke::StrokeTool;
pub use work_time::{PAUSE, STINTS_MIN};

use engine::{Chosen, choose};
use recorder::Recorder;
use std::collections::{BTreeSet, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, PassId, SwatchId};
use stint_model::photo::Photo;
use stint_model::readout::{Amounts, FreeColourNote, Readout};
use stint_model::study::Document;
use stint_model::study::file::{ShareRow, Shares, StudyFile};
use stint_model::study::tile::{MAX_PLANES, TilePos};
use stint_render::canvas::{BrushLoad, Canvas};
use stint_render::choose::EngineChoice;
use stint_render::engine::answer::Answer;
use stint_render::engine::{Engine, EngineInfo};
use stint_render::mask::CanvasSize;
use stint_render::mask::brush::Brush;
use stint_render::paints::PaintLut;

/// What the brush is loaded with.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Loaded {
    /// A swatch of the board.
    Swatch(SwatchId),
    /// A free colour.
    Free(Colour),
    /// Several paints, picked from the canvas: [`Session::mixture`].
    Mixture,
    /// The mixture in the well, as it is when the brush comes down.
    Well,
}

/// What a command did.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Done {
    /// Number of strokes at the head, when this was one.
    pub stroke: Option<u64>,
    /// Tiles that look different now; everything may when the document changed.
    pub tiles: BTreeSet<TilePos>,
    /// Whether the document (board, passes, paints …) changed.
    pub document: bool,
    /// Name of the step that was undone or redone.
    pub moved: Option<String>,
}

/// One open study.
pub struct Session {
    recorder: Recorder,
    document: Document,
    /// The pass that was painted on at the last step. Choosing another is no step: the next one records it.
    recorded_pass: PassId,
    canvas: Canvas,
    brush: Brush,
    /// How much the hand is steadied instead of by what the brush says, 0-1.
    steadying: Option<f32>,
    loaded: Option<Loaded>,
    mixture: Option<BrushLoad>,
    /// What shows where paint was picked, until the engine answers.
    picking: Option<Answer<Vec<(PaintId, u32)>>>,
    /// Where relative paths start.
    folder: PathBuf,
    /// The decoded reference, with the key of its bytes.
    photo: Option<(i64, Arc<Photo>)>,
    surfaces: surfaces::Surfaces,
    active_stroke: Option<stroke::ActiveStroke>,
    active_move: Option<moving::ActiveMove>,
    filling: Option<filling::Filling>,
    /// Steps back and on that are on their way, oldest first.
    travels: VecDeque<travelling::Travel>,
    /// What has become of what was begun and done beside the window, until somebody asks.
    answered: VecDeque<Result<Done, SessionError>>,
    protection: protection::ProtectionState,
    /// Strokes that have ended and whose pixels are on their way from the engine, oldest first.
    lifted: VecDeque<lifting::LiftedStep>,
    /// What a person should know, oldest first.
    notices: VecDeque<String>,
    /// Whether the canvas shows a board that is only tried out.
    previewing: bool,
    /// Steps recorded, undone and redone since the study was opened.
    changes: u64,
    read_only: bool,
    work: work_time::WorkClock,
    /// Called when something is there to be taken.
    waker: Option<Waker>,
    /// Tiles that are being read beside the window.
    reading: Option<reading::ReadingJob>,
}

/// When the tiles of a study are read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reading {
    /// Before anything is done with it: whatever is damaged is told at once.
    Now,
    /// When they are needed, and beside the window in the meantime: [`Session::follow_reading`].
    AsNeeded,
}

impl Session {
    /// A new study in a new file, its board empty.
    ///
    /// # Errors
    /// When the canvas size is out of range, the file exists or cannot be written, or the chosen engine is not there.
    pub fn create(
        path: &Path,
        (width, height): (u32, u32),
        board: Board,
        choice: EngineChoice,
    ) -> Result<Self, SessionError> {
        let document = Document::new(width, height, board)?;
        // The engine first: without one there shall be no file either.
        let chosen = choose(choice)?;
        Session::start(StudyFile::create(path, &document)?, chosen, Reading::Now)
    }

    /// A new study that lives in memory only.
    ///
    /// # Errors
    /// As [`Session::create`].
    pub fn in_memory((width, height): (u32, u32), board: Board, choice: EngineChoice) -> Result<Self, SessionError> {
        let document = Document::new(width, height, board)?;
        Session::start(StudyFile::in_memory(&document)?, choose(choice)?, Reading::Now)
    }

    /// Opens a study for painting.
    ///
    /// # Errors
    /// When the file is no sound study, is open elsewhere, or cannot be written.
    pub fn open(path: &Path, choice: EngineChoice) -> Result<Self, SessionError> {
        Session::open_reading(path, choice, Reading::Now)
    }

    /// As [`Session::open`]; says when tiles are read.
    ///
    /// # Errors
    /// As for [`Session::open`].
    pub fn open_reading(path: &Path, choice: EngineChoice, reading: Reading) -> Result<Self, SessionError> {
        Session::start(StudyFile::open(path)?, choose(choice)?, reading)
    }

    /// Opens a study for looking at it: readout and export work, changes are refused.
    ///
    /// # Errors
    /// When the file is no sound study.
    pub fn open_read_only(path: &Path, choice: EngineChoice) -> Result<Self, SessionError> {
        Session::open_read_only_reading(path, choice, Reading::Now)
    }

    /// As [`Session::open_read_only`]; says when tiles are read.
    ///
    /// # Errors
    /// As for [`Session::open_read_only`].
    pub fn open_read_only_reading(path: &Path, choice: EngineChoice, reading: Reading) -> Result<Self, SessionError> {
        let mut session = Session::start(StudyFile::open_read_only(path)?, choose(choice)?, reading)?;
        session.read_only = true;
        Ok(session)
    }

    fn start(file: StudyFile, (engine, notice): Chosen, reading: Reading) -> Result<Self, SessionError> {
        let mut session = Session::begin(file, engine, reading)?;
        session.notices.extend(notice);
        Ok(session)
    }

    /// A session on an open study file, with an engine of the caller's.
    ///
    /// # Errors
    /// When the file cannot be read or the engine fails.
    pub fn with_engine(file: StudyFile, engine: Box<dyn Engine>) -> Result<Self, SessionError> {
        Session::begin(file, engine, Reading::Now)
    }

    fn begin(file: StudyFile, engine: Box<dyn Engine>, reading: Reading) -> Result<Self, SessionError> {
        let upgraded = file.copy_before_upgrade().map(|copy| {
            let name = copy.file_name().unwrap_or(copy.as_os_str()).to_string_lossy();
            format!("this study was of an older format and is brought up to date; beside it lies a copy of it as it was, {name}")
        });
        let document = file.document().clone();
        let canvas = empty_canvas(&document, engine)?;
        let work = work_time::WorkClock::new(file.worked_s());
        let mut session = Session {
            recorder: Recorder::start(file)?,
            recorded_pass: document.active_pass,
            document,
            canvas,
            brush: Brush::default(),
            steadying: None,
            loaded: None,
            mixture: None,
            picking: None,
            folder: PathBuf::from("."),
            photo: None,
            surfaces: surfaces::Surfaces::default(),
            active_stroke: None,
            active_move: None,
            filling: None,
            travels: VecDeque::new(),
            answered: VecDeque::new(),
            protection: protection::ProtectionState::default(),
            lifted: VecDeque::new(),
            notices: upgraded.into_iter().collect(),
            previewing: false,
            changes: 0,
            read_only: false,
            work,
            waker: None,
            reading: None,
        };
        session.expect_tiles()?;
        match reading {
            Reading::Now => session.canvas.read_all()?,
            Reading::AsNeeded => {}
        }
        Ok(session)
    }

    /// Does all work with another engine from now on, say because the device of the one before was lost. The study is as its file
    /// has it: a stroke in the making is gone, and a board that was tried out shows no more. Everything else stays, the load of the
    /// brush too.
    ///
    /// # Errors
    /// When the engine cannot be had, or the study file cannot be read; the engine is then the one before.
    pub fn replace_engine(&mut self, choice: EngineChoice) -> Result<(), SessionError> {
        let (engine, notice) = choose(choice)?;
        // Steps that are on their way to the file are waited for; those that fail are gone, and said.
        if let Err(error) = self.settle() {
            self.notices.push_back(error.to_string());
        }
        let mut before = std::mem::replace(&mut self.canvas, empty_canvas(&self.document, engine)?);
        let was_reading = before.is_reading();
        let read = self.expect_tiles();
        let read = if was_reading { read } else { read.and_then(|()| Ok(self.canvas.read_all()?)) };
        if let Err(error) = read {
            std::mem::swap(&mut self.canvas, &mut before);
            return Err(error);
        }
        (self.active_stroke, self.active_move, self.filling, self.previewing) = (None, None, None, false);
        self.picking = None;
        self.notices.extend(notice);
        Ok(())
    }

    /// Sets where relative paths of photos start.
    pub fn set_folder(&mut self, folder: &Path) {
        self.folder = folder.to_owned();
    }

    /// The study without its tiles.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// Where the study lies.
    pub fn path(&self) -> &Path {
        self.recorder.path()
    }

    /// Whether the study was opened for looking at it alone: every change is refused.
    pub fn is_read_only(&self) -> bool {
        self.read_only
    }

    /// The brush in hand.
    pub fn brush(&self) -> &Brush {
        &self.brush
    }

    /// What the brush is loaded with.
    pub fn loaded(&self) -> Option<Loaded> {
        self.loaded
    }

    /// The mixture that was picked last.
    pub fn mixture(&self) -> Option<&BrushLoad> {
        self.mixture.as_ref()
    }

    /// The engine at work.
    pub fn engine(&self) -> EngineInfo {
        self.canvas.engine()
    }

    /// A sentence for the user, about the choice of engine or about a photo that was taken in: the oldest that was not taken yet.
    pub fn take_notice(&mut self) -> Option<String> {
        self.notices.pop_front()
    }

    /// The canvas, for showing it.
    pub fn canvas(&mut self) -> &mut Canvas {
        &mut self.canvas
    }

    /// Strokes at the head.
    pub fn strokes(&self) -> u64 {
        self.recorder.position().strokes + self.lifted.len() as u64
    }

    /// Counts up with every change of the study, undo and redo included: what was worked out for one number holds until the next.
    pub fn changes(&self) -> u64 {
        self.changes
    }

    /// How many steps can be undone and redone.
    pub fn depths(&self) -> (u64, u64) {
        let position = self.recorder.position();
        let depths = match self.lifted.len() as u64 {
            0 => (position.undo_depth, position.redo_depth),
            lifted => (position.undo_depth + lifted, 0),
        };
        self.travelled(depths)
    }

    /// The readout after each step up to the last. The file is read the first time.
    ///
    /// # Errors
    /// When the study file cannot be read, or a step before could not be kept.
    pub fn shares(&mut self) -> Result<&[ShareRow], SessionError> {
        if self.recorder.must_read_shares() {
            self.settle()?;
        }
        self.recorder.shares()
    }

    /// The steps of the study, for tests of what was recorded.
    #[cfg(test)]
    pub(crate) fn steps(&self) -> Vec<stint_model::study::file::StepRow> {
        self.recorder.call(|file| file.steps()).unwrap_or_default()
    }

    /// The readout now; waits for strokes that have ended ([`Session::is_lifting`]). Board, free and bare are exact from the start; by
    /// swatch it is what was counted so far ([`Session::counted_share`]).
    ///
    /// # Errors
    /// When the engine fails.
    pub fn readout(&mut self) -> Result<Readout, SessionError> {
        self.settle_lifts()?;
        let note = FreeColourNote { open: self.document.free_open, opened: self.recorder.opened().to_vec() };
        readout_of(&mut self.canvas, &self.document, note)
    }

    /// The paints at one canvas pixel with their shares of that pixel, strongest first; the rest is ground.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn paints_at(&mut self, x: u32, y: u32) -> Result<Vec<(PaintId, f32)>, SessionError> {
        let found = self.canvas.paints_at(x, y)?;
        Ok(found.into_iter().map(|(id, amount)| (id, amount as f32 / 65535.0)).collect())
    }

    /// Brings the canvas in line with a document that is about to become the session's.
    fn show(&mut self, document: &Document) {
        self.canvas.set_size(canvas_size(document));
        self.canvas.set_passes(&document.passes);
        self.canvas.set_paints(lut(document));
    }
}

/// The shares of a document on a canvas as it was last counted.
fn shares_of(canvas: &Canvas, document: &Document) -> Shares {
    Shares::from(&readout_from(canvas, document, FreeColourNote::default()))
}

/// The canvas of a study on an engine, still without its tiles.
fn empty_canvas(document: &Document, engine: Box<dyn Engine>) -> Result<Canvas, SessionError> {
    Ok(Canvas::new(canvas_size(document), engine, lut(document), &document.passes)?)
}

fn canvas_size(document: &Document) -> CanvasSize {
    CanvasSize { width: document.width, height: document.height }
}

/// The engine's paint table for a document.
fn lut(document: &Document) -> PaintLut {
    PaintLut::new(&document.paints, document.ground.colour, document.mixing)
}

fn readout_of(canvas: &mut Canvas, document: &Document, note: FreeColourNote) -> Result<Readout, SessionError> {
    canvas.count()?;
    Ok(readout_from(canvas, document, note))
}

/// The readout of a canvas as it was last counted.
fn readout_from(canvas: &Canvas, document: &Document, note: FreeColourNote) -> Readout {
    // As many paints as a pixel has room for displace none.
    let in_full_pixels = if document.paints.len() > MAX_PLANES { canvas.in_full_pixels() } else { 0 };
    let amounts = Amounts { tally: canvas.counted(), in_full_pixels, uncounted: canvas.uncounted_amounts() };
    Readout::new(document.width, document.height, amounts, &document.board, &document.paints, note)
}
