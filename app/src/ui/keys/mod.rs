//! One table of everything a key can do: its name in `keys.ron`, its words on the key sheet, its keys. Tools come from the
//! table in `ui/tool_kind.rs`.

mod brush_place;
mod chord;
mod file;
mod own;
mod search;

pub use brush_place::BrushPlace;
pub use chord::{Chord, ChordError};
pub use file::parse;
pub use own::Keys;
pub use search::found;

use crate::ui::tool_kind::ToolKind;
use egui::Key;

/// What lasts for as long as a key is down.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum HeldKey {
    /// The pointer picks paint instead of laying it.
    Pick,
    /// Dragging moves the canvas.
    Pan,
    /// The photo is shown without its adjustments.
    Before,
}

/// What an action does while its key is down.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum KeyPress {
    /// It is done once.
    Once,
    /// It is done again and again.
    Repeats,
    /// It begins something that ends with the key.
    Holds(HeldKey),
}

macro_rules! actions {
    (
        before_the_tools { $($(#[$doc:meta])* $name:ident, $words:literal, [$($chord:expr),*];)* }
        after_the_tools { $($(#[$doc_after:meta])* $after:ident, $words_after:literal, [$($chord_after:expr),*];)* }
    ) => {
        /// What a key can do.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
        pub enum Action {
            $($(#[$doc])* $name,)*
            /// Takes up a tool.
            Tool(ToolKind),
            /// Takes up a brush.
            Brush(BrushPlace),
            $($(#[$doc_after])* $after,)*
        }

        impl Action {
            /// All, in the order of the key sheet.
            pub fn all() -> impl Iterator<Item = Action> {
                let before = [$(Action::$name),*].into_iter();
                let held = ToolKind::ALL.map(Action::Tool).into_iter().chain(BrushPlace::ALL.map(Action::Brush));
                before.chain(held).chain([$(Action::$after),*])
            }

            /// Its name in `keys.ron`.
            pub fn name(self) -> &'static str {
                match self {
                    $(Action::$name => stringify!($name),)*
                    Action::Tool(tool) => tool.name(),
                    Action::Brush(place) => place.name(),
                    $(Action::$after => stringify!($after),)*
                }
            }

            /// The action that has this name in `keys.ron`, or had it in an earlier version.
            fn named(name: &str) -> Option<Action> {
                let former = FORMER_NAMES.iter().find(|(former, _)| *former == name);
                Action::all().find(|action| action.name() == former.map_or(name, |(_, now)| *now))
            }

            /// What it does while its key is down: steps repeat, what turns something on and off does not.
            pub fn press(self) -> KeyPress {
                match self {
                    Action::Lighter
                    | Action::Darker
                    | Action::FamilyLeft
                    | Action::FamilyRight
                    | Action::Larger
                    | Action::Smaller
                    | Action::Stronger
                    | Action::Weaker
                    | Action::CornerBack
                    | Action::StirIn
                    | Action::StirOut
                    | Action::StepBack
                    | Action::StepOn
                    | Action::ZoomIn
                    | Action::ZoomOut
                    | Action::TurnLeft
                    | Action::TurnRight => KeyPress::Repeats,
                    Action::Pick => KeyPress::Holds(HeldKey::Pick),
                    Action::Pan => KeyPress::Holds(HeldKey::Pan),
                    Action::Before => KeyPress::Holds(HeldKey::Before),
                    Action::Previous
                    | Action::FromWell
                    | Action::BrushSheet
                    | Action::Tool(_)
                    | Action::Brush(_)
                    | Action::BrushBefore
                    | Action::Close
                    | Action::Cancel
                    | Action::UseArea
                    | Action::MoveArea
                    | Action::Colour
                    | Action::Value
                    | Action::Squint
                    | Action::TwoTone
                    | Action::Difference
                    | Action::Mirror
                    | Action::Thirds
                    | Action::Diagonals
                    | Action::Grid
                    | Action::Crop
                    | Action::CropCanvas
                    | Action::Surround
                    | Action::Fit
                    | Action::ActualSize
                    | Action::Upright
                    | Action::Panels
                    | Action::KeySheet
                    | Action::PhotoPage
                    | Action::Nudge
                    | Action::ByCorners
                    | Action::BoardPanel
                    | Action::Compare
                    | Action::MemoryPage
                    | Action::Library
                    | Action::OpenFreeColour
                    | Action::Export
                    | Action::CloseStudy
                    | Action::FindAction
                    | Action::Settings
                    | Action::WholeScreen
                    | Action::Quit => KeyPress::Once,
                }
            }

            /// Its words on the key sheet.
            pub fn words(self) -> &'static str {
                match self {
                    $(Action::$name => $words,)*
                    Action::Tool(tool) => tool.label(),
                    Action::Brush(place) => place.words(),
                    $(Action::$after => $words_after,)*
                }
            }

            /// Whether it is for an open study alone.
            pub fn needs_study(self) -> bool {
                !matches!(
                    self,
                    Action::KeySheet
                        | Action::Panels
                        | Action::Library
                        | Action::FindAction
                        | Action::Settings
                        | Action::WholeScreen
                        | Action::Quit
                )
            }

            /// Its keys where `keys.ron` names no others.
            pub fn own_keys(self) -> Vec<Chord> {
                match self {
                    $(Action::$name => vec![$($chord),*],)*
                    Action::Tool(tool) => vec![Chord::plain(tool.key())],
                    Action::Brush(place) => vec![Chord::plain(place.key())],
                    $(Action::$after => vec![$($chord_after),*],)*
                }
            }
        }
    };
}

actions! {
    before_the_tools {
        /// Loads the next lighter swatch of the family.
        Lighter, "Lighter in the family", [Chord::plain(Key::ArrowUp)];
        /// Loads the next darker swatch of the family.
        Darker, "Darker in the family", [Chord::plain(Key::ArrowDown)];
        /// Loads from the family to the left.
        FamilyLeft, "Family to the left", [Chord::plain(Key::ArrowLeft)];
        /// Loads from the family to the right.
        FamilyRight, "Family to the right", [Chord::plain(Key::ArrowRight)];
        /// Loads the paint before this one.
        Previous, "Paint before this one", [Chord::plain(Key::Tab)];
        /// Loads the paint under the pointer; held, the pointer picks instead of painting.
        Pick, "Load what lies under the pointer", [Chord::plain(Key::E)];
    }
    after_the_tools {
        /// The brush that was held before.
        BrushBefore, "Brush before this one", [Chord::plain(Key::Num0)];
        /// Works a part of the loaded swatch into the well.
        StirIn, "Work the loaded swatch into the well", [Chord::plain(Key::G)];
        /// Takes a part of the loaded swatch out of the well.
        StirOut, "Take some of it out of the well", [Chord::shift(Key::G)];
        /// Loads the mixture in the well.
        FromWell, "Load from the well", [Chord::plain(Key::R)];
        /// A larger brush.
        Larger, "Larger brush", [Chord::plain(Key::PageUp)];
        /// A smaller brush.
        Smaller, "Smaller brush", [Chord::plain(Key::PageDown)];
        /// A stronger brush.
        Stronger, "Stronger brush", [Chord::shift(Key::PageUp)];
        /// A weaker brush.
        Weaker, "Weaker brush", [Chord::shift(Key::PageDown)];
        /// The sheet that sets the brush.
        BrushSheet, "Set the brush in hand", [Chord::plain(Key::B)];
        /// Closes the outline of a mass or an area; puts down what is being moved.
        Close, "Close the outline of a mass or an area", [Chord::plain(Key::Enter)];
        /// Takes the last corner off the outline of a mass.
        CornerBack, "Take the last corner back", [Chord::plain(Key::Backspace)];
        /// Cancels the stroke or outline in the making.
        Cancel, "Let a stroke or outline go", [Chord::plain(Key::Escape)];
        /// Puts the protected area away, or brings it back.
        UseArea, "Put the protected area away, and back", [Chord::shift(Key::W)];
        /// Takes up what is in the protected area; Enter puts it down, Escape back.
        MoveArea, "Move, scale and turn what is in the area", [Chord::plain(Key::M)];
        /// Undo.
        StepBack, "Step back", [Chord::ctrl(Key::Z)];
        /// Redo.
        StepOn, "Step on", [Chord::ctrl(Key::Y), Chord { shift: true, ..Chord::ctrl(Key::Z) }];
        /// As painted.
        Colour, "Look: colour", [Chord::plain(Key::F2)];
        /// Lightness alone.
        Value, "Look: value", [Chord::plain(Key::F3)];
        /// Through half-shut eyes.
        Squint, "Look: squint", [Chord::plain(Key::F4)];
        /// A few flat values; again for one more, 2 to 5.
        TwoTone, "Look: two-tone, again for more values", [Chord::plain(Key::F5)];
        /// How much lighter or darker than the photo.
        Difference, "Look: lighter or darker than the photo", [Chord::shift(Key::F3)];
        /// Left and right exchanged.
        Mirror, "Mirror", [Chord::plain(Key::F7)];
        /// Lines at thirds over canvas and photo.
        Thirds, "Guides: thirds", [Chord::plain(Key::T)];
        /// Lines from corner to corner.
        Diagonals, "Guides: diagonals", [Chord::plain(Key::Y)];
        /// The painter's own grid.
        Grid, "Guides: own grid", [Chord::plain(Key::H)];
        /// The next surround.
        Surround, "Surround: dark, middle, light", [Chord::plain(Key::F8)];
        /// The whole canvas.
        Fit, "Show the whole canvas", [Chord::plain(Key::Home)];
        /// One to one.
        ActualSize, "Show at 100 %", [Chord::plain(Key::End)];
        /// Closer.
        ZoomIn, "Closer", [Chord::plain(Key::Plus), Chord::shift(Key::Plus), Chord::plain(Key::Equals)];
        /// Farther.
        ZoomOut, "Farther", [Chord::plain(Key::Minus)];
        /// Turns the canvas to the left.
        TurnLeft, "Turn the canvas left", [Chord::plain(Key::Comma)];
        /// Turns the canvas to the right.
        TurnRight, "Turn the canvas right", [Chord::plain(Key::Period)];
        /// Turns the canvas upright.
        Upright, "Turn the canvas upright", [Chord::plain(Key::Slash)];
        /// Held: dragging moves the canvas.
        Pan, "Hold and drag: move the canvas", [Chord::plain(Key::Space)];
        /// Moves the keyboard to the panels.
        Panels, "Go to the panels; Escape comes back", [Chord::plain(Key::F6)];
        /// The key sheet.
        KeySheet, "All keys and the painter's guide", [Chord::plain(Key::F1)];
        /// The photo, large, or the canvas again.
        PhotoPage, "Photo large, and back", [Chord::plain(Key::F9)];
        /// The frame that crops the photo, or back.
        Crop, "Crop the photo, and back", [Chord::plain(Key::C)];
        /// The frame that crops and extends the canvas, or back.
        CropCanvas, "Crop or extend the canvas, and back", [Chord::shift(Key::C)];
        /// The painting held against its photo, or the photo's own panel again.
        Compare, "Held against the photo, and back", [Chord::shift(Key::F9)];
        /// Held: the photo is shown without its adjustments.
        Before, "Hold: the photo before its adjustments", [Chord::plain(Key::Q)];
        /// Nudges the held pick into range, or takes that back.
        Nudge, "Bring the pick into range, and back", [Chord::plain(Key::N)];
        /// Clicks on the photo are corners of an outline, or hold a spot again.
        ByCorners, "Outline on the photo by corners, and back", [Chord::plain(Key::O)];
        /// The board's panel, or the reference again.
        BoardPanel, "Board: remarks and variations, and back", [Chord::plain(Key::F10)];
        /// The exercise, or the canvas again.
        MemoryPage, "From memory, and back", [Chord::plain(Key::F11)];
        /// The kept boards, or the study again.
        Library, "Kept boards, and back", [Chord::plain(Key::F12)];
        /// The sheet that asks before free colour opens.
        OpenFreeColour, "Open free colour", [Chord::ctrl(Key::L)];
        /// The export sheet.
        Export, "Export", [Chord::ctrl(Key::E)];
        /// Everything the keys can do, found by name.
        FindAction, "Find anything by its name", [Chord::ctrl(Key::F)];
        /// The settings and the keys.
        Settings, "Settings and keys, and back", [Chord::shift(Key::F1)];
        /// The window over all of the screen, without its frame, or as it was.
        WholeScreen, "Use the whole screen, and back", [Chord::shift(Key::F11)];
        /// Back to the start page.
        CloseStudy, "Close the study", [Chord::ctrl(Key::W)];
        /// Ends the program.
        Quit, "Quit", [Chord::ctrl(Key::Q)];
    }
}

/// Names that actions had in `keys.ron`, and those they have now.
const FORMER_NAMES: [(&str, &str); 2] = [("Drop", "Cancel"), ("Lid", "OpenFreeColour")];

/// The keys of all brushes in one line.
const BRUSHES: [&str; 2] = ["1 to 9", "A brush, as the panel has them in order"];

/// What the pointer does with a modifier; these stay as they are.
const POINTER: [(&str, &str); 9] = [
    ("Straight line, on from the last stroke", "Shift+drag"),
    ("Size across, strength up and down", "Ctrl+Shift+drag"),
    ("Turn the canvas", "Ctrl+drag"),
    ("Turn the canvas", "Right drag"),
    ("Move the canvas", "Middle drag"),
    ("Closer, farther", "Wheel"),
    ("Work the loaded swatch into the well", "Tap, stir, wheel"),
    ("Close the outline of a mass", "Double click"),
    ("Corner of an outline on the photo", "Ctrl+click"),
];

/// Which key does what.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct KeyMap {
    /// One entry an action, in the order of [`Action::all`].
    keys: Vec<(Action, Vec<Chord>)>,
}

impl Default for KeyMap {
    fn default() -> Self {
        KeyMap { keys: Action::all().map(|a| (a, a.own_keys())).collect() }
    }
}

impl KeyMap {
    /// What a key does.
    pub fn action(&self, chord: Chord) -> Option<Action> {
        self.keys.iter().find(|(_, chords)| chords.contains(&chord)).map(|(action, _)| *action)
    }

    /// The actions that a key belongs to whatever modifiers are held: a modifier may come up before the key does.
    pub fn released(&self, key: Key) -> impl Iterator<Item = Action> {
        self.keys.iter().filter(move |(_, chords)| chords.iter().any(|c| c.key == key)).map(|(action, _)| *action)
    }

    /// The keys of an action.
    pub fn keys(&self, action: Action) -> &[Chord] {
        self.keys.iter().find(|(a, _)| *a == action).map_or(&[], |(_, chords)| chords)
    }

    fn set(&mut self, action: Action, chords: Vec<Chord>) {
        if let Some((_, keys)) = self.keys.iter_mut().find(|(a, _)| *a == action) {
            *keys = chords;
        }
    }

    fn take_away(&mut self, action: Action, chord: Chord) {
        if let Some((_, keys)) = self.keys.iter_mut().find(|(a, _)| *a == action) {
            keys.retain(|c| *c != chord);
        }
    }

    /// Keys and words of every action, for the key sheet; what the pointer does comes last.
    pub fn table(&self) -> Vec<(String, String)> {
        // The first key of each is enough to know; a column of all of them cannot be read.
        let key = |chords: &[Chord]| chords.first().map_or_else(String::new, Chord::to_string);
        // Nine lines of one kind are one line, as long as nobody changed them.
        let own_key = |place: &BrushPlace| self.keys(Action::Brush(*place)) == Action::Brush(*place).own_keys();
        let as_one = BrushPlace::ALL.iter().all(own_key);
        let line = |(action, chords): &(Action, Vec<Chord>)| match action {
            Action::Brush(place) if as_one => (place.index() == 0).then(|| BRUSHES.map(str::to_owned).into()),
            _ => Some((key(chords), action.words().to_owned())),
        };
        let actions = self.keys.iter().filter_map(line);
        actions.chain(POINTER.map(|(words, how)| (how.to_owned(), words.to_owned()))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_does_two_things_and_every_action_has_words() {
        let map = KeyMap::default();
        let chords: Vec<_> = map.keys.iter().flat_map(|(_, c)| c.clone()).collect();
        for (i, chord) in chords.iter().enumerate() {
            assert!(!chords[..i].contains(chord), "{chord} twice");
        }
        assert_eq!(map.table().len(), Action::all().count() - (BrushPlace::ALL.len() - 1) + POINTER.len());
        assert!(map.table().iter().all(|(words, keys)| !words.is_empty() && !keys.is_empty()));
    }

    #[test]
    fn brushes_have_one_line_until_one_of_them_has_another_key() {
        let mut map = KeyMap::default();
        let lines = |map: &KeyMap| map.table().iter().filter(|(_, words)| words.contains("panel has")).count();
        assert_eq!(lines(&map), 1);
        map.set(Action::Brush(BrushPlace::ALL[3]), vec![Chord::ctrl(Key::Num4)]);
        assert_eq!((lines(&map), map.table().len()), (0, Action::all().count() + POINTER.len()));
    }
}
