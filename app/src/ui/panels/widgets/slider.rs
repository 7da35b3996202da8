//! Sliders that show their value in words.

use super::words::line;
use crate::ui::theme;
use egui::{Align, Align2, CornerRadius, Layout, Rect, Response, Sense, Slider, Stroke, Ui, pos2, vec2};
use std::ops::RangeInclusive;

/// Height of a named slider, points.
pub(in crate::ui::panels) const SLIDER: f32 = 36.0;

/// A slider under its name and its value in words; the value follows the pointer, and `drag_stopped` or `lost_focus`
/// says when it stays. A double click sets it back to what it was when it came on screen.
pub(in crate::ui::panels) fn slider(
    ui: &mut Ui,
    name: &str,
    words: &str,
    value: &mut f32,
    range: RangeInclusive<f32>,
    logarithmic: bool,
) -> Response {
    slider_back(ui, (name, words), value, range, logarithmic, None)
}

/// The same; a double click sets it back to a plain value.
pub(in crate::ui::panels) fn slider_back(
    ui: &mut Ui,
    (name, words): (&str, &str),
    value: &mut f32,
    range: RangeInclusive<f32>,
    logarithmic: bool,
    plain: Option<f32>,
) -> Response {
    let width = ui.available_width();
    let (rect, _) = ui.allocate_exact_size(vec2(width, SLIDER), Sense::hover());
    line(ui, rect.left_top(), Align2::LEFT_TOP, name, theme::TEXT);
    line(ui, rect.right_top(), Align2::RIGHT_TOP, words, theme::TEXT);
    let rail = Rect::from_min_max(pos2(rect.left(), rect.top() + 19.0), pos2(rect.right(), rect.top() + 35.0));
    rail_slider(ui, rail, name, value, range, (logarithmic, plain))
}

/// The rail of a slider alone: whether it is logarithmic, and the plain value that a double click sets it back to, or what it was when
/// it came on screen.
pub(in crate::ui::panels) fn rail_slider(
    ui: &mut Ui,
    rail: Rect,
    name: &str,
    value: &mut f32,
    range: RangeInclusive<f32>,
    (logarithmic, plain): (bool, Option<f32>),
) -> Response {
    let before = *value;
    let (low, high) = (*range.start(), *range.end());
    // The control is egui's, with its keys and its accessible actions; only its looks are ours.
    let id = ui.scope_id().with(("rail", name));
    let builder = egui::UiBuilder::new().scope_id(id).max_rect(rail).layout(Layout::left_to_right(Align::Center));
    let mut inside = ui.new_child(builder);
    inside.set_opacity(0.0);
    inside.spacing_mut().slider_width = rail.width();
    inside.spacing_mut().interact_size.y = rail.height();
    let control = Slider::new(value, range).show_value(false).logarithmic(logarithmic);
    let mut response = inside.add(control).accessible_name(name);
    let back = as_it_came(ui, response.id, before);
    if double_clicked(ui, &response) {
        *value = plain.unwrap_or(back).clamp(low, high);
        response.mark_changed();
    }
    // Once touched it takes the arrow keys.
    if response.drag_started() || response.clicked() {
        response.request_focus();
    }
    let fraction = if logarithmic { (*value / low).ln() / (high / low).ln() } else { (*value - low) / (high - low) };
    let y = rail.center().y;
    let bar = Rect::from_min_max(pos2(rail.left(), y - 2.0), pos2(rail.right(), y + 2.0));
    ui.painter().rect_filled(bar, CornerRadius::same(2), theme::LINE);
    let x = egui::lerp(rail.left() + 6.0..=rail.right() - 6.0, fraction.clamp(0.0, 1.0));
    let lifted = response.hovered() || response.dragged();
    ui.painter().circle_filled(pos2(x, y), 6.5, if lifted { theme::BRIGHT } else { theme::STRONG });
    if response.has_focus() {
        ui.painter().circle_stroke(pos2(x, y), 9.0, Stroke::new(1.5, theme::BRIGHT));
    }
    response
}

/// A whole number on a slider that had another before: a key moves it by one, however little of the rail that is.
#[expect(clippy::cast_possible_truncation, reason = "the slider is held to its range; the cast saturates")]
pub(in crate::ui::panels) fn whole(response: &Response, before: u32, value: f32) -> u32 {
    let now = value.round() as u32;
    let by = value - before as f32;
    if now != before || !response.changed() || response.dragged() || by == 0.0 {
        return now;
    }
    if by > 0.0 { before.saturating_add(1) } else { before.saturating_sub(1) }
}

/// The value that a control had when it came on screen.
fn as_it_came(ui: &Ui, id: egui::Id, now: f32) -> f32 {
    let frame = ui.ctx().cumulative_frame_nr();
    ui.data_mut(|data| {
        let kept = data.get_temp::<(f32, u64)>(id).filter(|(_, seen)| seen + 1 >= frame);
        let came = kept.map_or(now, |(came, _)| came);
        data.insert_temp(id, (came, frame));
        came
    })
}

/// Whether a slider was pressed twice, which sets it back.
fn double_clicked(ui: &Ui, response: &Response) -> bool {
    response.contains_pointer() && ui.input(|i| i.pointer.button_double_clicked(egui::PointerButton::Primary))
}

/// Whether a slider came to rest with a new value in this frame: the pointer let go, or a key moved it.
pub(in crate::ui::panels) fn rested(response: &Response) -> bool {
    response.drag_stopped() || (response.changed() && !response.dragged())
}
