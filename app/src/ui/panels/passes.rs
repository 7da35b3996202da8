//! The passes, top first, with the settings of the active one.

use super::Sheet;
use super::widgets::{self, Pill};
use crate::study::command::Command;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use stint_model::ids::PassId;
use stint_model::pass::{Pass, PassKind};

/// What the section remembers.
#[derive(Default)]
pub(super) struct PassesState {
    /// Whether the settings of the active pass are open.
    edit: bool,
    /// The name as it is being written, and of which pass.
    name: Option<(PassId, String)>,
    /// The strength while its slider moves, 0 to 1.
    strength: Option<f32>,
    /// The settings were opened in this frame and are to be scrolled to.
    reveal: bool,
}

/// The title of the section, with what can be done to the passes.
pub(super) fn heading(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let fresh = fresh_name(&session.document().passes);
    widgets::gap(ui, 2.0);
    let edit =
        if panels.passes.edit { (wording::EDITED, wording::EDITED_PASS) } else { (wording::EDIT, wording::EDIT_PASS) };
    match widgets::heading_with(ui, wording::PASSES, &[(wording::ADD, wording::ADD_PASS), edit]) {
        Some(0) => {
            state.apply(&Command::AddPass(fresh));
        }
        Some(_) => {
            let passes_panel = &mut panels.passes;
            passes_panel.edit = !passes_panel.edit;
            passes_panel.reveal = passes_panel.edit;
        }
        None => {}
    }
}

/// The passes, the top one first, with the settings of the selected one while they are open.
pub(super) fn list(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let document = session.document();
    let (passes, active, free_open) = (document.passes.clone(), document.active_pass, document.free_open);
    let ground = wording::ground(&document.ground.name);
    let lands_on = session.lands_on();
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 6.0;
        for pass in passes.iter().rev() {
            let words = match lands_on {
                Some(id) if id == pass.id && id != active && pass.visible => wording::PASS_TAKES_BRUSH,
                _ => wording::pass_state(pass.visible, pass.kind == PassKind::Free, free_open),
            };
            let name = wording::pass_name(&pass.name, words);
            let pressed = widgets::row(ui, &pass.name, words, &name, pass.id == active).clicked();
            if pressed && pass.id != active {
                state.apply(&Command::SelectPass(pass.name.clone()));
                panels.passes.name = None;
            }
            if pass.id == active && panels.passes.edit {
                settings(state, panels, ui, &passes, pass);
                if std::mem::take(&mut panels.passes.reveal) {
                    ui.scroll_to_cursor(None);
                }
            }
        }
        ui.horizontal(|ui| {
            ui.add_space(10.0);
            widgets::quiet(ui, ground);
        });
    });
}

/// The first "Pass N" that is not taken.
fn fresh_name(passes: &[Pass]) -> String {
    let taken = |name: &String| passes.iter().any(|p| p.name == *name);
    (passes.len() + 1..).map(wording::new_pass).find(|name| !taken(name)).unwrap_or_default()
}

fn settings(state: &mut State, panels: &mut PanelState, ui: &mut Ui, passes: &[Pass], pass: &Pass) {
    let passes_panel = &mut panels.passes;
    let (id, mut name) = passes_panel.name.take().unwrap_or_else(|| (pass.id, pass.name.clone()));
    if id != pass.id {
        name.clone_from(&pass.name);
    }
    let field = widgets::bare_field(ui, wording::PASS_NAME, &mut name, ui.available_width());
    let mut commands = Vec::new();
    if field.lost_focus() {
        if name.trim() != pass.name {
            commands.push(Command::RenamePass { pass: pass.name.clone(), name: name.clone() });
        }
    } else {
        passes_panel.name = Some((pass.id, name));
    }
    let mut strength = passes_panel.strength.take().unwrap_or(f32::from(pass.strength) / f32::from(u16::MAX));
    let words = wording::per_cent(strength);
    let named = (wording::PASS_STRENGTH, words.as_str());
    let slider = widgets::slider_back(ui, named, &mut strength, 0.0..=1.0, false, Some(1.0));
    if widgets::rested(&slider) {
        commands.push(Command::PassStrength { pass: pass.name.clone(), strength });
    } else if slider.dragged() {
        passes_panel.strength = Some(strength);
    }
    let place = passes.iter().position(|p| p.id == pass.id).unwrap_or(0);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let visible = !pass.visible;
        if widgets::pill(ui, if pass.visible { wording::HIDE } else { wording::SHOW }, Pill::Second).clicked() {
            commands.push(Command::ShowPass { pass: pass.name.clone(), visible });
        }
        let up = place + 1 < passes.len();
        if ui.add_enabled_ui(up, |ui| widgets::pill(ui, wording::UP, Pill::Second).clicked()).inner {
            commands.push(Command::MovePass { pass: pass.name.clone(), place: place + 1 });
        }
        if ui.add_enabled_ui(place > 0, |ui| widgets::pill(ui, wording::DOWN, Pill::Second).clicked()).inner {
            commands.push(Command::MovePass { pass: pass.name.clone(), place: place.saturating_sub(1) });
        }
        if widgets::pill(ui, wording::CLEAR, Pill::Second).clicked() {
            commands.push(Command::ClearPass(pass.name.clone()));
        }
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        if ui.add_enabled_ui(place > 0, |ui| widgets::pill(ui, wording::MERGE_DOWN, Pill::Second).clicked()).inner {
            commands.push(Command::MergeDown(pass.name.clone()));
        }
        let last = passes.len() == 1;
        if ui.add_enabled_ui(!last, |ui| widgets::pill(ui, wording::REMOVE, Pill::Second).clicked()).inner {
            let painted = state.session.as_mut().is_some_and(|s| s.canvas().is_painted(pass.id));
            if painted {
                panels.sheet = Some(Sheet::RemovePass(pass.name.clone()));
            } else {
                commands.push(Command::RemovePass(pass.name.clone()));
            }
        }
    });
    for command in commands {
        state.apply(&command);
    }
}

/// Asks before a pass goes with its paint.
pub(super) fn remove_sheet(state: &mut State, ui: &mut Ui, name: String) -> Option<Sheet> {
    let mut done = false;
    let closed = widgets::sheet(ui, wording::REMOVE_SHEET, 360.0, |ui| {
        widgets::text(ui, wording::remove_painted(&name));
        widgets::footer(ui, |ui| {
            if widgets::pill(ui, wording::REMOVE_PASS, Pill::First).clicked() {
                done = true;
                state.apply(&Command::RemovePass(name.clone()));
            }
            done |= widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
        });
    });
    (!done && !closed).then_some(Sheet::RemovePass(name))
}
