//! How the paints of the study mix, below the passes: a choice that recolours what is painted at once.

use super::widgets;
use crate::study::command::Command;
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use stint_model::mixing::Mixing;

/// The title and a pill for each mixing model.
pub(super) fn section(state: &mut State, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let now = session.document().mixing;
    widgets::gap(ui, 1.5);
    widgets::heading_with(ui, wording::HOW_PAINTS_MIX, &[]);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let models = Mixing::ALL.map(|mixing| {
            let (label, name) = wording::mixing(mixing);
            (mixing, label, name)
        });
        if let Some(mixing) = widgets::choices(ui, Some(now), &models)
            && mixing != now
        {
            state.apply(&Command::SetMixing(mixing));
        }
    });
    widgets::quiet(ui, wording::mixing_told(now));
}
