//! A variation kept as another board of the study.

use super::super::board_sheet::lights;
use super::super::widgets::{self, Pill};
use crate::study::command::Command;
use crate::study::session::{Session, SessionError};
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use stint_model::board::check::check;
use stint_model::board::light_guess::{LightGuess, SURE_CERTAINTY, guess_light};
use stint_model::board::{Board, LightOfDay};
use stint_model::variation::compose::Settings;

/// The new board as it is being written.
pub(super) struct KeepForm {
    name: String,
    light: LightOfDay,
    guess: LightGuess,
}

impl KeepForm {
    /// For a variation: named after what was done, under the light its colours speak for.
    pub fn new(session: &Session, varied: &Board, settings: &Settings) -> Self {
        let guess = guess_light(varied);
        let light = if guess.certainty >= SURE_CERTAINTY { guess.light } else { varied.light };
        let name = session.free_board_name(&wording::variation_name(&varied.name, settings));
        KeepForm { name, light, guess }
    }
}

/// Why a board cannot be kept under its name. Looked at beforehand: also a refused command ends what is tried out.
fn fault(state: &State, board: &Board) -> Option<String> {
    let session = state.session.as_ref()?;
    if let Err(error) = check(board) {
        return Some(error.to_string());
    }
    let taken = session.free_board_name(&board.name) != board.name;
    taken.then(|| SessionError::SameBoard(board.name.clone()).to_string())
}

/// The form; it stays until the board is kept or the painter thinks better of it.
pub(super) fn form(state: &mut State, panels: &mut PanelState, ui: &mut Ui, varied: Option<Board>) {
    let (Some(mut form), Some(mut varied)) = (panels.board.vary.keep.take(), varied) else { return };
    let name = widgets::field(ui, wording::NEW_BOARD_NAME, &mut form.name);
    widgets::quiet(ui, wording::LIGHT_OF_DAY);
    form.light = lights(ui, form.light).unwrap_or(form.light);
    widgets::quiet(ui, wording::guess(form.guess.light, form.guess.certainty)).on_hover_text(&form.guess.why);
    let (mut keep, mut leave) = (widgets::entered(ui, &name), false);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        keep |= widgets::pill(ui, wording::KEEP_NEW_BOARD, Pill::First).clicked();
        leave = widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
    });
    if keep {
        varied.name = form.name.trim().to_owned();
        varied.light = form.light;
        match fault(state, &varied) {
            // The sliders and what was written stay, so that another name can be tried.
            Some(fault) => state.notices.push(fault),
            None => leave |= state.apply(&Command::NewBoard(Box::new(varied))),
        }
    }
    if !leave {
        panels.board.vary.keep = Some(form);
    }
}
