//! The sheet that F1 opens: every key and what it does, and the painter's guide.

use super::widgets::{self, Pill};
use super::{Page, Sheet, guide};
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{ScrollArea, Ui};

/// Width of the sheet, points: two columns of keys and words.
const WIDTH: f32 = 780.0;
/// What of the window's height guide and keys leave free, points: the title of the sheet, the choice above and the button below.
const AROUND_PAGE: f32 = 270.0;
/// Width of a key, points.
const KEY: f32 = 112.0;

/// The sheet; gives itself back while it stays open.
pub(super) fn sheet(state: &State, panels: &mut PanelState, ui: &mut Ui) -> Option<Sheet> {
    let (mut done, mut change) = (false, false);
    let closed = widgets::sheet(ui, wording::KEYS, WIDTH, |ui| {
        if let Some(shown) = widgets::segments(ui, Some(panels.guide), &wording::HELP_PARTS) {
            panels.guide = shown;
        }
        widgets::gap(ui, 1.5);
        // Long as they are, the buttons under them stay in sight.
        let height = ui.ctx().content_rect().height() - AROUND_PAGE;
        let page = ScrollArea::vertical().id_salt(panels.guide).max_height(height.max(160.0));
        if panels.guide {
            page.show(ui, guide::page);
        } else {
            page.show(ui, |ui| keys(&state.keys.map().table(), ui));
        }
        widgets::footer(ui, |ui| {
            done = widgets::pill(ui, wording::DONE, Pill::First).clicked();
            change = widgets::pill(ui, wording::CHANGE_KEYS, Pill::Second).clicked();
        });
    });
    if change {
        panels.page = Page::Settings;
        done = true;
    }
    (!done && !closed).then_some(Sheet::Keys)
}

/// The keys, in two columns that are read downwards.
fn keys(table: &[(String, String)], ui: &mut Ui) {
    let half = table.len().div_ceil(2);
    ui.columns(2, |columns| {
        for (i, (key, what)) in table.iter().enumerate() {
            let ui = &mut columns[usize::from(i >= half)];
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 18.0;
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = theme::STEP;
                let width = ui.available_width();
                widgets::cell(ui, key, KEY, theme::STRONG);
                widgets::cell(ui, what, width - KEY - 2.0 * theme::STEP, theme::QUIET);
            });
        }
    });
}
