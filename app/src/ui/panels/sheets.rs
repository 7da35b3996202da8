//! The sheet that lies over the window: which function draws which.

use super::{
    PanelState, Sheet, board, board_sheet, brush_files, brush_sheet, chosen, export, finder, free, keys_sheet, passes,
    pressure_sheet, replace_sheet, shut_photo, stint, study_sheets, swatch_sheet, system_dialog,
};
use crate::ui::state::State;
use egui::Ui;

/// Shows the open sheet, if any. A sheet that wants to stay puts itself back.
pub(super) fn sheets(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(sheet) = panels.sheet.take() else { return };
    let stays = match sheet {
        Sheet::Swatch(form) => swatch_sheet::edit(state, ui, form),
        Sheet::Delete(form) => swatch_sheet::delete(state, ui, form),
        Sheet::Family(form) => board_sheet::family(state, ui, form),
        Sheet::ForgetBoard(name) => board::forget_sheet(state, ui, name),
        Sheet::OpenFree => free::open_sheet(state, ui),
        Sheet::OpenPhoto => shut_photo::sheet(state, ui),
        Sheet::RemovePass(name) => passes::remove_sheet(state, ui, name),
        Sheet::Export(form) => export::sheet(state, panels, ui, form),
        Sheet::Browse(purpose) => chosen::sheet(state, panels, ui, purpose),
        Sheet::SystemDialog(purpose) => system_dialog::sheet(state, panels, ui, purpose),
        Sheet::Replace(form) => replace_sheet::sheet(state, panels, ui, form),
        Sheet::Stint => stint::sheet(state, ui),
        Sheet::Brush(form) => brush_sheet::sheet(state, panels, ui, form),
        Sheet::Pressure(form) => pressure_sheet::sheet(state, panels, ui, form),
        Sheet::SameBrush(form) => brush_files::same_sheet(state, ui, form),
        Sheet::Keys => keys_sheet::sheet(state, panels, ui),
        Sheet::Find(form) => finder::sheet(state, ui, form),
        Sheet::RenameStudy(form) => study_sheets::rename(state, ui, form),
        Sheet::Trash => study_sheets::trash(state, panels, ui),
        Sheet::LostStudy(path) => study_sheets::lost(state, panels, ui, path),
    };
    if stays.is_some() {
        panels.sheet = stays;
    }
}
