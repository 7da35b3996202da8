//! The readout: how much came from the board, now and over the strokes.

use super::Sheet;
use super::bar::{self, BarSegment};
use super::drawers::Drawer;
use super::measures::Measures;
use super::{chart, lean_chart, reach_chart, widgets};
use crate::study::session::{FREE_AIM, Session};
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Rect, Sense, Ui, UiBuilder, pos2, vec2};
use stint_model::board::Board;
use stint_model::ids::SwatchId;
use stint_model::readout::Readout;

/// Width of the bar, points.
const BAR_WIDTH: f32 = 54.0;
/// Height of the bar, designed and largest, points.
const BAR_HEIGHT: (f32, f32) = (200.0, 320.0);
/// Height of the bar in a low window, points: that of the numbers beside it.
const LOW_BAR_HEIGHT: f32 = 150.0;
/// Least height of a side in which the chart stays with the numbers and does not scroll with the passes, points.
const ROOM_FOR_CHART: f32 = 540.0;
/// The same for the bar; without it the numbers stand in three short lines.
const ROOM_FOR_BAR: f32 = 320.0;
/// Unused swatches that are named before the rest is counted.
const NAMED: usize = 2;

/// What was worked out from the readout last shown.
#[derive(Default)]
pub(super) struct ReadoutState {
    of: Option<Readout>,
    board: Option<Board>,
    steps: u64,
    segments: Vec<BarSegment>,
    chart: Vec<(u64, f64)>,
    /// Whether the charts of the board stand in the place of the shares by swatch.
    board_charts: bool,
    /// The swatches that its chart lights up, in the tray from the next frame on, which is drawn before it.
    lit: Vec<SwatchId>,
    /// Those that are lit in this frame.
    shown: Vec<SwatchId>,
}

impl ReadoutState {
    /// What the parts of the bar are called.
    #[cfg(test)]
    pub fn segment_words(&self) -> Vec<String> {
        self.segments.iter().map(|p| p.words().to_owned()).collect()
    }

    /// Works out the bar and the chart if the readout or the history moved.
    fn follow(
        &mut self,
        session: &mut Session,
        (readout, tried): (&Readout, Option<&Board>),
        notices: &mut Vec<String>,
    ) {
        let steps = session.depths().0;
        if self.of.as_ref() == Some(readout) && self.steps == steps && self.board.as_ref() == tried {
            return;
        }
        self.segments = bar::segments_of(session, readout, tried);
        self.board = tried.cloned();
        if self.of.as_ref() == Some(readout) && self.steps == steps {
            return;
        }
        match session.shares() {
            Ok(rows) => self.chart = chart::points(rows),
            Err(error) => notices.push(error.to_string()),
        }
        (self.of, self.steps) = (Some(readout.clone()), steps);
    }
}

/// The panel; its numbers never scroll away.
pub(super) fn panel(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let side = ui.max_rect().height();
    let time = state.session.as_ref().map(Session::work_time).unwrap_or_default();
    let (short, name) = (wording::time_short(time), wording::time_named(time));
    let other = match panels.readout.board_charts {
        true => (wording::SHARES, wording::SHOW_SHARES),
        false => (wording::LEANS, wording::SHOW_LEANS),
    };
    let actions = [(short.as_str(), name.as_str()), other, (wording::PUT_AWAY, wording::PUT_READOUT_AWAY)];
    match widgets::heading_with(ui, wording::READOUT, &actions) {
        Some(0) => panels.sheet = Some(Sheet::Stint),
        Some(1) => panels.readout.board_charts = !panels.readout.board_charts,
        Some(_) => panels.put_away(Drawer::Readout),
        None => {}
    }
    let (Some(session), Some(readout)) = (&mut state.session, &state.readout) else { return };
    let counted = session.counted_share();
    panels.readout.follow(session, (readout, state.trial_board.as_ref()), &mut state.notices);
    let readout_panel = &panels.readout;
    if side < ROOM_FOR_BAR || readout_panel.board_charts {
        short_numbers(ui, readout);
        if readout_panel.board_charts && side >= ROOM_FOR_CHART {
            board_charts(state, panels, ui);
        }
        return;
    }
    let height = Measures::of(ui.ctx()).between(BAR_HEIGHT.0, BAR_HEIGHT.1);
    let lit = bar_and_numbers(ui, height.min(side * 0.36).max(LOW_BAR_HEIGHT), readout_panel, Some(readout));
    state.highlighted = state.highlighted.or(lit);
    if side >= ROOM_FOR_CHART {
        chart_section(ui, readout_panel, readout, counted);
    }
}

