//! A rectangle of canvas pixels that may reach beyond the canvas: what a canvas is cropped or extended to.

use serde::{Deserialize, Serialize};

/// A rectangle of canvas pixels, counted from the top left of the canvas as it is; it may reach beyond every edge.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CanvasRect {
    /// First column; below 0 where it begins to the left of the canvas.
    pub x: i32,
    /// First row; below 0 where it begins above the canvas.
    pub y: i32,
    /// Columns.
    #[serde(rename = "width")]
    pub width_px: u32,
    /// Rows.
    #[serde(rename = "height")]
    pub height_px: u32,
}

impl CanvasRect {
    /// All of a canvas of this size.
    pub fn whole(width_px: u32, height_px: u32) -> Self {
        CanvasRect { x: 0, y: 0, width_px, height_px }
    }

    /// Whether it has any pixel in common with a canvas of this size.
    pub fn meets(self, width_px: u32, height_px: u32) -> bool {
        let along = |from: i32, side: u32, whole: u32| {
            i64::from(from) < i64::from(whole) && i64::from(from) + i64::from(side) > 0
        };
        along(self.x, self.width_px, width_px) && along(self.y, self.height_px, height_px)
    }

    /// Its corners as parts of the sides of a canvas of this size, 0 to 1 on it and beyond that beside it: top left, top right,
    /// bottom right, bottom left.
    pub fn corners(self, (width_px, height_px): (u32, u32)) -> [[f64; 2]; 4] {
        let [left, top] = [f64::from(self.x) / f64::from(width_px), f64::from(self.y) / f64::from(height_px)];
        let right = (f64::from(self.x) + f64::from(self.width_px)) / f64::from(width_px);
        let bottom = (f64::from(self.y) + f64::from(self.height_px)) / f64::from(height_px);
        [[left, top], [right, top], [right, bottom], [left, bottom]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_beside_the_canvas_does_not_meet_it() {
        let at = |x, y| CanvasRect { x, y, width_px: 10, height_px: 20 };
        assert!(at(-9, -19).meets(100, 50) && at(99, 49).meets(100, 50) && CanvasRect::whole(1, 1).meets(1, 1));
        assert!(!at(-10, 0).meets(100, 50) && !at(0, -20).meets(100, 50));
        assert!(!at(100, 0).meets(100, 50) && !at(0, 50).meets(100, 50));
        assert!(!at(i32::MAX, 0).meets(100, 50) && !at(i32::MIN, 0).meets(100, 50));
    }

    #[test]
    fn corners_are_told_by_the_sides_of_the_canvas() {
        let part = CanvasRect { x: -50, y: 10, width_px: 200, height_px: 20 };
        assert_eq!(part.corners((100, 40)), [[-0.5, 0.25], [1.5, 0.25], [1.5, 0.75], [-0.5, 0.75]]);
    }
}
