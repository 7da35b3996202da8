//! Words of the frame that crops and extends the canvas.

/// Title of the panel.
pub const CROPPING_CANVAS: &str = "Crop or extend the canvas";
/// Entry of the study's menu.
pub const CROP_CANVAS: &str = "Crop or extend the canvas…";
/// Accessible name of the button that leaves it.
pub const LEAVE_CANVAS: &str = "Leave the canvas as it is";
/// How to do it.
pub const CANVAS_HINT: &str =
    "Pull the frame on the canvas, or write how many pixels come to an edge; a minus takes them away.";
/// The four edges, left, top, right and bottom: the word before a field, and what the field is called.
pub const CANVAS_EDGES: [(&str, &str); 4] = [
    ("Left", "Pixels added at the left"),
    ("Top", "Pixels added at the top"),
    ("Right", "Pixels added at the right"),
    ("Bottom", "Pixels added at the bottom"),
];
/// Toggle: the frame keeps the shape that the canvas has.
pub const KEEP_SHAPE: &str = "Keep its shape";
/// Accessible name of the same.
pub const KEEP_SHAPE_NAME: &str = "Keep the shape of the canvas while a corner is pulled";
/// Makes the canvas what the frame shows.
pub const SET_CANVAS: &str = "Set the canvas";
/// Takes the frame back to the canvas.
pub const CANVAS_AS_IT_IS: &str = "As it was";
/// Accessible name of the same.
pub const CANVAS_AS_IT_IS_NAME: &str = "Put the frame back around the canvas as it is";
/// What becomes of the paint.
pub const CANVAS_KEPT: &str = "New parts are bare ground. Paint outside the frame goes; stepping back brings it back.";
/// The frame itself.
pub const CANVAS_FRAME: &str = "Frame of the canvas: drag to move it, or use the arrow keys";
/// Where something is written in a field that is no number of pixels.
pub const WHOLE_PIXELS: &str = "Write whole numbers of pixels, such as 40 or -40";
/// Where the frame cannot be a canvas.
pub const NO_SUCH_CANVAS: &str = "The frame must keep some of the canvas, and each side 1 to 16384 px";

/// A corner or a side of the frame: -1 for left or top, 1 for right or bottom, 0 for neither.
pub fn canvas_handle(across: i8, down: i8) -> String {
    let row = ["Top", "", "Bottom"][usize::from((down + 1).unsigned_abs())];
    let column = ["left", "", "right"][usize::from((across + 1).unsigned_abs())];
    match (row, column) {
        ("", column) => format!("{} side of the canvas", super::sentence_start(column)),
        (row, "") => format!("{row} side of the canvas"),
        (row, column) => format!("{row} {column} corner of the canvas"),
    }
}

/// A size.
pub fn pixel_size(width: i32, height: i32) -> String {
    format!("{width} × {height} px")
}

/// How large the canvas will be.
pub fn canvas_size((width, height): (u32, u32), now: (u32, u32)) -> String {
    format!("{width} × {height} px, now {} × {}", now.0, now.1)
}
