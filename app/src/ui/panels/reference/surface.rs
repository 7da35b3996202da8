//! Light, local and shadow of an outlined surface before they are laid: dots on the photo and columns under the loupe.

use super::super::photo::DisplayedPhoto;
use super::super::widgets::{self, Pill};
use super::family_field::is_family_named;
use super::loupe_state::OutlineMode;
use super::photo_transform::PhotoTransform;
use super::tick::tick;
use super::{colour_notes, marks, photo_input};
use crate::study::command::{Command, MovedTone};
use crate::study::session::SessionError;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align2, CornerRadius, Rect, Response, Role as Accessible, Sense, Ui, WidgetInfo, pos2, vec2};
use stint_model::board::Role;
use stint_model::colour::Colour;
use stint_model::photo::pick;
use stint_model::photo::trio::MIN_STEP_L;

/// Radius of a dot, points.
const DOT: f32 = 8.0;
/// Side of what can be pressed of it, points.
const HIT: f32 = 24.0;
/// Height of a swatch of the columns, points.
const SWATCH: f32 = 24.0;
/// Size of what is written on them, points.
const NOTE: f32 = 12.0;
/// Height of one of their lines, points.
const LINE: f32 = 16.0;

/// Height of the swatches with their words, points: as much is kept where a single spot is held.
pub(super) const ROOM: f32 = SWATCH + 4.0 + 4.0 * LINE;

/// One tone as it would be laid.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(in crate::ui::panels) struct SurfaceTone {
    /// Light, local or shadow.
    pub role: Role,
    /// Where it is picked or was found.
    pub at: (u32, u32),
    /// Its colour.
    pub colour: Colour,
    /// Whether the painter moved it.
    pub moved: bool,
    /// Whether it is stepped off the local, because the photo does not show it.
    pub stepped: bool,
}

/// The tones of the outlined surface, darkest first; nothing while none is outlined.
pub(in crate::ui::panels) fn tones(
    state: &mut State,
    panels: &mut PanelState,
    seen: &DisplayedPhoto,
) -> Option<Result<[SurfaceTone; 3], SessionError>> {
    let loupe = &panels.loupe;
    if loupe.drawing != OutlineMode::None || loupe.outline.len() < 3 {
        return None;
    }
    let trio = match state.session.as_mut()?.surface(&loupe.outline) {
        Ok(trio) => trio,
        Err(error) => return Some(Err(error)),
    };
    let shown =
        [(Role::Shadow, trio.shadow), (Role::Local, trio.local), (Role::Light, trio.light)].map(|(role, tone)| {
            let step = (tone.colour.oklab().l - trio.local.colour.oklab().l).abs();
            let stepped = trio.stepped && role != Role::Local && step < MIN_STEP_L + 1e-3;
            let found = SurfaceTone { role, at: tone.at_px.into(), colour: tone.colour, moved: false, stepped };
            let Some(moved) = loupe.moved.iter().find(|m| m.role == role) else { return found };
            let view = seen.photo.view(seen.adjustments);
            // A spot without colour keeps the one that was found.
            let colour = pick(&view, moved.at.0, moved.at.1, moved.aperture).unwrap_or(found.colour);
            SurfaceTone { at: moved.at, colour, moved: true, stepped: false, ..found }
        });
    Some(Ok(shown))
}

/// The dots on the photo; a drag or the arrow keys pick a tone elsewhere.
pub(super) fn dots(
    state: &mut State,
    panels: &mut PanelState,
    ui: &Ui,
    seen: &DisplayedPhoto,
    transform: &PhotoTransform,
) {
    let Some(Ok(tones)) = tones(state, panels, seen) else { return };
    let dots = tones.map(|tone| one_dot(panels, ui, transform, &tone));
    // Dots at the photo's edge stay whole.
    let painter = ui.painter_at(transform.clip.expand(DOT + 2.0).intersect(ui.clip_rect()));
    let mut taken: Vec<Rect> =
        tones.iter().map(|t| Rect::from_center_size(transform.middle_of(t.at), vec2(DOT, DOT) * 2.4)).collect();
    for (tone, response) in tones.iter().zip(&dots) {
        marks::dot(&painter, transform.middle_of(tone.at), DOT, theme::paint(tone.colour), response.has_focus());
        marks::name(
            &ui.painter_at(transform.clip),
            transform.middle_of(tone.at),
            DOT + 6.0,
            tone.role.word(),
            &mut taken,
        );
    }
}

