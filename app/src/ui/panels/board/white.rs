//! A white from the photo: what is white there shows which light it is in, and the board is moved to that light. The white under the
//! pointer is tried out on the painting before it is taken.

use super::super::photo::{self, DisplayedPhoto};
use super::super::reference::photo_transform::{PhotoTransform, whole_uv};
use super::super::widgets::{self, Pill};
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme;
use crate::ui::wording;
use egui::{CornerRadius, CursorIcon, EventFilter, Key, Pos2, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo};
use stint_model::photo::pick;
use stint_model::variation::compose::{Light, Settings, compose};
use stint_model::variation::relight::White;

/// Width of the spot that is taken for white, photo pixels.
const APERTURE_PX: u32 = 9;
/// Tallest the photo is shown, as a part of the panel's width.
const MAX_HEIGHT: f32 = 0.76;

/// What the choice of a white remembers.
#[derive(Default)]
pub(super) struct WhiteState {
    /// Whether the photo is shown for it.
    open: bool,
    /// The spot that the keyboard moves, photo pixels.
    spot: Option<(u32, u32)>,
}

/// The button and, while a white is looked for, the photo.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let seen = photo::displayed(state, panels);
    let white_panel = &mut panels.board.vary.white;
    white_panel.open &= seen.is_some();
    let words = if white_panel.open { wording::NO_WHITE } else { wording::WHITE };
    let pressed = ui.add_enabled_ui(seen.is_some(), |ui| widgets::pill(ui, words, Pill::Second).clicked()).inner;
    if pressed {
        white_panel.open = !white_panel.open;
    }
    if let (true, Some(seen)) = (white_panel.open, seen) {
        widgets::quiet(ui, wording::WHITE_HINT);
        show_photo(state, panels, ui, &seen);
    }
}

fn show_photo(state: &mut State, panels: &mut PanelState, ui: &mut Ui, seen: &DisplayedPhoto) {
    let room = ui.available_width();
    let scale = (room / seen.size().x).min(room * MAX_HEIGHT / seen.size().y);
    let (rect, response) = ui.allocate_exact_size(seen.size() * scale, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, wording::WHITE_PHOTO));
    let texture = panels.photo.small(ui, seen, rect.width().max(rect.height()));
    let transform = PhotoTransform::new(seen, rect, rect);
    ui.painter().image(texture.id(), rect, whole_uv(seen.mirror), egui::Color32::WHITE);
    widgets::focus_ring(ui, &response, rect);
    let spot = match response.hover_pos() {
        Some(at) => Some(transform.pixel(at)),
        None if response.has_focus() => Some(by_keys(panels, ui, &transform, &response)),
        None => None,
    };
    let response = response.on_hover_cursor(CursorIcon::Crosshair);
    let Some(spot) = spot else { return };
    mark(ui, rect, transform.middle_of(spot));
    let white = white_at(seen, spot);
    if response.clicked() {
        match white {
            Some(white) => {
                panels.board.vary.set_white(white);
                panels.board.vary.white = WhiteState::default();
            }
            None => state.notices.push(wording::NOT_A_WHITE.to_owned()),
        }
    } else if let Some(white) = white {
        try_out(state, panels, white);
    }
}

/// Shows the painting in the light of a white that is not taken yet.
fn try_out(state: &mut State, panels: &mut PanelState, white: White) {
    let Some(session) = &state.session else { return };
    let board_panel = &mut panels.board;
    let settings = Settings { light: Light::White(white), ..board_panel.vary.settings() };
    if let Ok(varied) = compose(&session.document().board, &settings) {
        board_panel.trial.ask_now(varied.board);
    }
}

/// The colour around a spot as a white; none when it can be no white in any light.
fn white_at(seen: &DisplayedPhoto, (x, y): (u32, u32)) -> Option<White> {
    White::like(pick(&seen.photo.view(seen.adjustments), x, y, APERTURE_PX).ok()?)
}

/// Arrow keys move the spot over the photo; Shift moves it by a pixel.
fn by_keys(panels: &mut PanelState, ui: &Ui, transform: &PhotoTransform, response: &Response) -> (u32, u32) {
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let fine = ui.input(|i| i.modifiers.shift);
    #[expect(clippy::cast_possible_truncation, reason = "pixels of a photo")]
    let step = if fine { 1 } else { ((transform.whole.width() / transform.scale()) as i64 / 64).max(1) };
    let presses = |key| ui.input(|i| i.num_presses(key)) as i64;
    let spot = panels.board.vary.white.spot.unwrap_or_else(|| transform.middle());
    let by = (presses(Key::ArrowRight) - presses(Key::ArrowLeft), presses(Key::ArrowDown) - presses(Key::ArrowUp));
    let spot = transform.moved(spot, (by.0 * step, by.1 * step));
    panels.board.vary.white.spot = Some(spot);
    spot
}

fn mark(ui: &Ui, rect: Rect, at: Pos2) {
    let painter = ui.painter().with_clip_rect(rect);
    painter.circle_stroke(at, 6.0, Stroke::new(3.0, theme::ON_LIGHT));
    painter.circle_stroke(at, 6.0, Stroke::new(1.5, theme::BRIGHT));
    painter.rect_stroke(rect, CornerRadius::ZERO, Stroke::new(1.0, theme::BAR), egui::StrokeKind::Inside);
}
