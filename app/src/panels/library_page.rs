//! The kept boards as small trays.

use super::{Page, parts};
use crate::state::State;
use crate::wording;
use egui::Ui;

/// What the page remembers.
#[derive(Default)]
pub(super) struct LibraryPart {}

/// The page.
pub(super) fn page(state: &mut State, ui: &mut Ui) {
    if parts::heading_with(ui, wording::LIBRARY, &[(wording::BACK, wording::BACK)]).is_some() {
        state.panels.page = Page::Canvas;
    }
}
