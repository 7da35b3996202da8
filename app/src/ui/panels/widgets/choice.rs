//! One of several: troughs, rows of pills, rows of full width.

use super::button::{PILL, PILL_PADDING, Pill, pill_named, pill_padded};
use super::mark::focus_ring;
use super::words::{clipped, line, text_width};
use crate::ui::theme::{self, Weight};
use egui::{Align2, CornerRadius, Rect, Response, Role, Sense, Shape, Ui, WidgetInfo, vec2};

/// What a pill is wider than its words in a narrow place, points.
const NARROW_PADDING: f32 = 14.0;

/// The least of it, points.
const LEAST_PADDING: f32 = 6.0;

/// A choice of a few in one trough, one of them chosen; tells which was pressed.
pub(in crate::ui::panels) fn segments<T: Copy + PartialEq>(
    ui: &mut Ui,
    chosen: Option<T>,
    of: &[(T, &str)],
) -> Option<T> {
    let of: Vec<_> = of.iter().map(|&(value, label)| (value, label, "")).collect();
    hinted_segments(ui, chosen, &of)
}

/// The same with a hint for each, which shows where the pointer rests.
pub(in crate::ui::panels) fn hinted_segments<T: Copy + PartialEq>(
    ui: &mut Ui,
    chosen: Option<T>,
    of: &[(T, &str, &str)],
) -> Option<T> {
    let inset = 3.0;
    let words: f32 = of.iter().map(|(_, label, _)| text_width(ui, label)).sum();
    let padding = ((ui.available_width() - 2.0 * inset - words) / of.len() as f32).clamp(LEAST_PADDING, PILL_PADDING);
    let trough = ui.painter().add(Shape::Noop);
    let mut pressed = None;
    let inner = ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        ui.set_height(PILL + 2.0 * inset);
        ui.add_space(inset);
        for &(value, label, hint) in of {
            let response = pill_padded(ui, label, label, Pill::Choice(chosen == Some(value)), padding);
            if hinted(response, hint).clicked() {
                pressed = Some(value);
            }
        }
        ui.add_space(inset);
    });
    let shape = Shape::rect_filled(inner.response.rect, CornerRadius::same(theme::CORNER + 2), theme::FIELD);
    ui.painter().set(trough, shape);
    pressed
}

/// A hint that shows beside a control where the pointer rests; nothing where it is empty.
fn hinted(response: Response, hint: &str) -> Response {
    if hint.is_empty() { response } else { response.on_hover_text(hint) }
}

/// A row of pills, one of them chosen; tells which was pressed.
pub(in crate::ui::panels) fn choices<T: Copy + PartialEq>(
    ui: &mut Ui,
    chosen: Option<T>,
    of: &[(T, &str, &str)],
) -> Option<T> {
    in_trough(ui, of, |ui, &(value, label, name)| {
        (pill_named(ui, label, name, Pill::Choice(chosen == Some(value))), value)
    })
}

/// Pills side by side on the dark ground that holds them together; tells which was pressed.
fn in_trough<T: Copy, O>(ui: &mut Ui, of: &[O], one: impl Fn(&mut Ui, &O) -> (Response, T)) -> Option<T> {
    let trough = ui.painter().add(Shape::Noop);
    let (mut pressed, mut all) = (None, Rect::NOTHING);
    for option in of {
        let (response, value) = one(ui, option);
        all |= response.rect;
        if response.clicked() {
            pressed = Some(value);
        }
    }
    ui.painter().set(trough, Shape::rect_filled(all, CornerRadius::same(theme::CORNER), theme::FIELD));
    pressed
}

/// The same in a narrow place, with a hint for each.
pub(in crate::ui::panels) fn narrow_choices<T: Copy + PartialEq>(
    ui: &mut Ui,
    chosen: T,
    of: &[(T, &str, &str)],
) -> Option<T> {
    // As roomy as there is room for.
    let words: f32 = of.iter().map(|(_, label, _)| text_width(ui, label)).sum();
    let gaps = ui.spacing().item_spacing.x * (of.len() as f32 - 1.0);
    let padding =
        ((ui.available_width() - words - gaps) / of.len() as f32).floor().clamp(LEAST_PADDING, NARROW_PADDING);
    in_trough(ui, of, |ui, &(value, label, hint)| {
        (hinted(pill_padded(ui, label, label, Pill::Choice(chosen == value), padding), hint), value)
    })
}

/// A row of full width that can be chosen: words on the left, quiet words on the right.
pub(in crate::ui::panels) fn row(ui: &mut Ui, label: &str, right: &str, name: &str, chosen: bool) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 30.0), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, ui.is_enabled(), chosen, name));
    let ground = match (chosen, response.hovered()) {
        (true, _) => theme::ROW_CHOSEN,
        (false, true) => theme::ROW_HOVERED,
        (false, false) => theme::ROW,
    };
    ui.painter().rect_filled(rect, CornerRadius::same(theme::CORNER), ground);
    let right_colour = if response.hovered() { theme::TEXT } else { theme::QUIET };
    let (colour, right_colour) = if chosen { (theme::BRIGHT, theme::STRONG) } else { (theme::STRONG, right_colour) };
    let right_width =
        line(ui, rect.right_center() - vec2(10.0, 0.0), Align2::RIGHT_CENTER, right, right_colour).width();
    let room = Rect::from_min_max(rect.min + vec2(10.0, 0.0), rect.max - vec2(right_width + 18.0, 0.0));
    clipped(ui, room, label, theme::font(theme::SMALL, Weight::Medium), colour);
    focus_ring(ui, &response, rect);
    response
}
