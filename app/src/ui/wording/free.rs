//! Words of free colour.

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
