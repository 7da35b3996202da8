//! The board's panel, in the place of the reference: remarks, variations, the study's boards.

use super::parts;
use crate::state::State;
use crate::wording;
use egui::{Rect, Ui};

/// What the board's panel remembers.
#[derive(Default)]
pub(super) struct BoardPart {}

/// The panel.
pub(super) fn panel(state: &mut State, ui: &mut Ui) {
    let away = (wording::BACK, wording::BACK_FROM_BOARD);
    if parts::heading_with(ui, wording::BOARD_SHEET, &[away]).is_some() {
        state.panels.board_open = false;
    }
}

/// The strip of small pictures above the tray, cut off what is left for the canvas.
pub(super) fn strip(_state: &mut State, _ui: &mut Ui, _rest: &mut Rect) {}
