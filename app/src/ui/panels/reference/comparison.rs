//! The painting held against its photo: a line a surface, which lights up where it lies, and a button that loads the nearest paint.

use super::DisplayedPhoto;
use super::line_up;
use crate::ui::comparing::Found;
use crate::ui::looks::Look;
use crate::ui::panels::PanelState;
use crate::ui::panels::widgets;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align2, CornerRadius, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use stint_model::comparison::Compared;

/// Height of a line, points: name and verdict under each other; and of one that is right, which has both side by side.
const ROW: f32 = 38.0;
const RIGHT_ROW: f32 = 26.0;
/// Height of the words above the list, which keep their place, points.
const BESIDE: f32 = 50.0;
/// Side of the patch of the nearest paint, points.
const PATCH: f32 = 12.0;

impl PanelState {
    /// Shows the comparison beside the photo, or puts it away.
    pub fn toggle_comparison(&mut self, state: &mut State) {
        let open = !state.comparing.open;
        (state.comparing.open, self.line_up.open) = (open, false);
        if open {
            (self.reference_away, self.board_open) = (false, false);
        } else if state.look == Look::Difference {
            state.look = Look::Colour;
        }
    }
}

/// The panel under the photo.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui, seen: &DisplayedPhoto) {
    let actions = [(wording::DONE, wording::END_COMPARING)];
    if widgets::heading_with(ui, wording::HELD_AGAINST, &actions).is_some() {
        panels.toggle_comparison(state);
    }
    switches(state, panels, ui);
    if panels.line_up.open {
        widgets::quiet(ui, wording::LINE_UP_HINT);
        if widgets::text_button(ui, wording::WHOLE_PHOTO, wording::WHOLE_PHOTO).clicked() {
            line_up::whole(state, panels, seen);
        }
    }
    let Some(found) = state.comparing.found().cloned() else {
        widgets::quiet(
            ui,
            if state.comparing.is_working() { wording::LOOKING_AT_BOTH } else { wording::NOTHING_TO_COMPARE },
        );
        return;
    };
    if found.comparison.surfaces.is_empty() {
        widgets::quiet(ui, wording::NOTHING_TO_COMPARE);
    } else {
        whole(ui, &found);
    }
    beside_photo(state, ui, &found);
    for (i, surface) in found.comparison.surfaces.iter().enumerate() {
        row(state, ui, &found, i, surface);
    }
    if !found.comparison.bare.is_empty() {
        widgets::quiet(ui, wording::not_painted(&found.comparison.bare));
    }
}

/// What can be switched on: the look, and the handles of the canvas.
fn switches(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        let shown = state.look == Look::Difference;
        let name = wording::DIFFERENCES_NAME;
        if widgets::toggle_named(ui, wording::DIFFERENCES, name, shown).on_hover_text(name).clicked() {
            state.look = if shown { Look::Colour } else { Look::Difference };
        }
        if widgets::toggle_named(ui, wording::LINE_UP, wording::LINE_UP_NAME, panels.line_up.open).clicked() {
            panels.line_up.open = !panels.line_up.open;
        }
    });
}

/// What holds for the whole picture.
fn whole(ui: &mut Ui, found: &Found) {
    let sentences = found.comparison.whole_sentences();
    if sentences.is_empty() {
        widgets::text(ui, wording::IN_KEY);
    }
    for sentence in sentences {
        widgets::text(ui, wording::sentence_start(&sentence));
    }
}

