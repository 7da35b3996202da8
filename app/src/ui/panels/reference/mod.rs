//! The reference panel: the photo with its adjustments, what is picked from it, and a board proposed from it.
//!
//! | part | file |
//! | --- | --- |
//! | how the photo lies on the screen | `photo_transform` |
//! | pointer and keys on it: hold, outline | `photo_input`, `keys` |
//! | what is held: a spot, an outline | `loupe_state` |
//! | the colour under the loupe, and laying it | `loupe`, `family_field` |
//! | what is drawn over it | `marks` |
//! | what is said of a colour | `colour_notes`, `tick` |
//! | light, local and shadow of a surface | `surface` |
//! | swatches that follow the photo | `follow` |
//! | a board from the whole photo | `proposal` |
//! | the painting held against it, lined up by its corners | `comparison`, `line_up` |
//! | the part of it that is used | `crop` |

pub(super) mod colour_notes;
mod comparison;
pub(super) mod crop;
mod family_field;
pub(super) mod follow;
mod keys;
pub(super) mod line_up;
mod loupe;
pub(super) mod loupe_state;
mod marks;
pub(super) mod photo_input;
pub(super) mod photo_transform;
pub(super) mod proposal;
mod surface;
mod tick;

use super::drawers::Drawer;
use super::file_browser::Purpose;
use super::photo::{self, DisplayedPhoto};
use super::widgets::{self, Pill};
use super::{Page, PanelState, shut_photo};
use crate::study::command::Command;
use crate::study::session::Session;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Color32, CornerRadius, Key, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo};
use photo_transform::PhotoTransform;
use std::path::PathBuf;
use stint_model::photo::Adjustments;

/// Tallest the photo is shown, as a part of the panel's width.
const MAX_HEIGHT: f32 = 0.76;
/// The same where the panel is low.
const MIN_HEIGHT: f32 = 0.4;
/// What is in sight with the photo: title, actions and adjustments, points.
const UNDER_PHOTO: f32 = 134.0;
/// What is in sight with it however low the panel is: the title, points.
const TITLE: f32 = 48.0;
/// Distance of the panel's parts, points: less than elsewhere, so that all of it fits a window of 800 points.
const GAP: f32 = 4.0;
/// Space between two sliders beside each other, points.
const HALVES_APART: f32 = 14.0;
/// Height of a line of words that can be pressed, points.
const LINE: f32 = 18.0;

/// The reference panel: the photo, its adjustments, and the loupe or the proposal under it.
pub(super) fn panel(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    ui.spacing_mut().item_spacing.y = GAP;
    let seen = photo::displayed(state, panels);
    heading(state, panels, ui, seen.is_some());
    let Some(seen) = seen else {
        if shut_photo::is_shut(state) {
            shut_photo::lid(panels, ui);
        } else {
            no_photo(state, panels, ui);
        }
        return;
    };
    proposal::refresh(state, panels, ui, &seen);
    if panels.page != Page::Photo {
        show_photo(state, panels, ui, &seen);
    }
    if panels.crop.open {
        crop::section(state, panels, ui, &seen);
        return;
    }
    // Lines of words are no higher than they need to be.
    let usual = std::mem::replace(&mut ui.spacing_mut().interact_size.y, LINE);
    if state.comparing.open {
        ui.spacing_mut().interact_size.y = usual;
        comparison::section(state, panels, ui, &seen);
        return;
    }
    actions(state, panels, ui, &seen);
    shut_photo::actions(state, panels, ui);
    adjustments(state, panels, ui, seen.adjustments);
    follow::line(state, panels, ui);
    ui.spacing_mut().interact_size.y = usual;
    if panels.proposal.open {
        proposal::section(state, panels, ui);
    } else {
        loupe::section(state, panels, ui, &seen);
    }
}

fn heading(state: &State, panels: &mut PanelState, ui: &mut Ui, has_photo: bool) {
    let large = panels.page == Page::Photo;
    let size = if large { (wording::SMALL, wording::SHOW_SMALL) } else { (wording::LARGE, wording::SHOW_LARGE) };
    let change = (wording::CHANGE, wording::CHANGE_PHOTO);
    let away = (wording::PUT_AWAY, wording::PUT_REFERENCE_AWAY);
    let actions = if has_photo { vec![size, change, away] } else { vec![away] };
    let pressed = widgets::heading_with(ui, wording::REFERENCE, &actions);
    match pressed.map(|i| actions[i].1) {
        Some(wording::PUT_REFERENCE_AWAY) => panels.put_reference_away(),
        Some(wording::CHANGE_PHOTO) => panels.browse(state, Purpose::Reference),
        Some(_) => panels.toggle_page(Page::Photo),
        None => {}
    }
}

