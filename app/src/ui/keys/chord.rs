//! A key with its modifiers, and how it is written.

use egui::{Key, Modifiers};

/// A key with its modifiers. `ctrl` is the command key where the system has one in its place.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Chord {
    /// The key.
    pub key: Key,
    /// Control, or command.
    pub ctrl: bool,
    /// Shift.
    pub shift: bool,
    /// Alt, or option.
    pub alt: bool,
}

/// Why a text is no key.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("\"{0}\" is no key; write it like \"Up\", \"F3\", \"A\" or \"Ctrl+Shift+Z\"")]
pub struct ChordError(String);

impl Chord {
    /// The key alone.
    pub const fn plain(key: Key) -> Self {
        Chord { key, ctrl: false, shift: false, alt: false }
    }

    /// With shift.
    pub const fn shift(key: Key) -> Self {
        Chord { shift: true, ..Chord::plain(key) }
    }

    /// With control or command.
    pub const fn ctrl(key: Key) -> Self {
        Chord { ctrl: true, ..Chord::plain(key) }
    }

    /// What was pressed.
    pub fn pressed(key: Key, modifiers: Modifiers) -> Self {
        Chord { key, ctrl: modifiers.command || modifiers.ctrl, shift: modifiers.shift, alt: modifiers.alt }
    }

    /// As `keys.ron` has it, which is the same on every system.
    pub fn written(&self) -> String {
        let words = [(self.ctrl, "Ctrl+"), (self.shift, "Shift+"), (self.alt, "Alt+")];
        words.into_iter().filter(|(on, _)| *on).map(|(_, word)| word).chain([self.key.name()]).collect()
    }

    /// From a text such as "Ctrl+Shift+Z"; the words of modifiers in any case, keys as egui names them.
    ///
    /// # Errors
    /// When the text names no key.
    pub fn parse(text: &str) -> Result<Self, ChordError> {
        let wrong = || ChordError(text.to_owned());
        let text = text.trim();
        // The plus key itself may stand last: "+" or "Ctrl++".
        let (front, key) = match text.strip_suffix('+') {
            Some("") => ("", "+"),
            Some(front) => (front.strip_suffix('+').ok_or_else(wrong)?, "+"),
            None => text.rsplit_once('+').unwrap_or(("", text)),
        };
        let mut chord = Chord::plain(Key::from_name(key.trim()).ok_or_else(wrong)?);
        for word in front.split('+').map(str::trim).filter(|w| !w.is_empty()) {
            match word.to_lowercase().as_str() {
                "ctrl" | "control" | "cmd" | "command" => chord.ctrl = true,
                "shift" => chord.shift = true,
                "alt" | "option" => chord.alt = true,
                _ => return Err(wrong()),
            }
        }
        Ok(chord)
    }
}

impl std::fmt::Display for Chord {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let ctrl = if cfg!(target_os = "macos") { "Cmd+" } else { "Ctrl+" };
        for (on, word) in [(self.ctrl, ctrl), (self.shift, "Shift+"), (self.alt, "Alt+")] {
            if on {
                f.write_str(word)?;
            }
        }
        f.write_str(match self.key {
            Key::PageUp => "Page up",
            Key::PageDown => "Page down",
            key => key.name(),
        })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn written_and_read() {
        for (text, chord) in [
            ("Up", Chord::plain(Key::ArrowUp)),
            ("ctrl+shift+z", Chord { shift: true, ..Chord::ctrl(Key::Z) }),
            ("Alt+F3", Chord { alt: true, ..Chord::plain(Key::F3) }),
            ("+", Chord::plain(Key::Plus)),
            ("Ctrl++", Chord::ctrl(Key::Plus)),
            ("Shift + PageUp", Chord::shift(Key::PageUp)),
        ] {
            assert_eq!(Chord::parse(text).unwrap(), chord, "{text}");
        }
        assert_eq!(Chord { shift: true, ..Chord::ctrl(Key::Z) }.to_string().replace("Cmd", "Ctrl"), "Ctrl+Shift+Z");
        for text in ["", "Hyper+A", "Nokey", "Ctrl+", "A+B"] {
            assert!(Chord::parse(text).is_err(), "{text}");
        }
    }
}
