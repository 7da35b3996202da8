//! Fingers on a touch screen: one paints until a pen was seen, and moves the canvas from then on; two move, zoom and turn it at once.

use crate::ui::canvas_view::transform::View;

/// A finger goes this far, logical points, before it moves the canvas by itself: a hand that comes to rest does not. Common practice,
/// no published source.
const REST_POINTS: f64 = 12.0;
/// A single finger that touches so soon after a pen was near is the hand that holds it, milliseconds. Common practice, no published
/// source.
const PEN_NEAR_MS: f64 = 500.0;

/// The fingers that are down, in the order in which they came.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Fingers {
    down: Vec<(u64, [f64; 2])>,
    /// Fingers that touched something else than the canvas: they are none of its business until they lift.
    elsewhere: Vec<u64>,
    /// Two were down at some time since the first touched: none of them paints any more.
    moving: bool,
    /// When a pen was last there, milliseconds; none until one was seen.
    pen_ms: Option<f64>,
    alone: Alone,
}

/// What the only finger that is down does once a pen was seen.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
enum Alone {
    /// Nothing: it holds a pen.
    #[default]
    Rests,
    /// It has not gone far from where it touched, window pixels.
    From([f64; 2]),
    /// It moves the canvas.
    Slides,
}

impl Fingers {
    /// Whether the canvas is being moved.
    pub fn moving(&self) -> bool {
        self.moving
    }

    /// Whether this is the finger that paints: the only one, where there is no pen.
    pub fn paints(&self, id: u64) -> bool {
        self.pen_ms.is_none() && !self.moving && self.down.len() == 1 && self.down[0].0 == id
    }

    /// A pen is near. Whether a finger was painting, which was not meant.
    pub fn pen_near(&mut self, time_ms: Option<f64>) -> bool {
        let painting = self.down.first().is_some_and(|(id, _)| self.paints(*id));
        self.pen_ms = Some(time_ms.unwrap_or(0.0));
        painting
    }

    /// What touches now is a hand that rests, until it lifts.
    pub fn rest(&mut self) {
        self.elsewhere.extend(self.down.drain(..).map(|(id, _)| id));
        self.moving = false;
    }

    /// Whether no finger is down.
    pub fn is_empty(&self) -> bool {
        self.down.is_empty()
    }

    /// Whether a finger belongs to the canvas. Where it touches first decides; `on_canvas` says that of where it is now.
    pub fn is_ours(&mut self, id: u64, on_canvas: bool) -> bool {
        if self.down.iter().any(|(i, _)| *i == id) {
            return true;
        }
        if !on_canvas && !self.elsewhere.contains(&id) {
            self.elsewhere.push(id);
        }
        !self.elsewhere.contains(&id)
    }

    /// A finger of ours touched or moved. Two of them move the view, and a single one does where there is a pen to paint with.
    pub fn at(&mut self, id: u64, at: [f64; 2], time_ms: Option<f64>, points: f64, view: &mut View) {
        if self.down.is_empty() {
            let near = |pen: f64| time_ms.is_some_and(|now| now - pen < PEN_NEAR_MS);
            self.alone = if self.pen_ms.is_some_and(near) { Alone::Rests } else { Alone::From(at) };
        } else if self.pen_ms.is_some()
            && !self.moving
            && let [(only, last)] = self.down[..]
            && only == id
        {
            match self.alone {
                Alone::Rests => {}
                Alone::From(from) => {
                    if (at[0] - from[0]).hypot(at[1] - from[1]) > REST_POINTS * points {
                        self.alone = Alone::Slides;
                    }
                }
                Alone::Slides => view.pan([at[0] - last[0], at[1] - last[1]]),
            }
        }
        let before = match self.down.as_slice() {
            [(_, a), (_, b), ..] => Some((*a, *b)),
            _ => None,
        };
        match self.down.iter_mut().find(|(i, _)| *i == id) {
            Some((_, place)) => *place = at,
            None => self.down.push((id, at)),
        }
        self.moving |= self.down.len() > 1;
        if let (Some((a, b)), [(_, c), (_, d), ..]) = (before, self.down.as_slice()) {
            let middle = |p: [f64; 2], q: [f64; 2]| [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0];
            let arm = |p: [f64; 2], q: [f64; 2]| [q[0] - p[0], q[1] - p[1]];
            let (from, to) = (middle(a, b), middle(*c, *d));
            let (old, new) = (arm(a, b), arm(*c, *d));
            let length = |v: [f64; 2]| v[0].hypot(v[1]).max(1.0);
            view.pan([to[0] - from[0], to[1] - from[1]]);
            view.zoom_at(to, length(new) / length(old));
            view.turn_at(to, new[1].atan2(new[0]) - old[1].atan2(old[0]));
        }
    }

    /// A finger lifted.
    pub fn lifted(&mut self, id: u64) {
        self.down.retain(|(i, _)| *i != id);
        self.elsewhere.retain(|i| *i != id);
        self.moving &= !self.down.is_empty();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ui::canvas_view::transform::Area;

    #[test]
    fn what_lies_under_both_fingers_stays_under_them() {
        let mut view = View::default();
        view.set_area(Area { left: 0.0, top: 0.0, width: 800.0, height: 600.0 }, 1.0);
        view.fit([1000, 800]);
        let mut fingers = Fingers::default();
        let (a, b) = ([200.0, 200.0], [400.0, 260.0]);
        let mut at = |fingers: &mut Fingers, id, place| fingers.at(id, place, None, 1.0, &mut view);
        at(&mut fingers, 1, a);
        assert!(fingers.paints(1));
        at(&mut fingers, 2, b);
        assert!(!fingers.paints(1) && fingers.moving());
        let (under_a, under_b) = (view.canvas_from_window(a), view.canvas_from_window(b));
        fingers.at(1, [180.0, 330.0], None, 1.0, &mut view);
        fingers.at(2, [520.0, 200.0], None, 1.0, &mut view);
        for (canvas, window) in [(under_a, [180.0, 330.0]), (under_b, [520.0, 200.0])] {
            let seen = view.window_from_canvas(canvas);
            assert!((seen[0] - window[0]).hypot(seen[1] - window[1]) < 1e-6, "{seen:?} {window:?}");
        }
        fingers.lifted(2);
        assert!(!fingers.paints(1), "the finger that is left does not begin to paint");
        fingers.lifted(1);
        assert!(fingers.is_empty() && !fingers.moving());
    }
}
