//! Under the loupe: the colour at a spot of the photo, what is to be said about it, and the way onto the board.

use super::super::photo::DisplayedPhoto;
use super::super::swatch_sheet;
use super::super::widgets::{self, Pill};
use super::family_field::{family_field, is_family_named};
use super::loupe_state::{APERTURE_PX, LoupeState, MAX_APERTURE_PX, OutlineMode};
use super::tick::tick;
use super::{colour_notes, photo_transform, surface};
use crate::study::command::Command;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{
    CornerRadius, Pos2, Rect, Role as Accessible, ScrollArea, Sense, Stroke, StrokeKind, Ui, UiBuilder, WidgetInfo,
    vec2,
};
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;
use stint_model::photo::{nudge, pick};

/// Side of the loupe, points.
const SIDE: f32 = 80.0;
/// Height of the button under what is said of a colour, points.
const BUTTON: f32 = 22.0;
/// Least radius of the colour in it, points.
const RING: f32 = 12.0;

/// A colour under the loupe.
#[derive(Clone, Copy, PartialEq, Debug)]
struct PickedColour {
    /// As it is on the photo.
    own: Colour,
    /// Nudged, if it is to be and that changes it.
    nudged: Option<Colour>,
}

/// The title, how a surface is outlined, and the way out of an outline.
fn heading(panels: &mut PanelState, ui: &mut Ui) {
    let by = match panels.loupe.by_corners {
        true => (wording::BY_HAND, wording::OUTLINE_BY_HAND),
        false => (wording::BY_CORNERS, wording::OUTLINE_BY_CORNERS),
    };
    let let_go = (wording::LET_GO, wording::LET_OUTLINE_GO);
    let actions = if panels.loupe.outline.is_empty() { vec![by] } else { vec![let_go, by] };
    let pressed = widgets::heading_with(ui, wording::LOUPE, &actions).map(|i| actions[i]);
    if pressed == Some(let_go) {
        panels.loupe.clear_outline();
    } else if pressed.is_some() {
        panels.loupe.by_corners = !panels.loupe.by_corners;
        if panels.loupe.drawing == OutlineMode::Corners {
            panels.loupe.clear_outline();
        }
    }
}

/// The section under the photo.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui, seen: &DisplayedPhoto) {
    let Some(board) = state.session.as_ref().map(|s| s.document().board.clone()) else { return };
    heading(panels, ui);
    // The room above the fields is the same whatever is held and said.
    let (room, _) = ui.allocate_exact_size(vec2(ui.available_width(), surface::ROOM), Sense::hover());
    if let Some(tones) = surface::tones(state, panels, seen) {
        let sound = tones.is_ok();
        let mut inside = ui.new_child(UiBuilder::new().max_rect(room).id_salt("surface"));
        match tones {
            Ok(tones) => surface::columns(state, &mut inside, &tones),
            Err(why) => {
                widgets::text(&mut inside, wording::sentence_start(&why.to_string()));
            }
        }
        let entered = family_field(panels, ui, &board, state.hands_on);
        surface::lay(state, panels, ui, (sound, entered));
        return;
    }
    let loupe = &panels.loupe;
    let (spot, aperture) = (loupe.under.or(loupe.held), loupe.aperture_px);
    let colour = spot.and_then(|at| pick(&seen.photo.view(seen.adjustments), at.0, at.1, aperture).ok());
    let nudged = loupe.nudged && loupe.under.is_none_or(|at| loupe.held == Some(at));
    let picked = colour.map(|own| PickedColour { own, nudged: Some(nudge(own)).filter(|&n| nudged && n != own) });
    let glass = Rect::from_min_size(room.min, vec2(SIDE, SIDE));
    show_glass(panels, ui, seen, glass, spot, picked);
    let words = Rect::from_min_max(glass.right_top() + vec2(10.0, 0.0), room.max);
    let mut words = ui.new_child(UiBuilder::new().max_rect(words).id_salt("said"));
    words.spacing_mut().item_spacing.y = 0.0;
    match picked {
        Some(picked) => said_of(panels, &mut words, &board, picked),
        None if panels.loupe.by_corners || panels.loupe.drawing == OutlineMode::Corners => {
            widgets::quiet(&mut words, wording::CORNERS_HINT);
        }
        None => {
            widgets::quiet(&mut words, wording::LOUPE_HINT);
        }
    }
    let entered = family_field(panels, ui, &board, state.hands_on);
    if panels.loupe.drawing == OutlineMode::Corners {
        return;
    }
    swatch_sheet::roles(ui, &mut panels.loupe.role);
    buttons(state, panels, ui, entered);
}

