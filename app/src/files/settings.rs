//! `settings.ron`: what the painter set once and for all. A map from the name of a setting to its value, such as
//! `{"first_steps": false, "last_folder": "/home/kim/Pictures"}`. Names that this version does not know are kept as they are; a file that
//! cannot be understood is said and never written over.

use ron::Value;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// Name of the file.
const FILE: &str = "settings.ron";

/// A setting: its name in the file, and the type of its value.
pub struct Setting<T> {
    name: &'static str,
    kind: std::marker::PhantomData<T>,
}

impl<T> Setting<T> {
    /// A setting of this name.
    pub const fn new(name: &'static str) -> Self {
        Setting { name, kind: std::marker::PhantomData }
    }
}

/// Whether the line with the next step of a first study shows.
pub const FIRST_STEPS: Setting<bool> = Setting::new("first_steps");
/// The folder in which a file was chosen last.
pub const LAST_FOLDER: Setting<PathBuf> = Setting::new("last_folder");
/// The name of the brush that was held last.
pub const BRUSH: Setting<String> = Setting::new("brush");
/// How much a trembling hand is steadied by every brush, 0 to 1; not set while each brush has its own way.
pub const STEADYING: Setting<f32> = Setting::new("steadying");
/// Sizes of brushes by their names, canvas pixels, where the painter chose another than the brush came with.
pub const BRUSH_SIZES: Setting<BTreeMap<String, f32>> = Setting::new("brush_sizes");

/// Kinds of sentences for the next study that were sent away.
pub const NEXT_TIME_AWAY: Setting<Vec<String>> = Setting::new("next_time_away");

/// The settings in force.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Settings {
    /// Where they are kept; nowhere when the system names no folder, and when what is there is damaged.
    file: Option<PathBuf>,
    values: BTreeMap<String, Value>,
}

impl Settings {
    /// Reads the settings of a folder, and a sentence for what could not be used. No file: nothing is set.
    pub fn read(folder: &Path) -> (Self, Vec<String>) {
        let file = folder.join(FILE);
        let told = |why: String| {
            let words =
                format!("{} {why}; nothing is written there, and what you set holds until you quit", file.display());
            (Settings::default(), vec![words])
        };
        match disk::read_to_string(&file) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                (Settings { file: Some(file), values: BTreeMap::new() }, Vec::new())
            }
            Err(error) => told(format!("cannot be read ({error})")),
            Ok(text) => match ron::from_str(&text) {
                Ok(values) => (Settings { file: Some(file), values }, Vec::new()),
                Err(error) => told(format!("is not understood in line {} ({})", error.span.start.line, error.code)),
            },
        }
    }

    /// What a setting is set to; nothing when it is not set, or set to something it cannot be.
    pub fn get<T: DeserializeOwned>(&self, setting: &Setting<T>) -> Option<T> {
        self.values.get(setting.name)?.clone().into_rust().ok()
    }

    /// Sets it, here and in the file.
    ///
    /// # Errors
    /// When the file cannot be written, with what to do; it is set until the program ends all the same.
    pub fn set<T: Serialize + PartialEq + DeserializeOwned>(
        &mut self,
        setting: &Setting<T>,
        to: &T,
    ) -> Result<(), String> {
        if self.get(setting).as_ref() == Some(to) {
            return Ok(());
        }
        // By way of its text, which is also what the file holds.
        let value =
            ron::to_string(to).map_err(|e| e.to_string()).and_then(|t| ron::from_str(&t).map_err(|e| e.to_string()))?;
        self.values.insert(setting.name.to_owned(), value);
        let Some(file) = &self.file else { return Ok(()) };
        let write = || {
            let text = ron::ser::to_string_pretty(&self.values, Default::default())
                .map_err(|e| std::io::Error::other(e.to_string()))?;
            disk::create_dir_all(disk::folder_of(file))?;
            disk::write(file, text + "\n")
        };
        write().map_err(|e| {
            format!("the settings {} cannot be written ({e}); make room for them or let them be", file.display())
        })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn what_is_set_is_found_again_and_what_others_set_is_kept() {
        let folder = tempfile::tempdir().unwrap();
        let inside = folder.path().join("stint");
        let (mut settings, told) = Settings::read(&inside);
        assert!(told.is_empty() && settings.get(&FIRST_STEPS).is_none());
        settings.set(&FIRST_STEPS, &false).unwrap();
        let file = inside.join(FILE);
        let more = r#"{"window": [1280, 800], "tool": "Mass", "brush": {"size_px": 12.5}, "#;
        std::fs::write(&file, std::fs::read_to_string(&file).unwrap().replacen('{', more, 1)).unwrap();
        let (mut settings, told) = Settings::read(&inside);
        assert!(told.is_empty(), "{told:?}");
        assert_eq!(settings.get(&FIRST_STEPS), Some(false));
        settings.set(&LAST_FOLDER, &PathBuf::from("/photos/a \"b\"")).unwrap();
        let (settings, told) = Settings::read(&inside);
        assert!(told.is_empty(), "{told:?}");
        assert_eq!(settings.get(&LAST_FOLDER).unwrap(), Path::new("/photos/a \"b\""));
        assert_eq!(settings.get(&Setting::<(u32, u32)>::new("window")), Some((1280, 800)));
        assert_eq!(settings.get(&Setting::<String>::new("tool")).as_deref(), Some("Mass"));
        let brush: BTreeMap<String, f32> = settings.get(&Setting::new("brush")).unwrap();
        assert_eq!(brush["size_px"], 12.5);
        // A value of another kind counts as not set.
        assert_eq!(settings.get(&Setting::<bool>::new("tool")), None);
    }

    #[test]
    fn a_damaged_file_is_said_and_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(FILE);
        std::fs::write(&file, "{\n\"first_steps\": fal").unwrap();
        let (mut settings, told) = Settings::read(folder.path());
        assert!(told.len() == 1 && told[0].contains("line 2") && told[0].contains(FILE), "{told:?}");
        settings.set(&FIRST_STEPS, &false).unwrap();
        assert_eq!(settings.get(&FIRST_STEPS), Some(false));
        assert_eq!(std::fs::read_to_string(&file).unwrap(), "{\n\"first_steps\": fal");
    }
}
