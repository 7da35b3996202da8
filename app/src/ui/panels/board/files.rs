//! Boards from files and into files, in every form there is.

use super::super::parts::{self, Pill};
use crate::files::board_file::{BoardAnyError, write_any};
use crate::files::replace::Refusal;
use crate::study::command::Command;
use crate::ui::panels::{Asks, ReplaceForm};
use crate::ui::panels::{PanelState, Sheet};
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use std::path::{Path, PathBuf};
use stint_model::disk::Replace;

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
            // Where the window was started, not where scripts of the study lie.
            let full = std::path::absolute(path.trim()).unwrap_or_else(|_| PathBuf::from(path.trim()));
            state.apply(&Command::UseBoard(full.to_string_lossy().into_owned()));
        } else if writes && let Some(question) = write(state, Path::new(path.trim()), Replace::Never) {
            panels.sheet = Some(Sheet::Replace(question));
        }
    });
    panels.board.files.path = path;
}

/// Writes the board over a file that the painter gave up.
pub(in crate::ui::panels) fn replace_file(state: &mut State, path: &Path) {
    write(state, path, Replace::Asked);
}

/// Puts another path into the field.
pub(in crate::ui::panels) fn offer_file(panels: &mut PanelState, path: &Path) {
    panels.board.files.path = path.display().to_string();
}

/// Writes the board in the form that the name asks for, or gives the question back whether a file that is there gives way.
fn write(state: &mut State, path: &Path, replace: Replace) -> Option<ReplaceForm> {
    let session = state.session.as_ref()?;
    let told = match write_any(path, &session.document().board, replace) {
        Ok(()) => wording::board_written(path),
        Err(BoardAnyError::Target(Refusal::Taken { path, found })) => {
            return Some(ReplaceForm { path, found: found.to_string(), asks: Asks::Board });
        }
        Err(error) => error.to_string(),
    };
    state.notices.push(told);
    None
}
