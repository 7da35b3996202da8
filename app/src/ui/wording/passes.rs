//! Words of the passes and of how paints mix.

use stint_model::mixing::Mixing;

/// Title of the passes.
pub const PASSES: &str = "Passes";
/// Words on the button that adds a pass.
pub const ADD: &str = "Add";
/// Accessible name of the same.
pub const ADD_PASS: &str = "Add a pass";
/// Opens the settings of the active pass.
pub const EDIT: &str = "Edit";
/// Accessible name of the same.
pub const EDIT_PASS: &str = "Edit the pass";
/// Words on the button that closes the settings of the active pass.
pub const EDITED: &str = "Done";
/// Accessible name of the same.
pub const EDITED_PASS: &str = "Done with the pass";
/// The state of a pass.
pub fn pass_state(visible: bool, free: bool, free_open: bool) -> &'static str {
    match (visible, free, free_open) {
        (false, ..) => "hidden",
        (true, true, true) => "open",
        (true, true, false) => "shut",
        (true, false, _) => "board",
    }
}
/// The state of the pass that takes what is on the brush while another one is selected: the free pass, for free colour.
pub const PASS_TAKES_BRUSH: &str = "takes the brush";
/// A pass as it is called where there is no picture.
pub fn pass_name(name: &str, state: &str) -> String {
    format!("Pass {name}, {state}")
}
/// The bare canvas at the end of the list.
pub fn ground(name: &str) -> String {
    if name.is_empty() { "Ground".to_owned() } else { format!("Ground, {name}") }
}
/// The mixing model of the study, on its button.
pub fn mixing(mixing: Mixing) -> &'static str {
    match mixing {
        Mixing::Light => "Mix: as light",
        Mixing::Perceptual => "Mix: by eye",
        Mixing::Pigment => "Mix: pigment",
    }
}
/// The same in words, with what a press brings.
pub fn mixing_named(now: Mixing, next: Mixing) -> String {
    let words = |mixing| match mixing {
        Mixing::Light => "as light does",
        Mixing::Perceptual => "half way to the eye",
        Mixing::Pigment => "as pigments do",
    };
    format!("Paints mix {}; press for {}", words(now), words(next))
}
/// What the chosen mixing model does.
pub fn mixing_told(mixing: Mixing) -> &'static str {
    match mixing {
        Mixing::Light => "Mixtures come out pale, as of coloured lights.",
        Mixing::Perceptual => "Mixtures lie half way to the eye.",
        Mixing::Pigment => "Blue and yellow give green, and white tints.",
    }
}
/// Name of a new pass.
pub fn new_pass(number: usize) -> String {
    format!("Pass {number}")
}
/// Slider of the strength of the active pass, 0 to 1.
pub const PASS_STRENGTH: &str = "Strength of the pass";
/// Name of the active pass.
pub const PASS_NAME: &str = "Name of the pass";
/// Button that hides the active pass.
pub const HIDE: &str = "Hide";
/// Button that shows the active pass.
pub const SHOW: &str = "Show";
/// Button that moves the active pass up, or a swatch in its column.
pub const UP: &str = "Up";
/// Button that moves the same down.
pub const DOWN: &str = "Down";
/// Button that takes all paint off the active pass.
pub const CLEAR: &str = "Clear";
/// Button that removes the active pass.
pub const REMOVE: &str = "Remove…";
/// Title of the sheet that asks before a pass with paint is removed.
pub const REMOVE_SHEET: &str = "Remove a pass";
/// Question of the sheet [`REMOVE_SHEET`].
pub fn remove_painted(name: &str) -> String {
    format!("There is paint on the pass \"{name}\". It goes with the pass; Step back brings both back.")
}
/// Button of the sheet [`REMOVE_SHEET`].
pub const REMOVE_PASS: &str = "Remove the pass";
