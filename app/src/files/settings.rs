//! `settings.ron`: what the painter set once and for all. A map from the name of a setting to its value, such as
//! `{"first_steps": false, "last_folder": "/home/kim/Pictures"}`. Names that this version does not know are kept as they are. A file that
//! cannot be understood is said and never written over; a single value that cannot is said with its line, and the file is kept beside
//! the new one before anything is written.

use ron::Value;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stint_model::disk;
use stint_render::mask::pressure_curve::PressureCurve;

/// Name of the file.
const FILE: &str = "settings.ron";
/// Name, without ending, of a file with mistakes that is kept beside it.
const KEPT_ASIDE: &str = "settings with mistakes";

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
/// Whether files are chosen inside the window even where the system has a dialog of its own.
pub const OWN_FILE_BROWSER: Setting<bool> = Setting::new("own_file_browser");
/// The name of the brush that was held last.
pub const BRUSH: Setting<String> = Setting::new("brush");
/// How much a trembling hand is steadied by every brush, 0 to 1; not set while each brush has its own way.
pub const STEADYING: Setting<f32> = Setting::new("steadying");
/// How hard the painter's hand presses, for every brush; not set while a pen's pressure counts as it is.
pub const PRESSURE: Setting<PressureCurve> = Setting::new("pressure");
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
    /// A file that is not understood, and is not written over.
    damaged: Option<PathBuf>,
    /// Whether a value was found in the file that cannot be used: the file is kept then before it is written.
    mistaken: bool,
}

