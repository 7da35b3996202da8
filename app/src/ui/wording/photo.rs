//! Words of the large photo and of what is picked from it.

use stint_model::board::Role;

/// Shows the photo large.
pub const LARGE: &str = "Large";
/// Accessible name of the same.
pub const SHOW_LARGE: &str = "Show the photo large";
/// Words on the button that puts the large photo back into the side panel.
pub const SMALL: &str = "Small";
/// Accessible name of the same.
pub const SHOW_SMALL: &str = "Show the photo small, and the canvas";
/// There is no photo to show large.
pub const NO_PHOTO_LARGE: &str = "No photo yet. Take one in on the left.";

/// Held: the photo as it was taken.
pub const BEFORE: &str = "Before";
/// Accessible name of the same.
pub const LOOK_BEFORE: &str = "Hold to see the photo without its adjustments";
/// Words on the button that makes clicks corners of an outline.
pub const BY_CORNERS: &str = "Corners";
/// Accessible name of the same.
pub const OUTLINE_BY_CORNERS: &str = "Outline by corners: click each, Enter closes, Backspace takes one back";
/// The same while it is on.
pub const BY_HAND: &str = "By hand";
/// Accessible name of the same.
pub const OUTLINE_BY_HAND: &str = "Outline by dragging again";
/// What to do with corners.
pub const CORNERS_HINT: &str =
    "Click each corner of a surface. Enter or a double click closes it, Backspace takes a corner back.";

/// Words on the button that shows a frame over the photo.
pub const CROP: &str = "Crop";
/// Accessible name of the same.
pub const CROP_PHOTO: &str = "Crop the photo";
/// Title of the section while the frame shows.
pub const CROPPING: &str = "Crop the photo";
/// Accessible name of the button that leaves it.
pub const END_CROPPING: &str = "Leave the crop as it is";
/// How to crop.
pub const CROP_HINT: &str =
    "Pull a corner, or drag the frame. Nothing of the photo is lost, and picks stay where they are.";
/// Toggle: the frame keeps the shape of the canvas.
pub const CANVAS_SHAPE: &str = "Shape of the canvas";
/// Accessible name of the same.
pub const KEEP_CANVAS_SHAPE: &str = "Keep the shape of the canvas";
/// Accessible name of the button that uses all of the photo again.
pub const UNCROP: &str = "Use the whole photo again";
/// The inside of the frame.
pub const CROP_FRAME: &str = "Crop: drag to move it, or use the arrow keys";
/// A corner or a side of the frame: -1 for left or top, 1 for right or bottom, 0 for neither.
pub fn crop_handle(across: i8, down: i8) -> String {
    let row = ["Top", "", "Bottom"][usize::from((down + 1).unsigned_abs())];
    let column = ["left", "", "right"][usize::from((across + 1).unsigned_abs())];
    match (row, column) {
        ("", column) => format!("{} side of the crop", super::sentence_start(column)),
        (row, "") => format!("{row} side of the crop"),
        (row, column) => format!("{row} {column} corner of the crop"),
    }
}
/// How much of the photo is used.
pub fn crop_size((width, height): (u32, u32), whole: (u32, u32)) -> String {
    format!("{width} × {height} px of {} × {}", whole.0, whole.1)
}

/// Words on the button that starts a proposal of a board.
pub const PROPOSE: &str = "Propose…";
/// Accessible name of the same.
pub const PROPOSE_BOARD: &str = "Propose a board from the photo…";
/// Title of the proposal.
pub const PROPOSED: &str = "Proposed board";
/// How many families are asked for.
pub const FAMILIES_WANTED: &str = "Families";
/// Button that puts the proposed families on the board.
pub const LAY_ALL: &str = "Lay on board";
/// Accessible name of the same.
pub const LAY_PROPOSAL: &str = "Lay the proposed board";
/// Accessible name of the button that lets the proposal go.
pub const LET_PROPOSAL_GO: &str = "Let the proposal go";
/// Where the families go.
pub const AFTER_OTHERS: &str = "Each name can be written over, here or later in the tray.";
/// A proposal is being made.
pub const LOOKING: &str = "Looking at the photo…";
/// The work on a proposal came to nothing.
pub const NOT_PROPOSED: &str = "no board could be proposed; ask again";
/// Fewer surfaces were found than asked for.
pub fn fewer_found(found: usize) -> String {
    match found {
        1 => "one surface told apart".to_owned(),
        more => format!("{more} surfaces told apart"),
    }
}
/// A family of the proposal as it is called where there is no picture.
pub fn proposed_family(name: &str, share: &str) -> String {
    format!("{name}, {share} of the photo")
}
/// Field for the name of a proposed family.
pub fn name_of_proposed(number: usize) -> String {
    format!("Name of proposed family {number}")
}
/// A swatch of the proposal.
pub fn proposed_swatch(family: &str, role: Role) -> String {
    format!("{family} {}, proposed", role.word())
}

