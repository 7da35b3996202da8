//! The start page: a photo first, boards that were kept, the painter's own studies.
//!
//! | part | file |
//! | --- | --- |
//! | a photo, and the canvas it starts | `photo_first` |
//! | boards that were kept, as small trays | `kept_boards` |
//! | the painter's studies, as pictures | `own_studies` |

mod kept_boards;
mod own_studies;
mod photo_first;

pub(super) use own_studies::{order as order_of_studies, set_order as set_order_of_studies};

use super::file_browser::Purpose;
use super::measures::Measures;
use super::progress_page::next_time;
use super::study_sheets::RenameForm;
use super::widgets::{self, Pill};
use super::{PanelState, Sheet};
use crate::files::trash::Trashed;
use crate::ui::request::{NewStudy, Request};
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align, Layout, Rect, RichText, Stroke, Ui, UiBuilder, Vec2, pos2, vec2};
use std::path::PathBuf;
use stint_model::progress::Advice;

/// Space around the page, points.
const AROUND: f32 = 32.0;
/// Space between its columns, points.
const GAP: f32 = 40.0;
/// Widest left column, points.
const LEFT: f32 = 860.0;
/// A page narrower than this has one column, points.
const TWO_COLUMNS: f32 = 760.0;
/// From this width on two studies lie beside each other, points.
const TWO_STUDIES: f32 = 1040.0;
/// Height of the title, points.
const TITLE: f32 = 52.0;
/// Height of the line at the foot of the page, points.
pub(super) const FOOT: f32 = 48.0;

/// What the page remembers.
#[derive(Default)]
pub(super) struct StartPage {
    form: photo_first::Form,
    studies: own_studies::OwnStudies,
    boards: kept_boards::KeptBoards,
}

impl StartPage {
    /// Starts from a kept board.
    pub fn with_board(&mut self, board: stint_model::board::Board) {
        self.form.board = Some(board);
    }

    /// The studies that are there, the last opened first; none while they are being read.
    pub fn recent_studies(&mut self, state: &State, ctx: &egui::Context) -> Vec<own_studies::RecentStudy> {
        self.studies.follow(state, ctx);
        self.studies.recent().cloned().collect()
    }

    /// Studies in the trash, the last that went first.
    pub fn trashed(&mut self, state: &State, ctx: &egui::Context) -> Vec<Trashed> {
        self.studies.follow(state, ctx);
        self.studies.trashed().to_vec()
    }

    /// Follows a change of the open study: the lists are read anew the next time the page shows, and a board that a study was
    /// started from is chosen no more.
    pub fn follow_study(&mut self, opened: bool) {
        self.studies.look_again();
        self.boards.look_again();
        if opened {
            self.form.board = None;
        }
    }
}

/// Starts a study from a photo, with the canvas that is chosen on the page.
pub(super) fn start_from_photo(state: &mut State, panels: &PanelState, photo: PathBuf) {
    if let Some(canvas) = panels.start.form.canvas() {
        state.requests.push(Request::NewStudy(NewStudy { photo: Some(photo), canvas }));
    }
}

