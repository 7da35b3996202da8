//! Every sentence and word the window shows. Errors bring their own words.

mod board;
mod brush;
mod canvas;
mod charts;
mod comparison;
mod files;
mod library;
mod memory;
mod pages;
mod photo;
mod progress;
mod settings;
mod studies;

pub use board::*;
pub use brush::*;
pub use canvas::*;
pub use charts::*;
pub use comparison::*;
pub use files::*;
pub use library::*;
pub use memory::*;
pub use pages::*;
pub use photo::*;
pub use progress::*;
pub use settings::*;
pub use studies::*;

use crate::ui::looks::Look;
use stint_model::board::{LightOfDay, Role};
use stint_model::mixing::Mixing;

/// Name of the program on the start page.
pub const PROGRAM: &str = "Stint";
/// What the program is for.
pub const PROGRAM_LINE: &str = "Colour studies from your photos, with a small board.";
/// Beside the study's name: there is no save command.
pub const ALL_KEPT: &str = "quick study · all strokes kept";
/// Beside the study's name while some strokes are still on their way to where they last.
pub const BEING_KEPT: &str = "quick study · keeping strokes …";
/// Beside the study's name when strokes cannot be kept.
pub const NOT_KEPT: &str = "quick study · strokes are not kept";
/// Notice on the page when the browser keeps nothing any more.
pub fn browser_keeps_nothing(why: &str) -> String {
    format!(
        "This browser keeps no more strokes ({why}). What was kept before is safe; download the study now, make room on the device, \
         and load the page anew"
    )
}
/// Page: the device's own choice of files.
pub const FROM_DEVICE: &str = "A file of this device …";
/// Page: the device's own choice of pictures, or its camera.
pub const FROM_DEVICE_PHOTO: &str = "A photo of this device, or its camera …";
/// Page: hands the study over as a file.
pub const DOWNLOAD_STUDY: &str = "Download the study";

/// Button in the top bar: the study in its colours.
pub const COLOUR: &str = "Colour";
/// Button in the top bar: lightness alone.
pub const VALUE: &str = "Value";
/// Button in the top bar: blurred, as through half-shut eyes.
pub const SQUINT: &str = "Squint";
/// Button in the top bar: a few flat values.
pub const TWO_TONE: &str = "Two-tone";
/// Button in the top bar: left and right exchanged.
pub const MIRROR: &str = "Mirror";
/// Slider of the squint look, canvas pixels.
pub const SQUINT_RADIUS: &str = "Softness";
/// Setting of two-tone, for a number of values.
pub fn values_of(count: u8) -> String {
    format!("{count} values")
}
/// Button in the top bar that undoes.
pub const STEP_BACK: &str = "Step back";
/// Button in the top bar that redoes.
pub const STEP_ON: &str = "Step on";
/// Opens the export sheet.
pub const EXPORT: &str = "Export…";
/// Button in the top bar that goes back to the start page.
pub const CLOSE: &str = "Close";

/// Title of the left panel.
pub const REFERENCE: &str = "Reference";
/// Words on the button that hides a side panel.
pub const PUT_AWAY: &str = "Away";
/// Words on the button that opens the field for another photo.
pub const CHANGE: &str = "Change…";
/// Accessible name of the button that hides the reference.
pub const PUT_REFERENCE_AWAY: &str = "Put the reference away";
/// Accessible name of the button that takes another photo.
pub const CHANGE_PHOTO: &str = "Choose another photo";
/// Brings the reference back.
pub const SHOW_REFERENCE: &str = "Show reference";
/// Brings the readout back.
pub const SHOW_READOUT: &str = "Show readout";
/// Shown while the study has no photo.
pub const NO_PHOTO: &str = "No photo yet. Drop one anywhere in the window, paste it, or choose one.";
/// Accessible name of the photo.
pub const PHOTO: &str = "Photo: move to look, click to hold a spot, drag to outline a surface";
/// Slider that turns the hues of the photo, -180 to 180 degrees.
pub const HUE_TURN: &str = "Hue turn";
/// Slider that blurs the photo, 0 to 3 photo pixels.
pub const SOFTEN: &str = "Soften specks";
/// Slider that makes the photo lighter or darker, -3 to 3 stops.
pub const EXPOSURE: &str = "Exposure";
/// Slider that draws the photo's values apart or together.
pub const CONTRAST: &str = "Contrast";

