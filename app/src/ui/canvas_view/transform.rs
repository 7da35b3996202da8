//! How the canvas lies in the window: pan, zoom, turn, mirror. Pure numbers, no window and no device.

/// A rectangle of window pixels (physical, from the top left of the window).
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Area {
    /// Left edge, window pixels.
    pub left: f64,
    /// Top edge, window pixels.
    pub top: f64,
    /// Width, window pixels.
    pub width: f64,
    /// Height, window pixels.
    pub height: f64,
}

impl Area {
    /// Its middle.
    pub fn middle(self) -> [f64; 2] {
        [self.left + self.width / 2.0, self.top + self.height / 2.0]
    }

    /// Whether a window pixel lies in it.
    pub fn contains(self, [x, y]: [f64; 2]) -> bool {
        (self.left..self.left + self.width).contains(&x) && (self.top..self.top + self.height).contains(&y)
    }
}

/// Smallest and largest zoom: window pixels per canvas pixel.
pub const SCALE_RANGE: [f64; 2] = [1.0 / 128.0, 64.0];
/// Room left around a fitted canvas, logical points.
pub const FIT_MARGIN_POINTS: f64 = 24.0;

/// The view: which canvas point lies in the middle of the area, how large, how turned.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct View {
    /// Where the canvas is shown.
    pub area: Area,
    /// Canvas pixels; what lies in the middle of the area.
    centre: [f64; 2],
    /// Window pixels per canvas pixel.
    scale: f64,
    /// Radians, clockwise as seen on an unmirrored screen.
    angle_radians: f64,
    /// Whether left and right are exchanged on the screen.
    mirror: bool,
    /// The whole canvas is kept in sight while the area changes.
    fitted: Option<[u32; 2]>,
    /// Window pixels per logical point.
    pixels_per_point: f64,
}

impl Default for View {
    fn default() -> Self {
        let area = Area::default();
        View {
            area,
            centre: [0.0; 2],
            scale: 1.0,
            angle_radians: 0.0,
            mirror: false,
            fitted: None,
            pixels_per_point: 1.0,
        }
    }
}

impl View {
    /// Window pixels per canvas pixel.
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// Turn in radians, clockwise, in (-π, π].
    pub fn angle_radians(&self) -> f64 {
        self.angle_radians
    }

    /// The window point of a canvas point.
    pub fn window_from_canvas(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [dx, dy] = [(x - self.centre[0]) * self.scale, (y - self.centre[1]) * self.scale];
        let (sin, cos) = self.angle_radians.sin_cos();
        let [tx, ty] = [dx * cos - dy * sin, dx * sin + dy * cos];
        let [mx, my] = self.area.middle();
        [mx + if self.mirror { -tx } else { tx }, my + ty]
    }

    /// The canvas point under a window point.
    pub fn canvas_from_window(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [mx, my] = self.area.middle();
        let [tx, ty] = [if self.mirror { mx - x } else { x - mx }, y - my];
        let (sin, cos) = self.angle_radians.sin_cos();
        let [dx, dy] = [tx * cos + ty * sin, ty * cos - tx * sin];
        [self.centre[0] + dx / self.scale, self.centre[1] + dy / self.scale]
    }

    /// [`View::canvas_from_window`] as two rows: canvas x and y are each `row · (window x, window y, 1)`.
    pub fn canvas_rows(&self) -> [[f64; 3]; 2] {
        let origin = self.canvas_from_window([0.0, 0.0]);
        let [right, down] = [self.canvas_from_window([1.0, 0.0]), self.canvas_from_window([0.0, 1.0])];
        let row = |i: usize| [right[i] - origin[i], down[i] - origin[i], origin[i]];
        [row(0), row(1)]
    }

    /// The canvas rectangle (left, top, right, bottom, canvas pixels, clipped to the canvas) that holds everything seen,
    /// with `margin_px` window pixels around the area.
    pub fn seen(&self, [width, height]: [u32; 2], margin_px: f64) -> [f64; 4] {
        let Area { left, top, width: w, height: h } = self.area;
        let (xs, ys) = ([left - margin_px, left + w + margin_px], [top - margin_px, top + h + margin_px]);
        let corners = xs.iter().flat_map(|&x| ys.map(|y| self.canvas_from_window([x, y])));
        let none = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let [l, t, r, b] = corners.fold(none, |[l, t, r, b], [x, y]| [l.min(x), t.min(y), r.max(x), b.max(y)]);
        let (width, height) = (f64::from(width), f64::from(height));
        [l.clamp(0.0, width), t.clamp(0.0, height), r.clamp(0.0, width), b.clamp(0.0, height)]
    }

    /// Gives the view another area; a fitted canvas stays fitted, any other keeps what is in the middle.
    pub fn set_area(&mut self, area: Area, pixels_per_point: f64) {
        if area != self.area || pixels_per_point != self.pixels_per_point {
            (self.area, self.pixels_per_point) = (area, pixels_per_point);
            match self.fitted {
                Some(canvas) => self.fit(canvas),
                None => self.settle(),
            }
        }
    }

