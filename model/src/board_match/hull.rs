//! The convex hull of a few points, and its place nearest to another point.
//!
//! A convex mixture of swatches is a point of the convex hull of their latent points, so "which mixture comes nearest" is
//! this question.
//!
//! The method is that of E. G. Gilbert, D. W. Johnson and S. S. Keerthi, "A fast procedure for computing the distance between
//! complex objects in three-dimensional space", IEEE J. Robotics and Automation 4(2):193-203 (1988) (reference from memory),
//! for a hull and one point: a simplex of at most four corners walks over the hull, each step taking in the corner that lies
//! farthest on the way to the point. The nearest place of a simplex is found by trying all its faces, which cannot cycle and
//! takes flat and repeated points as they come.

/// A point in three dimensions.
pub type Point = [f64; 3];

/// Steps after which the walk ends at the latest; it takes about five.
const MAX_STEPS: usize = 64;
/// A step that brings less than this share of the squared size of the hull is none.
const NO_GAIN: f64 = 1e-11;
/// A face whose squared volume is below this share of that of a cube with its sides is flat: its own faces hold its nearest
/// place.
const FLAT: f64 = 1e-10;

/// Corners that are needed in three dimensions at most.
pub const MOST_CORNERS: usize = 4;

/// Corners of a hull, at most four, with their weights. Weights are 0-1 and sum to 1.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Corners {
    count: usize,
    corners: [(usize, f64); MOST_CORNERS],
}

impl Corners {
    /// At most four corners with their weights.
    pub fn of(parts: impl IntoIterator<Item = (usize, f64)>) -> Self {
        let mut corners = Corners::default();
        for (place, part) in corners.corners.iter_mut().zip(parts) {
            *place = part;
            corners.count += 1;
        }
        corners
    }

    /// Index and weight of each corner that has a part.
    pub fn iter(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.corners[..self.count].iter().copied()
    }

    fn push(&mut self, index: usize) {
        self.corners[self.count] = (index, 0.0);
        self.count += 1;
    }
}

/// The place of a hull nearest to a point.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Nearest {
    /// The place.
    pub place: Point,
    /// How far it is from the point; 0 (but for rounding) inside the hull.
    pub distance: f64,
    /// The corners that make it.
    pub corners: Corners,
}

/// The place of the convex hull of `points` nearest to `target`, or none without points. `start` are the corners where the
/// walk begins: those of a neighbouring target save most of it, and the default is always right.
pub fn nearest(points: &[Point], target: Point, start: Corners) -> Option<Nearest> {
    let mut corners = start;
    if corners.count == 0 || corners.iter().any(|(i, _)| i >= points.len()) {
        corners = Corners::default();
        let closest = (0..points.len()).min_by(|&a, &b| {
            let apart = |i: usize| square(minus(points[i], target));
            apart(a).total_cmp(&apart(b))
        })?;
        corners.push(closest);
    }
    let size_2 = points.iter().map(|p| square(minus(*p, points[0]))).fold(f64::MIN_POSITIVE, f64::max);
    let mut place = [0.0; 3];
    for _ in 0..MAX_STEPS {
        // `place` is relative to the target from here on.
        (corners, place) = nearest_of_simplex(points, target, corners);
        let here = square(place);
        if here <= NO_GAIN * size_2 || corners.count == 4 {
            break;
        }
        let ahead = |i: usize| dot(minus(points[i], target), place);
        let Some((next, least)) = (0..points.len()).map(|i| (i, ahead(i))).min_by(|a, b| a.1.total_cmp(&b.1)) else {
            break;
        };
        if here - least <= NO_GAIN * size_2 || corners.iter().any(|(i, _)| i == next) {
            break;
        }
        corners.push(next);
    }
    let distance = square(place).sqrt();
    Some(Nearest { place: plus(place, target), distance, corners })
}

/// The place of a simplex nearest to the target, relative to it, with the corners that make it.
fn nearest_of_simplex(points: &[Point], target: Point, simplex: Corners) -> (Corners, Point) {
    let n = simplex.count;
    let own: [Point; 4] =
        std::array::from_fn(|i| if i < n { minus(points[simplex.corners[i].0], target) } else { [0.0; 3] });
    let mut best = (f64::INFINITY, Corners::default(), [0.0; 3]);
    for face in 1_u32..1 << n {
        let mut members = [0; 4];
        let mut count = 0;
        for i in (0..n).filter(|i| face >> i & 1 == 1) {
            members[count] = i;
            count += 1;
        }
        let Some(weights) = weights_of_face(members.map(|i| own[i]), count) else { continue };
        let mut place = [0.0; 3];
        for (weight, member) in weights.iter().zip(members).take(count) {
            place = plus(place, own[member].map(|x| x * weight));
        }
        let apart = square(place);
        if apart < best.0 {
            let mut corners = Corners { count, ..Corners::default() };
            for k in 0..count {
                corners.corners[k] = (simplex.corners[members[k]].0, weights[k]);
            }
            best = (apart, corners, place);
        }
    }
    (best.1, best.2)
}