impl Settings {
    /// Reads the settings of a folder, and a sentence for what could not be used. No file: nothing is set.
    pub fn read(folder: &Path) -> (Self, Vec<String>) {
        let file = folder.join(FILE);
        let told = |why: String| {
            let words =
                format!("{} {why}; nothing is written there, and what you set holds until you quit", file.display());
            (Settings { damaged: Some(file.clone()), ..Settings::default() }, vec![words])
        };
        match disk::read_to_string(&file) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                (Settings { file: Some(file.clone()), ..Settings::default() }, Vec::new())
            }
            Err(error) => told(format!("cannot be read ({error})")),
            Ok(text) => match ron::from_str(&text) {
                Ok(values) => (Settings { file: Some(file.clone()), values, ..Settings::default() }, Vec::new()),
                Err(error) => told(format!("is not understood in line {} ({})", error.span.start.line, error.code)),
            },
        }
    }

    /// What a setting is set to; nothing when it is not set, or set to something it cannot be.
    pub fn get<T: DeserializeOwned>(&self, setting: &Setting<T>) -> Option<T> {
        self.values.get(setting.name)?.clone().into_rust().ok()
    }

    /// A sentence with line and reason when a setting has a value that it cannot have; `usable` tells of one that it can.
    pub fn mistake<T: DeserializeOwned>(
        &mut self,
        setting: &Setting<T>,
        wanted: &str,
        usable: impl FnOnce(&T) -> bool,
    ) -> Option<String> {
        let value = self.values.get(setting.name)?.clone();
        if value.into_rust::<T>().is_ok_and(|value| usable(&value)) {
            return None;
        }
        self.mistaken = true;
        let file = self.file.as_ref()?;
        let name = format!("\"{}\"", setting.name);
        let text = disk::read_to_string(file).unwrap_or_default();
        let line = text.lines().position(|line| line.contains(&name)).map_or(1, |line| line + 1);
        Some(format!("{}, line {line}: {name} must be {wanted}; it counts as not set", file.display()))
    }

    /// The file that holds the settings, or the damaged one in its place.
    pub fn file(&self) -> Option<&Path> {
        self.file.as_deref().or(self.damaged.as_deref())
    }

    /// Whether nothing can be kept because the file is damaged.
    pub fn is_damaged(&self) -> bool {
        self.damaged.is_some()
    }

    /// Puts a damaged file aside under a free name beside it, so that settings are kept again; tells where it is now.
    ///
    /// # Errors
    /// When it cannot be moved.
    pub fn begin_anew(&mut self) -> std::io::Result<Option<PathBuf>> {
        let Some(file) = self.damaged.clone() else { return Ok(None) };
        let aside = disk::free_name(&disk::folder_of(&file), KEPT_ASIDE, ".ron");
        disk::rename(&file, &aside)?;
        (self.file, self.damaged) = (Some(file), None);
        Ok(Some(aside))
    }

    /// Sets it, here and in the file. What another window of the program set meanwhile stays.
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
        let value: Value =
            ron::to_string(to).map_err(|e| e.to_string()).and_then(|t| ron::from_str(&t).map_err(|e| e.to_string()))?;
        self.values.insert(setting.name.to_owned(), value.clone());
        self.write(|values| {
            values.insert(setting.name.to_owned(), value);
        })
    }

    /// Takes a setting out, here and in the file.
    ///
    /// # Errors
    /// As [`Settings::set`].
    pub fn unset<T>(&mut self, setting: &Setting<T>) -> Result<(), String> {
        if self.values.remove(setting.name).is_none() {
            return Ok(());
        }
        self.write(|values| {
            values.remove(setting.name);
        })
    }

    /// Makes a change in the file as it is now.
    fn write(&mut self, change: impl FnOnce(&mut BTreeMap<String, Value>)) -> Result<(), String> {
        let Some(file) = &self.file else { return Ok(()) };
        let write = || {
            let there = disk::read_to_string(file).ok();
            // A file that was spoilt since is left to who spoilt it.
            let mut values = match there.as_deref().map(ron::from_str) {
                Some(Ok(values)) => values,
                Some(Err(_)) => return Err(std::io::Error::other("it is not understood any more")),
                None => self.values.clone(),
            };
            change(&mut values);
            let text = ron::ser::to_string_pretty(&values, Default::default())
                .map_err(|e| std::io::Error::other(e.to_string()))?;
            let folder = disk::folder_of(file);
            disk::create_dir_all(&folder)?;
            if self.mistaken && there.is_some() {
                disk::copy(file, disk::free_name(&folder, KEPT_ASIDE, ".ron"))?;
            }
            disk::write(file, text + "\n")
        };
        write().map_err(|e| {
            format!("the settings {} cannot be written ({e}); make room for them or let them be", file.display())
        })?;
        self.mistaken = false;
        Ok(())
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
        // Put aside when the painter says so, with nothing of it lost.
        assert!(settings.is_damaged());
        let aside = settings.begin_anew().unwrap().unwrap();
        assert_eq!(std::fs::read_to_string(&aside).unwrap(), "{\n\"first_steps\": fal");
        settings.set(&FIRST_STEPS, &true).unwrap();
        assert_eq!(Settings::read(folder.path()).0.get(&FIRST_STEPS), Some(true));
    }

    #[test]
    fn a_value_that_cannot_be_is_said_with_its_line_and_kept_aside_before_anything_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(FILE);
        let text = "{\n  \"first_steps\": true,\n  \"steadying\": 7.0,\n}\n";
        std::fs::write(&file, text).unwrap();
        let (mut settings, told) = Settings::read(folder.path());
        assert!(told.is_empty());
        assert_eq!(settings.mistake(&FIRST_STEPS, "true or false", |_| true), None);
        let said = settings.mistake(&STEADYING, "a number from 0 to 1", |s| (0.0..=1.0).contains(s)).unwrap();
        assert!(said.contains("line 3: \"steadying\" must be a number from 0 to 1"), "{said}");
        settings.set(&STEADYING, &0.5).unwrap();
        settings.set(&FIRST_STEPS, &false).unwrap();
        let aside = folder.path().join(format!("{KEPT_ASIDE}.ron"));
        assert_eq!(std::fs::read_to_string(aside).unwrap(), text);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2, "kept aside once");
    }

    #[test]
    fn what_two_windows_set_is_kept_from_both() {
        let folder = tempfile::tempdir().unwrap();
        let ((mut one, _), (mut other, _)) = (Settings::read(folder.path()), Settings::read(folder.path()));
        one.set(&FIRST_STEPS, &false).unwrap();
        other.set(&BRUSH, &"Flat".to_owned()).unwrap();
        other.set(&STEADYING, &0.5).unwrap();
        other.unset(&STEADYING).unwrap();
        let (now, _) = Settings::read(folder.path());
        assert_eq!((now.get(&FIRST_STEPS), now.get(&BRUSH).as_deref()), (Some(false), Some("Flat")));
        assert_eq!(now.get(&STEADYING), None);
    }
}
