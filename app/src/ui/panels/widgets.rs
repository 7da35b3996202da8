//! The few controls all panels are made of: pills, rows, sliders, fields, headings. Each has its accessible name.

use crate::ui::theme::{self, Weight};
use egui::{
    Align, Align2, Color32, CornerRadius, Galley, Layout, Pos2, Rect, Response, Role, Sense, Shape, Slider, Stroke,
    StrokeKind, TextEdit, Ui, Vec2, WidgetInfo, pos2, vec2,
};
use std::ops::RangeInclusive;
use std::sync::Arc;

/// Height of a pill, points.
pub(super) const PILL: f32 = 28.0;
/// What a pill is wider than its words, points.
const PILL_PADDING: f32 = 22.0;
/// The same in a narrow place.
const NARROW_PADDING: f32 = 14.0;
/// What a low button is wider than its words, points.
const WORDS_PADDING: f32 = 12.0;
/// Room for the bar of a sheet that scrolls, points.
const BAR: i8 = 12;
/// Height of a named slider, points.
pub(super) const SLIDER: f32 = 36.0;

/// How a pill looks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Pill {
    /// The one thing to do here: light.
    First,
    /// Another thing to do: grey.
    Second,
    /// Words alone.
    Plain,
    /// One of several: light when chosen, words alone when not.
    Choice(bool),
}

/// A running text.
pub(super) fn text(ui: &mut Ui, words: impl Into<String>) -> Response {
    let words = egui::RichText::new(words).font(theme::font(theme::SMALL, Weight::Regular)).color(theme::TEXT);
    ui.label(words)
}

/// A text that steps back.
pub(super) fn quiet(ui: &mut Ui, words: impl Into<String>) -> Response {
    let words = egui::RichText::new(words).font(theme::font(theme::SMALL, Weight::Regular)).color(theme::QUIET);
    ui.label(words)
}

/// The title of a panel.
pub(super) fn heading(ui: &mut Ui, words: &str) -> Response {
    let words = egui::RichText::new(words).font(theme::font(theme::SMALL, Weight::Semibold)).color(theme::STRONG);
    ui.label(words)
}

