//! Chips of colour on the field: each has a thin edge that shows on every surround, so that a grey chip on grey can be seen to be there.

use crate::ui::looks::Surround;
use crate::ui::theme;
use egui::{Color32, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo};
use stint_model::colour::Colour;

/// A chip with its edge.
pub(super) fn patch(ui: &Ui, rect: Rect, colour: Colour, surround: Surround) {
    ui.painter().rect_filled(rect, 0.0, theme::paint(colour));
    edge(ui, rect, theme::chip_edge(surround));
}

/// Chips that may touch, with their names and one edge around what touches.
pub(super) fn patches(ui: &Ui, chips: &[(Rect, Colour, &str)], surround: Surround) {
    for (rect, colour, name) in chips {
        let response = ui.interact(*rect, ui.scope_id().with(name), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, *name));
        ui.painter().rect_filled(*rect, 0.0, theme::paint(*colour));
    }
    let mut groups: Vec<Rect> = Vec::new();
    for (rect, ..) in chips {
        match groups.last_mut() {
            Some(last) if (last.right() - rect.left()).abs() < 0.5 => *last = last.union(*rect),
            _ => groups.push(*rect),
        }
    }
    for rect in groups {
        edge(ui, rect, theme::chip_edge(surround));
    }
}

/// The edge of a chip.
pub(super) fn edge(ui: &Ui, rect: Rect, colour: Color32) {
    ui.painter().rect_stroke(rect, 0.0, Stroke::new(1.0, colour), StrokeKind::Outside);
}
