//! The well beside the tray: swatches worked together into a mixture, which is board paint, by tapping or stirring in it.

use super::swatch_sheet::called;
use super::widgets::{self, Pill};
use super::{PanelState, colour_form, dab};
use crate::study::command::Command;
use crate::study::session::Loaded;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Align2, CursorIcon, Pos2, Rect, Response, Role, Sense, Ui, UiBuilder, Vec2, WidgetInfo, pos2, vec2};
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;
use stint_model::study::Document;
use stint_model::well::WellPart;

/// Width of the whole, points.
pub(super) const WIDTH: f32 = 124.0;
/// What lies below the round of the well, points: its name, the ratio and two buttons.
const BELOW: f32 = 74.0;
/// Stirring this far works one part in, points: about half a turn.
const STIRRED_PART: f32 = 70.0;
/// Turning the wheel this far is one part, points.
const WHEEL_PART: f32 = 40.0;
/// Names the dab of the mixture, which is no swatch.
const MIXTURE: SwatchId = SwatchId(u32::MAX);

/// What the well remembers between frames.
#[derive(Default)]
pub(super) struct WellState {
    /// How far the pointer has stirred since it came down, points.
    stirred: f32,
    /// How far the wheel was turned beyond whole parts, points.
    wheel: f32,
}

/// The well.
pub(super) fn panel(state: &mut State, panels: &mut PanelState, ui: &mut Ui, room: Rect) {
    let Some(session) = &state.session else { return };
    let (document, on_brush) = (session.document().clone(), session.loaded());
    let across = (room.height() - BELOW).min(room.width() - 12.0);
    let round = Rect::from_center_size(pos2(room.center().x, room.top() + across / 2.0), Vec2::splat(across));
    let coming = stirring(state, &mut panels.well, ui, round);
    draw(state, ui, round, &document, (on_brush == Some(Loaded::Well), coming));
    let mut line = Rect::from_min_size(pos2(room.left(), round.bottom() + 3.0), vec2(room.width(), 17.0));
    widgets::centred(ui, line, wording::WELL, theme::font(12.0, theme::Weight::Regular), theme::TEXT);
    line = line.translate(vec2(0.0, 17.0));
    let ratio = wording::well_ratio(&ratio(&document), &families(&document));
    widgets::centred(ui, line, &ratio, theme::font(theme::TINY, theme::Weight::Regular), theme::QUIET);
    let below = Rect::from_min_max(pos2(room.left(), line.bottom() + 4.0), room.max);
    let mut buttons = ui.new_child(UiBuilder::new().max_rect(below).id_salt("well buttons"));
    buttons.add_enabled_ui(!document.well.is_empty(), |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            let chosen = Pill::Choice(on_brush == Some(Loaded::Well));
            if widgets::pill_named(ui, wording::LOAD_WELL, wording::LOAD_WELL_NAME, chosen).clicked() {
                state.load_well();
            }
            if widgets::pill_named(ui, wording::CLEAR, wording::CLEAR_WELL, Pill::Second).clicked() {
                state.apply(&Command::ClearWell);
            }
        });
    });
}

/// The round as a control: a tap works one part of the loaded swatch in, a stir as many as it is long, the wheel and the keys one at a
/// time. With the mixture on the brush there is nothing to work in, and a tap loads it anew. Tells the parts that a stir will bring.
#[expect(clippy::cast_possible_truncation, reason = "a stir is a few parts long")]
fn stirring(state: &mut State, part: &mut WellState, ui: &mut Ui, round: Rect) -> i32 {
    let response = ui.interact(round, ui.scope_id().with("well"), Sense::click_and_drag());
    describe(state, &response);
    let ready = state.loaded_swatch();
    if response.drag_started() {
        part.stirred = 0.0;
    }
    let mut coming = 0;
    if response.dragged() || response.drag_stopped() {
        part.stirred += response.drag_delta().length();
        coming = 1 + (part.stirred / STIRRED_PART) as i32;
    }
    if response.drag_stopped() && ready.is_some() {
        state.stir(std::mem::take(&mut coming));
    } else if response.clicked() {
        match ready {
            Some(_) => state.stir(1),
            None => state.load_well(),
        }
    }
    if response.hovered() {
        part.wheel += ui.input(|i| i.smooth_scroll_delta.y);
        let turned = (part.wheel / WHEEL_PART).trunc();
        part.wheel -= turned * WHEEL_PART;
        if turned != 0.0 {
            state.stir(turned as i32);
        }
    } else {
        part.wheel = 0.0;
    }
    widgets::focus_ring(ui, &response, round);
    coming
}

