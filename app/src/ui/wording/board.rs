//! Words of the board's panel.

use super::REMARKS;
use std::path::Path;
use stint_model::board::LightOfDay;
use stint_model::variation::compose::{Light, Settings};

/// Accessible name of the button that brings the reference back.
pub const BACK_FROM_BOARD: &str = "Back to the reference";
/// Tab: name, light, the study's boards.
pub const BOARD_TAB: &str = "Board";
/// Accessible name of the same.
pub const BOARD_TAB_NAME: &str = "Name, light and boards";
/// Tab: sliders.
pub const VARIATIONS: &str = "Variations";
/// Tab: how many remarks stand.
pub fn remarks_tab(standing: usize) -> String {
    match standing {
        0 => REMARKS.to_owned(),
        some => format!("{REMARKS} {some}"),
    }
}

/// What the colours say about the light of the day.
pub fn guess(light: LightOfDay, certainty: f32) -> String {
    let how = match certainty {
        c if c >= 0.75 => "sure",
        c if c >= 0.5 => "fairly sure",
        c if c >= 0.25 => "a guess",
        _ => return "Hard to say which light these colours are in".to_owned(),
    };
    format!("Looks {}, {how}", light.word())
}
/// Goes to the kept boards.
pub const KEPT_BOARDS: &str = "Kept boards…";
/// Keeps the board for other studies.
pub const KEEP_IN_LIBRARY: &str = "Keep this board for other studies";
/// Notice when the board was kept in the library.
pub fn kept_in_library(path: &Path) -> String {
    format!("The board is kept for other studies in {}", path.display())
}

/// Title of the list of the study's boards.
pub const STUDY_BOARDS: &str = "Boards of this study";
/// Under the boards of a study that has only one.
pub const ONE_BOARD: &str =
    "One board so far. A variation can be kept as another, and the painting follows whichever is in use.";
/// The board that is in use.
pub const IN_USE: &str = "in use";
/// Accessible name of a row.
pub fn switch_to(name: &str, in_use: bool) -> String {
    if in_use { format!("Board {name}, in use") } else { format!("Use board {name}") }
}
/// Takes a board out of the study.
pub const FORGET: &str = "Forget";
/// Accessible name of the same.
pub fn forget_board(name: &str) -> String {
    format!("Forget board {name}")
}
/// Title of the sheet that asks.
pub const FORGET_SHEET: &str = "Forget a board";
/// Question of the sheet before a board of the study is removed.
pub fn forgetting(name: &str) -> String {
    format!("The board \"{name}\" leaves this study. The painting stays as it is; Step back brings the board back.")
}
/// Button of the sheet.
pub const FORGET_BOARD: &str = "Forget it";

/// Words on the button that hides a remark.
pub const DISMISS_REMARK: &str = "Dismiss";
/// Accessible name of the same.
pub fn dismiss_remark(found: &str) -> String {
    format!("Dismiss: {found}")
}
/// Title of the dismissed remarks.
pub const DISMISSED: &str = "Dismissed";
/// Brings a dismissed remark back.
pub const BRING_BACK: &str = "Bring back";
/// Accessible name of the same.
pub fn bring_back(found: &str) -> String {
    format!("Bring back: {found}")
}
/// Accessible name of a dab beside a remark.
pub fn about_swatch(name: &str) -> String {
    format!("About {name}")
}

