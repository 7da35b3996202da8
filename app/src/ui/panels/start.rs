//! The start page: recent studies, a new study, opening by path, the demo.

use super::measures::Measures;
use super::parts::{self, Pill};
use super::sizes::{Size, sizes};
use super::{Page, board_sheet, library_page};
use crate::files::recent;
use crate::ui::panels::PanelState;
use crate::ui::request::NewStudy;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align, Layout, Rect, RichText, Ui, UiBuilder, Vec2, pos2};
use std::path::{Path, PathBuf};
use stint_model::board::{Board, LightOfDay};
use stint_model::disk;

/// Width of the page, designed and largest, points.
const WIDTH: (f32, f32) = (860.0, 1040.0);
/// Width of its left column, designed and largest, points.
const LEFT: (f32, f32) = (340.0, 420.0);
/// Space between the columns, points.
const GAP: f32 = 56.0;
/// Space between the edge of the card that the page lies on and what is on it, points.
const INSIDE: Vec2 = Vec2::new(44.0, 36.0);
/// A page narrower than this has one column, points.
const TWO_COLUMNS: f32 = 720.0;
/// What of the room that the card leaves lies above it: a little less than half looks like the middle.
const ABOVE: f32 = 0.45;
/// Height of the tray of a kept board, points.
const TRAY: f32 = 84.0;
/// Recent studies that are shown, designed and most.
const SHOWN: (f32, f32) = (6.0, 10.0);

/// The form of a new study, and what else the page remembers.
#[derive(Clone, Default)]
pub(super) struct StartForm {
    name: String,
    folder: Option<String>,
    /// Which size of the list; `None` for one's own.
    size: Option<usize>,
    own: bool,
    portrait: bool,
    width_px: String,
    height_px: String,
    ground: usize,
    light: LightOfDay,
    /// A kept board to start from.
    pub board: Option<Board>,
    open_path: String,
    /// The study that was asked for last.
    asked: Option<PathBuf>,
    /// Height of the page when it was last drawn, points.
    height: f32,
    /// The recent studies, read when the page opens.
    recent: Option<Vec<PathBuf>>,
}

impl StartForm {
    /// Follows a change of the open study: the list of recent studies is read anew the next time the page shows, and a form whose
    /// study was made is empty again.
    pub fn follow_study(&mut self, open: Option<&Path>) {
        self.recent = None;
        if self.asked.is_some() && self.asked.as_deref() == open {
            *self = StartForm::default();
        }
    }

    fn size_px(&self, sizes: &[Size]) -> Option<(u32, u32)> {
        if self.own {
            return Some((self.width_px.trim().parse().ok()?, self.height_px.trim().parse().ok()?));
        }
        sizes.get(self.size.unwrap_or(0)).map(|size| size.size(self.portrait))
    }
}

/// Where studies go unless the painter says otherwise: the folder for pictures, or the home folder.
pub(super) fn home_folder() -> PathBuf {
    let home = std::env::var_os("HOME").or_else(|| std::env::var_os("USERPROFILE")).map(PathBuf::from);
    let home = home.unwrap_or_else(|| PathBuf::from("."));
    let pictures = home.join("Pictures");
    if disk::is_dir(&pictures) { pictures } else { home }
}

