//! The field for the family that a picked colour goes to, with a menu of those on the board.

use super::super::widgets;
use super::loupe_state::LoupeState;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::wording;
use egui::{Event, Id, Popup, TextEdit, Ui};
use stint_model::board::Board;

/// What the keyboard knows the field by.
const FIELD: &str = "family of the pick";

/// The family that what is picked goes to. It follows when that is renamed, and takes the keyboard when something was picked: what is
/// typed then is its name. Where somebody paints on the screen itself (`hands_on`) it does not, or a keyboard would come up with every pick.
/// Tells whether Enter was pressed in it, which lays the pick.
pub(super) fn family_field(panels: &mut PanelState, ui: &mut Ui, board: &Board, hands_on: bool) -> bool {
    let loupe = &mut panels.loupe;
    follow_renames(loupe, board);
    let id = Id::unique(FIELD);
    if std::mem::take(&mut loupe.writes_family) && !hands_on {
        ui.memory_mut(|m| m.request_focus(id));
    }
    leave_leading_spaces(ui, id, &loupe.family);
    ui.horizontal(|ui| {
        widgets::quiet(ui, wording::FAMILY);
        let list = widgets::text_button_width(ui, wording::FAMILIES) + ui.spacing().item_spacing.x;
        let width = ui.available_width() - list;
        let field = widgets::field_of(ui, id, wording::FAMILY, &mut loupe.family, width);
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

/// A space that would begin the name is none of it: the key moves the large photo on to the next spot.
fn leave_leading_spaces(ui: &Ui, field: Id, family: &str) {
    let selected = TextEdit::load_state(ui.ctx(), field).and_then(|state| state.cursor.char_range());
    let all = selected
        .map(|range| range.as_sorted_char_range())
        .is_some_and(|r| (r.start.0, r.end.0) == (0, family.chars().count()));
    if ui.memory(|m| m.has_focus(field)) && (all || family.is_empty()) {
        ui.input_mut(|i| i.events.retain(|event| !matches!(event, Event::Text(text) if text == " ")));
    }
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

/// Whether a family is named; if not, a notice asks for the name, and the field takes it.
pub(super) fn is_family_named(state: &mut State, loupe: &mut LoupeState) -> bool {
    let named = !loupe.family.trim().is_empty();
    if !named {
        state.notices.push(wording::FAMILY_MISSING.to_owned());
        loupe.writes_family = true;
    }
    named
}
