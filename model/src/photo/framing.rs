//! Which part of the photo the canvas shows, and how places on the two belong together.

use super::adjustments::PixelRect;
use serde::{Deserialize, Serialize};

/// Least area of the part that is shown, as a fraction of the square of the longest side of its frame: less is a line.
const LEAST_AREA: f64 = 1e-3;

/// The four corners of the canvas as they lie on the photo: top left, top right, bottom right, bottom left, in upright photo pixels.
/// They may lie beyond the photo, where a canvas shows more than it does.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(try_from = "[(f32, f32); 4]", into = "[(f32, f32); 4]")]
pub struct Framing {
    corners_px: [(f32, f32); 4],
}

/// Why four places are no corners of a canvas.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[error(
    "these four corners do not line the canvas up with the photo; give them as top left, top right, bottom right, bottom left, \
     around a part of the photo with no side bent inwards"
)]
pub struct FramingError;

impl TryFrom<[(f32, f32); 4]> for Framing {
    type Error = FramingError;

    fn try_from(corners_px: [(f32, f32); 4]) -> Result<Self, FramingError> {
        Framing::new(corners_px)
    }
}

impl From<Framing> for [(f32, f32); 4] {
    fn from(framing: Framing) -> Self {
        framing.corners_px
    }
}

impl Framing {
    /// All of the photo on all of the canvas.
    pub fn whole(width_px: u32, height_px: u32) -> Self {
        let (right, bottom) = (width_px as f32, height_px as f32);
        Framing { corners_px: [(0.0, 0.0), (right, 0.0), (right, bottom), (0.0, bottom)] }
    }

    /// A part of the photo on all of the canvas.
    pub fn part(part: PixelRect) -> Self {
        let (left, top) = (part.x as f32, part.y as f32);
        let (right, bottom) = ((part.x + part.width_px) as f32, (part.y + part.height_px) as f32);
        Framing { corners_px: [(left, top), (right, top), (right, bottom), (left, bottom)] }
    }

    /// A canvas with these corners on the photo.
    ///
    /// # Errors
    /// When they do not go round a part of the photo with no side bent inwards, in the order of the canvas's own corners.
    pub fn new(corners_px: [(f32, f32); 4]) -> Result<Self, FramingError> {
        let at = |i: usize| [f64::from(corners_px[i % 4].0), f64::from(corners_px[i % 4].1)];
        let apart = |a: [f64; 2], b: [f64; 2]| libm::hypot(a[0] - b[0], a[1] - b[1]);
        let longest = (0..4).map(|i| apart(at(i), at(i + 1))).fold(0.0, f64::max);
        let turns = |i: usize| {
            let (a, b, c) = (at(i), at(i + 1), at(i + 2));
            (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        };
        // Every corner turns to the right (y runs down), and none of them is flat.
        let sound = (0..4).all(|i| turns(i).is_finite() && turns(i) > LEAST_AREA * longest * longest);
        if sound { Ok(Framing { corners_px }) } else { Err(FramingError) }
    }

    /// The corners on the photo: top left, top right, bottom right, bottom left.
    pub fn corners_px(&self) -> [(f32, f32); 4] {
        self.corners_px
    }

    /// The photo place of a place on the canvas, whose sides run from 0 to 1.
    pub fn photo_from_canvas(&self, at: [f64; 2]) -> [f64; 2] {
        apply(&self.matrix(), at)
    }

    /// The same for many places.
    pub fn photo_places<'a>(&self, places: impl Iterator<Item = [f64; 2]> + 'a) -> impl Iterator<Item = [f64; 2]> + 'a {
        let matrix = self.matrix();
        places.map(move |at| apply(&matrix, at))
    }

    /// The canvas place, 0 to 1 on the canvas and beyond that beside it, of a place on the photo.
    pub fn canvas_from_photo(&self, (x, y): (f32, f32)) -> [f64; 2] {
        let [[a, b, c], [d, e, f], [g, h, i]] = self.matrix();
        // The adjugate is the inverse up to a factor, which the division takes out.
        let inverse = [
            [e * i - f * h, c * h - b * i, b * f - c * e],
            [f * g - d * i, a * i - c * g, c * d - a * f],
            [d * h - e * g, b * g - a * h, a * e - b * d],
        ];
        apply(&inverse, [f64::from(x), f64::from(y)])
    }

    /// The projective map of the unit square onto the four corners (P. S. Heckbert, "Fundamentals of Texture Mapping and Image Warping",
    /// 1989, section 2.2.3; formulas from memory, tested by what they must do).
    fn matrix(&self) -> [[f64; 3]; 3] {
        let [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = self.corners_px.map(|(x, y)| [f64::from(x), f64::from(y)]);
        let (dx1, dx2, sx) = (x1 - x2, x3 - x2, x0 - x1 + x2 - x3);
        let (dy1, dy2, sy) = (y1 - y2, y3 - y2, y0 - y1 + y2 - y3);
        // Twice the area at one corner: never 0, as no corner is flat.
        let area = dx1 * dy2 - dx2 * dy1;
        let g = (sx * dy2 - dx2 * sy) / area;
        let h = (dx1 * sy - sx * dy1) / area;
        [[x1 - x0 + g * x1, x3 - x0 + h * x3, x0], [y1 - y0 + g * y1, y3 - y0 + h * y3, y0], [g, h, 1.0]]
    }
}

