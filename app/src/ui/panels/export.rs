//! The export sheet.

use super::file_browser::Purpose;
use super::widgets::{self, Pill};
use super::{Asks, ReplaceForm};
use super::{PanelState, Sheet};
use crate::base::folders;
use crate::files::library::safe_stem;
use crate::files::replace::{Refusal, Writes, may_write, picture_beside};
use crate::study::session::{ExportOptions, Session};
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::studies;
use crate::ui::{theme, wording};
use egui::{CornerRadius, Rect, Role, Sense, Ui, WidgetInfo, vec2};
use std::path::{Path, PathBuf};
use std::time::Duration;
use stint_model::disk::{self, Replace, free_name};
use stint_model::picture::{Depth, OutputGamut};

/// How often progress is shown anew.
const LOOK_EVERY: Duration = Duration::from_millis(60);

/// The sheet as it is being filled in.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct ExportForm {
    path: String,
    options: ExportOptions,
    /// A folder that is not there, and the path that it was looked for with.
    missing: Option<(PathBuf, String)>,
}

impl ExportForm {
    /// Beside the study, under its name where that is free.
    pub fn new(session: &Session) -> Self {
        // Whole, so that the painter sees where it goes wherever the program was started.
        let study = std::path::absolute(session.path()).unwrap_or_else(|_| session.path().to_owned());
        let path = if disk::is_file(&study) {
            picture_beside(&study)
        } else {
            free_name(&folders::pictures(), safe_stem(&session.document().board.name), ".png")
        };
        ExportForm { path: path.display().to_string(), options: ExportOptions::default(), missing: None }
    }

    /// Where the picture goes.
    pub fn path(&self) -> PathBuf {
        folders::expanded(&self.path)
    }

    /// The same at another place.
    pub fn at(self, path: &Path) -> Self {
        ExportForm { path: path.display().to_string(), ..self }
    }
}

/// Starts an export to a place where a file that is there may give way.
pub(super) fn start(state: &mut State, form: &ExportForm, path: PathBuf) {
    state.exported = None;
    let options = ExportOptions { replace: Replace::Asked, ..form.options };
    state.requests.push(Request::Export { path, options });
}

/// Follows an export that is being written, and tells how it ended where no sheet does.
pub(super) fn follow(state: &mut State, panels: &PanelState, ctx: &egui::Context) {
    if studies::poll_export(state) {
        ctx.request_repaint_after(LOOK_EVERY);
    }
    if !matches!(panels.sheet, Some(Sheet::Export(_)))
        && let Some(done) = state.exported.take()
    {
        state.notices.push(done.map_or_else(|why| why, |path| wording::exported(&path)));
    }
}