/// A title on the left and words that can be pressed on the right, on one line; tells which of them was.
pub(super) fn heading_with(ui: &mut Ui, words: &str, actions: &[(&str, &str)]) -> Option<usize> {
    let mut pressed = None;
    ui.horizontal(|ui| {
        ui.set_height(20.0);
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

/// The words of a button as they are laid out.
fn button_words(ui: &Ui, label: &str, size: f32) -> Arc<Galley> {
    ui.painter().layout_no_wrap(label.to_owned(), theme::font(size, Weight::Medium), Color32::PLACEHOLDER)
}

/// A low button for what stands beside a title or in a line of text; `name` is what it is called where there is no picture.
pub(super) fn text_button(ui: &mut Ui, label: &str, name: &str) -> Response {
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
pub(super) fn text_toggle(ui: &mut Ui, label: &str, name: &str, on: bool) -> Response {
    text_pressed(ui, label, on, |enabled| WidgetInfo::selected(Role::CheckBox, enabled, on, name))
}

/// A low button that is one of several: light words on a ground while it is the chosen one.
pub(super) fn text_choice(ui: &mut Ui, label: &str, name: &str, chosen: bool) -> Response {
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

/// Width of a pill, points.
pub(super) fn pill_width(ui: &Ui, label: &str) -> f32 {
    text_width(ui, label) + PILL_PADDING
}

/// Width of a [`text_button`], points.
pub(super) fn text_button_width(ui: &Ui, label: &str) -> f32 {
    text_width(ui, label) + WORDS_PADDING
}

/// Width of a line of text, points.
pub(super) fn text_width(ui: &Ui, label: &str) -> f32 {
    button_words(ui, label, theme::SMALL).size().x
}

/// A pill of its own width.
pub(super) fn pill(ui: &mut Ui, label: &str, look: Pill) -> Response {
    pill_named(ui, label, label, look)
}

/// A pill whose words alone do not say what it does.
pub(super) fn pill_named(ui: &mut Ui, label: &str, name: &str, look: Pill) -> Response {
    pill_padded(ui, label, name, look, PILL_PADDING)
}

fn pill_padded(ui: &mut Ui, label: &str, name: &str, look: Pill, padding: f32) -> Response {
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
        Pill::Plain | Pill::Choice(false) if enabled => {
            (if lifted { theme::ROW_HOVERED } else { Color32::TRANSPARENT }, theme::TEXT)
        }
        Pill::Plain | Pill::Choice(false) => (Color32::TRANSPARENT, theme::OFF),
    })
}

/// Height of a button under the thumb, points: the size of a target by WCAG 2.2, 2.5.5.
const THUMB_PILL: f32 = 44.0;

/// A button for a thumb, which does not see what it presses.
pub(super) fn thumb_pill(ui: &mut Ui, label: &str) -> Response {
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
pub(super) const LARGE_PILL: f32 = 38.0;

/// A pill for the main thing to do on a page.
pub(super) fn large_pill(ui: &mut Ui, label: &str, first: bool) -> Response {
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

/// A choice of a few in one trough, one of them chosen; tells which was pressed.
pub(super) fn segments<T: Copy + PartialEq>(ui: &mut Ui, chosen: Option<T>, of: &[(T, &str)]) -> Option<T> {
    let of: Vec<_> = of.iter().map(|&(value, label)| (value, label, "")).collect();
    hinted_segments(ui, chosen, &of)
}

/// The same with a hint for each, which shows where the pointer rests.
pub(super) fn hinted_segments<T: Copy + PartialEq>(
    ui: &mut Ui,
    chosen: Option<T>,
    of: &[(T, &str, &str)],
) -> Option<T> {
    let inset = 3.0;
    let trough = ui.painter().add(Shape::Noop);
    let mut pressed = None;
    let inner = ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        ui.set_height(PILL + 2.0 * inset);
        ui.add_space(inset);
        for &(value, label, hint) in of {
            let response = pill(ui, label, Pill::Choice(chosen == Some(value)));
            if hinted(response, hint).clicked() {
                pressed = Some(value);
            }
        }
        ui.add_space(inset);
    });
    let shape = Shape::rect_filled(inner.response.rect, CornerRadius::same(theme::CORNER + 2), theme::FIELD);
    ui.painter().set(trough, shape);
    pressed
}

/// A hint that shows beside a control where the pointer rests; nothing where it is empty.
fn hinted(response: Response, hint: &str) -> Response {
    if hint.is_empty() { response } else { response.on_hover_text(hint) }
}

/// Something that is on or off: a pill that is light while it is on.
pub(super) fn toggle(ui: &mut Ui, label: &str, on: bool) -> Response {
    toggle_named(ui, label, label, on)
}

/// The same with words for where there is no picture.
pub(super) fn toggle_named(ui: &mut Ui, label: &str, name: &str, on: bool) -> Response {
    let words = button_words(ui, label, theme::SMALL);
    let size = vec2(words.size().x + PILL_PADDING, PILL);
    let info = |enabled| WidgetInfo::selected(Role::CheckBox, enabled, on, name);
    button(ui, words, size, theme::CORNER, info, |_, lifted| match (on, lifted) {
        (true, false) => (theme::STRONG, theme::ON_LIGHT),
        (true, true) => (theme::BRIGHT, theme::ON_LIGHT),
        (false, false) => (theme::ROW, theme::TEXT),
        (false, true) => (theme::ROW_HOVERED, theme::STRONG),
    })
}

/// A row of pills, one of them chosen; tells which was pressed.
pub(super) fn choices<T: Copy + PartialEq>(ui: &mut Ui, chosen: Option<T>, of: &[(T, &str, &str)]) -> Option<T> {
    let mut pressed = None;
    for &(value, label, name) in of {
        if pill_named(ui, label, name, Pill::Choice(chosen == Some(value))).clicked() {
            pressed = Some(value);
        }
    }
    pressed
}

/// The same in a narrow place, with a hint for each.
pub(super) fn narrow_choices<T: Copy + PartialEq>(ui: &mut Ui, chosen: T, of: &[(T, &str, &str)]) -> Option<T> {
    let mut pressed = None;
    // As roomy as there is room for.
    let words: f32 = of.iter().map(|(_, label, _)| text_width(ui, label)).sum();
    let gaps = ui.spacing().item_spacing.x * (of.len() as f32 - 1.0);
    let padding = ((ui.available_width() - words - gaps) / of.len() as f32).floor().clamp(6.0, NARROW_PADDING);
    for &(value, label, hint) in of {
        let response = pill_padded(ui, label, label, Pill::Choice(chosen == value), padding);
        if hinted(response, hint).clicked() {
            pressed = Some(value);
        }
    }
    pressed
}

/// A row of full width that can be chosen: words on the left, quiet words on the right.
pub(super) fn row(ui: &mut Ui, label: &str, right: &str, name: &str, chosen: bool) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 30.0), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, ui.is_enabled(), chosen, name));
    let ground = match (chosen, response.hovered()) {
        (true, _) => theme::ROW_CHOSEN,
        (false, true) => theme::ROW_HOVERED,
        (false, false) => theme::ROW,
    };
    ui.painter().rect_filled(rect, CornerRadius::same(theme::CORNER), ground);
    let right_colour = if response.hovered() { theme::TEXT } else { theme::QUIET };
    let (colour, right_colour) = if chosen { (theme::BRIGHT, theme::STRONG) } else { (theme::STRONG, right_colour) };
    let right_width =
        line(ui, rect.right_center() - vec2(10.0, 0.0), Align2::RIGHT_CENTER, right, right_colour).width();
    let room = Rect::from_min_max(rect.min + vec2(10.0, 0.0), rect.max - vec2(right_width + 18.0, 0.0));
    clipped(ui, room, label, theme::font(theme::SMALL, Weight::Medium), colour);
    focus_ring(ui, &response, rect);
    response
}

