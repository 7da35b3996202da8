//! At most one sentence for the next study, on the start page, where the figures bear it. It can be sent away for good.

use crate::files::settings::NEXT_TIME_AWAY;
use crate::ui::panels::PanelState;
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::Ui;
use stint_model::progress::{Advice, advice};

/// The sentence, where there is one that was not sent away.
pub(in crate::ui::panels) fn sentence(state: &mut State, panels: &mut PanelState, ui: &Ui) -> Option<Advice> {
    panels.progress.figures.follow(state, ui.ctx());
    let away = state.settings.get(&NEXT_TIME_AWAY).unwrap_or_default();
    advice(&panels.progress.figures.known()?.progress.studies, &away)
}

/// The sentence and the button that sends it away, in the place of another line; tells whether it was sent away.
pub(in crate::ui::panels) fn line(advice: &Advice, ui: &mut Ui, room: f32) -> bool {
    let away = widgets::pill_width(ui, wording::NOT_AGAIN) + 16.0;
    let words = egui::RichText::new(&advice.sentence).color(theme::TEXT);
    ui.allocate_ui_with_layout(
        egui::vec2((room - away).max(40.0), ui.available_height()),
        egui::Layout::left_to_right(egui::Align::Center).with_main_align(egui::Align::Min),
        |ui| ui.add(egui::Label::new(words).truncate()).on_hover_text(&advice.sentence),
    );
    widgets::pill_named(ui, wording::NOT_AGAIN, wording::NOT_AGAIN_NAME, Pill::Second).clicked()
}

/// Sends a sentence of this kind away for good.
pub(in crate::ui::panels) fn send_away(state: &mut State, key: &str) {
    let mut away = state.settings.get(&NEXT_TIME_AWAY).unwrap_or_default();
    away.push(key.to_owned());
    if let Err(why) = state.settings.set(&NEXT_TIME_AWAY, &away) {
        state.notices.push(why);
    }
}
