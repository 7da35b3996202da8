//! Keys by X's names, as key codes of the kernel (`linux/input-event-codes.h`) on a keyboard laid out as in the United States.

/// Layout of the keyboard that types, in the text form of keymaps (X Keyboard Extension); the compositor looks the parts up.
pub const KEYMAP: &str = "xkb_keymap {
    xkb_keycodes { include \"evdev+aliases(qwerty)\" };
    xkb_types { include \"complete\" };
    xkb_compat { include \"complete\" };
    xkb_symbols { include \"pc+us+inet(evdev)\" };
};\0";

/// Keys that are held while another is pressed: name, code, and the modifier they are in such a keymap.
const MODIFIERS: [(&str, u32, u32); 3] = [("shift", 42, 1), ("ctrl", 29, 4), ("alt", 56, 8)];

/// Keys that type nothing, or nothing one could write in a name.
const NAMED: [(&str, u32); 26] = [
    ("Escape", 1),
    ("BackSpace", 14),
    ("Tab", 15),
    ("Return", 28),
    ("space", 57),
    ("plus", 13),
    ("minus", 12),
    ("Home", 102),
    ("Up", 103),
    ("Page_Up", 104),
    ("Left", 105),
    ("Right", 106),
    ("End", 107),
    ("Down", 108),
    ("Page_Down", 109),
    ("Delete", 111),
    ("F1", 59),
    ("F2", 60),
    ("F3", 61),
    ("F4", 62),
    ("F5", 63),
    ("F6", 64),
    ("F7", 65),
    ("F8", 66),
    ("F9", 67),
    ("F10", 68),
];

/// What the rows of the keyboard type: code of the first key, the characters without shift, with it.
const ROWS: [(u32, &str, &str); 4] = [
    (2, "1234567890-=", "!@#$%^&*()_+"),
    (16, "qwertyuiop[]", "QWERTYUIOP{}"),
    (30, "asdfghjkl;'`", "ASDFGHJKL:\"~"),
    (43, "\\zxcvbnm,./", "|ZXCVBNM<>?"),
];

/// One press: the keys that are held meanwhile, the modifiers they make together, and the key itself.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Press {
    /// Codes of the keys held.
    pub held: Vec<u32>,
    /// Bits of the modifiers.
    pub modifiers: u32,
    /// Code of the key.
    pub key: u32,
}

/// The press that a chord such as "ctrl+shift+z" names.
pub fn press(chord: &str) -> Option<Press> {
    let mut parts: Vec<&str> = chord.split('+').collect();
    let key = parts.pop()?;
    let mut press = match NAMED.iter().find(|(name, _)| *name == key) {
        Some(&(_, key)) => Press { held: Vec::new(), modifiers: 0, key },
        None => typed(key.chars().next().filter(|c| c.len_utf8() == key.len())?)?,
    };
    for part in parts {
        hold(&mut press, part)?;
    }
    Some(press)
}

/// The press that types a character.
pub fn typed(character: char) -> Option<Press> {
    let plain = |key| Press { held: Vec::new(), modifiers: 0, key };
    if character == ' ' {
        return Some(plain(57));
    }
    ROWS.iter().find_map(|(first, without, with)| {
        let place = |row: &str| row.chars().position(|c| c == character).map(|i| first + i as u32);
        place(without).map(plain).or_else(|| {
            let mut press = plain(place(with)?);
            hold(&mut press, "shift")?;
            Some(press)
        })
    })
}

fn hold(press: &mut Press, name: &str) -> Option<()> {
    let &(_, code, modifier) = MODIFIERS.iter().find(|(modifier, ..)| *modifier == name)?;
    press.held.push(code);
    press.modifiers |= modifier;
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chords_and_characters_are_keys_of_the_kernel() {
        let z = Press { held: vec![29, 42], modifiers: 5, key: 44 };
        assert_eq!(press("ctrl+shift+z"), Some(z));
        assert_eq!(press("Return"), Some(Press { held: Vec::new(), modifiers: 0, key: 28 }));
        assert_eq!(typed('m'), press("m"));
        assert_eq!(typed('M'), Some(Press { held: vec![42], modifiers: 1, key: 50 }));
        assert_eq!((press("ctrl+nothing"), press("meta+a"), typed('é')), (None, None, None));
    }
}
