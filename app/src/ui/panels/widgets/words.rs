//! Words as labels and as painted lines.

use crate::ui::theme::{self, Weight};
use egui::{Align, Align2, Color32, Galley, Pos2, Rect, Response, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use std::sync::Arc;

/// A running text.
pub(in crate::ui::panels) fn text(ui: &mut Ui, words: impl Into<String>) -> Response {
    let words = egui::RichText::new(words).font(theme::font(theme::SMALL, Weight::Regular)).color(theme::TEXT);
    ui.label(words)
}

/// A text that steps back.
pub(in crate::ui::panels) fn quiet(ui: &mut Ui, words: impl Into<String>) -> Response {
    let words = egui::RichText::new(words).font(theme::font(theme::SMALL, Weight::Regular)).color(theme::QUIET);
    ui.label(words)
}

/// The title of a panel.
pub(in crate::ui::panels) fn heading(ui: &mut Ui, words: &str) -> Response {
    let words = egui::RichText::new(words).font(theme::font(theme::SMALL, Weight::Semibold)).color(theme::STRONG);
    ui.label(words)
}

/// One line of running text painted at a place.
pub(in crate::ui::panels) fn line(ui: &Ui, at: Pos2, align: Align2, words: &str, colour: Color32) -> Rect {
    ui.painter().text(at, align, words, theme::font(theme::SMALL, Weight::Regular), colour)
}

/// One line of text, ended with "…" where `width` ends.
fn truncated(ui: &Ui, words: &str, font: egui::FontId, colour: Color32, width: f32) -> Arc<Galley> {
    let mut job = egui::text::LayoutJob::single_section(words.to_owned(), egui::TextFormat::simple(font, colour));
    job.wrap = egui::text::TextWrapping::truncate_at_width(width.max(0.0));
    ui.painter().layout_job(job)
}

/// One line of text in the middle of a room, ended with "…" where the room ends.
pub(in crate::ui::panels) fn centred(ui: &Ui, room: Rect, words: &str, font: egui::FontId, colour: Color32) {
    let galley = truncated(ui, words, font, colour, room.width());
    ui.painter().galley(room.center() - galley.size() / 2.0, galley, colour);
}

/// One line of text in a room, ended with "…" where the room ends.
pub(in crate::ui::panels) fn clipped(ui: &Ui, room: Rect, words: &str, font: egui::FontId, colour: Color32) {
    let galley = truncated(ui, words, font, colour, room.width());
    let at = pos2(room.left(), room.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, colour);
}

/// Quiet words in a cell of fixed width, so that what follows them lines up.
pub(in crate::ui::panels) fn cell(ui: &mut Ui, words: &str, width: f32, colour: Color32) {
    let (rect, response) = ui.allocate_exact_size(vec2(width, 18.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
    clipped(ui, rect, words, theme::font(theme::SMALL, Weight::Regular), colour);
}

/// A number with a smaller sign behind it, on one baseline; returns what it covers.
pub(in crate::ui::panels) fn number(ui: &mut Ui, digits: &str, sign: &str, size: f32) -> Response {
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

/// The words of a button as they are laid out.
pub(super) fn button_words(ui: &Ui, label: &str, size: f32) -> Arc<Galley> {
    ui.painter().layout_no_wrap(label.to_owned(), theme::font(size, Weight::Medium), Color32::PLACEHOLDER)
}

/// Width of a line of text, points.
pub(in crate::ui::panels) fn text_width(ui: &Ui, label: &str) -> f32 {
    button_words(ui, label, theme::SMALL).size().x
}
