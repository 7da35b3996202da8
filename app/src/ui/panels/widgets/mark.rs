//! What is drawn around a control, and the space between groups of them.

use crate::ui::theme;
use egui::{Color32, CornerRadius, Rect, Response, Shape, Stroke, StrokeKind, Ui};

/// A ring around what has the keyboard.
pub(in crate::ui::panels) fn focus_ring(ui: &Ui, response: &Response, rect: Rect) {
    if response.has_focus() {
        let stroke = Stroke::new(1.5, theme::BRIGHT);
        ui.painter().rect_stroke(rect.expand(2.0), CornerRadius::same(theme::CORNER + 2), stroke, StrokeKind::Inside);
    }
}

/// A dashed outline.
pub(in crate::ui::panels) fn dashed(rect: Rect, colour: Color32) -> Vec<Shape> {
    let r = rect;
    let corners = [r.left_top(), r.right_top(), r.right_bottom(), r.left_bottom(), r.left_top()];
    Shape::dashed_line(&corners, Stroke::new(1.0, colour), 3.0, 3.0)
}

/// Space between two groups: so many steps of the theme in all, of which one is there anyway.
pub(in crate::ui::panels) fn gap(ui: &mut Ui, steps: f32) {
    ui.add_space((steps - 1.0) * theme::STEP);
}
