//! The table of tools: what the pointer can hold, a line a tool.
//!
//! The tools panel, the key table and the canvas read everything about a tool from here.

use crate::study::session::StrokeTool;
use crate::ui::wording;
use egui::Key;

/// What a press on the canvas, the drag after it and the release do, shared by all tools that draw in the same way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Gesture {
    /// Samples along the path of the pointer, applied while it moves: `ui/tools/stroke.rs`.
    Stroke(StrokeTool),
    /// A closed outline, drawn freely or corner by corner: `ui/tools/outline.rs`.
    Outline(OutlineUse),
    /// A click on a place, done when the button comes up: `ui/tools/mod.rs`.
    Point,
}

impl Gesture {
    /// Whether a ring as wide as the brush is drawn around the pointer.
    pub fn has_ring(self) -> bool {
        match self {
            Gesture::Stroke(_) => true,
            Gesture::Outline(_) | Gesture::Point => false,
        }
    }
}

/// What becomes of an outline when it closes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OutlineUse {
    /// It is filled.
    Mass,
    /// It bounds the protected area.
    Protect,
}

macro_rules! tools {
    ($($(#[$attribute:meta])* $name:ident, $label:expr, $key:expr, $gesture:expr;)*) => {
        /// Which tool the pointer holds.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
        pub enum ToolKind {
            $($(#[$attribute])* $name,)*
        }

        impl ToolKind {
            /// All, in the order of the tools panel and of the key sheet.
            pub const ALL: [ToolKind; [$(stringify!($name)),*].len()] = [$(ToolKind::$name),*];

            /// Its name in `keys.ron` and `settings.ron`.
            pub fn name(self) -> &'static str {
                match self { $(ToolKind::$name => stringify!($name),)* }
            }

            /// The tool of this name.
            pub fn named(name: &str) -> Option<ToolKind> {
                ToolKind::ALL.into_iter().find(|tool| tool.name() == name)
            }

            /// Its word in the tools panel and on the key sheet.
            pub fn label(self) -> &'static str {
                match self { $(ToolKind::$name => $label,)* }
            }

            /// The key that takes it up, without modifiers, where `keys.ron` names no other.
            pub fn key(self) -> Key {
                match self { $(ToolKind::$name => $key,)* }
            }

            /// How it draws.
            pub fn gesture(self) -> Gesture {
                match self { $(ToolKind::$name => $gesture,)* }
            }
        }
    };
}

// Name, word, key, gesture.
tools! {
    /// Lays the loaded paint along the stroke.
    #[default]
    Brush, wording::BRUSH, Key::A, Gesture::Stroke(StrokeTool::Brush);
    /// Fills an outline with the loaded paint.
    Mass, wording::MASS, Key::S, Gesture::Outline(OutlineUse::Mass);
    /// Fills a bounded area with the loaded paint.
    Fill, wording::FILL, Key::X, Gesture::Point;
    /// Blends what is there.
    Soften, wording::SOFTEN_TOOL, Key::D, Gesture::Stroke(StrokeTool::Soften);
    /// Takes paint off.
    Scrape, wording::SCRAPE, Key::F, Gesture::Stroke(StrokeTool::Scrape);
    /// Outlines an area and protects one side of it.
    Protect, wording::PROTECT, Key::W, Gesture::Outline(OutlineUse::Protect);
}

impl ToolKind {
    /// What it does, in a few words.
    pub fn hint(self) -> &'static str {
        match self {
            ToolKind::Brush => wording::BRUSH_HINT,
            ToolKind::Mass => wording::MASS_HINT,
            ToolKind::Fill => wording::FILL_HINT,
            ToolKind::Soften => wording::SOFTEN_HINT,
            ToolKind::Scrape => wording::SCRAPE_HINT,
            ToolKind::Protect => wording::PROTECT_HINT,
        }
    }
}
