//! From the points of a hand to an outline: smooth curves through what was drawn freely, corners where the hand makes corners, straight
//! lines between points that were set one by one.
//!
//! Points that lie close together tremble by a pixel; each is drawn half way to the middle of its neighbours, twice, as far as a hand
//! trembles. Where the way turns sharply within a few points of the screen the hand meant a corner, and the curve ends and begins anew
//! (common practice, no published source). Between corners run centripetal Catmull-Rom curves ([`super::spline`]).

use super::angle::unit;
use super::spline::{Piece, distance};

/// A point of an outline in the making.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct OutlinePoint {
    /// Its place, canvas pixels.
    pub at: [f32; 2],
    /// Whether it was set on purpose: a corner, whatever lies beside it.
    pub is_set: bool,
}

/// How far a hand's way is looked along to both sides of a corner, logical points of the screen.
const LOOK: f32 = 7.0;
/// A corner turns by more than this: the cosine of 52 degrees.
const CORNER_COS: f32 = 0.616;
/// A hand trembles by this much, logical points of the screen.
const TREMBLE: f32 = 0.75;
/// How often a tremble is halved.
const TIMES: usize = 2;
/// The end of an outline that lies this near its beginning, or hardly farther than other points from each other, goes on into it; logical
/// points of the screen.
const CLOSES: f32 = 14.0;
/// Curves are followed to this, canvas pixels.
const TOLERANCE_PX: f32 = 0.04;
/// Lines that a piece of a curve becomes at most.
const MOST_LINES: f32 = 32.0;

/// The closed outline of the points of a hand; `unit_px` is the canvas length of a logical point of the screen.
pub fn drawn_outline(points: &[OutlinePoint], unit_px: f32) -> Vec<[f32; 2]> {
    let mut points: Vec<OutlinePoint> = points.to_vec();
    points.dedup_by(|next, kept| {
        let same = distance(next.at, kept.at) < 0.3 * unit_px;
        kept.is_set |= same && next.is_set;
        same
    });
    if points.len() < 4 || points.iter().all(|point| point.is_set) {
        return points.iter().map(|point| point.at).collect();
    }
    let corners = corners(&points, unit_px);
    let mut places: Vec<[f32; 2]> = points.iter().map(|point| point.at).collect();
    for _ in 0..TIMES {
        places = steadied(&places, &corners, unit_px);
    }
    through(&places, &corners)
}

/// Which points are corners.
fn corners(points: &[OutlinePoint], unit_px: f32) -> Vec<bool> {
    let count = points.len();
    let at = |i: usize| points[i % count].at;
    let mut corners: Vec<bool> = points.iter().map(|point| point.is_set).collect();
    // An end that lies apart from the beginning is joined to it by a straight line.
    let longest = (1..count).map(|i| distance(at(i - 1), at(i))).fold(0.0, f32::max);
    if distance(at(count - 1), at(0)) > (CLOSES * unit_px).max(1.5 * longest) {
        corners[0] = true;
        corners[count - 1] = true;
    }
    // How far the way turns at each point, as the cosine, looked at from some way off on both sides.
    let look = LOOK * unit_px;
    let far = |i: usize, step: usize| {
        let (mut along, mut now) = (0.0, i);
        for _ in 0..count {
            let next = (now + step) % count;
            along += distance(at(now), at(next));
            now = next;
            // Beyond a corner the way is another.
            if along >= look || corners[now] {
                break;
            }
        }
        at(now)
    };
    let turn = |i: usize| {
        let (back, on) = (far(i, count - 1), far(i, 1));
        let here = at(i);
        let came = unit([here[0] - back[0], here[1] - back[1]]);
        let goes = unit([on[0] - here[0], on[1] - here[1]]);
        came.zip(goes).map_or(1.0, |(a, b)| a[0] * b[0] + a[1] * b[1])
    };
    let turns: Vec<f32> = (0..count).map(turn).collect();
    let mut sharpest: Vec<usize> = (0..count).filter(|&i| turns[i] < CORNER_COS).collect();
    sharpest.sort_by(|&a, &b| turns[a].total_cmp(&turns[b]).then(a.cmp(&b)));
    let mut found: Vec<usize> = Vec::new();
    for i in sharpest {
        // One corner for each turn: the sharpest.
        if !corners[i] && found.iter().all(|&other| distance(at(i), at(other)) > look) {
            found.push(i);
        }
    }
    for i in found {
        corners[i] = true;
    }
    corners
}

