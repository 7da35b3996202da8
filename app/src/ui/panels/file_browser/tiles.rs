//! What lies in the folder, as tiles: folders in low rows, files with their pictures. Only what is in sight is laid out.

use super::{BrowserState, Purpose};
use crate::files::listing::{Form, Listed};
use crate::ui::panels::PanelState;
use crate::ui::panels::widgets;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align2, Color32, CornerRadius, Key, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2,
};
use std::path::PathBuf;

/// Least width of a tile, points.
const WIDTH: f32 = 138.0;
/// Height of a folder and of a file, points.
const HEIGHTS: [f32; 2] = [34.0, 128.0];
/// Height of the picture of a file, points.
const PICTURE: f32 = 94.0;
/// Space between tiles, points.
const GAP: f32 = 8.0;

/// Where tiles lie.
struct Rows {
    columns: usize,
    width: f32,
    folders: usize,
    all: usize,
}

impl Rows {
    fn folder_rows(&self) -> usize {
        self.folders.div_ceil(self.columns)
    }

    fn folders_height(&self) -> f32 {
        self.folder_rows() as f32 * (HEIGHTS[0] + GAP)
    }

    fn height(&self) -> f32 {
        self.folders_height() + (self.all - self.folders).div_ceil(self.columns) as f32 * (HEIGHTS[1] + GAP)
    }

    /// The rectangle of a tile, from the top left of the list.
    fn tile(&self, at: usize) -> Rect {
        let (inner, top, height) = if at < self.folders {
            (at, 0.0, HEIGHTS[0])
        } else {
            (at - self.folders, self.folders_height(), HEIGHTS[1])
        };
        let (row, column) = (inner / self.columns, inner % self.columns);
        let corner = pos2(column as f32 * (self.width + GAP), top + row as f32 * (height + GAP));
        Rect::from_min_size(corner, vec2(self.width, height))
    }
}

/// The tile that a key goes to.
pub(super) fn step(at: usize, key: Key, all: usize, folders: usize, columns: usize) -> usize {
    let columns = columns.max(1);
    let last = all.saturating_sub(1);
    // Files begin a row of their own, so that the row of a tile is counted from the first folder or from the first file.
    let column = if at < folders { at % columns } else { (at - folders) % columns };
    match key {
        Key::ArrowLeft => at.saturating_sub(1),
        Key::ArrowRight => (at + 1).min(last),
        Key::Home => 0,
        Key::End => last,
        Key::ArrowDown if at < folders && at + columns >= folders => {
            let last_row = at / columns == folders.saturating_sub(1) / columns;
            if last_row && folders < all { (folders + column).min(last) } else { (at + columns).min(folders - 1) }
        }
        Key::ArrowDown => {
            if at + columns <= last {
                at + columns
            } else {
                last.max(at)
            }
        }
        Key::ArrowUp if at >= folders && at - folders < columns && folders > 0 => {
            let row = (folders - 1) / columns * columns;
            (row + column).min(folders - 1)
        }
        Key::ArrowUp if at < folders => {
            if at >= columns {
                at - columns
            } else {
                at
            }
        }
        Key::ArrowUp if at - folders >= columns => at - columns,
        _ => at,
    }
}

/// The list; the entry that was pressed twice.
pub(super) fn list(
    browser: &mut BrowserState,
    panels: &mut PanelState,
    ui: &mut Ui,
    purpose: &Purpose,
) -> Option<PathBuf> {
    let shown = browser.shown(purpose);
    let ground = ui.max_rect();
    ui.painter().rect_filled(ground, CornerRadius::same(theme::CORNER), theme::FIELD);
    let inner = ground.shrink(GAP);
    if shown.is_empty() {
        let words = match () {
            () if browser.view.reads() => wording::READING_FOLDER.to_owned(),
            () if browser.view.fault().is_some() => wording::sentence_start(browser.view.fault().unwrap_or_default()),
            () if browser.all => wording::NOTHING_HERE.to_owned(),
            () => wording::NOTHING_OF_KIND.to_owned(),
        };
        let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(inner.shrink(8.0)));
        widgets::quiet(&mut inside, words);
        if let Some(folder) = missing(browser, purpose)
            && widgets::pill(&mut inside, &wording::make_missing(&folder), widgets::Pill::Second).clicked()
            && let Some(made) = browser.make(&folder)
        {
            browser.go(&made);
        }
        return None;
    }
    let room = inner.width() - 8.0;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "as many columns as fit into a window; the cast saturates at 0"
    )]
    let columns = (((room + GAP) / (WIDTH + GAP)).floor() as usize).max(1);
    let width = (room - (columns - 1) as f32 * GAP) / columns as f32;
    let folders = shown.iter().filter(|e| e.form == Form::Folder).count();
    let rows = Rows { columns, width, folders, all: shown.len() };
    browser.columns = columns;
    let mut opened = None;
    let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(inner).id_salt("tiles"));
    let area = egui::ScrollArea::vertical().auto_shrink(false).id_salt(browser.view.folder());
    area.show_viewport(&mut inside, |ui, seen| {
        let (whole, _) = ui.allocate_exact_size(vec2(room, rows.height()), Sense::hover());
        for (at, entry) in shown.iter().enumerate() {
            let place = rows.tile(at);
            let rect = place.translate(whole.min.to_vec2());
            let chosen = browser.chosen.as_ref() == Some(&entry.path);
            if chosen && std::mem::take(&mut browser.reveal) {
                ui.scroll_to_rect(rect.expand(GAP), None);
            }
            if !seen.expand(GAP).intersects(place) {
                continue;
            }
            // Focus stays with the list: arrow keys walk over it, and Tab leaves it for the buttons.
            let response = ui.interact(rect, ui.scope_id().with(&entry.path), Sense::CLICK);
            let name = if entry.form == Form::Folder { wording::folder_named(&entry.name) } else { entry.name.clone() };
            response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, &name));
            tile(panels, ui, rect, entry, chosen, response.hovered());
            if response.clicked() {
                browser.choose(entry);
                browser.reveal = false;
                ui.memory_mut(|m| {
                    if let Some(id) = m.focused() {
                        m.surrender_focus(id)
                    }
                });
            }
            if response.double_clicked() {
                opened = Some(entry.path.clone());
            }
            if widgets::text_width(ui, &entry.name) > rect.width() - 16.0 {
                response.on_hover_text(&entry.name);
            }
        }
    });
    opened
}