/// One line of running text painted at a place.
pub(super) fn line(ui: &Ui, at: Pos2, align: Align2, words: &str, colour: Color32) -> Rect {
    ui.painter().text(at, align, words, theme::font(theme::SMALL, Weight::Regular), colour)
}

/// One line of text, ended with "…" where `width` ends.
fn truncated(ui: &Ui, words: &str, font: egui::FontId, colour: Color32, width: f32) -> Arc<Galley> {
    let mut job = egui::text::LayoutJob::single_section(words.to_owned(), egui::TextFormat::simple(font, colour));
    job.wrap = egui::text::TextWrapping::truncate_at_width(width.max(0.0));
    ui.painter().layout_job(job)
}

/// One line of text in the middle of a room, ended with "…" where the room ends.
pub(super) fn centred(ui: &Ui, room: Rect, words: &str, font: egui::FontId, colour: Color32) {
    let galley = truncated(ui, words, font, colour, room.width());
    ui.painter().galley(room.center() - galley.size() / 2.0, galley, colour);
}

/// One line of text in a room, ended with "…" where the room ends.
pub(super) fn clipped(ui: &Ui, room: Rect, words: &str, font: egui::FontId, colour: Color32) {
    let galley = truncated(ui, words, font, colour, room.width());
    let at = pos2(room.left(), room.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, colour);
}

/// A slider under its name and its value in words; the value follows the pointer, and `drag_stopped` or `lost_focus`
/// says when it stays. A double click sets it back to what it was when it came on screen.
pub(super) fn slider(
    ui: &mut Ui,
    name: &str,
    words: &str,
    value: &mut f32,
    range: RangeInclusive<f32>,
    logarithmic: bool,
) -> Response {
    slider_back(ui, (name, words), value, range, logarithmic, None)
}

/// The same; a double click sets it back to a plain value.
pub(super) fn slider_back(
    ui: &mut Ui,
    (name, words): (&str, &str),
    value: &mut f32,
    range: RangeInclusive<f32>,
    logarithmic: bool,
    plain: Option<f32>,
) -> Response {
    let width = ui.available_width();
    let (rect, _) = ui.allocate_exact_size(vec2(width, SLIDER), Sense::hover());
    line(ui, rect.left_top(), Align2::LEFT_TOP, name, theme::TEXT);
    line(ui, rect.right_top(), Align2::RIGHT_TOP, words, theme::TEXT);
    let rail = Rect::from_min_max(pos2(rect.left(), rect.top() + 19.0), pos2(rect.right(), rect.top() + 35.0));
    rail_slider(ui, rail, name, value, range, (logarithmic, plain))
}

