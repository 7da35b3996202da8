//! Under the loupe: the colour at a spot of the photo, what is to be said about it, and the way onto the board.

use super::parts::{self, Pill};
use super::photo::Seen;
use super::swatch_sheet;
use crate::command::Command;
use crate::state::State;
use crate::{theme, wording};
use egui::{CornerRadius, Popup, Rect, Role as Accessible, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use stint_model::board::review::{GARISH_SHARE_OF_GAMUT, LEAN_MARGIN, NEAR_BLACK_MUNSELL, NEAR_WHITE_MUNSELL};
use stint_model::board::{Board, Family, LightOfDay, Role};
use stint_model::colour::warmth::warmer_by;
use stint_model::colour::{Colour, gamut};
use stint_model::photo::pick;

/// Side of the loupe, points.
const SIDE: f32 = 80.0;
/// Below this chroma (OKLCh) nothing is said about the edge of the gamut: near black and white every grey touches it.
const EDGE_CHROMA: f32 = 0.05;

/// What the loupe remembers.
pub(super) struct LoupePart {
    /// The spot that was clicked, photo pixels.
    pub held: Option<(u32, u32)>,
    /// The spot under the pointer in this frame.
    pub under: Option<(u32, u32)>,
    /// The outline of a surface, photo pixels; still growing while `drawing`.
    pub outline: Vec<(f32, f32)>,
    /// Whether the pointer is drawing it.
    pub drawing: bool,
    family: String,
    role: Role,
    aperture_px: u32,
}

impl Default for LoupePart {
    fn default() -> Self {
        LoupePart {
            held: None,
            under: None,
            outline: Vec::new(),
            drawing: false,
            family: String::new(),
            role: Role::Local,
            aperture_px: 9,
        }
    }
}

/// One thing said about a colour.
#[derive(Clone, PartialEq, Debug)]
struct Said {
    words: String,
    /// It suits the light of the day; shown by a tick.
    suits: bool,
}

impl From<&str> for Said {
    fn from(words: &str) -> Self {
        Said { words: words.to_owned(), suits: false }
    }
}

/// What is said about a colour that may become the `role` of a family.
fn remarks(colour: Colour, role: Role, family: Option<&Family>, light: LightOfDay) -> Vec<Said> {
    let place = colour.oklch();
    let value = colour.munsell_value();
    let mut said = vec![Said::from(wording::value_and_chroma(value, place.c).as_str())];
    if let Some(family) = family
        && let Some(words) = lean(colour, role, family, light)
    {
        said.push(words);
    }
    if value < NEAR_BLACK_MUNSELL {
        said.push(wording::NEAR_BLACK.into());
    } else if value > NEAR_WHITE_MUNSELL {
        said.push(wording::NEAR_WHITE.into());
    }
    if !colour.in_srgb() {
        said.push(wording::OUTSIDE_GAMUT.into());
    } else if place.c > EDGE_CHROMA
        && place.c > GARISH_SHARE_OF_GAMUT * gamut::SRGB.max_chroma(place.l, place.h_degrees)
    {
        said.push(wording::AT_GAMUT_EDGE.into());
    }
    said
}

/// Warmer or cooler than the swatch of the family it is best held against. Common practice: under a warm light shadows
/// are cooler than lights, under a cool light warmer.
fn lean(colour: Colour, role: Role, family: &Family, light: LightOfDay) -> Option<Said> {
    let others = match role {
        Role::Shadow => [Role::Light, Role::Local],
        Role::Light => [Role::Shadow, Role::Local],
        Role::Local | Role::Accent => [Role::Light, Role::Shadow],
    };
    let other = others.iter().find_map(|r| family.with_role(*r))?;
    let by = warmer_by(colour, other.colour);
    if by.abs() < LEAN_MARGIN {
        return Some(wording::as_warm(other.role).as_str().into());
    }
    let warmer = by > 0.0;
    let shadow_is_warmer = match (role, other.role) {
        (Role::Shadow, Role::Light) => Some(warmer),
        (Role::Light, Role::Shadow) => Some(!warmer),
        _ => None,
    };
    let fits = match light {
        LightOfDay::Warm => shadow_is_warmer.map(|w| !w),
        LightOfDay::Cool => shadow_is_warmer,
        LightOfDay::Neutral => None,
    };
    Some(Said { words: wording::lean(warmer, other.role), suits: fits == Some(true) })
}

/// The section under the photo.
pub(super) fn section(state: &mut State, ui: &mut Ui, seen: &Seen) {
    let Some(board) = state.session.as_ref().map(|s| s.document().board.clone()) else { return };
    parts::heading(ui, wording::LOUPE);
    let part = &state.panels.loupe;
    let (spot, aperture) = (part.under.or(part.held), part.aperture_px);
    let colour = spot.and_then(|at| pick(&seen.photo.view(seen.adjustments), at.0, at.1, aperture).ok());
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), SIDE), Sense::hover());
    let glass = Rect::from_min_size(rect.min, vec2(SIDE, SIDE));
    show_glass(state, ui, seen, glass, spot, colour);
    let beside = Rect::from_min_max(pos2(glass.right() + 12.0, rect.top() - 2.0), rect.max);
    let mut words = ui.new_child(egui::UiBuilder::new().max_rect(beside).id_salt("words"));
    words.spacing_mut().item_spacing.y = 2.0;
    let part = &state.panels.loupe;
    if let Some(colour) = colour {
        parts::text(&mut words, wording::family_and_role(&part.family, part.role));
        let family = board.family_named(part.family.trim());
        for said in remarks(colour, part.role, family, board.light) {
            let line = parts::quiet(&mut words, said.words);
            if said.suits {
                tick(&words, line.rect.right_center() + vec2(6.0, 0.0));
            }
        }
    } else if !part.outline.is_empty() && !part.drawing {
        parts::text(&mut words, wording::OUTLINED);
    } else {
        parts::quiet(&mut words, wording::LOUPE_HINT);
    }
    destination(state, ui, &board);
    ui.add_space(2.0);
    buttons(state, ui);
}

