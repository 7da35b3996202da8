//! The panels around the canvas, the start page and the sheets: each a function of [`State`].
//!
//! | place | file |
//! | --- | --- |
//! | top bar: looks, history, export; the study's menu | `top`, `study_menu` |
//! | left: the photo, the loupe, painting against photo | `reference` (a folder), `photo`, `shut_photo`, `lit_surface` |
//! | over the canvas, for a thumb: steps of the history | `thumb` |
//! | bottom: tools, tray, well, free colour | `tools`, `brush_picture`, `tray`, `well`, `mixing`, `dab`, `mixture`, `free`, `plane` |
//! | right: readout, charts, passes | `readout`, `bar`, `chart`, `lean_chart`, `reach_chart`, `passes` |
//! | sheets | `swatch_sheet`, `brush_sheet`, `colour_form`, `board_sheet` (a family), `export`, `replace_sheet`, `study_sheets`, `stint`, `keys_sheet` with `guide` |
//! | left, instead of the photo: the board | `board` (a folder) |
//! | left, instead of the photo, and over the canvas: cropping and extending it | `canvas_crop` (a folder) |
//! | instead of the canvas | `photo_page` |
//! | instead of everything below the top bar | `memory_page`, `side_by_side` |
//! | instead of everything: the kept boards, progress, settings | `library_page`, `progress_page`, `settings_page` (a folder) |
//! | everything the keys can do, by name | `finder` |
//! | no study | `start` (a folder) |
//! | choosing a file | `system_dialog`, `file_browser` (a folder), `chosen` |
//! | how large all this is | `measures` |
//!
//! Panels change a study through [`State::apply`] alone, and ask for the rest with a [`crate::ui::request::Request`].

mod bar;
mod blur;
mod board;
mod board_sheet;
mod brush_files;
mod brush_picture;
mod brush_sheet;
mod canvas_crop;
mod chart;
mod chosen;
mod colour_form;
mod dab;
mod export;
mod file_browser;
mod finder;
mod free;
mod guide;
mod keys_sheet;
mod lean_chart;
mod library_page;
mod lit_surface;
mod measures;
mod memory_page;
mod mixing;
mod mixture;
mod next_step;
mod notices;
mod passes;
mod photo;
mod photo_page;
mod plane;
mod pressure_sheet;
mod progress_page;
mod reach_chart;
mod readout;
mod reference;
mod replace_sheet;
mod settings_page;
mod shut_photo;
mod side_by_side;
mod start;
mod stint;
mod study_menu;
mod study_sheets;
mod swatch_sheet;
mod system_dialog;
#[cfg(test)]
mod tests;
mod thumb;
mod tools;
mod top;
mod tray;
mod well;
mod widgets;

pub use canvas_crop::frame as canvas_frame;
pub use measures::{enlargement, scale, size_held_percent};

use crate::files::settings::Setting;
use crate::ui::file_pictures::FilePictures;
use crate::ui::looks::Look;
use crate::ui::state::State;
use crate::ui::{studies, theme};
use egui::{Rect, Ui, UiBuilder, pos2};
use measures::Measures;
use stint_model::ids::SwatchId;

/// A window narrower than this is narrow, points.
const NARROW: f32 = 1060.0;
/// Width of free colour in it while that is shut, points.
const SHUT_FREE: f32 = 164.0;
/// What lights up under the pointer waits this long, seconds.
const HOVER_SECONDS: f64 = 0.3;
/// Height of the top bar, points.
const TOP_HEIGHT: f32 = 44.0;

/// Panels that were put away, by their names here.
const PUT_AWAY: Setting<Vec<String>> = Setting::new("panels_put_away");
const REFERENCE: &str = "reference";
const READOUT: &str = "readout";
/// How wide the loupe is, photo pixels.
const LOUPE: Setting<u32> = Setting::new("loupe_px");

