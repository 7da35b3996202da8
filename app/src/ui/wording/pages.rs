//! Words of the ways between the pages.

/// Leaves a page.
pub const BACK: &str = "back";
/// The exercise.
pub const FROM_MEMORY: &str = "From memory";
/// The kept boards.
pub const LIBRARY: &str = "Boards";
