//! Words of the board's panel.

/// Accessible name of the button that brings the reference back.
pub const BACK_FROM_BOARD: &str = "Back to the reference";