/// The sheet that lies over the window.
#[derive(Clone, PartialEq, Debug)]
enum Sheet {
    /// A new or a changed swatch.
    Swatch(swatch_sheet::SwatchForm),
    /// What becomes of the paint of a swatch.
    Delete(swatch_sheet::DeleteForm),
    /// A family.
    Family(board_sheet::FamilyForm),
    /// Taking a board out of the study.
    ForgetBoard(String),
    /// Opening free colour.
    OpenFree,
    /// Opening the photo of a study that is painted from memory.
    OpenPhoto,
    /// Removing a pass that has paint.
    RemovePass(String),
    /// Export.
    Export(export::ExportForm),
    /// Whether a file gives way.
    Replace(ReplaceForm),
    /// Choosing a file.
    Browse(file_browser::Purpose),
    /// Choosing one in the system's own dialog.
    SystemDialog(file_browser::Purpose),
    /// The length of the stint.
    Stint,
    /// Setting the brush that is held.
    Brush(brush_sheet::BrushForm),
    /// Showing how hard the hand presses.
    Pressure(pressure_sheet::PressureForm),
    /// A brush of a file whose name is taken.
    SameBrush(brush_files::SameBrush),
    /// The keys.
    Keys,
    /// Everything the keys can do.
    Find(finder::FinderForm),
    /// Another name for a study.
    RenameStudy(study_sheets::RenameForm),
    /// Studies in the trash.
    Trash,
    /// A study that is not where it was.
    LostStudy(std::path::PathBuf),
}

/// What asks whether a file gives way.
#[derive(Clone, PartialEq, Debug)]
enum Asks {
    /// The export sheet, which comes back with the answer.
    Export(export::ExportForm),
    /// The board's panel.
    Board,
    /// The page of progress.
    Progress,
    /// The brush's sheet, for the brush that is held under the name it was given.
    Brush(String),
}

/// The question whether a file gives way.
#[derive(Clone, PartialEq, Debug)]
struct ReplaceForm {
    /// The file that is there.
    path: std::path::PathBuf,
    /// What it is, in words.
    found: String,
    /// Who wants to write.
    asks: Asks,
}

/// What lies where the canvas is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Page {
    /// The canvas.
    #[default]
    Canvas,
    /// The photo, large.
    Photo,
    /// A neutral field, to hit a swatch from memory.
    Memory,
    /// Two studies of one photo beside it.
    SideBySide,
    /// How studies and exercises went; covers the whole window.
    Progress,
    /// The kept boards; covers the whole window.
    Library,
    /// Settings and keys; covers the whole window.
    Settings,
}

/// What the panels remember between frames.
#[derive(Default)]
pub struct PanelState {
    /// Whether the key sheet shows the guide instead.
    guide: bool,
    /// What lies where the canvas is.
    pub page: Page,
    /// Whether the board's panel takes the place of the reference.
    pub board_open: bool,
    /// The epoch of the state that all this belongs to.
    epoch: u64,
    sheet: Option<Sheet>,
    board: board::BoardState,
    photo_page: photo_page::PhotoPageState,
    memory: memory_page::MemoryState,
    side_by_side: side_by_side::SideBySide,
    progress: progress_page::ProgressState,
    library: library_page::LibraryState,
    settings: settings_page::SettingsState,
    reference_away: bool,
    readout_away: bool,
    photo: photo::PhotoState,
    loupe: reference::loupe_state::LoupeState,
    proposal: reference::proposal::ProposalState,
    follow: reference::follow::FollowState,
    line_up: reference::line_up::LineUpState,
    crop: reference::crop::CropState,
    canvas_crop: canvas_crop::CanvasCropState,
    lit: lit_surface::LitSurface,
    free: free::FreeState,
    readout: readout::ReadoutState,
    reach: reach_chart::ReachState,
    passes: passes::PassesState,
    well: well::WellState,
    tray: tray::TrayState,
    brushes: brush_picture::BrushPictures,
    brush_strip: Option<brush_sheet::StripPicture>,
    start: start::StartPage,
    browser: file_browser::BrowserState,
    system_dialog: system_dialog::SystemDialogState,
    notices: notices::NoticesState,
    /// The export sheet, while the place of its picture is chosen.
    exporting: Option<export::ExportForm>,
    /// The swatch under the pointer, and since when it is there, seconds.
    hovered: Option<(SwatchId, f64)>,
    /// Photos that had come in when the panels last looked.
    photos_taken: u64,
    pictures: FilePictures,
    squint_radius_px: Option<f32>,
    values: Option<u8>,
}

impl PanelState {
    /// Panels as they were when the program ran last.
    pub fn restored(state: &State) -> Self {
        let away = state.settings.get(&PUT_AWAY).unwrap_or_default();
        let mut panels = PanelState {
            reference_away: away.iter().any(|panel| panel == REFERENCE),
            readout_away: away.iter().any(|panel| panel == READOUT),
            ..PanelState::default()
        };
        if let Some(aperture_px) = state.settings.get(&LOUPE) {
            panels.loupe.set_aperture(aperture_px);
        }
        panels
    }

