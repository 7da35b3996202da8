//! A kept board as a card: its tray in small, its name, and what there is to know at a glance.

use super::facts;
use super::pictures::PictureCache;
use crate::files::library::{Entry, Hit};
use crate::ui::panels::{dab, widgets};
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align2, Color32, CornerRadius, EventFilter, Id, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo,
    pos2, vec2,
};
use stint_model::board::{self, Board};

/// Space around what is on a card, points.
const MARGIN: f32 = 12.0;
/// Height of what stands below the tray, points.
const WORDS: f32 = 58.0;
/// Largest photo on a card, points.
const PHOTO: egui::Vec2 = vec2(64.0, 48.0);
/// Widest column of a small tray for its height.
const COLUMN: f32 = 0.5;

/// What the keyboard knows a card by.
pub(super) fn id_of(entry: &Entry) -> Id {
    Id::unique("kept board").with(&entry.path)
}

/// Draws a card.
pub(super) fn card(
    ui: &mut Ui,
    rect: Rect,
    entry: &Entry,
    hit: Hit,
    chosen: bool,
    pictures: &mut PictureCache,
) -> Response {
    let response = ui.interact(rect, id_of(entry), Sense::click());
    let [facts, remarks] = facts(entry);
    let figures = wording::figures(hit.near, hit.like);
    let last = if figures.is_empty() { &remarks } else { &figures };
    let said = if last.is_empty() { facts.clone() } else { format!("{facts}, {last}") };
    response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, wording::card(&entry.name, &said)));
    hold_arrows(ui, &response);
    // The same ground for all: a lighter one would make the chosen board look another.
    let ground = theme::CARD;
    ui.painter().rect_filled(rect, CornerRadius::same(8), ground);
    let ring = match (chosen, response.hovered()) {
        (true, _) => Stroke::new(2.0, theme::STRONG),
        (false, true) => Stroke::new(1.0, theme::LINE),
        (false, false) => Stroke::NONE,
    };
    ui.painter().rect_stroke(rect, CornerRadius::same(8), ring, StrokeKind::Inside);
    widgets::focus_ring(ui, &response, rect.expand(1.0));
    let inner = rect.shrink(MARGIN);
    let top = Rect::from_min_max(inner.min, pos2(inner.right(), inner.bottom() - WORDS - 8.0));
    match &entry.content {
        Ok(kept) => tray(ui, top, &kept.board, ground),
        Err(why) => broken(ui, top, why),
    }
    let mut words = Rect::from_min_max(pos2(inner.left(), inner.bottom() - WORDS), inner.max);
    if let Some(texture) = entry.photo.as_ref().and_then(|path| pictures.get(ui, path)) {
        let size = texture.size_vec2();
        let size = size * (PHOTO / size).min_elem();
        let at = Rect::from_min_size(inner.max - size, size);
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        ui.painter().image(texture.id(), at, whole, Color32::WHITE);
        words.max.x = at.left() - 8.0;
    }
    let rows = [
        (entry.name.as_str(), theme::font(theme::SMALL, Weight::Semibold), theme::STRONG),
        (facts.as_str(), theme::font(12.0, Weight::Regular), theme::TEXT),
        (last.as_str(), theme::font(12.0, Weight::Regular), theme::TEXT),
    ];
    for (i, (text, font, colour)) in rows.into_iter().enumerate() {
        let room = Rect::from_min_size(words.min + vec2(0.0, i as f32 * 19.0 + 1.0), vec2(words.width(), 18.0));
        widgets::clipped(ui, room, text, font, colour);
    }
    response
}

/// Keeps the arrow keys for walking over cards while a card has the keyboard.
pub(super) fn hold_arrows(ui: &Ui, card: &Response) {
    if card.has_focus() {
        let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
        ui.memory_mut(|m| m.set_focus_lock_filter(card.id, filter));
    }
}

/// What is wrong with a file, as far as there is room.
fn broken(ui: &Ui, rect: Rect, why: &str) {
    let font = theme::font(12.0, Weight::Regular);
    let mut job = egui::text::LayoutJob::single_section(why.to_owned(), egui::TextFormat::simple(font, theme::TEXT));
    job.wrap =
        egui::text::TextWrapping { max_width: rect.width(), max_rows: 4, break_anywhere: true, ..Default::default() };
    let galley = ui.painter().layout_job(job);
    ui.painter().galley(rect.min, galley, theme::TEXT);
}

/// The swatches of a family as they lie in a tray: lights on top, shadows below, the rest under them.
fn in_order(family: &board::Family) -> Vec<&board::Swatch> {
    let place = |role| match role {
        board::Role::Light => 0,
        board::Role::Local => 1,
        board::Role::Shadow => 2,
        board::Role::Accent => 3,
    };
    let mut swatches: Vec<_> = family.swatches.iter().collect();
    swatches.sort_by_key(|s| place(s.role));
    swatches
}

/// A board as a small tray in a rectangle: a column a family, lights on top, on this ground.
pub(in crate::ui::panels) fn tray(ui: &Ui, rect: Rect, board: &Board, ground: Color32) {
    let families: Vec<_> = board.families.iter().filter(|f| !f.swatches.is_empty()).collect();
    if families.is_empty() {
        widgets::line(ui, rect.center(), Align2::CENTER_CENTER, &wording::swatch_count(0), theme::QUIET);
        return;
    }
    let rows = families.iter().map(|f| f.swatches.len()).max().unwrap_or(3).clamp(3, 6);
    let height = rect.height() / rows as f32;
    // A family with many swatches takes further columns.
    let columns: usize = families.iter().map(|f| f.swatches.len().div_ceil(rows)).sum();
    let width = (rect.width() / columns as f32).min(rect.height() * COLUMN);
    let radius = vec2(width * 0.42, (height * 0.40).min(width * 0.32)).max(vec2(1.0, 1.0));
    let mut x = rect.center().x - width * columns as f32 / 2.0;
    for family in families {
        let swatches = in_order(family);
        for column in swatches.chunks(rows) {
            for (row, swatch) in column.iter().enumerate() {
                let centre = pos2(x + width / 2.0, rect.top() + (row as f32 + 0.5) * height);
                dab::paint(ui.painter(), swatch.id, centre, radius, theme::paint(swatch.colour), None);
                if theme::is_faint_on(ground, swatch.colour) {
                    let edge = egui::Shape::closed_line(
                        dab::outline(swatch.id, centre, radius),
                        Stroke::new(1.0, theme::LINE),
                    );
                    ui.painter().add(edge);
                }
            }
            x += width;
        }
    }
}