impl PanelState {
    /// Hides the photo, the large one too.
    fn put_reference_away(&mut self) {
        self.put_away(Drawer::Reference);
        if self.page == Page::Photo {
            self.page = Page::Canvas;
        }
    }
}

/// What to do while there is no photo.
fn no_photo(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    widgets::quiet(ui, wording::NO_PHOTO);
    ui.add_space(GAP);
    ui.horizontal(|ui| {
        if widgets::pill(ui, wording::CHOOSE_A_PHOTO, Pill::First).clicked() {
            panels.browse(state, Purpose::Reference);
        }
        if widgets::pill(ui, wording::PASTE, Pill::Second).clicked() {
            state.requests.push(Request::Paste);
        }
    });
}

/// Takes another photo into the open study.
pub(super) fn take_photo(state: &mut State, path: PathBuf) {
    state.requests.push(Request::Open(path));
}

/// Clears what belonged to another photo.
pub(super) fn reset_spots(panels: &mut PanelState) {
    panels.loupe.reset_spots();
    panels.proposal.close();
}

fn show_photo(state: &mut State, panels: &mut PanelState, ui: &mut Ui, seen: &DisplayedPhoto) {
    let room = ui.available_width();
    // Where the panel is broad and low, the photo leaves room for what belongs under it.
    let panel = ui.clip_rect().height();
    let least = (room * MIN_HEIGHT).min(panel - TITLE).max(1.0);
    let height = (room * MAX_HEIGHT).min((panel - UNDER_PHOTO).max(least));
    let scale = (room / seen.size().x).min(height / seen.size().y);
    let (rect, response) = ui.allocate_exact_size(seen.size() * scale, Sense::click_and_drag());
    let texture = panels.photo.small(ui, seen, rect.width().max(rect.height()));
    ui.painter().image(texture.id(), rect, photo_transform::whole_uv(seen.mirror), Color32::WHITE);
    on_photo(state, panels, ui, seen, &PhotoTransform::new(seen, rect, rect), &response, true);
    let stroke = Stroke::new(1.0, theme::BAR);
    ui.painter().rect_stroke(rect, CornerRadius::ZERO, stroke, StrokeKind::Inside);
}

/// What can be done on the photo and what is drawn over it, small and large. `touched` is false while the photo is moved about.
pub(super) fn on_photo(
    state: &mut State,
    panels: &mut PanelState,
    ui: &Ui,
    seen: &DisplayedPhoto,
    transform: &PhotoTransform,
    response: &Response,
    touched: bool,
) {
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, wording::PHOTO));
    let over = ui.painter_at(transform.clip);
    // Guides help to choose the part, so they lie over what will be used.
    let used = if panels.crop.open { crop::frame(state, panels, ui, seen, transform) } else { transform.whole };
    for line in state.guides.lines() {
        let line = line.map(|[x, y]| used.lerp_inside(egui::vec2(x, y)));
        over.line_segment(line, Stroke::new(2.0, theme::OVER_PAINT_DARK));
        over.line_segment(line, Stroke::new(1.0, theme::OVER_PAINT_LIGHT));
    }
    if panels.crop.open {
        return;
    }
    if state.comparing.open {
        let framing = state.session.as_ref().map(|session| session.framing(&seen.photo));
        let whole = transform.whole;
        panels.draw_veil(&over, |part| {
            let [x, y] = part.map(narrow);
            let at = whole.lerp_inside(egui::vec2(x, y));
            (at, framing.map_or(part, |framing| framing.canvas_from_photo(transform.on_photo(at))))
        });
    }
    if panels.line_up.open && state.comparing.open {
        if touched {
            line_up::handles(state, panels, ui, seen, transform);
        }
    } else if panels.proposal.open {
        proposal::dots(&panels.proposal, ui, transform);
    } else {
        if touched {
            photo_input::take_input(panels, ui, transform, response);
        }
        marks::marks(&panels.loupe, ui, transform, response.hover_pos());
        surface::dots(state, panels, ui, seen, transform);
    }
    widgets::focus_ring(ui, response, transform.clip.intersect(transform.whole));
}