    /// Keeps how the panels are for the next time the program runs.
    pub fn remember(&self, state: &mut State) {
        let away = [(self.reference_away, REFERENCE), (self.readout_away, READOUT)];
        let away = away.into_iter().filter(|(away, _)| *away).map(|(_, panel)| panel.to_owned()).collect();
        state.keep_setting(&PUT_AWAY, away, Vec::new());
        state.keep_setting(&LOUPE, self.loupe.aperture_px, reference::loupe_state::APERTURE_PX);
    }

    /// Whether the next key that is pressed is taken down and does nothing.
    pub fn takes_any_key(&self) -> bool {
        self.page == Page::Settings && self.settings.listens()
    }

    /// Opens the sheet that finds everything by its name, or shuts it.
    pub fn toggle_finder(&mut self) {
        self.sheet = match self.sheet {
            Some(Sheet::Find(_)) => None,
            _ => Some(Sheet::Find(finder::FinderForm::default())),
        };
    }

    /// Whether that sheet is open.
    pub fn finder_is_open(&self) -> bool {
        matches!(self.sheet, Some(Sheet::Find(_)))
    }

    /// Whether a sheet lies over the window, which then takes the keys.
    pub fn sheet_is_open(&self) -> bool {
        self.sheet.is_some()
    }

    /// Whether that sheet is the one that shows the keys.
    pub fn key_sheet_is_open(&self) -> bool {
        self.sheet == Some(Sheet::Keys)
    }

    /// Opens the key sheet, or shuts it.
    pub fn toggle_keys(&mut self) {
        self.sheet = if self.sheet == Some(Sheet::Keys) { None } else { Some(Sheet::Keys) };
    }

    /// Opens the sheet that sets the brush that is held.
    pub fn open_brush_sheet(&mut self, state: &State) {
        self.sheet = Some(Sheet::Brush(brush_sheet::BrushForm::of(state)));
    }

    /// Opens a page, or goes back to the canvas.
    pub fn toggle_page(&mut self, page: Page) {
        self.page = if self.page == page { Page::Canvas } else { page };
        if self.page == Page::Photo {
            // What is picked from the photo is in its panel.
            (self.reference_away, self.board_open) = (false, false);
        }
    }

    /// Opens the export sheet for a study.
    pub fn open_export(&mut self, session: &crate::study::session::Session) {
        self.sheet = Some(Sheet::Export(export::ExportForm::new(session)));
    }

    /// Opens the sheet that asks before free colour opens.
    pub fn open_free_sheet(&mut self) {
        self.sheet = Some(Sheet::OpenFree);
    }

    /// What lights up under the pointer does so only once the pointer rests there: moving over the tray must not make the canvas flicker.
    fn wait_before_lighting(&mut self, ui: &Ui, state: &mut State) {
        let Some(over) = state.highlighted else {
            self.hovered = None;
            return;
        };
        let now = ui.input(|i| i.time);
        let since = match self.hovered {
            Some((id, since)) if id == over => since,
            _ => now,
        };
        self.hovered = Some((over, since));
        if now - since < HOVER_SECONDS {
            state.highlighted = None;
            ui.ctx().request_repaint_after(std::time::Duration::from_secs_f64(HOVER_SECONDS - (now - since)));
        }
    }

    /// Shows a photo that came in, large, with a board proposed from it where there is none yet.
    fn follow_photos(&mut self, state: &State) {
        if std::mem::replace(&mut self.photos_taken, state.photos_taken) == state.photos_taken {
            return;
        }
        reference::reset_spots(self);
        let Some(session) = &state.session else { return };
        if self.page != Page::Photo {
            self.toggle_page(Page::Photo);
        }
        (self.reference_away, self.board_open) = (false, false);
        self.proposal.open = session.document().board.families.is_empty();
    }

    /// Forgets what belonged to another study than the one that is open now. Call it before anything is done with the panels
    /// after a study was opened or closed.
    pub fn follow_study(&mut self, state: &State) {
        if self.epoch == state.epoch {
            return;
        }
        let mut before = std::mem::take(self);
        before.start.follow_study(state.session.is_some());
        before.pictures.look_again();
        before.progress.figures.look_again();
        let mut loupe = reference::loupe_state::LoupeState::default();
        loupe.set_aperture(before.loupe.aperture_px);
        *self = PanelState {
            loupe,
            reference_away: before.reference_away,
            readout_away: before.readout_away,
            settings: before.settings,
            guide: before.guide,
            start: before.start,
            system_dialog: before.system_dialog.kept(),
            browser: before.browser,
            pictures: before.pictures,
            photos_taken: before.photos_taken,
            library: before.library,
            progress: before.progress,
            brushes: before.brushes,
            epoch: state.epoch,
            ..Default::default()
        };
    }
}

