//! Words of the well and of mixtures.

/// A mixture of this many paints; one is paint that is on the canvas alone.
pub fn mixture(paints: usize) -> String {
    if paints == 1 { super::REMOVED.to_owned() } else { format!("mixture of {paints}") }
}
/// The same, where there is room for a sentence, and where there is no picture.
pub fn on_the_brush(paints: usize) -> String {
    match paints {
        1 => "On the brush: paint of a removed swatch".to_owned(),
        more => format!("On the brush: mixture of {more} paints"),
    }
}
/// The place where swatches are worked together.
pub const WELL: &str = "Mixing well";
/// In the well while nothing is in it.
pub const WELL_HINT: &str = "Tap or stir to work the loaded swatch in";
/// Loads the mixture in the well.
pub const LOAD_WELL: &str = "Load";
/// Accessible name of the same.
pub const LOAD_WELL_NAME: &str = "Load from the well";
/// Accessible name of the button that empties the well.
pub const CLEAR_WELL: &str = "Clear the well";
/// What is in the well in short: "3 : 1 Brick, Sky".
pub fn well_ratio(parts: &[u32], families: &[&str]) -> String {
    match parts {
        [] => "empty".to_owned(),
        [_] => families.join(", "),
        parts => {
            let numbers: Vec<String> = parts.iter().map(u32::to_string).collect();
            format!("{} {}", numbers.join(" : "), families.join(", "))
        }
    }
}
/// Parts of a swatch in the well.
pub fn parts_of(parts: u32, swatch: &str) -> String {
    if parts == 1 { format!("1 part {swatch}") } else { format!("{parts} parts {swatch}") }
}
/// The well in words, and what a tap does.
pub fn well_named(told: &[String], loaded: Option<String>) -> String {
    let what = if told.is_empty() { "empty".to_owned() } else { told.join(", ") };
    let tap = match loaded {
        Some(swatch) => format!("Tap or stir to work {swatch} in"),
        None if told.is_empty() => "Load a swatch to work it in".to_owned(),
        None => "Tap to load the mixture".to_owned(),
    };
    format!("{WELL}: {what}. {tap}")
}
/// Parts that a stir will bring.
pub fn parts_coming(parts: i32) -> String {
    format!("+{parts}")
}
