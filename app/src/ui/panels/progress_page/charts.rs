//! The charts on screen: a row a measure, one axis of time. Every point of a study is a button that opens it.

use super::figures::Gathered;
use crate::ui::panels::widgets;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align2, Color32, Painter, Pos2, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, UiBuilder, WidgetInfo, lerp,
    pos2, vec2,
};
use stint_model::progress::chart::axis;
use stint_model::progress::{Chart, Mark};

/// Space around the charts, points.
const AROUND: f32 = 24.0;
/// Width of the figures at their left, points.
const FIGURES: f32 = 64.0;
/// Height of a chart without its title, least and largest, points: a few charts fill the page, many scroll.
const HEIGHT: (f32, f32) = (84.0, 170.0);
/// Height of a title, and of the axis, points.
const TITLE: f32 = 44.0;
const AXIS: f32 = 28.0;
/// Height of the line that says what a point is, points.
const WORDS: f32 = 40.0;
/// Radius of a point, and half the side of what can be pressed around it, points.
const RADIUS: f32 = 4.5;
const REACH: f32 = 9.0;

/// Paints the charts; the study whose point was pressed.
#[expect(clippy::cast_possible_truncation, reason = "a place in the plot in the single precision of egui")]
pub(super) fn charts(known: &Gathered, ui: &mut Ui) -> Option<usize> {
    let all = ui.max_rect().shrink2(vec2(AROUND, 8.0));
    let line = Rect::from_min_size(all.min, vec2(all.width(), WORDS));
    let foot = Rect::from_min_max(pos2(all.left(), all.bottom() - AXIS), all.max);
    let body = Rect::from_min_max(line.left_bottom(), foot.right_top());
    let height = (body.height() / known.charts.len().max(1) as f32 - TITLE).clamp(HEIGHT.0, HEIGHT.1);
    let mut inside = ui.new_child(UiBuilder::new().max_rect(body).id_salt("charts"));
    inside.set_clip_rect(body.expand2(vec2(8.0, 0.0)).intersect(ui.clip_rect()));
    let (mut said, mut pressed) = (None, None);
    ScrollArea::vertical().auto_shrink(false).show(&mut inside, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for chart in &known.charts {
            let (rect, _) = ui.allocate_exact_size(vec2(body.width() - 12.0, TITLE + height), Sense::hover());
            one(chart, ui, rect, &mut said, &mut pressed);
        }
        ui.add_space(theme::STEP);
    });
    // Its place is kept, so that nothing moves when a point is looked at.
    let words = said.as_deref().unwrap_or(wording::PROGRESS_HINT);
    let colour = if said.is_some() { theme::STRONG } else { theme::QUIET };
    widgets::clipped(ui, line, words, theme::font(theme::SMALL, Weight::Medium), colour);
    let plot = plot_of(Rect::from_min_size(body.min, vec2(body.width() - 12.0, height)));
    for (x, words) in axis(&known.progress) {
        let at = pos2(lerp(plot.x_range(), x as f32), foot.center().y);
        let align = if x > 0.9 { Align2::RIGHT_CENTER } else { Align2::LEFT_CENTER };
        widgets::line(ui, at, align, &words, theme::QUIET);
    }
    pressed
}

/// Where the points of a chart lie.
fn plot_of(rect: Rect) -> Rect {
    Rect::from_min_max(pos2(rect.left() + FIGURES, rect.top()), pos2(rect.right() - REACH, rect.bottom()))
}

#[expect(clippy::cast_possible_truncation, reason = "a place in the plot in the single precision of egui")]
fn one(chart: &Chart, ui: &Ui, rect: Rect, said: &mut Option<String>, pressed: &mut Option<usize>) {
    let plot = plot_of(Rect::from_min_max(rect.min + vec2(0.0, TITLE), rect.max));
    let head = pos2(rect.left(), rect.top() + TITLE - 10.0);
    let title = theme::font(theme::SMALL, Weight::Semibold);
    ui.painter().text(head, Align2::LEFT_BOTTOM, chart.title, title, theme::STRONG);
    let ends = wording::chart_ends(chart.ends);
    widgets::line(ui, pos2(rect.right() - REACH, head.y), Align2::RIGHT_BOTTOM, &ends, theme::QUIET);
    let y = |figure: f64| lerp(plot.bottom()..=plot.top(), chart.height(figure) as f32);
    for (figure, words) in &chart.lines {
        let y = y(*figure);
        ui.painter().hline(plot.x_range(), y, Stroke::new(1.0, theme::LINE));
        widgets::line(ui, pos2(plot.left() - 10.0, y), Align2::RIGHT_CENTER, words, theme::QUIET);
    }
    // What is out of sight is not drawn, and a row more can be reached by Tab.
    if !ui.clip_rect().expand2(vec2(0.0, rect.height())).intersects(rect) {
        return;
    }
    for (i, point) in chart.points.iter().enumerate() {
        let at = pos2(lerp(plot.x_range(), point.x as f32), y(point.figure));
        let reach = Rect::from_center_size(at, vec2(2.0 * REACH, 2.0 * REACH));
        let sense = if point.study.is_some() { Sense::click() } else { Sense::hover() };
        let response = ui.interact(reach, ui.scope_id().with((chart.title, i)), sense);
        let name = wording::point_of(chart.title, &point.words, point.study.is_some());
        let role = if point.study.is_some() { Role::Button } else { Role::Label };
        response.widget_info(|| WidgetInfo::labeled(role, true, &name));
        if response.gained_focus() {
            ui.scroll_to_rect(rect, None);
        }
        let looked_at = response.hovered() || response.has_focus();
        if looked_at {
            *said = Some(format!("{}: {}", chart.title, point.words));
            ui.painter().circle_filled(at, RADIUS + 5.0, theme::ROW_CHOSEN);
        }
        mark(ui.painter(), at, point.mark, point.opened, theme::BAR);
        widgets::focus_ring(ui, &response, reach);
        if response.clicked() {
            *pressed = point.study;
        }
    }
}

/// A point: a full dot is a study, a ring one from memory, a small square an exercise; with a ring around it free colour was opened.
pub(super) fn mark(painter: &Painter, at: Pos2, mark: Mark, opened: bool, ground: Color32) {
    match mark {
        Mark::Study => {
            painter.circle_filled(at, RADIUS, theme::STRONG);
        }
        Mark::FromMemory => {
            painter.circle(at, RADIUS, ground, Stroke::new(1.5, theme::STRONG));
        }
        Mark::Exercise => {
            painter.rect_filled(Rect::from_center_size(at, vec2(6.0, 6.0)), 0.0, theme::QUIET);
        }
    }
    if opened {
        let ring = Rect::from_center_size(at, vec2(2.0, 2.0) * (RADIUS + 3.0));
        painter.rect_stroke(ring, RADIUS + 3.0, Stroke::new(1.0, theme::STRONG), StrokeKind::Inside);
    }
}
