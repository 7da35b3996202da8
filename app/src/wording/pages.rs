//! Words of the ways between the pages.

/// Leaves a page.
pub const BACK: &str = "back";
/// The photo, large.
pub const PHOTO_LARGE: &str = "Photo";
/// The exercise.
pub const FROM_MEMORY: &str = "From memory";
/// The kept boards.
pub const LIBRARY: &str = "Boards";
