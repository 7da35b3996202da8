//! What the pointer show above the canvas: the ring of the brush, the outline of a mass. Greys only.

use super::placing::{Grip, Handles};
use super::{Drag, Pointer};
use crate::study::session::Session;
use crate::ui::canvas_view::transform::View;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme;
use crate::ui::tool_kind::ToolKind;
use egui::{Align2, CursorIcon, FontId, Painter, Pos2, Shape, Stroke, pos2, vec2};
use stint_model::study::protected::Side;

/// Ticks along the edge of a protected area are this far apart, points.
const TICKS_APART: f32 = 14.0;
/// How long they are, points.
const TICK: f32 = 5.0;
/// Width of a handle, points.
const HANDLE: f32 = 9.0;

/// Draws above the canvas; `points` is window pixels per logical point.
#[expect(clippy::cast_possible_truncation, reason = "places on screen in the single precision of egui")]
pub fn draw(pointer: &Pointer, state: &State, panels: &PanelState, view: &View, painter: &Painter, points: f64) {
    let Some(session) = &state.session else { return };
    let to_points = |[x, y]: [f64; 2]| pos2((x / points) as f32, (y / points) as f32);
    let (width, height) = (f64::from(session.document().width), f64::from(session.document().height));
    for line in state.guides.lines() {
        let place =
            |[x, y]: [f32; 2]| to_points(view.window_from_canvas([f64::from(x) * width, f64::from(y) * height]));
        guide(painter, line.map(place));
    }
    panels.draw_veil(painter, |[x, y]| (to_points(view.window_from_canvas([x * width, y * height])), [x, y]));
    let on_screen = |place: [f64; 2]| to_points(view.window_from_canvas(place));
    area(state, session, painter, on_screen);
    if let Some(moving) = session.moving() {
        moved(&Handles::of(&moving, view, points), painter, to_points);
    }
    outline(pointer, view, painter, to_points);
    let brush = session.brush();
    let radius = (f64::from(brush.size_px) / 2.0 * view.scale() / points) as f32;
    if let Some((_, Drag::AdjustBrush { from, .. })) = &pointer.drag {
        let at = to_points(*from);
        ring(painter, at, radius);
        let text = format!("{:.0} px   {:.0} %", brush.size_px, brush.strength * 100.0);
        let below = at + vec2(0.0, (radius + 18.0).min(120.0));
        let galley = painter.layout_no_wrap(text, FontId::proportional(13.0), theme::OVER_PAINT_TEXT);
        let place = Align2::CENTER_CENTER.anchor_size(below, galley.size());
        painter.rect_filled(place.expand2(vec2(8.0, 4.0)), 6.0, theme::OVER_PAINT_GROUND);
        painter.galley(place.min, galley, theme::OVER_PAINT_TEXT);
    } else if let Some(at) = pointer.hover
        && state.tool.gesture().has_ring()
        && view.area.contains(at)
        && !pointer.panning
        && !pointer.picking
        && !panels.sheet_is_open()
        && !panels.crops_canvas()
        && session.moving().is_none()
        && matches!(pointer.drag, None | Some((_, Drag::Stroke(_))))
    {
        ring(painter, to_points(at), radius);
    }
}

/// Which cursor the system shows over the canvas.
pub fn cursor(pointer: &Pointer, state: &State) -> CursorIcon {
    match &pointer.drag {
        None if state.session.as_ref().is_some_and(Session::is_filling) => CursorIcon::Progress,
        Some((_, Drag::Pan { .. } | Drag::Turn { .. })) => CursorIcon::Grabbing,
        Some((_, Drag::Place { placing, .. })) if placing.grip() == Grip::Inside => CursorIcon::Grabbing,
        None if pointer.panning => CursorIcon::Grab,
        Some((
            _,
            Drag::Stroke(_)
            | Drag::Outline { .. }
            | Drag::Place { .. }
            | Drag::Fill
            | Drag::Pick
            | Drag::AdjustBrush { .. },
        ))
        | None => CursorIcon::Crosshair,
    }
}

/// The edge of the protected area, with ticks towards its protected side; dashed while it is put away.
fn area(state: &State, session: &Session, painter: &Painter, on_screen: impl Fn([f64; 2]) -> Pos2) {
    let Some(area) = session.protected_area() else { return };
    let moving = session.moving();
    let protects = session.is_protecting();
    if !protects && moving.is_none() && state.tool != ToolKind::Protect {
        return;
    }
    let place = |place: &[f32; 2]| {
        let place = place.map(f64::from);
        on_screen(moving.map_or(place, |moving| moving.placement.placed(moving.pivot, place)))
    };
    let mut line: Vec<Pos2> = area.outline.iter().map(place).collect();
    line.extend(line.first().copied());
    if !protects {
        return dashed(painter, &line);
    }
    let ticks = ticks(&line, area.paintable);
    for (width, colour) in [(3.0, theme::OVER_PAINT_DARK), (1.0, theme::OVER_PAINT_LIGHT)] {
        painter.line(line.clone(), Stroke::new(width, colour));
        for tick in &ticks {
            painter.line_segment(*tick, Stroke::new(width, colour));
        }
    }
}

