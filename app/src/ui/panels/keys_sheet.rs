//! The key sheet: every key and what it does.

use super::Sheet;
use super::widgets::{self, Pill};
use crate::ui::panels::PanelState;
use crate::ui::{theme, wording};
use egui::Ui;

/// Width of the sheet, points: two columns of keys and words.
const WIDTH: f32 = 712.0;
/// Width of a key, points.
const KEY: f32 = 112.0;

/// The sheet; gives itself back while it stays open.
pub(super) fn sheet(panels: &mut PanelState, ui: &mut Ui) -> Option<Sheet> {
    let mut done = false;
    let closed = widgets::sheet(ui, wording::KEYS, WIDTH, |ui| {
        if panels.keys.is_empty() {
            widgets::quiet(ui, wording::NO_KEYS);
        }
        // Two columns, read downwards.
        let half = panels.keys.len().div_ceil(2);
        ui.columns(2, |columns| {
            for (i, (key, what)) in panels.keys.iter().enumerate() {
                let ui = &mut columns[usize::from(i >= half)];
                ui.spacing_mut().item_spacing.y = 2.0;
                ui.spacing_mut().interact_size.y = 18.0;
                ui.horizontal(|ui| {
                    widgets::cell(ui, key, KEY, theme::STRONG);
                    widgets::quiet(ui, what);
                });
            }
        });
        widgets::footer(ui, |ui| done = widgets::pill(ui, wording::DONE, Pill::First).clicked());
    });
    (!done && !closed).then_some(Sheet::Keys)
}
