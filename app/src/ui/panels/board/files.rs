//! Boards from files and into files, in every form there is.

use super::super::parts::{self, Pill};
use crate::files::board_file::{form_of, is_ours, write_any};
use crate::study::command::Command;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// What the section remembers.
#[derive(Default)]
pub(super) struct FilesState {
    /// The path as it is being written.
    path: String,
}

/// The section.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    parts::gap(ui, 2.0);
    parts::heading(ui, wording::BOARD_FILES);
    let mut path = std::mem::take(&mut panels.board.files.path);
    parts::field(ui, wording::BOARD_FILE, &mut path);
    parts::quiet(ui, wording::BOARD_FORMS);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let named = !path.trim().is_empty();
        let mut button = |words: &str| ui.add_enabled_ui(named, |ui| parts::pill(ui, words, Pill::Second).clicked());
        let (takes, writes) = (button(wording::USE_FILE).inner, button(wording::WRITE_FILE).inner);
        if takes {
            // Where the window was started, not where scripts of the study transform.
            let full = std::path::absolute(path.trim()).unwrap_or_else(|_| PathBuf::from(path.trim()));
            state.apply(&Command::UseBoard(full.to_string_lossy().into_owned()));
        } else if writes {
            write(state, Path::new(path.trim()));
        }
    });
    panels.board.files.path = path;
}

/// Writes the board in the form that the name asks for; never over something else.
fn write(state: &mut State, path: &Path) {
    let Some(session) = &state.session else { return };
    let told = if form_of(path).is_some() && disk::exists(&path) && !is_ours(path) {
        wording::not_written_over(path)
    } else {
        match write_any(path, &session.document().board) {
            Ok(()) => wording::board_written(path),
            Err(error) => error.to_string(),
        }
    };
    state.notices.push(told);
}
