//! What is pressed: pills, low buttons for a line of text, toggles.

use super::mark::focus_ring;
use super::words::{button_words, heading, text_width};
use crate::ui::theme;
use egui::{Align, Color32, CornerRadius, Galley, Layout, Response, Role, Sense, Ui, Vec2, WidgetInfo, vec2};
use std::sync::Arc;

/// Height of a pill, points.
pub(in crate::ui::panels) const PILL: f32 = 28.0;

/// What a pill is wider than its words, points.
pub(super) const PILL_PADDING: f32 = 22.0;

/// What a low button is wider than its words, points.
const WORDS_PADDING: f32 = 12.0;

/// How a pill looks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::ui::panels) enum Pill {
    /// The one thing to do here: light.
    First,
    /// Another thing to do: grey.
    Second,
    /// What steps back behind those: barely lighter than what it lies on.
    Plain,
    /// One of several: light when chosen, words alone when not. It lies in a trough.
    Choice(bool),
}

/// Words that can be pressed on a ground. `info` and `colours` (ground and words) are told whether the button is enabled, and
/// `colours` also whether the pointer is on it.
fn button(
    ui: &mut Ui,
    words: Arc<Galley>,
    size: Vec2,
    corner: u8,
    info: impl Fn(bool) -> WidgetInfo,
    colours: impl FnOnce(bool, bool) -> (Color32, Color32),
) -> Response {
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let enabled = ui.is_enabled();
    response.widget_info(|| info(enabled));
    let lifted = response.hovered() || response.is_pointer_button_down_on();
    let (ground, colour) = colours(enabled, lifted);
    ui.painter().rect_filled(rect, CornerRadius::same(corner), ground);
    ui.painter().galley_with_override_text_color(rect.center() - words.size() / 2.0, words, colour);
    focus_ring(ui, &response, rect);
    response
}

/// A low button for what stands beside a title or in a line of text; `name` is what it is called where there is no picture.
pub(in crate::ui::panels) fn text_button(ui: &mut Ui, label: &str, name: &str) -> Response {
    let words = button_words(ui, label, theme::SMALL);
    let size = words.size() + vec2(WORDS_PADDING, 3.0);
    let info = |enabled| WidgetInfo::labeled(Role::Button, enabled, name);
    button(ui, words, size, 4, info, |enabled, lifted| match (enabled, lifted) {
        (false, _) => (Color32::TRANSPARENT, theme::OFF),
        (true, true) => (theme::ROW_CHOSEN, theme::BRIGHT),
        (true, false) => (theme::ROW, theme::TEXT),
    })
}

/// A low button for something that is on or off: light while it is on.
pub(in crate::ui::panels) fn text_toggle(ui: &mut Ui, label: &str, name: &str, on: bool) -> Response {
    text_pressed(ui, label, on, |enabled| WidgetInfo::selected(Role::CheckBox, enabled, on, name))
}

/// A low button that is one of several: light words on a ground while it is the chosen one.
pub(in crate::ui::panels) fn text_choice(ui: &mut Ui, label: &str, name: &str, chosen: bool) -> Response {
    text_pressed(ui, label, chosen, |enabled| WidgetInfo::selected(Role::RadioButton, enabled, chosen, name))
}

fn text_pressed(ui: &mut Ui, label: &str, light: bool, info: impl Fn(bool) -> WidgetInfo) -> Response {
    let words = button_words(ui, label, theme::SMALL);
    let size = words.size() + vec2(WORDS_PADDING, 3.0);
    button(ui, words, size, 4, info, |_, lifted| match (light, lifted) {
        (true, _) => (theme::STRONG, theme::ON_LIGHT),
        (false, true) => (theme::ROW_CHOSEN, theme::BRIGHT),
        (false, false) => (theme::ROW, theme::TEXT),
    })
}

/// Width of a [`text_button`], points.
pub(in crate::ui::panels) fn text_button_width(ui: &Ui, label: &str) -> f32 {
    text_width(ui, label) + WORDS_PADDING
}

/// Width of a pill, points.
pub(in crate::ui::panels) fn pill_width(ui: &Ui, label: &str) -> f32 {
    text_width(ui, label) + PILL_PADDING
}

/// A pill of its own width.
pub(in crate::ui::panels) fn pill(ui: &mut Ui, label: &str, look: Pill) -> Response {
    pill_named(ui, label, label, look)
}

/// A pill whose words alone do not say what it does.
pub(in crate::ui::panels) fn pill_named(ui: &mut Ui, label: &str, name: &str, look: Pill) -> Response {
    pill_padded(ui, label, name, look, PILL_PADDING)
}

