//! The study's name in the top bar, and what it offers: other studies, and what can be done with this one as a whole.

use super::file_browser::Purpose;
use super::study_sheets::RenameForm;
use super::{Page, PanelState, Sheet};
use crate::study::keeping::Keeping;
use crate::ui::panels::widgets;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{CornerRadius, Popup, Rect, Response, Role, Sense, Ui, WidgetInfo, vec2};

/// Studies that are named.
const MOST: usize = 8;
/// Width of the menu, points.
const WIDTH: f32 = 240.0;
/// Height of an entry, points.
const ENTRY: f32 = 26.0;
/// The same once a finger was seen: the size of a target by WCAG 2.2, 2.5.5. Entries lie so close that no reach beside them helps.
const FINGER_ENTRY: f32 = 44.0;
/// Distance of the menu from the lower edge of the window, points.
const AWAY: f32 = 16.0;
/// What the name's button is wider than the name, points.
pub(super) const PADDING: f32 = 20.0;

/// The name as a button in a place, with its menu.
pub(super) fn name(state: &mut State, panels: &mut PanelState, ui: &mut Ui, name: &str, room: Rect) -> Response {
    let rect = Rect::from_center_size(room.center(), vec2(room.width(), widgets::PILL));
    let response = ui.interact(rect, ui.scope_id().with("name"), Sense::click());
    let words = wording::study_menu(name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &words));
    let ground = if response.hovered() { theme::ROW_CHOSEN } else { theme::ROW };
    ui.painter().rect_filled(rect, CornerRadius::same(theme::CORNER), ground);
    widgets::focus_ring(ui, &response, rect);
    let inner = rect.shrink2(vec2(PADDING / 2.0, 0.0));
    widgets::clipped(ui, inner, name, theme::font(theme::MIDDLE, Weight::Semibold), theme::STRONG);
    // As high as there is room for below the top bar: on a phone it scrolls.
    let most = ui.ctx().content_rect().bottom() - rect.bottom() - AWAY;
    Popup::menu(&response).show(|ui| {
        // It grows to that also when the other studies come a moment later.
        let area = egui::ScrollArea::vertical().max_height(most).min_scrolled_height(most);
        area.show(ui, |ui| menu(state, panels, ui));
    });
    response
}

fn menu(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    ui.set_width(WIDTH);
    ui.spacing_mut().item_spacing.y = 3.0;
    let Some(session) = &state.session else { return };
    let (path, board) = (session.path().to_owned(), session.document().board.clone());
    let in_file = stint_model::disk::is_absolute(&path) && !session.is_read_only();
    let high = if state.hands_on { FINGER_ENTRY } else { ENTRY };
    let entry = |ui: &mut Ui, words: &str| {
        let button = egui::Button::new((words, egui::Atom::grow())).min_size(vec2(WIDTH, high));
        ui.add(button).clicked()
    };
    if in_file && entry(ui, wording::RENAME_STUDY) {
        panels.sheet = Some(Sheet::RenameStudy(RenameForm::of(path.clone())));
    }
    if in_file && entry(ui, wording::DUPLICATE) {
        state.requests.push(Request::Keep(Keeping::Duplicate(path.clone())));
    }
    if !state.session.as_ref().is_none_or(|session| session.is_read_only()) && entry(ui, wording::CROP_CANVAS) {
        panels.toggle_canvas_crop(state);
    }
    if cfg!(target_arch = "wasm32") && in_file && entry(ui, wording::DOWNLOAD_STUDY) {
        state.requests.push(Request::HandOver(path.clone()));
    }
    if !board.families.is_empty() && entry(ui, wording::START_WITH_BOARD) {
        panels.start.with_board(board);
        state.requests.push(Request::CloseStudy);
    }
    if in_file && entry(ui, wording::PUT_IN_TRASH) {
        state.requests.push(Request::Keep(Keeping::Trash(path.clone())));
    }
    if entry(ui, wording::SETTINGS) {
        panels.toggle_page(Page::Settings);
    }
    if entry(ui, wording::OPEN_A_STUDY) {
        panels.browse(state, Purpose::Study);
    }
    let others = panels.start.recent_studies(state, ui.ctx());
    let others: Vec<_> = others.into_iter().filter(|study| study.path != path).take(MOST).collect();
    if !others.is_empty() {
        ui.add_space(4.0);
        widgets::quiet(ui, wording::OPENED_LAST);
        for study in others {
            if entry(ui, &study.name) {
                state.requests.push(Request::Open(study.path));
            }
        }
    }
}