/// A slider whose board is as it is, or what it does.
pub fn or_as_it_is(at_rest: bool, words: String) -> String {
    if at_rest { AS_IT_IS.to_owned() } else { words }
}
/// Words for a slider in its neutral place.
pub const AS_IT_IS: &str = "as it is";
/// Slider that turns all hues of the board, degrees.
pub const TURN: &str = "Turn of the hues";
/// Slider that moves the board towards a lamp or the blue hour, -100 to 100.
pub const LIGHT: &str = "Light";
/// Slider that spreads the lightness of the swatches apart, a factor.
pub const SPREAD: &str = "Values nearer or farther apart";
/// Slider that lightens or darkens all swatches, Munsell values.
pub const SHIFT: &str = "Values darker or lighter";
/// Left, middle and right of the lights.
pub const LIGHT_SCALE: [&str; 3] = ["lamp", "as it is", "blue hour"];
/// A factor, with its multiplication sign.
pub fn times(factor: f32) -> String {
    format!("× {factor:.2}")
}
/// Munsell values up or down.
pub fn value_steps(steps: f32) -> String {
    format!("{steps:+.2} values")
}
/// The light of a colour temperature. Common practice, no published source for the steps.
fn light_word(kelvin: f32) -> &'static str {
    match kelvin {
        k if k < 3500.0 => "lamp",
        k if k < 5000.0 => "low sun",
        k if k < 7000.0 => "noon",
        k if k < 10_000.0 => "overcast",
        _ => "blue hour",
    }
}
/// The light that the board is moved to.
pub fn light_words(light: Light) -> String {
    match light {
        Light::AsItIs => AS_IT_IS.to_owned(),
        Light::Kelvin(kelvin) => format!("{} · {kelvin:.0} K", light_word(kelvin)),
        Light::White(white) => {
            let [x, y] = white.xy();
            format!("white of the photo · {x:.3}, {y:.3}")
        }
    }
}
/// Swatches that a variation put outside sRGB.
pub fn moved_into_gamut(count: usize) -> String {
    match count {
        0 => String::new(),
        1 => "1 swatch lay outside sRGB and had to give way.".to_owned(),
        more => format!("{more} swatches lay outside sRGB and had to give way."),
    }
}
/// Looks for a white on the photo.
pub const WHITE: &str = "White from the photo";
/// Words on the button that ends picking a white.
pub const NO_WHITE: &str = "Leave the white";
/// Shown while a white is to be picked.
pub const WHITE_HINT: &str = "Press something that is white by daylight. The board moves to the light it is in.";
/// Accessible name of the photo there.
pub const WHITE_PHOTO: &str = "Photo: press what is white by daylight";
/// A spot that is none.
pub const NOT_A_WHITE: &str =
    "that spot is too dark or too strong a colour to be white in any light; press something paler";
/// Makes the variation the board.
pub const CHANGE_BOARD: &str = "Change this board";
/// Lets the variation go.
pub const AS_IT_WAS: &str = "As it was";
/// Opens the form of a new board.
pub const KEEP_AS_NEW: &str = "Keep as a new board…";
/// Field for the name under which the board is kept in the study.
pub const NEW_BOARD_NAME: &str = "Name of the new board";
/// Button of the form.
pub const KEEP_NEW_BOARD: &str = "Keep the new board";
/// A name for a variation of a board: what was done most.
pub fn variation_name(board: &str, settings: &Settings) -> String {
    let what = match (settings.light, settings.turn_degrees, settings.shift_munsell, settings.spread) {
        (Light::Kelvin(kelvin), ..) => light_word(kelvin).to_owned(),
        (Light::White(_), ..) => "in the photo's light".to_owned(),
        (Light::AsItIs, turn, ..) if turn != 0.0 => format!("turned {turn:+.0}°"),
        (Light::AsItIs, _, shift, _) if shift != 0.0 => if shift > 0.0 { "higher" } else { "lower" }.to_owned(),
        (Light::AsItIs, _, _, spread) => if spread > 1.0 { "wider" } else { "narrower" }.to_owned(),
    };
    format!("{board}, {what}")
}
/// Accessible name of a small picture of the strip.
pub fn variation(label: &str) -> String {
    format!("Variation: {label}")
}

/// How far away a family's surface lies.
pub const DISTANCE: &str = "Distance";
/// Choice for a family whose distance is not known.
pub const DISTANCE_UNKNOWN: &str = "Unknown";

/// Heading of boards in files.
pub const BOARD_FILES: &str = "Board in a file";
/// Which forms there are.
pub const BOARD_FORMS: &str = "From board files, studies, exported pictures and pictures of swatches; into .board.ron, .css, .json, or a card \
                               as .svg or .png.";
/// Opens the sheet that chooses a file with a board.
pub const USE_FILE: &str = "Take from a file…";
/// Opens the sheet that chooses where the board goes.
pub const WRITE_FILE: &str = "Write to a file…";
/// The board is in a file.
pub fn board_written(path: &Path) -> String {
    format!("The board is in {}", path.display())
}
