//! The brushes that keys take up: by their places in the tools panel, since a painter may have any.

use egui::Key;

/// The place of a brush in the tools panel, of those that have a key.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct BrushPlace(u8);

/// The name in `keys.ron`, the words on the key sheet and the key of each.
const PLACES: [(&str, &str, Key); 9] = [
    ("Brush1", "Brush 1 of the panel", Key::Num1),
    ("Brush2", "Brush 2 of the panel", Key::Num2),
    ("Brush3", "Brush 3 of the panel", Key::Num3),
    ("Brush4", "Brush 4 of the panel", Key::Num4),
    ("Brush5", "Brush 5 of the panel", Key::Num5),
    ("Brush6", "Brush 6 of the panel", Key::Num6),
    ("Brush7", "Brush 7 of the panel", Key::Num7),
    ("Brush8", "Brush 8 of the panel", Key::Num8),
    ("Brush9", "Brush 9 of the panel", Key::Num9),
];

impl BrushPlace {
    /// All, in the order of the panel.
    pub const ALL: [BrushPlace; PLACES.len()] = [
        BrushPlace(0),
        BrushPlace(1),
        BrushPlace(2),
        BrushPlace(3),
        BrushPlace(4),
        BrushPlace(5),
        BrushPlace(6),
        BrushPlace(7),
        BrushPlace(8),
    ];

    /// The place, from 0.
    pub fn index(self) -> usize {
        self.0.into()
    }

    /// The place that has a key; none beyond the last.
    pub fn at(index: usize) -> Option<BrushPlace> {
        BrushPlace::ALL.get(index).copied()
    }

    pub(super) fn name(self) -> &'static str {
        PLACES[self.index()].0
    }

    pub(super) fn words(self) -> &'static str {
        PLACES[self.index()].1
    }

    pub(super) fn key(self) -> Key {
        PLACES[self.index()].2
    }
}