/// A line of a surface.
fn row(state: &mut State, ui: &mut Ui, found: &Found, i: usize, surface: &Compared) {
    let right = surface.is_right();
    let height = if right { RIGHT_ROW } else { ROW };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
    let sentence = surface.sentence();
    response.widget_info(|| WidgetInfo::labeled(Role::ListBoxOption, true, &sentence));
    if response.clicked() {
        response.request_focus();
    }
    let lit = response.hovered() || response.has_focus();
    ui.painter().rect_filled(
        rect,
        CornerRadius::same(theme::CORNER),
        if lit { theme::ROW_HOVERED } else { theme::ROW },
    );
    let loads = if right { None } else { load_button(state, ui, found, i, surface, rect) };
    if lit || loads.as_ref().is_some_and(|l| l.hovered() || l.has_focus()) {
        state.comparing.light(i);
    }
    let end = loads.as_ref().map_or(rect.right(), |l| l.rect.left()) - 8.0;
    let name_font = theme::font(theme::SMALL, Weight::Medium);
    let name = wording::sentence_start(&surface.name);
    if right {
        let at = rect.right_center() - vec2(10.0, 0.0);
        let beside = widgets::line(ui, at, Align2::RIGHT_CENTER, &surface.verdict(), theme::TEXT);
        let room = Rect::from_min_max(rect.min + vec2(10.0, 0.0), pos2(beside.left() - 8.0, rect.bottom()));
        widgets::clipped(ui, room, &name, name_font, theme::TEXT);
    } else {
        let room = |top: f32| Rect::from_min_max(pos2(rect.left() + 10.0, top), pos2(end, top + ROW / 2.0 - 2.0));
        widgets::clipped(ui, room(rect.top() + 2.0), &name, name_font, theme::STRONG);
        let font = theme::font(theme::SMALL, Weight::Regular);
        widgets::clipped(ui, room(rect.center().y), &surface.verdict(), font, theme::STRONG);
    }
    widgets::focus_ring(ui, &response, rect);
}

/// The button that loads the board's nearest paint for a surface.
fn load_button(
    state: &mut State,
    ui: &mut Ui,
    found: &Found,
    i: usize,
    surface: &Compared,
    row: Rect,
) -> Option<Response> {
    let id = found.nearest.get(i).copied().flatten()?;
    let board = &state.session.as_ref()?.document().board;
    let (swatch, family) = (board.swatch(id)?, board.family_of(id)?);
    let (colour, name) = (swatch.colour, wording::load_nearest(&surface.name, &family.swatch_name(swatch)));
    let width = widgets::text_button_width(ui, wording::LOAD_NEAREST) + PATCH + 4.0;
    let rect = Rect::from_min_size(pos2(row.right() - width - 8.0, row.center().y - 11.0), vec2(width, 22.0));
    let response = ui.interact(rect, ui.scope_id().with(("load nearest", &surface.name)), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    let ground = if response.hovered() { theme::ROW_CHOSEN_HOVERED } else { theme::ROW_CHOSEN };
    ui.painter().rect_filled(rect, CornerRadius::same(4), ground);
    let patch = Rect::from_center_size(pos2(rect.left() + 6.0 + PATCH / 2.0, rect.center().y), vec2(PATCH, PATCH));
    let shown = theme::srgb(state.look.of(colour.to_srgb8()));
    ui.painter().rect_filled(patch, CornerRadius::same(2), shown);
    if theme::is_faint_on(ground, colour) {
        ui.painter().rect_stroke(patch, CornerRadius::same(2), Stroke::new(1.0, theme::QUIET), StrokeKind::Inside);
    }
    let at = pos2(patch.right() + 5.0, rect.center().y);
    widgets::line(ui, at, Align2::LEFT_CENTER, wording::LOAD_NEAREST, theme::STRONG);
    widgets::focus_ring(ui, &response, rect);
    if response.clicked() {
        state.load(id);
    }
    Some(response.on_hover_text(name))
}

/// How the surface that is lit looks on both, in a place that is always there.
fn beside_photo(state: &State, ui: &mut Ui, found: &Found) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), BESIDE), Sense::hover());
    let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(rect).id_salt("beside the photo"));
    match state.comparing.lit().and_then(|i| found.comparison.surfaces.get(i)) {
        Some(surface) => widgets::quiet(&mut inside, wording::sentence_start(&surface.beside_photo())),
        None => widgets::quiet(&mut inside, wording::POINT_AT_A_LINE),
    };
}
