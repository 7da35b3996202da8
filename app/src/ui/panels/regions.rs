//! Regions of the window: strips cut off a rectangle, grounds, columns that scroll.

use crate::ui::state::State;
use crate::ui::theme;
use egui::{Rect, Ui, UiBuilder};

/// Width of free colour in a narrow window while it is shut, points.
pub(super) const SHUT_FREE: f32 = 164.0;

/// A side of the window.
#[derive(Clone, Copy)]
pub(super) enum Side {
    Top,
    Bottom,
    Left,
    Right,
}

/// The sides of photo and tools, and of readout and free colour.
pub(super) fn sides(state: &State) -> (Side, Side) {
    if state.preferences.left_handed { (Side::Right, Side::Left) } else { (Side::Left, Side::Right) }
}

/// Cuts a strip off a rectangle; a strip wider than what is left takes it all.
pub(super) fn cut(rest: &mut Rect, side: Side, size: f32) -> Rect {
    let mut strip = *rest;
    match side {
        Side::Top => {
            rest.min.y = (rest.min.y + size).min(rest.max.y);
            strip.max.y = rest.min.y;
        }
        Side::Bottom => {
            rest.max.y = (rest.max.y - size).max(rest.min.y);
            strip.min.y = rest.max.y;
        }
        Side::Left => {
            rest.min.x = (rest.min.x + size).min(rest.max.x);
            strip.max.x = rest.min.x;
        }
        Side::Right => {
            rest.max.x = (rest.max.x - size).max(rest.min.x);
            strip.min.x = rest.max.x;
        }
    }
    strip
}

/// A region of the window with its ground.
pub(super) fn place(ui: &mut Ui, name: &str, rect: Rect, ground: egui::Color32, content: impl FnOnce(&mut Ui)) {
    // The identity hangs on the name alone: a field keeps the keyboard when a notice comes or goes.
    let id = egui::Id::unique("region").with(name);
    let mut inside = ui.new_child(UiBuilder::new().max_rect(rect).scope_id(id));
    inside.set_clip_rect(rect.intersect(ui.clip_rect()));
    inside.painter().rect_filled(rect, 0.0, ground);
    // The ground takes the pointer, so that a press beside a control never reaches the canvas.
    inside.interact(rect, inside.scope_id().with("ground"), egui::Sense::hover());
    content(&mut inside);
}

/// A column within the margins of a side, which scrolls when the window is low.
pub(super) fn column(ui: &mut Ui, content: impl FnOnce(&mut Ui)) {
    let all = ui.max_rect();
    scrolling(ui, Rect::from_min_max(all.min + egui::vec2(0.0, 10.0), all.max), content);
}

/// A part of a side that scrolls when it is too low for its content.
pub(super) fn scrolling(ui: &mut Ui, all: Rect, content: impl FnOnce(&mut Ui)) {
    // The scroll bar lies in the margin, beside what scrolls and not on it.
    let room = Rect::from_min_max(all.min + egui::vec2(theme::MARGIN, 0.0), all.max - egui::vec2(2.0, 0.0));
    let mut inside = ui.new_child(UiBuilder::new().max_rect(room).id_salt("scrolling"));
    // The clip leaves room for focus rings and for the free share, which stands out of the bar.
    inside.set_clip_rect(Rect::from_min_max(all.min + egui::vec2(4.0, 0.0), all.max).intersect(ui.clip_rect()));
    egui::ScrollArea::vertical().auto_shrink(false).show(&mut inside, |ui| {
        ui.set_max_width(all.width() - 2.0 * theme::MARGIN);
        content(ui);
        ui.add_space(theme::STEP);
    });
}
