//! `keys.ron`: the painter's own keys. A map from the name of an action to its keys, such as
//! `{"StepBack": ["Ctrl+Z", "Backspace"], "Mirror": ["M"], "TwoTone": []}`; actions that are not named keep their keys.

use super::{Action, Chord, KeyMap};
use std::collections::BTreeMap;

/// What such a file holds: keys by the names of actions.
pub(super) type OwnKeys = BTreeMap<String, Vec<String>>;

/// What the text of such a file holds.
///
/// # Errors
/// The line that is not understood, and why.
pub(super) fn entries(text: &str) -> Result<OwnKeys, String> {
    ron::from_str(text)
        .map_err(|e| format!("line {} is not understood ({}); our own keys are used", e.span.start.line, e.code))
}

/// The keys in force by the text of such a file, and a sentence for everything in it that could not be used.
pub fn parse(text: &str) -> (KeyMap, Vec<String>) {
    match entries(text) {
        Ok(wanted) => map_of(&wanted),
        Err(why) => (KeyMap::default(), vec![why]),
    }
}

/// The keys in force where the painter chose these, and a sentence for everything among them that could not be used.
pub(super) fn map_of(wanted: &OwnKeys) -> (KeyMap, Vec<String>) {
    let mut map = KeyMap::default();
    let mut notices = Vec::new();
    let mut own = Vec::new();
    for (name, keys) in wanted {
        let Some(action) = Action::named(name) else {
            notices.push(format!("there is no action \"{name}\"; the key sheet and the manual name all of them"));
            continue;
        };
        let mut chords = Vec::new();
        for key in keys {
            match Chord::parse(key) {
                Ok(chord) if chords.contains(&chord) => {}
                Ok(chord) => chords.push(chord),
                Err(e) => notices.push(format!("{e} (for {name})")),
            }
        }
        own.push((action, chords));
    }
    for (action, chords) in &own {
        map.set(*action, chords.clone());
    }
    // A key can only do one thing: what the file says goes before what we chose.
    for (i, (action, chords)) in own.iter().enumerate() {
        for chord in chords {
            if let Some((other, _)) = own[..i].iter().find(|(_, c)| c.contains(chord)) {
                notices.push(format!(
                    "{chord} is given to both {} and {}; {} keeps it",
                    other.name(),
                    action.name(),
                    other.name()
                ));
                map.take_away(*action, *chord);
            }
            for other in Action::all() {
                if !own.iter().any(|(a, _)| *a == other) {
                    map.take_away(other, *chord);
                }
            }
        }
    }
    (map, notices)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ui::tool_kind::ToolKind;
    use egui::Key;

    #[test]
    fn own_keys_take_the_place_of_ours() {
        let (map, notices) = parse(r#"{"Mirror": ["A"], "Fit": [], "StepBack": ["Ctrl+Z", "Backspace"]}"#);
        assert!(notices.is_empty(), "{notices:?}");
        assert_eq!(map.action(Chord::plain(Key::A)), Some(Action::Mirror));
        assert_eq!(map.action(Chord::plain(Key::Backspace)), Some(Action::StepBack));
        assert!(map.keys(Action::Fit).is_empty());
        assert!(!map.keys(Action::Tool(ToolKind::Brush)).contains(&Chord::plain(Key::A)), "A key does one thing");
    }

    /// Found by fuzzing.
    #[test]
    fn a_key_that_is_given_twice_is_there_once() {
        let (map, notices) = parse(r#"{"Cancel": ["A", " a ", "A"]}"#);
        assert!(notices.len() <= 1, "{notices:?}");
        assert_eq!(map.keys(Action::Cancel), [Chord::plain(Key::A)]);
    }

    #[test]
    fn f1_is_a_key_like_others() {
        let (map, notices) = parse(r#"{"KeySheet": []}"#);
        assert!(notices.is_empty(), "{notices:?}");
        assert_eq!(map.action(Chord::plain(Key::F1)), None);
        let (map, notices) = parse(r#"{"Mirror": ["F1"]}"#);
        assert!(notices.is_empty(), "{notices:?}");
        assert_eq!(map.action(Chord::plain(Key::F1)), Some(Action::Mirror));
        assert!(map.keys(Action::KeySheet).is_empty());
    }

    #[test]
    fn a_file_of_an_earlier_version_keeps_its_keys() {
        let (map, notices) = parse(r#"{"Drop": ["Backspace"], "Lid": ["Ctrl+P"]}"#);
        assert!(notices.is_empty(), "{notices:?}");
        assert_eq!(map.action(Chord::plain(Key::Backspace)), Some(Action::Cancel));
        assert_eq!(map.action(Chord::ctrl(Key::P)), Some(Action::OpenFreeColour));
        for (former, now) in super::super::FORMER_NAMES {
            assert!(Action::named(former).is_some_and(|a| a.name() == now), "{former} is an action");
            assert!(Action::all().all(|a| a.name() != former), "{former} is free");
        }
    }

    #[test]
    fn everything_wrong_is_said_and_the_rest_is_used() {
        let (map, notices) = parse(r#"{"Mirrror": ["A"], "Fit": ["Nokey", "K"], "Brush": ["Q"], "Mass": ["Q", "W"]}"#);
        assert_eq!(notices.len(), 3, "{notices:?}");
        assert!(notices[0].contains("Nokey") || notices.iter().any(|n| n.contains("Nokey")));
        assert!(notices.iter().any(|n| n.contains("Mirrror")) && notices.iter().any(|n| n.contains("both")));
        assert_eq!(map.action(Chord::plain(Key::K)), Some(Action::Fit));
        assert_eq!(map.action(Chord::plain(Key::Q)), Some(Action::Tool(ToolKind::Brush)));
        assert_eq!(map.action(Chord::plain(Key::W)), Some(Action::Tool(ToolKind::Mass)));
        let (map, notices) = parse("{\n\"Fit\": [");
        assert!(notices.len() == 1 && notices[0].contains("line 2"), "{notices:?}");
        assert_eq!(map, KeyMap::default());
    }
}
