//! Which tool the pointer holds.

use crate::study::session::Tool;

/// What the pointer does on the canvas.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum ToolKind {
    /// Lays the loaded paint along the stroke.
    #[default]
    Brush,
    /// Fills an outline with the loaded paint.
    Mass,
    /// Blends what is there.
    Soften,
    /// Takes paint off.
    Scrape,
}

impl ToolKind {
    /// What a stroke of this tool does; a mass is no stroke.
    pub fn stroke(self) -> Option<Tool> {
        match self {
            ToolKind::Brush => Some(Tool::Brush),
            ToolKind::Soften => Some(Tool::Soften),
            ToolKind::Scrape => Some(Tool::Scrape),
            ToolKind::Mass => None,
        }
    }
}
