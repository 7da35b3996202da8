//! Export: the sheet, and the work itself, which runs beside the window on a copy of the study.

use super::Sheet;
use super::parts::{self, Pill};
use crate::study::session::{ExportOptions, Session, export_png};
use crate::ui::state::{Request, State};
use crate::ui::{theme, wording};
use egui::{CornerRadius, Rect, Role, Sense, Ui, WidgetInfo, vec2};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::Duration;
use stint_model::picture::{Depth, OutputGamut};
use stint_render::choose::EngineWish;

/// How often progress is shown anew.
const LOOK_EVERY: Duration = Duration::from_millis(60);

/// The sheet as it is being filled in.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct ExportForm {
    path: String,
    options: ExportOptions,
}

impl ExportForm {
    /// Beside the study, under its name.
    pub fn new(session: &Session) -> Self {
        // Whole, so that the painter sees where it goes wherever the program was started.
        let study = std::path::absolute(session.path()).unwrap_or_else(|_| session.path().to_owned());
        let path = if study.is_file() {
            study.with_extension("png")
        } else {
            super::start::home_folder().join(format!("{}.png", session.document().board.name))
        };
        ExportForm { path: path.display().to_string(), options: ExportOptions::default() }
    }
}

/// An export on its way.
pub(super) struct ExportJob {
    path: PathBuf,
    rows: Arc<AtomicU64>,
    all: u64,
    result: Receiver<Result<(), String>>,
}

/// Starts an export. A study in a file is read again beside the window, so that painting goes on; one that lives in
/// memory alone is written at once.
pub(super) fn start(state: &mut State, path: PathBuf, options: ExportOptions) {
    let Some(session) = &mut state.session else { return };
    state.panels.exported = None;
    let study = session.path().to_owned();
    if let (Ok(study), Ok(target)) = (study.canonicalize(), path.canonicalize())
        && study == target
    {
        tell(state, path, Err(wording::EXPORT_ON_STUDY.to_owned()));
        return;
    }
    if !study.is_file() {
        let done = export_png(session, &path, &options, &mut |_| {}).map_err(|e| e.to_string());
        tell(state, path, done);
        return;
    }
    let (send, result) = channel();
    let rows = Arc::new(AtomicU64::new(0));
    let all = u64::from(session.document().height);
    let (counted, target) = (rows.clone(), path.clone());
    let work = move || {
        // Only a window that is gone does not listen; then nobody is left to tell.
        let _ = send.send(write_copy(&study, &target, &options, &counted));
    };
    match std::thread::Builder::new().name("export".to_owned()).spawn(work) {
        Ok(_) => state.panels.export = Some(ExportJob { path, rows, all, result }),
        Err(error) => tell(state, path, Err(error.to_string())),
    }
}

fn write_copy(study: &Path, target: &Path, options: &ExportOptions, rows: &AtomicU64) -> Result<(), String> {
    let write = || {
        let mut copy = Session::open_read_only(study, EngineWish::Cpu)?;
        export_png(&mut copy, target, options, &mut |done| rows.store(done, Ordering::Relaxed))
    };
    write().map_err(|e| e.to_string())
}

/// Takes the result of an export that has ended.
pub(super) fn poll(state: &mut State, ctx: &egui::Context) {
    let Some(job) = &state.panels.export else { return };
    let done = match job.result.try_recv() {
        Ok(done) => done,
        Err(TryRecvError::Empty) => {
            ctx.request_repaint_after(LOOK_EVERY);
            return;
        }
        Err(TryRecvError::Disconnected) => Err(wording::EXPORT_STOPPED.to_owned()),
    };
    let path = job.path.clone();
    state.panels.export = None;
    tell(state, path, done);
}

fn tell(state: &mut State, path: PathBuf, done: Result<(), String>) {
    if !matches!(state.panels.sheet, Some(Sheet::Export(_))) {
        state.notices.push(match &done {
            Ok(()) => wording::exported(&path),
            Err(why) => why.clone(),
        });
    }
    state.panels.exported = Some(done.map(|()| path));
}

/// The sheet; gives itself back while it stays open.
pub(super) fn sheet(state: &mut State, ui: &mut Ui, mut form: ExportForm) -> Option<Sheet> {
    let mut done = false;
    let closed = parts::sheet(ui, wording::EXPORT_SHEET, 440.0, |ui| {
        parts::quiet(ui, wording::EXPORT_LINE);
        parts::field(ui, wording::EXPORT_PATH, &mut form.path);
        options(ui, &mut form.options);
        let running = state.panels.export.is_some();
        if let Some(job) = &state.panels.export {
            progress(ui, job.rows.load(Ordering::Relaxed), job.all);
        }
        match &state.panels.exported {
            Some(Ok(path)) => {
                parts::text(ui, wording::exported(path));
            }
            Some(Err(why)) => {
                parts::text(ui, why.clone());
            }
            None => {
                // Room for the sentence to come, so that the buttons stay where they are.
                if !running {
                    ui.add_space(18.0);
                }
            }
        }
        parts::footer(ui, |ui| {
            let can = !running && !form.path.trim().is_empty();
            if ui.add_enabled_ui(can, |ui| parts::pill(ui, wording::EXPORT_NOW, Pill::First).clicked()).inner {
                let path = PathBuf::from(form.path.trim());
                state.panels.exported = None;
                state.requests.push(Request::Export { path, options: form.options });
            }
            done = parts::pill(ui, wording::DONE, Pill::Plain).clicked();
        });
    });
    (!done && !closed).then_some(Sheet::Export(form))
}

fn options(ui: &mut Ui, options: &mut ExportOptions) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        parts::cell(ui, wording::DEPTH, 96.0, theme::QUIET);
        let [(eight, eight_name), (sixteen, sixteen_name)] = wording::BITS;
        let depths = [(Depth::Eight, eight, eight_name), (Depth::Sixteen, sixteen, sixteen_name)];
        if let Some(depth) = parts::choices(ui, Some(options.png.depth), &depths) {
            options.png.depth = depth;
        }
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        parts::cell(ui, wording::SPACE, 96.0, theme::QUIET);
        let spaces = [
            (OutputGamut::Srgb, wording::SRGB, wording::SRGB),
            (OutputGamut::DisplayP3, wording::DISPLAY_P3, wording::DISPLAY_P3),
        ];
        if let Some(gamut) = parts::choices(ui, Some(options.png.gamut), &spaces) {
            options.png.gamut = gamut;
        }
    });
}

fn progress(ui: &mut Ui, done: u64, all: u64) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 4.0), Sense::hover());
    let words = wording::exporting(done, all);
    response.widget_info(|| WidgetInfo::labeled(Role::ProgressIndicator, true, &words));
    ui.painter().rect_filled(rect, CornerRadius::same(2), theme::LINE);
    let part = done as f32 / all.max(1) as f32;
    let so_far = Rect::from_min_size(rect.min, vec2(rect.width() * part.min(1.0), rect.height()));
    ui.painter().rect_filled(so_far, CornerRadius::same(2), theme::STRONG);
    parts::quiet(ui, words);
}
