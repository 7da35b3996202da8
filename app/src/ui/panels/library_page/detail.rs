//! The chosen board, larger, with what can be done with it.

use super::card::tray;
use super::{LibraryAction, LibraryState};
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Color32, CornerRadius, Label, Rect, RichText, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use std::path::Path;
use stint_model::board::Board;
use stint_model::board::review::review;

/// Height of the tray for its width.
const TRAY: f32 = 0.62;
/// Largest height of the photo, points.
const PHOTO: f32 = 220.0;

/// What the column remembers.
#[derive(Default)]
pub(super) struct DetailState {
    /// The name as it is being written.
    rename: Option<String>,
    /// Whether the field has just opened.
    opened: bool,
    remarks: bool,
}

impl DetailState {
    /// Another board is chosen.
    pub fn leave(&mut self) {
        self.rename = None;
    }
}

/// The right column: the chosen board and what can be done with it.
pub(super) fn panel(library: &mut LibraryState, state: &State, ui: &mut Ui, action: &mut Option<LibraryAction>) {
    let Some((entry, hit)) = library.chosen_entry() else {
        title(ui, wording::CHOSEN_BOARD);
        widgets::quiet(ui, wording::CHOSEN_BOARD_HINT);
        return;
    };
    let (path, name, photo) = (entry.path.clone(), entry.name.clone(), entry.photo.clone());
    let content = entry.content.clone();
    title(ui, &name);
    let kept = match content {
        Ok(kept) => kept,
        Err(why) => {
            widgets::text(ui, wording::sentence_start(&why));
            if widgets::pill(ui, wording::DISCARD, Pill::Second).clicked() {
                *action = Some(LibraryAction::Discard(path));
            }
            return;
        }
    };
    let board = &kept.board;
    picture_of(ui, board);
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        widgets::text(ui, wording::light_and_date(board.light, &board.date));
        let swatches = wording::swatch_count(board.swatches().count());
        widgets::quiet(ui, format!("{swatches}, {}", wording::remark_count(kept.remarks)));
        let figures = wording::figures(hit.near, hit.like);
        if !figures.is_empty() {
            widgets::quiet(ui, figures);
        }
        if !board.photo.is_empty() {
            widgets::quiet(ui, wording::photo_picture(&board.photo));
        }
    });
    widgets::gap(ui, 1.5);
    actions(library, state, ui, &path, &name, action);
    let shown = if library.detail.remarks { wording::HIDE_REMARKS } else { wording::SHOW_REMARKS };
    if kept.remarks > 0 {
        if widgets::pill(ui, shown, Pill::Plain).clicked() {
            library.detail.remarks = !library.detail.remarks;
        }
        if library.detail.remarks {
            remarks(ui, board);
        }
    }
    if let Some(texture) = photo.and_then(|path| library.pictures.get(ui, &path)) {
        widgets::gap(ui, 2.0);
        let size = texture.size_vec2();
        let size = size * (vec2(ui.available_width(), PHOTO) / size).min_elem();
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, wording::photo_picture(&board.photo)));
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        ui.painter().image(texture.id(), rect, whole, Color32::WHITE);
    }
}

/// The title of the column, level with that of the other one.
fn title(ui: &mut Ui, words: &str) {
    ui.horizontal(|ui| {
        ui.set_height(widgets::HEADING);
        let words = RichText::new(words).font(theme::font(theme::MIDDLE, Weight::Semibold)).color(theme::STRONG);
        ui.add(Label::new(words).truncate());
    });
}

/// The board's tray.
fn picture_of(ui: &mut Ui, board: &Board) {
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, (width * TRAY).round()), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, wording::board_picture(&board.name)));
    ui.painter().rect_filled(rect, CornerRadius::same(8), theme::BAR);
    tray(ui, rect.shrink(10.0), board, theme::BAR);
}

fn actions(
    library: &mut LibraryState,
    state: &State,
    ui: &mut Ui,
    path: &Path,
    name: &str,
    action: &mut Option<LibraryAction>,
) {
    ui.spacing_mut().item_spacing.y = 6.0;
    if widgets::pill(ui, wording::START_STUDY, Pill::First).clicked() {
        *action = Some(LibraryAction::Start(path.to_owned()));
    }
    if state.session.is_some() && widgets::pill(ui, wording::USE_IN_STUDY, Pill::Second).clicked() {
        *action = Some(LibraryAction::Use(path.to_owned()));
    }
    if let Some(text) = &mut library.detail.rename {
        let field = widgets::field(ui, wording::NEW_NAME, text);
        if std::mem::take(&mut library.detail.opened) {
            field.request_focus();
        }
        let mut keep = widgets::entered(ui, &field);
        let mut cancel = false;
        ui.horizontal(|ui| {
            keep |= widgets::pill(ui, wording::KEEP, Pill::Second).clicked();
            cancel = widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
        });
        if keep && text.trim() != name {
            *action = Some(LibraryAction::Rename(path.to_owned(), text.clone()));
        } else if keep || cancel {
            library.detail.rename = None;
        }
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        if widgets::pill(ui, wording::RENAME, Pill::Plain).clicked() {
            (library.detail.rename, library.detail.opened) = (Some(name.to_owned()), true);
        }
        if widgets::pill(ui, wording::DUPLICATE, Pill::Plain).clicked() {
            *action = Some(LibraryAction::Duplicate(path.to_owned()));
        }
        if widgets::pill(ui, wording::DISCARD, Pill::Plain).clicked() {
            *action = Some(LibraryAction::Discard(path.to_owned()));
        }
    });
}

fn remarks(ui: &mut Ui, board: &Board) {
    for remark in review(board) {
        // What is found, then quietly the rule and the advice.
        let (found, advice) = remark.text.split_once(": ").unwrap_or((&remark.text, ""));
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 1.0;
            widgets::text(ui, found);
            if !advice.is_empty() {
                widgets::quiet(ui, wording::sentence_start(advice));
            }
        });
    }
}
