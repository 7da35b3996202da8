//! The edges of a canvas in the making, in pixels of the canvas as it is.

use stint_model::study::canvas_rect::CanvasRect;
use stint_model::study::document::CANVAS_LIMIT;

/// Shortest side that can be pulled to, pixels.
pub(super) const LEAST_PX: i32 = 16;
/// Longest side, pixels.
#[expect(clippy::cast_possible_wrap, reason = "a few thousand pixels")]
const MOST_PX: i32 = CANVAS_LIMIT as i32;

/// What is pulled: -1 for left or top, 1 for right or bottom, 0 for neither.
pub(super) type Handle = (i8, i8);

pub(super) const CORNERS: [Handle; 4] = [(-1, -1), (1, -1), (1, 1), (-1, 1)];
pub(super) const SIDES: [Handle; 4] = [(0, -1), (1, 0), (0, 1), (-1, 0)];

/// The edges.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Edges {
    pub left: i32,
    pub top: i32,
    pub right: i32,
    pub bottom: i32,
}

impl Edges {
    /// Those of a canvas of a size.
    #[expect(clippy::cast_possible_wrap, reason = "a canvas has a few thousand pixels a side")]
    pub fn of((width, height): (u32, u32)) -> Self {
        Edges { left: 0, top: 0, right: width as i32, bottom: height as i32 }
    }

    pub fn width(self) -> i32 {
        self.right.saturating_sub(self.left)
    }

    pub fn height(self) -> i32 {
        self.bottom.saturating_sub(self.top)
    }

    /// The rectangle, if it can be a canvas that has something of one of this size.
    pub fn part(self, (width, height): (u32, u32)) -> Option<CanvasRect> {
        let side = |px: i32| u32::try_from(px).ok().filter(|px| (1..=CANVAS_LIMIT).contains(px));
        let part =
            CanvasRect { x: self.left, y: self.top, width_px: side(self.width())?, height_px: side(self.height())? };
        part.meets(width, height).then_some(part)
    }

    /// How many pixels are added at left, top, right and bottom of a canvas; fewer than none are taken away.
    pub fn added(self, canvas: Edges) -> [i32; 4] {
        [canvas.left - self.left, canvas.top - self.top, self.right - canvas.right, self.bottom - canvas.bottom]
    }

    /// A canvas with so many pixels added at one edge: 0 for left, 1 for top, 2 for right, 3 for bottom.
    pub fn with_added(mut self, canvas: Edges, edge: usize, px: i32) -> Self {
        match edge {
            0 => self.left = canvas.left.saturating_sub(px),
            1 => self.top = canvas.top.saturating_sub(px),
            2 => self.right = canvas.right.saturating_add(px),
            _ => self.bottom = canvas.bottom.saturating_add(px),
        }
        self
    }

    /// Where a corner or the middle of a side is.
    pub fn place(self, (across, down): Handle) -> [f64; 2] {
        let at = |side: i8, low: i32, high: i32| match side {
            -1 => f64::from(low),
            0 => (f64::from(low) + f64::from(high)) / 2.0,
            _ => f64::from(high),
        };
        [at(across, self.left, self.right), at(down, self.top, self.bottom)]
    }

    /// Pulled at a corner or a side to a place; with a ratio of width to height it keeps that, and the corner across stays. What would
    /// be no canvas, or would have nothing of the one there is, is left as it was.
    #[expect(clippy::cast_possible_truncation, reason = "held to the sides that a canvas may have")]
    pub fn pulled(self, handle: Handle, to: [f64; 2], ratio: Option<f64>, size: (u32, u32)) -> Self {
        let side = |side: i8, low: i32, high: i32, to: f64| {
            let to = to.round() as i32;
            match side {
                -1 => (to.clamp(high - MOST_PX, high - LEAST_PX), high),
                0 => (low, high),
                _ => (low, to.clamp(low + LEAST_PX, low + MOST_PX)),
            }
        };
        let mut to = to;
        if let Some(ratio) = ratio {
            let across = self.place((-handle.0, -handle.1));
            let least = f64::from(LEAST_PX) * ratio.max(1.0);
            let most = f64::from(MOST_PX) * ratio.min(1.0);
            let width = (to[0] - across[0]).abs().max((to[1] - across[1]).abs() * ratio).clamp(least.min(most), most);
            to = [across[0] + f64::from(handle.0) * width, across[1] + f64::from(handle.1) * width / ratio];
        }
        let (left, right) = side(handle.0, self.left, self.right, to[0]);
        let (top, bottom) = side(handle.1, self.top, self.bottom, to[1]);
        let now = Edges { left, top, right, bottom };
        if now.part(size).is_some() { now } else { self }
    }