/// A tick: no font of the interface has one.
fn tick(ui: &Ui, at: egui::Pos2) {
    let rect = Rect::from_min_size(at + vec2(0.0, -5.0), vec2(10.0, 10.0));
    let response = ui.interact(rect, ui.scope_id().with("tick"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, wording::SUITS_LIGHT));
    let corners = vec![at + vec2(0.0, 0.5), at + vec2(3.0, 3.5), at + vec2(9.0, -3.5)];
    ui.painter().add(egui::Shape::line(corners, Stroke::new(1.5, theme::QUIET)));
    response.on_hover_text(wording::SUITS_LIGHT);
}

fn show_glass(
    state: &mut State,
    ui: &mut Ui,
    seen: &Seen,
    glass: Rect,
    spot: Option<(u32, u32)>,
    colour: Option<Colour>,
) {
    let corner = CornerRadius::same(6);
    let (Some(at), Some(colour)) = (spot, colour) else {
        ui.painter().rect_filled(glass, corner, theme::ROW);
        return;
    };
    let aperture = state.panels.loupe.aperture_px;
    // An odd number of pixels, so that the spot lies in the middle; the ring covers a third of the glass.
    let side = (aperture * 3) | 1;
    let texture = state.panels.photo.patch(ui, seen, at, side);
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    ui.painter().image(texture.id(), glass, whole, egui::Color32::WHITE);
    // The colour that is picked fills the ring, on the pixels it is the mean of.
    let radius = SIDE / side as f32 * aperture as f32 / 2.0;
    ui.painter().circle_filled(glass.center(), radius.max(12.0), theme::paint(colour));
    ui.painter().circle_stroke(glass.center(), radius.max(12.0), Stroke::new(2.0, theme::line_on(colour)));
    ui.painter().rect_stroke(
        glass.expand(3.0),
        CornerRadius::same(8),
        Stroke::new(3.0, theme::PANEL),
        StrokeKind::Inside,
    );
    let response = ui.interact(glass, ui.scope_id().with("glass"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, colour.hex()));
    response.on_hover_text(colour.hex());
}

/// Family and role.
fn destination(state: &mut State, ui: &mut Ui, board: &Board) {
    let part = &mut state.panels.loupe;
    ui.horizontal(|ui| {
        parts::quiet(ui, wording::FAMILY);
        let list = parts::words_width(ui, wording::FAMILIES) + ui.spacing().item_spacing.x;
        let width = ui.available_width() - list;
        parts::bare_field(ui, wording::FAMILY, &mut part.family, width);
        let open = ui.add_enabled_ui(!board.families.is_empty(), |ui| {
            parts::words_button(ui, wording::FAMILIES, wording::CHOOSE_FAMILY)
        });
        Popup::menu(&open.inner).show(|ui| {
            ui.set_min_width(140.0);
            for family in &board.families {
                if ui.button(&family.name).clicked() {
                    part.family.clone_from(&family.name);
                }
            }
        });
    });
    swatch_sheet::roles(ui, &mut part.role);
}