/// The rail of a slider alone: whether it is logarithmic, and the plain value that a double click sets it back to, or what it was when
/// it came on screen.
pub(super) fn rail_slider(
    ui: &mut Ui,
    rail: Rect,
    name: &str,
    value: &mut f32,
    range: RangeInclusive<f32>,
    (logarithmic, plain): (bool, Option<f32>),
) -> Response {
    let before = *value;
    let (low, high) = (*range.start(), *range.end());
    // The control is egui's, with its keys and its accessible actions; only its looks are ours.
    let id = ui.scope_id().with(("rail", name));
    let builder = egui::UiBuilder::new().scope_id(id).max_rect(rail).layout(Layout::left_to_right(Align::Center));
    let mut inside = ui.new_child(builder);
    inside.set_opacity(0.0);
    inside.spacing_mut().slider_width = rail.width();
    inside.spacing_mut().interact_size.y = rail.height();
    let control = Slider::new(value, range).show_value(false).logarithmic(logarithmic);
    let mut response = inside.add(control).accessible_name(name);
    let back = as_it_came(ui, response.id, before);
    if double_clicked(ui, &response) {
        *value = plain.unwrap_or(back).clamp(low, high);
        response.mark_changed();
    }
    // Once touched it takes the arrow keys.
    if response.drag_started() || response.clicked() {
        response.request_focus();
    }
    let fraction = if logarithmic { (*value / low).ln() / (high / low).ln() } else { (*value - low) / (high - low) };
    let y = rail.center().y;
    let bar = Rect::from_min_max(pos2(rail.left(), y - 2.0), pos2(rail.right(), y + 2.0));
    ui.painter().rect_filled(bar, CornerRadius::same(2), theme::LINE);
    let x = egui::lerp(rail.left() + 6.0..=rail.right() - 6.0, fraction.clamp(0.0, 1.0));
    let lifted = response.hovered() || response.dragged();
    ui.painter().circle_filled(pos2(x, y), 6.5, if lifted { theme::BRIGHT } else { theme::STRONG });
    if response.has_focus() {
        ui.painter().circle_stroke(pos2(x, y), 9.0, Stroke::new(1.5, theme::BRIGHT));
    }
    response
}

/// A whole number on a slider that had another before: a key moves it by one, however little of the rail that is.
#[expect(clippy::cast_possible_truncation, reason = "the slider is held to its range; the cast saturates")]
pub(super) fn whole(response: &Response, before: u32, value: f32) -> u32 {
    let now = value.round() as u32;
    let by = value - before as f32;
    if now != before || !response.changed() || response.dragged() || by == 0.0 {
        return now;
    }
    if by > 0.0 { before.saturating_add(1) } else { before.saturating_sub(1) }
}

/// The value that a control had when it came on screen.
fn as_it_came(ui: &Ui, id: egui::Id, now: f32) -> f32 {
    let frame = ui.ctx().cumulative_frame_nr();
    ui.data_mut(|data| {
        let kept = data.get_temp::<(f32, u64)>(id).filter(|(_, seen)| seen + 1 >= frame);
        let came = kept.map_or(now, |(came, _)| came);
        data.insert_temp(id, (came, frame));
        came
    })
}

/// Whether a slider was pressed twice, which sets it back.
fn double_clicked(ui: &Ui, response: &Response) -> bool {
    response.contains_pointer() && ui.input(|i| i.pointer.button_double_clicked(egui::PointerButton::Primary))
}

/// Whether a slider came to rest with a new value in this frame: the pointer let go, or a key moved it.
pub(super) fn rested(response: &Response) -> bool {
    response.drag_stopped() || (response.changed() && !response.dragged())
}

