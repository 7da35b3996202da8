//! What the pointer and the arrow keys do to what is being moved: its box has handles at corners and sides, and one to turn it by.

use crate::study::session::Moving;
use crate::ui::canvas_view::transform::View;
use stint_render::canvas::{Placement, SCALES};

/// How near the pointer must come to a handle, logical points.
const NEAR_POINTS: f64 = 12.0;
/// How far the handle that turns stands off the box, logical points.
const OFF_POINTS: f64 = 28.0;
/// With Shift turns go by this, degrees.
const TURN_STEP_DEGREES: f64 = 15.0;

/// What was taken hold of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Grip {
    /// The inside: it is shifted.
    Inside,
    /// A corner, counted clockwise from the top left: it is scaled as a whole, the opposite corner stays.
    Corner(usize),
    /// A side, counted clockwise from the top: it is made wider or higher, the opposite side stays.
    Side(usize),
    /// The handle that turns, or any place outside.
    Turn,
}

/// A drag of something that is being moved.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Placing {
    grip: Grip,
    /// Where it was taken hold of, canvas pixels.
    from: [f64; 2],
    /// As it was then.
    start: Moving,
}

/// The box of what is being moved on the screen, window pixels.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Handles {
    /// Clockwise from the top left of the box.
    pub corners: [[f64; 2]; 4],
    /// Middles of the sides, clockwise from the top.
    pub sides: [[f64; 2]; 4],
    /// The handle that turns.
    pub turn: [f64; 2],
}

fn middle(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])]
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// Corners of the box before it was moved, clockwise from the top left.
fn corners(moving: &Moving) -> [[f64; 2]; 4] {
    let [left, top, right, bottom] = moving.bounds;
    [[left, top], [right, top], [right, bottom], [left, bottom]]
}

impl Handles {
    /// Where they are; `points` is window pixels per logical point.
    pub fn of(moving: &Moving, view: &View, points: f64) -> Self {
        let place = |corner| view.window_from_canvas(moving.placement.placed(moving.pivot, corner));
        let corners = corners(moving).map(place);
        let sides = [0, 1, 2, 3].map(|i| middle(corners[i], corners[(i + 1) % 4]));
        // Away from the side across; of a flat box, up.
        let long = apart(sides[0], sides[2]);
        let away = if long > 1e-6 { [0, 1].map(|k| (sides[0][k] - sides[2][k]) / long) } else { [0.0, -1.0] };
        let turn = [0, 1].map(|k| sides[0][k] + away[k] * OFF_POINTS * points);
        Handles { corners, sides, turn }
    }

    /// What a place in the window takes hold of.
    pub fn grip(&self, at: [f64; 2], points: f64) -> Grip {
        let all = self.corners.iter().enumerate().map(|(i, p)| (Grip::Corner(i), *p));
        let all = all.chain([(Grip::Turn, self.turn)]);
        let all = all.chain(self.sides.iter().enumerate().map(|(i, p)| (Grip::Side(i), *p)));
        let nearest = all.map(|(grip, p)| (grip, apart(p, at))).min_by(|a, b| a.1.total_cmp(&b.1));
        match nearest {
            Some((grip, far)) if far <= NEAR_POINTS * points => grip,
            _ if self.holds(at) => Grip::Inside,
            _ => Grip::Turn,
        }
    }

    /// Whether a place lies in the box, which is convex.
    fn holds(&self, at: [f64; 2]) -> bool {
        let side = |i: usize| {
            let (a, b) = (self.corners[i], self.corners[(i + 1) % 4]);
            (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])
        };
        (0..4).all(|i| side(i) >= 0.0) || (0..4).all(|i| side(i) <= 0.0)
    }
}

impl Placing {
    /// Takes hold of something at a place of the canvas.
    pub fn begin(moving: Moving, grip: Grip, from: [f64; 2]) -> Self {
        Placing { grip, from, start: moving }
    }

    /// What was taken hold of.
    pub fn grip(&self) -> Grip {
        self.grip
    }

    /// As it was when it was taken hold of.
    pub fn start(&self) -> &Moving {
        &self.start
    }

