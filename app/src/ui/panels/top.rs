//! The top bar: the study's name, the looks, the history, export.

use super::parts::{self, Pill};
use crate::study::command::Command;
use crate::study::session::Session;
use crate::ui::state::{Look, Request, State};
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align, Layout, Rect, Ui, UiBuilder, Vec2, pos2, vec2};

/// Radius of squint when it is first chosen, canvas pixels.
const SQUINT_PX: f32 = 12.0;
/// Largest radius of squint, canvas pixels.
const MAX_SQUINT_PX: f32 = 64.0;
/// Room for the setting of a look, the history and export, points.
const RIGHT_NEEDS: f32 = 440.0;
/// Room for the beginning of the study's name, points.
const LEFT_NEEDS: f32 = 120.0;
/// Number of values when two-tone is first chosen.
const VALUES: u8 = 2;

/// The study's name: that of its file, or of its board while it lives in memory.
fn study_name(session: &Session) -> String {
    let path = session.path();
    match path.file_stem() {
        Some(stem) if path.extension().is_some() => stem.to_string_lossy().into_owned(),
        _ => session.document().board.name.clone(),
    }
}

/// The bar.
pub(super) fn bar(state: &mut State, ui: &mut Ui) {
    let all = ui.max_rect().shrink2(vec2(theme::MARGIN + 2.0, 0.0));
    let middle = looks_width(ui);
    // In the middle of the window, unless what stands to their right needs the room.
    let x = all.center().x.min(all.right() - RIGHT_NEEDS - middle / 2.0).max(all.left() + LEFT_NEEDS + middle / 2.0);
    let looks = Rect::from_center_size(pos2(x, all.center().y), vec2(middle, all.height()));
    let strip = |ui: &mut Ui, name: &str, rect: Rect, layout: Layout, content: &mut dyn FnMut(&mut Ui)| {
        let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout).id_salt(name));
        content(&mut ui);
    };
    let left = Rect::from_min_max(all.min, pos2(looks.left() - 16.0, all.bottom()));
    name_and_words(state, ui, left);
    strip(ui, "looks", looks, Layout::left_to_right(Align::Center), &mut |ui| look_pills(state, ui));
    let right = Rect::from_min_max(pos2(looks.right() + 16.0, all.top()), all.max);
    strip(ui, "look setting", right, Layout::left_to_right(Align::Center), &mut |ui| look_setting(state, ui));
    strip(ui, "history", right, Layout::right_to_left(Align::Center), &mut |ui| history(state, ui));
}

fn name_and_words(state: &mut State, ui: &mut Ui, rect: Rect) {
    let Some(session) = &state.session else { return };
    let name = study_name(session);
    let font = theme::font(theme::MIDDLE, Weight::Semibold);
    let words = ui.painter().layout_no_wrap(
        wording::ALL_KEPT.to_owned(),
        theme::font(theme::SMALL, Weight::Regular),
        theme::QUIET,
    );
    let galley = ui.painter().layout_no_wrap(name.clone(), font.clone(), theme::STRONG);
    // Both in full, or the name alone: half a statement says nothing.
    let both = words.size().x + 16.0 + galley.size().x.min(LEFT_NEEDS) <= rect.width();
    let room = if both { rect.width() - words.size().x - 16.0 } else { rect.width() }.min(galley.size().x);
    let title = Rect::from_min_size(rect.min, vec2(room.max(0.0) + 1.0, rect.height()));
    let response = ui.interact(title, ui.scope_id().with("name"), egui::Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Heading, true, &name));
    parts::clipped(ui, title, &name, font, theme::STRONG);
    if both {
        let at = Rect::from_min_max(pos2(title.right() + 16.0, rect.top()), rect.max);
        let mut words = ui.new_child(UiBuilder::new().max_rect(at).layout(Layout::left_to_right(Align::Center)));
        parts::quiet(&mut words, wording::ALL_KEPT);
    } else {
        response.on_hover_text(format!("{name}\n{}", wording::ALL_KEPT));
    }
}

const LOOKS: [&str; 4] = [wording::COLOUR, wording::VALUE, wording::SQUINT, wording::TWO_TONE];

fn looks_width(ui: &Ui) -> f32 {
    let font = theme::font(theme::SMALL, Weight::Medium);
    let widths = LOOKS
        .iter()
        .chain([&wording::MIRROR])
        .map(|words| ui.painter().layout_no_wrap((*words).to_owned(), font.clone(), theme::TEXT).size().x + 22.0);
    widths.sum::<f32>() + 4.0 * theme::STEP
}

fn look_pills(state: &mut State, ui: &mut Ui) {
    let chosen = match state.look {
        Look::Colour => 0,
        Look::Value => 1,
        Look::Squint { .. } => 2,
        Look::TwoTone { .. } => 3,
    };
    for (i, words) in LOOKS.iter().enumerate() {
        if parts::pill(ui, words, Pill::Look(chosen == i)).clicked() {
            state.look = match i {
                0 => Look::Colour,
                1 => Look::Value,
                2 => Look::Squint { radius_px: state.panels.squint_radius_px.unwrap_or(SQUINT_PX) },
                _ => Look::TwoTone { values: state.panels.values.unwrap_or(VALUES) },
            };
        }
    }
    if parts::pill(ui, wording::MIRROR, Pill::Look(state.mirror)).clicked() {
        state.mirror = !state.mirror;
    }
}

fn look_setting(state: &mut State, ui: &mut Ui) {
    ui.spacing_mut().item_spacing.x = 6.0;
    match &mut state.look {
        Look::Squint { radius_px } => {
            let (rail, _) = ui.allocate_exact_size(Vec2::new(84.0, 16.0), egui::Sense::hover());
            parts::rail_slider(ui, rail, wording::SQUINT_RADIUS, radius_px, 1.0..=MAX_SQUINT_PX, true);
            state.panels.squint_radius_px = Some(*radius_px);
            let words = wording::pixels(*radius_px);
            parts::quiet(ui, words);
        }
        Look::TwoTone { values } => {
            ui.spacing_mut().item_spacing.x = 0.0;
            for count in 2..=5 {
                let (label, name) = (count.to_string(), wording::values_of(count));
                if parts::pill_named(ui, &label, &name, Pill::Choice(*values == count)).clicked() {
                    *values = count;
                    state.panels.values = Some(count);
                }
            }
        }
        Look::Colour | Look::Value => {}
    }
}

fn history(state: &mut State, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let (back, on) = session.depths();
    ui.spacing_mut().item_spacing.x = 16.0;
    if parts::pill(ui, wording::EXPORT, Pill::First).clicked()
        && let Some(session) = &state.session
    {
        state.panels.open_export(session);
    }
    for (words, depth, command) in [(wording::STEP_ON, on, Command::Redo), (wording::STEP_BACK, back, Command::Undo)] {
        let pressed = ui.add_enabled_ui(depth > 0, |ui| parts::words_button(ui, words, words).clicked()).inner;
        if pressed {
            state.apply(&command);
        }
    }
    if parts::words_button(ui, wording::CLOSE, wording::CLOSE).clicked() {
        state.requests.push(Request::CloseStudy);
    }
    if state.panels.readout_away && parts::words_button(ui, wording::SHOW_READOUT, wording::SHOW_READOUT).clicked() {
        state.panels.readout_away = false;
    }
    if state.panels.reference_away
        && parts::words_button(ui, wording::SHOW_REFERENCE, wording::SHOW_REFERENCE).clicked()
    {
        state.panels.reference_away = false;
    }
}
