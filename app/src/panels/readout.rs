//! The readout: how much came from the board, now and over the strokes.

use super::bar::{self, Part};
use super::measures::Measures;
use super::{chart, parts};
use crate::session::{FREE_AIM, Session};
use crate::state::State;
use crate::{theme, wording};
use egui::{Rect, Sense, Ui, UiBuilder, pos2, vec2};
use stint_model::readout::Readout;

/// Width of the bar, points.
const BAR_WIDTH: f32 = 54.0;
/// Height of the bar, designed and largest, points.
const BAR_HEIGHT: (f32, f32) = (200.0, 320.0);
/// Unused swatches that are named before the rest is counted.
const NAMED: usize = 2;

/// What was worked out from the readout last shown.
#[derive(Default)]
pub(super) struct ReadoutPart {
    of: Option<Readout>,
    steps: u64,
    parts: Vec<Part>,
    chart: Vec<(u64, f64)>,
}

impl ReadoutPart {
    /// What the parts of the bar are called.
    #[cfg(test)]
    pub fn parts_words(&self) -> Vec<String> {
        self.parts.iter().map(|p| p.words().to_owned()).collect()
    }

    /// Works out the bar and the chart if the readout or the history moved.
    fn follow(&mut self, session: &mut Session, readout: &Readout, notices: &mut Vec<String>) {
        let steps = session.depths().0;
        if self.of.as_ref() == Some(readout) && self.steps == steps {
            return;
        }
        self.parts = bar::parts_of(session, readout);
        match session.shares() {
            Ok(rows) => self.chart = chart::points(&rows),
            Err(error) => notices.push(error.to_string()),
        }
        (self.of, self.steps) = (Some(readout.clone()), steps);
    }
}

/// The panel.
pub(super) fn panel(state: &mut State, ui: &mut Ui) {
    if parts::heading_with(ui, wording::READOUT, &[(wording::PUT_AWAY, wording::PUT_READOUT_AWAY)]).is_some() {
        state.panels.readout_away = true;
    }
    let (Some(session), Some(readout)) = (&mut state.session, &state.readout) else { return };
    state.panels.readout.follow(session, readout, &mut state.notices);
    let part = &state.panels.readout;

    let height = Measures::of(ui.ctx()).between(BAR_HEIGHT.0, BAR_HEIGHT.1);
    let size = vec2(ui.available_width(), height);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let bar_rect = Rect::from_min_size(rect.min, vec2(BAR_WIDTH, height));
    if let Some(id) = bar::bar(ui, bar_rect, &part.parts) {
        state.lit = Some(id);
    }
    let beside = Rect::from_min_max(pos2(bar_rect.right() + 14.0, rect.top() - 4.0), rect.max);
    let mut beside = ui.new_child(UiBuilder::new().max_rect(beside).id_salt("numbers"));
    numbers(&mut beside, readout);
    chart_section(ui, part, readout);
}

/// The three numbers and what was not used.
fn numbers(ui: &mut Ui, readout: &Readout) {
    ui.spacing_mut().item_spacing.y = 0.0;
    if readout.painted_px == 0.0 {
        ui.add_space(4.0);
        parts::quiet(ui, wording::NO_PAINT);
    } else {
        parts::number(ui, &wording::share_digits(readout.board_share), "%", theme::HUGE);
        parts::quiet(ui, wording::FROM_BOARD);
        ui.add_space(theme::STEP);
        parts::number(ui, &wording::share_digits(readout.free_share), "%", theme::LARGE);
        parts::quiet(ui, wording::free_words(readout.free_share > FREE_AIM));
        ui.add_space(theme::STEP);
    }
    parts::number(ui, &wording::share_digits(readout.bare_share), "%", theme::LARGE);
    parts::quiet(ui, wording::BARE);
}

fn chart_section(ui: &mut Ui, part: &ReadoutPart, readout: &Readout) {
    let unused: Vec<_> = readout.swatches.iter().filter(|s| s.share == 0.0).map(|s| s.name.clone()).collect();
    if readout.painted_px > 0.0 && !unused.is_empty() {
        let shown = &unused[..unused.len().min(NAMED)];
        parts::quiet(ui, wording::unused(shown, unused.len())).on_hover_text(unused.join(", "));
    }
    if part.chart.len() > 1 {
        parts::quiet(ui, wording::OVER_STROKES);
        let opened: Vec<_> = readout.free_colour.opened.iter().map(|o| o.after_strokes).collect();
        chart::chart(ui, &part.chart, &opened);
    }
}