    /// Shows the whole canvas, upright, with a margin; a small canvas is enlarged.
    pub fn fit(&mut self, canvas: [u32; 2]) {
        let [width, height] = canvas.map(f64::from);
        self.show([0.0, 0.0, width, height]);
        self.fitted = Some(canvas);
    }

    /// Shows a rectangle (left, top, right, bottom, canvas pixels), upright, with a margin.
    pub fn show(&mut self, [left, top, right, bottom]: [f64; 4]) {
        let margin = FIT_MARGIN_POINTS * self.pixels_per_point;
        let room = |all: f64| (all - 2.0 * margin).max(all / 2.0).max(1.0);
        let scale = (room(self.area.width) / (right - left)).min(room(self.area.height) / (bottom - top));
        self.scale = scale.clamp(SCALE_RANGE[0], SCALE_RANGE[1]);
        self.angle_radians = 0.0;
        self.centre = [(left + right) / 2.0, (top + bottom) / 2.0];
        self.fitted = None;
        self.settle();
    }

    /// One canvas pixel on one window pixel, around what is in the middle.
    pub fn actual_size(&mut self) {
        self.zoom_at(self.area.middle(), 1.0 / self.scale);
        self.scale = 1.0;
        self.settle();
    }

    /// Moves the canvas by window pixels.
    pub fn pan(&mut self, [dx, dy]: [f64; 2]) {
        let [mx, my] = self.area.middle();
        self.centre = self.canvas_from_window([mx - dx, my - dy]);
        self.fitted = None;
        self.settle();
    }

    /// Zooms by a factor; what lies under `at` (window pixels) stays there.
    pub fn zoom_at(&mut self, at: [f64; 2], factor: f64) {
        let held = self.canvas_from_window(at);
        self.scale = (self.scale * factor).clamp(SCALE_RANGE[0], SCALE_RANGE[1]);
        self.hold(held, at);
    }

    /// Turns by radians, clockwise as seen; what lies under `at` (window pixels) stays there.
    pub fn turn_at(&mut self, at: [f64; 2], radians: f64) {
        let held = self.canvas_from_window(at);
        let turn = if self.mirror { -radians } else { radians };
        let angle = (self.angle_radians + turn).rem_euclid(std::f64::consts::TAU);
        self.angle_radians = if angle > std::f64::consts::PI { angle - std::f64::consts::TAU } else { angle };
        // Rounding of a full circle must not leave the canvas almost upright, and so blurred.
        if self.angle_radians.abs() < 1e-9 {
            self.angle_radians = 0.0;
        }
        self.hold(held, at);
    }

    /// Turns back to upright around the middle of the area.
    pub fn upright(&mut self) {
        self.turn_at(self.area.middle(), if self.mirror { self.angle_radians } else { -self.angle_radians });
        self.angle_radians = 0.0;
        self.settle();
    }

    /// Exchanges left and right on the screen, or puts them back.
    pub fn set_mirror(&mut self, mirror: bool) {
        if self.mirror != mirror {
            self.mirror = mirror;
            self.settle();
        }
    }

    /// Brings a canvas point under a window point.
    fn hold(&mut self, held: [f64; 2], at: [f64; 2]) {
        let now = self.canvas_from_window(at);
        self.centre = [self.centre[0] + held[0] - now[0], self.centre[1] + held[1] - now[1]];
        self.fitted = None;
        self.settle();
    }

