//! Brushes from files and into files: chosen in the browser, asked about where a name is taken.

use super::file_browser::Purpose;
use super::widgets::{self, Pill};
use super::{Asks, PanelState, ReplaceForm, Sheet};
use crate::files::brushes::{self, NamedBrush};
use crate::files::replace::{Refusal, Writes, may_write};
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use std::path::{Path, PathBuf};
use stint_model::disk::{self, Replace};

/// A brush of a file whose name another brush has.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct SameBrush {
    brush: NamedBrush,
    /// The file of the painter's own brush of that name; none where it came with the program, which nothing takes the place of.
    own: Option<PathBuf>,
}

/// Opens the browser for a file of the brush that is held, under the name it was given.
pub(super) fn hand_out(state: &State, panels: &mut PanelState, name: &str) {
    let name = name.trim().to_owned();
    let file = PathBuf::from(brushes::file_name(&name));
    panels.browse(state, Purpose::WriteBrush(file, name));
}

/// Writes the brush that is held to a file; gives the question where one is there.
pub(super) fn write_file(state: &mut State, path: &Path, name: &str, replace: Replace) -> Option<ReplaceForm> {
    match may_write(path, Writes::Brush, replace) {
        Ok(()) => {}
        Err(Refusal::Taken { path, found }) => {
            return Some(ReplaceForm { path, found: found.to_string(), asks: Asks::Brush(name.to_owned()) });
        }
        Err(refusal) => {
            state.notices.push(refusal.to_string());
            return None;
        }
    }
    let brush = state.session.as_ref().map(|session| session.brush().clone())?;
    let told = match brushes::write(path, &NamedBrush { name: name.to_owned(), brush }, replace) {
        Ok(()) => wording::brush_written(name, path),
        Err(error) => error.to_string(),
    };
    state.notices.push(told);
    None
}

/// Takes in the brush of a file; gives the question where its name is taken.
pub(super) fn take_in(state: &mut State, path: &Path) -> Option<Sheet> {
    let brush = match brushes::read(path) {
        Ok(brush) => brush,
        Err(error) => {
            state.notices.push(error.to_string());
            return None;
        }
    };
    let same = state.brushes.all().iter().find(|held| held.named.name.eq_ignore_ascii_case(&brush.name));
    match same {
        Some(same) => Some(Sheet::SameBrush(SameBrush { own: same.path.clone(), brush })),
        None => {
            keep(state, brush);
            None
        }
    }
}

/// Asks what becomes of a brush whose name is taken.
pub(super) fn same_sheet(state: &mut State, ui: &mut Ui, form: SameBrush) -> Option<Sheet> {
    let other = free_brush_name(state, &form.brush.name);
    let (mut both, mut instead) = (false, false);
    let left = widgets::sheet(ui, wording::SAME_BRUSH_SHEET, 400.0, |ui| {
        widgets::text(ui, wording::same_brush(&form.brush.name, form.own.is_some()));
        widgets::footer(ui, |ui| {
            both = widgets::pill(ui, &wording::keep_brush_as(&other), Pill::First).clicked();
            if form.own.is_some() {
                instead = widgets::pill(ui, wording::BRUSH_INSTEAD, Pill::Plain).clicked();
            }
        });
    });
    match (&form.own, both, instead) {
        (_, true, _) => keep(state, NamedBrush { name: other, ..form.brush }),
        (Some(path), _, true) => match brushes::write(path, &form.brush, Replace::Asked) {
            Ok(()) => taken_in(state, &form.brush.name, path),
            Err(error) => state.notices.push(error.to_string()),
        },
        (_, false, _) if left => {}
        _ => return Some(Sheet::SameBrush(form)),
    }
    None
}

fn keep(state: &mut State, brush: NamedBrush) {
    match brushes::keep(state.data_folder.as_deref(), &brush) {
        Ok(path) => taken_in(state, &brush.name, &path),
        Err(error) => state.notices.push(error.to_string()),
    }
}

/// A brush is among the painter's own now, and in hand.
fn taken_in(state: &mut State, name: &str, path: &Path) {
    let told = state.brushes.take_own(state.data_folder.as_deref());
    state.notices.extend(told);
    state.brushes.choose_named(name);
    if let Some(brush) = state.brushes.choose(state.brushes.chosen()) {
        state.set_brush(brush);
    }
    state.notices.push(wording::brush_kept(name, path));
}

/// A name like this one that no brush has.
fn free_brush_name(state: &State, name: &str) -> String {
    let taken = |name: &str| state.brushes.all().iter().any(|held| held.named.name.eq_ignore_ascii_case(name));
    // Room for the number.
    let stem: String = name.chars().take(brushes::MAX_NAME_LETTERS - 4).collect();
    disk::numbered(stem.trim_end(), taken)
}