/// The line under the photo.
fn actions(state: &mut State, panels: &mut PanelState, ui: &mut Ui, seen: &DisplayedPhoto) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        let adjusted = seen.adjustments != seen.adjustments.crop_alone();
        let before = ui.add_enabled_ui(adjusted, |ui| widgets::text_button(ui, wording::BEFORE, wording::LOOK_BEFORE));
        let held = before.inner.is_pointer_button_down_on()
            || before.inner.has_focus() && ui.input(|i| i.key_down(Key::Space) || i.key_down(Key::Enter));
        if panels.photo.before_button != held {
            panels.photo.before_button = held;
            ui.ctx().request_repaint();
        }
        if widgets::text_button(ui, wording::PROPOSE, wording::PROPOSE_BOARD).clicked() {
            panels.loupe.reset_spots();
            panels.proposal.open = true;
            ui.ctx().request_repaint();
        }
        if widgets::text_button(ui, wording::CROP, wording::CROP_PHOTO).clicked() {
            panels.toggle_crop(state);
            ui.ctx().request_repaint();
        }
        if widgets::text_button(ui, wording::COMPARE, wording::HELD_AGAINST).clicked() {
            panels.toggle_comparison(state);
            ui.ctx().request_repaint();
        }
    });
}

/// Two sliders beside each other, twice; a double click sets one back.
fn adjustments(state: &mut State, panels: &mut PanelState, ui: &mut Ui, shown: Adjustments) {
    let plain = Adjustments::default();
    let mut now = shown;
    let all = ui.available_rect_before_wrap();
    let half = (all.width() - HALVES_APART) / 2.0;
    let [hue, soft, light, slope] = Adjustments::RANGES.map(|(low, high)| low..=high);
    // Words, value, where it lies, whether by factors, steps a unit, and as it is without adjustment.
    let (turned, soft_now, lit) = (wording::degrees(now.hue_turn_degrees), now.soften_px, now.exposure_stops);
    let rows = [
        [
            (wording::HUE_TURN, turned, &mut now.hue_turn_degrees, (hue, false), 1.0, plain.hue_turn_degrees),
            (wording::SOFTEN, wording::pixels_1(soft_now), &mut now.soften_px, (soft, false), 10.0, plain.soften_px),
        ],
        [
            (
                wording::EXPOSURE,
                wording::stops(lit),
                &mut now.exposure_stops,
                (light, false),
                10.0,
                plain.exposure_stops,
            ),
            (
                wording::CONTRAST,
                wording::per_cent(now.contrast),
                &mut now.contrast,
                (slope, true),
                20.0,
                plain.contrast,
            ),
        ],
    ];
    let (mut rests, mut moves) = (false, false);
    for row in rows {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = HALVES_APART;
            for (name, words, value, (range, by_factors), a_unit, back) in row {
                ui.allocate_ui(egui::vec2(half, widgets::SLIDER), |ui| {
                    ui.set_width(half);
                    let before = *value;
                    let slider = widgets::slider_back(ui, (name, &words), value, range.clone(), by_factors, Some(back));
                    let by_key = slider.changed() && !slider.dragged() && !slider.drag_stopped();
                    if *value != before {
                        *value = in_steps(before, *value, a_unit, by_key).clamp(*range.start(), *range.end());
                    }
                    rests |= widgets::rested(&slider);
                    moves |= slider.dragged();
                });
            }
        });
    }
    if rests {
        panels.photo.preview = None;
        if state.session.as_ref().is_some_and(|session| adjusted_otherwise(session, now)) {
            state.apply(&Command::adjust(now));
        }
    } else if moves {
        panels.photo.preview = Some(now);
    }
}

/// A value in steps that a slider this wide can show, so that its middle can be found again. A key moves it by a step at least.
fn in_steps(before: f32, now: f32, a_unit: f32, by_key: bool) -> f32 {
    let nearest = (now * a_unit).round() / a_unit;
    let stays = (nearest - before).abs() * a_unit < 0.5;
    if by_key && stays { before + (now - before).signum() / a_unit } else { nearest }
}

/// Whether the study keeps other adjustments than these.
fn adjusted_otherwise(session: &Session, now: Adjustments) -> bool {
    session.document().reference.as_ref().is_some_and(|reference| reference.adjustments != now)
}

/// A rectangle of the screen that a photo of this size fits into, whole and in the middle.
pub(super) fn fitted(size: egui::Vec2, room: Rect) -> Rect {
    let scale = (room.width() / size.x).min(room.height() / size.y).max(f32::MIN_POSITIVE);
    Rect::from_center_size(room.center(), size * scale)
}

#[expect(clippy::cast_possible_truncation, reason = "a part of a length on screen")]
fn narrow(part: f64) -> f32 {
    part as f32
}