/// Draws everything but the canvas; the rectangle that is left for it, in points. Empty on the start page.
///
/// `ui` covers the window. The places are worked out here and not by nested panels, so that nothing a panel holds can
/// push the canvas about.
pub fn frame(ui: &mut Ui, state: &mut State, panels: &mut PanelState) -> Rect {
    let rest = regions(ui, state, panels);
    panels.wait_before_lighting(ui, state);
    if state.comparing.light_moves() {
        ui.ctx().request_repaint();
    }
    panels.pictures.follow(ui.ctx(), state.data_folder.as_deref());
    if !state.requests.is_empty() {
        // What is done about them after this frame has to show.
        ui.ctx().request_repaint();
    }
    rest
}

fn regions(ui: &mut Ui, state: &mut State, panels: &mut PanelState) -> Rect {
    state.highlighted = None;
    panels.follow_study(state);
    panels.follow_photos(state);
    export::follow(state, panels, ui.ctx());
    studies::poll_opening(state);
    studies::poll_keeping(state);
    if let Some(path) = state.lost_study.take() {
        panels.sheet = Some(Sheet::LostStudy(path));
    }
    follow_comparison(state, panels, ui.ctx());
    let mut rest = ui.max_rect();
    state.remarked = panels.take_lit_in_chart();
    board::end_stale_trial(state, panels);
    if panels.page == Page::Library {
        board::follow(state, panels);
        notices::overlay(state, panels, ui, rest);
        place(ui, "library", rest, theme::PANEL, |ui| library_page::page(state, panels, ui));
        sheets(state, panels, ui);
        return Rect::from_min_max(rest.min, rest.min);
    }
    if panels.page == Page::Progress {
        notices::overlay(state, panels, ui, rest);
        place(ui, "progress", rest, theme::PANEL, |ui| progress_page::page(state, panels, ui));
        sheets(state, panels, ui);
        return Rect::from_min_max(rest.min, rest.min);
    }
    if panels.page == Page::Settings {
        notices::overlay(state, panels, ui, rest);
        place(ui, "settings", rest, theme::PANEL, |ui| settings_page::page(state, panels, ui));
        sheets(state, panels, ui);
        return Rect::from_min_max(rest.min, rest.min);
    }
    if state.session.is_none() {
        notices::overlay(state, panels, ui, rest);
        place(ui, "start page", rest, theme::PANEL, |ui| start::page(state, panels, ui));
        sheets(state, panels, ui);
        return Rect::from_min_max(rest.min, rest.min);
    }
    if state.readout.is_none() {
        state.refresh();
    }
    let measures = Measures::of(ui.ctx());
    let top = cut(&mut rest, Side::Top, TOP_HEIGHT);
    place(ui, "top bar", top, theme::BAR, |ui| top::bar(state, panels, ui));
    if panels.page == Page::Memory {
        // Photo, tray and readout show the colours that are to be found, so this page covers them too.
        notices::overlay(state, panels, ui, rest);
        place(ui, "memory page", rest, theme::PANEL, |ui| memory_page::page(state, panels, ui));
        sheets(state, panels, ui);
        return Rect::from_min_max(rest.min, rest.min);
    }
    if panels.page == Page::SideBySide {
        notices::overlay(state, panels, ui, rest);
        place(ui, "side by side", rest, theme::PANEL, |ui| side_by_side::page(state, panels, ui));
        sheets(state, panels, ui);
        return Rect::from_min_max(rest.min, rest.min);
    }
    let tray = cut(&mut rest, Side::Bottom, measures.bottom_height());
    canvas_crop::follow(state, panels);
    let board_open = panels.board_open;
    let (photo_side, readout_side) = sides(state);
    if panels.canvas_crop.open {
        let left = cut(&mut rest, photo_side, measures.left_width());
        place(ui, "canvas size", left, theme::PANEL, |ui| column(ui, |ui| canvas_crop::panel(state, panels, ui)));
    } else if board_open {
        let left = cut(&mut rest, photo_side, measures.left_width());
        place(ui, "board", left, theme::PANEL, |ui| board::panel(state, panels, ui));
    } else if !panels.reference_away {
        let left = cut(&mut rest, photo_side, measures.left_width());
        place(ui, "left", left, theme::PANEL, |ui| column(ui, |ui| reference::panel(state, panels, ui)));
    }
    let right = (!panels.readout_away).then(|| cut(&mut rest, readout_side, measures.right_width()));
    next_step::line(state, panels, ui, &mut rest);
    if board_open {
        board::strip(state, panels, ui, &mut rest);
    }
    notices::overlay(state, panels, ui, rest);
    // Before anything that shows the board, so that all of it shows what is tried out in this frame.
    board::follow(state, panels);
    place(ui, "bottom", tray, theme::BAR, |ui| bottom(state, panels, ui));
    if let Some(right) = right {
        place(ui, "right", right, theme::PANEL, |ui| right_side(state, panels, ui));
    }
    match panels.page {
        Page::Canvas | Page::Library | Page::Memory | Page::SideBySide | Page::Progress | Page::Settings => {}
        Page::Photo => place(ui, "photo page", rest, theme::PANEL, |ui| photo_page::page(state, panels, ui)),
    }
    if panels.page == Page::Canvas {
        thumb::buttons(state, ui, rest);
    }
    sheets(state, panels, ui);
    if panels.page == Page::Canvas { rest } else { Rect::from_min_max(rest.min, rest.min) }
}

