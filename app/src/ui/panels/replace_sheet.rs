//! The sheet that asks before a file gives way.

use super::brush_files;
use super::export;
use super::file_browser::Purpose;
use super::widgets::{self, Pill};
use super::{Asks, PanelState, ReplaceForm, Sheet, board, progress_page};
use crate::files::replace::free_like;
use crate::ui::state::State;
use crate::ui::wording;
use egui::{Key, Ui};
use stint_model::disk::Replace;

/// The sheet; gives back the sheet that is to be seen next.
pub(super) fn sheet(state: &mut State, panels: &mut PanelState, ui: &mut Ui, form: ReplaceForm) -> Option<Sheet> {
    let (mut replaces, mut leaves) = (false, false);
    leaves |= widgets::sheet(ui, wording::REPLACE_SHEET, 400.0, |ui| {
        widgets::text(ui, wording::replace_question(&form.path, &form.found));
        widgets::footer(ui, |ui| {
            let first = widgets::pill(ui, wording::REPLACE, Pill::First);
            replaces = first.clicked();
            leaves |= widgets::pill(ui, wording::OTHER_NAME, Pill::Plain).clicked();
            // Enter answers, but not the stroke of the key that brought the question.
            let held = ui.input(|i| i.key_down(Key::Enter) || i.key_down(Key::Space));
            if !held && ui.memory(|m| m.focused().is_none()) {
                first.request_focus();
            }
        });
    });
    match (replaces, leaves, form.asks) {
        (true, _, Asks::Export(export)) => {
            export::start(state, &export, form.path);
            Some(Sheet::Export(export))
        }
        (true, _, Asks::Board) => {
            board::replace_file(state, &form.path);
            None
        }
        (true, _, Asks::Progress) => {
            progress_page::write_file(state, panels, ui, &form.path, Replace::Asked);
            None
        }
        (true, _, Asks::Brush(name)) => {
            brush_files::write_file(state, &form.path, &name, Replace::Asked);
            None
        }
        (_, true, Asks::Brush(name)) => {
            panels.browse(state, Purpose::WriteBrush(free_like(&form.path), name));
            panels.sheet.take()
        }
        (_, true, Asks::Progress) => {
            panels.browse(state, Purpose::WriteProgress(free_like(&form.path)));
            panels.sheet.take()
        }
        (_, true, Asks::Export(export)) => Some(Sheet::Export(export.at(&free_like(&form.path)))),
        (_, true, Asks::Board) => {
            panels.browse(state, Purpose::WriteBoard(free_like(&form.path)));
            panels.sheet.take()
        }
        (false, false, asks) => Some(Sheet::Replace(ReplaceForm { asks, ..form })),
    }
}
