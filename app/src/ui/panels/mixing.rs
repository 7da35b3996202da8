//! How the paints of the study mix: a pill beside the well that goes on to the next model and recolours what is painted at once.

use super::widgets::{self, Pill};
use crate::study::command::Command;
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use stint_model::mixing::Mixing;

/// The pill.
pub(super) fn pill(state: &mut State, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let now = session.document().mixing;
    let place = Mixing::ALL.iter().position(|mixing| *mixing == now).unwrap_or(0);
    let next = Mixing::ALL[(place + 1) % Mixing::ALL.len()];
    let name = wording::mixing_named(now, next);
    let pill = widgets::pill_named(ui, wording::mixing(now), &name, Pill::Second);
    if pill.clicked() {
        state.apply(&Command::SetMixing(next));
    }
    pill.on_hover_text(format!("{name}\n{}", wording::mixing_told(now)));
}
