//! Fields for a text.

use super::words::quiet;
use crate::ui::theme::{self, Weight};
use egui::{Response, TextEdit, Ui};

/// A text field under its name.
pub(in crate::ui::panels) fn field(ui: &mut Ui, name: &str, value: &mut String) -> Response {
    ui.vertical(|ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        let label = quiet(ui, name);
        text_edit(ui, name, value, ui.available_width()).labelled_by(label.id)
    })
    .inner
}

/// A text field without a visible name.
pub(in crate::ui::panels) fn bare_field(ui: &mut Ui, name: &str, value: &mut String, width: f32) -> Response {
    text_edit(ui, name, value, width).accessible_name(name)
}

/// A text field with an identity of its own, so that keys can be taken before it sees them.
pub(in crate::ui::panels) fn named_field(ui: &mut Ui, id: egui::Id, name: &str, value: &mut String) -> Response {
    let width = ui.available_width();
    field_of(ui, id, name, value, width)
}

/// The same of a width.
pub(in crate::ui::panels) fn field_of(
    ui: &mut Ui,
    id: egui::Id,
    name: &str,
    value: &mut String,
    width: f32,
) -> Response {
    ui.add(styled(value).id(id).desired_width(width)).accessible_name(name)
}

/// A low text field that fills its row.
pub(in crate::ui::panels) fn row_field(ui: &mut Ui, name: &str, value: &mut String) -> Response {
    let edit = styled(value).margin(egui::Margin::symmetric(6, 4)).id_salt("row field");
    ui.add(edit.desired_width(ui.available_width())).accessible_name(name)
}

/// Puts the caret of a text field behind its first `end` letters, with those from `start` on selected.
pub(in crate::ui::panels) fn select(ctx: &egui::Context, field: egui::Id, start: usize, end: usize) {
    let mut state = TextEdit::load_state(ctx, field).unwrap_or_default();
    let cursor = |at| egui::text::CCursor::new(at);
    state.cursor.set_char_range(Some(egui::text::CCursorRange::two(cursor(start), cursor(end))));
    TextEdit::store_state(ctx, field, state);
}

/// Selects what a field holds when it takes the keyboard, by the pointer too: whoever writes there writes something else.
pub(in crate::ui::panels) fn selects_all(ui: &Ui, field: &Response, text: &str) {
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
pub(in crate::ui::panels) fn entered(ui: &Ui, response: &Response) -> bool {
    response.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter))
}
