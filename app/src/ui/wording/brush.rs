//! Words of the sheet that sets a brush.

use std::path::Path;

/// Title of the sheet.
pub const BRUSH_SHEET: &str = "The brush in hand";
/// The strip on it.
pub const BRUSH_STRIP: &str = "Try the brush here";
/// Slider of how far a full brush paints.
pub const HOLDS: &str = "Paints for";
/// Slider of how much the mark thins out where it is lifted.
pub const LIFT: &str = "Thins out when lifted";
/// Slider of how much wet paint the brush takes up.
pub const TAKES_UP: &str = "Takes up paint";
/// Slider of how far it carries what it takes up.
pub const CARRIES: &str = "Carries it for";
/// Slider of the number of locks of hair.
pub const HAIRS: &str = "Locks of hair";
/// Slider of how unevenly they carry paint.
pub const UNEVEN: &str = "Uneven hair";
/// Slider of how far the mark is strewn across the stroke.
pub const STREWN: &str = "Strewn";
/// Slider of how far they part as the paint runs low.
pub const PARTING: &str = "Hair parts";
/// Slider of how much of the canvas's tooth shows.
pub const GRAIN: &str = "Tooth of the canvas";
/// Slider of how long the end of a stroke tapers.
pub const TAPER: &str = "Ends in a point over";
/// Slider of how much the hand is steadied, by all brushes.
pub const STEADYING: &str = "Steadies the hand, all brushes";
/// Field for the name of a brush of one's own.
pub const BRUSH_NAME: &str = "Name of the brush";
/// Button that keeps it.
pub const KEEP_BRUSH: &str = "Keep as my brush";
/// Button that sets the brush as it came.
pub const AS_IT_CAME: &str = "As it came";
/// A length in widths of the brush.
pub fn brush_widths(widths: f32) -> String {
    if widths < 9.95 { format!("{widths:.1} widths") } else { format!("{widths:.0} widths") }
}
/// The name that is offered for a brush of one's own.
pub fn own_brush(name: &str) -> String {
    format!("My {}", name.to_lowercase())
}
/// A brush is among the painter's own.
pub fn brush_kept(name: &str, path: &Path) -> String {
    format!("{name} is kept in {}; hand the file on, or put others beside it", path.display())
}