fn apply(m: &[[f64; 3]; 3], [x, y]: [f64; 2]) -> [f64; 2] {
    let row = |r: [f64; 3]| r[0] * x + r[1] * y + r[2];
    let w = row(m[2]);
    [row(m[0]) / w, row(m[1]) / w]
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn near(a: [f64; 2], b: [f64; 2]) -> bool {
        (a[0] - b[0]).abs() < 1e-3 && (a[1] - b[1]).abs() < 1e-3
    }

    #[test]
    fn corners_lie_on_corners_and_straight_lines_stay_straight() {
        let aslant = Framing::new([(100.0, 60.0), (900.0, 20.0), (840.0, 700.0), (60.0, 620.0)]).unwrap();
        for framing in [Framing::whole(4000, 3000), aslant] {
            let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
            for (corner, (x, y)) in square.into_iter().zip(framing.corners_px()) {
                assert!(near(framing.photo_from_canvas(corner), [f64::from(x), f64::from(y)]));
            }
            let [a, b, c] = [0.1, 0.45, 0.9].map(|t| framing.photo_from_canvas([t, 0.3 + 0.5 * t]));
            let off = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
            assert!(off.abs() < 1e-6 * 4000.0 * 4000.0, "{off}");
            for at in [[0.2, 0.7], [0.5, 0.5], [1.2, -0.1]] {
                let [x, y] = framing.photo_from_canvas(at);
                assert!(near(framing.canvas_from_photo((x as f32, y as f32)), at), "{at:?}");
            }
        }
        // Where the diagonals of the four corners cross is the middle of the canvas.
        let [p, q] = [[0.5, 0.5], [0.25, 0.25]].map(|at| aslant.photo_from_canvas(at));
        let along = |from: (f32, f32), to: (f32, f32), p: [f64; 2]| {
            let [fx, fy, tx, ty] = [from.0, from.1, to.0, to.1].map(f64::from);
            (tx - fx) * (p[1] - fy) - (ty - fy) * (p[0] - fx)
        };
        let c = aslant.corners_px();
        assert!(
            along(c[0], c[2], p).abs() < 1e-3 && along(c[1], c[3], p).abs() < 1e-3 && along(c[0], c[2], q).abs() < 1e-3
        );
    }

    #[test]
    fn bent_flat_and_turned_corners_are_refused() {
        let square = [(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)];
        assert!(Framing::new(square).is_ok());
        let mut mirrored = square;
        mirrored.reverse();
        let bent = [(0.0, 0.0), (9.0, 0.0), (2.0, 2.0), (0.0, 9.0)];
        let crossed = [(0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 9.0)];
        let flat = [(0.0, 0.0), (9.0, 0.0), (9.0, 0.001), (0.0, 0.001)];
        let nothing = [(3.0, 3.0); 4];
        for corners in [mirrored, bent, crossed, flat, nothing, [(f32::NAN, 0.0); 4]] {
            assert_eq!(Framing::new(corners), Err(FramingError), "{corners:?}");
        }
        let text = ron::to_string(&Framing::new(square).unwrap()).unwrap();
        assert_eq!(ron::from_str::<Framing>(&text).unwrap(), Framing::new(square).unwrap());
        assert!(ron::from_str::<Framing>("((0,0),(9,9),(9,0),(0,9))").unwrap_err().to_string().contains("top left"));
    }
}