    /// Where it comes when the pointer is at a place of the canvas. `stepped` turns by whole steps.
    #[expect(clippy::cast_possible_truncation, reason = "a placement in single precision")]
    pub fn placement(&self, at: [f64; 2], stepped: bool) -> Placement {
        let was = self.start.placement;
        match self.grip {
            Grip::Inside => {
                let by = [0, 1].map(|k| was.by[k] + (at[k] - self.from[k]).round() as f32);
                Placement { by, ..was }
            }
            Grip::Corner(corner) => self.scaled(at, corner, (corner + 2) % 4, [true, true]),
            // The side's first corner, and the one after the side across begins, lie on opposite sides.
            Grip::Side(side) => self.scaled(at, side, (side + 2) % 4, [side % 2 == 1, side % 2 == 0]),
            Grip::Turn => {
                let pivot = was.placed(self.start.pivot, self.start.pivot);
                let angle = |p: [f64; 2]| (p[1] - pivot[1]).atan2(p[0] - pivot[0]).to_degrees();
                let turn = f64::from(was.turn) + angle(at) - angle(self.from);
                let turn = if stepped { (turn / TURN_STEP_DEGREES).round() * TURN_STEP_DEGREES } else { turn };
                let turn = (turn + 180.0).rem_euclid(360.0) - 180.0;
                Placement { turn: turn as f32, ..was }
            }
        }
    }

    /// Scaled so that what was taken hold of follows the pointer while the corner `stays`; along both axes alike, or along one.
    #[expect(clippy::cast_possible_truncation, reason = "a placement in single precision")]
    fn scaled(&self, at: [f64; 2], held: usize, stays: usize, axes: [bool; 2]) -> Placement {
        let (was, pivot) = (self.start.placement, self.start.pivot);
        let corners = corners(&self.start);
        let fixed = was.placed(pivot, corners[stays]);
        // How far the pointer went, along the box as it is turned.
        let straight = Placement { turn: -was.turn, ..Placement::default() };
        let went = straight.placed([0.0, 0.0], [at[0] - self.from[0], at[1] - self.from[1]]);
        let size = [0, 1].map(|k| (corners[held][k] - corners[stays][k]) * f64::from(was.scale[k]));
        let mut grows = [1.0, 1.0];
        match axes {
            [true, true] => {
                let along = (went[0] * size[0] + went[1] * size[1]) / (size[0] * size[0] + size[1] * size[1]).max(1e-9);
                grows = [1.0 + along; 2];
            }
            _ => {
                for k in (0..2).filter(|k| axes[*k] && size[*k] != 0.0) {
                    grows[k] = 1.0 + went[k] / size[k];
                }
            }
        }
        // Both are held where one of them comes to its end.
        let (low, high) = (f64::from(*SCALES.start()), f64::from(*SCALES.end()));
        for k in 0..2 {
            let scale = f64::from(was.scale[k]);
            let held = (scale * grows[k]).clamp(low, high) / scale;
            if axes == [true, true] && held != grows[k] {
                grows = [held; 2];
            }
            grows[k] = held;
        }
        let scale = [0, 1].map(|k| (f64::from(was.scale[k]) * grows[k]).clamp(low, high) as f32);
        let now = Placement { scale, ..was };
        let moved = now.placed(pivot, corners[stays]);
        let by = [0, 1].map(|k| (f64::from(was.by[k]) + fixed[k] - moved[k]) as f32);
        Placement { by, ..now }
    }
}

