//! Ways to look at a study without changing it, and what lies around the canvas.

use stint_model::colour::Colour;
use stint_model::colour::lab::y_of_l_star;

/// A way to look at the study; nothing of it changes.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub enum Look {
    /// As painted.
    #[default]
    Colour,
    /// Lightness alone.
    Value,
    /// Blurred, as through half-shut eyes; radius in canvas pixels.
    Squint {
        /// Standard deviation, canvas pixels.
        radius_px: f32,
    },
    /// A few flat values.
    TwoTone {
        /// How many, 2 to 5.
        values: u8,
    },
    /// How much lighter or darker than the photo, in greys; the middle grey is as the photo. Photo and tray show their values.
    Difference,
}

impl Look {
    /// A colour as it is looked at, 8-bit sRGB codes: as the canvas shows it, but for the blur of [`Look::Squint`].
    pub fn of(self, codes: [u8; 3]) -> [u8; 3] {
        let grey_of = |l_star: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "a luminance in single precision")]
            let y = y_of_l_star(l_star) as f32;
            Colour::new(y, y, y).to_srgb8()
        };
        let l_star = || f64::from(Colour::from_srgb8(codes).l_star());
        match self {
            Look::Colour | Look::Squint { .. } => codes,
            Look::Value | Look::Difference => grey_of(l_star()),
            Look::TwoTone { values } => {
                let values = f64::from(values.clamp(2, 5));
                let step = (l_star() / 100.0 * values).floor().clamp(0.0, values - 1.0);
                grey_of((step + 0.5) / values * 100.0)
            }
        }
    }
}

/// Most columns and most rows of a grid.
pub const MAX_GRID: u8 = 24;

/// Lines over canvas and photo that help to place things.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Guides {
    /// Two lines across and two down, at thirds.
    pub thirds: bool,
    /// From corner to corner.
    pub diagonals: bool,
    /// The painter's own grid.
    pub grid: bool,
    /// Its columns and rows, 1 to [`MAX_GRID`] each.
    pub cells: (u8, u8),
}

impl Default for Guides {
    fn default() -> Self {
        Guides { thirds: false, diagonals: false, grid: false, cells: (4, 4) }
    }
}

impl Guides {
    /// The lines, each from one place to another, as parts of the width and the height.
    pub fn lines(self) -> Vec<[[f32; 2]; 2]> {
        let mut lines = Vec::new();
        if self.thirds {
            for at in [1.0 / 3.0, 2.0 / 3.0] {
                lines.extend([[[at, 0.0], [at, 1.0]], [[0.0, at], [1.0, at]]]);
            }
        }
        if self.grid {
            let (columns, rows) = self.cells;
            let inside = |count: u8| (1..count).map(move |i| f32::from(i) / f32::from(count));
            lines.extend(inside(columns).map(|x| [[x, 0.0], [x, 1.0]]));
            lines.extend(inside(rows).map(|y| [[0.0, y], [1.0, y]]));
        }
        if self.diagonals {
            lines.extend([[[0.0, 0.0], [1.0, 1.0]], [[0.0, 1.0], [1.0, 0.0]]]);
        }
        lines
    }
}

/// What lies around the canvas.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Surround {
    /// Near the panels.
    #[default]
    Dark,
    /// Munsell N5.
    Middle,
    /// Light grey.
    Light,
}

impl Surround {
    /// All, from dark to light.
    pub const ALL: [Surround; 3] = [Surround::Dark, Surround::Middle, Surround::Light];

    /// Its name in `settings.ron`.
    pub fn name(self) -> &'static str {
        match self {
            Surround::Dark => "dark",
            Surround::Middle => "middle",
            Surround::Light => "light",
        }
    }

    /// The one of this name.
    pub fn named(name: &str) -> Option<Surround> {
        Surround::ALL.into_iter().find(|surround| surround.name() == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn guides_are_lines_between_the_edges() {
        assert!(Guides::default().lines().is_empty());
        let grid = Guides { grid: true, cells: (3, 2), ..Guides::default() };
        let lines = grid.lines();
        assert_eq!(lines.len(), 3);
        // Three columns stand where the thirds stand.
        let thirds = Guides { thirds: true, ..Guides::default() }.lines();
        assert!(thirds.contains(&lines[0]) && thirds.contains(&lines[1]));
        assert_eq!(lines[2], [[0.0, 0.5], [1.0, 0.5]]);
        assert_eq!(Guides { diagonals: true, ..grid }.lines().len(), 5);
    }

    #[test]
    fn photo_and_tray_are_looked_at_as_the_canvas_is() {
        let red = [200, 40, 40];
        assert_eq!(Look::Colour.of(red), red);
        let [r, g, b] = Look::Value.of(red);
        assert!(r == g && g == b);
        let l = |codes: [u8; 3]| Colour::from_srgb8(codes).l_star();
        // One 8-bit code is at most half a step of L* here.
        assert!((l([r, g, b]) - l(red)).abs() < 0.3);
        // Two values: the middles of the halves of the scale, L* 25 and 75.
        for (codes, middle) in [([20, 20, 20], 25.0), (red, 25.0), ([240, 240, 200], 75.0)] {
            assert!((l(Look::TwoTone { values: 2 }.of(codes)) - middle).abs() < 0.3, "{codes:?}");
        }
        assert!((l(Look::TwoTone { values: 5 }.of([255; 3])) - 90.0).abs() < 0.3);
    }
}
