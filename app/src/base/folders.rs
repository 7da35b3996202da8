//! The user's folders: XDG Base Directory and xdg-user-dirs where there are such, the system's own elsewhere.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// A variable of the environment that is set and not empty.
fn variable(name: &str) -> Option<PathBuf> {
    std::env::var_os(name).filter(|v: &OsString| !v.is_empty()).map(PathBuf::from)
}

fn home() -> Option<PathBuf> {
    variable(if cfg!(windows) { "USERPROFILE" } else { "HOME" })
}

/// Where settings lie, such as `keys.ron`. None when the system names no folder for the user.
pub fn config() -> Option<PathBuf> {
    if cfg!(windows) {
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
    let user = || {
        if cfg!(windows) {
            variable("LOCALAPPDATA")
        } else if cfg!(target_os = "macos") {
            home().map(|h| h.join("Library/Application Support"))
        } else {
            variable("XDG_DATA_HOME").or_else(|| home().map(|h| h.join(".local/share")))
        }
    };
    folder.map(Path::to_owned).or_else(user).unwrap_or_else(|| PathBuf::from(".")).join("stint")
}

/// The user's documents; the working folder when the system names none.
pub fn documents() -> PathBuf {
    let Some(home) = home() else { return PathBuf::from(".") };
    if cfg!(not(any(windows, target_os = "macos"))) {
        let settings = variable("XDG_CONFIG_HOME").unwrap_or_else(|| home.join(".config"));
        let named = disk::read_to_string(settings.join("user-dirs.dirs")).ok();
        if let Some(folder) = named.and_then(|text| user_dir(&text, "XDG_DOCUMENTS_DIR", &home))
            && disk::is_dir(&folder)
        {
            return folder;
        }
    }
    let documents = home.join("Documents");
    if disk::is_dir(&documents) { documents } else { home }
}

/// One entry of `user-dirs.dirs`: `NAME="$HOME/folder"` or `NAME="/folder"`.
fn user_dir(text: &str, name: &str, home: &Path) -> Option<PathBuf> {
    let value = text.lines().find_map(|line| line.trim().strip_prefix(name)?.strip_prefix('='))?;
    let value = value.trim().trim_matches('"');
    match value.strip_prefix("$HOME") {
        Some(rest) => Some(home.join(rest.trim_start_matches('/'))),
        None => Path::new(value).is_absolute().then(|| PathBuf::from(value)),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn user_dirs_are_read_as_their_file_writes_them() {
        let text = "# comment\nXDG_DESKTOP_DIR=\"$HOME/Schreibtisch\"\nXDG_DOCUMENTS_DIR=\"$HOME/Dokumente\"\n";
        let home = Path::new("/home/kim");
        assert_eq!(user_dir(text, "XDG_DOCUMENTS_DIR", home).unwrap(), home.join("Dokumente"));
        assert_eq!(user_dir("XDG_DOCUMENTS_DIR=\"/data\"", "XDG_DOCUMENTS_DIR", home).unwrap(), Path::new("/data"));
        assert_eq!(user_dir("XDG_DOCUMENTS_DIR=\"data\"", "XDG_DOCUMENTS_DIR", home), None);
    }
}
