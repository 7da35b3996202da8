//! Words of the ways between the pages.

/// Words on the button that leaves a page for the canvas.
pub const BACK: &str = "Back";
/// Title of the page of the memory exercise, and its button.
pub const FROM_MEMORY: &str = "From memory";

/// The next step of a first study: there is no photo and no board.
pub const NEXT_PHOTO: &str = "Next: choose a photo on the left, or drop one anywhere in the window.";
/// A board is proposed.
pub const NEXT_LAY: &str = "Next: lay the proposed board, or pick your colours by hand.";
/// There is a photo and no board.
pub const NEXT_BOARD: &str = "Next: outline a surface on the photo, or have a board proposed.";
/// There is a board and no paint.
pub const NEXT_BLOCK_IN: &str = "Next: block in the biggest shapes with Mass, light to dark.";
/// There is paint, and much bare ground.
pub const NEXT_COVER: &str = "Next: cover the bare ground; the readout says how much is left.";
/// The canvas is covered.
pub const NEXT_BRUSH: &str = "Next: take the Brush and lay the smaller lights and darks over it.";
/// There is enough to look at.
pub const NEXT_EXPORT: &str = "Next: look at it with Squint, mend what jumps out, then press Export.";
/// Sends the line away for good.
pub const LEAVE_ME: &str = "Leave me to it";
/// Accessible name of the same.
pub const LEAVE_ME_NAME: &str = "Leave me to it: name no next steps any more";
/// Button on the large photo: puts the proposed families on the board.
pub const LAY_THIS: &str = "Lay this board";
/// Button on the large photo: ends the proposal.
pub const PICK_BY_HAND: &str = "Pick by hand";