/// How wide the loupe is.
fn aperture_slider(part: &mut LoupePart, ui: &mut Ui) {
    parts::quiet(ui, wording::APERTURE);
    let (all, _) = ui.allocate_exact_size(vec2(ui.available_width().max(86.0), 16.0), Sense::hover());
    let rail = all.with_max_x(all.right() - 46.0);
    let mut aperture = part.aperture_px as f32;
    parts::rail_slider(ui, rail, wording::APERTURE, &mut aperture, 1.0..=31.0, false);
    part.aperture_px = aperture.round() as u32;
    let words = wording::whole_pixels(part.aperture_px);
    parts::line(ui, all.right_center(), egui::Align2::RIGHT_CENTER, &words, theme::QUIET);
}

fn buttons(state: &mut State, ui: &mut Ui) {
    let part = &state.panels.loupe;
    let outlined = part.outline.len() > 2 && !part.drawing;
    let (family, role, held, aperture) = (part.family.clone(), part.role, part.held, part.aperture_px);
    ui.horizontal(|ui| {
        if outlined {
            if parts::pill(ui, wording::LAY_TRIO, Pill::First).clicked() {
                let outline = state.panels.loupe.outline.clone();
                if named(state, &family) && state.apply(&Command::PickTrio { family, outline, moved: Vec::new() }) {
                    state.panels.loupe.outline.clear();
                }
            }
            if parts::words_button(ui, wording::LET_GO, wording::LET_OUTLINE_GO).clicked() {
                state.panels.loupe.outline.clear();
            }
            return;
        }
        let lay = ui.add_enabled_ui(held.is_some(), |ui| parts::pill(ui, wording::LAY, Pill::First).clicked());
        if lay.inner
            && let Some(at) = held
            && named(state, &family)
        {
            let command = Command::Pick { family, role, name: String::new(), at, aperture, nudged: false };
            if let Some(id) = swatch_sheet::add_in_place(state, &command) {
                state.load(id);
            }
        }
        ui.add_space(theme::STEP);
        aperture_slider(&mut state.panels.loupe, ui);
    });
}

/// Whether a family is named; says so if not.
fn named(state: &mut State, family: &str) -> bool {
    let named = !family.trim().is_empty();
    if !named {
        state.notices.push(wording::FAMILY_MISSING.to_owned());
    }
    named
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::board::Swatch;
    use stint_model::colour::Oklch;
    use stint_model::ids::{FamilyId, SwatchId};

    fn family(light: Colour) -> Family {
        let swatch = Swatch { id: SwatchId(1), role: Role::Light, name: String::new(), colour: light };
        Family { swatches: vec![swatch], ..Family::new(FamilyId(1), "Brick") }
    }

    #[test]
    fn a_shadow_is_held_against_its_light() {
        let blue = Oklch { l: 0.6, c: 0.08, h_degrees: 250.0 }.colour();
        let brown = Oklch { l: 0.35, c: 0.06, h_degrees: 50.0 }.colour();
        let said = |colour, light| remarks(colour, Role::Shadow, Some(&family(blue)), light)[1].clone();
        let line = |words: &str, suits| Said { words: words.to_owned(), suits };
        assert_eq!(said(brown, LightOfDay::Cool), line("warmer than its light", true));
        assert_eq!(said(brown, LightOfDay::Warm), line("warmer than its light", false));
        assert_eq!(said(blue, LightOfDay::Cool), line("as warm as its light", false));
    }

    #[test]
    fn colours_at_the_ends_are_named() {
        let said = |colour| {
            let all = remarks(colour, Role::Local, None, LightOfDay::Neutral);
            all.into_iter().map(|s| s.words).collect::<Vec<_>>().join("; ")
        };
        assert!(said(Colour::new(0.003, 0.003, 0.003)).contains(wording::NEAR_BLACK));
        assert!(said(Colour::new(0.97, 0.97, 0.97)).contains(wording::NEAR_WHITE));
        assert!(said(Colour::new(1.0, 0.0, 0.0)).contains(wording::AT_GAMUT_EDGE));
        assert!(said(Colour::from_display_p3([0.05, 0.8, 0.05])).contains(wording::OUTSIDE_GAMUT));
        assert_eq!(said(Colour::new(0.2, 0.18, 0.17)).matches(';').count(), 0);
    }
}