/// A text field under its name.
pub(super) fn field(ui: &mut Ui, name: &str, value: &mut String) -> Response {
    ui.vertical(|ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        let label = quiet(ui, name);
        text_edit(ui, name, value, ui.available_width()).labelled_by(label.id)
    })
    .inner
}

/// A text field without a visible name.
pub(super) fn bare_field(ui: &mut Ui, name: &str, value: &mut String, width: f32) -> Response {
    text_edit(ui, name, value, width).accessible_name(name)
}

/// A text field with an identity of its own, so that keys can be taken before it sees them.
pub(super) fn named_field(ui: &mut Ui, id: egui::Id, name: &str, value: &mut String) -> Response {
    let edit = styled(value).id(id).desired_width(ui.available_width());
    ui.add(edit).accessible_name(name)
}

/// A low text field that fills its row.
pub(super) fn row_field(ui: &mut Ui, name: &str, value: &mut String) -> Response {
    let edit = styled(value).margin(egui::Margin::symmetric(6, 4)).id_salt("row field");
    ui.add(edit.desired_width(ui.available_width())).accessible_name(name)
}

/// Puts the caret of a text field behind its first `end` letters, with those from `start` on selected.
pub(super) fn select(ctx: &egui::Context, field: egui::Id, start: usize, end: usize) {
    let mut state = TextEdit::load_state(ctx, field).unwrap_or_default();
    let cursor = |at| egui::text::CCursor::new(at);
    state.cursor.set_char_range(Some(egui::text::CCursorRange::two(cursor(start), cursor(end))));
    TextEdit::store_state(ctx, field, state);
}

/// Selects what a field holds when it takes the keyboard, by the pointer too: whoever writes there writes something else.
pub(super) fn selects_all(ui: &Ui, field: &Response, text: &str) {
    let came = field.id.with("came by the pointer");
    if field.gained_focus() {
        let pressed = ui.input(|i| i.pointer.any_down());
        // The press goes on to set the cursor, so the end of it is waited for.
        ui.data_mut(|data| data.insert_temp(came, pressed));
        if !pressed {
            select(ui.ctx(), field.id, 0, text.chars().count());
        }
    } else if field.clicked() && ui.data_mut(|data| data.remove_temp(came)) == Some(true) {
        select(ui.ctx(), field.id, 0, text.chars().count());
    }
}

/// A text field in the looks of the panels.
fn styled(value: &mut String) -> TextEdit<'_> {
    let font = theme::font(theme::SMALL, Weight::Regular);
    TextEdit::singleline(value).font(font).text_color(theme::STRONG).margin(egui::Margin::symmetric(8, 6))
}

/// Its identity hangs on its name, not on its place, so that it keeps the keyboard when something appears above it.
fn text_edit(ui: &mut Ui, name: &str, value: &mut String, width: f32) -> Response {
    ui.add(styled(value).id_salt(name).desired_width(width))
}

/// Whether Enter was pressed in a field.
pub(super) fn entered(ui: &Ui, response: &Response) -> bool {
    response.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter))
}

/// A ring around what has the keyboard.
pub(super) fn focus_ring(ui: &Ui, response: &Response, rect: Rect) {
    if response.has_focus() {
        let stroke = Stroke::new(1.5, theme::BRIGHT);
        ui.painter().rect_stroke(rect.expand(2.0), CornerRadius::same(theme::CORNER + 2), stroke, StrokeKind::Inside);
    }
}

/// A dashed outline.
pub(super) fn dashed(rect: Rect, colour: Color32) -> Vec<Shape> {
    let r = rect;
    let corners = [r.left_top(), r.right_top(), r.right_bottom(), r.left_bottom(), r.left_top()];
    Shape::dashed_line(&corners, Stroke::new(1.0, colour), 3.0, 3.0)
}

