//! The tick after a line that says of a colour that it suits the light of the day.

use crate::ui::{theme, wording};
use egui::{Pos2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, vec2};

/// Paints a tick 10 points wide whose left end is at `at`; no font of the interface has the sign.
pub(super) fn tick(ui: &Ui, at: Pos2) {
    let rect = Rect::from_min_size(at + vec2(0.0, -5.0), vec2(10.0, 10.0));
    let response = ui.interact(rect, ui.scope_id().with("tick"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, wording::SUITS_LIGHT));
    let corners = vec![at + vec2(0.0, 0.5), at + vec2(3.0, 3.5), at + vec2(9.0, -3.5)];
    ui.painter().add(egui::Shape::line(corners, Stroke::new(1.5, theme::QUIET)));
    response.on_hover_text(wording::SUITS_LIGHT);
}