/// Every point that is no corner half way to the middle of its neighbours, as far as a hand trembles.
fn steadied(places: &[[f32; 2]], corners: &[bool], unit_px: f32) -> Vec<[f32; 2]> {
    let count = places.len();
    let steady = |i: usize| {
        let (here, before, after) = (places[i], places[(i + count - 1) % count], places[(i + 1) % count]);
        let middle = [0, 1].map(|k| f32::midpoint(before[k], after[k]));
        let off = distance(here, middle);
        if corners[i] || off == 0.0 {
            return here;
        }
        let part = (0.5 * off).min(0.5 * TREMBLE * unit_px) / off;
        // Points far apart do not tremble: what bends between them is the way itself.
        let near = (3.0 * unit_px / distance(before, after).max(1e-6)).min(1.0);
        [0, 1].map(|k| here[k] + (middle[k] - here[k]) * part * near)
    };
    (0..count).map(steady).collect()
}

/// Curves through places, which end and begin anew at corners, as lines.
fn through(places: &[[f32; 2]], corners: &[bool]) -> Vec<[f32; 2]> {
    let count = places.len();
    let at = |i: usize| places[i % count];
    let mut outline: Vec<[f32; 2]> = Vec::new();
    for i in 0..count {
        let (from, to) = (i, (i + 1) % count);
        outline.push(at(from));
        if corners[from] && corners[to] {
            continue;
        }
        let before = if corners[from] { at(from) } else { at(i + count - 1) };
        let after = if corners[to] { at(to) } else { at(i + 2) };
        let piece = Piece::new([before, at(from), at(to), after]);
        // How far the middle of the piece lies off its chord: lines get four times as near with twice as many.
        let (middle, chord) = (piece.at(0.5), [0, 1].map(|k| f32::midpoint(at(from)[k], at(to)[k])));
        let lines = (distance(middle, chord) / TOLERANCE_PX).sqrt().ceil().clamp(1.0, MOST_LINES);
        let mut line = 1.0;
        while line < lines {
            outline.push(piece.at(line / lines));
            line += 1.0;
        }
    }
    outline
}

#[cfg(test)]
mod tests {
    use super::*;

    fn free(places: impl IntoIterator<Item = [f32; 2]>) -> Vec<OutlinePoint> {
        places.into_iter().map(|at| OutlinePoint { at, is_set: false }).collect()
    }

    fn circle(count: usize) -> Vec<[f32; 2]> {
        let turn = |i: usize| std::f32::consts::TAU * i as f32 / count as f32;
        (0..count).map(|i| [300.0 + 100.0 * turn(i).cos(), 200.0 + 100.0 * turn(i).sin()]).collect()
    }

    /// The largest turn between two lines of an outline, degrees.
    fn sharpest(outline: &[[f32; 2]]) -> f32 {
        let count = outline.len();
        let way = |i: usize| {
            let (a, b) = (outline[i % count], outline[(i + 1) % count]);
            unit([b[0] - a[0], b[1] - a[1]]).unwrap_or([1.0, 0.0])
        };
        let turn = |i: usize| {
            let (a, b) = (way(i), way(i + 1));
            (a[0] * b[0] + a[1] * b[1]).clamp(-1.0, 1.0).acos().to_degrees()
        };
        (0..count).map(turn).fold(0.0, f32::max)
    }

    /// A quick hand gives few points: of a circle of 16 a chord lies 1.9 px off, the curve within a tenth of a pixel, and no facet shows.
    #[test]
    fn few_points_of_a_circle_make_a_circle() {
        for (count, off) in [(16, 0.12), (40, 0.12), (200, 0.4)] {
            let outline = drawn_outline(&free(circle(count)), 1.0);
            for place in &outline {
                let radius = distance(*place, [300.0, 200.0]);
                assert!((radius - 100.0).abs() < off, "{count}: {radius}");
            }
            assert!(sharpest(&outline) < 8.0, "{count}: {}", sharpest(&outline));
        }
    }