/// Keeps the comparison with the photo up to date while somebody looks at it.
fn follow_comparison(state: &mut State, panels: &mut PanelState, ctx: &egui::Context) {
    state.comparing.begin_frame();
    let looked_at = state.comparing.open || state.look == Look::Difference;
    let wake = {
        let ctx = ctx.clone();
        move || ctx.request_repaint()
    };
    if let Err(why) = state.comparing.follow(state.session.as_mut(), state.epoch, looked_at, wake) {
        state.notices.push(why);
    }
    panels.lit.follow(state, ctx);
}

/// A side of the window.
#[derive(Clone, Copy)]
enum Side {
    Top,
    Bottom,
    Left,
    Right,
}

/// The sides of photo and tools, and of readout and free colour.
fn sides(state: &State) -> (Side, Side) {
    if state.preferences.left_handed { (Side::Right, Side::Left) } else { (Side::Left, Side::Right) }
}

/// Cuts a strip off a rectangle; a strip wider than what is left takes it all.
fn cut(rest: &mut Rect, side: Side, size: f32) -> Rect {
    let mut strip = *rest;
    match side {
        Side::Top => {
            rest.min.y = (rest.min.y + size).min(rest.max.y);
            strip.max.y = rest.min.y;
        }
        Side::Bottom => {
            rest.max.y = (rest.max.y - size).max(rest.min.y);
            strip.min.y = rest.max.y;
        }
        Side::Left => {
            rest.min.x = (rest.min.x + size).min(rest.max.x);
            strip.max.x = rest.min.x;
        }
        Side::Right => {
            rest.max.x = (rest.max.x - size).max(rest.min.x);
            strip.min.x = rest.max.x;
        }
    }
    strip
}

/// A region of the window with its ground.
fn place(ui: &mut Ui, name: &str, rect: Rect, ground: egui::Color32, content: impl FnOnce(&mut Ui)) {
    // The identity hangs on the name alone: a field keeps the keyboard when a notice comes or goes.
    let id = egui::Id::unique("region").with(name);
    let mut inside = ui.new_child(UiBuilder::new().max_rect(rect).scope_id(id));
    inside.set_clip_rect(rect.intersect(ui.clip_rect()));
    inside.painter().rect_filled(rect, 0.0, ground);
    // The ground takes the pointer, so that a press beside a control never reaches the canvas.
    inside.interact(rect, inside.scope_id().with("ground"), egui::Sense::hover());
    content(&mut inside);
}

/// A column within the margins of a side, which scrolls when the window is low.
fn column(ui: &mut Ui, content: impl FnOnce(&mut Ui)) {
    let all = ui.max_rect();
    scrolling(ui, Rect::from_min_max(all.min + egui::vec2(0.0, 10.0), all.max), content);
}

