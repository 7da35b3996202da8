//! Words of the tools, of their settings and of quantities.

/// Tool that lays the loaded paint along a stroke.
pub const BRUSH: &str = "Brush";
/// Tool that fills an outline.
pub const MASS: &str = "Mass";
/// Tool that fills a bounded area.
pub const FILL: &str = "Fill";
/// Slider of how unlike colours may be that are filled together.
pub const FILL_TOLERANCE: &str = "Tolerance";
/// Slider of the gaps in a boundary that a fill closes.
pub const FILL_GAP: &str = "Closes gaps";
/// Tool that takes paint off.
pub const SCRAPE: &str = "Scrape";
/// Tool that outlines an area and protects one side of it.
pub const PROTECT: &str = "Area";
/// Before the choice of the side of an outlined area that can be painted.
pub const PAINT_ON_SIDE: &str = "Takes paint";
/// Accessible names of the same.
pub const PAINT_SIDE_NAMES: [&str; 2] = ["Paint inside the outline", "Paint outside the outline"];
/// Choice of the side of an outlined area that can be painted.
pub const PAINT_INSIDE: &str = "Inside";
/// The other side.
pub const PAINT_OUTSIDE: &str = "Outside";
/// Toggle: the outlined area protects, or is put away.
pub const PROTECTS: &str = "In use";
/// Accessible name of the same.
pub const PROTECTS_NAME: &str = "The protected area is in use";
/// Button that takes up what is in the area.
pub const MOVE_AREA: &str = "Move";
/// Accessible name of the same.
pub const MOVE_AREA_NAME: &str = "Move, scale and turn what is in the area";
/// Button that takes the area off.
pub const UNPROTECT: &str = "Take off";
/// Accessible name of the same.
pub const UNPROTECT_NAME: &str = "Take the protected area off";
/// Button that puts down what is being moved.
pub const PUT_DOWN: &str = "Put down";
/// Button that puts it back.
pub const PUT_BACK: &str = "Put back";
/// How something is moved, while it is.
pub const MOVING_HINT: &str = "Drag it, its corners and sides; outside it turns";
/// Where there is no area yet.
pub const NO_AREA: &str = "Draw around an area";
/// Tool that blends what is there.
pub const SOFTEN_TOOL: &str = "Soften";
/// Button that merges the active pass into the one below.
pub const MERGE_DOWN: &str = "Merge down";
/// Slider of the diameter of the brush, canvas pixels.
pub const SIZE: &str = "Size";
/// Slider of how much paint a stroke lays, per cent.
pub const STRENGTH: &str = "Strength";
/// Slider of how full the brush is dipped.
pub const PAINT: &str = "Paint";
/// How full a brush is dipped, 0 to 1.
pub fn paint_on_brush(load: f32) -> String {
    if load >= 0.995 {
        "full".to_owned()
    } else if load <= 0.005 {
        "dry".to_owned()
    } else {
        per_cent(load)
    }
}
/// Slider of how sharp the edge of the brush is, per cent.
pub const HARDNESS: &str = "Hardness";
/// A length in canvas pixels: one decimal below 10.
pub fn pixels(px: f32) -> String {
    if px < 10.0 { format!("{px:.1} px") } else { format!("{px:.0} px") }
}
/// A length in photo pixels, with one decimal.
pub fn pixels_1(px: f32) -> String {
    format!("{px:.1} px")
}
/// A length in whole photo pixels.
pub fn whole_pixels(px: u32) -> String {
    format!("{px} px")
}
/// A fraction as per cent, without decimals.
pub fn per_cent(fraction: f32) -> String {
    format!("{:.0} %", fraction * 100.0)
}
/// Degrees with their sign; none for zero.
pub fn degrees(angle: f32) -> String {
    if angle.round() == 0.0 { "0°".to_owned() } else { format!("{angle:+.0}°") }
}
/// Light added, in stops with their sign; none for zero.
pub fn stops(stops: f32) -> String {
    if stops.abs() < 0.05 { "0".to_owned() } else { format!("{stops:+.1}") }
}
/// What can be done to a brush of the panel, beside it.
pub fn brush_hint(key: &str) -> String {
    format!("Key {key}; a right click sets it")
}
/// What each tool does, beside its button: brush, mass, fill, soften, scrape, area.
pub const BRUSH_HINT: &str = "Lays the loaded paint along the stroke";
/// The same.
pub const MASS_HINT: &str = "Draw around a shape: it fills with the loaded paint";
/// The same.
pub const FILL_HINT: &str = "Press inside an edge of paint: the area fills with the loaded paint";
/// The same.
pub const SOFTEN_HINT: &str = "Blends what is there";
/// The same.
pub const SCRAPE_HINT: &str = "Takes paint off, down to the ground or the pass below";
/// The same.
pub const PROTECT_HINT: &str = "Draw around an area: one side of it takes no paint, and what is in it can be moved";
