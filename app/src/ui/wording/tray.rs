//! Words of the tray, of families and of the board.

use stint_model::board::LightOfDay;

/// Shown in the tray in the place of the swatches.
pub const EMPTY_BOARD: &str =
    "The board is empty. Pick from the photo, outline a surface, or add a swatch of your own.";
/// Opens the sheet of a new swatch.
pub const ADD_SWATCH: &str = "Add swatch";
/// Opens the sheet of the loaded swatch.
pub const EDIT_SWATCH: &str = "Edit swatch";
/// Opens the sheet of the board.
pub const BOARD: &str = "Board…";
/// Title of the sheet of the board.
pub const BOARD_SHEET: &str = "Board";
/// Field for the name of a family or a board.
pub const NAME: &str = "Name";
/// Name field of a swatch.
pub const NAME_OR_NOTHING: &str = "Name (or nothing)";
/// The light of the day.
pub const LIGHT_OF_DAY: &str = "Light of the day";
/// Title of the remarks.
pub const REMARKS: &str = "Remarks";
/// Words that follow a colon, where they stand alone. The name of a file stays as it is.
pub fn sentence_start(words: &str) -> String {
    let first = words.split_whitespace().next().unwrap_or_default();
    if first.trim_end_matches(['.', ':', ',', ';']).contains(['.', '/', '\\']) {
        return words.to_owned();
    }
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
/// Shown in the place of the remarks when a review has none.
pub const NO_REMARKS: &str = "Nothing to question.";
/// A light at the start of a line.
pub fn light_title(light: LightOfDay) -> &'static str {
    match light {
        LightOfDay::Warm => "Warm",
        LightOfDay::Cool => "Cool",
        LightOfDay::Neutral => "Neutral",
    }
}
/// Accessible name of a family's name in the tray.
pub fn edit_family(name: &str) -> String {
    format!("Edit family {name}")
}
/// Title of the sheet of a family.
pub const FAMILY_SHEET: &str = "Edit family";
/// Button that moves the family one column to the left in the tray.
pub const MOVE_LEFT: &str = "Move left";
/// Button that moves the family one column to the right in the tray.
pub const MOVE_RIGHT: &str = "Move right";
/// Before the buttons that move a swatch.
pub const MOVE_IN_TRAY: &str = "Move";
/// Buttons that move a swatch in the tray, beside those that move a pass up and down.
pub const LEFT: &str = "Left";
/// The same.
pub const RIGHT: &str = "Right";
/// Accessible names of them.
pub const SWATCH_UP: &str = "Move the swatch up in its family";
/// The same.
pub const SWATCH_DOWN: &str = "Move the swatch down in its family";
/// The same.
pub const SWATCH_LEFT: &str = "Move the swatch to the family on the left";
/// The same.
pub const SWATCH_RIGHT: &str = "Move the swatch to the family on the right, or into a new one";
/// Where a swatch is dropped that gets a family of its own.
pub const NEW_FAMILY: &str = "New family";
/// Button that takes the family and its swatches off the board.
pub const REMOVE_FAMILY: &str = "Take off the board";
/// What becomes of the paint of a removed family.
pub fn family_has_paint(share: f64) -> String {
    format!(
        "{} of the painted area is from this family. Taken off the board, that paint counts as free.",
        super::share_1(share)
    )
}
/// What opens and shuts the tray where the window is low.
pub const TRAY: &str = "Tray";
/// Button that opens those of the tray where the window is narrow.
pub const MORE_OF_TRAY: &str = "More";
/// Accessible name of the same.
pub const MORE_OF_TRAY_NAME: &str = "More: add or edit a swatch, the board, how paints mix";
/// The edge of the tray behind which families are out of sight.
pub const TRAY_LEFT: &str = "Families further left";
/// The same on the other side.
pub const TRAY_RIGHT: &str = "Families further right";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_starts_large_and_a_file_keeps_its_name() {
        for (words, expected) in [
            ("the canvas is full.", "The canvas is full."),
            ("done.", "Done."),
            ("yard.jpg is text, not a photo", "yard.jpg is text, not a photo"),
            ("~/studies/yard is a folder", "~/studies/yard is a folder"),
            ("éclairage", "Éclairage"),
            ("", ""),
        ] {
            assert_eq!(sentence_start(words), expected);
        }
    }
}
