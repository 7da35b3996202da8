//! File names for boards: a board's name as far as every system takes it.

use super::LibraryError;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// End of the name of a board's file.
pub(super) const BOARD_SUFFIX: &str = ".board.ron";
/// End of the name of the small copy of its photo.
pub(super) const PHOTO_SUFFIX: &str = ".photo.png";
/// The empty file that is locked while names are given.
const LOCK: &str = ".names";
/// Longest stem, bytes. File systems take 255 bytes with the suffix, encrypted ones 143.
const MAX_STEM_BYTES: usize = 100;
/// Names that Windows keeps for devices, whatever follows their dot (Microsoft, "Naming Files, Paths, and Namespaces").
const DEVICES: [&str; 4] = ["CON", "PRN", "AUX", "NUL"];

/// A file name without suffix for a board of this name. Letters of every script stay; what a file system refuses becomes "-".
pub fn safe_stem(name: &str) -> String {
    let refused = |c: char| c.is_control() || r#"/\:*?"<>|"#.contains(c);
    let mut stem: String = name.chars().map(|c| if refused(c) { '-' } else { c }).collect();
    let mut end = stem.len().min(MAX_STEM_BYTES);
    while !stem.is_char_boundary(end) {
        end -= 1;
    }
    stem.truncate(end);
    // Dots in front hide a file, dots and blanks at the end are dropped by Windows.
    let stem = stem.trim_matches(|c: char| c == '.' || c.is_whitespace());
    let first = stem.split('.').next().unwrap_or_default().trim_end();
    let upper = first.to_ascii_uppercase();
    let port = (upper.starts_with("COM") || upper.starts_with("LPT"))
        && upper.chars().count() == 4
        && upper.ends_with(|c: char| c.is_ascii_digit() || "¹²³".contains(c));
    match stem {
        "" => "board".to_owned(),
        _ if port || DEVICES.contains(&upper.as_str()) => format!("{stem}-board"),
        _ => stem.to_owned(),
    }
}

/// Whether two names are one on a file system that takes no notice of case.
pub(super) fn same(a: &str, b: &str) -> bool {
    a.to_lowercase() == b.to_lowercase()
}

/// The file of a board.
pub(super) fn board_file(folder: &Path, stem: &str) -> PathBuf {
    folder.join(format!("{stem}{BOARD_SUFFIX}"))
}

/// Makes a folder and waits until no other program is giving a name in it: names are looked up and taken while this is held.
pub(super) fn lock(folder: &Path) -> Result<disk::File, LibraryError> {
    let refused = |source| LibraryError::Folder { path: folder.to_owned(), source };
    disk::create_dir_all(folder).map_err(refused)?;
    let mark = disk::options().write(true).create(true).truncate(false).open(folder.join(LOCK)).map_err(refused)?;
    match mark.lock() {
        // Where a file system knows no locks, names are given without.
        Err(error) if error.kind() != ErrorKind::Unsupported => Err(refused(error)),
        _ => Ok(mark),
    }
}

/// Makes a folder, and in it an empty file for a board of this name. It is made only if it was not there, so two programs never
/// get the same one.
pub(super) fn claim(folder: &Path, name: &str) -> Result<PathBuf, LibraryError> {
    let refused = |source| LibraryError::Folder { path: folder.to_owned(), source };
    disk::create_dir_all(folder).map_err(refused)?;
    let mut taken: Vec<String> = Vec::new();
    for file in disk::read_dir(folder).map_err(refused)? {
        let name = file.map_err(refused)?.file_name().to_string_lossy().to_lowercase();
        taken.extend([BOARD_SUFFIX, PHOTO_SUFFIX].iter().filter_map(|s| name.strip_suffix(s)).map(str::to_owned));
    }
    loop {
        let stem = disk::numbered(&safe_stem(name), |n| taken.contains(&n.to_lowercase()));
        let path = board_file(folder, &stem);
        match disk::create_new(&path) {
            Ok(_) => return Ok(path),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => taken.push(stem.to_lowercase()),
            Err(source) => return Err(LibraryError::Write { path, source }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_script_stays_and_what_systems_refuse_goes() {
        for (name, stem) in [
            ("Tram depot, blue hour", "Tram depot, blue hour"),
            ("青い時間 · трамвай", "青い時間 · трамвай"),
            ("a/b\\c:d*e?f\"g<h>i|j", "a-b-c-d-e-f-g-h-i-j"),
            ("line\nfeed\t", "line-feed-"),
            ("../../etc", "-..-etc"),
            (" ..hidden. ", "hidden"),
            ("", "board"),
            ("...", "board"),
            ("con", "con-board"),
            ("Nul.light", "Nul.light-board"),
            ("LPT1", "LPT1-board"),
            ("COM10", "COM10"),
            ("Console", "Console"),
        ] {
            assert_eq!(safe_stem(name), stem, "{name:?}");
        }
        let long = safe_stem(&"ü".repeat(300));
        assert_eq!(long, "ü".repeat(50));
    }
}
