//! The studies opened last: a small list in the user's data folder.

use crate::base::folders;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use stint_model::disk;

/// How many are kept.
const MAX_STUDIES: usize = 200;

#[derive(Default, Serialize, Deserialize)]
struct Recent {
    studies: Vec<PathBuf>,
}

/// Where the list lies; in `folder` instead of the user's data folder if given.
fn list_file(folder: Option<&Path>) -> PathBuf {
    folders::data(folder).join("recent.ron")
}

/// The studies that are still there, the last one first. A list that cannot be read counts as empty: it holds nothing
/// that the painter cannot open by its path.
pub fn load(folder: Option<&Path>) -> Vec<PathBuf> {
    let text = disk::read_to_string(list_file(folder)).ok();
    let recent: Recent = text.and_then(|text| ron::from_str(&text).ok()).unwrap_or_default();
    recent.studies.into_iter().filter(|p| disk::is_file(p)).collect()
}

/// Puts a study at the top of the list.
///
/// # Errors
/// Where the list lies and why it cannot be written.
pub fn add(folder: Option<&Path>, study: &Path) -> Result<(), (PathBuf, std::io::Error)> {
    let file = list_file(folder);
    let study = disk::canonicalize(study).unwrap_or_else(|_| study.to_owned());
    let mut studies = load(folder);
    studies.retain(|p| *p != study);
    studies.insert(0, study);
    studies.truncate(MAX_STUDIES);
    let write = || {
        let text = ron::ser::to_string_pretty(&Recent { studies }, Default::default())
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
        assert_eq!(load(at), [one.clone(), two]);
        std::fs::remove_file(&one).unwrap();
        assert_eq!(load(at).len(), 1);
        std::fs::write(list_file(at), "not a list").unwrap();
        assert!(load(at).is_empty());
    }
}
