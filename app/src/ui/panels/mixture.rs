//! What is on the brush when it is no single swatch of the tray: a mixture picked from the canvas, as a dab and in words.

use super::swatch_sheet::called;
use super::widgets;
use super::{colour_form, dab};
use crate::study::session::Loaded;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;
use stint_model::paint::PaintKind;
use stint_model::study::Document;
use stint_render::amount::FULL;
use stint_render::canvas::BrushLoad;

/// Height of the line, points.
const HEIGHT: f32 = 28.0;
/// Space left of the dab, as inside the pills above it, points.
const INDENT: f32 = 11.0;
/// Half the width and height of the dab, points.
const DAB: egui::Vec2 = vec2(11.0, 8.0);
/// Distance of its ring, points.
const RING: f32 = 3.5;

/// The line; nothing while the brush holds a swatch, one free colour, or no paint.
pub(super) fn line(state: &State, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let (Some(Loaded::Mixture), Some(load)) = (session.loaded(), session.mixture()) else { return };
    let mut document = session.document().clone();
    if let Some(tried) = &state.trial_board {
        document.paints.follow(tried);
    }
    let document = &document;
    let Some(colour) = colour_of(document, load) else { return };
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, HEIGHT), Sense::hover());
    let name = wording::on_the_brush(load.paints().len());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &name));
    let centre = pos2(rect.left() + INDENT + RING + DAB.x, rect.center().y);
    dab::paint(ui.painter(), SwatchId(0), centre, DAB, theme::paint(colour), None);
    let outline = dab::outline(SwatchId(0), centre, DAB + egui::Vec2::splat(RING));
    ui.painter().add(egui::Shape::closed_line(outline, colour_form::ring()));
    let words = Rect::from_min_max(pos2(centre.x + DAB.x + 10.0, rect.top()), rect.max);
    let font = theme::font(theme::SMALL, theme::Weight::Regular);
    let fits = ui.painter().layout_no_wrap(name.clone(), font, theme::QUIET).size().x <= words.width();
    // Where the tray is full the dab says the rest: it is ringed, as what is on the brush always is.
    let shown = if fits { name } else { wording::mixture(load.paints().len()) };
    widgets::line(ui, words.left_center(), Align2::LEFT_CENTER, &shown, theme::QUIET);
    response.on_hover_text(shares_words(document, load));
}

/// What the mixture looks like, by the mixing model of the study; none when a paint of it is gone.
pub(super) fn colour_of(document: &Document, load: &BrushLoad) -> Option<Colour> {
    let one = |&(id, amount): &(_, u32)| Some((document.paints.get(id)?.colour, amount as f32));
    let parts = load.paints().iter().map(one).collect::<Option<Vec<_>>>()?;
    Some(document.mixing.mixed(parts))
}

/// Every paint with its share, strongest first.
fn shares_words(document: &Document, load: &BrushLoad) -> String {
    let one = |&(id, amount): &(_, u32)| {
        let name = match document.paints.get(id).map(|p| p.kind) {
            Some(PaintKind::Swatch(swatch)) => called(&document.board, swatch),
            Some(PaintKind::Free) => wording::FREE.to_owned(),
            Some(PaintKind::Removed(_)) | None => wording::REMOVED.to_owned(),
        };
        wording::part_of_bar(&name, f64::from(amount) / f64::from(FULL))
    };
    load.paints().iter().map(one).collect::<Vec<_>>().join("\n")
}
