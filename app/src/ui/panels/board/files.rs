//! Boards from files and into files, in every form there is.

use super::super::widgets::{self, Pill};
use crate::files::board_file::{BoardAnyError, write_any};
use crate::files::library::safe_stem;
use crate::files::replace::Refusal;
use crate::ui::panels::file_browser::Purpose;
use crate::ui::panels::{Asks, PanelState, ReplaceForm};
use crate::ui::state::State;
use crate::ui::studies;
use crate::ui::wording;
use egui::Ui;
use std::path::Path;
use stint_model::disk::{Replace, folder_of, free_name};

/// Boards from files and into files.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    widgets::gap(ui, 2.0);
    widgets::heading(ui, wording::BOARD_FILES);
    widgets::quiet(ui, wording::BOARD_FORMS);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        if widgets::pill(ui, wording::USE_FILE, Pill::Second).clicked() {
            panels.browse(state, Purpose::TakeBoard);
        }
        if widgets::pill(ui, wording::WRITE_FILE, Pill::Second).clicked()
            && let Some(session) = &state.session
        {
            let name = safe_stem(&session.document().board.name);
            let study = std::path::absolute(session.path()).unwrap_or_else(|_| session.path().to_owned());
            let offered = free_name(&folder_of(&study), name, ".board.ron");
            panels.browse(state, Purpose::WriteBoard(offered));
        }
    });
}

/// Writes the board to a file, or gives the question back whether a file that is there gives way.
pub(in crate::ui::panels) fn write_file(state: &mut State, path: &Path) -> Option<ReplaceForm> {
    write(state, path, Replace::Never)
}

/// Writes the board over a file that the painter gave up.
pub(in crate::ui::panels) fn replace_file(state: &mut State, path: &Path) {
    write(state, path, Replace::Asked);
}

/// Writes the board in the form that the name asks for, or gives the question back whether a file that is there gives way.
fn write(state: &mut State, path: &Path, replace: Replace) -> Option<ReplaceForm> {
    let session = state.session.as_ref()?;
    let told = match write_any(path, &session.document().board, replace) {
        Ok(()) => {
            studies::hand_over(&mut state.requests, path);
            wording::board_written(path)
        }
        Err(BoardAnyError::Target(Refusal::Taken { path, found })) => {
            return Some(ReplaceForm { path, found: found.to_string(), asks: Asks::Board });
        }
        Err(error) => error.to_string(),
    };
    state.notices.push(told);
    None
}
