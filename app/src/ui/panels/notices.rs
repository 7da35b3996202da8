//! One line for what the painter must hear; it takes its own strip, so that it never lies on the canvas.

use super::parts::{self, Pill};
use super::{Side, cut, place};
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Align, Layout, Rect, Ui, UiBuilder, vec2};

/// Height of the strip, points.
const HEIGHT: f32 = 36.0;

/// The newest notice, if there is one, at the bottom of what is left of the window.
pub(super) fn line(state: &mut State, ui: &mut Ui, rest: &mut Rect) {
    let Some(newest) = state.notices.last().cloned() else { return };
    let others = state.notices.len() - 1;
    let strip = cut(rest, Side::Bottom, HEIGHT);
    place(ui, "notice", strip, theme::ROW_CHOSEN, |ui| {
        let inner = strip.shrink2(vec2(theme::MARGIN, 0.0));
        let layout = Layout::right_to_left(Align::Center);
        let mut ui = ui.new_child(UiBuilder::new().max_rect(inner).layout(layout));
        if parts::pill(&mut ui, wording::DISMISS, Pill::Plain).clicked() {
            state.notices.pop();
        }
        if others > 0 {
            parts::quiet(&mut ui, wording::more_notices(others));
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let words = egui::RichText::new(&newest).color(theme::STRONG);
            ui.add(egui::Label::new(words).truncate()).on_hover_text(&newest);
        });
    });
}