    /// At whole zooms of an upright canvas, lays canvas pixels exactly on window pixels; elsewhere nothing would gain.
    fn settle(&mut self) {
        if self.angle_radians == 0.0 && self.scale >= 1.0 && self.scale.fract() == 0.0 {
            let [x, y] = self.window_from_canvas([0.0, 0.0]);
            let (dx, dy) = (x.round() - x, y.round() - y);
            self.centre[0] -= if self.mirror { -dx } else { dx } / self.scale;
            self.centre[1] -= dy / self.scale;
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const AREA: Area = Area { left: 280.0, top: 44.0, width: 861.0, height: 641.0 };

    fn view() -> View {
        let mut view = View::default();
        view.set_area(AREA, 1.0);
        view.fit([2048, 1536]);
        view
    }

    fn close(a: [f64; 2], b: [f64; 2], within: f64) {
        assert!((a[0] - b[0]).abs() <= within && (a[1] - b[1]).abs() <= within, "{a:?} {b:?}");
    }

    #[test]
    fn there_and_back_in_every_view() {
        for mirror in [false, true] {
            for turn in [0.0, 0.3, 2.0, -3.0] {
                for zoom in [0.1, 1.0, 7.3] {
                    let mut v = view();
                    v.set_mirror(mirror);
                    v.turn_at([400.0, 300.0], turn);
                    v.zoom_at([500.0, 90.0], zoom);
                    v.pan([33.0, -71.0]);
                    let canvas = [1234.5, 77.25];
                    close(v.canvas_from_window(v.window_from_canvas(canvas)), canvas, 1e-8);
                    let rows = v.canvas_rows();
                    let by_rows = |w: [f64; 2]| rows.map(|r| r[0] * w[0] + r[1] * w[1] + r[2]);
                    close(by_rows([700.0, 200.0]), v.canvas_from_window([700.0, 200.0]), 1e-6);
                }
            }
        }
    }

    #[test]
    fn fit_shows_everything_with_its_margin_and_stays_fitted() {
        let mut v = view();
        let [l, t] = v.window_from_canvas([0.0, 0.0]);
        let [r, b] = v.window_from_canvas([2048.0, 1536.0]);
        assert!(l >= AREA.left + 23.9 && r <= AREA.left + AREA.width - 23.9, "{l} {r}");
        assert!(t >= AREA.top + 23.9 && b <= AREA.top + AREA.height - 23.9, "{t} {b}");
        // The tighter side touches its margin.
        assert!(((r - l) - (AREA.width - 48.0)).abs() < 1e-6 || ((b - t) - (AREA.height - 48.0)).abs() < 1e-6);
        let larger = Area { width: 1400.0, height: 1100.0, ..AREA };
        v.set_area(larger, 1.0);
        let fitted = v.scale();
        v.fit([2048, 1536]);
        assert_eq!(v.scale(), fitted);
        v.zoom_at([600.0, 300.0], 2.0);
        let zoomed = v.scale();
        v.set_area(AREA, 1.0);
        assert_eq!(v.scale(), zoomed, "a chosen zoom is kept when the area changes");
    }

    #[test]
    fn a_small_canvas_fills_the_view_too() {
        let mut v = view();
        v.fit([64, 48]);
        let [l, t] = v.window_from_canvas([0.0, 0.0]);
        let [r, b] = v.window_from_canvas([64.0, 48.0]);
        assert!(v.scale() > 1.0);
        assert!(((r - l) - (AREA.width - 48.0)).abs() < 1e-6 || ((b - t) - (AREA.height - 48.0)).abs() < 1e-6);
    }

    #[test]
    fn zoom_and_turn_keep_the_point_under_the_pointer() {
        let mut v = view();
        for mirror in [false, true] {
            v.set_mirror(mirror);
            let at = [432.0, 551.0];
            let held = v.canvas_from_window(at);
            v.zoom_at(at, 1.7);
            close(v.canvas_from_window(at), held, 1e-6);
            v.turn_at(at, 0.4);
            close(v.canvas_from_window(at), held, 1e-6);
        }
    }

    #[test]
    fn turning_is_clockwise_as_seen_even_in_the_mirror() {
        for mirror in [false, true] {
            let mut v = view();
            v.set_mirror(mirror);
            let middle = AREA.middle();
            let right_of_middle = v.canvas_from_window([middle[0] + 100.0, middle[1]]);
            v.turn_at(middle, std::f64::consts::FRAC_PI_2);
            // What was to the right is below after a quarter clockwise (y runs down).
            close(v.window_from_canvas(right_of_middle), [middle[0], middle[1] + 100.0], 1e-6);
        }
    }

    #[test]
    fn at_100_percent_canvas_pixels_lie_on_window_pixels() {
        let mut v = view();
        for mirror in [false, true] {
            v.set_mirror(mirror);
            v.actual_size();
            v.pan([0.4, 0.3]);
            let [x, y] = v.window_from_canvas([0.0, 0.0]);
            assert_eq!(v.scale(), 1.0);
            close([x, y], [x.round(), y.round()], 1e-9);
        }
    }

    #[test]
    fn upright_undoes_any_turn_and_mirror_flips_the_screen() {
        let mut v = view();
        v.set_mirror(true);
        v.turn_at([500.0, 400.0], 1.1);
        v.upright();
        assert_eq!(v.angle_radians(), 0.0);
        let (a, b) = (v.window_from_canvas([10.0, 10.0]), v.window_from_canvas([20.0, 10.0]));
        assert!(b[0] < a[0] && (b[1] - a[1]).abs() < 1e-9);
    }

    #[test]
    fn seen_is_clipped_to_the_canvas_and_holds_what_shows() {
        let mut v = view();
        assert_eq!(v.seen([2048, 1536], 0.0), [0.0, 0.0, 2048.0, 1536.0]);
        v.zoom_at(AREA.middle(), 20.0);
        let [l, t, r, b] = v.seen([2048, 1536], 0.0);
        assert!(l > 0.0 && t > 0.0 && r < 2048.0 && b < 1536.0);
        assert!(((r - l) * v.scale() - AREA.width).abs() < 1e-6 && ((b - t) * v.scale() - AREA.height).abs() < 1e-6);
    }
}
