//! The studies opened last: a small list in the user's data folder.

use super::listing::{self, Form, Order, Wanted};
use crate::base::folders;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stint_model::disk::{self, Identity};

/// How many are kept. A page has no other way to a study than this list, so there it has them all.
const MAX_STUDIES: usize = if cfg!(target_arch = "wasm32") { usize::MAX } else { 200 };

#[derive(Default, Serialize, Deserialize)]
struct Recent {
    studies: Vec<PathBuf>,
    /// Which files they are, to find them again where they were moved to.
    #[serde(default)]
    files: BTreeMap<PathBuf, Identity>,
}

/// Where the list lies; in `folder` instead of the user's data folder if given.
fn list_file(folder: Option<&Path>) -> PathBuf {
    folders::data(folder).join("recent.ron")
}

/// A list that cannot be read counts as empty: it holds nothing that the painter cannot open by its path.
fn read(folder: Option<&Path>) -> Recent {
    let text = disk::read_to_string(list_file(folder)).ok();
    text.and_then(|text| ron::from_str(&text).ok()).unwrap_or_default()
}

/// The studies that are still there, the last one first.
pub fn load(folder: Option<&Path>) -> Vec<PathBuf> {
    read(folder).studies.into_iter().filter(|p| disk::is_file(p)).collect()
}

/// All studies that are remembered, the last one first, those that are not there too.
pub fn all(folder: Option<&Path>) -> Vec<PathBuf> {
    read(folder).studies
}

/// Which file a study was when it was opened last.
pub fn identity(folder: Option<&Path>, study: &Path) -> Option<Identity> {
    read(folder).files.remove(study)
}

/// Puts a study at the top of the list.
///
/// # Errors
/// Where the list lies and why it cannot be written.
pub fn add(folder: Option<&Path>, study: &Path) -> Result<(), (PathBuf, std::io::Error)> {
    let study = full(study);
    change(folder, |recent| {
        recent.studies.retain(|p| *p != study);
        recent.files.extend(Identity::of(&study).ok().map(|identity| (study.clone(), identity)));
        recent.studies.insert(0, study);
    })
}

/// Puts every study of some folders on the list that is not there yet, behind the others and the newest first: one that was being made
/// when the browser was killed is stored and was never listed. A folder that is not there has none.
///
/// # Errors
/// As [`add`].
pub fn take_in(data: Option<&Path>, folders: &[&Path]) -> Result<(), (PathBuf, std::io::Error)> {
    let listed = all(data);
    let entries = folders.iter().flat_map(|folder| listing::list(folder).unwrap_or_default());
    let missing = entries.filter(|entry| entry.form == Form::Study && !listed.contains(&full(&entry.path)));
    let found = listing::shown(&missing.collect::<Vec<_>>(), Wanted::Study, false, false, Order::Newest);
    if found.is_empty() {
        return Ok(());
    }
    change(data, |recent| {
        for path in found.into_iter().map(|entry| full(&entry.path)) {
            recent.files.extend(Identity::of(&path).ok().map(|identity| (path.clone(), identity)));
            recent.studies.push(path);
        }
    })
}

/// Gives a study the path it has now; one that is gone leaves the list.
///
/// # Errors
/// As [`add`].
pub fn moved(folder: Option<&Path>, from: &Path, to: Option<&Path>) -> Result<(), (PathBuf, std::io::Error)> {
    let to = to.map(full);
    change(folder, |recent| {
        let place = recent.studies.iter().position(|p| p == from).unwrap_or(0);
        recent.studies.retain(|p| p != from && Some(p) != to.as_ref());
        if let Some(to) = to {
            recent.files.extend(Identity::of(&to).ok().map(|identity| (to.clone(), identity)));
            recent.studies.insert(place.min(recent.studies.len()), to);
        }
    })
}

fn full(study: &Path) -> PathBuf {
    disk::canonicalize(study).unwrap_or_else(|_| study.to_owned())
}

fn change(folder: Option<&Path>, change: impl FnOnce(&mut Recent)) -> Result<(), (PathBuf, std::io::Error)> {
    let file = list_file(folder);
    let mut recent = read(folder);
    change(&mut recent);
    recent.studies.truncate(MAX_STUDIES);
    let Recent { studies, files } = &mut recent;
    files.retain(|path, _| studies.contains(path));
    let write = || {
        let text = ron::ser::to_string_pretty(&recent, Default::default())
            .map_err(|e| std::io::Error::other(e.to_string()))?;
        if let Some(folder) = file.parent() {
            disk::create_dir_all(folder)?;
        }
        disk::write(&file, text)
    };
    write().map_err(|e| (file.clone(), e))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_last_opened_comes_first_and_once_and_the_gone_go() {
        let folder = tempfile::tempdir().unwrap();
        let at = Some(folder.path());
        let study = |name: &str| {
            let path = folder.path().join(name);
            std::fs::write(&path, "").unwrap();
            path.canonicalize().unwrap()
        };
        let (one, two) = (study("one.stint"), study("two.stint"));
        for path in [&one, &two, &one] {
            add(at, path).unwrap();
        }
        assert_eq!(load(at), [one.clone(), two.clone()]);
        // One that was moved keeps its place, and one that is not there stays on the list of all.
        let three = folder.path().canonicalize().unwrap().join("three.stint");
        assert_eq!(identity(at, &two), Identity::of(&two).ok());
        std::fs::rename(&two, &three).unwrap();
        assert_eq!((load(at).len(), all(at).len()), (1, 2));
        moved(at, &two, Some(&three)).unwrap();
        assert_eq!(load(at), [one.clone(), three.clone()]);
        moved(at, &three, None).unwrap();
        assert_eq!(all(at), std::slice::from_ref(&one));
        std::fs::remove_file(&one).unwrap();
        assert!(load(at).is_empty());
        // A list as earlier versions wrote it.
        std::fs::write(&one, "").unwrap();
        std::fs::write(list_file(at), format!("(studies: [{one:?}])")).unwrap();
        assert_eq!(load(at), std::slice::from_ref(&one));
        std::fs::write(list_file(at), "not a list").unwrap();
        assert!(load(at).is_empty());
    }

    #[test]
    fn a_study_that_is_stored_and_was_never_listed_is_taken_in_behind_the_others_once() {
        let folder = tempfile::tempdir().unwrap();
        let home = folder.path().canonicalize().unwrap();
        let (at, studies) = (Some(&*home), home.join("Studies"));
        std::fs::create_dir(&studies).unwrap();
        let study = |name: &str, day: u64| {
            let path = studies.join(name);
            let file = std::fs::File::create(&path).unwrap();
            file.set_modified(std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_hours(24 * day)).unwrap();
            path
        };
        let (older, listed, newer) = (study("older.stint", 1), study("listed.stint", 2), study("newer.stint", 3));
        study("a picture.png", 4);
        study(".stint-0.new.stint", 5);
        std::fs::create_dir(studies.join("a folder.stint")).unwrap();
        add(at, &listed).unwrap();
        for _ in 0..2 {
            take_in(at, &[&studies, &home.join("no folder")]).unwrap();
            assert_eq!(all(at), [listed.clone(), newer.clone(), older.clone()]);
        }
        // A list that is lost is made anew of what is there.
        std::fs::remove_file(list_file(at)).unwrap();
        take_in(at, &[&studies]).unwrap();
        assert_eq!(load(at), [newer, listed, older]);
    }
}
