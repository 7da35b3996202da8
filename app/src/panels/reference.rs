//! The reference panel: the photo with its adjustments. A spot is held by a click, a surface outlined by a drag.

use super::loupe;
use super::parts::{self, Pill};
use super::photo::{self, Seen};
use crate::command::Command;
use crate::state::State;
use crate::{theme, wording};
use egui::{CornerRadius, Event, Pos2, Rect, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use stint_model::photo::Adjustments;

/// Tallest the photo is shown, as a part of the panel's width.
const MAX_HEIGHT: f32 = 0.76;
/// Distance of two corners of an outline, points on the screen.
const CORNER_STEP: f32 = 3.0;

/// The panel.
pub(super) fn panel(state: &mut State, ui: &mut Ui) {
    let seen = photo::seen(state);
    let has_photo = seen.is_some();
    let away = (wording::PUT_AWAY, wording::PUT_REFERENCE_AWAY);
    let change = (wording::CHANGE, wording::CHANGE_PHOTO);
    let actions = if has_photo { vec![change, away] } else { vec![away] };
    let pressed = parts::heading_with(ui, wording::REFERENCE, &actions);
    if pressed == Some(actions.len() - 1) {
        state.panels.reference_away = true;
    } else if pressed.is_some() {
        state.panels.photo.change = !state.panels.photo.change;
    }
    if !has_photo || state.panels.photo.change {
        path_field(state, ui, has_photo);
    }
    let Some(seen) = seen else { return };
    show_photo(state, ui, &seen);
    adjustments(state, ui, seen.adjustments);
    loupe::section(state, ui, &seen);
}

fn path_field(state: &mut State, ui: &mut Ui, has_photo: bool) {
    if !has_photo {
        parts::quiet(ui, wording::NO_PHOTO);
    }
    let mut path = std::mem::take(&mut state.panels.photo.path);
    let field = parts::field(ui, wording::PHOTO_PATH, &mut path);
    let enter = parts::entered(ui, &field);
    let pressed = parts::pill(ui, wording::TAKE_IN, Pill::Second).clicked();
    state.panels.photo.path = path;
    if (pressed || enter) && !state.panels.photo.path.trim().is_empty() {
        let path = state.panels.photo.path.trim().to_owned();
        if state.apply(&Command::Reference(path)) {
            forget_spots(state);
            state.panels.photo.path.clear();
            state.panels.photo.change = false;
        }
    }
}

/// Forgets what belonged to another photo.
pub(super) fn forget_spots(state: &mut State) {
    let part = &mut state.panels.loupe;
    (part.held, part.under, part.drawing) = (None, None, false);
    part.outline.clear();
}

fn show_photo(state: &mut State, ui: &mut Ui, seen: &Seen) {
    let (width, height) = (seen.photo.width_px() as f32, seen.photo.height_px() as f32);
    let room = ui.available_width();
    let scale = (room / width).min(room * MAX_HEIGHT / height);
    let (rect, response) = ui.allocate_exact_size(vec2(width, height) * scale, Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, wording::PHOTO));
    let texture = state.panels.photo.texture(ui, seen, rect.width().max(rect.height()));
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    ui.painter().image(texture.id(), rect, whole, egui::Color32::WHITE);
    point_and_outline(state, ui, seen, rect, &response);
    marks(state, ui, seen, rect);
    parts::focus_ring(ui, &response, rect);
}

/// The photo pixel under a point of the panel.
fn pixel_at(seen: &Seen, rect: Rect, at: Pos2) -> (f32, f32) {
    let part = (at - rect.min) / rect.size();
    let (width, height) = (seen.photo.width_px() as f32, seen.photo.height_px() as f32);
    ((part.x * width).clamp(0.0, width), (part.y * height).clamp(0.0, height))
}

fn whole_pixel(seen: &Seen, (x, y): (f32, f32)) -> (u32, u32) {
    ((x as u32).min(seen.photo.width_px() - 1), (y as u32).min(seen.photo.height_px() - 1))
}