/// The page: a card in the middle of the window.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        let room = ui.available_rect_before_wrap();
        let measures = Measures::of(ui.ctx());
        let width = measures.between(WIDTH.0, WIDTH.1).min(room.width() - 2.0 * INSIDE.x - 48.0).max(200.0);
        let height = panels.start.height;
        let top = room.top() + ((room.height() - height) * ABOVE).max(24.0 + INSIDE.y);
        let left = room.center().x - width / 2.0;
        let card = ui.painter().add(egui::Shape::Noop);
        let column = |ui: &mut Ui, x: f32, top: f32, width: f32, name: &str, content: &mut dyn FnMut(&mut Ui)| {
            let rect = Rect::from_min_max(pos2(x, top), pos2(x + width, f32::INFINITY));
            let layout = Layout::top_down(Align::Min);
            let mut inside = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout).id_salt(name));
            inside.set_width(width);
            content(&mut inside);
            inside.min_rect().bottom()
        };
        let bottom = if width < TWO_COLUMNS {
            let one = column(ui, left, top, width, "studies", &mut |ui| studies(state, panels, ui));
            column(ui, left, one + 32.0, width, "new", &mut |ui| new_study(state, panels, ui))
        } else {
            let left_width = measures.between(LEFT.0, LEFT.1);
            let one = column(ui, left, top, left_width, "studies", &mut |ui| studies(state, panels, ui));
            let (x, width) = (left + left_width + GAP, width - left_width - GAP);
            // Its title stands level with what the left column begins with under the program's name.
            one.max(column(ui, x, top + 12.0, width, "new", &mut |ui| new_study(state, panels, ui)))
        };
        let ground = Rect::from_min_max(pos2(left, top), pos2(left + width, bottom)).expand2(INSIDE);
        ui.painter().set(card, egui::Shape::rect_filled(ground, egui::CornerRadius::same(10), theme::BAR));
        if (bottom - top - height).abs() > 0.5 {
            panels.start.height = bottom - top;
            ui.ctx().request_discard("the start page has another height");
        }
        let all = Rect::from_min_max(room.min, pos2(room.right(), ground.bottom() + 24.0));
        ui.allocate_rect(all, egui::Sense::hover());
    });
}

fn studies(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    ui.label(RichText::new(wording::PROGRAM).font(theme::font(theme::HUGE, Weight::Semibold)).color(theme::STRONG));
    parts::quiet(ui, wording::PROGRAM_LINE);
    parts::gap(ui, 3.0);
    parts::heading(ui, wording::RECENT);
    let folder = state.data_folder.clone();
    let recent = panels.start.recent.get_or_insert_with(|| recent::load(folder.as_deref())).clone();
    if recent.is_empty() {
        parts::quiet(ui, wording::NO_RECENT);
    }
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 6.0;
        for path in recent.iter().take(Measures::of(ui.ctx()).between(SHOWN.0, SHOWN.1) as usize) {
            let name = path.file_stem().unwrap_or_default().to_string_lossy();
            let folder = path.parent().and_then(Path::file_name).unwrap_or_default().to_string_lossy();
            if parts::row(ui, &name, &folder, &wording::open_recent(&name), false).clicked() {
                state.requests.push(Request::Open(path.clone()));
            }
        }
    });
    parts::gap(ui, 3.0);
    parts::heading(ui, wording::OPEN_TITLE);
    let form = &mut panels.start;
    let mut open = false;
    ui.horizontal(|ui| {
        let width = ui.available_width() - parts::pill_width(ui, wording::OPEN) - ui.spacing().item_spacing.x;
        let field = parts::bare_field(ui, wording::OPEN_PATH, &mut form.open_path, width);
        open = parts::entered(ui, &field);
        open |= parts::pill(ui, wording::OPEN, Pill::Second).clicked();
    });
    if open && !form.open_path.trim().is_empty() {
        state.requests.push(Request::Open(PathBuf::from(form.open_path.trim())));
    }
    parts::quiet(ui, wording::DROP_HINT);
    parts::gap(ui, 3.0);
    ui.horizontal(|ui| {
        if parts::pill(ui, wording::DEMO, Pill::Second).clicked() {
            state.requests.push(Request::Demo);
        }
        parts::quiet(ui, wording::DEMO_LINE);
    });
    ui.horizontal(|ui| {
        if parts::pill(ui, wording::LIBRARY_TITLE, Pill::Second).clicked() {
            panels.toggle_page(Page::Library);
        }
        parts::quiet(ui, wording::LIBRARY_LINE);
    });
}

