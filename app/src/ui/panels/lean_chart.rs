//! Light and shadow at a glance: a line a family from its shadow to its light along cool and warm, and beside it the values it spans.
//!
//! Greys alone say how a family leans: a plain line with a filled point leans with the light of the day, a dashed one with an open
//! point the other way. Colours are those of the swatches.

use super::widgets;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align2, Color32, CornerRadius, Painter, Pos2, Rect, Role as Accessible, Sense, Shape, Stroke, Ui, WidgetInfo, pos2,
    vec2,
};
use stint_model::board::lean::{Lean, lean};
use stint_model::board::{Board, Family, LightOfDay, Role, Swatch};
use stint_model::colour::warmth::warmth;
use stint_model::ids::SwatchId;

/// Height of a family's line, points.
const ROW: f32 = 20.0;
/// Height of the words above the lines, points.
const HEAD: f32 = 18.0;
/// Part of the width that names take, and the warmth after them.
const NAMES: f32 = 0.34;
const WARMTHS: f32 = 0.36;
/// Radius of a swatch's dot, points; that of the light is larger.
const DOT: f32 = 3.0;
const LIGHT_DOT: f32 = 4.5;
/// Least width of the scale of warmth, OKLab units: a lean too small to be seen must not look large.
const LEAST_SCALE: f32 = 0.08;

/// The chart of the board that shows now; gives the swatches of the family under the pointer or with the keyboard.
pub(super) fn chart(state: &State, ui: &mut Ui) -> Vec<SwatchId> {
    let Some(board) = state.shown_board() else { return Vec::new() };
    if board.swatches().next().is_none() {
        widgets::quiet(ui, wording::NO_SWATCHES_TO_LEAN);
        return Vec::new();
    }
    let width = ui.available_width();
    let (head, _) = ui.allocate_exact_size(vec2(width, HEAD), Sense::hover());
    let columns = Columns::of(head);
    headings(ui, board, head, columns);
    let scale = Scale::of(board);
    let mut lit = Vec::new();
    for family in board.families.iter().filter(|f| !f.swatches.is_empty()) {
        if row(state, ui, board, family, &scale) {
            lit = family.swatches.iter().map(|s| s.id).collect();
        }
    }
    lit
}

/// Where the two scales lie, from left to right.
#[derive(Clone, Copy)]
struct Columns {
    names: f32,
    warmth: [f32; 2],
    value: [f32; 2],
}

impl Columns {
    fn of(rect: Rect) -> Self {
        let (left, width) = (rect.left(), rect.width());
        let warmth = left + NAMES * width;
        let value = warmth + WARMTHS * width;
        Columns { names: warmth - 6.0, warmth: [warmth + LIGHT_DOT, value - 12.0], value: [value, rect.right() - 2.0] }
    }
}

/// The scale of warmth.
struct Scale {
    middle: f32,
    half: f32,
}

impl Scale {
    fn of(board: &Board) -> Self {
        let warmths = || board.swatches().map(|(_, s)| warmth(s.colour));
        let (low, high) = (warmths().fold(f32::INFINITY, f32::min), warmths().fold(f32::NEG_INFINITY, f32::max));
        Scale { middle: f32::midpoint(low, high), half: (high - low).max(LEAST_SCALE) / 2.0 }
    }

    fn place(&self, [left, right]: [f32; 2], warmth: f32) -> f32 {
        let part = ((warmth - self.middle) / self.half + 1.0) / 2.0;
        egui::lerp(left..=right, part.clamp(0.0, 1.0))
    }
}

fn headings(ui: &Ui, board: &Board, head: Rect, columns: Columns) {
    let font = theme::font(theme::TINY, Weight::Regular);
    let words = |x: f32, align: Align2, words: &str| {
        ui.painter().text(pos2(x, head.top()), align, words, font.clone(), theme::QUIET);
    };
    words(columns.warmth[0] - LIGHT_DOT, Align2::LEFT_TOP, wording::COOL_END);
    words(columns.warmth[1], Align2::RIGHT_TOP, wording::WARM_END);
    words(columns.value[0], Align2::LEFT_TOP, wording::DARK_END);
    words(columns.value[1], Align2::RIGHT_TOP, wording::LIGHT_END);
    // Which way lights lie from their shadows under the light of the day.
    let [left, right] = columns.warmth;
    let y = head.bottom() - 3.0;
    let arrow = match board.light {
        LightOfDay::Warm => [left, right],
        LightOfDay::Cool => [right, left],
        LightOfDay::Neutral => return,
    };
    let stroke = Stroke::new(1.0, theme::QUIET);
    ui.painter().line_segment(arrow.map(|x| pos2(x, y)), stroke);
    let back = if arrow[1] > arrow[0] { -4.0 } else { 4.0 };
    for side in [-3.0, 3.0] {
        ui.painter().line_segment([pos2(arrow[1], y), pos2(arrow[1] + back, y + side)], stroke);
    }
}

