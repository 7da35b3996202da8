//! What becomes of a file that was chosen, and of a browser that was left.

use super::file_browser::{self, BrowserEnd, Purpose};
use super::{PanelState, Sheet, board, brush_files, library_page, progress_page, reference, start};
use crate::files::settings::OWN_FILE_BROWSER;
use crate::study::command::Command;
use crate::ui::request::Request;
use crate::ui::state::State;
use egui::Ui;
use std::path::PathBuf;
use stint_model::disk::Replace;

/// The browser; gives back the sheet that is to be seen next.
pub(super) fn sheet(state: &mut State, panels: &mut PanelState, ui: &mut Ui, purpose: Purpose) -> Option<Sheet> {
    match file_browser::sheet(state, panels, ui, &purpose) {
        BrowserEnd::Open => Some(Sheet::Browse(purpose)),
        BrowserEnd::Left => left(panels),
        BrowserEnd::SystemDialog => {
            if let Err(why) = state.settings.set(&OWN_FILE_BROWSER, &false) {
                state.notices.push(why);
            }
            panels.browse(state, purpose);
            panels.sheet.take()
        }
        BrowserEnd::Chosen(path) => done(purpose, state, panels, ui, path),
    }
}

/// What is seen when nothing was chosen: the export sheet comes back as it was.
pub(super) fn left(panels: &mut PanelState) -> Option<Sheet> {
    panels.exporting.take().map(Sheet::Export)
}

/// Does what a file was chosen for; gives back the sheet that is to be seen next.
pub(super) fn done(
    purpose: Purpose,
    state: &mut State,
    panels: &mut PanelState,
    ui: &Ui,
    path: PathBuf,
) -> Option<Sheet> {
    match purpose {
        Purpose::NewStudy => start::start_from_photo(state, panels, path),
        Purpose::Study => state.requests.push(Request::Open(path)),
        Purpose::Reference => reference::take_photo(state, path),
        Purpose::TakeBoard => {
            state.apply(&Command::UseBoard(path.to_string_lossy().into_owned()));
        }
        Purpose::WriteBoard(_) => return board::write_file(state, &path).map(Sheet::Replace),
        Purpose::Picture(_) => return panels.exporting.take().map(|form| Sheet::Export(form.at(&path))),
        Purpose::WriteProgress(_) => {
            return progress_page::write_file(state, panels, ui, &path, Replace::Never).map(Sheet::Replace);
        }
        Purpose::TakeBrush => return brush_files::take_in(state, &path),
        Purpose::WriteBrush(_, name) => {
            return brush_files::write_file(state, &path, &name, Replace::Never).map(Sheet::Replace);
        }
        Purpose::LikePhoto => library_page::compare_with(panels, path),
    }
    None
}
