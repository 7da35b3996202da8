//! A study that is not where it was is looked for: first in the folders above, then where the painter keeps files.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use stint_model::disk::{self, Identity};

/// Folders that are looked into.
const MOST_FOLDERS: usize = 3000;
/// How far below a place it is looked for.
const DEPTH: u8 = 4;
/// How many folders up the search begins.
const UP: usize = 3;

/// The study that lay at `was`, wherever it is now: the same file, or else the only one of its name. Not where it was.
pub fn find(was: &Path, identity: Option<&Identity>, places: &[PathBuf]) -> Option<PathBuf> {
    let name = was.file_name()?;
    let up = was.ancestors().skip(1).take(UP).map(Path::to_owned).filter(|folder| folder.parent().is_some());
    let mut waiting: VecDeque<(PathBuf, u8)> = up.chain(places.iter().cloned()).map(|folder| (folder, 0)).collect();
    let mut seen: Vec<PathBuf> = Vec::new();
    let mut named: Vec<PathBuf> = Vec::new();
    while let Some((folder, depth)) = waiting.pop_front() {
        if seen.len() == MOST_FOLDERS || seen.contains(&folder) {
            continue;
        }
        let Ok(entries) = disk::read_dir(&folder) else { continue };
        seen.push(folder);
        for entry in entries.flatten() {
            let (path, file_name) = (entry.path(), entry.file_name());
            let Ok(kind) = entry.file_type() else { continue };
            if kind.is_dir() {
                // What is hidden is no place of a painter's, and the trash is one of those.
                if depth < DEPTH && !file_name.to_string_lossy().starts_with('.') {
                    waiting.push_back((path, depth + 1));
                }
            } else if path.extension().is_some_and(|ending| ending == "stint") && path != was {
                if Identity::TELLS && identity.is_some() && Identity::of(&path).ok().as_ref() == identity {
                    return Some(path);
                }
                if file_name == name && !named.contains(&path) {
                    named.push(path);
                }
            }
        }
    }
    match &named[..] {
        [only] => Some(only.clone()),
        _ => None,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_study_is_found_under_another_name_in_another_folder_and_a_guess_is_made_only_once() {
        let home = tempfile::tempdir().unwrap();
        // So deep that the search stays inside.
        let at = |name: &str| home.path().join("kim/painting").join(name);
        for folder in ["work", "old/2025", "other", ".hidden"] {
            std::fs::create_dir_all(at(folder)).unwrap();
        }
        std::fs::write(at("work/depot.stint"), "a").unwrap();
        let identity = Identity::of(&at("work/depot.stint")).unwrap();
        let was = at("work/depot.stint");
        std::fs::rename(&was, at("old/2025/blue hour.stint")).unwrap();
        assert_eq!(find(&was, Some(&identity), &[]).unwrap(), at("old/2025/blue hour.stint"));
        assert_eq!(find(&was, None, &[]), None);
        // By its name where nothing more is known, but not where two have it.
        std::fs::write(at("other/depot.stint"), "b").unwrap();
        assert_eq!(find(&was, None, &[]).unwrap(), at("other/depot.stint"));
        std::fs::write(at(".hidden/depot.stint"), "c").unwrap();
        assert!(find(&was, None, &[]).is_some());
        std::fs::write(at("old/depot.stint"), "d").unwrap();
        assert_eq!(find(&was, None, &[]), None);
        assert_eq!(find(Path::new("/"), None, &[]), None);
    }
}
