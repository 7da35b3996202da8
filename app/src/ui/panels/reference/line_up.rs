//! Four handles on the photo: the corners of the canvas, where it shows a part of the photo.

use super::DisplayedPhoto;
use super::photo_transform::PhotoTransform;
use crate::study::command::Command;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{CornerRadius, EventFilter, Key, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, vec2};
use stint_model::photo::Framing;

/// Side of a handle, points.
const HANDLE: f32 = 11.0;
/// Side of what can be taken hold of, points.
const REACH: f32 = 24.0;
/// A press of an arrow key moves a corner by this part of the photo's longer side.
const KEY_STEP: f32 = 1.0 / 200.0;

/// The handles, while they show.
#[derive(Default)]
pub(in crate::ui::panels) struct LineUpState {
    /// Whether they show.
    pub open: bool,
    /// Where they are while one is pulled.
    pulled: Option<[(f32, f32); 4]>,
}

/// Lines the canvas up with all that is used of the photo again.
pub(super) fn whole(state: &mut State, panels: &mut PanelState, seen: &DisplayedPhoto) {
    panels.line_up.pulled = None;
    if corners(state, seen) != Framing::part(seen.part()).corners_px() {
        state.apply(&Command::LineUp { corners: None });
    }
}

fn corners(state: &State, seen: &DisplayedPhoto) -> [(f32, f32); 4] {
    let whole = || Framing::part(seen.part());
    state.session.as_ref().map_or_else(whole, |session| session.framing(&seen.photo)).corners_px()
}

/// Shows the handles over the photo and pulls them.
pub(super) fn handles(
    state: &mut State,
    panels: &mut PanelState,
    ui: &Ui,
    seen: &DisplayedPhoto,
    transform: &PhotoTransform,
) {
    let mut now = panels.line_up.pulled.unwrap_or_else(|| corners(state, seen));
    let before = now;
    let mut rests = false;
    let mut focused = None;
    for (i, name) in wording::CANVAS_CORNERS.iter().enumerate() {
        let rect = Rect::from_center_size(transform.on_screen(now[i]), vec2(REACH, REACH));
        let response = ui.interact(rect, ui.scope_id().with(("canvas corner", i)), Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, *name));
        if let Some(at) = response.interact_pointer_pos().filter(|_| response.dragged()) {
            now[i] = transform.on_photo(at);
        }
        if response.has_focus() {
            focused = Some(i);
            let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
            ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
            let presses = |key| ui.input(|input| input.num_presses(key)) as f32;
            let step = KEY_STEP * seen.size().max_elem();
            let (right, down) =
                (presses(Key::ArrowRight) - presses(Key::ArrowLeft), presses(Key::ArrowDown) - presses(Key::ArrowUp));
            let right = if seen.mirror { -right } else { right };
            if right != 0.0 || down != 0.0 {
                let part = seen.part();
                let moved =
                    |at: f32, by: f32, from: u32, size: u32| (at + by * step).clamp(from as f32, (from + size) as f32);
                now[i] = (moved(now[i].0, right, part.x, part.width_px), moved(now[i].1, down, part.y, part.height_px));
                rests = true;
            }
        }
        rests |= response.drag_stopped();
    }
    if now != before {
        panels.line_up.pulled = Some(now);
        ui.ctx().request_repaint();
    }
    if rests {
        // What is refused says so, and the handles go back.
        panels.line_up.pulled = None;
        if now != corners(state, seen) {
            state.apply(&Command::LineUp { corners: Some(now) });
        }
    }
    let painter = ui.painter_at(transform.clip);
    let places = now.map(|corner| transform.on_screen(corner));
    for stroke in [Stroke::new(3.0, theme::ON_LIGHT), Stroke::new(1.5, theme::BRIGHT)] {
        painter.add(Shape::closed_line(places.to_vec(), stroke));
    }
    for (i, place) in places.into_iter().enumerate() {
        let side = if focused == Some(i) { HANDLE + 5.0 } else { HANDLE };
        let square = Rect::from_center_size(place, vec2(side, side));
        painter.rect_filled(square, CornerRadius::ZERO, theme::ON_LIGHT);
        painter.rect_filled(square.shrink(1.5), CornerRadius::ZERO, theme::BRIGHT);
    }
}
