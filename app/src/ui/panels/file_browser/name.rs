//! The name of the file, for those who write it: a path leads on as it is written, and Tab writes the rest of a name.

use super::{BrowserState, Purpose};
use crate::base::folders;
use crate::files::listing::{Form, Listed};
use crate::ui::panels::parts::{self, Pill};
use crate::ui::{theme, wording};
use egui::{Align, EventFilter, Key, Layout, Modifiers, Ui, Vec2};
use std::path::{MAIN_SEPARATOR, Path, PathBuf};

/// The field and the buttons under the list: the path that is accepted, and whether the painter leaves.
pub(super) fn foot(part: &mut BrowserState, ui: &mut Ui, purpose: &Purpose) -> (Option<PathBuf>, bool) {
    let mut accepted = None;
    let mut leaves = false;
    let id = egui::Id::unique("name of a file");
    let completion = completion(part, purpose).filter(|_| ui.memory(|m| m.has_focus(id)));
    // Before the field sees it: Tab goes on to the next control only when there is nothing to complete.
    if let Some(entry) = &completion
        && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Tab))
    {
        complete(part, entry);
        let end = part.name.chars().count();
        parts::select(ui.ctx(), id, end, end);
    }
    let label = parts::quiet(ui, wording::FILE_NAME);
    let field = parts::named_field(ui, id, wording::FILE_NAME, &mut part.name).labelled_by(label.id);
    if std::mem::take(&mut part.focus_name) {
        field.request_focus();
        let stem = part.name.rfind('.').filter(|at| *at > 0).unwrap_or(part.name.len());
        parts::select(ui.ctx(), id, 0, part.name[..stem].chars().count());
    }
    let filter =
        EventFilter { tab: completion.is_some(), horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    if field.has_focus() {
        ui.memory_mut(|m| m.set_focus_lock_filter(field.id, filter));
    }
    if field.changed() {
        follow(part, purpose);
    }
    let entered = parts::entered(ui, &field);
    // Its place is kept, so that the buttons stay where they are.
    let said = part.error.clone().map(|why| wording::sentence_start(&why));
    let said = said.or_else(|| completion.map(|entry| wording::completes_to(&entry.name))).unwrap_or_default();
    parts::cell(ui, &said, ui.available_width(), if part.error.is_some() { theme::STRONG } else { theme::QUIET });
    let size = Vec2::new(ui.available_width(), parts::PILL);
    ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), |ui| {
        let pressed = parts::pill(ui, purpose.button(), Pill::First).clicked();
        if pressed || entered {
            accepted = accept(part, purpose);
            if accepted.is_none() && entered {
                part.focus_name = part.error.is_some();
            }
        }
        leaves = parts::pill(ui, wording::CANCEL, Pill::Plain).clicked();
    });
    (accepted, leaves)
}

/// What the written name may become: the first that begins with it, whatever the case of the letters.
fn completion(part: &mut BrowserState, purpose: &Purpose) -> Option<Listed> {
    let name = part.name.to_lowercase();
    let shown = part.shown(purpose);
    let found = shown.iter().find(|e| e.name.to_lowercase().starts_with(&name))?;
    (!name.is_empty() && found.name != part.name).then(|| found.clone())
}

fn complete(part: &mut BrowserState, entry: &Listed) {
    part.error = None;
    if entry.form == Form::Folder {
        part.go(&entry.path);
        part.name.clear();
    } else {
        part.choose(entry);
    }
}

/// Follows what is written: a path leads into its folder, and a beginning chooses the first that has it.
fn follow(part: &mut BrowserState, purpose: &Purpose) {
    part.error = None;
    let separators: &[char] = if cfg!(windows) { &['/', '\\'] } else { &['/'] };
    if let Some(at) = part.name.rfind(separators) {
        let (folder, rest) = part.name.split_at(at + 1);
        let folder = part.view.folder().join(folders::expanded(folder));
        let rest = rest.to_owned();
        part.go(&cleaned(&folder));
        part.name = rest;
    }
    if purpose.writes() {
        part.chosen = None;
        return;
    }
    let name = part.name.to_lowercase();
    let shown = part.shown(purpose);
    if let Some(found) = shown.iter().find(|e| !name.is_empty() && e.name.to_lowercase().starts_with(&name)) {
        part.chosen = Some(found.path.clone());
        part.reveal = true;
    }
}

/// A path without the steps "." and "..".
fn cleaned(path: &Path) -> PathBuf {
    let mut clean = PathBuf::new();
    for step in path.components() {
        match step {
            std::path::Component::CurDir => {}
            std::path::Component::ParentDir => {
                clean.pop();
            }
            other => clean.push(other),
        }
    }
    if clean.as_os_str().is_empty() { PathBuf::from(MAIN_SEPARATOR.to_string()) } else { clean }
}

/// What the name means: a file to take, a folder to go to, or why it is neither.
fn accept(part: &mut BrowserState, purpose: &Purpose) -> Option<PathBuf> {
    follow(part, purpose);
    let name = part.name.trim().to_owned();
    if name == "~" {
        part.go(&folders::expanded("~"));
        part.name.clear();
        return None;
    }
    let chosen = part.chosen.clone();
    if name.is_empty() {
        if let Some(chosen) = chosen {
            return part.open(purpose, &chosen);
        }
        part.error = Some(wording::NAME_A_FILE.to_owned());
        return None;
    }
    let path = part.view.folder().join(&name);
    if stint_model::disk::is_dir(&path) {
        part.go(&cleaned(&path));
        part.name.clear();
        return None;
    }
    if purpose.writes() {
        // What the folder says of itself: it is missing, or may not be looked into.
        if let Some(fault) = part.view.fault() {
            part.error = Some(fault.to_owned());
            return None;
        }
        return Some(purpose.with_ending(path));
    }
    if stint_model::disk::exists(&path) {
        return Some(path);
    }
    // The first that begins so, as the list shows it.
    if let Some(chosen) = chosen {
        return part.open(purpose, &chosen);
    }
    part.error = Some(wording::no_such_file(&name, part.view.folder()));
    None
}