pub(super) fn pill_padded(ui: &mut Ui, label: &str, name: &str, look: Pill, padding: f32) -> Response {
    let words = button_words(ui, label, theme::SMALL);
    let size = vec2(words.size().x + padding, PILL);
    let info = |enabled| match look {
        Pill::Choice(chosen) => WidgetInfo::selected(Role::RadioButton, enabled, chosen, name),
        Pill::First | Pill::Second | Pill::Plain => WidgetInfo::labeled(Role::Button, enabled, name),
    };
    button(ui, words, size, theme::CORNER, info, |enabled, lifted| match look {
        Pill::First | Pill::Choice(true) if enabled => {
            (if lifted { theme::BRIGHT } else { theme::STRONG }, theme::ON_LIGHT)
        }
        Pill::Choice(true) => (theme::QUIET, theme::ON_LIGHT),
        Pill::First => (theme::ROW_CHOSEN, theme::QUIET),
        Pill::Second if enabled => (if lifted { theme::ROW_CHOSEN_HOVERED } else { theme::ROW_CHOSEN }, theme::STRONG),
        Pill::Second => (theme::ROW, theme::OFF),
        Pill::Plain if enabled => (if lifted { theme::ROW_HOVERED } else { theme::ROW }, theme::TEXT),
        Pill::Choice(false) if enabled => (if lifted { theme::ROW_HOVERED } else { Color32::TRANSPARENT }, theme::TEXT),
        Pill::Plain | Pill::Choice(false) => (Color32::TRANSPARENT, theme::OFF),
    })
}

/// Height of a button under the thumb, points: the size of a target by WCAG 2.2, 2.5.5.
const THUMB_PILL: f32 = 44.0;

/// A button for a thumb, which does not see what it presses.
pub(in crate::ui::panels) fn thumb_pill(ui: &mut Ui, label: &str) -> Response {
    let words = button_words(ui, label, theme::SMALL);
    let size = vec2(words.size().x + PILL_PADDING, THUMB_PILL);
    let info = |enabled| WidgetInfo::labeled(Role::Button, enabled, label);
    button(ui, words, size, theme::CORNER, info, |enabled, lifted| match (enabled, lifted) {
        (true, true) => (theme::ROW_CHOSEN_HOVERED, theme::STRONG),
        (true, false) => (theme::ROW_CHOSEN, theme::STRONG),
        (false, _) => (theme::ROW, theme::OFF),
    })
}

/// Height of a large pill, points.
pub(in crate::ui::panels) const LARGE_PILL: f32 = 38.0;

/// A pill for the main thing to do on a page.
pub(in crate::ui::panels) fn large_pill(ui: &mut Ui, label: &str, first: bool) -> Response {
    let words = button_words(ui, label, theme::MIDDLE);
    let size = vec2(words.size().x + 40.0, LARGE_PILL);
    let info = |enabled| WidgetInfo::labeled(Role::Button, enabled, label);
    button(ui, words, size, theme::CORNER, info, |_, lifted| match (first, lifted) {
        (true, false) => (theme::STRONG, theme::ON_LIGHT),
        (true, true) => (theme::BRIGHT, theme::ON_LIGHT),
        (false, false) => (theme::ROW_CHOSEN, theme::STRONG),
        (false, true) => (theme::ROW_CHOSEN_HOVERED, theme::STRONG),
    })
}

/// Something that is on or off, for a thumb.
pub(in crate::ui::panels) fn thumb_toggle(ui: &mut Ui, label: &str, on: bool) -> Response {
    toggle_sized(ui, label, label, on, THUMB_PILL)
}

/// Something that is on or off: a pill that is light while it is on.
pub(in crate::ui::panels) fn toggle(ui: &mut Ui, label: &str, on: bool) -> Response {
    toggle_named(ui, label, label, on)
}

/// The same with words for where there is no picture.
pub(in crate::ui::panels) fn toggle_named(ui: &mut Ui, label: &str, name: &str, on: bool) -> Response {
    toggle_sized(ui, label, name, on, PILL)
}

fn toggle_sized(ui: &mut Ui, label: &str, name: &str, on: bool, height: f32) -> Response {
    let words = button_words(ui, label, theme::SMALL);
    let size = vec2(words.size().x + PILL_PADDING, height);
    let info = |enabled| WidgetInfo::selected(Role::CheckBox, enabled, on, name);
    button(ui, words, size, theme::CORNER, info, |_, lifted| match (on, lifted) {
        (true, false) => (theme::STRONG, theme::ON_LIGHT),
        (true, true) => (theme::BRIGHT, theme::ON_LIGHT),
        (false, false) => (theme::ROW, theme::TEXT),
        (false, true) => (theme::ROW_HOVERED, theme::STRONG),
    })
}

/// Height of the line of a title, points.
pub(in crate::ui::panels) const HEADING: f32 = 20.0;

/// A title on the left and words that can be pressed on the right, on one line; tells which of them was.
pub(in crate::ui::panels) fn heading_with(ui: &mut Ui, words: &str, actions: &[(&str, &str)]) -> Option<usize> {
    let mut pressed = None;
    ui.horizontal(|ui| {
        ui.set_height(HEADING);
        heading(ui, words);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 5.0;
            for (i, (label, name)) in actions.iter().enumerate().rev() {
                if text_button(ui, label, name).clicked() {
                    pressed = Some(i);
                }
            }
        });
    });
    pressed
}
