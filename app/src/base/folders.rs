//! The user's folders: XDG Base Directory and xdg-user-dirs where there are such, the system's own elsewhere. A page has no
//! environment: its folders are those of its own tree.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// Where studies and pictures lie on the page; made when it starts.
pub const PAGE_STUDIES: &str = "/Studies";

/// A variable of the environment that is set and not empty.
fn variable(name: &str) -> Option<PathBuf> {
    std::env::var_os(name).filter(|v: &OsString| !v.is_empty()).map(PathBuf::from)
}

/// The user's home folder; none when the system names none.
pub fn home() -> Option<PathBuf> {
    if cfg!(target_arch = "wasm32") {
        return Some(PathBuf::from("/"));
    }
    variable(if cfg!(windows) { "USERPROFILE" } else { "HOME" })
}

/// Where settings lie, such as `keys.ron`. None when the system names no folder for the user.
pub fn config() -> Option<PathBuf> {
    if cfg!(target_arch = "wasm32") {
        Some(PathBuf::from("/Settings"))
    } else if cfg!(windows) {
        variable("APPDATA").map(|p| p.join("Stint"))
    } else if cfg!(target_os = "macos") {
        home().map(|h| h.join("Library/Application Support/Stint"))
    } else {
        variable("XDG_CONFIG_HOME").or_else(|| home().map(|h| h.join(".config"))).map(|p| p.join("stint"))
    }
}

/// Where the program keeps its own things, such as the list of recent studies: a folder `stint` in `folder` if given, else in
/// the user's data folder, else in the working folder.
pub fn data(folder: Option<&Path>) -> PathBuf {
    data_home(folder).join("stint")
}

/// The user's trash: the home trash of the FreeDesktop.org Trash specification 1.0 where there is such, a folder of our own elsewhere.
pub fn trash(folder: Option<&Path>) -> PathBuf {
    if cfg!(any(windows, target_os = "macos")) { data(folder).join("trash") } else { data_home(folder).join("Trash") }
}

/// The user's data folder, or `folder` in its place.
fn data_home(folder: Option<&Path>) -> PathBuf {
    let user = || {
        if cfg!(target_arch = "wasm32") {
            Some(PathBuf::from("/Data"))
        } else if cfg!(windows) {
            variable("LOCALAPPDATA")
        } else if cfg!(target_os = "macos") {
            home().map(|h| h.join("Library/Application Support"))
        } else {
            variable("XDG_DATA_HOME").or_else(|| home().map(|h| h.join(".local/share")))
        }
    };
    folder.map(Path::to_owned).or_else(user).unwrap_or_else(|| PathBuf::from("."))
}

/// The user's documents; the home folder where there are none, the working folder when the system names none.
pub fn documents() -> PathBuf {
    named("XDG_DOCUMENTS_DIR", "Documents")
}

/// The user's pictures; the home folder where there are none, the working folder when the system names none.
pub fn pictures() -> PathBuf {
    named("XDG_PICTURES_DIR", "Pictures")
}

/// A folder of the user's: what xdg-user-dirs calls `key`, else `usual` in the home folder, else the home folder.
fn named(key: &str, usual: &str) -> PathBuf {
    if cfg!(target_arch = "wasm32") {
        return PathBuf::from(PAGE_STUDIES);
    }
    let Some(home) = home() else { return PathBuf::from(".") };
    if cfg!(not(any(windows, target_os = "macos"))) {
        let settings = variable("XDG_CONFIG_HOME").unwrap_or_else(|| home.join(".config"));
        let text = disk::read_to_string(settings.join("user-dirs.dirs")).ok();
        if let Some(folder) = text.and_then(|text| user_dir(&text, key, &home))
            && disk::is_dir(&folder)
        {
            return folder;
        }
    }
    let folder = home.join(usual);
    if disk::is_dir(&folder) { folder } else { home }
}

/// A path as people write it: `~` and `~/` are the home folder. Nothing else is special.
pub fn expanded(text: &str) -> PathBuf {
    let text = text.trim();
    match (text.strip_prefix('~'), home()) {
        (Some(""), Some(home)) => home,
        (Some(rest), Some(home)) if rest.starts_with(['/', std::path::MAIN_SEPARATOR]) => {
            home.join(rest.trim_start_matches(['/', std::path::MAIN_SEPARATOR]))
        }
        _ => PathBuf::from(text),
    }
}

/// One entry of `user-dirs.dirs`: `NAME="$HOME/folder"` or `NAME="/folder"`.
fn user_dir(text: &str, name: &str, home: &Path) -> Option<PathBuf> {
    let value = text.lines().find_map(|line| line.trim().strip_prefix(name)?.strip_prefix('='))?;
    let value = value.trim().trim_matches('"');
    match value.strip_prefix("$HOME") {
        Some(rest) => Some(home.join(rest.trim_start_matches('/'))),
        None => disk::is_absolute(Path::new(value)).then(|| PathBuf::from(value)),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_tilde_is_the_home_folder_and_nothing_else_is_changed() {
        let home = home().unwrap();
        assert_eq!(expanded("~"), home);
        assert_eq!(expanded(" ~/photos/depot.jpg\n"), home.join("photos/depot.jpg"));
        for plain in ["~depot.jpg", "a/~/b", "/data", "depot.jpg"] {
            assert_eq!(expanded(plain), Path::new(plain));
        }
    }

    #[test]
    fn user_dirs_are_read_as_their_file_writes_them() {
        let text = "# comment\nXDG_DESKTOP_DIR=\"$HOME/Schreibtisch\"\nXDG_DOCUMENTS_DIR=\"$HOME/Dokumente\"\n";
        let home = Path::new("/home/kim");
        assert_eq!(user_dir(text, "XDG_DOCUMENTS_DIR", home).unwrap(), home.join("Dokumente"));
        assert_eq!(user_dir("XDG_DOCUMENTS_DIR=\"/data\"", "XDG_DOCUMENTS_DIR", home).unwrap(), Path::new("/data"));
        assert_eq!(user_dir("XDG_DOCUMENTS_DIR=\"data\"", "XDG_DOCUMENTS_DIR", home), None);
    }
}
