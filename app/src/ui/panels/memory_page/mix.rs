//! Mixing a swatch from memory, and the look at both when it is shown.

use super::{MemoryState, Sitting, chip};
use crate::files::memory_record::words_of;
use crate::ui::looks::Surround;
use crate::ui::panels::plane;
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align2, Key, Modifiers, Rect, RichText, Sense, Ui, pos2, vec2};
use stint_model::board::Board;

/// Side of the mixed colour as a part of the field's smaller side.
const PATCH: f32 = 0.42;
/// Largest side of the plane, points.
const PLANE: f32 = 264.0;

/// The patches on the neutral field.
pub(super) fn field(sitting: &Sitting, ui: &mut Ui, surround: Surround) {
    let all = ui.max_rect();
    let side = (all.width().min(all.height()) * PATCH).round();
    let square = |centre_x: f32| Rect::from_center_size(pos2(centre_x, all.center().y), vec2(side, side));
    let Some(tried) = sitting.looked_at() else {
        chip::patches(ui, &[(square(all.center().x), sitting.mix.seen(), wording::GUESS)], surround);
        return;
    };
    // Touching, so that the eye can compare.
    let (left, right) = (square(all.center().x - side / 2.0), square(all.center().x + side / 2.0));
    let chips = [(left, tried.guess, wording::YOURS), (right, tried.wanted, tried.name.as_str())];
    chip::patches(ui, &chips, surround);
    let ink = theme::chip_edge(surround);
    for (rect, words) in [(left, wording::YOURS), (right, tried.name.as_str())] {
        let at = rect.center_bottom() + vec2(0.0, 10.0);
        ui.painter().text(at, Align2::CENTER_TOP, words, theme::font(theme::MIDDLE, Weight::Medium), ink);
    }
}

/// The column: what is to be found, the controls, or the miss in words.
pub(super) fn column(memory: &mut MemoryState, state: &mut State, ui: &mut Ui, board: &Board, alone: bool) {
    let MemoryState { sitting: Some(sitting), plane, .. } = memory else { return };
    let (step, all, shown) = (sitting.tried.len() + usize::from(!sitting.shown), sitting.swatches.len(), sitting.shown);
    let name = match (sitting.looked_at(), sitting.wanted()) {
        (Some(tried), _) => tried.name.clone(),
        (None, Some(id)) => board.swatches().find(|(_, s)| s.id == id).map(|(f, s)| words_of(f, s)).unwrap_or_default(),
        (None, None) => String::new(),
    };
    widgets::quiet(ui, wording::step_of(step, all));
    ui.label(RichText::new(&name).font(theme::font(theme::LARGE, Weight::Semibold)).color(theme::STRONG));
    // A key that has no control to go to presses the one button.
    let free = ui.memory(|m| m.focused()).is_none();
    let enter = alone && free && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter));
    if shown {
        if let Some(tried) = sitting.looked_at() {
            widgets::number(ui, &format!("{:.1}", tried.miss.delta_e), "", theme::HUGE);
            widgets::quiet(ui, wording::DIFFERENCE);
            for line in wording::miss_lines(&tried.miss) {
                widgets::text(ui, line);
            }
        }
        widgets::gap(ui, 2.0);
        let last = sitting.wanted().is_none();
        let words = if last { wording::END_SITTING } else { wording::NEXT_SWATCH };
        if widgets::pill(ui, words, Pill::First).clicked() || enter {
            memory.next();
            ui.ctx().request_repaint();
        }
        return;
    }
    widgets::quiet(ui, wording::MEMORY_HINT);
    let mix = &mut sitting.mix;
    let words = wording::value_1(mix.value);
    widgets::slider(ui, wording::GUESS_VALUE, &words, &mut mix.value, 0.0..=10.0, false);
    let words = wording::chroma_level(mix.chroma);
    widgets::slider(ui, wording::CHROMA, words, &mut mix.chroma, 0.0..=plane::MAX_CHROMA, false);
    let words = format!("{:.0}°", mix.hue_degrees);
    widgets::slider(ui, wording::HUE, &words, &mut mix.hue_degrees, 0.0..=360.0, false);
    let side = ui.available_width().min(PLANE);
    let (square, _) = ui.allocate_exact_size(vec2(side, side), Sense::hover());
    let at = plane::PlanePoint { value: mix.value, hue_degrees: &mut mix.hue_degrees, chroma: &mut mix.chroma };
    plane::show(ui, square, wording::GUESS_PLANE, at, plane);
    let outside = !mix.colour().in_srgb();
    // Its line is always there, so that the button below stays in its place.
    widgets::quiet(ui, if outside { wording::OUTSIDE_GAMUT } else { " " });
    if widgets::pill(ui, wording::SHOW_SWATCH, Pill::First).clicked() || enter {
        memory.show(state, board);
        ui.ctx().request_repaint();
    }
}