fn said_of(panels: &mut PanelState, ui: &mut Ui, board: &Board, picked: PickedColour) {
    let loupe = &mut panels.loupe;
    let (words, name) = match picked.nudged {
        Some(_) => (wording::AS_PICKED, wording::UNNUDGE),
        None => (wording::NUDGE, wording::NUDGE_PICK),
    };
    let can_nudge = loupe.held.is_some() && colour_notes::out_of_range(picked.own);
    let title = egui::RichText::new(wording::family_and_role(&loupe.family, loupe.role)).color(theme::TEXT);
    ui.add(egui::Label::new(title).truncate());
    let family = board.family_named(loupe.family.trim());
    let colour = picked.nudged.unwrap_or(picked.own);
    let said = colour_notes::remarks(colour, loupe.role, family, board.light);
    // More is said of a colour at an end than fits beside the glass: it scrolls, and what stands below keeps its place.
    let height = ui.available_height() - if can_nudge { BUTTON } else { 0.0 };
    ScrollArea::vertical().auto_shrink(false).max_height(height).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        if picked.nudged.is_some() {
            widgets::quiet(ui, wording::NUDGED);
        }
        for said in said {
            let line = widgets::quiet(ui, said.words);
            if said.suits {
                tick(ui, line.rect.right_center() + vec2(6.0, 0.0));
            }
        }
    });
    if can_nudge && widgets::text_button(ui, words, name).clicked() {
        panels.loupe.nudge();
    }
}

fn show_glass(
    panels: &mut PanelState,
    ui: &mut Ui,
    seen: &DisplayedPhoto,
    glass: Rect,
    spot: Option<(u32, u32)>,
    picked: Option<PickedColour>,
) {
    let corner = CornerRadius::same(6);
    let (Some(at), Some(picked)) = (spot, picked) else {
        ui.painter().rect_filled(glass, corner, theme::ROW);
        return;
    };
    let aperture = panels.loupe.aperture_px;
    // An odd number of pixels, so that the spot lies in the middle; the ring covers a third of the glass.
    let side = (aperture * 3) | 1;
    let texture = panels.photo.patch(ui, seen, at, side);
    ui.painter().image(texture.id(), glass, photo_transform::whole_uv(seen.mirror), egui::Color32::WHITE);
    // The colour that is picked fills the ring, on the pixels it is the mean of; a nudged one lies beside it.
    let radius = (SIDE / side as f32 * aperture as f32 / 2.0).max(RING);
    let aside = vec2(if picked.nudged.is_some() { radius + 2.0 } else { 0.0 }, 0.0);
    let circle = |at: Pos2, colour: Colour, width: f32| {
        ui.painter().circle_filled(at, radius, theme::paint(colour));
        ui.painter().circle_stroke(at, radius, Stroke::new(width, theme::line_on(colour)));
    };
    circle(glass.center() - aside, picked.own, if picked.nudged.is_some() { 1.0 } else { 2.0 });
    if let Some(nudged) = picked.nudged {
        circle(glass.center() + aside, nudged, 2.0);
    }
    ui.painter().rect_stroke(
        glass.expand(3.0),
        CornerRadius::same(8),
        Stroke::new(3.0, theme::PANEL),
        StrokeKind::Inside,
    );
    let words = match picked.nudged {
        Some(nudged) => wording::picked_and_nudged(&picked.own.hex(), &nudged.hex()),
        None => picked.own.hex(),
    };
    let response = ui.interact(glass, ui.scope_id().with("glass"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, &words));
    response.on_hover_text(words);
}

/// How wide the loupe is.
fn aperture_slider(loupe: &mut LoupeState, ui: &mut Ui) {
    widgets::quiet(ui, wording::APERTURE);
    let (all, _) = ui.allocate_exact_size(vec2(ui.available_width().max(86.0), 16.0), Sense::hover());
    let rail = all.with_max_x(all.right() - 46.0);
    let mut aperture = loupe.aperture_px as f32;
    let slider = widgets::rail_slider(
        ui,
        rail,
        wording::APERTURE,
        &mut aperture,
        1.0..=MAX_APERTURE_PX as f32,
        (false, Some(APERTURE_PX as f32)),
    );
    loupe.set_aperture(widgets::whole(&slider, loupe.aperture_px, aperture));
    let words = wording::whole_pixels(loupe.aperture_px);
    widgets::line(ui, all.right_center(), egui::Align2::RIGHT_CENTER, &words, theme::QUIET);
}

fn swatches(state: &State) -> Vec<SwatchId> {
    state.session.iter().flat_map(|s| s.document().board.swatches().map(|(_, s)| s.id)).collect()
}

/// The button that lays the pick, which Enter in the field of the family does too, and the width of the loupe.
fn buttons(state: &mut State, panels: &mut PanelState, ui: &mut Ui, entered: bool) {
    let loupe = &panels.loupe;
    let (family, role, held, aperture) = (loupe.family.clone(), loupe.role, loupe.held, loupe.aperture_px);
    let nudged = loupe.nudged;
    ui.horizontal(|ui| {
        let lay = ui.add_enabled_ui(held.is_some(), |ui| widgets::pill(ui, wording::LAY, Pill::First).clicked());
        if (lay.inner || entered)
            && let Some(at) = held
            && is_family_named(state, &mut panels.loupe)
        {
            let command = Command::Pick { family, role, name: String::new(), at, aperture, nudged, by_role: true };
            let before = swatches(state);
            if state.apply(&command)
                && let Some(new) = swatches(state).into_iter().find(|id| !before.contains(id))
            {
                state.load(new);
            }
        }
        ui.add_space(theme::STEP);
        aperture_slider(&mut panels.loupe, ui);
    });
}
