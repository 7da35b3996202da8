//! A surface outlined on the photo.

/// Why an outline or what it holds is of no use.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum RegionError {
    /// Fewer than three points enclose nothing.
    #[error("an outline needs at least three points, this one has {0}; draw around a surface")]
    TooFewPoints(usize),
    /// A coordinate is not a number.
    #[error("point {0} of the outline is not a finite position; draw the outline again")]
    NotFinite(usize),
    /// Too few opaque pixels inside.
    #[error("the outline holds {pixels} usable pixels of the photo and {needed} are needed; draw it larger")]
    TooSmall {
        /// Opaque pixels inside, on the photo.
        pixels: usize,
        /// The least that is worked with.
        needed: usize,
    },
}

/// A closed outline in upright photo pixels. It may run beyond the photo, and may cross itself: what it runs around in
/// either direction is inside (non-zero winding), so a lasso that overlaps its own start has no hole there.
#[derive(Clone, PartialEq, Debug)]
pub struct Outline {
    points_px: Vec<[f32; 2]>,
}

/// Pixels `from_x` up to, not including, `to_x` of row `y`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Span {
    /// Row.
    pub y: u32,
    /// First column.
    pub from_x: u32,
    /// Column after the last one.
    pub to_x: u32,
}

impl Outline {
    /// An outline through these points, closed from the last to the first.
    pub fn new(points_px: Vec<[f32; 2]>) -> Result<Self, RegionError> {
        if points_px.len() < 3 {
            return Err(RegionError::TooFewPoints(points_px.len()));
        }
        match points_px.iter().position(|p| !(p[0].is_finite() && p[1].is_finite())) {
            Some(bad) => Err(RegionError::NotFinite(bad)),
            None => Ok(Outline { points_px }),
        }
    }

    /// The points, in order.
    pub fn points_px(&self) -> &[[f32; 2]] {
        &self.points_px
    }

    /// The pixels inside, on a photo of this size: those whose centre is inside. A centre exactly on an edge belongs to
    /// the surface on its right, so that two outlines that share an edge share no pixel.
    pub fn spans(&self, width_px: u32, height_px: u32) -> Vec<Span> {
        let mut spans = Vec::new();
        let points = || self.points_px.iter().map(|p| [f64::from(p[0]), f64::from(p[1])]);
        let edges: Vec<_> = points().zip(points().cycle().skip(1)).filter(|(a, b)| a[1] != b[1]).collect();
        let lowest = points().map(|p| p[1]).fold(f64::INFINITY, f64::min);
        let highest = points().map(|p| p[1]).fold(f64::NEG_INFINITY, f64::max);
        // First pixel whose centre is at or beyond a coordinate.
        #[expect(clippy::cast_possible_truncation, reason = "clamped to the side of the photo")]
        let first = |at: f64, size: u32| (at - 0.5).ceil().clamp(0.0, f64::from(size)) as u32;
        let mut crossings: Vec<(f64, i32)> = Vec::new();
        for y in first(lowest, height_px)..first(highest, height_px) {
            let centre = f64::from(y) + 0.5;
            crossings.clear();
            for (a, b) in &edges {
                let (low, high, direction) = if a[1] < b[1] { (a, b, 1) } else { (b, a, -1) };
                if low[1] <= centre && centre < high[1] {
                    crossings.push((low[0] + (centre - low[1]) / (high[1] - low[1]) * (high[0] - low[0]), direction));
                }
            }
            crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
            let (mut winding, mut start) = (0, 0.0);
            for &(x, direction) in &crossings {
                if winding == 0 {
                    start = x;
                }
                winding += direction;
                let (from_x, to_x) = (first(start, width_px), first(x, width_px));
                if winding == 0 && from_x < to_x {
                    spans.push(Span { y, from_x, to_x });
                }
            }
        }
        spans
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn pixels(points: &[[f32; 2]], width: u32, height: u32) -> Vec<(u32, u32)> {
        let spans = Outline::new(points.to_vec()).unwrap().spans(width, height);
        spans.iter().flat_map(|s| (s.from_x..s.to_x).map(|x| (x, s.y))).collect()
    }

    #[test]
    fn a_rectangle_holds_its_pixels_in_either_direction_and_is_clipped() {
        let square = [[1.0, 1.0], [3.0, 1.0], [3.0, 3.0], [1.0, 3.0]];
        let inside = vec![(1, 1), (2, 1), (1, 2), (2, 2)];
        assert_eq!(pixels(&square, 9, 9), inside);
        let mut back = square;
        back.reverse();
        assert_eq!(pixels(&back, 9, 9), inside);
        assert_eq!(pixels(&square, 2, 2), [(1, 1)]);
        let around = [[-50.0, -50.0], [99.0, -50.0], [99.0, 99.0], [-50.0, 99.0]];
        assert_eq!(pixels(&around, 4, 3).len(), 12);
        assert!(pixels(&[[20.0, 0.0], [30.0, 0.0], [30.0, 9.0]], 9, 9).is_empty());
    }

    #[test]
    fn outlines_that_share_an_edge_share_no_pixel() {
        let (w, h) = (23, 17);
        let upper = pixels(&[[0.0, 0.0], [23.0, 0.0], [23.0, 3.5], [11.5, 8.5], [0.0, 12.5]], w, h);
        let lower = pixels(&[[23.0, 3.5], [23.0, 17.0], [0.0, 17.0], [0.0, 12.5], [11.5, 8.5]], w, h);
        let mut all: Vec<_> = upper.iter().chain(&lower).collect();
        all.sort();
        all.dedup();
        assert_eq!(all.len(), upper.len() + lower.len());
        assert_eq!(all.len(), 23 * 17);
    }

    #[test]
    fn a_lasso_over_its_own_start_has_no_hole() {
        let twice = [[0.0, 0.0], [6.0, 0.0], [6.0, 6.0], [0.0, 6.0], [0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]];
        assert_eq!(pixels(&twice, 9, 9).len(), 36);
    }

    #[test]
    fn useless_outlines_say_why() {
        assert_eq!(Outline::new(vec![[0.0, 0.0]; 2]), Err(RegionError::TooFewPoints(2)));
        assert_eq!(Outline::new(vec![[0.0, 0.0], [f32::NAN, 1.0], [1.0, 1.0]]), Err(RegionError::NotFinite(1)));
    }
}