/// Shifted by one pixel of the canvas towards a side of the screen: along the axis of the canvas that points there most.
pub fn nudged(placement: &Placement, view: &View, towards: [f64; 2]) -> Placement {
    let (from, to) = (view.canvas_from_window([0.0, 0.0]), view.canvas_from_window(towards));
    let way = [to[0] - from[0], to[1] - from[1]];
    let axis = usize::from(way[1].abs() > way[0].abs());
    let mut by = placement.by;
    by[axis] += if way[axis] < 0.0 { -1.0 } else { 1.0 };
    Placement { by, ..*placement }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moving(placement: Placement) -> Moving {
        Moving { bounds: [100.0, 50.0, 200.0, 90.0], pivot: [150.0, 70.0], placement }
    }

    fn corner(placement: &Placement, i: usize) -> [f64; 2] {
        placement.placed([150.0, 70.0], corners(&moving(*placement))[i])
    }

    fn near(a: [f64; 2], b: [f64; 2]) -> bool {
        apart(a, b) < 1e-3
    }

    /// Whatever its turn: the held corner follows the pointer, the opposite one stays.
    #[test]
    fn a_corner_scales_about_the_one_across() {
        for turn in [0.0, 30.0, -120.0] {
            let start = Placement { turn, by: [7.0, -3.0], ..Placement::default() };
            let held = corner(&start, 2);
            let fixed = corner(&start, 0);
            let to = [0, 1].map(|k| fixed[k] + 1.5 * (held[k] - fixed[k]));
            let now = Placing::begin(moving(start), Grip::Corner(2), held).placement(to, false);
            assert!((now.scale[0] - 1.5).abs() < 1e-4 && now.scale[0] == now.scale[1], "{now:?}");
            assert!(near(corner(&now, 0), fixed) && near(corner(&now, 2), to), "{turn}: {now:?}");
        }
    }

    #[test]
    fn a_side_scales_one_axis_and_the_side_across_stays() {
        let start = Placement { turn: 90.0, ..Placement::default() };
        let placing = Placing::begin(moving(start), Grip::Side(1), [0.0, 0.0]);
        // The right side points down after a quarter turn; by hand: 100 px and 50 more is 1.5 times as wide.
        let now = placing.placement([0.0, 50.0], false);
        assert!((now.scale[0] - 1.5).abs() < 1e-4 && now.scale[1] == 1.0, "{now:?}");
        assert!(near(corner(&now, 0), corner(&start, 0)) && near(corner(&now, 3), corner(&start, 3)));
    }

    #[test]
    fn scales_end_where_they_must() {
        let placing = Placing::begin(moving(Placement::default()), Grip::Corner(2), [200.0, 90.0]);
        let now = placing.placement([-900.0, -900.0], false);
        assert_eq!(now.scale, [0.05, 0.05]);
        assert_eq!(now.check(), Ok(()));
    }

    #[test]
    fn the_inside_goes_by_whole_pixels_and_outside_it_turns() {
        let placing = Placing::begin(moving(Placement::default()), Grip::Inside, [120.2, 60.4]);
        assert_eq!(placing.placement([131.0, 58.0], false).by, [11.0, -2.0]);
        let placing = Placing::begin(moving(Placement::default()), Grip::Turn, [250.0, 70.0]);
        let turned = placing.placement([150.0, 180.0], false).turn;
        assert!((turned - 90.0).abs() < 1e-4, "{turned}");
        let stepped = placing.placement([250.0, 70.0 + 50.0], true).turn;
        assert!((stepped - 30.0).abs() < 1e-4, "{stepped}");
    }

    #[test]
    fn places_take_hold_of_what_is_there() {
        let mut view = View::default();
        view.set_area(
            crate::ui::canvas_view::transform::Area { left: 0.0, top: 0.0, width: 400.0, height: 300.0 },
            1.0,
        );
        view.fit([400, 300]);
        view.actual_size();
        let moving = moving(Placement::default());
        let handles = Handles::of(&moving, &view, 1.0);
        let at = |x: f64, y: f64| handles.grip(view.window_from_canvas([x, y]), 1.0);
        assert_eq!((at(101.0, 52.0), at(203.0, 92.0)), (Grip::Corner(0), Grip::Corner(2)));
        assert_eq!((at(150.0, 52.0), at(199.0, 70.0)), (Grip::Side(0), Grip::Side(1)));
        assert_eq!((at(150.0, 22.0), at(120.0, 70.0), at(300.0, 200.0)), (Grip::Turn, Grip::Inside, Grip::Turn));
        assert_eq!(nudged(&moving.placement, &view, [-1.0, 0.0]).by, [-1.0, 0.0]);
        view.turn_at(view.area.middle(), std::f64::consts::FRAC_PI_2);
        // Turned a quarter to the right, what is up on the screen is left on the canvas.
        assert_eq!(nudged(&moving.placement, &view, [0.0, -1.0]).by, [-1.0, 0.0]);
    }
}
