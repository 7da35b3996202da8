//! The name of the file, for those who write it: a path leads on as it is written, and Tab writes the rest of a name.

use super::{BrowserState, Purpose};
use crate::base::folders;
use crate::files::listing::{Form, Listed};
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::{theme, wording};
use egui::{Align, EventFilter, Key, Layout, Modifiers, Ui, Vec2};
use std::path::{MAIN_SEPARATOR, Path, PathBuf};

/// The field and the buttons under the list: the path that is accepted, and whether the painter leaves.
pub(super) fn foot(browser: &mut BrowserState, ui: &mut Ui, purpose: &Purpose) -> (Option<PathBuf>, bool) {
    let mut accepted = None;
    let mut leaves = false;
    let id = egui::Id::unique("name of a file");
    let completion = completion(browser, purpose).filter(|_| ui.memory(|m| m.has_focus(id)));
    // Before the field sees it: Tab goes on to the next control only when there is nothing to complete.
    if let Some(entry) = &completion
        && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Tab))
    {
        complete(browser, entry);
        let end = browser.name.chars().count();
        widgets::select(ui.ctx(), id, end, end);
    }
    let label = widgets::quiet(ui, wording::FILE_NAME);
    let field = widgets::named_field(ui, id, wording::FILE_NAME, &mut browser.name).labelled_by(label.id);
    if std::mem::take(&mut browser.focus_name) {
        field.request_focus();
        let stem = browser.name.rfind('.').filter(|at| *at > 0).unwrap_or(browser.name.len());
        widgets::select(ui.ctx(), id, 0, browser.name[..stem].chars().count());
    }
    let filter =
        EventFilter { tab: completion.is_some(), horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    if field.has_focus() {
        ui.memory_mut(|m| m.set_focus_lock_filter(field.id, filter));
    }
    if field.changed() {
        follow(browser, purpose);
    }
    let entered = widgets::entered(ui, &field);
    // Its place is kept, so that the buttons stay where they are.
    let said = browser.error.clone().map(|why| wording::sentence_start(&why));
    let said = said.or_else(|| completion.map(|entry| wording::completes_to(&entry.name))).unwrap_or_default();
    widgets::cell(ui, &said, ui.available_width(), if browser.error.is_some() { theme::STRONG } else { theme::QUIET });
    let size = Vec2::new(ui.available_width(), widgets::PILL);
    ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), |ui| {
        let pressed = widgets::pill(ui, purpose.button(), Pill::First).clicked();
        if pressed || entered {
            accepted = accept(browser, purpose);
            if accepted.is_none() && entered {
                browser.focus_name = browser.error.is_some();
            }
        }
        leaves = widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
        if browser.has_system_dialog {
            let words = (wording::SYSTEM_DIALOG, wording::SYSTEM_DIALOG_NAME);
            browser.to_system_dialog = widgets::pill_named(ui, words.0, words.1, Pill::Plain).clicked();
        }
    });
    (accepted, leaves)
}

/// What the written name may become: the first that begins with it, whatever the case of the letters.
fn completion(browser: &mut BrowserState, purpose: &Purpose) -> Option<Listed> {
    let name = browser.name.to_lowercase();
    let shown = browser.shown(purpose);
    let found = shown.iter().find(|e| e.name.to_lowercase().starts_with(&name))?;
    (!name.is_empty() && found.name != browser.name).then(|| found.clone())
}

fn complete(browser: &mut BrowserState, entry: &Listed) {
    browser.error = None;
    if entry.form == Form::Folder {
        browser.go(&entry.path);
        browser.name.clear();
    } else {
        browser.choose(entry);
    }
}

/// Follows what is written: a path leads into its folder, and a beginning chooses the first that has it.
fn follow(browser: &mut BrowserState, purpose: &Purpose) {
    browser.error = None;
    let separators: &[char] = if cfg!(windows) { &['/', '\\'] } else { &['/'] };
    if let Some(at) = browser.name.rfind(separators) {
        let (folder, rest) = browser.name.split_at(at + 1);
        let folder = browser.view.folder().join(folders::expanded(folder));
        let rest = rest.to_owned();
        browser.go(&cleaned(&folder));
        browser.name = rest;
    }
    if purpose.writes() {
        browser.chosen = None;
        return;
    }
    let name = browser.name.to_lowercase();
    let shown = browser.shown(purpose);
    if !name.is_empty() {
        let found = shown.iter().find(|e| e.name.to_lowercase().starts_with(&name));
        browser.chosen = found.map(|entry| entry.path.clone());
        browser.reveal = true;
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
fn accept(browser: &mut BrowserState, purpose: &Purpose) -> Option<PathBuf> {
    follow(browser, purpose);
    let name = browser.name.trim().to_owned();
    if name == "~" {
        browser.go(&folders::expanded("~"));
        browser.name.clear();
        return None;
    }
    let chosen = browser.chosen.clone();
    if name.is_empty() {
        if let Some(chosen) = chosen {
            return browser.open(purpose, &chosen);
        }
        browser.error = Some(wording::NAME_A_FILE.to_owned());
        return None;
    }
    let path = browser.view.folder().join(&name);
    if stint_model::disk::is_dir(&path) {
        browser.go(&cleaned(&path));
        browser.name.clear();
        return None;
    }
    if purpose.writes() {
        // What the folder says of itself: it is missing, or may not be looked into.
        if let Some(fault) = browser.view.fault() {
            browser.error = Some(fault.to_owned());
            return None;
        }
        return Some(purpose.with_ending(path));
    }
    if stint_model::disk::exists(&path) {
        return Some(path);
    }
    // The first that begins so, as the list shows it.
    if let Some(chosen) = chosen {
        return browser.open(purpose, &chosen);
    }
    browser.error = Some(wording::no_such_file(&name, browser.view.folder()));
    None
}
