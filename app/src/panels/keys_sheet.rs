//! The key sheet: every key and what it does.

use super::Sheet;
use super::parts::{self, Pill};
use crate::state::State;
use crate::{theme, wording};
use egui::Ui;

/// The sheet; gives itself back while it stays open.
pub(super) fn sheet(state: &mut State, ui: &mut Ui) -> Option<Sheet> {
    let mut done = false;
    let closed = parts::sheet(ui, wording::KEYS, 560.0, |ui| {
        if state.panels.keys.is_empty() {
            parts::quiet(ui, wording::NO_KEYS);
        }
        // Two columns, read downwards.
        let half = state.panels.keys.len().div_ceil(2);
        ui.columns(2, |columns| {
            for (i, (key, what)) in state.panels.keys.iter().enumerate() {
                let ui = &mut columns[usize::from(i >= half)];
                ui.horizontal(|ui| {
                    parts::cell(ui, key, 104.0, theme::STRONG);
                    parts::quiet(ui, what);
                });
            }
        });
        parts::footer(ui, |ui| done = parts::pill(ui, wording::DONE, Pill::First).clicked());
    });
    (!done && !closed).then_some(Sheet::Keys)
}