/// Draws the start page: in two columns where the window is wide enough, else in one that scrolls.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let all = ui.max_rect().shrink2(vec2(AROUND, 0.0));
    ui.painter().rect_filled(ui.max_rect(), 0.0, theme::BAR);
    // What was dropped or pasted starts a study with the canvas that is chosen here.
    for request in &mut state.requests {
        if let Request::Open(path) = request
            && let Some(canvas) = panels.start.form.canvas()
        {
            *request = Request::NewStudy(NewStudy { photo: Some(path.clone()), canvas });
        }
    }
    let mut page = std::mem::take(&mut panels.start);
    let mut actions = StartActions::default();
    let title = Rect::from_min_max(all.min + vec2(0.0, 20.0), pos2(all.right(), all.top() + 20.0 + TITLE));
    let advice = next_time::sentence(state, panels, ui);
    region(ui, "title", title, &mut |ui| head(ui, &mut actions, advice.as_ref()));
    let body = Rect::from_min_max(title.left_bottom() + vec2(0.0, 16.0), all.max);
    if all.width() < TWO_COLUMNS {
        region(ui, "page", body, &mut |ui| {
            egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                left(&mut page, state, ui, &mut actions, 0.0);
                foot(ui, &mut actions);
                ui.add_space(16.0);
                page.studies.heading(state, ui, &mut actions);
                page.studies.cards(state, panels, ui, &mut actions);
                ui.add_space(16.0);
            });
        });
    } else {
        let columns = own_studies::columns(all.width(), TWO_STUDIES, LEFT + GAP);
        let right_width = own_studies::width(columns);
        let middle = all.right() - right_width;
        // What else can be opened stays in sight, however low the window is.
        let high = foot_height(ui, middle - GAP - body.left());
        let foot_rect = Rect::from_min_max(pos2(body.left(), body.bottom() - high), pos2(middle - GAP, body.bottom()));
        region(ui, "foot", foot_rect.with_min_y(foot_rect.top() + 8.0), &mut |ui| foot(ui, &mut actions));
        let left_rect = Rect::from_min_max(body.min, foot_rect.right_top());
        let room = left_rect.height();
        region(ui, "left", left_rect, &mut |ui| {
            let shown = egui::ScrollArea::vertical().id_salt("left").auto_shrink(false).show(ui, |ui| {
                left(&mut page, state, ui, &mut actions, room);
            });
            if shown.content_size.y > room + 1.0 {
                let edge = Stroke::new(1.0, theme::LINE);
                ui.painter().hline(left_rect.x_range(), left_rect.bottom() - 1.0, edge);
            }
        });
        let right = Rect::from_min_max(pos2(middle, body.top()), body.max);
        region(ui, "right", right, &mut |ui| {
            page.studies.heading(state, ui, &mut actions);
            egui::ScrollArea::vertical().id_salt("studies").auto_shrink(false).show(ui, |ui| {
                page.studies.cards(state, panels, ui, &mut actions);
                ui.add_space(16.0);
            });
        });
    }
    panels.start = page;
    actions.perform(state, panels);
}

fn region(ui: &mut Ui, name: &str, rect: Rect, content: &mut dyn FnMut(&mut Ui)) {
    let mut inside = ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::top_down(Align::Min)).id_salt(name));
    // The clip leaves room for focus rings.
    inside.set_clip_rect(rect.expand2(vec2(6.0, 0.0)).intersect(ui.clip_rect()));
    content(&mut inside);
}

/// What was pressed on the page; done after it is drawn.
#[derive(Default)]
struct StartActions {
    requests: Vec<Request>,
    browse: Option<Purpose>,
    library: bool,
    progress: bool,
    keys: bool,
    settings: bool,
    trash: bool,
    rename: Option<PathBuf>,
    lost: Option<PathBuf>,
    /// A sentence for the next study that is sent away.
    away: Option<&'static str>,
}

impl StartActions {
    fn perform(self, state: &mut State, panels: &mut PanelState) {
        state.requests.extend(self.requests);
        if let Some(purpose) = self.browse {
            panels.browse(state, purpose);
        }
        if self.library {
            panels.toggle_page(super::Page::Library);
        }
        if self.progress {
            panels.toggle_page(super::Page::Progress);
        }
        if let Some(key) = self.away {
            next_time::send_away(state, key);
        }
        if self.settings {
            panels.toggle_page(super::Page::Settings);
        }
        if self.trash {
            panels.sheet = Some(Sheet::Trash);
        }
        if let Some(path) = self.rename {
            panels.sheet = Some(Sheet::RenameStudy(RenameForm::of(path)));
        }
        if let Some(path) = self.lost {
            panels.sheet = Some(Sheet::LostStudy(path));
        }
        if self.keys {
            panels.sheet = Some(Sheet::Keys);
        }
    }
}

