//! Bottom left: the choice of tool, the brushes at hand and the settings of the one that is held.

use super::PanelState;
use super::brush_picture::BrushPictures;
use super::measures::Measures;
use super::widgets;
use crate::study::command::Command;
use crate::study::session::Session;
use crate::ui::keys::{Action, BrushPlace};
use crate::ui::state::{FillSettings, State};
use crate::ui::theme;
use crate::ui::theme::Weight;
use crate::ui::tool_kind::ToolKind;
use crate::ui::wording;
use egui::{CornerRadius, Rect, Response, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};
use stint_model::study::protected::Side;
use stint_render::canvas::MAX_GAP_PX;

/// Largest size the slider reaches, canvas pixels; keys and scripts go further.
const LARGEST_PX: f32 = 500.0;
/// Largest tolerance that the slider of the fill tool reaches, deltaEOK; scripts go further.
const MOST_TOLERANCE: f32 = 0.3;
/// Brushes in a row.
const IN_A_ROW: usize = 4;
/// Space between two of them, points.
const GAP: f32 = 6.0;

/// Pills for the tools of [`ToolKind::ALL`], a picture for each brush at hand, then sliders for the brush's size (canvas pixels) and
/// for the paint on it.
pub(super) fn panel(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        let tools = ToolKind::ALL.map(|tool| (tool, tool.label(), tool.hint()));
        if let Some(tool) = widgets::narrow_choices(ui, state.tool, &tools) {
            state.tool = tool;
        }
    });
    ui.spacing_mut().item_spacing.y = GAP;
    if let Some(place) = brushes(state, &mut panels.brushes, ui) {
        state.choose_brush(place);
        panels.open_brush_sheet(state);
    }
    let Some(before) = state.session.as_ref().map(Session::brush).cloned() else { return };
    // As the brush came.
    let plain = state.brushes.chosen_brush().map(|held| held.original.clone());
    let mut brush = before.clone();
    match state.tool {
        ToolKind::Fill => return fill_settings(&mut state.fill, ui),
        ToolKind::Protect => return area_settings(state, ui),
        ToolKind::Brush | ToolKind::Mass | ToolKind::Soften | ToolKind::Scrape => {}
    }
    halves(ui, |section| {
        section(&mut |ui| {
            let largest = LARGEST_PX.max(brush.size_px);
            let words = wording::pixels(brush.size_px);
            let back = plain.as_ref().map(|brush| brush.size_px);
            widgets::slider_back(ui, (wording::SIZE, &words), &mut brush.size_px, 1.0..=largest, true, back);
        });
        section(&mut |ui| match &mut brush.mark {
            // A mass is full inside; the brush has a say in its edge alone.
            _ if state.tool == ToolKind::Mass => {
                if widgets::toggle(ui, wording::LOOSE_EDGE, state.loose_edge).clicked() {
                    state.loose_edge = !state.loose_edge;
                }
            }
            Some(mark) => {
                let words = wording::paint_on_brush(mark.paint.load);
                let back = plain.as_ref().and_then(|brush| Some(brush.mark.as_ref()?.paint.load));
                widgets::slider_back(ui, (wording::PAINT, &words), &mut mark.paint.load, 0.0..=1.0, false, back);
            }
            None => {
                let words = wording::per_cent(brush.strength);
                let back = plain.as_ref().map(|brush| brush.strength);
                widgets::slider_back(ui, (wording::STRENGTH, &words), &mut brush.strength, 0.0..=1.0, false, back);
            }
        });
    });
    if brush != before {
        state.set_brush(brush);
    }
}

/// Two parts side by side, each of half the width.
fn halves(ui: &mut Ui, content: impl FnOnce(&mut dyn FnMut(&mut dyn FnMut(&mut Ui)))) {
    let half = (ui.available_width() - 2.0 * theme::STEP) / 2.0;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0 * theme::STEP;
        content(&mut |part| {
            ui.allocate_ui(vec2(half, ui.available_height()), |ui| {
                ui.set_width(half);
                part(ui);
            });
        });
    });
}

/// What belongs to an area that is filled, in the place of the brush's sliders.
#[expect(clippy::cast_possible_truncation, reason = "the slider stays within the widest gap")]
fn fill_settings(fill: &mut FillSettings, ui: &mut Ui) {
    halves(ui, |section| {
        section(&mut |ui| {
            let words = wording::per_cent(fill.tolerance / MOST_TOLERANCE);
            let (range, plain) = (0.0..=MOST_TOLERANCE, FillSettings::default().tolerance);
            let named = (wording::FILL_TOLERANCE, words.as_str());
            widgets::slider_back(ui, named, &mut fill.tolerance, range, false, Some(plain));
        });
        section(&mut |ui| {
            let mut gap_px = fill.gap_px as f32;
            let words = wording::pixels(gap_px);
            let (range, plain) = (0.0..=MAX_GAP_PX as f32, FillSettings::default().gap_px as f32);
            widgets::slider_back(ui, (wording::FILL_GAP, &words), &mut gap_px, range, false, Some(plain));
            fill.gap_px = gap_px.round() as u32;
        });
    });
}

