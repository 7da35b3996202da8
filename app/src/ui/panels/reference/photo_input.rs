//! What pointer and keys do on the photo: hold a spot, outline a surface by hand or by corners.

use super::loupe_state::{LoupeState, OutlineMode};
use super::photo_transform::PhotoTransform;
use crate::ui::panels::PanelState;
use egui::{Event, EventFilter, Key, PointerButton, Pos2, Response, Ui};

/// Distance of two corners of an outline drawn by hand, points on the screen.
const CORNER_STEP: f32 = 3.0;
/// A corner this near to the first one closes the outline, points on the screen.
const CLOSES: f32 = 8.0;

/// Takes what happened on the photo in this frame.
pub(super) fn take_input(panels: &mut PanelState, ui: &Ui, transform: &PhotoTransform, response: &Response) {
    let loupe = &mut panels.loupe;
    loupe.under = response.hover_pos().filter(|_| loupe.drawing != OutlineMode::Freehand).map(|at| transform.pixel(at));
    let corners = loupe.by_corners || loupe.drawing == OutlineMode::Corners || ui.input(|i| i.modifiers.command);
    if response.clicked() && ui.input(|i| i.pointer.primary_clicked()) {
        if let Some(at) = response.interact_pointer_pos() {
            match (corners, response.double_clicked()) {
                (true, true) => loupe.close_corners(),
                (true, false) => {
                    corner(loupe, transform, at);
                    loupe.held = None;
                }
                (false, _) => {
                    loupe.hold(transform.pixel(at));
                    loupe.writes_family = true;
                }
            }
        }
    } else if response.clicked() && corners && !ui.input(|i| i.key_pressed(Key::Enter)) {
        // Without a pointer the held spot is where the corner goes.
        let at = loupe.held.unwrap_or_else(|| transform.middle());
        corner(loupe, transform, transform.middle_of(at));
    } else if response.clicked() && !corners {
        // By keys it is moved until it lies well, and then named.
        loupe.writes_family = loupe.held.is_some();
    }
    if corners {
        // A click that slipped is still a corner.
        if response.drag_stopped_by(PointerButton::Primary)
            && let Some(at) = response.interact_pointer_pos()
        {
            corner(loupe, transform, at);
        }
    } else {
        by_hand(loupe, ui, transform, response);
    }
    if response.has_focus() {
        keys(loupe, ui, transform, response);
    }
}

fn corner(loupe: &mut LoupeState, transform: &PhotoTransform, at: Pos2) {
    if loupe.drawing != OutlineMode::Corners {
        loupe.clear_outline();
        loupe.drawing = OutlineMode::Corners;
    }
    let first = loupe.outline.first().map(|&first| transform.on_screen(first));
    if loupe.outline.len() > 2 && first.is_some_and(|first| first.distance(at) < CLOSES) {
        loupe.close_corners();
    } else {
        loupe.outline.push(transform.on_photo(at));
    }
}

fn by_hand(loupe: &mut LoupeState, ui: &Ui, transform: &PhotoTransform, response: &Response) {
    if response.drag_started_by(PointerButton::Primary) {
        loupe.clear_outline();
        loupe.drawing = OutlineMode::Freehand;
        if let Some(from) = ui.input(|i| i.pointer.press_origin()) {
            loupe.outline.push(transform.on_photo(from));
        }
    }
    if loupe.drawing != OutlineMode::Freehand {
        return;
    }
    if response.dragged_by(PointerButton::Primary) {
        let step = CORNER_STEP / transform.scale();
        for at in ui.input(|i| drawn(&i.events)) {
            let at = transform.on_photo(at);
            if loupe.outline.last().is_none_or(|last| (last.0 - at.0).hypot(last.1 - at.1) >= step) {
                loupe.outline.push(at);
            }
        }
    }
    if response.drag_stopped_by(PointerButton::Primary) {
        (loupe.drawing, loupe.writes_family) = (OutlineMode::None, true);
    }
}

/// Where the pointer went in this frame while a drag was on: every place, so that an outline keeps its corners however long a
/// frame takes.
fn drawn(events: &[Event]) -> Vec<Pos2> {
    let press = |e: &Event| matches!(e, Event::PointerButton { pressed: true, .. });
    let from = events.iter().rposition(press).map_or(0, |i| i + 1);
    let moves = events[from..].iter().take_while(|e| !matches!(e, Event::PointerButton { .. }));
    let places = moves.filter_map(|e| match e {
        Event::PointerMoved(at) => Some(*at),
        _ => None,
    });
    places.collect()
}

/// The keys of the photo while it has the keyboard. Arrow keys move the held spot.
fn keys(loupe: &mut LoupeState, ui: &Ui, transform: &PhotoTransform, response: &Response) {
    let drawing = loupe.drawing == OutlineMode::Corners;
    if let Some(by) = arrows(ui, response, drawing) {
        let from = loupe.held.unwrap_or_else(|| transform.middle());
        let moved = transform.moved(from, by);
        if drawing || !loupe.outline.is_empty() {
            loupe.held = Some(moved);
        } else {
            loupe.hold(moved);
        }
    }
    if drawing {
        let pressed = |key| ui.input(|i| i.key_pressed(key));
        if pressed(Key::Enter) {
            loupe.close_corners();
        } else if pressed(Key::Backspace) {
            loupe.corner_back();
        } else if pressed(Key::Escape) {
            loupe.clear_outline();
        }
    }
}

/// How far the arrow keys move what has the keyboard: a photo pixel a press to the right and down, with Shift ten.
pub(in crate::ui::panels) fn arrows(ui: &Ui, response: &Response, escape: bool) -> Option<(i64, i64)> {
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, escape, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let steps = |key| ui.input(|i| i.num_presses(key)) as i64;
    let by = if ui.input(|i| i.modifiers.shift) { 10 } else { 1 };
    let right = steps(Key::ArrowRight) - steps(Key::ArrowLeft);
    let down = steps(Key::ArrowDown) - steps(Key::ArrowUp);
    ((right, down) != (0, 0)).then_some((right * by, down * by))
}
