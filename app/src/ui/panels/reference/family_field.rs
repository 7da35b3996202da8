//! The field for the family that a picked colour goes to, with a menu of those on the board.

use super::super::widgets;
use super::loupe_state::LoupeState;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::wording;
use egui::{Popup, Ui};
use stint_model::board::Board;

/// The family that what is picked goes to. It follows when that is renamed. Tells whether Enter was pressed in it, which lays the pick.
pub(super) fn family_field(panels: &mut PanelState, ui: &mut Ui, board: &Board) -> bool {
    let loupe = &mut panels.loupe;
    follow_renames(loupe, board);
    ui.horizontal(|ui| {
        widgets::quiet(ui, wording::FAMILY);
        let list = widgets::text_button_width(ui, wording::FAMILIES) + ui.spacing().item_spacing.x;
        let width = ui.available_width() - list;
        let field = widgets::bare_field(ui, wording::FAMILY, &mut loupe.family, width);
        widgets::selects_all(ui, &field, &loupe.family);
        let entered = widgets::entered(ui, &field);
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
        entered
    })
    .inner
}

/// Writes the new name of the family that was named.
fn follow_renames(loupe: &mut LoupeState, board: &Board) {
    if let Some((id, before)) = &loupe.names
        && loupe.family.trim() == before
        && let Some(family) = board.families.iter().find(|family| family.id == *id)
    {
        loupe.family.clone_from(&family.name);
    }
    loupe.names = board.family_named(loupe.family.trim()).map(|family| (family.id, family.name.clone()));
}

/// Whether a family is named; a notice asks for the name if not.
pub(super) fn is_family_named(state: &mut State, family: &str) -> bool {
    let named = !family.trim().is_empty();
    if !named {
        state.notices.push(wording::FAMILY_MISSING.to_owned());
    }
    named
}
