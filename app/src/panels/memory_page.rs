//! From memory: a swatch is hit by eye on a neutral field.

use super::{Page, parts};
use crate::state::State;
use crate::wording;
use egui::Ui;

/// What the page remembers.
#[derive(Default)]
pub(super) struct MemoryPart {}

/// The page.
pub(super) fn page(state: &mut State, ui: &mut Ui) {
    if parts::heading_with(ui, wording::FROM_MEMORY, &[(wording::BACK, wording::BACK)]).is_some() {
        state.panels.page = Page::Canvas;
    }
}
