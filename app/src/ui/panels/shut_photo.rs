//! The photo of a study that is painted from memory: shut, with a sheet that asks once before it opens.

use super::widgets::{self, Pill};
use super::{Page, PanelState, Sheet, free};
use crate::study::command::Command;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::Ui;

/// Whether the open study has a photo that is shut.
pub(super) fn is_shut(state: &State) -> bool {
    state.session.as_ref().is_some_and(|s| s.document().photo_shut && s.document().reference.is_some())
}

/// What stands in the place of the photo.
pub(super) fn lid(panels: &mut PanelState, ui: &mut Ui) {
    let frame = egui::Frame::new().inner_margin(egui::Margin::symmetric(12, 12));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = theme::STEP;
        widgets::quiet(ui, wording::PHOTO_IS_SHUT);
        if widgets::pill_named(ui, wording::OPEN_LID, wording::OPEN_PHOTO_NAME, Pill::Second).clicked() {
            panels.sheet = Some(Sheet::OpenPhoto);
        }
    });
    ui.painter().extend(widgets::dashed(shown.response.rect.shrink(0.5), theme::LINE));
}

/// The sheet that asks; gives itself back while it stays open.
pub(super) fn sheet(state: &mut State, ui: &mut Ui) -> Option<Sheet> {
    let readout = state.readout.clone()?;
    let mut done = false;
    let closed = widgets::sheet(ui, wording::OPEN_PHOTO_SHEET, 400.0, |ui| {
        free::shares(ui, &readout);
        widgets::gap(ui, 1.5);
        widgets::text(ui, wording::OPENING_PHOTO);
        widgets::footer(ui, |ui| {
            if widgets::pill(ui, wording::OPEN_PHOTO, Pill::First).clicked() {
                state.apply(&Command::OpenPhoto);
                done = true;
            }
            done |= widgets::pill(ui, wording::LEAVE_SHUT, Pill::Plain).clicked();
        });
    });
    (!done && !closed).then_some(Sheet::OpenPhoto)
}

/// What can be done with the photo of a study that is painted from memory, once it is open: shutting it again, and holding both studies
/// against it.
pub(super) fn actions(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    if state.session.as_ref().is_none_or(|s| s.document().paints_again.is_none()) {
        return;
    }
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        if widgets::text_button(ui, wording::SIDE_BY_SIDE, wording::SIDE_BY_SIDE_NAME).clicked() && state.settle() {
            panels.toggle_page(Page::SideBySide);
        }
        if widgets::text_button(ui, wording::SHUT_AGAIN, wording::SHUT_PHOTO_NAME).clicked() {
            state.apply(&Command::ShutPhoto);
        }
    });
}
