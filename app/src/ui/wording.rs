//! Every sentence and word the window shows. Errors bring their own words.

mod board;
mod library;
mod memory;
mod pages;
mod photo;
mod studies;

pub use board::*;
pub use library::*;
pub use memory::*;
pub use pages::*;
pub use photo::*;
pub use studies::*;

use stint_model::board::{LightOfDay, Role};

/// Name of the program on the start page.
pub const PROGRAM: &str = "Stint";
/// What the program is for.
pub const PROGRAM_LINE: &str = "Colour studies from your photos, with a small board.";
/// Beside the study's name: there is no save command.
pub const ALL_KEPT: &str = "quick study · all strokes kept";

/// Looks.
pub const COLOUR: &str = "Colour";
/// Looks.
pub const VALUE: &str = "Value";
/// Looks.
pub const SQUINT: &str = "Squint";
/// Looks.
pub const TWO_TONE: &str = "Two-tone";
/// Looks.
pub const MIRROR: &str = "Mirror";
/// Setting of squint.
pub const SQUINT_RADIUS: &str = "Squint radius";
/// Setting of two-tone, for a number of values.
pub fn values_of(count: u8) -> String {
    format!("{count} values")
}
/// History.
pub const STEP_BACK: &str = "Step back";
/// History.
pub const STEP_ON: &str = "Step on";
/// Opens the export sheet.
pub const EXPORT: &str = "Export…";
/// Leaves the study.
pub const CLOSE: &str = "Close";

/// Title of the left panel.
pub const REFERENCE: &str = "Reference";
/// Hides a panel.
pub const PUT_AWAY: &str = "put away";
/// Another photo.
pub const CHANGE: &str = "change";
/// Accessible name of the button that hides the reference.
pub const PUT_REFERENCE_AWAY: &str = "Put the reference away";
/// Accessible name of the button that takes another photo.
pub const CHANGE_PHOTO: &str = "Change the photo";
/// Brings the reference back.
pub const SHOW_REFERENCE: &str = "Show reference";
/// Brings the readout back.
pub const SHOW_READOUT: &str = "Show readout";
/// No photo yet.
pub const NO_PHOTO: &str = "No photo yet. Drop one on the window, or write where it lies.";
/// Field for a photo.
pub const PHOTO_PATH: &str = "Path of the photo";
/// Takes the photo of the field.
pub const TAKE_IN: &str = "Take in";
/// Accessible name of the photo.
pub const PHOTO: &str = "Photo: move to look, click to hold a spot, drag to outline a surface";
/// Adjustment.
pub const HUE_TURN: &str = "Hue turn";
/// Adjustment.
pub const SOFTEN: &str = "Soften specks";

/// Title of the loupe.
pub const LOUPE: &str = "Under the loupe";
/// What to do first.
pub const LOUPE_HINT: &str = "Move over the photo to look, click to hold a spot, drag to outline a surface.";
/// Size of the loupe.
pub const APERTURE: &str = "Loupe";
/// Where a pick goes.
pub const FAMILY: &str = "Family";
/// Choose among the families there are.
pub const FAMILIES: &str = "list";
/// Accessible name of the list of families.
pub const CHOOSE_FAMILY: &str = "Choose a family";
/// What a family needs.
pub const FAMILY_MISSING: &str = "Name a family first: the surface, such as brick or wet yard";
/// What a swatch is for.
pub const ROLE: &str = "Role";
/// Picks the held spot.
pub const LAY: &str = "Lay on board";
/// Picks three from the outline.
pub const LAY_TRIO: &str = "Lay light, local, shadow";
/// An outline is held.
pub const OUTLINED: &str = "A surface is outlined.";
/// Lets the outline go.
pub const LET_GO: &str = "let go";
/// Accessible name of the same.
pub const LET_OUTLINE_GO: &str = "Let the outline go";

