//! The board as a whole: name, light of the day, the guess at it, the ways to the pages that are about boards.

use super::super::board_sheet::lights;
use super::super::widgets::{self, Pill};
use super::super::{Page, PanelState};
use crate::files::library::Library;
use crate::study::command::Command;
use crate::study::keep_board::keep_board;
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;

/// What the section remembers.
#[derive(Default)]
pub(super) struct AboutState {
    /// The name as it is being written, and the name it began from.
    name: Option<(String, String)>,
}

/// Name and light of the day of the board, with the guess of its light, and where to go from here.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    name(state, panels, ui);
    let Some(light) = state.session.as_ref().map(|s| s.document().board.light) else { return };
    ui.vertical(|ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        widgets::quiet(ui, wording::LIGHT_OF_DAY);
        if let Some(chosen) = lights(ui, light)
            && chosen != light
        {
            state.apply(&Command::SetLight(chosen));
        }
    });
    if let Some(guess) = panels.board.reviewed.guess() {
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 1.0;
            widgets::text(ui, wording::guess(guess.light, guess.certainty));
            widgets::quiet(ui, wording::sentence_start(&guess.why));
        });
    }
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        page_button(panels, ui, wording::KEPT_BOARDS, Page::Library);
        page_button(panels, ui, wording::FROM_MEMORY, Page::Memory);
    });
    if widgets::pill(ui, wording::KEEP_IN_LIBRARY, Pill::Second).clicked() {
        keep_in_library(state);
    }
    widgets::gap(ui, 2.0);
}

/// Writes the study's board, as it is, to the kept boards.
fn keep_in_library(state: &mut State) {
    if !state.settle() {
        return;
    }
    let Some(session) = &mut state.session else { return };
    let kept = keep_board(&mut Library::open(state.data_folder.as_deref()), session);
    state.notices.push(kept.map_or_else(|error| error.to_string(), |path| wording::kept_in_library(&path)));
}

fn page_button(panels: &mut PanelState, ui: &mut Ui, words: &str, page: Page) {
    if widgets::pill(ui, words, Pill::Second).clicked() {
        panels.toggle_page(page);
    }
}

/// The name, kept when the field is left.
fn name(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(now) = state.session.as_ref().map(|s| s.document().board.name.clone()) else { return };
    let written = panels.board.about.name.take().filter(|(_, from)| *from == now);
    let mut text = written.map_or_else(|| now.clone(), |(text, _)| text);
    let field = widgets::field(ui, wording::NAME, &mut text);
    if field.lost_focus() && text.trim() != now {
        state.apply(&Command::RenameBoard(text));
    } else if field.has_focus() || text != now {
        panels.board.about.name = Some((text, now));
    }
}
