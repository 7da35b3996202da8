//! The painter's keys: `keys.ron`, what stands in it, and the keys that come of it; changed one action at a time.

use super::file::{OwnKeys, entries, map_of};
use super::{Action, Chord, FORMER_NAMES, KeyMap};
use egui::Key;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// Keys in force, and where the painter's own are kept.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Keys {
    /// Nowhere when the system names no folder, and when what is there is not understood.
    file: Option<PathBuf>,
    /// What the painter chose. Names and keys that this version does not know stay as they are.
    own: OwnKeys,
    map: KeyMap,
}

/// Keys that stay with what every program does with them.
const RESERVED: [(Key, &str); 3] = [(Key::C, "copies"), (Key::X, "cuts"), (Key::V, "pastes")];

impl Keys {
    /// The keys in force, and a sentence for everything in the file that could not be used. No file: our own keys. A file that is
    /// not understood is never written over.
    pub fn read(path: &Path) -> (Self, Vec<String>) {
        let at = |why: String| format!("{}: {why}", path.display());
        let text = match disk::read_to_string(path) {
            Ok(text) => text,
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => {
                return (Keys { file: Some(path.to_owned()), ..Keys::default() }, Vec::new());
            }
            Err(e) => return (Keys::default(), vec![at(format!("it cannot be read ({e}); our own keys are used"))]),
        };
        match entries(&text) {
            Ok(own) => {
                let (map, notices) = map_of(&own);
                (Keys { file: Some(path.to_owned()), own, map }, notices.into_iter().map(at).collect())
            }
            Err(why) => (Keys::default(), vec![at(why)]),
        }
    }

    /// The keys in force.
    pub fn map(&self) -> &KeyMap {
        &self.map
    }

    /// Whether an action has other keys than it came with.
    pub fn is_changed(&self, action: Action) -> bool {
        self.map.keys(action) != action.own_keys()
    }

    /// Whether any action has.
    pub fn any_changed(&self) -> bool {
        Action::all().any(|action| self.is_changed(action))
    }

    /// Why a key can be nobody's.
    pub fn refuses(chord: Chord) -> Option<String> {
        let (_, does) = RESERVED.iter().find(|(key, _)| chord == Chord::ctrl(*key))?;
        Some(format!("{chord} {does}, and stays so"))
    }

    /// The first of these keys that another action has, and that action.
    pub fn clash(&self, action: Action, chords: &[Chord]) -> Option<(Chord, Action)> {
        chords.iter().find_map(|chord| Some((*chord, self.map.action(*chord).filter(|other| *other != action)?)))
    }

    /// Gives an action these keys and no others, and takes them from whoever has them; kept in the file.
    ///
    /// # Errors
    /// When the file cannot be written, with what to do; the keys hold until the program ends all the same.
    pub fn give(&mut self, action: Action, chords: &[Chord]) -> Result<(), String> {
        for keys in self.own.values_mut() {
            keys.retain(|key| !Chord::parse(key).is_ok_and(|chord| chords.contains(&chord)));
        }
        self.forget(action);
        if chords != action.own_keys() {
            self.own.insert(action.name().to_owned(), chords.iter().map(Chord::written).collect());
        }
        self.keep()
    }

    /// Gives every action the keys it came with.
    ///
    /// # Errors
    /// As [`Keys::give`].
    pub fn reset(&mut self) -> Result<(), String> {
        Action::all().for_each(|action| self.forget(action));
        self.keep()
    }

    fn forget(&mut self, action: Action) {
        self.own.remove(action.name());
        for (former, _) in FORMER_NAMES.iter().filter(|(_, now)| *now == action.name()) {
            self.own.remove(*former);
        }
    }

    fn keep(&mut self) -> Result<(), String> {
        self.map = map_of(&self.own).0;
        let Some(file) = &self.file else { return Ok(()) };
        let write = || {
            let text = ron::ser::to_string_pretty(&self.own, ron::ser::PrettyConfig::new().depth_limit(1))
                .map_err(|e| std::io::Error::other(e.to_string()))?;
            disk::create_dir_all(disk::folder_of(file))?;
            disk::write(file, text + "\n")
        };
        write().map_err(|e| format!("the keys {} cannot be written ({e}); make room for them", file.display()))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::ui::tool_kind::ToolKind;

    #[test]
    fn a_key_that_is_given_is_taken_from_its_owner_and_found_again() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("stint/keys.ron");
        let (mut keys, told) = Keys::read(&file);
        assert!(told.is_empty() && !keys.any_changed());
        let (a, brush) = (Chord::plain(Key::A), Action::Tool(ToolKind::Brush));
        assert_eq!(keys.clash(Action::Mirror, &[a]), Some((a, brush)));
        keys.give(Action::Mirror, &[a]).unwrap();
        keys.give(Action::StepOn, &[]).unwrap();
        let (mut keys, told) = Keys::read(&file);
        assert!(told.is_empty(), "{told:?}");
        assert_eq!(keys.map().action(a), Some(Action::Mirror));
        assert!(keys.map().keys(brush).is_empty() && keys.map().keys(Action::StepOn).is_empty());
        assert!(keys.is_changed(brush) && keys.is_changed(Action::Mirror) && !keys.is_changed(Action::Fit));
        // Back to the brush, which leaves nothing of it in the file.
        keys.give(brush, &[a]).unwrap();
        assert!(keys.map().keys(Action::Mirror).is_empty());
        keys.give(Action::Mirror, &[Chord::plain(Key::F7)]).unwrap();
        assert_eq!(std::fs::read_to_string(&file).unwrap().matches('[').count(), 1, "only what differs is written");
        keys.reset().unwrap();
        assert_eq!(*Keys::read(&file).0.map(), KeyMap::default());
    }

    #[test]
    fn what_is_not_known_stays_and_what_is_damaged_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("keys.ron");
        std::fs::write(&file, r#"{"Later": ["Hyper+A"], "Drop": ["Backspace"]}"#).unwrap();
        let (mut keys, told) = Keys::read(&file);
        assert_eq!(told.len(), 1, "{told:?}");
        keys.give(Action::Cancel, &[Chord::plain(Key::Escape)]).unwrap();
        let text = std::fs::read_to_string(&file).unwrap();
        assert!(text.contains("Hyper+A") && !text.contains("Drop"), "{text}");
        std::fs::write(&file, "{\n\"Fit\": [").unwrap();
        let (mut keys, told) = Keys::read(&file);
        assert!(told[0].contains("line 2"), "{told:?}");
        keys.give(Action::Fit, &[Chord::plain(Key::K)]).unwrap();
        assert_eq!(keys.map().action(Chord::plain(Key::K)), Some(Action::Fit));
        assert_eq!(std::fs::read_to_string(&file).unwrap(), "{\n\"Fit\": [");
    }

    #[test]
    fn every_key_is_written_as_it_is_read() {
        for chord in Action::all().flat_map(Action::own_keys) {
            assert_eq!(Chord::parse(&chord.written()), Ok(chord));
        }
        assert!(Keys::refuses(Chord::ctrl(Key::V)).is_some() && Keys::refuses(Chord::plain(Key::V)).is_none());
    }
}