fn new_study(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let points = ui.ctx().pixels_per_point();
    let screen = ui.input(|i| i.viewport().monitor_size.map(|s| s * points));
    let sizes = sizes(screen.map(|s| (s.x.round() as u32, s.y.round() as u32)));
    let form = &mut panels.start;
    let folder = form.folder.get_or_insert_with(|| home_folder().display().to_string());
    ui.label(RichText::new(wording::NEW_STUDY).font(theme::font(theme::MIDDLE, Weight::Semibold)).color(theme::STRONG));
    parts::field(ui, wording::STUDY_NAME, &mut form.name);
    parts::field(ui, wording::FOLDER, folder);
    parts::gap(ui, 2.0);
    parts::quiet(ui, wording::CANVAS);
    size_choice(form, ui, &sizes);
    parts::gap(ui, 2.0);
    parts::quiet(ui, wording::GROUND);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(4.0);
        for (i, (label, ..)) in wording::GROUNDS.iter().enumerate() {
            if parts::pill(ui, label, Pill::Choice(form.ground == i)).clicked() {
                form.ground = i;
            }
        }
    });
    parts::gap(ui, 2.0);
    if form.board.is_some() {
        kept_board(form, ui);
    } else {
        parts::quiet(ui, wording::LIGHT_OF_DAY);
        if let Some(light) = board_sheet::lights(ui, form.light) {
            form.light = light;
        }
    }
    parts::gap(ui, 3.0);
    if parts::pill(ui, wording::START, Pill::First).clicked() {
        start(state, panels, &sizes);
    }
}

/// The kept board that the study starts from; it brings its own light.
fn kept_board(form: &mut StartForm, ui: &mut Ui) {
    let Some(board) = &form.board else { return };
    let without = (wording::WITHOUT_BOARD, wording::WITHOUT_BOARD);
    let pressed = parts::heading_with(ui, &wording::with_board(&board.name), &[without]);
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), TRAY), egui::Sense::hover());
    let name = wording::board_picture(&board.name);
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, &name));
    ui.painter().rect_filled(rect, egui::CornerRadius::same(8), theme::CARD);
    library_page::tray(ui, rect.shrink(8.0), board, theme::CARD);
    if pressed.is_some() {
        form.board = None;
    }
}

fn size_choice(form: &mut StartForm, ui: &mut Ui, sizes: &[Size]) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(4.0);
        for (i, size) in sizes.iter().enumerate() {
            let chosen = !form.own && form.size.unwrap_or(0) == i;
            if parts::pill(ui, &size.label, Pill::Choice(chosen)).clicked() {
                (form.own, form.size) = (false, Some(i));
            }
        }
        if parts::pill(ui, wording::OWN_SIZE, Pill::Choice(form.own)).clicked() && !form.own {
            // One's own begins with what was chosen before.
            if let Some((width, height)) = form.size_px(sizes) {
                (form.width_px, form.height_px) = (width.to_string(), height.to_string());
            }
            form.own = true;
        }
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        if form.own {
            for (name, value) in [(wording::WIDTH_PX, &mut form.width_px), (wording::HEIGHT_PX, &mut form.height_px)] {
                parts::quiet(ui, name);
                parts::bare_field(ui, name, value, 84.0);
                ui.add_space(theme::STEP);
            }
        } else {
            let directions =
                [(false, wording::LANDSCAPE, wording::LANDSCAPE), (true, wording::PORTRAIT, wording::PORTRAIT)];
            if let Some(portrait) = parts::choices(ui, Some(form.portrait), &directions) {
                form.portrait = portrait;
            }
            if let Some((width, height)) = form.size_px(sizes) {
                ui.add_space(theme::STEP);
                parts::quiet(ui, wording::size(width, height));
            }
        }
    });
}

/// Asks for the study the form describes, or says what is missing.
fn start(state: &mut State, panels: &mut PanelState, sizes: &[Size]) {
    let form = &panels.start;
    let name = form.name.trim();
    if name.is_empty() {
        state.notices.push(wording::NAME_MISSING.to_owned());
        return;
    }
    let Some(size) = form.size_px(sizes) else {
        state.notices.push(wording::SIZE_MISSING.to_owned());
        return;
    };
    let (_, ground, colour) = wording::GROUNDS[form.ground];
    let request = NewStudy {
        path: Path::new(form.folder.as_deref().unwrap_or(".")).join(format!("{name}.stint")),
        size,
        board: form.board.clone().unwrap_or_else(|| Board::new(name, form.light)),
        ground: (ground.to_owned(), colour.to_owned()),
    };
    panels.start.asked = Some(request.path.clone());
    state.requests.push(Request::NewStudy(request));
}
