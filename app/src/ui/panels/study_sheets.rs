//! Sheets about a study's file: another name, the trash, a study that is not where it was.

use super::file_browser::Purpose;
use super::widgets::{self, Pill};
use super::{PanelState, Sheet};
use crate::files::names::stem;
use crate::study::keeping::Keeping;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{ScrollArea, Ui};
use std::path::PathBuf;

/// A study that gets another name.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct RenameForm {
    path: PathBuf,
    name: String,
    /// Whether the field had the keyboard once.
    begun: bool,
}

impl RenameForm {
    /// With the name it has.
    pub fn of(path: PathBuf) -> Self {
        RenameForm { name: stem(&path), path, begun: false }
    }
}

/// Asks for another name; gives itself back while it stays open.
pub(super) fn rename(state: &mut State, ui: &mut Ui, mut form: RenameForm) -> Option<Sheet> {
    let mut done = false;
    let closed = widgets::sheet(ui, wording::RENAME_SHEET, 400.0, |ui| {
        let id = ui.scope_id().with("new name");
        let field = widgets::named_field(ui, id, wording::NEW_NAME, &mut form.name);
        if !std::mem::replace(&mut form.begun, true) {
            field.request_focus();
            widgets::select(ui.ctx(), id, 0, form.name.chars().count());
        }
        let entered = widgets::entered(ui, &field);
        let differs = !form.name.trim().is_empty() && form.name.trim() != stem(&form.path);
        widgets::footer(ui, |ui| {
            let first = ui.add_enabled_ui(differs, |ui| widgets::pill(ui, wording::RENAME, Pill::First)).inner;
            if differs && (first.clicked() || entered) {
                state.requests.push(Request::Keep(Keeping::Rename(form.path.clone(), form.name.clone())));
                done = true;
            }
            done |= widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
        });
    });
    (!done && !closed).then_some(Sheet::RenameStudy(form))
}

/// What is in the trash, and the way back; gives itself back while it stays open.
pub(super) fn trash(state: &mut State, panels: &mut PanelState, ui: &mut Ui) -> Option<Sheet> {
    let trashed = panels.start.trashed(state, ui.ctx());
    let mut done = false;
    let closed = widgets::sheet(ui, wording::TRASH_SHEET, 520.0, |ui| {
        widgets::quiet(ui, wording::TRASH_LINE);
        widgets::gap(ui, 1.5);
        ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
            for gone in &trashed {
                ui.horizontal(|ui| {
                    let name = stem(&gone.was);
                    let room = ui.available_width() - widgets::text_button_width(ui, wording::RESTORE) - 24.0;
                    // To the minute: a list is read, not timed.
                    let when: String = gone.when.replace('T', " ").chars().take(16).collect();
                    let words = format!("{name} · {when}");
                    widgets::cell(ui, &words, room, theme::TEXT);
                    if widgets::text_button(ui, wording::RESTORE, &wording::restore_named(&name)).clicked() {
                        state.requests.push(Request::Keep(Keeping::BringBack(gone.clone())));
                    }
                });
            }
        });
        widgets::footer(ui, |ui| done = widgets::pill(ui, wording::DONE, Pill::First).clicked());
    });
    (!done && !closed).then_some(Sheet::Trash)
}

/// What to do about a study that is not where it was; gives back the sheet that is to be seen next.
pub(super) fn lost(state: &mut State, panels: &mut PanelState, ui: &mut Ui, path: PathBuf) -> Option<Sheet> {
    let (mut done, mut look) = (false, false);
    let closed = widgets::sheet(ui, wording::LOST_SHEET, 460.0, |ui| {
        widgets::text(ui, wording::lost_line(&path));
        widgets::footer(ui, |ui| {
            look = widgets::pill(ui, wording::LOOK_FOR_IT, Pill::First).clicked();
            if widgets::pill(ui, wording::OFF_THE_LIST, Pill::Second).clicked() {
                state.requests.push(Request::Keep(Keeping::Forget(path.clone())));
                done = true;
            }
            done |= widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
        });
    });
    if look {
        panels.browse(state, Purpose::Study);
        return panels.sheet.take();
    }
    (!done && !closed).then_some(Sheet::LostStudy(path))
}