/// Title of the loupe.
pub const LOUPE: &str = "Under the loupe";
/// Shown in the section of the loupe while no spot is held.
pub const LOUPE_HINT: &str = "Move over the photo to look, click to hold a spot, drag to outline a surface.";
/// Slider of the width of the loupe, 1 to 31 photo pixels.
pub const APERTURE: &str = "Loupe";
/// Field for the family a pick goes to.
pub const FAMILY: &str = "Family";
/// Choose among the families there are.
pub const FAMILIES: &str = "List";
/// Accessible name of the list of families.
pub const CHOOSE_FAMILY: &str = "Choose a family";
/// Notice when a colour is laid without a family.
pub const FAMILY_MISSING: &str = "Name a family first: the surface, such as brick or wet yard";
/// Button that puts the held spot on the board.
pub const LAY: &str = "Lay on board";
/// Button that puts the three tones of the outlined surface on the board.
pub const LAY_TRIO: &str = "Lay light, local, shadow";
/// Words on the button that ends an outline or a proposal.
pub const LET_GO: &str = "Discard";
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
/// Said of a colour below the darkest Munsell value a board should hold.
pub const NEAR_BLACK: &str = "almost black";
/// Said of a colour above the lightest Munsell value a board should hold.
pub const NEAR_WHITE: &str = "almost white";
/// Said of a colour that a nudge would move inwards.
pub const AT_GAMUT_EDGE: &str = "at the edge of what a screen shows";
/// Said of a colour that sRGB cannot hold.
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
/// Words that follow a colon, where they stand alone.
pub fn sentence_start(words: &str) -> String {
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
/// Button that takes the family and its swatches off the board.
pub const REMOVE_FAMILY: &str = "Take off the board";
/// What becomes of the paint of a removed family.
pub fn family_has_paint(share: f64) -> String {
    format!(
        "{} of the painted area is from this family. Taken off the board, that paint counts as free.",
        share_1(share)
    )
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
    format!("{name} has {} of the painted area. What becomes of that paint?", share_1(share))
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

/// Title of the panel of free colour.
pub const FREE: &str = "Free colour";
/// State of free colour while it is shut.
pub const FREE_IS_SHUT: &str = "Shut. The brush takes colour from the board alone.";
/// Button that opens the sheet [`OPEN_SHEET`].
pub const OPEN_LID: &str = "Open…";
/// Accessible name of the same.
pub const OPEN_LID_NAME: &str = "Lift the lid of free colour";
/// Button of the sheet that opens free colour.
pub const OPEN_FREE: &str = "Open free colour";
/// Title of the sheet.
pub const OPEN_SHEET: &str = "Open free colour?";
/// Text of the sheet: what opening free colour does to the study.
pub const OPENING: &str = "The board is open to everything you laid on it. Free colour goes on a pass of its own, and \
     the study notes that it was opened, with the shares of this moment.";
/// Button of the sheet that closes it and opens nothing.
pub const LEAVE_SHUT: &str = "Leave it shut";
/// Button that shuts free colour.
pub const SHUT_AGAIN: &str = "Shut again";
/// Field for a free colour in hexadecimal sRGB.
pub const FREE_HEX: &str = "Free colour (#rrggbb)";
/// Loads the free colour.
pub const LOAD: &str = "Load";
/// Accessible name of the same.
pub const LOAD_FREE: &str = "Load the free colour";
/// Accessible name of the plane.
pub const PLANE: &str = "Hue to the right, chroma upwards, at this value";
/// Slider of the Munsell value of the picker's plane, 0.5 to 9.5.
pub const FREE_VALUE: &str = "Value of the free colour";
/// A free colour used before.
pub fn used_before(hex: &str) -> String {
    format!("Load {hex} again")
}

/// Title of the right panel.
pub const READOUT: &str = "Readout";
/// Accessible name of the button that hides it.
pub const PUT_READOUT_AWAY: &str = "Put the readout away";
/// Label of the share of paint from the board.
pub const FROM_BOARD: &str = "from the board";
/// Under the second number; the words change past the aim.
pub fn free_words(past_aim: bool) -> &'static str {
    if past_aim { "free colour, past the aim of 10" } else { "free colour, aim ≤ 10" }
}
/// Label of the share of the canvas without paint.
pub const BARE: &str = "bare ground";
/// Shown in the place of the shares before the first stroke.
pub const NO_PAINT: &str = "No paint yet.";
/// Swatches of the board without paint; `all` counts those that are not listed too.
pub fn unused(names: &[String], all: usize) -> String {
    let listed = names.join(", ");
    match all - names.len() {
        0 => format!("Unused: {listed}"),
        more => format!("Unused: {listed} and {more} more"),
    }
}
/// Under the unused swatches, where much paint lies in pixels of eight paints.
pub fn approximate(share: f64) -> String {
    format!("Swatches: approximate in {} of the paint", share_1(share))
}
/// What it means.
pub const APPROXIMATE_HELP: &str = "A pixel holds eight paints; a ninth counts under the swatch most like it. The shares from the \
                                    board, free and bare are exact.";
/// Under the unused swatches, while the paint of a study is still being read.
pub fn counting(counted: f64) -> String {
    format!("Swatches: counted on {:.0} % of the canvas", (counted * 100.0).floor())
}
/// What it means.
pub const COUNTING_HELP: &str =
    "The study is still being read. The shares from the board, free and bare are exact already.";
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
/// Button that moves the active pass up.
pub const UP: &str = "Up";
/// Button that moves the active pass down.
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

/// Button that shows the whole canvas.
pub const FIT: &str = "Fit";
/// The same with the zoom there is now: window pixels a canvas pixel.
pub fn fit_at(zoom: f64) -> String {
    format!("Fit · {:.0} %", zoom * 100.0)
}
/// Toggle: two lines across and two down.
pub const THIRDS: &str = "Thirds";
/// Toggle: lines from corner to corner.
pub const DIAGONALS: &str = "Diagonals";
/// What a look is, beside its button.
pub fn look_hint(look: Look) -> &'static str {
    match look {
        Look::Colour => "As painted",
        Look::Value => "Lightness alone, in greys",
        Look::Squint { .. } => "Blurred, as through half-shut eyes",
        Look::TwoTone { .. } => "A few flat values: light and dark, or up to five",
        Look::Difference => "How much lighter or darker than the photo",
    }
}
/// Button that opens those of the tray where the window is narrow.
pub const MORE_OF_TRAY: &str = "More";
/// Accessible name of the same.
pub const MORE_OF_TRAY_NAME: &str = "More: add or edit a swatch, the board, how paints mix";
/// The edge of the tray behind which families are out of sight.
pub const TRAY_LEFT: &str = "Families further left";
/// The same on the other side.
pub const TRAY_RIGHT: &str = "Families further right";
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
/// Toggle: the painter's own grid.
pub const GRID: &str = "Grid";
/// How many columns it has.
pub const GRID_COLUMNS: &str = "Columns";
/// How many rows.
pub const GRID_ROWS: &str = "Rows";
/// Button that goes through the greys around the canvas.
pub const SURROUND_SHORT: &str = "Surround";
/// Button that opens mirror, guides, zoom and surround where the window is narrow.
pub const VIEW: &str = "View";
/// Beside the choice of how many values two-tone shows.
pub const VALUES_SHOWN: &str = "Values";
/// Button that shows one canvas pixel on one screen pixel.
pub const ACTUAL_SIZE: &str = "100 %";
/// Button that goes through the greys around the canvas: dark, middle, light.
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
