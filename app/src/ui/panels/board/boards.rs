//! The study's boards: which there are, which is in use, and changing over.

use super::super::Sheet;
use super::super::widgets::{self, Pill};
use super::mini_tray;
use crate::study::command::Command;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{CornerRadius, EventFilter, Id, Key, Rect, Response, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use stint_model::board::Board;

/// Height of a row, points.
const ROW: f32 = 36.0;
/// Width at the end of a row for what can be done with the board, points.
const END: f32 = 52.0;
/// Widest a mini tray gets, points.
const WIDEST_TRAY: f32 = 96.0;

/// The boards of the study, one of them in use.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let active = session.document().board.clone();
    // By name, so that no board moves when another one is taken.
    let mut boards = session.document().boards.clone();
    boards.push(active.clone());
    boards.sort_by_key(|b| b.name.to_lowercase());
    widgets::heading(ui, wording::STUDY_BOARDS);
    let mut wanted = None;
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        for (place, board) in boards.iter().enumerate() {
            let in_use = board.name == active.name;
            let (response, forget) = row(ui, board, in_use);
            if response.clicked() && !in_use {
                wanted = Some(place);
            }
            if response.has_focus() {
                wanted = by_arrows(ui, &response, place, boards.len()).or(wanted);
            }
            if forget {
                panels.sheet = Some(Sheet::ForgetBoard(board.name.clone()));
            }
        }
    });
    if boards.len() == 1 {
        widgets::quiet(ui, wording::ONE_BOARD);
    }
    if let Some(board) = wanted.map(|place| &boards[place])
        && board.name != active.name
    {
        let id = row_id(&board.name);
        if state.apply(&Command::SwitchBoard(board.name.clone())) {
            ui.memory_mut(|m| m.request_focus(id));
        }
    }
}

fn row_id(name: &str) -> Id {
    Id::unique("board of the study").with(name)
}

/// The place that the arrow keys lead to.
fn by_arrows(ui: &Ui, response: &Response, place: usize, count: usize) -> Option<usize> {
    let filter = EventFilter { vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let pressed = |key| ui.input(|i| i.key_pressed(key));
    if pressed(Key::ArrowUp) {
        place.checked_sub(1)
    } else if pressed(Key::ArrowDown) {
        Some(place + 1).filter(|&next| next < count)
    } else {
        None
    }
}

/// One board; also tells whether it is to be forgotten.
fn row(ui: &mut Ui, board: &Board, in_use: bool) -> (Response, bool) {
    let id = row_id(&board.name);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
    let response = ui.interact(rect, id, Sense::click());
    let name = wording::switch_to(&board.name, in_use);
    response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, in_use, &name));
    let ground = match (in_use, response.hovered()) {
        (true, _) => theme::ROW_CHOSEN,
        (false, true) => theme::ROW_HOVERED,
        (false, false) => theme::ROW,
    };
    ui.painter().rect_filled(rect, CornerRadius::same(theme::CORNER), ground);
    let tray_width = mini_tray::width(board, WIDEST_TRAY);
    let end = rect.right() - END;
    let tray = Rect::from_min_max(pos2(end - 4.0 - tray_width, rect.top()), pos2(end - 4.0, rect.bottom()));
    mini_tray::paint(ui.painter(), tray, board);
    let room = Rect::from_min_max(rect.min + vec2(10.0, 0.0), pos2(tray.left() - 8.0, rect.bottom()));
    let colour = if in_use { theme::BRIGHT } else { theme::STRONG };
    widgets::clipped(ui, room, &board.name, theme::font(theme::SMALL, Weight::Medium), colour);
    widgets::focus_ring(ui, &response, rect);
    let at_end = Rect::from_min_max(pos2(end, rect.top()), rect.max - vec2(8.0, 0.0));
    if in_use {
        let align = egui::Align2::RIGHT_CENTER;
        widgets::line(ui, at_end.right_center(), align, wording::IN_USE, theme::STRONG);
        return (response, false);
    }
    let mut inside = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(at_end)
            .layout(egui::Layout::right_to_left(egui::Align::Center))
            .scope_id(id.with("end")),
    );
    let forget = widgets::text_button(&mut inside, wording::FORGET, &wording::forget_board(&board.name)).clicked();
    (response, forget)
}

/// The sheet that asks; gives itself back while it stays open.
pub(in super::super) fn forget_sheet(state: &mut State, ui: &mut Ui, name: String) -> Option<Sheet> {
    let mut done = false;
    let closed = widgets::sheet(ui, wording::FORGET_SHEET, 360.0, |ui| {
        widgets::text(ui, wording::forgetting(&name));
        widgets::footer(ui, |ui| {
            if widgets::pill(ui, wording::FORGET_BOARD, Pill::First).clicked() {
                done = true;
                state.apply(&Command::ForgetBoard(name.clone()));
            }
            done |= widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
        });
    });
    (!done && !closed).then_some(Sheet::ForgetBoard(name))
}