/// The sheet; gives itself back while it stays open.
pub(super) fn sheet(state: &mut State, panels: &mut PanelState, ui: &mut Ui, mut form: ExportForm) -> Option<Sheet> {
    let mut done = false;
    let mut chooses = false;
    let mut taken = None;
    let closed = widgets::sheet(ui, wording::EXPORT_SHEET, 440.0, |ui| {
        widgets::quiet(ui, wording::EXPORT_LINE);
        let field = widgets::field(ui, wording::EXPORT_PATH, &mut form.path);
        let entered = widgets::entered(ui, &field);
        let made = missing_folder(&mut form, state, ui);
        chooses = widgets::pill(ui, wording::CHOOSE_PLACE, Pill::Second).clicked();
        options(ui, &mut form.options);
        let running = state.export.is_some() || state.waiting_export.is_some();
        if let Some(job) = &state.export {
            let (done, all) = job.progress();
            progress(ui, done, all);
        }
        match &state.exported {
            Some(Ok(path)) => {
                widgets::text(ui, wording::exported(path));
            }
            Some(Err(why)) => {
                widgets::text(ui, why.clone());
            }
            None => {
                // Room for the sentence to come, so that the buttons stay where they are.
                if !running {
                    ui.add_space(18.0);
                }
            }
        }
        widgets::footer(ui, |ui| {
            let can = !running && !form.path.trim().is_empty();
            let pressed =
                ui.add_enabled_ui(can, |ui| widgets::pill(ui, wording::EXPORT_NOW, Pill::First).clicked()).inner;
            let path = form.path();
            let folder = disk::folder_of(&path);
            if (pressed || can && entered) && !disk::is_dir(&folder) {
                state.exported = None;
                form.missing = Some((folder.clone(), form.path.clone()));
            } else if pressed || can && (entered || made) {
                state.exported = None;
                match may_write(&path, Writes::Picture, Replace::Never) {
                    Err(Refusal::Taken { path, found }) => taken = Some((path, found.to_string())),
                    // Whoever writes says why not.
                    Ok(()) | Err(_) => state.requests.push(Request::Export { path, options: form.options }),
                }
            }
            let leave = if running || state.exported.is_some() { wording::DONE } else { wording::CANCEL };
            done = widgets::pill(ui, leave, Pill::Plain).clicked();
        });
    });
    if chooses {
        panels.browse(state, Purpose::Picture(form.path()));
        panels.exporting = Some(form);
        return panels.sheet.take();
    }
    if let Some((path, found)) = taken {
        return Some(Sheet::Replace(ReplaceForm { path, found, asks: Asks::Export(form) }));
    }
    if done || closed {
        // What is written in the sheet was told.
        state.exported = None;
        return None;
    }
    Some(Sheet::Export(form))
}

/// Under the field: that the folder is not there, and a button that makes it; tells whether it was made.
fn missing_folder(form: &mut ExportForm, state: &mut State, ui: &mut Ui) -> bool {
    let Some((folder, _)) = form.missing.clone().filter(|(_, path)| *path == form.path) else {
        form.missing = None;
        return false;
    };
    widgets::text(ui, wording::no_folder(&folder));
    if !widgets::pill_named(ui, wording::MAKE_THE_FOLDER, &wording::make_missing(&folder), Pill::Second).clicked() {
        return false;
    }
    let made = disk::create_dir_all(&folder);
    if let Err(why) = &made {
        state.exported = Some(Err(wording::sentence_start(&wording::folder_not_made(&folder, why))));
    }
    form.missing = None;
    made.is_ok()
}

fn options(ui: &mut Ui, options: &mut ExportOptions) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        widgets::cell(ui, wording::DEPTH, 96.0, theme::QUIET);
        let [(eight, eight_name), (sixteen, sixteen_name)] = wording::BITS;
        let depths = [(Depth::Eight, eight, eight_name), (Depth::Sixteen, sixteen, sixteen_name)];
        if let Some(depth) = widgets::choices(ui, Some(options.png.depth), &depths) {
            options.png.depth = depth;
        }
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        widgets::cell(ui, wording::SPACE, 96.0, theme::QUIET);
        let spaces = [
            (OutputGamut::Srgb, wording::SRGB, wording::SRGB),
            (OutputGamut::DisplayP3, wording::DISPLAY_P3, wording::DISPLAY_P3),
        ];
        if let Some(gamut) = widgets::choices(ui, Some(options.png.gamut), &spaces) {
            options.png.gamut = gamut;
        }
    });
    widgets::quiet(ui, wording::PLAIN_EXPORT);
}

fn progress(ui: &mut Ui, done: u64, all: u64) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 4.0), Sense::hover());
    let words = wording::exporting(done, all);
    response.widget_info(|| WidgetInfo::labeled(Role::ProgressIndicator, true, &words));
    ui.painter().rect_filled(rect, CornerRadius::same(2), theme::LINE);
    let fraction = done as f32 / all.max(1) as f32;
    let so_far = Rect::from_min_size(rect.min, vec2(rect.width() * fraction.min(1.0), rect.height()));
    ui.painter().rect_filled(so_far, CornerRadius::same(2), theme::STRONG);
    widgets::quiet(ui, words);
}
