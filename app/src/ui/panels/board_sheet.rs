//! The sheet of one family, and the pills of the light of the day.

use super::Sheet;
use super::widgets::{self, Pill};
use crate::study::command::Command;
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use stint_model::board::{Distance, LightOfDay};
use stint_model::ids::FamilyId;

/// The pills of the light of the day; tells which was pressed.
pub(super) fn lights(ui: &mut Ui, light: LightOfDay) -> Option<LightOfDay> {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let all = [LightOfDay::Warm, LightOfDay::Cool, LightOfDay::Neutral].map(|l| {
            let title = wording::light_title(l);
            (l, title, title)
        });
        widgets::choices(ui, Some(light), &all)
    })
    .inner
}

/// A family as it is being written.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct FamilyForm {
    /// Which.
    pub id: FamilyId,
    /// Its name.
    pub name: String,
}

/// The pills of how far away a surface lies; tells which was pressed, if it is another one.
fn distances(ui: &mut Ui, now: Option<Distance>) -> Option<Option<Distance>> {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let [far, middle, near] =
            [Distance::Far, Distance::Middle, Distance::Near].map(|d| (Some(d), wording::sentence_start(d.word())));
        let all = [far, middle, near, (None, wording::DISTANCE_UNKNOWN.to_owned())];
        let all: Vec<_> = all.iter().map(|(d, words)| (*d, words.as_str(), words.as_str())).collect();
        widgets::choices(ui, Some(now), &all).filter(|chosen| *chosen != now)
    })
    .inner
}

/// The sheet of a family; gives itself back while it stays open.
pub(super) fn family(state: &mut State, ui: &mut Ui, mut form: FamilyForm) -> Option<Sheet> {
    let board = state.session.as_ref()?.document().board.clone();
    let place = board.families.iter().position(|f| f.id == form.id)?;
    let (name, last) = (board.families[place].name.clone(), board.families.len() - 1);
    let share = state.readout.iter().flat_map(|r| &r.families).find(|f| f.id == form.id).map_or(0.0, |f| f.share);
    let (mut done, mut removed) = (false, false);
    let closed = widgets::sheet(ui, wording::FAMILY_SHEET, 360.0, |ui| {
        let field = widgets::field(ui, wording::NAME, &mut form.name);
        let entered = widgets::entered(ui, &field);
        ui.horizontal(|ui| {
            let mut moved = None;
            if ui.add_enabled_ui(place > 0, |ui| widgets::pill(ui, wording::MOVE_LEFT, Pill::Second).clicked()).inner {
                moved = Some(place.saturating_sub(1));
            }
            let right = place < last;
            if ui.add_enabled_ui(right, |ui| widgets::pill(ui, wording::MOVE_RIGHT, Pill::Second).clicked()).inner {
                moved = Some(place + 1);
            }
            if let Some(place) = moved {
                state.apply(&Command::MoveFamily { family: name.clone(), place });
            }
        });
        widgets::quiet(ui, wording::DISTANCE);
        if let Some(distance) = distances(ui, board.families[place].distance) {
            state.apply(&Command::SetDistance { family: name.clone(), distance });
        }
        if share > 0.0 {
            widgets::quiet(ui, wording::family_has_paint(share));
        }
        widgets::footer(ui, |ui| {
            done = widgets::pill(ui, wording::DONE, Pill::First).clicked() || entered;
            if widgets::pill(ui, wording::REMOVE_FAMILY, Pill::Plain).clicked() {
                removed = state.apply(&Command::RemoveFamily(name.clone()));
            }
        });
    });
    if removed {
        return None;
    }
    let mut leaves = done || closed;
    if leaves && form.name.trim() != name {
        // A name that is refused keeps the sheet open, unless it was closed on purpose.
        leaves = state.apply(&Command::RenameFamily { family: name, name: form.name.clone() }) || closed;
    }
    (!leaves).then_some(Sheet::Family(form))
}
