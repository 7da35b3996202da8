//! The photo, large, in the place of the canvas.

use super::{Page, parts};
use crate::state::State;
use crate::wording;
use egui::Ui;

/// What the page remembers.
#[derive(Default)]
pub(super) struct PhotoPage {}

/// The page.
pub(super) fn page(state: &mut State, ui: &mut Ui) {
    if parts::heading_with(ui, wording::PHOTO_LARGE, &[(wording::BACK, wording::BACK)]).is_some() {
        state.panels.page = Page::Canvas;
    }
}