/// Weights of the point nearest to the origin in the flat through the first `count` points, or none if it lies beyond the face
/// between them or the face is flat.
fn weights_of_face(points: [Point; 4], count: usize) -> Option<[f64; 4]> {
    let base = points[0];
    let [e, f, g] = [1, 2, 3].map(|i| minus(points[i], base));
    // Normal equations: the edges' inner products times the edge weights are the base's products with the edges, negated.
    let [right_e, right_f, right_g] = [e, f, g].map(|edge| -dot(edge, base));
    let [ee, ff, gg, ef, eg, fg] = [square(e), square(f), square(g), dot(e, f), dot(e, g), dot(f, g)];
    let edges = match count {
        1 => [0.0; 3],
        2 if ee > 0.0 => [right_e / ee, 0.0, 0.0],
        3 => {
            let volume = ee * ff - ef * ef;
            if volume <= FLAT * ee * ff {
                return None;
            }
            [(right_e * ff - right_f * ef) / volume, (right_f * ee - right_e * ef) / volume, 0.0]
        }
        4 => {
            let minors = [ff * gg - fg * fg, fg * eg - ef * gg, ef * fg - ff * eg];
            let volume = ee * minors[0] + ef * minors[1] + eg * minors[2];
            if volume <= FLAT * ee * ff * gg {
                return None;
            }
            [
                (right_e * minors[0] + right_f * minors[1] + right_g * minors[2]) / volume,
                (right_e * minors[1] + right_f * (ee * gg - eg * eg) + right_g * (ef * eg - ee * fg)) / volume,
                (right_e * minors[2] + right_f * (ef * eg - ee * fg) + right_g * (ee * ff - ef * ef)) / volume,
            ]
        }
        _ => return None,
    };
    let weights = [1.0 - edges[0] - edges[1] - edges[2], edges[0], edges[1], edges[2]];
    weights.iter().take(count).all(|w| *w >= 0.0).then_some(weights)
}

fn minus(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn plus(a: Point, b: Point) -> Point {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn square(a: Point) -> f64 {
    dot(a, a)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::random::SplitMix64;

    fn near(points: &[Point], target: Point) -> Nearest {
        nearest(points, target, Corners::default()).unwrap()
    }

    #[test]
    fn hand_worked_places_of_a_cube() {
        let cube: Vec<Point> = (0..8).map(|i| [f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2)]).collect();
        let cases = [
            ([0.5, 0.25, 0.75], [0.5, 0.25, 0.75], 0.0),
            ([2.0, 0.5, 0.5], [1.0, 0.5, 0.5], 1.0),
            ([2.0, 2.0, 0.3], [1.0, 1.0, 0.3], 2.0_f64.sqrt()),
            ([-1.0, -1.0, -1.0], [0.0; 3], 3.0_f64.sqrt()),
            ([1.0, 1.0, 1.0], [1.0; 3], 0.0),
        ];
        for (target, place, distance) in cases {
            let found = near(&cube, target);
            assert!((found.distance - distance).abs() < 1e-6, "{target:?}: {found:?}");
            assert!(square(minus(found.place, place)).sqrt() < 1e-6, "{target:?}: {found:?}");
        }
    }

    #[test]
    fn flat_repeated_and_single_points() {
        assert_eq!(nearest(&[], [0.0; 3], Corners::default()), None);
        assert_eq!(near(&[[1.0, 2.0, 3.0]], [1.0, 2.0, 0.0]).distance, 3.0);
        let repeated = vec![[0.2, 0.2, 0.2]; 9];
        assert!((near(&repeated, [0.2, 0.2, 1.2]).distance - 1.0).abs() < 1e-12);
        let line: Vec<Point> = (0..10).map(|i| [f64::from(i) / 9.0, 0.0, 0.0]).collect();
        assert!((near(&line, [0.37, 0.5, 0.0]).distance - 0.5).abs() < 1e-9);
        let plane: Vec<Point> = (0..16).map(|i| [f64::from(i % 4), f64::from(i / 4), 0.0]).collect();
        assert!((near(&plane, [1.3, 1.7, 0.25]).distance - 0.25).abs() < 1e-9);
        // Almost on a line, almost repeated.
        let thin: Vec<Point> =
            (0..12).map(|i| [f64::from(i), 1e-9 * f64::from(i % 3), 1e-12 * f64::from(i % 5)]).collect();
        assert!((near(&thin, [5.5, 2.0, 0.0]).distance - 2.0).abs() < 1e-7);
    }

    /// Every point's nearest place must satisfy the condition that makes it the nearest one: no corner of the hull lies ahead
    /// of it on the way to the target (the variational inequality of a projection onto a convex set).
    #[test]
    fn random_hulls_keep_the_condition_of_a_projection_from_any_start() {
        let mut random = SplitMix64(11);
        let mut next = || random.fraction();
        for round in 0..400 {
            let points: Vec<Point> = (0..1 + round % 30).map(|_| [next(), next() * 0.3, next() * 0.05]).collect();
            let target = [next() * 2.0 - 0.5, next() * 0.9 - 0.3, next() * 0.4 - 0.2];
            let found = near(&points, target);
            for point in &points {
                assert!(dot(minus(target, found.place), minus(*point, found.place)) < 1e-8, "{points:?} {target:?}");
            }
            let mut made = [0.0; 3];
            let mut total = 0.0;
            for (i, weight) in found.corners.iter() {
                made = plus(made, points[i].map(|x| x * weight));
                total += weight;
            }
            assert!(square(minus(made, found.place)) < 1e-16 && (total - 1.0).abs() < 1e-12);
            let other = near(&points, [next(), next(), next()]).corners;
            let again = nearest(&points, target, other).unwrap();
            assert!((again.distance - found.distance).abs() < 1e-5, "{found:?} {again:?}");
        }
    }
}