fn describe(state: &State, response: &Response) {
    let Some(session) = &state.session else { return };
    let document = session.document();
    let name = wording::well_named(&told(document), state.loaded_swatch().map(|id| called(&document.board, id)));
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    let response = response.clone().on_hover_cursor(CursorIcon::PointingHand);
    response.on_hover_text(name);
}

/// The round, in it the mixture, and on its edge what it is made of, each as large as its part.
fn draw(state: &State, ui: &Ui, round: Rect, document: &Document, (on_brush, coming): (bool, i32)) {
    let painter = ui.painter();
    painter.circle_filled(round.center(), round.width() / 2.0, theme::CARD);
    let board = state.shown_board().unwrap_or(&document.board);
    let colour = |id: SwatchId| board.swatch(id).map_or_else(Colour::default, |s| s.colour);
    let mut well = document.well.clone();
    if let Some(id) = state.loaded_swatch().filter(|_| coming > 0) {
        // What cannot be worked in is said when the stir ends.
        well = well.stirred(id, coming).unwrap_or(well);
    }
    if well.is_empty() {
        let font = theme::font(theme::TINY, theme::Weight::Regular);
        let mut hint =
            egui::text::LayoutJob::simple(wording::WELL_HINT.to_owned(), font, theme::QUIET, round.width() * 0.72);
        hint.halign = egui::Align::Center;
        let hint = painter.layout_job(hint);
        // Its lines are laid out around its middle.
        painter.galley(round.center() - vec2(0.0, hint.size().y / 2.0), hint, theme::QUIET);
        return;
    }
    let seen = |colour: Colour| theme::srgb(state.look.of(colour.to_srgb8()));
    let mixed = document.mixing.mixed(well.parts().iter().map(|p| (colour(p.swatch), p.parts as f32)));
    let size = round.width() / 2.0;
    dab::paint(painter, MIXTURE, round.center(), vec2(0.58, 0.54) * size, seen(mixed), None);
    let total: u32 = well.parts().iter().map(|p| p.parts).sum();
    for (place, part) in well.parts().iter().enumerate() {
        let share = (part.parts as f32 / total as f32).sqrt();
        let at = round.center() + on_the_edge(place) * size * 0.6;
        dab::paint(
            painter,
            part.swatch,
            at,
            vec2(0.24, 0.2) * size * (0.5 + 0.6 * share),
            seen(colour(part.swatch)),
            None,
        );
    }
    if on_brush {
        let outline = dab::outline(MIXTURE, round.center(), vec2(0.58, 0.54) * size + Vec2::splat(8.0));
        painter.add(egui::Shape::closed_line(outline, colour_form::ring()));
    }
    if coming > 0 && state.loaded_swatch().is_some() {
        let at: Pos2 = round.center();
        let words = wording::parts_coming(coming);
        let ink = if mixed.l_star() > 55.0 { theme::ON_LIGHT } else { theme::BRIGHT };
        painter.text(at, Align2::CENTER_CENTER, words, theme::font(theme::SMALL, theme::Weight::Semibold), ink);
    }
}

/// Where on the edge of the mixture a swatch lies: above, and on to the right.
fn on_the_edge(place: usize) -> Vec2 {
    let angle = -2.3 + 1.5 * place as f32;
    vec2(angle.cos(), angle.sin())
}

fn ratio(document: &Document) -> Vec<u32> {
    document.well.ratio().iter().map(|part| part.parts).collect()
}

/// The families in the well, each once.
fn families(document: &Document) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for part in document.well.parts() {
        let name = document.board.family_of(part.swatch).map_or("", |family| &family.name);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// Every swatch with its parts.
fn told(document: &Document) -> Vec<String> {
    let one = |part: &WellPart| wording::parts_of(part.parts, &called(&document.board, part.swatch));
    document.well.parts().iter().map(one).collect()
}

/// What the mixture in the well looks like; none while it is empty.
pub(super) fn colour_of(document: &Document) -> Option<Colour> {
    let colour = |part: &WellPart| Some((document.board.swatch(part.swatch)?.colour, part.parts as f32));
    let parts = document.well.parts().iter().map(colour).collect::<Option<Vec<_>>>()?;
    (!parts.is_empty()).then(|| document.mixing.mixed(parts))
}
