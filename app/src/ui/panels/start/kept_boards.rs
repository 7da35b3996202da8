//! Boards that were kept, as small trays to start from.

use super::photo_first::Form;
use crate::base::jobs::{Job, Outcome};
use crate::files::library::Library;
use crate::ui::panels::{library_page, widgets};
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{CornerRadius, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, vec2};
use stint_model::board::Board;

/// Height of the heading and the row, points.
pub(super) const HEIGHT: f32 = 26.0 + CARD.1;
/// Width and height of a card, points.
const CARD: (f32, f32) = (168.0, 112.0);
/// Space between cards, points.
const GAP: f32 = 14.0;
/// Most boards that are looked at; the page of kept boards has all of them.
const MAX_BOARDS: usize = 12;

/// The boards, newest first, read beside the window.
#[derive(Default)]
pub(super) struct KeptBoards {
    boards: Option<Vec<Board>>,
    reading: Option<Job<Vec<Board>>>,
}

impl KeptBoards {
    /// Has the boards read anew the next time they show.
    pub fn look_again(&mut self) {
        (self.boards, self.reading) = (None, None);
    }

    fn follow(&mut self, state: &State, ui: &Ui) {
        if let Some(Outcome::Done(boards)) = self.reading.as_ref().map(Job::poll) {
            (self.boards, self.reading) = (Some(boards), None);
        }
        if self.boards.is_none() && self.reading.is_none() {
            let (data, wake) = (state.data_folder.clone(), ui.ctx().clone());
            // A library that cannot be read says so on its own page.
            let read = move |_: &_| {
                let mut library = Library::open(data.as_deref());
                let entries = library.entries().unwrap_or_default();
                let mut boards: Vec<Board> = entries.iter().filter_map(|e| e.board().ok().cloned()).collect();
                boards.sort_by(|a, b| b.date.cmp(&a.date).then_with(|| a.name.cmp(&b.name)));
                boards.truncate(MAX_BOARDS);
                boards
            };
            self.reading = Job::start("kept boards", move || wake.request_repaint(), read).ok();
        }
    }

    /// The heading and as many cards as there is room for.
    pub fn row(&mut self, form: &mut Form, state: &State, ui: &mut Ui) {
        self.follow(state, ui);
        let heading = egui::RichText::new(wording::FROM_BOARD_KEPT).font(theme::font(theme::MIDDLE, Weight::Semibold));
        ui.label(heading.color(theme::STRONG));
        let boards = self.boards.as_deref().unwrap_or_default();
        let room = ui.available_width();
        if boards.is_empty() {
            let (rect, _) = ui.allocate_exact_size(vec2(room, CARD.1), Sense::hover());
            let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(rect));
            widgets::quiet(&mut inside, if self.boards.is_some() { wording::NO_KEPT_BOARDS } else { "" });
            return;
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "as many columns as fit into a window; the cast saturates at 0"
        )]
        let columns = (((room + GAP) / (CARD.0 + GAP)).floor() as usize).max(1);
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = GAP;
            for board in boards.iter().take(columns) {
                let chosen = form.board.as_ref() == Some(board);
                if card(ui, board, chosen) {
                    form.board = (!chosen).then(|| board.clone());
                }
            }
        });
    }
}

/// A board; tells whether it was pressed.
fn card(ui: &mut Ui, board: &Board, chosen: bool) -> bool {
    let (rect, response) = ui.allocate_exact_size(vec2(CARD.0, CARD.1), Sense::click());
    let light = wording::light_of_board(board.light);
    let name = wording::start_from_board(&board.name, light);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &name));
    // The same ground for all: a lighter one would make a board look another.
    ui.painter().rect_filled(rect, CornerRadius::same(7), theme::CARD);
    let ring = match (chosen, response.hovered()) {
        (true, _) => Stroke::new(2.0, theme::STRONG),
        (false, true) => Stroke::new(1.0, theme::QUIET),
        (false, false) => Stroke::NONE,
    };
    ui.painter().rect_stroke(rect, CornerRadius::same(7), ring, StrokeKind::Inside);
    widgets::focus_ring(ui, &response, rect);
    let inner = rect.shrink2(vec2(14.0, 8.0));
    let tray = Rect::from_min_max(inner.min, inner.max - vec2(0.0, 42.0));
    library_page::tray(ui, tray, board, theme::CARD);
    let line = |at: f32| Rect::from_min_size(egui::pos2(inner.left(), inner.bottom() - at), vec2(inner.width(), 18.0));
    widgets::clipped(ui, line(38.0), &board.name, theme::font(theme::SMALL, Weight::Medium), theme::STRONG);
    widgets::clipped(ui, line(19.0), light, theme::font(theme::SMALL, Weight::Regular), theme::QUIET);
    response.clicked()
}
