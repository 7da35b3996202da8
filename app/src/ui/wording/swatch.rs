//! Words of a swatch: its role, its colour, and the sheets that change it.

use stint_model::board::Role;

/// How strong a colour is, from its OKLCh chroma. Common practice, no published source for the steps.
pub fn chroma_words(chroma: f32) -> &'static str {
    match chroma {
        c if c < 0.02 => "almost grey",
        c if c < 0.05 => "low chroma",
        c if c < 0.10 => "mid chroma",
        c if c < 0.16 => "high chroma",
        _ => "full chroma",
    }
}
/// The same beside a number.
pub fn chroma_level(chroma: f32) -> &'static str {
    let words = chroma_words(chroma);
    words.strip_suffix(" chroma").unwrap_or(words)
}
/// Value and chroma of a colour.
pub fn value_and_chroma(value: f32, chroma: f32) -> String {
    format!("value {value:.1} · {}", chroma_words(chroma))
}
/// A role at the start of a line.
pub fn role_title(role: Role) -> &'static str {
    match role {
        Role::Shadow => "Shadow",
        Role::Local => "Local",
        Role::Light => "Light",
        Role::Accent => "Accent",
    }
}
/// Field for a colour in hexadecimal sRGB.
pub const COLOUR_HEX: &str = "Colour (#rrggbb)";
/// Slider of OKLCh lightness, 0 to 1.
pub const LIGHTNESS: &str = "Lightness";
/// Slider of OKLCh chroma.
pub const CHROMA: &str = "Chroma";
/// Slider of OKLCh hue, degrees.
pub const HUE: &str = "Hue";
/// Button that applies a form and closes it.
pub const KEEP: &str = "Keep";
/// Button that closes a form and applies nothing.
pub const CANCEL: &str = "Cancel";
/// Button that closes a sheet.
pub const DONE: &str = "Done";
/// Button that opens the sheet [`DELETE_SHEET`].
pub const DELETE: &str = "Delete…";
/// Title of the sheet that asks what becomes of the paint of a swatch.
pub const DELETE_SHEET: &str = "Delete a swatch";
/// What the sheet asks.
pub fn has_paint(name: &str, share: f64) -> String {
    format!("{name} has {} of the painted area. What becomes of that paint?", super::share_1(share))
}
/// What the sheet says of a swatch without paint.
pub fn has_no_paint(name: &str) -> String {
    format!("There is no paint of {name} on the canvas.")
}
/// Choice for the paint of a deleted swatch: free colour.
pub const STAYS_FREE: &str = "It stays as it looks and counts as free";
/// Choice for the paint of a deleted swatch: another swatch.
pub fn give_to(name: &str) -> String {
    format!("Give it to {name}")
}
/// Button of the sheet [`DELETE_SHEET`].
pub const TAKE_OFF: &str = "Take off the board";
