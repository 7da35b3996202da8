//! What the painter must hear, and what is being opened: over the surround, so that nothing moves when it comes or goes.

use super::PanelState;
use super::widgets::{self, Pill};
use crate::ui::state::State;
use crate::ui::theme::Weight;
use crate::ui::{theme, wording};
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{Align, Area, CornerRadius, Frame, Galley, Id, Layout, Margin, Order, Rect, Stroke, Ui, Vec2, pos2, vec2};
use std::sync::Arc;
use std::time::Duration;

/// Least height of a sentence, points.
const HEIGHT: f32 = 36.0;
/// Space above and below a sentence that takes several lines, points.
const PADDING: f32 = 9.0;
/// Most lines of a sentence; the rest shows where the pointer rests on it.
const MAX_LINES: usize = 4;
/// Distance of what stands beside each other on a line, points.
const APART: f32 = 12.0;
/// Widest line, points.
const WIDTH: f32 = 760.0;
/// Space left and right in a line, points.
const SIDES: i8 = 10;
/// Distance from the edge of the place they lie over, points.
const MARGIN: f32 = 12.0;
/// A sentence stays this long, and longer by so much a letter, seconds.
const SHOWN_SECONDS: f64 = 8.0;
const SECONDS_A_LETTER: f64 = 0.06;

/// What is remembered of the sentences that show.
#[derive(Default)]
pub(super) struct NoticesState {
    /// The newest and how many there are, and since when these show, seconds.
    since: Option<((String, usize), f64)>,
}

/// The newest sentence, and what is being opened, at the lower edge of `over`.
pub(super) fn overlay(state: &mut State, panels: &mut PanelState, ui: &Ui, over: Rect) {
    join_repeats(&mut state.notices);
    let mut bottom = over.bottom() - MARGIN;
    if let Some(newest) = state.notices.last().cloned() {
        let others = state.notices.len() - 1;
        let more = if others > 0 { wording::more_notices(others) } else { String::new() };
        let beside = widgets::pill_width(ui, wording::DISMISS) + widgets::text_width(ui, &more) + 2.0 * APART;
        let words = sentence(ui, &newest, width(over) - 2.0 * f32::from(SIDES) - beside);
        let height = (words.size().y + 2.0 * PADDING).max(HEIGHT);
        let mut dismissed = false;
        let hovered = line(ui, "notice", (over, height), &mut bottom, |ui| {
            if widgets::pill(ui, wording::DISMISS, Pill::Second).clicked() {
                dismissed = true;
            }
            if others > 0 {
                widgets::text(ui, &more);
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let is_cut = words.elided;
                let label = ui.add(egui::Label::new(words));
                if is_cut {
                    label.on_hover_text(&newest);
                }
            });
        });
        if dismissed {
            state.notices.pop();
        } else {
            panels.notices.leave_in_time(ui, &mut state.notices, hovered);
        }
    } else {
        panels.notices.since = None;
    }
    let mut cancelled = false;
    if let Some(opening) = &state.opening {
        line(ui, "opening", (over, HEIGHT), &mut bottom, |ui| {
            cancelled = widgets::pill(ui, wording::CANCEL, Pill::Second).clicked();
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let words = egui::RichText::new(wording::opening(opening.name())).color(theme::STRONG);
                ui.add(egui::Label::new(words).truncate());
            });
        });
    }
    if cancelled {
        state.opening = None;
    }
}

impl NoticesState {
    /// Takes the sentences away when they were there long enough, the pointer not on them.
    fn leave_in_time(&mut self, ui: &Ui, notices: &mut Vec<String>, hovered: bool) {
        let now = ui.input(|i| i.time);
        let Some(newest) = notices.last() else { return };
        let shown = (newest.clone(), notices.len());
        match &self.since {
            Some((of, since)) if *of == shown && !hovered => {
                let left = since + SHOWN_SECONDS + SECONDS_A_LETTER * newest.chars().count() as f64 - now;
                if left <= 0.0 {
                    notices.clear();
                    self.since = None;
                    ui.ctx().request_repaint();
                } else {
                    ui.ctx().request_repaint_after(Duration::from_secs_f64(left));
                }
            }
            _ => {
                self.since = Some((shown, now));
                ui.ctx().request_repaint_after(Duration::from_secs_f64(SHOWN_SECONDS));
            }
        }
    }
}

/// A sentence that is there already comes once, as the newest.
fn join_repeats(notices: &mut Vec<String>) {
    let mut seen = std::collections::HashSet::new();
    let mut kept: Vec<String> = notices.drain(..).rev().filter(|n| seen.insert(n.clone())).collect();
    kept.reverse();
    *notices = kept;
}

/// Width of a line over this place, points.
fn width(over: Rect) -> f32 {
    (over.width() - 2.0 * MARGIN).clamp(120.0, WIDTH)
}

/// A sentence in lines of a width: what to do stands at its end, so all of it shows where there is any room.
fn sentence(ui: &Ui, words: &str, width: f32) -> Arc<Galley> {
    let format = TextFormat::simple(theme::font(theme::SMALL, Weight::Regular), theme::STRONG);
    let mut job = LayoutJob::single_section(wording::sentence_start(words), format);
    job.wrap = TextWrapping { max_width: width.max(60.0), max_rows: MAX_LINES, ..Default::default() };
    ui.painter().layout_job(job)
}

/// One line of a height; tells whether the pointer is on it.
fn line(ui: &Ui, name: &str, (over, height): (Rect, f32), bottom: &mut f32, content: impl FnOnce(&mut Ui)) -> bool {
    let width = width(over);
    let at = pos2(over.center().x - width / 2.0, *bottom - height);
    *bottom -= height + 8.0;
    let frame = Frame::new()
        .fill(theme::ROW_CHOSEN)
        .stroke(Stroke::new(1.0, theme::LINE))
        .corner_radius(CornerRadius::same(7))
        .inner_margin(Margin::symmetric(SIDES, 0));
    let area = Area::new(Id::unique("notice").with(name)).order(Order::Middle).fixed_pos(at).constrain(false);
    let shown = area.show(ui.ctx(), |ui| {
        frame.show(ui, |ui| {
            let size = vec2(width - 2.0 * f32::from(SIDES), height);
            ui.set_min_size(size);
            ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), |ui| {
                ui.spacing_mut().item_spacing = Vec2::new(APART, 0.0);
                content(ui);
            });
        });
    });
    shown.response.contains_pointer()
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_sentence_that_comes_again_is_the_newest_and_shows_once() {
        let mut notices = ["a", "b", "a", "c", "c"].map(str::to_owned).to_vec();
        super::join_repeats(&mut notices);
        assert_eq!(notices, ["b", "a", "c"]);
    }
}
