//! The system's own dialog for files, while it is open, and the way back to choosing inside the window where there is none.

use super::chosen;
use super::file_browser::Purpose;
use super::widgets::{self, Pill};
use super::{PanelState, Sheet};
use crate::base::folders;
use crate::base::jobs::{Job, Outcome};
use crate::files::listing::endings;
use crate::files::settings::{LAST_FOLDER, OWN_FILE_BROWSER};
use crate::ui::file_dialog::{DialogEnd, DialogRequest};
use crate::ui::state::State;
use crate::ui::wording;
use egui::Ui;
use std::path::Path;

/// The sheet shows only when the dialog takes longer than this to come or stays open, seconds.
const SHOWS_AFTER: f64 = 0.3;

/// What is remembered of it.
#[derive(Default)]
pub(super) struct SystemDialogState {
    job: Option<Job<DialogEnd>>,
    /// When it was asked for, as the frames count, seconds.
    since: Option<f64>,
    /// It did not answer or failed: from now on files are chosen inside the window.
    failed: bool,
}

impl SystemDialogState {
    /// What holds for the whole run of the program.
    pub fn kept(&self) -> Self {
        SystemDialogState { failed: self.failed, ..Default::default() }
    }

    /// Whether there is such a dialog, as far as is known.
    pub fn may_answer(&self, state: &State) -> bool {
        state.system_dialog.is_some() && !self.failed
    }
}

impl PanelState {
    /// Lets the painter choose a file: in the system's own dialog where there is one, else inside the window.
    pub(super) fn browse(&mut self, state: &State, purpose: Purpose) {
        let own = state.settings.get(&OWN_FILE_BROWSER).unwrap_or(false);
        if own || !self.system_dialog.may_answer(state) {
            self.browse_here(state, purpose);
        } else {
            (self.system_dialog.job, self.system_dialog.since) = (None, None);
            self.sheet = Some(Sheet::SystemDialog(purpose));
        }
    }
}

/// Opens the dialog.
fn start(state: &State, ui: &Ui, purpose: &Purpose) -> Option<Job<DialogEnd>> {
    let named = purpose.starts_at();
    let beside = named.as_ref().and_then(|p| p.parent()).filter(|f| *f != Path::new("")).map(Path::to_owned);
    let folder = beside.or_else(|| state.settings.get(&LAST_FOLDER)).unwrap_or_else(folders::pictures);
    let mut kinds = vec![(wording::EVERY_FILE.to_owned(), Vec::new())];
    if !purpose.writes() {
        kinds.insert(0, (wording::files_wanted(purpose.wanted()).to_owned(), endings(purpose.wanted())));
    }
    let request = DialogRequest {
        title: purpose.title().to_owned(),
        accept: purpose.button().to_owned(),
        folder: std::path::absolute(&folder).unwrap_or(folder),
        saves_as: named.map(|path| path.file_name().unwrap_or_default().to_string_lossy().into_owned()),
        kinds,
    };
    let wake = ui.ctx().clone();
    // Without a thread there is no dialog either.
    state.system_dialog.as_ref()?(request, Box::new(move || wake.request_repaint())).ok()
}

/// While the system's dialog is open; gives back the sheet that is to be seen next.
pub(super) fn sheet(state: &mut State, panels: &mut PanelState, ui: &mut Ui, purpose: Purpose) -> Option<Sheet> {
    let now = ui.input(|i| i.time);
    let since = match panels.system_dialog.since {
        Some(since) => since,
        None => {
            panels.system_dialog.job = start(state, ui, &purpose);
            *panels.system_dialog.since.insert(now)
        }
    };
    let end = match panels.system_dialog.job.as_ref().map(Job::poll) {
        Some(Outcome::Running) => None,
        Some(Outcome::Done(end)) => Some(end),
        Some(Outcome::Died) | None => Some(DialogEnd::Unavailable),
    };
    match end {
        None => {}
        Some(DialogEnd::Chosen(path)) => {
            panels.system_dialog.job = None;
            if let Some(folder) = path.parent()
                && let Err(why) = state.settings.set(&LAST_FOLDER, &folder.to_owned())
            {
                state.notices.push(why);
            }
            let path = purpose.with_ending(path);
            return chosen::done(purpose, state, panels, ui, path);
        }
        Some(DialogEnd::Left) => {
            panels.system_dialog.job = None;
            return chosen::left(panels);
        }
        Some(DialogEnd::Unavailable) => {
            (panels.system_dialog.job, panels.system_dialog.failed) = (None, true);
            panels.browse_here(state, purpose);
            ui.ctx().request_repaint();
            return panels.sheet.take();
        }
    }
    if now - since < SHOWS_AFTER {
        ui.ctx().request_repaint_after(std::time::Duration::from_secs_f64(SHOWS_AFTER - (now - since)));
        return Some(Sheet::SystemDialog(purpose));
    }
    let (mut here, mut always) = (false, false);
    let leaves = widgets::sheet(ui, purpose.title(), 400.0, |ui| {
        widgets::text(ui, wording::SYSTEM_DIALOG_OPEN);
        widgets::footer(ui, |ui| {
            here = widgets::pill(ui, wording::CHOOSE_HERE, Pill::Second).clicked();
            always = widgets::pill(ui, wording::ALWAYS_CHOOSE_HERE, Pill::Plain).clicked();
        });
    });
    if always && let Err(why) = state.settings.set(&OWN_FILE_BROWSER, &true) {
        state.notices.push(why);
    }
    if here || always {
        panels.system_dialog.job = None;
        panels.browse_here(state, purpose);
        return panels.sheet.take();
    }
    if leaves {
        panels.system_dialog.job = None;
        return chosen::left(panels);
    }
    Some(Sheet::SystemDialog(purpose))
}
