//! The paint table of a study: what each paint id in a pixel stands for.
//!
//! A pixel stores ids, never colours. An id is handed out once and never reused, so that the history of a study always
//! reads back. Whether a paint counts as *board* or as *free* is decided here and nowhere else.

use crate::board::Board;
use crate::colour::Colour;
use crate::ids::{PaintId, SwatchId};
use serde::{Deserialize, Serialize};

/// What a paint is.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
pub enum PaintKind {
    /// A swatch that is on the board: its colour follows the board.
    Swatch(SwatchId),
    /// A colour loaded while free colour was open.
    Free,
    /// A swatch that was taken off the board with paint of it left on the canvas. Counts as free until its paint is given
    /// to another swatch.
    Removed(SwatchId),
}

impl PaintKind {
    /// The swatch it is or was; none for free colour.
    pub fn swatch(self) -> Option<SwatchId> {
        match self {
            PaintKind::Swatch(id) | PaintKind::Removed(id) => Some(id),
            PaintKind::Free => None,
        }
    }
}

/// The two classes the readout is about.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum PaintClass {
    /// From the board as it is now.
    Board,
    /// Free colour, or a removed swatch.
    Free,
}

/// One entry of the table.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Paint {
    /// The id stored in pixels.
    pub id: PaintId,
    /// What it is.
    pub kind: PaintKind,
    /// What it looks like now, linear light.
    pub colour: Colour,
}

impl Paint {
    /// The class this paint counts towards.
    pub fn class(&self) -> PaintClass {
        match self.kind {
            PaintKind::Swatch(_) => PaintClass::Board,
            PaintKind::Free | PaintKind::Removed(_) => PaintClass::Free,
        }
    }
}

/// Why the table could not take another paint.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum PaintError {
    /// All 65535 ids are used.
    #[error("this study has used all 65535 paints it can hold; start a new study from its board")]
    Full,
    /// A paint that must exist does not.
    #[error("there is no paint {0} in this study")]
    Unknown(PaintId),
}

/// All paints of a study, in the order in which they were first loaded. Entry `i` has id `i + 1`.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PaintTable {
    paints: Vec<Paint>,
}

impl PaintTable {
    /// All paints in id order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = &Paint> {
        self.paints.iter()
    }

    /// How many paints there are; ids run from 1 to this number.
    pub fn len(&self) -> usize {
        self.paints.len()
    }

    /// Whether no paint has been loaded yet.
    pub fn is_empty(&self) -> bool {
        self.paints.is_empty()
    }

    /// The paint with this id.
    pub fn get(&self, id: PaintId) -> Option<&Paint> {
        self.paints.get((id.0 as usize).checked_sub(1)?)
    }

    /// Whether ids run 1, 2, 3 … as they must; false only for a damaged file.
    pub fn is_sound(&self) -> bool {
        self.paints.len() <= usize::from(u16::MAX)
            && self.paints.iter().enumerate().all(|(i, p)| usize::from(p.id.0) == i + 1 && p.colour.is_finite())
    }

    fn push(&mut self, kind: PaintKind, colour: Colour) -> Result<PaintId, PaintError> {
        let id = u16::try_from(self.paints.len() + 1).map_err(|_| PaintError::Full)?;
        self.paints.push(Paint { id: PaintId(id), kind, colour });
        Ok(PaintId(id))
    }

    /// The paint of a swatch of the board, entered if this is the first time it is loaded. A swatch that was removed and
    /// put back gets its old paint again.
    pub fn load_swatch(&mut self, swatch: SwatchId, colour: Colour) -> Result<PaintId, PaintError> {
        if let Some(paint) = self.paints.iter_mut().find(|p| p.kind.swatch() == Some(swatch)) {
            paint.kind = PaintKind::Swatch(swatch);
            paint.colour = colour;
            return Ok(paint.id);
        }
        self.push(PaintKind::Swatch(swatch), colour)
    }

    /// The paint of a free colour; an equal free colour keeps its id.
    pub fn load_free(&mut self, colour: Colour) -> Result<PaintId, PaintError> {
        match self.paints.iter().find(|p| p.kind == PaintKind::Free && p.colour == colour) {
            Some(paint) => Ok(paint.id),
            None => self.push(PaintKind::Free, colour),
        }
    }

    /// Gives all paint of one swatch to another: it looks and counts as that one from now on.
    pub fn give(&mut self, from: SwatchId, to: SwatchId) {
        for paint in &mut self.paints {
            if paint.kind.swatch() == Some(from) {
                paint.kind = PaintKind::Swatch(to);
            }
        }
    }

    /// Brings every swatch paint in line with the board: colours follow, swatches that are gone become removed, swatches
    /// that came back are board again.
    pub fn follow(&mut self, board: &Board) {
        for paint in &mut self.paints {
            if let Some(id) = paint.kind.swatch() {
                match board.swatch(id) {
                    Some(swatch) => {
                        paint.kind = PaintKind::Swatch(id);
                        paint.colour = swatch.colour;
                    }
                    None => paint.kind = PaintKind::Removed(id),
                }
            }
        }
    }
}