/// How strong a colour is, from its OKLCh chroma. Common practice, no published source for the steps.
pub fn chroma_words(chroma: f32) -> &'static str {
    match chroma {
        c if c < 0.02 => "almost grey",
        c if c < 0.05 => "chroma low",
        c if c < 0.10 => "chroma middle",
        c if c < 0.16 => "chroma high",
        _ => "chroma very high",
    }
}
/// The same beside a number.
pub fn chroma_level(chroma: f32) -> &'static str {
    let words = chroma_words(chroma);
    words.strip_prefix("chroma ").unwrap_or(words)
}
/// Value and chroma of a colour.
pub fn value_and_chroma(value: f32, chroma: f32) -> String {
    format!("value {value:.1} · {}", chroma_words(chroma))
}
/// A colour that leaves no room below.
pub const NEAR_BLACK: &str = "almost black";
/// A colour that leaves no room above.
pub const NEAR_WHITE: &str = "almost white";
/// A colour a screen can hardly show.
pub const AT_GAMUT_EDGE: &str = "at the edge of what a screen shows";
/// A colour a screen cannot show.
pub const OUTSIDE_GAMUT: &str = "outside what this screen shows; the nearest is used";
/// What the tick behind a comparison says.
pub const SUITS_LIGHT: &str = "It suits the light of the day";
/// A family and a role.
pub fn family_and_role(family: &str, role: Role) -> String {
    if family.trim().is_empty() { role_title(role).to_owned() } else { format!("{}, {}", family.trim(), role.word()) }
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

/// Tools.
pub const BRUSH: &str = "Brush";
/// Tools.
pub const MASS: &str = "Mass";
/// Tools.
pub const SCRAPE: &str = "Scrape";
/// Tool.
pub const SOFTEN_TOOL: &str = "Soften";
/// Button.
pub const MERGE_DOWN: &str = "Merge down";
/// Brush settings.
pub const SIZE: &str = "Size";
/// Brush settings.
pub const STRENGTH: &str = "Strength";
/// Brush settings.
pub const HARDNESS: &str = "Hardness";
/// A length on the canvas.
pub fn pixels(px: f32) -> String {
    if px < 10.0 { format!("{px:.1} px") } else { format!("{px:.0} px") }
}
/// A small length on the photo.
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
/// An angle with its sign.
pub fn degrees(angle: f32) -> String {
    if angle.round() == 0.0 { "0°".to_owned() } else { format!("{angle:+.0}°") }
}

/// The board has nothing on it.
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
/// Name field.
pub const NAME: &str = "Name";
/// Name field of a swatch.
pub const NAME_OR_NOTHING: &str = "Name (or nothing)";
/// The light of the day.
pub const LIGHT_OF_DAY: &str = "Light of the day";
/// Title of the remarks.
pub const REMARKS: &str = "Remarks";
/// Words that follow a colon, where they stand alone.
pub fn sentence_start(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
/// No remarks.
pub const NO_REMARKS: &str = "Nothing to question.";
/// A light at the start of a line.
pub fn light_title(light: LightOfDay) -> &'static str {
    match light {
        LightOfDay::Warm => "Warm",
        LightOfDay::Cool => "Cool",
        LightOfDay::Neutral => "Neutral",
    }
}
/// A mixture of this many paints; one is paint that is on the canvas alone.
pub fn mixture(paints: usize) -> String {
    if paints == 1 { REMOVED.to_owned() } else { format!("mixture of {paints}") }
}
/// The same, where there is room for a sentence, and where there is no picture.
pub fn on_the_brush(paints: usize) -> String {
    match paints {
        1 => "On the brush: paint of a removed swatch".to_owned(),
        more => format!("On the brush: mixture of {more} paints"),
    }
}
/// Accessible name of a family's name in the tray.
pub fn edit_family(name: &str) -> String {
    format!("Edit family {name}")
}
/// Title of the sheet of a family.
pub const FAMILY_SHEET: &str = "Edit family";
/// Moves a family.
pub const MOVE_LEFT: &str = "Move left";
/// Moves a family.
pub const MOVE_RIGHT: &str = "Move right";
/// Removes a family.
pub const REMOVE_FAMILY: &str = "Take off the board";
/// What becomes of the paint of a removed family.
pub fn family_has_paint(share: f64) -> String {
    format!(
        "{} of the painted area is from this family. Taken off the board, that paint counts as free.",
        share_1(share)
    )
}
/// Colour fields.
pub const COLOUR_HEX: &str = "Colour (#rrggbb)";
/// Slider.
pub const LIGHTNESS: &str = "Lightness";
/// Slider.
pub const CHROMA: &str = "Chroma";
/// Slider.
pub const HUE: &str = "Hue";
/// Button.
pub const KEEP: &str = "Keep";
/// Button.
pub const CANCEL: &str = "Cancel";
/// Button.
pub const DONE: &str = "Done";
/// Button.
pub const DELETE: &str = "Delete…";
/// Sheet of a swatch that has paint.
pub const DELETE_SHEET: &str = "Delete a swatch";
/// What the sheet asks.
pub fn has_paint(name: &str, share: f64) -> String {
    format!("{name} has {} of the painted area. What becomes of that paint?", share_1(share))
}
/// What the sheet says of a swatch without paint.
pub fn has_no_paint(name: &str) -> String {
    format!("There is no paint of {name} on the canvas.")
}
/// Fate of paint.
pub const STAYS_FREE: &str = "It stays as it looks and counts as free";
/// Fate of paint.
pub fn give_to(name: &str) -> String {
    format!("Give it to {name}")
}
/// Button of the sheet.
pub const TAKE_OFF: &str = "Take off the board";

/// Title of the lid.
pub const FREE: &str = "Free colour";
/// The lid is shut.
pub const FREE_IS_SHUT: &str = "Shut. The brush takes colour from the board alone.";
/// Opens the sheet.
pub const OPEN_LID: &str = "Open…";
/// Accessible name of the same.
pub const OPEN_LID_NAME: &str = "Lift the lid of free colour";
/// The one deliberate act.
pub const OPEN_FREE: &str = "Open free colour";
/// Title of the sheet.
pub const OPEN_SHEET: &str = "Open free colour?";
/// What opening does.
pub const OPENING: &str = "The board is open to everything you laid on it. Free colour goes on a pass of its own, and \
     the study notes that it was opened, with the shares of this moment.";
/// Leaves the lid shut.
pub const LEAVE_SHUT: &str = "Leave it shut";
/// Shuts the lid.
pub const SHUT_AGAIN: &str = "Shut again";
/// Numeric entry.
pub const FREE_HEX: &str = "Free colour (#rrggbb)";
/// Loads the free colour.
pub const LOAD: &str = "Load";
/// Accessible name of the same.
pub const LOAD_FREE: &str = "Load the free colour";
/// Accessible name of the plane.
pub const PLANE: &str = "Hue to the right, chroma upwards, at this value";
/// Slider of the picker.
pub const FREE_VALUE: &str = "Value of the free colour";
/// A free colour used before.
pub fn used_before(hex: &str) -> String {
    format!("Load {hex} again")
}

/// Title of the right panel.
pub const READOUT: &str = "Readout";
/// Accessible name of the button that hides it.
pub const PUT_READOUT_AWAY: &str = "Put the readout away";
/// Under the first number.
pub const FROM_BOARD: &str = "from the board";
/// Under the second number; the words change past the aim.
pub fn free_words(past_aim: bool) -> &'static str {
    if past_aim { "free colour, past the aim of 10" } else { "free colour, aim ≤ 10" }
}
/// Under the third number.
pub const BARE: &str = "bare ground";
/// Nothing is painted.
pub const NO_PAINT: &str = "No paint yet.";
/// Swatches without paint.
pub fn unused(names: &[String], all: usize) -> String {
    let listed = names.join(", ");
    match all - names.len() {
        0 => format!("Unused: {listed}"),
        more => format!("Unused: {listed} and {more} more"),
    }
}
/// Paint of a swatch that was taken off the board.
pub const REMOVED: &str = "Removed swatch";
/// A part of the bar.
pub fn part_of_bar(name: &str, share: f64) -> String {
    format!("{name}, {}", share_1(share))
}
/// A share with one decimal.
pub fn share_1(share: f64) -> String {
    format!("{} %", share_digits(share))
}
/// The digits of a share: one decimal, none for whole numbers above the first.
pub fn share_digits(share: f64) -> String {
    let digits = format!("{:.1}", share * 100.0);
    digits.strip_suffix(".0").map_or(digits.clone(), str::to_owned)
}
/// Title of the chart.
pub const OVER_STROKES: &str = "From the board, over the strokes";
/// What the chart says where there is no picture.
pub fn chart_words(strokes: u64, lowest: f64, opened: &[u64]) -> String {
    let mut words = format!("{OVER_STROKES}: {strokes} strokes, lowest {}", share_1(lowest));
    for at in opened {
        words += &format!(", free colour opened after stroke {at}");
    }
    words
}
/// The mark on the chart.
pub const OPENED: &str = "opened";

