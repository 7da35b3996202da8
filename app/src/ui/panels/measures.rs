//! How large the panels are: as designed for a window of 1280 x 800 points, and larger in a larger window, up to 2560 x 1440,
//! so that photo, tray, readout and words grow with the canvas.

use egui::{Context, Vec2, lerp, vec2};

/// The window that everything is designed for, points.
const DESIGNED: Vec2 = vec2(1280.0, 800.0);
/// The window from which on only the canvas grows, points.
const LARGEST: Vec2 = vec2(2560.0, 1440.0);

/// Everything but the canvas, words too, is drawn this much larger in the largest window, and half of it more half way there.
/// Steps, because a size in between would draw every letter anew for each pixel a window is widened by.
const ENLARGED: f32 = 0.25;

/// How far a window is on its way, 0 to 1.
fn growth(size: Vec2) -> f32 {
    ((size - DESIGNED) / (LARGEST - DESIGNED)).min_elem().clamp(0.0, 1.0)
}

/// By how much the panels of a window are enlarged; its size in the system's logical points.
pub fn enlargement(size: Vec2) -> f32 {
    1.0 + ENLARGED * (2.0 * growth(size)).round() / 2.0
}

/// Below this nothing more can be enlarged, points.
const SMALLEST: Vec2 = vec2(640.0, 480.0);

/// The part of the size that the painter set, percent, for which a window has room; its size in the system's logical points.
pub fn size_held_percent(size: Vec2, percent: u32) -> u32 {
    #[expect(clippy::cast_possible_truncation, reason = "a few hundred at most")]
    let room = ((size / SMALLEST).min_elem() * 100.0).clamp(100.0, 200.0) as u32;
    percent.min(room)
}

/// By how much everything but the canvas is drawn larger than designed: the size that the painter set, and the window's.
pub fn scale(size: Vec2, percent: u32) -> f32 {
    let chosen = size_held_percent(size, percent) as f32 / 100.0;
    chosen * enlargement(size / chosen)
}

/// How far a window is on the way from the designed to the largest size, 0 to 1.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Measures(f32);

impl Measures {
    /// Of the window.
    pub fn of(ctx: &Context) -> Self {
        Measures::for_size(ctx.content_rect().size())
    }

    /// Of a window of this size, points.
    fn for_size(size: Vec2) -> Self {
        Measures(growth(size))
    }

    /// Something between its designed and its largest size.
    pub fn between(self, designed: f32, largest: f32) -> f32 {
        lerp(designed..=largest, self.0)
    }

    /// Width of the reference and of the tools, points.
    pub fn left_width(self) -> f32 {
        self.between(292.0, 392.0).round()
    }

    /// Width of the readout and of free colour, points.
    pub fn right_width(self) -> f32 {
        self.between(256.0, 320.0).round()
    }

    /// Height of tools, tray and free colour, points.
    pub fn bottom_height(self) -> f32 {
        self.between(190.0, 238.0).round()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_window_grows_its_panels_only_when_it_has_both_width_and_height() {
        let widths = |w, h| {
            let measures = Measures::for_size(vec2(w, h));
            (measures.left_width(), measures.right_width(), measures.bottom_height())
        };
        let (designed, largest) = ((292.0, 256.0, 190.0), (392.0, 320.0, 238.0));
        for (w, h) in [(1280.0, 800.0), (640.0, 480.0), (1280.0, 1440.0), (3840.0, 800.0), (0.0, 0.0)] {
            assert_eq!(widths(w, h), designed, "{w} x {h}");
        }
        assert_eq!(widths(2560.0, 1440.0), largest);
        assert_eq!(widths(5120.0, 2880.0), largest);
        let (left, ..) = widths(1920.0, 1120.0);
        assert_eq!(left, 342.0);
    }

    #[test]
    fn the_size_that_is_set_is_held_to_the_window() {
        for (size, percent, held) in [
            ((1280.0, 960.0), 200, 200),
            ((900.0, 600.0), 200, 125),
            ((640.0, 480.0), 150, 100),
            ((300.0, 200.0), 200, 100),
        ] {
            assert_eq!(size_held_percent(size.into(), percent), held, "{size:?}");
        }
        assert_eq!(scale(vec2(1280.0, 800.0), 100), 1.0);
        assert_eq!(scale(vec2(2560.0, 1440.0), 100), 1.25);
        // Twice as large in a window that is twice as large as designed: as designed, and not larger still.
        assert_eq!(scale(vec2(2560.0, 1600.0), 200), 2.0);
    }

    #[test]
    fn words_are_as_designed_in_a_small_window_and_a_quarter_larger_in_a_large_one() {
        for (size, expected) in [
            ((640.0, 480.0), 1.0),
            ((1280.0, 800.0), 1.0),
            ((1920.0, 1080.0), 1.125),
            ((2560.0, 1440.0), 1.25),
            ((5120.0, 1440.0), 1.25),
            ((3840.0, 800.0), 1.0),
        ] {
            assert_eq!(enlargement(size.into()), expected, "{size:?}");
        }
    }
}