fn head(ui: &mut Ui, actions: &mut StartActions, advice: Option<&Advice>) {
    ui.horizontal(|ui| {
        ui.set_height(TITLE);
        ui.spacing_mut().item_spacing.x = 16.0;
        let title = RichText::new(wording::PROGRAM).font(theme::font(theme::HUGE, Weight::Semibold));
        ui.label(title.color(theme::STRONG));
        let pills = [wording::KEYS_F1, wording::SETTINGS].map(|words| widgets::pill_width(ui, words));
        let right = pills.iter().sum::<f32>() + 32.0;
        // The sentence stands in the place of the line: nothing moves when it comes.
        match advice {
            Some(advice) => {
                let room = ui.available_width() - right;
                if next_time::line(advice, ui, room) {
                    actions.away = Some(advice.key);
                }
            }
            None if ui.available_width() > widgets::text_width(ui, wording::PROGRAM_LINE) + right => {
                widgets::quiet(ui, wording::PROGRAM_LINE);
            }
            None => {}
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 8.0;
            actions.keys = widgets::pill_named(ui, wording::KEYS_F1, wording::KEYS, Pill::Second).clicked();
            actions.settings = widgets::pill(ui, wording::SETTINGS, Pill::Second).clicked();
        });
    });
}

/// The left column; `room` is the height it fills, if it can.
fn left(page: &mut StartPage, state: &State, ui: &mut Ui, actions: &mut StartActions, room: f32) {
    let width = ui.available_width();
    let below = kept_boards::HEIGHT + 2.0 * 20.0 + 8.0;
    let measures = Measures::of(ui.ctx());
    let height = (room - below).min(measures.between(430.0, 700.0));
    photo_first::zone(&mut page.form, state, ui, actions, Vec2::new(width, height));
    ui.add_space(20.0);
    page.boards.row(&mut page.form, state, ui);
    ui.add_space(8.0);
}

/// Words of the buttons at the foot. The last is a page's: on a desktop everything lies in folders.
const FOOT_WORDS: [&str; 5] =
    [wording::OPEN_A_STUDY, wording::DEMO, wording::LIBRARY_TITLE, wording::PROGRESS, wording::DOWNLOAD_ALL];
/// Space between them and between their rows, points.
const FOOT_GAPS: Vec2 = vec2(8.0, 6.0);

/// Height of the foot where it is so wide: its buttons may need a second row, points.
fn foot_height(ui: &Ui, width: f32) -> f32 {
    let there = if cfg!(target_arch = "wasm32") { &FOOT_WORDS[..] } else { &FOOT_WORDS[..4] };
    let (mut height, mut used) = (FOOT, 0.0);
    for wide in there.iter().map(|words| widgets::pill_width(ui, words)) {
        if used > 0.0 && used + wide > width {
            height += widgets::PILL + FOOT_GAPS.y;
            used = 0.0;
        }
        used += wide + FOOT_GAPS.x;
    }
    height
}

fn foot(ui: &mut Ui, actions: &mut StartActions) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = FOOT_GAPS;
        if widgets::pill(ui, wording::OPEN_A_STUDY, Pill::Second).clicked() {
            actions.browse = Some(Purpose::Study);
        }
        if widgets::pill(ui, wording::DEMO, Pill::Second).clicked() {
            actions.requests.push(Request::Demo);
        }
        actions.library |= widgets::pill(ui, wording::LIBRARY_TITLE, Pill::Second).clicked();
        actions.progress |= widgets::pill(ui, wording::PROGRESS, Pill::Second).clicked();
        // On a desktop everything lies in folders.
        if cfg!(target_arch = "wasm32") {
            let all = widgets::pill(ui, wording::DOWNLOAD_ALL, Pill::Second).on_hover_text(wording::DOWNLOAD_ALL_HELP);
            if all.clicked() {
                actions.requests.push(Request::HandOverAll);
            }
        }
    });
}
