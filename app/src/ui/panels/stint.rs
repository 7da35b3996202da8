//! The stint: how long a study was worked on, in the heading of the readout, and the sheet that sets how long it is meant to take.
//!
//! The words are drawn when something is drawn anyway and change once a minute; nothing here asks for a frame.

use super::Sheet;
use super::widgets::{self, Pill};
use crate::study::command::Command;
use crate::study::session::STINTS_MIN;
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;

/// A choice of lengths, none among them; the length that was pressed.
pub(super) fn choice(ui: &mut Ui, chosen: Option<u32>) -> Option<Option<u32>> {
    let words: Vec<_> = STINTS_MIN.iter().map(|&minutes| (Some(minutes), wording::minutes(minutes.into()))).collect();
    let mut of = vec![(None, wording::NO_STINT)];
    of.extend(words.iter().map(|(minutes, words)| (*minutes, words.as_str())));
    widgets::segments(ui, Some(chosen), &of)
}

/// The sheet; gives itself back while it stays open.
pub(super) fn sheet(state: &mut State, ui: &mut Ui) -> Option<Sheet> {
    let time = state.session.as_ref()?.work_time();
    let mut done = false;
    let closed = widgets::sheet(ui, wording::STINT_SHEET, 400.0, |ui| {
        widgets::text(ui, wording::worked_so_far(time));
        widgets::quiet(ui, wording::STINT_LINE);
        if let Some(minutes) = choice(ui, time.stint_min)
            && minutes != time.stint_min
        {
            state.apply(&Command::SetStint(minutes));
        }
        widgets::footer(ui, |ui| done = widgets::pill(ui, wording::DONE, Pill::First).clicked());
    });
    (!done && !closed).then_some(Sheet::Stint)
}
