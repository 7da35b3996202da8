//! What a rule proposes against a remark.

use crate::board::Board;

/// A change that a rule proposes; whether it helps is tried afterwards.
#[derive(Clone, Debug)]
pub(super) struct Draft {
    /// The board after the change.
    pub board: Board,
    /// What is changed, where naming each swatch would be long-winded.
    pub words: Option<String>,
    /// Whether it takes something away instead of moving colours.
    pub instead: bool,
}

impl Draft {
    /// Colours moved or roles changed.
    pub fn moved(board: Board) -> Self {
        Draft { board, words: None, instead: false }
    }

    /// Something taken away.
    pub fn instead(board: Board) -> Self {
        Draft { instead: true, ..Draft::moved(board) }
    }
}