/// The protected area, in the place of the brush's sliders: which side can be painted, and what can be done to it.
fn area_settings(state: &mut State, ui: &mut Ui) {
    // Two low lines in the place of two sliders.
    ui.spacing_mut().item_spacing = vec2(5.0, 3.0);
    ui.spacing_mut().interact_size.y = 18.0;
    if state.is_moving() {
        widgets::quiet(ui, wording::MOVING_HINT);
        ui.horizontal(|ui| {
            if widgets::text_button(ui, wording::PUT_DOWN, wording::PUT_DOWN).clicked() {
                state.finish_move();
            }
            if widgets::text_button(ui, wording::PUT_BACK, wording::PUT_BACK).clicked() {
                state.cancel_move();
            }
        });
        return;
    }
    ui.horizontal(|ui| {
        widgets::quiet(ui, wording::PAINT_ON_SIDE);
        let words = [wording::PAINT_INSIDE, wording::PAINT_OUTSIDE];
        let sides = [Side::Inside, Side::Outside].into_iter().zip(words).zip(wording::PAINT_SIDE_NAMES);
        let now = state.paintable_side();
        for ((side, words), name) in sides {
            if widgets::text_choice(ui, words, name, side == now).clicked() {
                state.set_paintable_side(side);
            }
        }
    });
    let Some(session) = &state.session else { return };
    if session.protected_area().is_none() {
        widgets::quiet(ui, wording::NO_AREA);
        return;
    }
    let protects = session.is_protecting();
    ui.horizontal(|ui| {
        if widgets::text_toggle(ui, wording::PROTECTS, wording::PROTECTS_NAME, protects).clicked() {
            state.toggle_protection();
        }
        if widgets::text_button(ui, wording::MOVE_AREA, wording::MOVE_AREA_NAME).clicked() {
            state.begin_move();
        }
        if widgets::text_button(ui, wording::UNPROTECT, wording::UNPROTECT_NAME).clicked() {
            state.apply(&Command::Unprotect);
        }
    });
}

/// Two rows of brushes; further ones are reached by scrolling. Tells the place of one that is to be set.
fn brushes(state: &mut State, pictures: &mut BrushPictures, ui: &mut Ui) -> Option<usize> {
    let across = ui.available_width();
    let width = ((across - GAP * (IN_A_ROW as f32 - 1.0)) / IN_A_ROW as f32).floor();
    let height = Measures::of(ui.ctx()).between(40.0, 52.0).round();
    let chosen = state.brushes.chosen();
    let bring_into_sight = pictures.is_another(chosen);
    let (mut pressed, mut set) = (None, None);
    let rows = state.brushes.all().len().div_ceil(IN_A_ROW).min(2) as f32;
    let room = rows * height + (rows - 1.0) * GAP;
    ScrollArea::vertical().max_height(room).min_scrolled_height(room).auto_shrink([false, true]).show(ui, |ui| {
        ui.spacing_mut().item_spacing = vec2(GAP, GAP);
        for (row, line) in state.brushes.all().chunks(IN_A_ROW).enumerate() {
            ui.horizontal(|ui| {
                for (column, available) in line.iter().enumerate() {
                    let place = row * IN_A_ROW + column;
                    // The one that is held shows how it is set now.
                    let held = state.session.as_ref().filter(|_| place == chosen).map(Session::brush);
                    let brush = held.unwrap_or(&available.named.brush);
                    let size = vec2(width, height - 16.0);
                    let picture =
                        pictures.get(ui, place, brush, size).map(|t| egui::load::SizedTexture::new(t.id(), size));
                    let name = &available.named.name;
                    let tile = tile(ui, vec2(width, height), name, picture, place == chosen);
                    let keys = BrushPlace::at(place).map(|place| state.keys.map().keys(Action::Brush(place)));
                    let tile = match keys.and_then(|keys| keys.first()) {
                        Some(key) => tile.on_hover_text(wording::brush_hint(&key.to_string())),
                        None => tile,
                    };
                    if bring_into_sight && place == chosen {
                        tile.scroll_to_me(None);
                    }
                    if tile.clicked() {
                        pressed = Some(place);
                    }
                    if tile.secondary_clicked() {
                        set = Some(place);
                    }
                }
            });
        }
    });
    if let Some(place) = pressed {
        state.take_up_brush(place);
    }
    set
}

/// A brush: its mark above its name.
fn tile(
    ui: &mut Ui,
    size: egui::Vec2,
    name: &str,
    picture: Option<egui::load::SizedTexture>,
    chosen: bool,
) -> Response {
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, ui.is_enabled(), chosen, name));
    let lifted = response.hovered() || response.is_pointer_button_down_on();
    let (ground, ink) = match (chosen, lifted) {
        (true, false) => (theme::STRONG, theme::ON_LIGHT),
        (true, true) => (theme::BRIGHT, theme::ON_LIGHT),
        (false, false) => (theme::CARD, theme::STRONG),
        (false, true) => (theme::ROW_HOVERED, theme::BRIGHT),
    };
    ui.painter().rect_filled(rect, CornerRadius::same(theme::CORNER), ground);
    if let Some(picture) = picture {
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        ui.painter().image(picture.id, Rect::from_min_size(rect.min, picture.size), whole, ink);
    }
    let room = Rect::from_min_max(pos2(rect.left() + 2.0, rect.bottom() - 17.0), rect.max - vec2(2.0, 1.0));
    let weight = if chosen { Weight::Semibold } else { Weight::Regular };
    let text = if chosen { theme::ON_LIGHT } else { theme::TEXT };
    widgets::centred(ui, room, name, theme::font(theme::TINY, weight), text);
    widgets::focus_ring(ui, &response, rect);
    if response.has_focus() {
        response.scroll_to_me(None);
    }
    response
}