/// The folder that is looked at, if it is not there and something is to be written into it.
fn missing(browser: &BrowserState, purpose: &Purpose) -> Option<PathBuf> {
    let folder = browser.view.folder();
    let gone = browser.view.fault().is_some() && !stint_model::disk::is_taken(folder);
    (gone && purpose.writes()).then(|| folder.to_owned())
}

fn tile(panels: &mut PanelState, ui: &Ui, rect: Rect, entry: &Listed, chosen: bool, hovered: bool) {
    let ground = match (chosen, hovered) {
        (true, _) => theme::ROW_CHOSEN,
        (false, true) => theme::ROW_HOVERED,
        (false, false) => theme::CARD,
    };
    let painter = ui.painter();
    painter.rect_filled(rect, CornerRadius::same(theme::CORNER), ground);
    if chosen {
        painter.rect_stroke(
            rect,
            CornerRadius::same(theme::CORNER),
            Stroke::new(2.0, theme::STRONG),
            StrokeKind::Inside,
        );
    }
    let colour = if chosen { theme::BRIGHT } else { theme::STRONG };
    let font = theme::font(theme::SMALL, Weight::Medium);
    if entry.form == Form::Folder {
        let left = rect.left_center() + vec2(10.0, 0.0);
        folder_sign(ui, Rect::from_center_size(left + vec2(8.0, 0.0), vec2(16.0, 12.0)));
        let room = Rect::from_min_max(pos2(left.x + 24.0, rect.top()), rect.max - vec2(8.0, 0.0));
        widgets::clipped(ui, room, &entry.name, font, colour);
        return;
    }
    let picture = Rect::from_min_size(rect.min, vec2(rect.width(), PICTURE)).shrink(6.0);
    if matches!(entry.form, Form::Picture | Form::Study) {
        match panels.pictures.get(&entry.path) {
            Some(Some(shown)) => {
                let size = shown.texture.size_vec2();
                let fitted = size * (picture.size() / size).min_elem();
                let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                let at = Rect::from_center_size(picture.center(), fitted);
                painter.image(shown.texture.id(), at, whole, Color32::WHITE);
            }
            Some(None) => {
                widgets::line(ui, picture.center(), Align2::CENTER_CENTER, wording::NO_PICTURE, theme::TEXT);
            }
            None => {
                painter.rect_filled(picture, 0.0, theme::ROW);
            }
        }
    } else {
        let ending = entry.path.extension().unwrap_or_default().to_string_lossy().to_lowercase();
        widgets::line(ui, picture.center(), Align2::CENTER_CENTER, &ending, theme::TEXT);
    }
    let room = Rect::from_min_max(pos2(rect.left() + 8.0, rect.top() + PICTURE), rect.max - Vec2::new(8.0, 4.0));
    widgets::clipped(ui, room, &entry.name, font, colour);
}

/// A small drawing of a folder; its name stands beside it.
fn folder_sign(ui: &Ui, rect: Rect) {
    let painter = ui.painter();
    let tab = Rect::from_min_size(rect.min, vec2(rect.width() * 0.45, 4.0));
    painter.rect_filled(tab, CornerRadius::same(1), theme::QUIET);
    let body = Rect::from_min_max(rect.min + vec2(0.0, 2.0), rect.max);
    painter.rect_filled(body, CornerRadius::same(2), theme::QUIET);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_walk_over_folders_and_files() {
        // Five folders and seven files, three beside each other:
        //  0  1  2      5  6  7
        //  3  4         8  9 10
        //              11
        let go = |at, key| step(at, key, 12, 5, 3);
        for (at, key, to) in [
            (0, Key::ArrowRight, 1),
            (4, Key::ArrowRight, 5),
            (5, Key::ArrowLeft, 4),
            (0, Key::ArrowDown, 3),
            (2, Key::ArrowDown, 4),
            (3, Key::ArrowDown, 5),
            (4, Key::ArrowDown, 6),
            (5, Key::ArrowUp, 3),
            (7, Key::ArrowUp, 4),
            (8, Key::ArrowUp, 5),
            (3, Key::ArrowUp, 0),
            (1, Key::ArrowUp, 1),
            (10, Key::ArrowDown, 11),
            (11, Key::ArrowDown, 11),
            (4, Key::Home, 0),
            (4, Key::End, 11),
        ] {
            assert_eq!(go(at, key), to, "{at} {key:?}");
        }
        // Folders alone, files alone, one thing alone.
        assert_eq!(step(2, Key::ArrowDown, 5, 5, 3), 4);
        assert_eq!(step(1, Key::ArrowUp, 5, 0, 3), 1);
        assert_eq!(step(0, Key::ArrowDown, 1, 1, 3), 0);
    }
}
