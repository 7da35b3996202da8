//! What is drawn over the photo: the held spot, the loupe's width at the pointer, the outline, dots with their names.

use super::loupe_state::{LoupeState, OutlineMode};
use super::photo_transform::PhotoTransform;
use crate::ui::theme::{self, Weight};
use egui::{Align2, Color32, CornerRadius, Painter, Pos2, Rect, Shape, Stroke, Ui, vec2};

/// Least radius of the mark of the held spot, points.
const HELD: f32 = 5.0;
/// Least radius at which the loupe's width is shown at the pointer, points.
const APERTURE: f32 = 3.0;
/// Size of the names of dots, points.
const NAME: f32 = 12.0;

/// Light on dark, so that a line shows on any photo.
fn strokes() -> [Stroke; 2] {
    [Stroke::new(3.0, theme::ON_LIGHT), Stroke::new(1.5, theme::BRIGHT)]
}

/// The held spot, the outline and the loupe's width.
pub(super) fn marks(loupe: &LoupeState, ui: &Ui, transform: &PhotoTransform, pointer: Option<Pos2>) {
    let painter = ui.painter_at(transform.clip);
    let radius = loupe.aperture_px as f32 / 2.0 * transform.scale();
    outline(loupe, &painter, transform, pointer);
    if let Some(at) = loupe.held.filter(|_| loupe.outline.is_empty() || loupe.drawing == OutlineMode::Corners) {
        ring(&painter, transform.middle_of(at), radius.max(HELD));
    }
    if let Some(at) = loupe.under.filter(|_| radius >= APERTURE) {
        for stroke in [Stroke::new(2.5, theme::ON_LIGHT), Stroke::new(1.0, theme::BRIGHT)] {
            painter.circle_stroke(transform.middle_of(at), radius, stroke);
        }
    }
}

fn outline(loupe: &LoupeState, painter: &Painter, transform: &PhotoTransform, pointer: Option<Pos2>) {
    let mut points: Vec<Pos2> = loupe.outline.iter().map(|&at| transform.on_screen(at)).collect();
    let corners = points.clone();
    if loupe.drawing == OutlineMode::Corners {
        points.extend(pointer);
    }
    if points.len() > 1 {
        for stroke in strokes() {
            painter.add(match loupe.drawing {
                OutlineMode::None => Shape::closed_line(points.clone(), stroke),
                OutlineMode::Freehand | OutlineMode::Corners => Shape::line(points.clone(), stroke),
            });
        }
    }
    if loupe.drawing == OutlineMode::Corners {
        for (i, corner) in corners.into_iter().enumerate() {
            let side = if i == 0 { 9.0 } else { 7.0 };
            let square = Rect::from_center_size(corner, vec2(side, side));
            painter.rect_filled(square, CornerRadius::ZERO, theme::ON_LIGHT);
            painter.rect_filled(square.shrink(1.5), CornerRadius::ZERO, theme::BRIGHT);
        }
    }
}

fn ring(painter: &Painter, at: Pos2, radius: f32) {
    for stroke in strokes() {
        painter.circle_stroke(at, radius, stroke);
    }
}

/// A line from dot to dot.
pub(super) fn thread(painter: &Painter, places: &[Pos2]) {
    for stroke in strokes() {
        painter.add(Shape::line(places.to_vec(), stroke));
    }
}

/// A dot of paint where a tone was found; a wider ring says that it has the keyboard.
pub(super) fn dot(painter: &Painter, at: Pos2, radius: f32, colour: Color32, focused: bool) {
    painter.circle_filled(at, radius + 2.0, theme::ON_LIGHT);
    painter.circle_filled(at, radius + 1.0, theme::BRIGHT);
    painter.circle_filled(at, radius - 0.5, colour);
    if focused {
        ring(painter, at, radius + 5.0);
    }
}

/// The name of a dot beside it, where none of `taken` is; it takes that place. False when all places are taken.
pub(super) fn name(painter: &Painter, at: Pos2, gap: f32, words: &str, taken: &mut Vec<Rect>) -> bool {
    let font = theme::font(NAME, Weight::Medium);
    let galley = painter.layout_no_wrap(words.to_owned(), font, theme::STRONG);
    let size = galley.size() + vec2(10.0, 2.0);
    let clip = painter.clip_rect();
    let places = [
        (Align2::LEFT_CENTER, vec2(gap, 0.0)),
        (Align2::RIGHT_CENTER, vec2(-gap, 0.0)),
        (Align2::CENTER_TOP, vec2(0.0, gap)),
        (Align2::CENTER_BOTTOM, vec2(0.0, -gap)),
    ];
    let rects = places.map(|(align, by)| align.anchor_size(at + by, size));
    let free = |r: &&Rect| clip.contains_rect(**r) && !taken.iter().any(|t| t.intersects(**r));
    let Some(&rect) = rects.iter().find(free) else { return false };
    taken.push(rect);
    painter.rect_filled(rect, CornerRadius::same(4), theme::BAR);
    painter.galley(rect.center() - galley.size() / 2.0, galley, theme::STRONG);
    true
}
