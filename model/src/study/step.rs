//! Steps of a study's history, as they are handed in and out.

use super::document::Document;
use super::tile::{TileKey, TilePixels};
use crate::readout::tally::FULL;
use crate::readout::{ClassAmounts, Opened, Readout};

/// One step of the history: 1 for the first, in order; 0 is the empty study.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct StepId(pub u64);

/// What a step counts as.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum StepKind {
    /// Paint laid, softened or scraped; counts as one stroke.
    Stroke,
    /// Anything else that can be undone.
    Edit,
}

impl StepKind {
    pub(super) fn word(self) -> &'static str {
        match self {
            StepKind::Stroke => "stroke",
            StepKind::Edit => "edit",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        [StepKind::Stroke, StepKind::Edit].into_iter().find(|k| k.word() == word)
    }
}

/// What can be shut in a study, and is opened on purpose alone.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Lid {
    /// Free colour.
    FreeColour,
    /// The photo of a study that is painted without it.
    Photo,
}

/// What is noted with a step and stays noted, whatever is undone later.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Noted {
    /// Set when the step opened a lid: with the shares of that moment.
    pub opened: Option<(Lid, Opened)>,
    /// For how many seconds the study had been worked on, all told; a smaller number than at the step before counts as that.
    pub worked_s: u64,
}

/// A photo that a step takes in.
#[derive(Clone, Copy, Debug)]
pub struct NewPhoto<'a> {
    /// Its key, from [`StudyFile::photo_key`](super::file::StudyFile::photo_key).
    pub key: i64,
    /// File name, without folders.
    pub name: &'a str,
    /// Bytes of the file.
    pub bytes: &'a [u8],
}

/// The readout in four numbers. All finite.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Shares {
    /// Painted area in pixels.
    pub painted_px: f64,
    /// From the board, fraction of the painted area, 0-1.
    pub board: f64,
    /// Free colour, fraction of the painted area, 0-1.
    pub free: f64,
    /// Bare ground, fraction of the canvas, 0-1.
    pub bare: f64,
}

impl Shares {
    /// Those of a canvas without paint.
    pub const EMPTY: Shares = Shares { painted_px: 0.0, board: 0.0, free: 0.0, bare: 1.0 };

    /// The amounts by class that they were told from. Exact: a fraction has more digits than the amounts of any canvas.
    #[expect(clippy::cast_possible_truncation, reason = "held to 0 and above; the cast saturates")]
    pub fn amounts(&self) -> ClassAmounts {
        let painted = (self.painted_px.max(0.0) * FULL as f64).round();
        let board = (self.board.clamp(0.0, 1.0) * painted).round();
        ClassAmounts { board: board as u64, free: (painted - board) as u64 }
    }

    pub(super) fn are_finite(&self) -> bool {
        [self.painted_px, self.board, self.free, self.bare].iter().all(|v| v.is_finite())
    }
}

impl From<&Readout> for Shares {
    fn from(readout: &Readout) -> Self {
        Shares {
            painted_px: readout.painted_px,
            board: readout.board_share,
            free: readout.free_share,
            bare: readout.bare_share,
        }
    }
}

/// The readout after one step.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ShareRow {
    /// The step.
    pub step: StepId,
    /// Strokes laid up to and with this step.
    pub strokes: u64,
    /// The shares after it.
    pub shares: Shares,
}

/// One tile before and after a step. Empty upper planes make no difference.
#[derive(Clone, Copy, Debug)]
pub struct TileChange<'a> {
    /// Which tile; its pass is one of the document after the step, or the tile is empty after it.
    pub key: TileKey,
    /// Its pixels at the head, exactly: undo leads back to what is given here.
    pub before: &'a TilePixels,
    /// Its pixels after the step.
    pub after: &'a TilePixels,
}

/// A step to be recorded.
#[derive(Clone, Debug)]
pub struct Step<'a> {
    /// What the history calls it: "Stroke", "Turn the board".
    pub label: &'a str,
    /// What it counts as.
    pub kind: StepKind,
    /// The command that made it, as RON.
    pub command: &'a str,
    /// The document after the step, if it changed.
    pub document: Option<&'a Document>,
    /// Every tile that changed, once.
    pub tiles: &'a [TileChange<'a>],
    /// The shares after the step.
    pub shares: Shares,
    /// What is noted for good.
    pub noted: Noted,
}

/// A recorded step as the history lists it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StepRow {
    /// Which one.
    pub step: StepId,
    /// What it is called.
    pub label: String,
    /// What it counts as.
    pub kind: StepKind,
    /// The command that made it, as RON.
    pub command: String,
}

/// What undo or redo changes.
#[derive(Clone, PartialEq, Debug)]
pub struct Moved {
    /// Name of the step that was undone or redone.
    pub label: String,
    /// What it counts as.
    pub kind: StepKind,
    /// The document now, if it is another one.
    pub document: Option<Document>,
    /// The readout where the head is now.
    pub shares: ShareRow,
    /// The tiles that changed, as they are now, without empty upper planes.
    pub tiles: Vec<(TileKey, TilePixels)>,
}