fn point_and_outline(state: &mut State, ui: &Ui, seen: &Seen, rect: Rect, response: &Response) {
    let part = &mut state.panels.loupe;
    part.under = response.hover_pos().filter(|_| !part.drawing).map(|at| whole_pixel(seen, pixel_at(seen, rect, at)));
    if response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        part.held = Some(whole_pixel(seen, pixel_at(seen, rect, at)));
        part.outline.clear();
    }
    if response.drag_started() {
        part.outline.clear();
        part.drawing = true;
        if let Some(from) = ui.input(|i| i.pointer.press_origin()) {
            part.outline.push(pixel_at(seen, rect, from));
        }
    }
    if response.dragged() {
        let step = CORNER_STEP * seen.photo.width_px() as f32 / rect.width();
        for at in ui.input(|i| drawn(&i.events)) {
            let at = pixel_at(seen, rect, at);
            if part.outline.last().is_none_or(|last| (last.0 - at.0).hypot(last.1 - at.1) >= step) {
                part.outline.push(at);
            }
        }
    }
    if response.drag_stopped() {
        part.drawing = false;
    }
    if response.has_focus() {
        move_spot(state, ui, seen, response);
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

/// Arrow keys move the held spot by one photo pixel, with Shift by ten.
fn move_spot(state: &mut State, ui: &Ui, seen: &Seen, response: &Response) {
    let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let steps = |key| ui.input(|i| i.num_presses(key)) as i64;
    let by = if ui.input(|i| i.modifiers.shift) { 10 } else { 1 };
    let right = steps(egui::Key::ArrowRight) - steps(egui::Key::ArrowLeft);
    let down = steps(egui::Key::ArrowDown) - steps(egui::Key::ArrowUp);
    if right != 0 || down != 0 {
        let (width, height) = (seen.photo.width_px(), seen.photo.height_px());
        let (x, y) = state.panels.loupe.held.unwrap_or((width / 2, height / 2));
        let moved =
            |from: u32, steps: i64, size: u32| (i64::from(from) + steps * by).clamp(0, i64::from(size) - 1) as u32;
        state.panels.loupe.held = Some((moved(x, right, width), moved(y, down, height)));
    }
}

/// The held spot and the outline, each light on dark so that they show on any photo.
fn marks(state: &State, ui: &Ui, seen: &Seen, rect: Rect) {
    let part = &state.panels.loupe;
    let size = vec2(seen.photo.width_px() as f32, seen.photo.height_px() as f32);
    let place = |x: f32, y: f32| rect.min + vec2(x, y) / size * rect.size();
    let strokes = [Stroke::new(3.0, theme::ON_LIGHT), Stroke::new(1.5, theme::BRIGHT)];
    let painter = ui.painter_at(rect);
    if part.outline.len() > 1 {
        let points: Vec<_> = part.outline.iter().map(|&(x, y)| place(x, y)).collect();
        for stroke in strokes {
            let open = part.drawing;
            painter.add(if open {
                Shape::line(points.clone(), stroke)
            } else {
                Shape::closed_line(points.clone(), stroke)
            });
        }
    }
    if let Some((x, y)) = part.held {
        for stroke in strokes {
            painter.circle_stroke(place(x as f32 + 0.5, y as f32 + 0.5), 5.0, stroke);
        }
    }
    painter.rect_stroke(rect, CornerRadius::ZERO, Stroke::new(1.0, theme::BAR), egui::StrokeKind::Inside);
}

fn adjustments(state: &mut State, ui: &mut Ui, shown: Adjustments) {
    let mut now = shown;
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 6.0;
        let words = wording::degrees(now.hue_turn);
        let turn = parts::slider(ui, wording::HUE_TURN, &words, &mut now.hue_turn, -180.0..=180.0, false);
        let words = wording::pixels_1(now.soften);
        let soften = parts::slider(ui, wording::SOFTEN, &words, &mut now.soften, 0.0..=3.0, false);
        // A middle that can be found again, and steps a slider this wide can show.
        now.hue_turn = now.hue_turn.round();
        now.soften = (now.soften * 20.0).round() / 20.0;
        let moves = turn.dragged() || soften.dragged();
        if parts::rested(&turn) || parts::rested(&soften) {
            state.panels.photo.preview = None;
            let Adjustments { hue_turn, soften } = now;
            state.apply(&Command::Adjust { hue_turn, soften });
        } else if moves {
            state.panels.photo.preview = Some(now);
        }
    });
}
