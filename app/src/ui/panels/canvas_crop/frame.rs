//! The frame over the canvas: what goes recedes, what comes is ground, and a figure tells the size.

use super::super::reference::photo_input::arrows;
use super::super::widgets;
use super::edges::{CORNERS, Edges, Handle, SIDES};
use crate::ui::canvas_view::transform::View;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{
    Align2, Color32, CornerRadius, CursorIcon, FontId, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo,
    pos2, vec2,
};

/// Side of a handle, points.
const HANDLE: f32 = 11.0;
/// Side of what can be taken hold of, points.
const REACH: f32 = 24.0;
/// Room that is shown around the canvas, as a part of its longer side.
const ROOM: f64 = 0.16;

/// Between canvas pixels and points of the screen.
#[derive(Clone, Copy)]
struct Places<'a> {
    view: &'a View,
    points: f64,
}

impl Places<'_> {
    #[expect(clippy::cast_possible_truncation, reason = "places on screen in the single precision of egui")]
    fn on_screen(self, canvas: [f64; 2]) -> Pos2 {
        let [x, y] = self.view.window_from_canvas(canvas);
        pos2((x / self.points) as f32, (y / self.points) as f32)
    }

    fn on_canvas(self, at: Pos2) -> [f64; 2] {
        self.view.canvas_from_window([f64::from(at.x) * self.points, f64::from(at.y) * self.points])
    }

    fn corners(self, edges: Edges) -> Vec<Pos2> {
        CORNERS.iter().map(|&corner| self.on_screen(edges.place(corner))).collect()
    }
}

/// Draws the frame in the canvas's place, `room`, and follows pointer and keys; `points` is window pixels per logical point. Nothing
/// while the canvas is not being cropped.
pub fn frame(ui: &Ui, state: &State, panels: &mut PanelState, view: &mut View, room: Rect, points: f64) {
    let Some(session) = state.session.as_ref().filter(|_| panels.canvas_crop.open) else { return };
    let ground = theme::paint(session.document().ground.colour);
    let pans = panels.photo_page.pan;
    let crop = &mut panels.canvas_crop;
    let canvas = Edges::of(crop.of);
    if std::mem::take(&mut crop.fresh) {
        show_all(view, canvas);
        ui.ctx().request_repaint();
    }
    let before = crop.now;
    let mut focused = None;
    {
        let places = Places { view, points };
        let size = crop.of;
        let ratio = Some(f64::from(size.0) / f64::from(size.1)).filter(|_| crop.keeps_shape);
        let by_keys = |response: &egui::Response| {
            let (right, down) = response.has_focus().then(|| arrows(ui, response, false)).flatten()?;
            let right = if state.mirror { -right } else { right };
            Some((i32::try_from(right).unwrap_or(0), i32::try_from(down).unwrap_or(0)))
        };
        // What lies inside moves all of it; the handles come after and lie above.
        let shown = Rect::from_points(&places.corners(before)).intersect(room);
        let inside = ui.interact(shown, ui.scope_id().with("canvas crop"), Sense::drag());
        inside.widget_info(|| WidgetInfo::labeled(Role::Button, true, wording::CANVAS_FRAME));
        if inside.drag_started()
            && let Some(at) = ui.input(|i| i.pointer.press_origin())
        {
            crop.grabbed = Some((places.on_canvas(at), before));
        }
        if let Some((from, was)) = crop.grabbed.filter(|_| inside.dragged() && !pans)
            && let Some(at) = inside.interact_pointer_pos()
        {
            let to = places.on_canvas(at);
            crop.now = was.moved(rounded(to[0] - from[0]), rounded(to[1] - from[1]), size);
        }
        if let Some((right, down)) = by_keys(&inside) {
            crop.now = crop.now.moved(right, down, size);
        }
        if inside.has_focus() {
            focused = Some((0, 0));
        }
        for handle in handles(crop.keeps_shape) {
            let at = places.on_screen(before.place(handle));
            let rect = Rect::from_center_size(at, vec2(REACH, REACH)).intersect(room.expand(REACH));
            let response = ui.interact(rect, ui.scope_id().with(("canvas crop", handle)), Sense::click_and_drag());
            let across = if state.mirror { -handle.0 } else { handle.0 };
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, wording::canvas_handle(across, handle.1)));
            if let Some(at) = response.interact_pointer_pos().filter(|_| response.dragged() && !pans) {
                crop.now = crop.now.pulled(handle, places.on_canvas(at), ratio, size);
            }
            if let Some((right, down)) = by_keys(&response) {
                let [x, y] = crop.now.place(handle);
                let slope = ratio.map(|ratio| ratio * f64::from(handle.0) * f64::from(handle.1));
                // With its shape kept a corner follows the key that was pressed.
                let (right, down) = match slope {
                    Some(slope) if down == 0 => (f64::from(right), f64::from(right) / slope),
                    Some(slope) => (f64::from(down) * slope, f64::from(down)),
                    None => (f64::from(right), f64::from(down)),
                };
                crop.now = crop.now.pulled(handle, [x + right, y + down], ratio, size);
            }
            if response.has_focus() {
                focused = Some(handle);
            }
            response.on_hover_cursor(match (across, handle.1) {
                (0, _) => CursorIcon::ResizeVertical,
                (_, 0) => CursorIcon::ResizeHorizontal,
                (x, y) if x == y => CursorIcon::ResizeNwSe,
                _ => CursorIcon::ResizeNeSw,
            });
        }
        let painter = ui.painter_at(room);
        draw(&painter, places, canvas, crop.now, ground);
        for handle in handles(crop.keeps_shape) {
            draw_handle(&painter, places.on_screen(crop.now.place(handle)), focused == Some(handle));
        }
        if focused == Some((0, 0)) {
            widgets::focus_ring(ui, &inside, shown.shrink(6.0));
        }
        let below = Rect::from_points(&places.corners(crop.now)).intersect(room);
        figure(&painter, below, wording::pixel_size(crop.now.width(), crop.now.height()));
    }
    crop.has_keyboard = focused.is_some();
    if crop.now != before {
        let now = crop.now;
        crop.set(now);
        ui.ctx().request_repaint();
    }
    // What was pulled or written out of sight comes into it, once it rests.
    let now = crop.now;
    if now != crop.looked_at && !ui.input(|i| i.pointer.any_down()) {
        crop.looked_at = now;
        let places = Places { view, points };
        if now.part(crop.of).is_some() && places.corners(now).into_iter().any(|corner| !room.contains(corner)) {
            show_all(view, now.with(canvas));
            ui.ctx().request_repaint();
        }
    }
}

