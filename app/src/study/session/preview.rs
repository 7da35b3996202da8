//! Trying a board or a mixing model out: the painting follows, nothing is recorded.

use super::{Session, SessionError};
use stint_model::board::Board;
use stint_model::mixing::Mixing;
use stint_model::study::Document;

impl Session {
    /// Whether the painting is shown under a board or a mixing model that is only tried out.
    pub fn is_previewing(&self) -> bool {
        self.previewing
    }

    /// Whether a stroke is in the making, or something is being moved: nothing can be tried out then.
    pub fn is_painting(&self) -> bool {
        self.may_begin().is_err()
    }

    /// Whether anything can be begun now.
    ///
    /// # Errors
    /// When a stroke is in the making, or something is being moved.
    pub(super) fn may_begin(&self) -> Result<(), SessionError> {
        match (&self.active_stroke, &self.active_move) {
            (None, None) => Ok(()),
            (Some(_), _) => Err(SessionError::Painting),
            (None, Some(_)) => Err(SessionError::Moving),
        }
    }

    /// Shows the painting under another board of the same swatches, until the next change or [`Session::end_preview`].
    ///
    /// # Errors
    /// When a stroke is in the making or something is being moved.
    pub fn preview(&mut self, board: &Board) -> Result<(), SessionError> {
        self.may_begin()?;
        let mut document = self.document.clone();
        document.paints.follow(board);
        self.previewing = true;
        self.show(&document);
        Ok(())
    }

    /// Shows the painting as it would look if its paints mixed otherwise, as [`Session::preview`] does another board.
    ///
    /// # Errors
    /// When a stroke is in the making or something is being moved.
    pub fn preview_mixing(&mut self, mixing: Mixing) -> Result<(), SessionError> {
        self.may_begin()?;
        let document = Document { mixing, ..self.document.clone() };
        self.previewing = true;
        self.show(&document);
        Ok(())
    }

    /// Shows the painting as it is again. Pixels merge by the colours of their paints, so no paint is ever laid during a
    /// preview: every change ends it first.
    pub fn end_preview(&mut self) {
        if self.previewing {
            let document = self.document.clone();
            self.show(&document);
            self.previewing = false;
        }
    }
}