/// What of the readout scrolls with the passes in a side of this height.
pub(super) fn rest(state: &mut State, panels: &mut PanelState, ui: &mut Ui, side: f32) {
    let Some(readout) = &state.readout else { return };
    let readout_panel = &panels.readout;
    if readout_panel.board_charts {
        if side < ROOM_FOR_CHART {
            board_charts(state, panels, ui);
        }
        return;
    }
    if side < ROOM_FOR_BAR {
        let lit = bar_and_numbers(ui, LOW_BAR_HEIGHT, readout_panel, None);
        state.highlighted = state.highlighted.or(lit);
    }
    if side < ROOM_FOR_CHART {
        let counted = state.session.as_ref().map_or(1.0, Session::counted_share);
        chart_section(ui, readout_panel, readout, counted);
    }
}

impl PanelState {
    /// The swatches that the chart of the last frame lit up.
    pub(super) fn take_lit_in_chart(&mut self) -> Vec<SwatchId> {
        self.readout.shown = std::mem::take(&mut self.readout.lit);
        self.readout.shown.clone()
    }
}

/// What is told of the board itself.
fn board_charts(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    ui.add_space(theme::STEP);
    widgets::heading(ui, wording::LIGHT_AND_SHADOW);
    panels.readout.lit = lean_chart::chart(state, ui);
    if panels.readout.lit != panels.readout.shown {
        ui.ctx().request_repaint();
    }
    ui.add_space(theme::STEP);
    widgets::heading(ui, wording::REACH);
    reach_chart::chart(&mut panels.reach, state, ui);
}

/// The bar, and beside it the numbers if they are wanted there; the swatch under the pointer, if any.
fn bar_and_numbers(
    ui: &mut Ui,
    height: f32,
    readout_panel: &ReadoutState,
    numbered: Option<&Readout>,
) -> Option<SwatchId> {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let bar_rect = Rect::from_min_size(rect.min, vec2(BAR_WIDTH, height));
    let lit = bar::bar(ui, bar_rect, &readout_panel.segments);
    if let Some(readout) = numbered {
        let beside = Rect::from_min_max(pos2(bar_rect.right() + 14.0, rect.top() - 4.0), rect.max);
        let mut beside = ui.new_child(UiBuilder::new().max_rect(beside).id_salt("numbers"));
        numbers(&mut beside, readout);
    }
    lit
}

/// The three numbers, a line each.
fn short_numbers(ui: &mut Ui, readout: &Readout) {
    ui.spacing_mut().item_spacing.y = 0.0;
    let line = |ui: &mut Ui, share: f64, size: f32, words: &str| {
        ui.horizontal(|ui| {
            widgets::number(ui, &wording::share_digits(share), "%", size);
            widgets::quiet(ui, words);
        });
    };
    if readout.painted_px == 0.0 {
        widgets::quiet(ui, wording::NO_PAINT);
    } else {
        line(ui, readout.board_share, theme::LARGE, wording::FROM_BOARD);
        line(ui, readout.free_share, theme::MIDDLE, wording::free_words(readout.free_share > FREE_AIM));
    }
    line(ui, readout.bare_share, theme::MIDDLE, wording::BARE);
}

/// The three numbers and what was not used.
fn numbers(ui: &mut Ui, readout: &Readout) {
    ui.spacing_mut().item_spacing.y = 0.0;
    if readout.painted_px == 0.0 {
        ui.add_space(4.0);
        widgets::quiet(ui, wording::NO_PAINT);
    } else {
        widgets::number(ui, &wording::share_digits(readout.board_share), "%", theme::HUGE);
        widgets::quiet(ui, wording::FROM_BOARD);
        ui.add_space(theme::STEP);
        widgets::number(ui, &wording::share_digits(readout.free_share), "%", theme::LARGE);
        widgets::quiet(ui, wording::free_words(readout.free_share > FREE_AIM));
        ui.add_space(theme::STEP);
    }
    widgets::number(ui, &wording::share_digits(readout.bare_share), "%", theme::LARGE);
    widgets::quiet(ui, wording::BARE);
}

fn chart_section(ui: &mut Ui, readout_panel: &ReadoutState, readout: &Readout, counted: f64) {
    if counted < 1.0 {
        widgets::quiet(ui, wording::counting(counted)).on_hover_text(wording::COUNTING_HELP);
    }
    let unused: Vec<_> = readout.swatches.iter().filter(|s| s.share == 0.0).map(|s| s.name.clone()).collect();
    if counted == 1.0 && readout.painted_px > 0.0 && !unused.is_empty() {
        let shown = &unused[..unused.len().min(NAMED)];
        widgets::quiet(ui, wording::unused(shown, unused.len())).on_hover_text(unused.join(", "));
    }
    if readout.eight_paints_share > Readout::TOLD_EIGHT_PAINTS_SHARE {
        widgets::quiet(ui, wording::approximate(readout.eight_paints_share)).on_hover_text(wording::APPROXIMATE_HELP);
    }
    if readout_panel.chart.len() > 1 {
        widgets::quiet(ui, wording::OVER_STROKES);
        let opened: Vec<_> = readout.free_colour.opened.iter().map(|o| o.after_strokes).collect();
        chart::chart(ui, &readout_panel.chart, &opened);
    }
}