/// A number with a smaller sign behind it, on one baseline; returns what it covers.
pub(super) fn number(ui: &mut Ui, digits: &str, sign: &str, size: f32) -> Response {
    let mut job = egui::text::LayoutJob::default();
    let format = |size, weight| egui::TextFormat {
        font_id: theme::font(size, weight),
        color: theme::STRONG,
        valign: Align::BOTTOM,
        ..Default::default()
    };
    job.append(digits, 0.0, format(size, Weight::Semibold));
    let galley = ui.painter().layout_job(job);
    let mut sign_job = egui::text::LayoutJob::default();
    sign_job.append(sign, 0.0, format(if size > 30.0 { theme::MIDDLE } else { theme::SMALL }, Weight::Semibold));
    let sign_galley = ui.painter().layout_job(sign_job);
    let wanted = vec2(galley.size().x + sign_galley.size().x + 1.0, galley.size().y);
    let (rect, response) = ui.allocate_exact_size(wanted, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{digits} {sign}")));
    // Baselines: both galleys have one row of one font, so the distance is that of their ascents.
    let ascent = |g: &egui::Galley| g.rows.first().and_then(|r| r.glyphs.first()).map_or(0.0, |g| g.pos.y);
    let drop = ascent(&galley) - ascent(&sign_galley);
    let after = rect.min + vec2(galley.size().x + 1.0, drop);
    ui.painter().galley(rect.min, galley, theme::STRONG);
    ui.painter().galley(after, sign_galley, theme::STRONG);
    response
}

/// A sheet over the window: a title, what is on it, and Escape or a press beside it to close. Tells whether it was
/// closed that way.
pub(super) fn sheet(ui: &mut Ui, title: &str, width: f32, content: impl FnOnce(&mut Ui)) -> bool {
    let height = ui.ctx().content_rect().height() - 120.0;
    // The bar of what scrolls lies in the margin, beside the figures and not on them.
    let margin = egui::Margin { left: 20, right: 20 - BAR, top: 20, bottom: 20 };
    modal(ui, title, margin, |ui| {
        ui.set_width(width + f32::from(BAR));
        ui.label(egui::RichText::new(title).font(theme::font(theme::MIDDLE, Weight::Semibold)).color(theme::STRONG));
        let scrolling = egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height);
        scrolling.auto_shrink([false, true]).show(ui, |ui| {
            ui.set_width(width);
            content(ui);
        });
    })
}

/// The frame of a sheet, over the darkened window; tells whether it was closed by Escape or a press beside it.
fn modal(ui: &Ui, title: &str, margin: egui::Margin, content: impl FnOnce(&mut Ui)) -> bool {
    let frame = egui::Frame::new()
        .fill(theme::SHEET)
        .stroke(Stroke::new(1.0, theme::LINE))
        .corner_radius(CornerRadius::same(10))
        .inner_margin(margin);
    // An area of its own for each title: a sheet must not be placed by the size of the one before it.
    let id = egui::Id::unique("sheet").with(title);
    let area = egui::Modal::default_area(id).accessible_name(title);
    let modal = egui::Modal::new(id).area(area).frame(frame).backdrop_color(theme::BACKDROP);
    modal.show(ui.ctx(), content).should_close()
}

/// A sheet of a size of its own, which scrolls its parts itself; as [`sheet`] otherwise.
pub(super) fn large_sheet(ui: &mut Ui, title: &str, size: Vec2, content: impl FnOnce(&mut Ui)) -> bool {
    let margin = egui::Margin::same(16);
    modal(ui, title, margin, |ui| {
        let (rect, _) = ui.allocate_exact_size(size - margin.sum(), Sense::hover());
        let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(Layout::top_down(Align::Min)));
        content(&mut inside);
    })
}

/// Quiet words in a cell of fixed width, so that what follows them lines up.
pub(super) fn cell(ui: &mut Ui, words: &str, width: f32, colour: Color32) {
    let (rect, response) = ui.allocate_exact_size(vec2(width, 18.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
    clipped(ui, rect, words, theme::font(theme::SMALL, Weight::Regular), colour);
}

/// Space between two groups: so many steps of the theme in all, of which one is there anyway.
pub(super) fn gap(ui: &mut Ui, steps: f32) {
    ui.add_space((steps - 1.0) * theme::STEP);
}

/// Pills at the right end of a line, the first one given being the outermost.
pub(super) fn footer(ui: &mut Ui, content: impl FnOnce(&mut Ui)) {
    gap(ui, 2.0);
    let size = Vec2::new(ui.available_width(), PILL);
    ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), content);
}
