//! What the painter sets on the page of settings and what was held last: their names in `settings.ron`, and what each may be.

use crate::files::settings::{self, Setting, Settings};
use crate::ui::looks::Surround;
use crate::ui::tool_kind::ToolKind;

/// Sizes of the interface that are offered, percent.
pub const SIZES_PERCENT: [u32; 5] = [100, 125, 150, 175, 200];

/// Size of panels and words, percent of the usual one.
pub const SIZE: Setting<u32> = Setting::new("interface_size_percent");
/// Whether the photo lies on the right and the readout on the left.
pub const LEFT_HANDED: Setting<bool> = Setting::new("panels_for_the_left_hand");
/// Whether colours are converted for the display's profile.
pub const DISPLAY_COLOURS: Setting<bool> = Setting::new("convert_for_the_display");
/// Whether a mouse's speed stands for pressure, and its strokes have a beginning and an end.
pub const LIVELY_MOUSE: Setting<bool> = Setting::new("lively_mouse");
/// The name of the tool that was held last.
pub const TOOL: Setting<String> = Setting::new("tool");
/// What lies around the canvas.
pub const SURROUND: Setting<String> = Setting::new("surround");

/// What is set on the page of settings and has no other place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Preferences {
    /// Size of panels and words, percent: 100 to 200.
    pub size_percent: u32,
    /// Whether the photo lies on the right and the readout on the left.
    pub left_handed: bool,
    /// Whether colours are converted for the display's profile.
    pub display_colours: bool,
    /// Whether a mouse's speed stands for pressure, and its strokes have a beginning and an end.
    pub lively_mouse: bool,
}

impl Default for Preferences {
    fn default() -> Self {
        Preferences { size_percent: SIZES_PERCENT[0], left_handed: false, display_colours: true, lively_mouse: true }
    }
}

fn size_fits(percent: &u32) -> bool {
    (100..=200).contains(percent)
}

/// A sentence for every setting that has a value it cannot have.
pub fn mistakes(settings: &mut Settings) -> Vec<String> {
    let tools = ToolKind::ALL.map(|tool| format!("\"{}\"", tool.name())).join(", ");
    [
        settings.mistake(&SIZE, "a whole number of percent from 100 to 200", size_fits),
        settings.mistake(&LEFT_HANDED, "true or false", |_| true),
        settings.mistake(&DISPLAY_COLOURS, "true or false", |_| true),
        settings.mistake(&LIVELY_MOUSE, "true or false", |_| true),
        settings.mistake(&TOOL, &format!("one of {tools}"), |name| ToolKind::named(name).is_some()),
        settings.mistake(&SURROUND, "\"dark\", \"middle\" or \"light\"", |name| Surround::named(name).is_some()),
        settings.mistake(&settings::FIRST_STEPS, "true or false", |_| true),
        settings.mistake(&settings::LAST_FOLDER, "the path of a folder in quotes", |_| true),
        settings.mistake(&settings::BRUSH, "the name of a brush in quotes", |_| true),
        settings.mistake(&settings::STEADYING, "a number from 0 to 1", |part| (0.0..=1.0).contains(part)),
        settings.mistake(&settings::BRUSH_SIZES, "a map from names of brushes to pixels", |_| true),
        settings.mistake(&settings::NEXT_TIME_AWAY, "a list of words in quotes", |_| true),
    ]
    .into_iter()
    .flatten()
    .collect()
}

impl Preferences {
    /// As they are set.
    pub fn of(settings: &Settings) -> Self {
        Preferences {
            size_percent: settings.get(&SIZE).filter(size_fits).unwrap_or(SIZES_PERCENT[0]),
            left_handed: settings.get(&LEFT_HANDED).unwrap_or_default(),
            display_colours: settings.get(&DISPLAY_COLOURS).unwrap_or(true),
            lively_mouse: settings.get(&LIVELY_MOUSE).unwrap_or(true),
        }
    }
}