/// Title of the passes.
pub const PASSES: &str = "Passes";
/// Adds a pass.
pub const ADD: &str = "add";
/// Accessible name of the same.
pub const ADD_PASS: &str = "Add a pass";
/// Opens the settings of the active pass.
pub const EDIT: &str = "edit";
/// Accessible name of the same.
pub const EDIT_PASS: &str = "Edit the pass";
/// Closes them.
pub const EDITED: &str = "done";
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
/// A pass as it is called where there is no picture.
pub fn pass_name(name: &str, state: &str) -> String {
    format!("Pass {name}, {state}")
}
/// The bare canvas at the end of the list.
pub fn ground(name: &str) -> String {
    if name.is_empty() { "Ground".to_owned() } else { format!("Ground, {name}") }
}
/// Name of a new pass.
pub fn new_pass(number: usize) -> String {
    format!("Pass {number}")
}
/// Strength of the active pass.
pub const PASS_STRENGTH: &str = "Strength of the pass";
/// Name of the active pass.
pub const PASS_NAME: &str = "Name of the pass";
/// Buttons of the active pass.
pub const HIDE: &str = "Hide";
/// Buttons of the active pass.
pub const SHOW: &str = "Show";
/// Buttons of the active pass.
pub const UP: &str = "Up";
/// Buttons of the active pass.
pub const DOWN: &str = "Down";
/// Buttons of the active pass.
pub const CLEAR: &str = "Clear";
/// Buttons of the active pass.
pub const REMOVE: &str = "Remove…";
/// Sheet that asks.
pub const REMOVE_SHEET: &str = "Remove a pass";
/// What it asks.
pub fn remove_painted(name: &str) -> String {
    format!("There is paint on the pass \"{name}\". It goes with the pass; Step back brings both back.")
}
/// Button of the sheet.
pub const REMOVE_PASS: &str = "Remove the pass";

/// The whole canvas.
pub const FIT: &str = "Fit";
/// One to one.
pub const ACTUAL_SIZE: &str = "100 %";
/// Around the canvas: dark, middle, light.
pub const SURROUND: [&str; 3] = ["Surround dark", "Surround middle", "Surround light"];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_keep_one_decimal_unless_they_are_whole() {
        assert_eq!(share_digits(0.9623), "96.2");
        assert_eq!(share_digits(0.11), "11");
        assert_eq!(share_digits(0.0), "0");
        assert_eq!(share_digits(1.0), "100");
    }

    #[test]
    fn a_long_list_of_unused_swatches_is_counted() {
        let names = ["Sky light".to_owned(), "Brick shadow".to_owned()];
        assert_eq!(unused(&names, 2), "Unused: Sky light, Brick shadow");
        assert_eq!(unused(&names, 5), "Unused: Sky light, Brick shadow and 3 more");
    }
}
