//! The field for the family that a picked colour goes to, with a menu of those on the board.

use super::super::widgets;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::wording;
use egui::{Popup, Ui};
use stint_model::board::Board;

/// The family that what is picked goes to.
pub(super) fn family_field(panels: &mut PanelState, ui: &mut Ui, board: &Board) {
    let loupe = &mut panels.loupe;
    ui.horizontal(|ui| {
        widgets::quiet(ui, wording::FAMILY);
        let list = widgets::text_button_width(ui, wording::FAMILIES) + ui.spacing().item_spacing.x;
        let width = ui.available_width() - list;
        widgets::bare_field(ui, wording::FAMILY, &mut loupe.family, width);
        let open = ui.add_enabled_ui(!board.families.is_empty(), |ui| {
            widgets::text_button(ui, wording::FAMILIES, wording::CHOOSE_FAMILY)
        });
        Popup::menu(&open.inner).show(|ui| {
            ui.set_min_width(140.0);
            for family in &board.families {
                if ui.button(&family.name).clicked() {
                    loupe.family.clone_from(&family.name);
                }
            }
        });
    });
}

/// Whether a family is named; a notice asks for the name if not.
pub(super) fn is_family_named(state: &mut State, family: &str) -> bool {
    let named = !family.trim().is_empty();
    if !named {
        state.notices.push(wording::FAMILY_MISSING.to_owned());
    }
    named
}