/// A Munsell value, 0 to 10.
pub fn value(value: f32) -> String {
    format!("value {value:.1}")
}
/// A comparison with other swatches of the family.
pub fn leans(how: Lean, others: &[Role]) -> String {
    let words: Vec<_> = others.iter().map(|r| r.word()).collect();
    let list = match words.as_slice() {
        [one] => format!("its {one}"),
        [front @ .., last] => format!("{} and {last}", front.join(", ")),
        [] => String::new(),
    };
    match how {
        Lean::Warmer => format!("warmer than {list}"),
        Lean::Cooler => format!("cooler than {list}"),
        Lean::Even => format!("as warm as {list}"),
    }
}
/// Which way a colour leans from another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Lean {
    /// By more than the margin of the board rules.
    Warmer,
    /// By more than the same margin.
    Cooler,
    /// Neither, by more than can be told.
    Even,
}
/// Warmth among the three tones of a surface.
pub fn warmth_of_three(place: Option<std::cmp::Ordering>) -> &'static str {
    match place {
        Some(std::cmp::Ordering::Greater) => "warmest",
        Some(std::cmp::Ordering::Less) => "coolest",
        Some(std::cmp::Ordering::Equal) => "between",
        None => "as warm",
    }
}
/// A value that lies a little above what a board should not hold.
pub fn from_near_black(values: f32) -> String {
    format!("{values:.1} values from too dark")
}
/// A value that lies a little below what a board should not hold.
pub fn from_near_white(values: f32) -> String {
    format!("{values:.1} values from too light")
}
/// Said of a colour whose chroma lies a little inside the edge of the gamut.
pub const NEARLY_TOO_STRONG: &str = "nearly too strong";
/// Nudges the pick into range.
pub const NUDGE: &str = "Bring into range";
/// Accessible name of the same.
pub const NUDGE_PICK: &str = "Bring the pick into the range of a board";
/// Takes the nudge back.
pub const AS_PICKED: &str = "As picked";
/// Accessible name of the same.
pub const UNNUDGE: &str = "Take the colour as it was picked";
/// The two colours under the loupe.
pub fn picked_and_nudged(picked: &str, nudged: &str) -> String {
    format!("Picked {picked}, brought to {nudged}")
}
/// What happened to the colour.
pub const NUDGED: &str = "brought into range";

/// A tone of an outlined surface, on the photo.
pub fn tone_dot(role: Role) -> String {
    format!("{} of the surface: drag to pick it elsewhere, or move it with the arrow keys", super::role_title(role))
}
/// A tone of an outlined surface, under the loupe.
pub fn tone_swatch(role: Role) -> String {
    format!("{} of the surface", super::role_title(role))
}
/// A tone that the photo does not show, on its swatch.
pub const STEPPED: &str = "stepped";
/// The same where there is room.
pub const STEPPED_WHY: &str = "The surface is even: this value is stepped off the local";
/// A tone that was picked elsewhere, on its swatch.
pub const MOVED: &str = "moved";

/// Swatches that are linked to the photo.
pub fn picks_follow(count: usize) -> String {
    match count {
        1 => "1 pick follows this photo".to_owned(),
        more => format!("{more} picks follow this photo"),
    }
}
/// Words on the button that picks swatches again after the photo's adjustments changed.
pub const PICK_AGAIN: &str = "Pick again";
/// Accessible name of the same.
pub const PICK_ALL_AGAIN: &str = "Pick again with the photo as it is adjusted";
/// Notice with how many swatches changed, of those picked from the photo.
pub fn picked_again(changed: usize, all: usize) -> String {
    format!("Picked again: {changed} of {all} changed")
}
