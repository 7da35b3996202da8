//! Words of the sheet that sets a brush.

use std::path::Path;

/// Title of the sheet.
pub const BRUSH_SHEET: &str = "The brush in hand";
/// The strip on it.
pub const BRUSH_STRIP: &str = "Try the brush here";
/// Slider of how wide a mark is that is hardly pressed, against one that is pressed fully.
pub const LIGHT_WIDTH: &str = "Width under a light hand";
/// Slider of how strong it is, likewise.
pub const LIGHT_STRENGTH: &str = "Strength under a light hand";
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
/// Switch: the edge of a mass is painted with the brush in hand.
pub const LOOSE_EDGE: &str = "Loose edge";
/// Title of the browser for a brush file.
pub const CHOOSE_BRUSH: &str = "Choose a brush file";
/// Title of the browser for the file of the brush that is held.
pub const PLACE_BRUSH: &str = "Where the brush file goes";
/// Button that takes a brush in from a file.
pub const BRUSH_FROM_FILE: &str = "From a file…";
/// Button that writes the brush that is held to a file.
pub const BRUSH_TO_FILE: &str = "Into a file…";
/// Title of the question what becomes of a brush whose name is taken.
pub const SAME_BRUSH_SHEET: &str = "A brush of that name is there";
/// Button that lets the brush of the file take the place of one's own.
pub const BRUSH_INSTEAD: &str = "Instead of mine";
/// Button that opens the sheet on which three strokes show how hard the hand presses.
pub const PRESSURE_OPEN: &str = "How hard I press…";
/// Title of that sheet.
pub const PRESSURE_SHEET: &str = "How hard you press";
/// What to do on it.
pub const PRESSURE_HOW: &str =
    "Draw one stroke in each field with your pen, as you would paint. Every brush follows the curve they make.";
/// The three strokes.
pub const PRESSURE_STROKES: [&str; 3] = ["Light", "Usual", "Firm"];
/// The picture of the curve.
pub const PRESSURE_CURVE: &str = "From how hard you press to what the brush takes it for";
/// What the curve leads from and to.
pub const PRESSURE_FROM: &str = "you press";
/// See [`PRESSURE_FROM`].
pub const PRESSURE_TO: &str = "the brush takes it for";
/// Button that lets a pen's pressure count as it is.
pub const PRESSURE_PLAIN: &str = "As the pen tells it";
/// A stroke was drawn by something without pressure.
pub const PRESSURE_MUTE: &str = "No pressure was heard; draw with a pen that tells how hard it is pressed";
/// The name of a field for a stroke.
pub fn pressure_field(stroke: &str) -> String {
    format!("{stroke} stroke")
}
/// The pressures that the curve goes by.
pub fn pressures_told([light, usual, firm]: [f32; 3]) -> String {
    let [light, usual, firm] = [light, usual, firm].map(super::per_cent);
    format!("Light at {light} of what the pen tells, usual at {usual}, firm at {firm}")
}
/// What became of a brush file that was written.
pub fn brush_written(name: &str, path: &Path) -> String {
    format!("{name} is written to {}", path.display())
}
/// The question what becomes of a brush whose name is taken; `own` tells that it is the painter's own.
pub fn same_brush(name: &str, own: bool) -> String {
    if own {
        format!("You have a brush called {name}. Keep both, or let this one take its place?")
    } else {
        format!("{name} is the name of a brush that came with the program. This one can be kept beside it.")
    }
}
/// Button that keeps it under another name.
pub fn keep_brush_as(name: &str) -> String {
    format!("Keep as {name}")
}
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
