//! Ways to look at a study without changing it, and what lies around the canvas.

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
