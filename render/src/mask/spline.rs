//! Centripetal Catmull-Rom curves: Yuksel, Schaefer, Keyser, "Parameterization and applications of Catmull-Rom curves", 2011. They go
//! through their points and make no loop or cusp within a piece.

/// The piece from `b` to `c` of a curve through four points.
#[derive(Clone, Copy, Debug)]
pub struct Piece {
    from: [f32; 2],
    to: [f32; 2],
    /// Tangents for a parameter of 0-1 along the piece.
    tangents: [[f32; 2]; 2],
}

impl Piece {
    /// Of four points; where `a` is `b`, or `d` is `c`, the curve begins or ends there.
    pub fn new([a, b, c, d]: [[f32; 2]; 4]) -> Self {
        let (before, along, after) = (knot(a, b), knot(b, c), knot(c, d));
        let tangent = |axis: usize| {
            let slope = |from: [f32; 2], to: [f32; 2], knot: f32| (to[axis] - from[axis]) / knot;
            let middle = slope(b, c, along);
            let at = |outer: f32, skip: [[f32; 2]; 2], length: f32| {
                if length > 0.0 { outer - (skip[1][axis] - skip[0][axis]) / (length + along) + middle } else { middle }
            };
            let start = if before > 0.0 { at(slope(a, b, before), [a, c], before) } else { middle };
            let end = if after > 0.0 { at(slope(c, d, after), [b, d], after) } else { middle };
            [start * along, end * along]
        };
        let (x, y) = if along > 0.0 { (tangent(0), tangent(1)) } else { ([0.0; 2], [0.0; 2]) };
        Piece { from: b, to: c, tangents: [[x[0], y[0]], [x[1], y[1]]] }
    }

    /// The place at 0-1 along the piece.
    pub fn at(&self, t: f32) -> [f32; 2] {
        let back = 1.0 - t;
        let axis = |i: usize| {
            self.from[i] * (1.0 + 2.0 * t) * back * back
                + self.to[i] * t * t * (3.0 - 2.0 * t)
                + (self.tangents[0][i] * back - self.tangents[1][i] * t) * t * back
        };
        [axis(0), axis(1)]
    }

    /// No less than its length, roughly, pixels.
    pub fn reach_px(&self) -> f32 {
        let third =
            |from: [f32; 2], by: [f32; 2], sign: f32| [from[0] + sign * by[0] / 3.0, from[1] + sign * by[1] / 3.0];
        let (first, second) = (third(self.from, self.tangents[0], 1.0), third(self.to, self.tangents[1], -1.0));
        distance(self.from, first) + distance(first, second) + distance(second, self.to)
    }
}

/// Distance of two points, in steps that every machine rounds alike.
pub fn distance(a: [f32; 2], b: [f32; 2]) -> f32 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    (dx * dx + dy * dy).sqrt()
}

/// The centripetal knot interval: the root of the distance.
fn knot(a: [f32; 2], b: [f32; 2]) -> f32 {
    distance(a, b).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Barry and Goldman's pyramid for knots 0, 1, 3, 4 (distances 1, 4, 1), worked by hand: at the middle, t = 2, of the points
    /// (0, 0), (1, 0), (1, 4), (2, 4) it gives A1 = (2, 0), A2 = (1, 2), A3 = (0, 4), B1 = (2/3 A2 + 1/3 A1) = (4/3, 4/3),
    /// B2 = (2/3 A2 + 1/3 A3) = (2/3, 8/3), C = (1, 2).
    #[test]
    fn points_by_hand() {
        let piece = Piece::new([[0.0, 0.0], [1.0, 0.0], [1.0, 4.0], [2.0, 4.0]]);
        assert_eq!((piece.at(0.0), piece.at(1.0)), ([1.0, 0.0], [1.0, 4.0]));
        assert!(distance(piece.at(0.5), [1.0, 2.0]) < 1e-6, "{:?}", piece.at(0.5));
        // At t = 1.5: A1 = (1.5, 0), A2 = (1, 1), A3 = (-0.5, 4); B1 = A1 / 2 + A2 / 2, B2 = 5/6 A2 + 1/6 A3;
        // C = 3/4 B1 + 1/4 B2.
        let (b1, b2) = ([1.25, 0.5], [(5.0 - 0.5) / 6.0, 1.5]);
        let want = [0.75 * b1[0] + 0.25 * b2[0], 0.75 * b1[1] + 0.25 * b2[1]];
        assert!(distance(piece.at(0.25), want) < 1e-6, "{:?} {want:?}", piece.at(0.25));
    }

    #[test]
    fn ends_and_points_that_fall_together_are_no_trouble() {
        let line = Piece::new([[0.0, 0.0], [0.0, 0.0], [6.0, 8.0], [6.0, 8.0]]);
        assert_eq!(line.at(0.5), [3.0, 4.0]);
        assert!((line.reach_px() - 10.0).abs() < 1e-4);
        let point = Piece::new([[1.0, 1.0]; 4]);
        assert_eq!((point.at(0.3), point.reach_px()), ([1.0, 1.0], 0.0));
    }
}