/// Short lines from a closed edge towards the side that cannot be painted.
fn ticks(edge: &[Pos2], paintable: Side) -> Vec<[Pos2; 2]> {
    // Twice the area that the edge goes around, below nothing where it goes around the other way.
    let around: f32 = edge.windows(2).map(|w| w[0].x * w[1].y - w[1].x * w[0].y).sum();
    let inwards = if around < 0.0 { -1.0 } else { 1.0 };
    let towards = match paintable {
        Side::Inside => -inwards,
        Side::Outside => inwards,
    };
    let mut ticks = Vec::new();
    let mut until_next = TICKS_APART / 2.0;
    for side in edge.windows(2) {
        let way = side[1] - side[0];
        let length = way.length();
        while until_next < length {
            let at = side[0] + way * (until_next / length);
            ticks.push([at, at + vec2(-way.y, way.x) / length * (towards * TICK)]);
            until_next += TICKS_APART;
        }
        until_next -= length;
    }
    ticks
}

fn dashed(painter: &Painter, line: &[Pos2]) {
    painter.extend(Shape::dashed_line(line, Stroke::new(2.0, theme::OVER_PAINT_DARK), 5.0, 4.0));
    painter.extend(Shape::dashed_line(line, Stroke::new(1.0, theme::OVER_PAINT_LIGHT), 5.0, 4.0));
}

/// The box of what is being moved, with its handles.
fn moved(handles: &Handles, painter: &Painter, to_points: impl Fn([f64; 2]) -> Pos2) {
    let corners = handles.corners.map(&to_points);
    let turn = to_points(handles.turn);
    let mut line = corners.to_vec();
    line.push(corners[0]);
    for (width, colour) in [(3.0, theme::OVER_PAINT_DARK), (1.0, theme::OVER_PAINT_LIGHT)] {
        painter.line(line.clone(), Stroke::new(width, colour));
        painter.line_segment([to_points(handles.sides[0]), turn], Stroke::new(width, colour));
    }
    let rim = Stroke::new(1.5, theme::OVER_PAINT_DARK);
    for at in corners {
        let square = egui::Rect::from_center_size(at, vec2(HANDLE, HANDLE));
        painter.rect(square, 0.0, theme::OVER_PAINT_LIGHT, rim, egui::StrokeKind::Outside);
    }
    for at in handles.sides.map(&to_points) {
        painter.circle(at, HANDLE / 2.5, theme::OVER_PAINT_LIGHT, rim);
    }
    painter.circle(turn, HANDLE / 2.0, theme::OVER_PAINT_LIGHT, rim);
}

/// A guide: a light line beside a dark one, so that it shows on every paint.
fn guide(painter: &Painter, line: [Pos2; 2]) {
    painter.line_segment(line, Stroke::new(2.0, theme::OVER_PAINT_DARK));
    painter.line_segment(line, Stroke::new(1.0, theme::OVER_PAINT_LIGHT));
}

fn ring(painter: &Painter, at: Pos2, radius: f32) {
    // A ring smaller than the crosshair would only hide what is under it.
    if radius >= 3.0 {
        painter.circle_stroke(at, radius + 0.5, Stroke::new(1.0, theme::OVER_PAINT_DARK));
        painter.circle_stroke(at, radius - 0.5, Stroke::new(1.0, theme::OVER_PAINT_LIGHT));
    }
}

fn outline(pointer: &Pointer, view: &View, painter: &Painter, to_points: impl Fn([f64; 2]) -> Pos2) {
    let corners = pointer.outline.corners();
    let (Some(first), Some(last)) = (corners.first(), corners.last()) else { return };
    let place = |c: &[f64; 2]| to_points(view.window_from_canvas(*c));
    let line: Vec<_> = corners.iter().map(place).collect();
    painter.line(line.clone(), Stroke::new(3.0, theme::OVER_PAINT_DARK));
    painter.line(line, Stroke::new(1.0, theme::OVER_PAINT_LIGHT));
    // How it would close.
    let end = pointer.hover.filter(|_| pointer.drag.is_none()).map_or(place(last), &to_points);
    for (from, to) in [(place(last), end), (end, place(first))] {
        painter.extend(Shape::dashed_line(&[from, to], Stroke::new(2.0, theme::OVER_PAINT_DARK), 5.0, 4.0));
        painter.extend(Shape::dashed_line(&[from, to], Stroke::new(1.0, theme::OVER_PAINT_LIGHT), 5.0, 4.0));
    }
    if pointer.drag.is_none() {
        for corner in corners.iter().take(if corners.len() > 64 { 1 } else { corners.len() }) {
            painter.circle(place(corner), 3.0, theme::OVER_PAINT_LIGHT, Stroke::new(1.0, theme::OVER_PAINT_DARK));
        }
    }
}
