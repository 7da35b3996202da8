//! Where in the window the canvas lies, for egui and for the pointer.

use super::events::Translator;
use crate::ui::canvas_view::transform::{Area, View};
use egui::{Order, Rect};

/// The id of the canvas among the widgets of egui.
pub(super) fn canvas_id() -> egui::Id {
    egui::Id::unique("canvas")
}

/// Whether the canvas, and nothing above it, is at a window pixel.
pub(super) fn is_canvas(context: &egui::Context, view: &View, translator: &Translator, at: [f64; 2]) -> bool {
    view.area.contains(at)
        && !egui::Popup::is_any_open(context)
        && context.layer_id_at(translator.to_points(at)).is_none_or(|layer| layer.order == Order::Background)
}

/// A rectangle in logical points as whole window pixels; `points` is window pixels per logical point.
pub(super) fn area_of(rect: Rect, points: f64) -> Area {
    let pixel = |v: f32| (f64::from(v) * points).round();
    let (left, top) = (pixel(rect.left()), pixel(rect.top()));
    Area { left, top, width: (pixel(rect.right()) - left).max(0.0), height: (pixel(rect.bottom()) - top).max(0.0) }
}
