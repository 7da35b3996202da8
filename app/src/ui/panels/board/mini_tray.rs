//! A board as a mini tray: a column a family, a dab a swatch.

use crate::ui::theme;
use egui::{Painter, Rect, Shape, pos2, vec2};
use stint_model::board::Board;

/// Distance of two dabs, across and down, points.
const PITCH: egui::Vec2 = vec2(8.0, 6.0);
/// Dabs that a column has room for.
const ROWS: usize = 4;

/// Width that a board takes, points; a board of many families is cut off at `most`.
pub(super) fn width(board: &Board, most: f32) -> f32 {
    let columns: usize = board.families.iter().map(|f| f.swatches.len().div_ceil(ROWS).max(1)).sum();
    (columns as f32 * PITCH.x).min((most / PITCH.x).floor() * PITCH.x)
}

/// Paints a board into a rectangle, from the left, the dabs in the middle of its height.
pub(super) fn paint(painter: &Painter, rect: Rect, board: &Board) {
    let chunks = board.families.iter().flat_map(|f| f.swatches.chunks(ROWS));
    for (column, swatches) in chunks.enumerate() {
        let x = rect.left() + (column as f32 + 0.5) * PITCH.x;
        if x + PITCH.x / 2.0 > rect.right() + 0.5 {
            return;
        }
        let top = rect.center().y - (swatches.len() as f32 - 1.0) * PITCH.y / 2.0;
        for (row, swatch) in swatches.iter().enumerate() {
            let centre = pos2(x, top + row as f32 * PITCH.y);
            painter.add(Shape::ellipse_filled(centre, vec2(3.5, 2.5), theme::paint(swatch.colour)));
        }
    }
}
