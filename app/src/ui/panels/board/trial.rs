//! What the painting shows while a painter looks around in the board's panel: the board of the offer or small picture under the
//! pointer, else that of the sliders, else the study's own. Nothing of it outlives the panel, a change, or a stroke.

use super::super::Page;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use egui::Response;
use stint_model::board::Board;

/// What the panel tries out.
#[derive(Default)]
pub(in super::super) struct Trial {
    /// What a control asked for in this frame, and whether by the pointer.
    asked: Option<(Board, bool)>,
    /// Whether the painting shows something that this panel asked for.
    shown: bool,
}

impl Trial {
    /// A control that stands for a board: it is tried out while the pointer is over the control, or the keyboard on it. The pointer
    /// goes first.
    pub fn ask(&mut self, response: &Response, board: &Board) {
        let by_pointer = response.hovered();
        let free = self.asked.as_ref().is_none_or(|(_, pointer)| by_pointer && !pointer);
        if (by_pointer || response.has_focus()) && free {
            self.asked = Some((board.clone(), by_pointer));
        }
    }

    /// A board that is tried out in this frame, whatever the keyboard is on.
    pub fn ask_now(&mut self, board: Board) {
        self.asked = Some((board, true));
    }
}

/// Clears the trial once a change or a stroke ended what was tried out: the sliders are at rest then, and what was asked for is of no
/// use any more. Before the panel is drawn, and after it.
pub(in super::super) fn end_stale_trial(state: &mut State, panels: &mut PanelState) {
    let board_panel = &mut panels.board;
    if board_panel.trial.shown && state.trial_board.is_none() {
        board_panel.trial.shown = false;
        board_panel.trial.asked = None;
        board_panel.vary.rest();
    }
}

/// Shows on the painting what the panel asked for in this frame; ends it when the panel is not there.
pub(in super::super) fn follow(state: &mut State, panels: &mut PanelState) {
    end_stale_trial(state, panels);
    let Some(session) = &state.session else { return };
    let painting = session.is_painting();
    let board_panel = &mut panels.board;
    let here = panels.board_open && panels.page != Page::Library;
    if !here || painting {
        board_panel.vary.rest();
        board_panel.trial.asked = None;
    }
    let own = &session.document().board;
    let asked = board_panel.trial.asked.take().map(|(board, _)| board);
    let wanted = asked.or_else(|| board_panel.vary.board(own).cloned());
    if wanted.is_none() && !board_panel.trial.shown {
        return;
    }
    // A board that moves on in every frame would leave the far ends of a large painting behind: each is shown to the end first.
    if state.catching_up && wanted.is_some() && board_panel.trial.shown {
        return;
    }
    state.try_board(wanted.as_ref());
    let shown = state.trial_board == wanted;
    let board_panel = &mut panels.board;
    board_panel.trial.shown = wanted.is_some() && shown;
    if !shown {
        // It has been told why; asking again in every frame would tell it again and again.
        board_panel.vary.rest();
    }
}