    /// Moved as it is; where it would have nothing of the canvas it stays.
    pub fn moved(self, right: i32, down: i32, size: (u32, u32)) -> Self {
        let now = Edges {
            left: self.left.saturating_add(right),
            right: self.right.saturating_add(right),
            top: self.top.saturating_add(down),
            bottom: self.bottom.saturating_add(down),
        };
        if now.part(size).is_some() { now } else { self }
    }

    /// What of it lies beside another one that it meets: up to four rectangles.
    pub fn beside(self, other: Edges) -> impl Iterator<Item = Edges> {
        let (top, bottom) = (other.top.clamp(self.top, self.bottom), other.bottom.clamp(self.top, self.bottom));
        let (left, right) = (other.left.clamp(self.left, self.right), other.right.clamp(self.left, self.right));
        let parts = [
            Edges { bottom: top, ..self },
            Edges { top: bottom, ..self },
            Edges { top, bottom, right: left, ..self },
            Edges { top, bottom, left: right, ..self },
        ];
        parts.into_iter().filter(|part| part.width() > 0 && part.height() > 0)
    }

    /// The smallest that holds both.
    pub fn with(self, other: Edges) -> Self {
        Edges {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: (u32, u32) = (400, 300);

    fn edges(left: i32, top: i32, right: i32, bottom: i32) -> Edges {
        Edges { left, top, right, bottom }
    }

    #[test]
    fn a_pull_goes_beyond_the_canvas_but_never_beside_it() {
        let now = Edges::of(SIZE);
        assert_eq!(now.pulled((1, 0), [450.4, 7.0], None, SIZE), edges(0, 0, 450, 300));
        assert_eq!(now.pulled((-1, -1), [-20.0, 50.0], None, SIZE), edges(-20, 50, 400, 300));
        // Never turned inside out, never larger than a canvas may be.
        assert_eq!(now.pulled((1, 1), [0.0, 0.0], None, SIZE), edges(0, 0, LEAST_PX, LEAST_PX));
        assert_eq!(now.pulled((1, 0), [99_999.0, 0.0], None, SIZE).right, MOST_PX);
        let beyond = edges(-500, 0, 20, 300);
        assert_eq!(beyond.pulled((1, 0), [-30.0, 0.0], None, SIZE), beyond);
        assert_eq!(now.moved(500, 0, SIZE), now);
        assert_eq!(now.moved(-20, 30, SIZE), edges(-20, 30, 380, 330));
    }

    #[test]
    fn a_pull_keeps_the_shape_and_the_corner_across() {
        let now = edges(100, 100, 300, 200);
        assert_eq!(now.pulled((1, 1), [340.0, 150.0], Some(2.0), SIZE), edges(100, 100, 340, 220));
        assert_eq!(now.pulled((-1, -1), [-100.0, 0.0], Some(2.0), SIZE), edges(-100, 0, 300, 200));
    }

    #[test]
    fn what_lies_beside_is_counted_once() {
        let (now, canvas) = (edges(-10, 20, 500, 250), Edges::of(SIZE));
        let area = |edges: Edges| i64::from(edges.width()) * i64::from(edges.height());
        let new: i64 = now.beside(canvas).map(area).sum();
        let cut: i64 = canvas.beside(now).map(area).sum();
        assert_eq!((new, cut), (110 * 230, 400 * 70));
        assert_eq!(canvas.beside(canvas).count(), 0);
    }

    #[test]
    fn pixels_are_added_at_an_edge() {
        let canvas = Edges::of(SIZE);
        let now = canvas.with_added(canvas, 0, 40).with_added(canvas, 3, -100);
        assert_eq!((now, now.added(canvas)), (edges(-40, 0, 400, 200), [40, 0, 0, -100]));
        assert_eq!(canvas.with_added(canvas, 1, -300).part(SIZE), None);
        assert_eq!(canvas.with_added(canvas, 2, i32::MAX).part(SIZE), None);
    }
}