/// A part of a side that scrolls when it is too low for its content.
fn scrolling(ui: &mut Ui, all: Rect, content: impl FnOnce(&mut Ui)) {
    // The scroll bar lies in the margin, beside what scrolls and not on it.
    let room = Rect::from_min_max(all.min + egui::vec2(theme::MARGIN, 0.0), all.max - egui::vec2(2.0, 0.0));
    let mut inside = ui.new_child(UiBuilder::new().max_rect(room).id_salt("scrolling"));
    // The clip leaves room for focus rings and for the free share, which stands out of the bar.
    inside.set_clip_rect(Rect::from_min_max(all.min + egui::vec2(4.0, 0.0), all.max).intersect(ui.clip_rect()));
    egui::ScrollArea::vertical().auto_shrink(false).show(&mut inside, |ui| {
        ui.set_max_width(all.width() - 2.0 * theme::MARGIN);
        content(ui);
        ui.add_space(theme::STEP);
    });
}

/// The readout and the title of the passes, which stay where they are, and under them the passes, which scroll.
fn right_side(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let all = ui.max_rect();
    let inner = Rect::from_min_max(all.min + egui::vec2(theme::MARGIN, 10.0), all.max - egui::vec2(theme::MARGIN, 0.0));
    let mut fixed = ui.new_child(UiBuilder::new().max_rect(inner).id_salt("readout"));
    fixed.set_clip_rect(all.shrink2(egui::vec2(4.0, 0.0)).intersect(ui.clip_rect()));
    readout::panel(state, panels, &mut fixed);
    passes::heading(state, panels, &mut fixed);
    let top = (fixed.min_rect().bottom() + theme::STEP).min(all.bottom());
    scrolling(ui, Rect::from_min_max(pos2(all.left(), top), all.max), |ui| {
        passes::list(state, panels, ui);
        readout::rest(state, panels, ui, inner.height());
    });
}

fn bottom(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let all = ui.max_rect();
    let measures = Measures::of(ui.ctx());
    let (photo_side, readout_side) = sides(state);
    let mut rest = all;
    let tools = cut(&mut rest, photo_side, measures.left_width());
    // In a narrow window free colour takes no more room than it needs while it is shut, so that the tray has some.
    let shut = state.session.as_ref().is_some_and(|session| !session.document().free_open);
    let free_width = if shut && all.width() < NARROW { SHUT_FREE } else { measures.right_width() };
    let free = cut(&mut rest, readout_side, free_width);
    let mut region = |rect: Rect, name: &str, content: &mut dyn FnMut(&mut Ui)| {
        let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(name));
        content(&mut ui);
    };
    region(tools.shrink2(egui::vec2(theme::MARGIN, 14.0)), "tools", &mut |ui| tools::panel(state, panels, ui));
    region(rest, "tray", &mut |ui| tray::panel(state, panels, ui));
    region(free, "free colour", &mut |ui| free::panel(state, panels, ui));
}

/// Shows the open sheet, if any. A sheet that wants to stay puts itself back.
fn sheets(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(sheet) = panels.sheet.take() else { return };
    let stays = match sheet {
        Sheet::Swatch(form) => swatch_sheet::edit(state, ui, form),
        Sheet::Delete(form) => swatch_sheet::delete(state, ui, form),
        Sheet::Family(form) => board_sheet::family(state, ui, form),
        Sheet::ForgetBoard(name) => board::forget_sheet(state, ui, name),
        Sheet::OpenFree => free::open_sheet(state, ui),
        Sheet::OpenPhoto => shut_photo::sheet(state, ui),
        Sheet::RemovePass(name) => passes::remove_sheet(state, ui, name),
        Sheet::Export(form) => export::sheet(state, panels, ui, form),
        Sheet::Browse(purpose) => chosen::sheet(state, panels, ui, purpose),
        Sheet::SystemDialog(purpose) => system_dialog::sheet(state, panels, ui, purpose),
        Sheet::Replace(form) => replace_sheet::sheet(state, panels, ui, form),
        Sheet::Stint => stint::sheet(state, ui),
        Sheet::Brush(form) => brush_sheet::sheet(state, panels, ui, form),
        Sheet::Pressure(form) => pressure_sheet::sheet(state, panels, ui, form),
        Sheet::SameBrush(form) => brush_files::same_sheet(state, ui, form),
        Sheet::Keys => keys_sheet::sheet(state, panels, ui),
        Sheet::Find(form) => finder::sheet(state, ui, form),
        Sheet::RenameStudy(form) => study_sheets::rename(state, ui, form),
        Sheet::Trash => study_sheets::trash(state, panels, ui),
        Sheet::LostStudy(path) => study_sheets::lost(state, panels, ui, path),
    };
    if stays.is_some() {
        panels.sheet = stays;
    }
}