    /// A hand on whole pixels draws steps; what comes of them is smooth and stays where it was.
    #[test]
    fn steps_of_whole_pixels_are_steadied() {
        let steps: Vec<[f32; 2]> = circle(500).into_iter().map(|p| p.map(f32::round)).collect();
        let outline = drawn_outline(&free(steps.clone()), 1.0);
        for place in &outline {
            assert!((distance(*place, [300.0, 200.0]) - 100.0).abs() < 1.2, "{place:?}");
        }
        assert!(sharpest(&outline) < 40.0 && sharpest(&steps) > 44.0, "{} {}", sharpest(&outline), sharpest(&steps));
    }

    /// A square drawn freely, with a trembling hand: four corners, each within a pixel of where it was drawn, and straight sides.
    #[test]
    fn corners_of_the_hand_stay_corners() {
        let side = |from: [f32; 2], to: [f32; 2]| {
            (0..40).map(move |i| {
                let t = i as f32 / 40.0;
                let tremble = if i == 0 { 0.0 } else { 0.4 * ((i * 7 % 5) as f32 / 2.0 - 1.0) };
                [from[0] + (to[0] - from[0]) * t + tremble, from[1] + (to[1] - from[1]) * t - tremble]
            })
        };
        let corners = [[100.0, 100.0], [300.0, 100.0], [300.0, 300.0], [100.0, 300.0]];
        let places: Vec<_> = (0..4).flat_map(|i| side(corners[i], corners[(i + 1) % 4])).collect();
        let points = free(places);
        let found = super::corners(&points, 1.0);
        assert_eq!(found.iter().filter(|corner| **corner).count(), 4);
        let outline = drawn_outline(&points, 1.0);
        for corner in corners {
            assert!(outline.iter().any(|place| distance(*place, corner) < 1.0), "{corner:?}");
        }
        for place in &outline {
            let off = [0, 1].map(|k| (place[k] - 100.0).abs().min((place[k] - 300.0).abs()));
            assert!(off[0].min(off[1]) < 0.6, "{place:?}");
        }
    }

    /// Set one by one they are joined by straight lines; a free piece between them is smooth, and its ends are corners.
    #[test]
    fn set_points_are_corners() {
        let set = |at| OutlinePoint { at, is_set: true };
        let square = [[0.0, 0.0], [90.0, 0.0], [90.0, 90.0], [0.0, 90.0]].map(set);
        assert_eq!(drawn_outline(&square, 1.0), square.map(|point| point.at));
        let mut mixed = vec![set([0.0, 0.0]), set([100.0, 0.0])];
        mixed.extend(free((1..10).map(|i| {
            let angle = std::f32::consts::PI * i as f32 / 10.0;
            [50.0 + 50.0 * angle.cos(), 50.0 * angle.sin()]
        })));
        let outline = drawn_outline(&mixed, 1.0);
        assert_eq!(outline[..2], [[0.0, 0.0], [100.0, 0.0]]);
        assert!(outline[2..].iter().all(|place| (distance(*place, [50.0, 0.0]) - 50.0).abs() < 1.0));
    }

    #[test]
    fn an_end_far_from_the_beginning_is_joined_straight() {
        let half: Vec<[f32; 2]> = circle(40).into_iter().take(21).collect();
        let outline = drawn_outline(&free(half), 1.0);
        assert!(outline.iter().all(|place| place[1] > 199.0), "nothing bulges beyond the straight line");
    }

    #[test]
    fn odd_outlines_are_no_trouble() {
        for points in [free([[5.0, 5.0]; 9]), free([]), free([[0.0, 0.0], [1.0, 1.0], [1.0, 1.0], [0.0, 0.0]])] {
            assert!(drawn_outline(&points, 1.0).iter().flatten().all(|v| v.is_finite()));
        }
    }
}
