//! The first name that is free: `depot.stint`, `depot 2.stint`, `depot 3.stint` …

use super::{File, is_taken};
use std::ffi::{OsStr, OsString};
use std::io;
use std::path::{Path, PathBuf};

/// `name`, or `name 2`, `name 3` … : the first that is not `taken`. For names that are no files too.
pub fn numbered(name: &str, taken: impl Fn(&str) -> bool) -> String {
    let mut number: u64 = 1;
    let mut free = name.to_owned();
    while taken(&free) {
        number += 1;
        free = format!("{name} {number}");
    }
    free
}

/// The path of `stem` and `ending` in a folder, numbered.
fn nth(folder: &Path, stem: &OsStr, ending: &OsStr, number: u64) -> PathBuf {
    let mut name = OsString::from(stem);
    if number > 1 {
        name.push(format!(" {number}"));
    }
    name.push(ending);
    folder.join(name)
}

/// The first of `stem` + `ending`, `stem 2` + `ending` … that does not exist in a folder. `ending` begins with its dot. It
/// is a proposal: someone else may take the name before it is used, so what is written there must not replace a file
/// ([`Unplaced::place_new`](super::Unplaced::place_new), [`create_free`]).
pub fn free_name(folder: &Path, stem: impl AsRef<OsStr>, ending: impl AsRef<OsStr>) -> PathBuf {
    let mut number = 1;
    loop {
        let path = nth(folder, stem.as_ref(), ending.as_ref(), number);
        if !is_taken(&path) {
            return path;
        }
        number += 1;
    }
}

/// Makes an empty file under the first free name, as [`free_name`] forms it, in one step: of two programs that ask at the
/// same time each gets a name of its own.
///
/// # Errors
/// What the system says, when the folder cannot be written.
pub fn create_free(folder: &Path, stem: impl AsRef<OsStr>, ending: &str) -> io::Result<(PathBuf, File)> {
    let mut number = 1;
    loop {
        let path = nth(folder, stem.as_ref(), ending.as_ref(), number);
        match File::create_new(&path) {
            Ok(file) => return Ok((path, file)),
            // Some systems say that a folder is in the way with another word.
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists || is_taken(&path) => number += 1,
            Err(error) => return Err(error),
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn name(path: &Path) -> String {
        path.file_name().unwrap().to_string_lossy().into_owned()
    }

    #[test]
    fn names_in_use_are_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(name(&free_name(folder.path(), "depot", ".stint")), "depot.stint");
        std::fs::write(folder.path().join("depot.stint"), "").unwrap();
        std::fs::create_dir(folder.path().join("depot 2.stint")).unwrap();
        assert_eq!(name(&free_name(folder.path(), "depot", ".stint")), "depot 3.stint");
        let (path, _) = create_free(folder.path(), "depot", ".stint").unwrap();
        assert_eq!((name(&path), path.exists()), ("depot 3.stint".to_owned(), true));
        assert_eq!(name(&free_name(folder.path(), "depot", ".board.ron")), "depot.board.ron");
        assert!(create_free(&folder.path().join("none"), "depot", ".stint").is_err());
    }

    #[test]
    fn names_that_are_no_files_are_numbered_alike() {
        assert_eq!(numbered("Depot", |n| ["Depot", "Depot 2"].contains(&n)), "Depot 3");
        assert_eq!(numbered("Depot", |_| false), "Depot");
    }

    #[cfg(unix)]
    #[test]
    fn a_stem_need_not_be_text_and_a_broken_link_is_in_the_way() {
        use std::os::unix::ffi::OsStrExt;
        let folder = tempfile::tempdir().unwrap();
        let stem = OsStr::from_bytes(b"d\xe9pot");
        std::os::unix::fs::symlink("nowhere", folder.path().join(stem).with_extension("stint")).unwrap();
        assert_eq!(free_name(folder.path(), stem, ".stint").file_name().unwrap().as_bytes(), b"d\xe9pot 2.stint");
    }

    #[test]
    fn two_never_get_one_name() {
        let folder = tempfile::tempdir().unwrap();
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| (0..25).for_each(|_| drop(create_free(folder.path(), "depot", ".ron").unwrap())));
            }
        });
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 100);
        assert!(folder.path().join("depot 100.ron").exists());
    }
}
