//! The sliders of a variation: turn, light, spread and shift of the values, always from the board as it is.

use super::super::widgets::{self, Pill};
use super::lights::{light_at, place_of};
use super::{keep, white};
use crate::study::command::Command;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme;
use crate::ui::wording;
use egui::{Align2, Response, Sense, Stroke, Ui, vec2};
use std::ops::RangeInclusive;
use stint_model::board::Board;
use stint_model::variation::Variation;
use stint_model::variation::compose::{Light, Settings, TURN_DEGREES, compose};
use stint_model::variation::relight::White;

/// The spread that the slider offers: 1 in its middle.
const SPREAD: RangeInclusive<f32> = 0.0..=2.0;
/// The shift that the slider offers, Munsell values: more leaves few boards with two values apart.
const SHIFT_MUNSELL: RangeInclusive<f32> = -3.0..=3.0;
/// A slider that is dragged this near to its rest comes to rest, points.
const CATCH: f32 = 4.0;

/// What the section remembers.
#[derive(Default)]
pub(super) struct VaryState {
    settings: Settings,
    /// The variation of a board that was worked out last.
    made: Option<(Board, Settings, Variation)>,
    pub keep: Option<keep::KeepForm>,
    pub white: white::WhiteState,
}

impl VaryState {
    /// All sliders as they are for the board as it is.
    pub fn rest(&mut self) {
        *self = VaryState::default();
    }

    /// How the sliders stand.
    pub fn settings(&self) -> Settings {
        self.settings
    }

    /// Sets the sliders.
    pub fn set(&mut self, settings: Settings) {
        (self.settings, self.keep) = (settings, None);
    }

    /// Moves the board to a white.
    pub fn set_white(&mut self, white: White) {
        self.settings.light = Light::White(white);
    }

    /// The variation of `own`; none while the sliders are at rest.
    pub fn variation(&mut self, own: &Board) -> Option<&Variation> {
        if self.settings.is_neutral() {
            return None;
        }
        let settings = self.settings;
        if self.made.as_ref().is_none_or(|(board, of, _)| *of != settings || board != own) {
            // Sliders and small pictures stay in range, and a white is looked at before it is taken.
            let variation = compose(own, &settings).ok()?;
            self.made = Some((own.clone(), settings, variation));
        }
        self.made.as_ref().map(|(_, _, variation)| variation)
    }

    /// The board of the variation that is set; none while nothing is changed.
    pub fn board(&mut self, own: &Board) -> Option<&Board> {
        self.variation(own).map(|v| &v.board)
    }
}

/// The sliders that turn, relight and key the board, and what to do with the variation.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(own) = state.session.as_ref().map(|s| s.document().board.clone()) else { return };
    sliders(&mut panels.board.vary.settings, ui);
    white::section(state, panels, ui);
    let vary = &mut panels.board.vary;
    let variation = vary.variation(&own).cloned();
    let words = variation.as_ref().map_or_else(String::new, |v| wording::moved_into_gamut(v.moved_into_gamut));
    widgets::quiet(ui, if words.is_empty() { " ".to_owned() } else { words });
    if vary.keep.is_some() {
        return keep::form(state, panels, ui, variation.map(|v| v.board));
    }
    let mut change = false;
    ui.add_enabled_ui(variation.is_some(), |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            change = widgets::pill(ui, wording::CHANGE_BOARD, Pill::First).clicked();
            if widgets::pill(ui, wording::AS_IT_WAS, Pill::Plain).clicked() {
                panels.board.vary.rest();
            }
        });
        if widgets::pill(ui, wording::KEEP_AS_NEW, Pill::Second).clicked()
            && let (Some(session), Some(varied)) = (&state.session, &variation)
        {
            let settings = panels.board.vary.settings;
            panels.board.vary.keep = Some(keep::KeepForm::new(session, &varied.board, &settings));
        }
    });
    if change && let Some(varied) = variation {
        state.apply(&Command::ReviseBoard(Box::new(varied.board)));
    }
}

fn sliders(settings: &mut Settings, ui: &mut Ui) {
    ui.spacing_mut().item_spacing.y = 6.0;
    let words = wording::or_as_it_is(settings.turn_degrees == 0.0, wording::degrees(settings.turn_degrees));
    let turn = resting(ui, (wording::TURN, &words), &mut settings.turn_degrees, TURN_DEGREES, 0.0);
    if turn.changed() {
        settings.turn_degrees = settings.turn_degrees.round();
    }
    let mut place = place_of(settings.light);
    let words = wording::light_words(settings.light);
    let light = resting(ui, (wording::LIGHT, &words), &mut place, -100.0..=100.0, 0.0);
    if light.changed() {
        settings.light = light_at(place);
    }
    scale(ui);
    let words = wording::or_as_it_is(settings.spread == 1.0, wording::times(settings.spread));
    let spread = resting(ui, (wording::SPREAD, &words), &mut settings.spread, SPREAD, 1.0);
    if spread.changed() {
        settings.spread = (settings.spread * 20.0).round() / 20.0;
    }
    let words = wording::or_as_it_is(settings.shift_munsell == 0.0, wording::value_steps(settings.shift_munsell));
    let shift = resting(ui, (wording::SHIFT, &words), &mut settings.shift_munsell, SHIFT_MUNSELL, 0.0);
    if shift.changed() {
        settings.shift_munsell = (settings.shift_munsell * 20.0).round() / 20.0;
    }
}

/// A slider with a mark where the board is as it is, in its middle, which catches a drag that comes near.
fn resting(
    ui: &mut Ui,
    (name, words): (&str, &str),
    value: &mut f32,
    range: RangeInclusive<f32>,
    rest: f32,
) -> Response {
    let width = range.end() - range.start();
    let response = widgets::slider_back(ui, (name, words), value, range, false, Some(rest));
    let rail = response.rect;
    let x = rail.center().x;
    ui.painter().vline(x, rail.center().y + 7.0..=rail.center().y + 11.0, Stroke::new(1.0, theme::QUIET));
    if response.dragged() && (*value - rest).abs() / width * rail.width() < CATCH {
        *value = rest;
    }
    response
}

/// What lies at the ends and in the middle of the lights.
fn scale(ui: &mut Ui) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 14.0), Sense::hover());
    let [lamp, noon, blue] = wording::LIGHT_SCALE;
    let font = theme::font(12.0, theme::Weight::Regular);
    for (at, align, words) in [
        (rect.left_center(), Align2::LEFT_CENTER, lamp),
        (rect.center(), Align2::CENTER_CENTER, noon),
        (rect.right_center(), Align2::RIGHT_CENTER, blue),
    ] {
        ui.painter().text(at, align, words, font.clone(), theme::QUIET);
    }
}
