//! Words of the ways between the pages.

/// Words on the button that leaves a page for the canvas.
pub const BACK: &str = "back";
/// Title of the page of the memory exercise, and its button.
pub const FROM_MEMORY: &str = "From memory";
