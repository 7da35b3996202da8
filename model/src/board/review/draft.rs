//! What a rule proposes against a remark.

use super::Remark;
use crate::board::Board;
use crate::board::nudge::nudge;

/// A change that a rule proposes; whether it helps is tried afterwards.
#[derive(Clone, Debug)]
pub(super) struct Draft {
    /// The board after the change.
    pub board: Board,
    /// What is changed, where naming each swatch would be long-winded.
    pub words: Option<String>,
    /// Whether it takes something from the painter (a swatch, a role, a distance) instead of moving colours.
    pub removes: bool,
}

impl Draft {
    /// Colours moved or roles changed.
    pub fn moved(board: Board) -> Self {
        Draft { board, words: None, removes: false }
    }

    /// Each swatch of the remark moved into the range of a board: away from black and white, and calm.
    pub fn nudged(board: &Board, remark: &Remark) -> Vec<Self> {
        let nudged =
            remark.swatches.iter().filter_map(|&id| board.with_colour(id, nudge(board.swatch(id)?.colour)).ok());
        nudged.map(Draft::moved).collect()
    }

    /// Something taken from the painter.
    pub fn removing(board: Board) -> Self {
        Draft { removes: true, ..Draft::moved(board) }
    }
}
