//! Words of the charts of a board: light and shadow, and what its mixtures reach.

use stint_model::board::LightOfDay;
use stint_model::board::lean::Lean;

/// Button that shows the charts of the board in the readout.
pub const LEANS: &str = "Board";
/// Its accessible name.
pub const SHOW_LEANS: &str = "Show light and shadow of the board instead of the shares";
/// Button that shows the shares again.
pub const SHARES: &str = "Shares";
/// Its accessible name.
pub const SHOW_SHARES: &str = "Show the shares again";
/// Title of the chart.
pub const LIGHT_AND_SHADOW: &str = "From shadow to light";
/// Ends of its scales.
pub const COOL_END: &str = "cool";
/// The warm end.
pub const WARM_END: &str = "warm";
/// The dark end.
pub const DARK_END: &str = "dark";
/// The light end.
pub const LIGHT_END: &str = "light";
/// In place of the chart.
pub const NO_SWATCHES_TO_LEAN: &str = "The board has no swatches yet.";

/// How a family leans, in a sentence.
pub fn lean_words(family: &str, lean: Option<&Lean<'_>>, light: LightOfDay) -> String {
    let Some(lean) = lean else {
        return format!("{family}: no shadow and light to compare");
    };
    let values = format!("values {:.1} to {:.1}", lean.value_munsell[0], lean.value_munsell[1]);
    let lean_word = match lean.warmer() {
        w if w > stint_model::board::limits::LEAN_MARGIN => "the light is warmer than the shadow",
        w if w < -stint_model::board::limits::LEAN_MARGIN => "the light is cooler than the shadow",
        _ => "light and shadow are as warm",
    };
    let against = if lean.is_against(light) {
        format!(", the other way than under a {} light", light.word())
    } else {
        String::new()
    };
    format!("{family}: {lean_word}{against}; {values}")
}

/// A swatch under the pointer.
pub fn swatch_figures(name: &str, value: f32) -> String {
    format!("{name}, value {value:.1}")
}

/// Title of the picture of mixtures.
pub const REACH: &str = "What mixtures reach";
/// While it is worked out.
pub const WORKING_OUT: &str = "Mixing…";
/// Where a study has no photo.
pub const REACH_NO_PHOTO: &str = "With a photo, its colours show behind.";
/// The work ended without a result.
pub const REACH_DIED: &str =
    "what the board reaches could not be worked out; this is a fault of the program, and nothing is lost";

/// Under a plane.
pub fn at_value(value: f32) -> String {
    format!("value {value:.0}")
}

/// A plane, in words.
pub fn reach_plane(value: f32, of_srgb: f64) -> String {
    let percent = (of_srgb * 100.0).round();
    format!("At value {value:.0} the mixtures are {percent:.0} % of what a screen shows; red to the right, yellow up")
}

/// How much of the photo can be mixed.
pub fn within_reach(share: f64) -> String {
    format!("{:.0} % of the photo within reach", share * 100.0)
}

/// The swatch that would reach most more.
pub fn with_one_more(words: &str, gain: f64) -> String {
    format!("{words}: {:+.0} %", gain * 100.0)
}