fn one_dot(panels: &mut PanelState, ui: &Ui, transform: &PhotoTransform, tone: &SurfaceTone) -> Response {
    let rect = Rect::from_center_size(transform.middle_of(tone.at), vec2(HIT, HIT));
    let response = ui.interact(rect, ui.scope_id().with(("tone", tone.role.word())), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Accessible::Button, true, wording::tone_dot(tone.role)));
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    let mut to = None;
    if response.dragged() {
        to = response.interact_pointer_pos().map(|at| transform.pixel(at));
    }
    if response.has_focus()
        && let Some(by) = photo_input::arrows(ui, &response, false)
    {
        to = Some(transform.moved(tone.at, by));
    }
    let loupe = &mut panels.loupe;
    if let Some(at) = to.filter(|&at| at != tone.at) {
        let moved = MovedTone { role: tone.role, at, aperture: loupe.aperture_px };
        loupe.moved.retain(|m| m.role != tone.role);
        loupe.moved.push(moved);
        ui.ctx().request_repaint();
    }
    if response.hovered() || response.dragged() {
        loupe.under = Some(to.unwrap_or(tone.at));
    }
    response.on_hover_cursor(egui::CursorIcon::Grab)
}

/// The three swatches with their words, lightest first.
pub(in crate::ui::panels) fn columns(state: &State, ui: &mut Ui, tones: &[SurfaceTone; 3]) {
    let light = state.session.as_ref().map_or(Default::default(), |s| s.document().board.light);
    let (order, suits) = colour_notes::warmth(tones.map(|t| t.colour), light);
    let gap = theme::STEP;
    let width = (ui.available_width() - 2.0 * gap) / 3.0;
    let (all, _) = ui.allocate_exact_size(vec2(ui.available_width(), ROOM), Sense::hover());
    for (column, i) in [2, 1, 0].into_iter().enumerate() {
        let tone = &tones[i];
        let place = tone.colour.oklch();
        let left = all.left() + column as f32 * (width + gap);
        let swatch = Rect::from_min_size(pos2(left, all.top()), vec2(width, SWATCH));
        ui.painter().rect_filled(swatch, CornerRadius::same(theme::CORNER), theme::paint(tone.colour));
        let note = match tone {
            SurfaceTone { moved: true, .. } => wording::MOVED,
            SurfaceTone { stepped: true, .. } => wording::STEPPED,
            _ => "",
        };
        let on = theme::line_on(tone.colour);
        ui.painter().text(swatch.center(), Align2::CENTER_CENTER, note, theme::font(NOTE, Weight::Medium), on);
        let lines = [
            wording::role_title(tone.role).to_owned(),
            wording::value(tone.colour.munsell_value()),
            wording::chroma_words(place.c).to_owned(),
            wording::warmth_of_three(order[i]).to_owned(),
        ];
        let response = ui.interact(swatch, ui.scope_id().with(("swatch", i)), Sense::hover());
        let note = if note.is_empty() { String::new() } else { format!(", {note}") };
        let words = format!("{}: {}{note}", wording::tone_swatch(tone.role), lines[1..].join(", "));
        response.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, &words));
        if tone.stepped {
            response.on_hover_text(wording::STEPPED_WHY);
        }
        let mut at = swatch.left_bottom() + vec2(0.0, 4.0);
        for (row, line) in lines.iter().enumerate() {
            let colour = if row == 0 { theme::TEXT } else { theme::QUIET };
            let weight = if row == 0 { Weight::Medium } else { Weight::Regular };
            let font = theme::font(theme::SMALL, weight);
            let end = ui.painter().text(at, Align2::LEFT_TOP, line, font, colour).right_center();
            if row + 1 == lines.len() && suits && tone.role == Role::Shadow {
                tick(ui, end + vec2(6.0, 0.0));
            }
            at.y += LINE;
        }
    }
}

/// The button that puts shadow, local and light on the board; `sound` when the surface gave all three. Enter in the field of the family does it too.
pub(in crate::ui::panels) fn lay(
    state: &mut State,
    panels: &mut PanelState,
    ui: &mut Ui,
    (sound, entered): (bool, bool),
) {
    let lay = ui.add_enabled_ui(sound, |ui| widgets::pill(ui, wording::LAY_TRIO, Pill::First).clicked());
    let family = panels.loupe.family.clone();
    if (lay.inner || sound && entered) && is_family_named(state, &mut panels.loupe) {
        let (outline, moved) = (panels.loupe.outline.clone(), panels.loupe.moved.clone());
        if state.apply(&Command::PickTrio { family, outline, moved }) {
            panels.loupe.clear_outline();
        }
    }
}
