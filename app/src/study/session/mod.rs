//! The session: one study, its canvas, the brush in hand. It knows no window.
//!
//! Every change goes through [`Session::apply`]. A change is recorded in the study file, in one transaction, before the
//! call returns; if that fails the study and the canvas are as they were before.

mod apply;
mod board;
mod boards;
mod engine;
mod error;
mod export;
mod free;
mod live;
mod paint;
mod passes;
mod picks;
mod preview;
mod reference;
mod surfaces;
mod thumbnail;

pub use engine::remember_engines_in;
pub use error::SessionError;
pub use export::{ExportOptions, export_png};
pub use free::{FREE_AIM, FREE_PASS};
pub use live::StrokeTool;
pub use reference::DecodedPhoto;

use crate::study::command::Command;
use engine::{Chosen, choose};
use std::collections::{BTreeSet, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, SwatchId};
use stint_model::photo::Photo;
use stint_model::readout::{FreeColourNote, Opened, Readout};
use stint_model::study::Document;
use stint_model::study::file::StudyFile;
use stint_model::study::file::{ShareRow, Shares, Step, StepKind, TileChange};
use stint_model::study::tile::TilePos;
use stint_render::canvas::{BrushLoad, Canvas, Change};
use stint_render::choose::EngineChoice;
use stint_render::engine::EngineInfo;
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
    file: StudyFile,
    document: Document,
    canvas: Canvas,
    brush: Brush,
    loaded: Option<Loaded>,
    mixture: Option<BrushLoad>,
    /// Where relative paths start.
    folder: PathBuf,
    /// The decoded reference, with the key of its bytes.
    photo: Option<(i64, Arc<Photo>)>,
    surfaces: surfaces::Surfaces,
    live: Option<live::Live>,
    /// What a person should know, oldest first.
    notices: VecDeque<String>,
    /// Whether the canvas shows a board that is only tried out.
    previewing: bool,
    /// Steps recorded, undone and redone since the study was opened.
    changes: u64,
    read_only: bool,
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
        Session::start(StudyFile::create(path, &document)?, chosen)
    }

    /// A new study that lives in memory only.
    ///
    /// # Errors
    /// As [`Session::create`].
    pub fn in_memory((width, height): (u32, u32), board: Board, choice: EngineChoice) -> Result<Self, SessionError> {
        let document = Document::new(width, height, board)?;
        Session::start(StudyFile::in_memory(&document)?, choose(choice)?)
    }

    /// Opens a study for painting.
    ///
    /// # Errors
    /// When the file is no sound study, is open elsewhere, or cannot be written.
    pub fn open(path: &Path, choice: EngineChoice) -> Result<Self, SessionError> {
        Session::start(StudyFile::open(path)?, choose(choice)?)
    }

    /// Opens a study for looking at it: readout and export work, changes are refused.
    ///
    /// # Errors
    /// When the file is no sound study.
    pub fn open_read_only(path: &Path, choice: EngineChoice) -> Result<Self, SessionError> {
        let mut session = Session::start(StudyFile::open_read_only(path)?, choose(choice)?)?;
        session.read_only = true;
        Ok(session)
    }

    fn start(file: StudyFile, (engine, notice): Chosen) -> Result<Self, SessionError> {
        let document = file.document().clone();
        let size = CanvasSize { width: document.width, height: document.height };
        let mut canvas = Canvas::new(size, engine, lut(&document), &document.passes)?;
        let mut tiles = Vec::new();
        file.for_each_tile(&mut |key, pixels| tiles.push((key, pixels)))?;
        canvas.put_tiles(tiles)?;
        Ok(Session {
            file,
            document,
            canvas,
            brush: Brush::default(),
            loaded: None,
            mixture: None,
            folder: PathBuf::from("."),
            photo: None,
            surfaces: surfaces::Surfaces::default(),
            live: None,
            notices: notice.into_iter().collect(),
            previewing: false,
            changes: 0,
            read_only: false,
        })
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
        self.file.path()
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
        self.file.strokes()
    }

    /// Counts up with every change of the study, undo and redo included: what was worked out for one number holds until the next.
    pub fn changes(&self) -> u64 {
        self.changes
    }

    /// How many steps can be undone and redone.
    pub fn depths(&self) -> (u64, u64) {
        (self.file.undo_depth(), self.file.redo_depth())
    }

    /// The readout after each step up to the head.
    ///
    /// # Errors
    /// When the study file cannot be read.
    pub fn shares(&self) -> Result<Vec<ShareRow>, SessionError> {
        Ok(self.file.shares()?)
    }

    /// The steps of the study, for tests of what was recorded.
    #[cfg(test)]
    pub(crate) fn steps(&self) -> Vec<stint_model::study::file::StepRow> {
        self.file.steps().unwrap_or_default()
    }

    /// The readout now.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn readout(&mut self) -> Result<Readout, SessionError> {
        let note = FreeColourNote { open: self.document.free_open, opened: self.file.opened().to_vec() };
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

    /// Makes one change.
    ///
    /// # Errors
    /// With the reason; nothing has changed then.
    pub fn apply(&mut self, command: &Command) -> Result<Done, SessionError> {
        apply::apply(self, command)
    }

    /// Ends the session; everything is in the file already.
    ///
    /// # Errors
    /// When the file cannot be closed in good order.
    pub fn close(self) -> Result<(), SessionError> {
        Ok(self.file.close()?)
    }

    /// Brings the canvas in line with a document that is about to become the session's.
    fn show(&mut self, document: &Document) -> Result<(), SessionError> {
        self.canvas.set_passes(&document.passes);
        Ok(self.canvas.set_paints(lut(document))?)
    }

    /// Records one step: the document (if it differs from the session's) and the changes already made to the canvas. If
    /// that fails everything is taken back.
    fn record(
        &mut self,
        command: &Command,
        kind: StepKind,
        document: Document,
        changes: Vec<Change>,
        opened: Option<Opened>,
    ) -> Result<Done, SessionError> {
        let differs = document != self.document;
        let stored = self.store(command, kind, &document, differs, &changes, opened);
        if let Err(error) = stored {
            let old = self.document.clone();
            self.show(&old)?;
            self.canvas.revert(changes)?;
            return Err(error);
        }
        self.document = document;
        self.changes += 1;
        Ok(Done {
            stroke: (kind == StepKind::Stroke).then(|| self.file.strokes()),
            tiles: changes.iter().map(|c| c.key.pos).collect(),
            document: differs,
            moved: None,
        })
    }

    fn store(
        &mut self,
        command: &Command,
        kind: StepKind,
        document: &Document,
        differs: bool,
        changes: &[Change],
        opened: Option<Opened>,
    ) -> Result<(), SessionError> {
        self.show(document)?;
        let readout = readout_of(&mut self.canvas, document, FreeColourNote::default())?;
        let tiles: Vec<_> =
            changes.iter().map(|c| TileChange { key: c.key, before: &c.before, after: &c.after }).collect();
        let text = ron::to_string(command).map_err(|e| SessionError::Internal(e.to_string()))?;
        self.file.record(Step {
            label: command.label(),
            kind,
            command: &text,
            document: differs.then_some(document),
            tiles: &tiles,
            shares: Shares::from(&readout),
            opened,
        })?;
        Ok(())
    }
}

/// The engine's paint table for a document.
fn lut(document: &Document) -> PaintLut {
    PaintLut::new(&document.paints, document.ground.colour, document.mixing)
}

fn readout_of(canvas: &mut Canvas, document: &Document, note: FreeColourNote) -> Result<Readout, SessionError> {
    let tally = canvas.tally()?;
    Ok(Readout::new(document.width, document.height, tally, &document.board, &document.paints, note))
}
