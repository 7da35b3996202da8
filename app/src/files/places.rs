//! Where a painter looks for files: the home folder, pictures, documents, and media that were put in.

use crate::base::folders;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// What a place is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PlaceKind {
    /// The user's home folder.
    Home,
    /// The user's pictures.
    Pictures,
    /// The user's documents.
    Documents,
    /// A disk or a card.
    Medium,
}

/// A place to look for files.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Place {
    /// What it is.
    pub kind: PlaceKind,
    /// The folder.
    pub path: PathBuf,
}

/// The places of this machine that are there now, each folder once. Reads folders: call it beside the window.
pub fn places() -> Vec<Place> {
    let mut places = Vec::new();
    let mut add = |kind, path: PathBuf| {
        if disk::is_dir(&path) && places.iter().all(|p: &Place| p.path != path) {
            places.push(Place { kind, path });
        }
    };
    if let Some(home) = folders::home() {
        add(PlaceKind::Home, home);
    }
    add(PlaceKind::Pictures, folders::pictures());
    add(PlaceKind::Documents, folders::documents());
    for medium in media() {
        add(PlaceKind::Medium, medium);
    }
    places
}

/// Where the system mounts disks and cards. Linux: udisks mounts below `/run/media/USER` or `/media/USER` (udisks manual), `/mnt` is for
/// mounts by hand (Filesystem Hierarchy Standard 3.0, 3.12). Elsewhere: `/Volumes`, and the letters of drives.
fn media() -> Vec<PathBuf> {
    if cfg!(windows) {
        return ('A'..='Z').map(|letter| PathBuf::from(format!("{letter}:\\"))).collect();
    }
    if cfg!(target_os = "macos") {
        return folders_in(Path::new("/Volumes"));
    }
    let user = std::env::var_os("USER").unwrap_or_default();
    let mut media = Vec::new();
    if !user.is_empty() {
        media.extend(["/run/media", "/media"].iter().flat_map(|root| folders_in(&Path::new(root).join(&user))));
    }
    media.extend(folders_in(Path::new("/mnt")));
    media
}

fn folders_in(root: &Path) -> Vec<PathBuf> {
    let Ok(entries) = disk::read_dir(root) else { return Vec::new() };
    let mut found: Vec<_> = entries.flatten().map(|entry| entry.path()).filter(|path| disk::is_dir(path)).collect();
    found.sort();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_place_is_a_folder_and_named_once() {
        let places = places();
        for (i, place) in places.iter().enumerate() {
            assert!(disk::is_dir(&place.path), "{place:?}");
            assert!(places[..i].iter().all(|other| other.path != place.path), "{place:?}");
        }
        assert_eq!(places.first().map(|p| p.kind), Some(PlaceKind::Home));
    }
}
