//! The strip above the tray: this painting, small, under twelve variations. A picture under the pointer is tried out on the painting;
//! a press sets the sliders to it.

use super::super::widgets;
use super::super::{Side, cut, place};
use super::Tab;
use super::presets::PRESETS;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align2, Color32, ColorImage, CornerRadius, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, TextureHandle,
    TextureOptions, Ui, WidgetInfo, pos2, vec2,
};
use stint_model::board::Board;
use stint_model::variation::compose::{Settings, compose};

/// Longer side of the small pictures, cells.
const CELLS: u32 = 112;
/// Width of a picture, least and largest, points; a label fits under the least.
const WIDTH: (f32, f32) = (54.0, 112.0);
/// Tallest picture, points.
const TALLEST: f32 = 84.0;
/// Gap of two pictures, points.
const GAP: f32 = 6.0;
/// Space around the pictures, points.
const AROUND: f32 = 10.0;
/// Height of the labels, points.
const LABEL: f32 = 18.0;
/// The strip takes at most this part of the height that is left for the canvas.
const MAX_HEIGHT_SHARE: f32 = 0.3;

/// One small picture.
struct Picture {
    board: Board,
    texture: TextureHandle,
}

/// What the strip remembers.
#[derive(Default)]
pub(super) struct StripState {
    /// Which state of the study the pictures show.
    of: Option<u64>,
    pictures: Vec<Picture>,
}

/// The strip, cut off what is left for the canvas; nothing while there is no paint, or no room.
pub(in super::super) fn strip(state: &mut State, panels: &mut PanelState, ui: &mut Ui, rest: &mut Rect) {
    if state.readout.as_ref().is_none_or(|r| r.painted_px == 0.0) {
        return;
    }
    follow(state, panels, ui);
    let Some(session) = &state.session else { return };
    let sides = vec2(session.document().width as f32, session.document().height as f32);
    let across = PRESETS.len() as f32;
    let cell = ((rest.width() - AROUND * 2.0 - GAP * (across - 1.0)) / across).clamp(WIDTH.0, WIDTH.1).floor();
    let scale = (cell / sides.x).min(TALLEST / sides.y);
    let size = vec2((sides.x * scale).round().max(1.0), (sides.y * scale).round().max(1.0));
    let height = size.y + AROUND * 2.0 + LABEL;
    if height > rest.height() * MAX_HEIGHT_SHARE {
        return;
    }
    let strip = cut(rest, Side::Bottom, height);
    place(ui, "strip", strip, theme::PANEL, |ui| {
        let inner = ui.max_rect().shrink2(vec2(AROUND, AROUND - 4.0));
        let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(inner).id_salt("pictures"));
        ScrollArea::horizontal().auto_shrink(false).show(&mut inside, |ui| {
            ui.spacing_mut().item_spacing.x = GAP;
            ui.horizontal_top(|ui| row(panels, ui, cell, size));
        });
    });
}

fn row(panels: &mut PanelState, ui: &mut Ui, cell: f32, size: egui::Vec2) {
    let board_panel = &mut panels.board;
    let now = board_panel.vary.settings();
    for ((label, settings), picture) in PRESETS.iter().zip(&board_panel.strip.pictures) {
        let (rect, response) = ui.allocate_exact_size(vec2(cell, size.y + LABEL + 6.0), Sense::click());
        let chosen = now == *settings;
        let name = wording::variation(label);
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, chosen, &name));
        let middle = pos2(rect.center().x, rect.top() + 4.0 + size.y / 2.0);
        let shown = Rect::from_center_size(middle, size);
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        ui.painter().image(picture.texture.id(), shown, whole, Color32::WHITE);
        let lifted = response.hovered() || response.has_focus();
        let (ring, words) = match (chosen, lifted) {
            (true, _) => (Some(Stroke::new(2.0, theme::BRIGHT)), theme::BRIGHT),
            (false, true) => (Some(Stroke::new(1.0, theme::BRIGHT)), theme::BRIGHT),
            (false, false) => (None, theme::QUIET),
        };
        if let Some(stroke) = ring {
            ui.painter().rect_stroke(shown.expand(3.0), CornerRadius::same(3), stroke, StrokeKind::Inside);
        }
        let font = theme::font(12.0, Weight::Regular);
        ui.painter().text(pos2(middle.x, rect.bottom()), Align2::CENTER_BOTTOM, label, font, words);
        widgets::focus_ring(ui, &response, shown.expand(3.0));
        board_panel.trial.ask(&response, &picture.board);
        if response.clicked() {
            board_panel.vary.set(*settings);
            board_panel.tab = Tab::Variations;
        }
    }
}

/// Colours the pictures anew when the study has changed.
fn follow(state: &mut State, panels: &mut PanelState, ui: &Ui) {
    let Some(session) = &mut state.session else { return };
    let strip = &mut panels.board.strip;
    let now = session.changes();
    if strip.of == Some(now) || session.is_painting() || session.is_reading() {
        return;
    }
    strip.of = Some(now);
    let small = match session.thumbnail(CELLS) {
        Ok(small) => small,
        Err(error) => {
            strip.pictures.clear();
            return state.notices.push(error.to_string());
        }
    };
    let own = &session.document().board;
    let sides = [small.width() as usize, small.height() as usize];
    let varied = |settings: &Settings| compose(own, settings).map_or_else(|_| own.clone(), |v| v.board);
    let mut old = std::mem::take(&mut strip.pictures).into_iter();
    strip.pictures = PRESETS
        .iter()
        .map(|(_, settings)| {
            let board = varied(settings);
            let pixels = session.thumbnail_under(&small, &board).into_iter().map(colour).collect();
            let image = ColorImage::new(sides, pixels);
            let texture = match old.next() {
                Some(Picture { mut texture, .. }) => {
                    texture.set(image, TextureOptions::LINEAR);
                    texture
                }
                None => ui.ctx().load_texture("variation", image, TextureOptions::LINEAR),
            };
            Picture { board, texture }
        })
        .collect();
}

fn colour(packed: u32) -> Color32 {
    let [r, g, b, _] = packed.to_le_bytes();
    theme::srgb([r, g, b])
}
