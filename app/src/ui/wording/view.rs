//! Words of the top bar: looks, guides, zoom, history.

use crate::ui::looks::Look;

/// Button in the top bar: the study in its colours.
pub const COLOUR: &str = "Colour";
/// Button in the top bar: lightness alone.
pub const VALUE: &str = "Value";
/// Button in the top bar: blurred, as through half-shut eyes.
pub const SQUINT: &str = "Squint";
/// Button in the top bar: a few flat values.
pub const TWO_TONE: &str = "Two-tone";
/// Button in the top bar: left and right exchanged.
pub const MIRROR: &str = "Mirror";
/// Slider of the squint look, canvas pixels.
pub const SQUINT_RADIUS: &str = "Softness";
/// Setting of two-tone, for a number of values.
pub fn values_of(count: u8) -> String {
    format!("{count} values")
}
/// Button in the top bar that undoes.
pub const STEP_BACK: &str = "Step back";
/// Button in the top bar that redoes.
pub const STEP_ON: &str = "Step on";
/// Opens the export sheet.
pub const EXPORT: &str = "Export…";
/// Button in the top bar that goes back to the start page.
pub const CLOSE: &str = "Close";
/// Button that shows the whole canvas.
pub const FIT: &str = "Fit";
/// The same with the zoom there is now: window pixels a canvas pixel.
pub fn fit_at(zoom: f64) -> String {
    format!("Fit · {:.0} %", zoom * 100.0)
}
/// Toggle: two lines across and two down.
pub const THIRDS: &str = "Thirds";
/// Toggle: lines from corner to corner.
pub const DIAGONALS: &str = "Diagonals";
/// What a look is, beside its button.
pub fn look_hint(look: Look) -> &'static str {
    match look {
        Look::Colour => "As painted",
        Look::Value => "Lightness alone, in greys",
        Look::Squint { .. } => "Blurred, as through half-shut eyes",
        Look::TwoTone { .. } => "A few flat values: light and dark, or up to five",
        Look::Difference => "How much lighter or darker than the photo",
    }
}
/// Toggle: the painter's own grid.
pub const GRID: &str = "Grid";
/// How many columns it has.
pub const GRID_COLUMNS: &str = "Columns";
/// How many rows.
pub const GRID_ROWS: &str = "Rows";
/// Button that goes through the greys around the canvas.
pub const SURROUND_SHORT: &str = "Surround";
/// Button that opens mirror, guides, zoom and surround where the window is narrow.
pub const VIEW: &str = "View";
/// Beside the choice of how many values two-tone shows.
pub const VALUES_SHOWN: &str = "Values";
/// Button that shows one canvas pixel on one screen pixel.
pub const ACTUAL_SIZE: &str = "100 %";
/// Button that goes through the greys around the canvas: dark, middle, light.
pub const SURROUND: [&str; 3] = ["Surround dark", "Surround middle", "Surround light"];