/// The handles that there are: with the shape kept no side is pulled alone.
fn handles(keeps_shape: bool) -> impl Iterator<Item = Handle> {
    let sides = if keeps_shape { &[][..] } else { &SIDES };
    CORNERS.iter().chain(sides).copied()
}

#[expect(clippy::cast_possible_truncation, reason = "a way on the screen in canvas pixels; the cast saturates")]
fn rounded(by: f64) -> i32 {
    by.round() as i32
}

/// Shows a part of the canvas and what lies around it, with room to pull.
fn show_all(view: &mut View, edges: Edges) {
    let room = f64::from(edges.width().max(edges.height())) * ROOM;
    let [left, top, right, bottom] = [edges.left, edges.top, edges.right, edges.bottom].map(f64::from);
    view.show([left - room, top - room, right + room, bottom + room]);
}

/// What goes recedes, what comes is ground; the frame lies around what will be the canvas.
fn draw(painter: &Painter, places: Places<'_>, canvas: Edges, now: Edges, ground: Color32) {
    let fill = |edges: Edges, colour: Color32| {
        painter.add(Shape::convex_polygon(places.corners(edges), colour, Stroke::NONE));
    };
    now.beside(canvas).for_each(|part| fill(part, ground));
    canvas.beside(now).for_each(|part| fill(part, theme::RECEDES));
    for stroke in [Stroke::new(3.0, theme::ON_LIGHT), Stroke::new(1.5, theme::BRIGHT)] {
        painter.add(Shape::closed_line(places.corners(now), stroke));
    }
}

fn draw_handle(painter: &Painter, at: Pos2, focused: bool) {
    let side = if focused { HANDLE + 5.0 } else { HANDLE };
    let square = Rect::from_center_size(at, vec2(side, side));
    painter.rect_filled(square, CornerRadius::ZERO, theme::ON_LIGHT);
    painter.rect_filled(square.shrink(1.5), CornerRadius::ZERO, theme::BRIGHT);
}

/// The size in pixels, in the middle of the frame.
fn figure(painter: &Painter, frame: Rect, words: String) {
    let galley = painter.layout_no_wrap(words, FontId::proportional(theme::SMALL), theme::OVER_PAINT_TEXT);
    let place = Align2::CENTER_CENTER.anchor_size(frame.center(), galley.size());
    painter.rect_filled(place.expand2(vec2(8.0, 4.0)), 6.0, theme::OVER_PAINT_GROUND);
    painter.galley(place.min, galley, theme::OVER_PAINT_TEXT);
}
