//! The outline of a mass or an area in the making: drawn freely while dragging, or corner by corner with clicks.

use crate::study::command::Command;
use crate::ui::state::State;
use crate::ui::tool_kind::OutlineUse;
use stint_render::mask::mass::Edge;
use stint_render::mask::outline::{OutlinePoint, drawn_outline};

/// Corners nearer than this to each other, logical points, count as one when clicked.
const NEAR_POINTS: f64 = 6.0;

/// The outline, in canvas pixels.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Outline {
    corners: Vec<[f64; 2]>,
    /// Of each whether it was set by a click of its own.
    is_set: Vec<bool>,
    /// How many corners there were when the present press began.
    at_press: usize,
    pressed_at: [f64; 2],
    drawing: bool,
}

impl Outline {
    /// Its corners in the order in which they were set, canvas pixels; empty before the first press.
    pub fn corners(&self) -> &[[f64; 2]] {
        &self.corners
    }

    /// The pointer went down.
    pub fn press(&mut self, canvas: [f64; 2]) {
        self.at_press = self.corners.len();
        self.pressed_at = canvas;
        self.drawing = false;
        self.corners.push(canvas);
        self.is_set.push(true);
    }

    /// The pointer moves while down; `unit` is the canvas length of one logical point.
    pub fn drag(&mut self, canvas: [f64; 2], unit: f64) {
        self.drawing |= distance(canvas, self.pressed_at) > NEAR_POINTS * unit;
        if self.drawing && self.corners.last().is_none_or(|&last| distance(last, canvas) >= unit) {
            self.corners.push(canvas);
            self.is_set.push(false);
        }
    }

    /// The pointer went up. Tells whether the outline is closed by that: a free outline is, and a click on its first
    /// corner or a double click closes one made of corners.
    pub fn release(&mut self, unit: f64, double: bool) -> bool {
        if self.drawing {
            self.drawing = false;
            if self.at_press == 0 {
                // Where the pen happened to come down there is no corner.
                self.is_set[..1].fill(false);
            } else if let Some(last) = self.is_set.last_mut() {
                *last = true;
            }
            // Drawn freely from the start: lifting the pointer closes it. A free piece between corners does not.
            return self.at_press == 0;
        }
        let Some((&clicked, before)) = self.corners.split_last() else { return false };
        let on = |other: Option<&[f64; 2]>| other.is_some_and(|&o| distance(o, clicked) <= NEAR_POINTS * unit);
        let (closes, again) = (before.len() >= 3 && on(before.first()), on(before.last()));
        if closes || again {
            self.corner_back();
        }
        (closes || double) && self.corners.len() >= 3
    }

    /// Takes back what the present press added: it was not meant to draw.
    pub fn cancel_press(&mut self) {
        self.corners.truncate(self.at_press);
        self.is_set.truncate(self.at_press);
        self.drawing = false;
    }

    /// Takes the last corner off.
    pub fn corner_back(&mut self) {
        self.corners.pop();
        self.is_set.pop();
    }

    /// Fills the outline with the loaded paint, or protects a side of it, and clears it. Fewer than three corners fill nothing and need no words. A refusal
    /// becomes a notice, and the outline stays: once the painter has mended what was refused, it can be closed again. `unit` is the canvas
    /// length of one logical point.
    pub fn finish(&mut self, state: &mut State, of: OutlineUse, unit: f64) {
        let Outline { corners, is_set, .. } = std::mem::take(self);
        if corners.len() >= 3 {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "places on the canvas in the single precision of masses"
            )]
            let (points, unit) = (corners.iter().map(|c| c.map(|v| v as f32)), unit as f32);
            let points: Vec<_> = points.zip(&is_set).map(|(at, is_set)| OutlinePoint { at, is_set: *is_set }).collect();
            let outline = drawn_outline(&points, unit);
            let command = match of {
                OutlineUse::Mass => {
                    Command::Mass { outline, edge: if state.loose_edge { Edge::Loose } else { Edge::default() } }
                }
                OutlineUse::Protect => Command::Protect { outline, paintable: state.paintable_side() },
            };
            if !state.apply(&command) {
                (self.corners, self.is_set) = (corners, is_set);
            }
        }
    }
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn click(outline: &mut Outline, at: [f64; 2], double: bool) -> bool {
        outline.press(at);
        outline.drag([at[0] + 1.0, at[1]], 1.0);
        outline.release(1.0, double)
    }

    #[test]
    fn a_free_outline_closes_when_the_pointer_lifts() {
        let mut o = Outline::default();
        o.press([0.0, 0.0]);
        for i in 1..40 {
            o.drag([f64::from(i), f64::from(i % 9)], 1.0);
        }
        assert!(o.release(1.0, false));
        assert!(o.corners().len() > 20);
    }

    #[test]
    fn corners_close_on_the_first_or_with_a_double_click() {
        let mut o = Outline::default();
        for at in [[0.0, 0.0], [100.0, 0.0], [100.0, 80.0]] {
            assert!(!click(&mut o, at, false));
        }
        assert_eq!(o.corners().len(), 3);
        let mut on_first = o.clone();
        assert!(click(&mut on_first, [2.0, 1.0], false));
        assert_eq!(on_first.corners().len(), 3, "the closing click is no corner");
        assert!(!click(&mut o, [0.0, 80.0], false));
        assert!(click(&mut o, [1.0, 80.0], true));
        assert_eq!(o.corners().len(), 4);
        o.corner_back();
        assert_eq!(o.corners().len(), 3);
    }

    #[test]
    fn a_double_click_with_too_few_corners_closes_nothing() {
        let mut o = Outline::default();
        assert!(!click(&mut o, [0.0, 0.0], false));
        assert!(!click(&mut o, [0.0, 0.0], true));
        assert_eq!(o.corners().len(), 1);
    }

    #[test]
    fn a_free_piece_between_corners_goes_on() {
        let mut o = Outline::default();
        click(&mut o, [0.0, 0.0], false);
        o.press([50.0, 0.0]);
        for i in 0..30 {
            o.drag([50.0 + f64::from(i), f64::from(i)], 1.0);
        }
        assert!(!o.release(1.0, false));
        assert!(o.corners().len() > 20);
    }
}
