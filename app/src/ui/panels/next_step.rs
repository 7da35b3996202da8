//! One quiet line that says the next step of a first study, from the photo to the picture, and can be sent away for good.

use super::widgets::{self, Pill};
use super::{PanelState, Side, cut, place};
use crate::files::settings::FIRST_STEPS;
use crate::ui::state::State;
use crate::ui::{studies, theme, wording};
use egui::{Align, Layout, Rect, Ui, UiBuilder, vec2};

/// Height of the line, points, and of one more where its words do not fit on one.
const HEIGHT: f32 = 36.0;
const MORE: f32 = 16.0;
/// Least room for the line and the canvas under it, points.
const MIN_REST: egui::Vec2 = vec2(160.0, 2.0 * HEIGHT);
/// More bare ground than this asks for paint, a share of the canvas. Common practice, no published source.
const BARE: f64 = 0.25;
/// Strokes after which a study can be looked at as a whole. Common practice, no published source.
const STROKES: u64 = 30;

/// The line, cut off the top of `rest`; nothing once it was sent away.
pub(super) fn line(state: &mut State, panels: &mut PanelState, ui: &mut Ui, rest: &mut Rect) {
    panels.next_step_height = 0.0;
    let Some(words) = words(state, panels) else { return };
    // A window this small has no room for advice.
    if rest.width() < MIN_REST.x || rest.height() < MIN_REST.y {
        return;
    }
    let strip = cut(rest, Side::Top, height(ui, words, rest.width()));
    panels.next_step_height = strip.height();
    let mut away = false;
    place(ui, "next step", strip, theme::STRIP, |ui| {
        let inner = strip.shrink2(vec2(theme::MARGIN + 2.0, 0.0));
        let mut ui = ui.new_child(UiBuilder::new().max_rect(inner).layout(Layout::right_to_left(Align::Center)));
        away = widgets::pill_named(&mut ui, wording::LEAVE_ME, wording::LEAVE_ME_NAME, Pill::Second).clicked();
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let words = egui::RichText::new(words).color(theme::TEXT);
            ui.add(egui::Label::new(words).wrap());
        });
    });
    if away {
        studies::end_first_steps(state);
    }
}

/// How high the line is in a place this wide, points.
fn height(ui: &Ui, words: &str, width: f32) -> f32 {
    let room = width - 2.0 * (theme::MARGIN + 2.0) - widgets::pill_width(ui, wording::LEAVE_ME) - 2.0 * theme::STEP;
    if widgets::text_width(ui, words) > room { HEIGHT + MORE } else { HEIGHT }
}

/// What comes next; nothing once the line was sent away.
fn words(state: &State, panels: &PanelState) -> Option<&'static str> {
    if state.settings.get(&FIRST_STEPS) == Some(false) {
        return None;
    }
    let session = state.session.as_ref()?;
    let readout = state.readout.as_ref()?;
    let document = session.document();
    Some(match () {
        () if document.board.swatches().next().is_none() => match (&document.reference, panels.proposal.open) {
            (None, _) => wording::NEXT_PHOTO,
            (Some(_), true) => wording::NEXT_LAY,
            (Some(_), false) => wording::NEXT_BOARD,
        },
        () if readout.painted_px == 0.0 => wording::NEXT_BLOCK_IN,
        () if readout.bare_share > BARE => wording::NEXT_COVER,
        () if session.strokes() < STROKES => wording::NEXT_BRUSH,
        () => wording::NEXT_EXPORT,
    })
}
