//! Words of the painting held against its photo.

/// Title of the panel.
pub const HELD_AGAINST: &str = "Held against the photo";
/// Button that opens it.
pub const COMPARE: &str = "Compare";
/// Accessible name of the button that closes it.
pub const END_COMPARING: &str = "Back to the photo's own panel";
/// While it is worked out the first time.
pub const LOOKING_AT_BOTH: &str = "Looking at both…";
/// When there is nothing to compare.
pub const NOTHING_TO_COMPARE: &str = "Nothing is painted yet that the photo shows.";
/// When the whole picture is neither lighter nor darker, warmer nor cooler.
pub const IN_KEY: &str = "As a whole in the key of the photo";
/// Before the names of surfaces without paint.
pub fn not_painted(names: &[String]) -> String {
    format!("Not painted yet: {}", names.join(", "))
}
/// Button beside a surface that lays the nearest board paint on the brush.
pub const LOAD_NEAREST: &str = "Load";
/// Its accessible name.
pub fn load_nearest(surface: &str, paint: &str) -> String {
    format!("Load the nearest paint for {surface}: {paint}")
}
/// Switch of the look that shows how much lighter or darker the painting is.
pub const DIFFERENCES: &str = "Lighter or darker";
/// What that look's greys mean.
pub const DIFFERENCES_NAME: &str = "Show in greys how much lighter or darker than the photo; middle grey is right";
/// Switch that shows the handles of the canvas on the photo.
pub const LINE_UP: &str = "Line up";
/// Its accessible name.
pub const LINE_UP_NAME: &str = "Line the canvas up with a part of the photo";
/// Button that lines the canvas up with all of the photo again.
pub const WHOLE_PHOTO: &str = "Whole photo";
/// What to do while the handles show.
pub const LINE_UP_HINT: &str = "Pull the four corners to what the canvas shows.";
/// Accessible names of the handles.
pub const CANVAS_CORNERS: [&str; 4] = [
    "Top left corner of the canvas on the photo",
    "Top right corner of the canvas on the photo",
    "Bottom right corner of the canvas on the photo",
    "Bottom left corner of the canvas on the photo",
];
/// Where it is told how a surface looks on both, once it is pointed at.
pub const POINT_AT_A_LINE: &str = "Point at a line to see where it lies, and how both look there.";
/// The work ended without a result.
pub const COMPARISON_DIED: &str =
    "painting and photo could not be compared; this is a fault of the program, and nothing is lost";