/// A line; tells whether it is lit.
fn row(state: &State, ui: &mut Ui, board: &Board, family: &Family, scale: &Scale) -> bool {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    let columns = Columns::of(rect);
    let leaning = lean(family);
    let words = wording::lean_words(&family.name, leaning.as_ref(), board.light);
    response.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, &words));
    if response.clicked() {
        response.request_focus();
    }
    let lit = response.hovered() || response.has_focus();
    if lit {
        ui.painter().rect_filled(rect.expand2(vec2(4.0, 0.0)), CornerRadius::same(theme::CORNER), theme::ROW_HOVERED);
    }
    let against = leaning.is_some_and(|lean| lean.is_against(board.light));
    let name = Rect::from_min_max(rect.min, pos2(columns.names, rect.bottom()));
    let font = theme::font(theme::SMALL, if against { Weight::Semibold } else { Weight::Regular });
    widgets::clipped(ui, name, &family.name, font, if against { theme::STRONG } else { theme::TEXT });
    let shown = |swatch: &Swatch| theme::srgb(state.look.of(swatch.colour.to_srgb8()));
    warmth_line(ui.painter(), rect.center().y, columns.warmth, scale, family, leaning, against, &shown);
    value_span(ui.painter(), rect.center().y, columns.value, family, &shown);
    widgets::focus_ring(ui, &response, rect);
    response.on_hover_ui(|ui| swatches(ui, &words, family, &shown));
    lit
}

#[expect(clippy::too_many_arguments, reason = "one line of the chart, drawn at one place")]
fn warmth_line(
    painter: &Painter,
    y: f32,
    column: [f32; 2],
    scale: &Scale,
    family: &Family,
    leaning: Option<Lean<'_>>,
    against: bool,
    shown: &impl Fn(&Swatch) -> Color32,
) {
    painter.hline(column[0]..=column[1], y, Stroke::new(1.0, theme::ROW));
    if let Some(lean) = leaning {
        let ends: [Pos2; 2] = lean.warmth.map(|warmth| pos2(scale.place(column, warmth), y));
        let stroke = Stroke::new(2.0, if against { theme::BRIGHT } else { theme::QUIET });
        if against {
            painter.extend(Shape::dashed_line(&ends, stroke, 3.0, 3.0));
        } else {
            painter.line_segment(ends, stroke);
        }
    }
    for swatch in &family.swatches {
        let at = pos2(scale.place(column, warmth(swatch.colour)), y);
        match swatch.role {
            Role::Light if against => {
                // Open, so that the way it leans is seen without its colour.
                painter.circle_filled(at, LIGHT_DOT + 1.0, theme::PANEL);
                painter.circle_stroke(at, LIGHT_DOT, Stroke::new(1.5, theme::BRIGHT));
                painter.circle_filled(at, LIGHT_DOT - 2.0, shown(swatch));
            }
            Role::Light => dot(painter, at, LIGHT_DOT, shown(swatch)),
            Role::Shadow | Role::Local | Role::Accent => dot(painter, at, DOT, shown(swatch)),
        }
    }
}

/// A dot of paint with an edge, so that one as grey as the panel is seen.
fn dot(painter: &Painter, at: Pos2, radius: f32, colour: Color32) {
    painter.circle_filled(at, radius + 1.0, theme::LINE);
    painter.circle_filled(at, radius, colour);
}

/// From the darkest to the lightest swatch, with a tick each.
fn value_span(painter: &Painter, y: f32, column: [f32; 2], family: &Family, shown: &impl Fn(&Swatch) -> Color32) {
    let place = |swatch: &Swatch| egui::lerp(column[0]..=column[1], swatch.colour.munsell_value() / 10.0);
    let places = || family.swatches.iter().map(place);
    let (low, high) = (places().fold(f32::INFINITY, f32::min), places().fold(f32::NEG_INFINITY, f32::max));
    painter.hline(column[0]..=column[1], y, Stroke::new(1.0, theme::ROW));
    painter.hline(low..=high, y, Stroke::new(2.0, theme::QUIET));
    for swatch in &family.swatches {
        let tick = Rect::from_center_size(pos2(place(swatch), y), vec2(4.0, 12.0));
        painter.rect_filled(tick.expand(1.0), CornerRadius::ZERO, theme::LINE);
        painter.rect_filled(tick, CornerRadius::ZERO, shown(swatch));
    }
}

/// What shows under the pointer: the swatches of the family with their figures.
fn swatches(ui: &mut Ui, words: &str, family: &Family, shown: &impl Fn(&Swatch) -> Color32) {
    widgets::text(ui, words);
    for swatch in &family.swatches {
        ui.horizontal(|ui| {
            let (patch, _) = ui.allocate_exact_size(vec2(18.0, 14.0), Sense::hover());
            ui.painter().rect_filled(patch, CornerRadius::same(2), shown(swatch));
            let value = swatch.colour.munsell_value();
            widgets::quiet(ui, wording::swatch_figures(&family.swatch_name(swatch), value));
        });
    }
}
