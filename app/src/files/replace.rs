//! What may be written where. A file of the painter's is never replaced unasked, an ending says what is written, and a
//! study is replaced by nothing. Window and command line both ask here.

use super::kind::{FileKind, OutputForm, form_of, kind_of};
use crate::base::clock;
use std::ffi::OsString;
use std::fmt;
use std::path::{Path, PathBuf};
use std::time::Duration;
use stint_model::disk::{self, Replace, free_name};
use stint_model::picture::{PictureError, read_attached};

/// What is about to be written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Writes {
    /// An exported study: a PNG.
    Picture,
    /// A board in the form of the file's ending.
    Board,
    /// Figures of studies: a table or charts.
    Progress,
    /// A brush.
    Brush,
}

/// The file that has the name already.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Found {
    what: &'static str,
    /// Since it was last changed, where that can be told.
    age: Option<Duration>,
}

/// A sentence's part: what it is and how old.
impl fmt::Display for Found {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.what)?;
        let Some(minutes) = self.age.map(|age| age.as_secs() / 60) else { return Ok(()) };
        let (count, one, many) = match minutes {
            0 => return f.write_str(", just written"),
            1..60 => (minutes, "minute", "minutes"),
            60..1440 => (minutes / 60, "hour", "hours"),
            _ => (minutes / 1440, "day", "days"),
        };
        write!(f, ", {count} {} old", if count == 1 { one } else { many })
    }
}

/// Why nothing is written to a place.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// A file is there, and nobody asked for it to be replaced.
    #[error("{} exists already ({found}); choose another name, or have it replaced", path.display())]
    Taken {
        /// The file.
        path: PathBuf,
        /// What it is.
        found: Found,
    },
    /// A folder is there.
    #[error("{} is a folder; give the file a name in it", .0.display())]
    Folder(PathBuf),
    /// A device or a pipe is there.
    #[error("{} is a device or a pipe, not a file; choose another name", .0.display())]
    Device(PathBuf),
    /// A study is there, open or not.
    #[error("{} exists already and is a study, which is never replaced; choose another name", .0.display())]
    Study(PathBuf),
    /// A picture under another ending.
    #[error("{} does not end in .png, and a PNG is what is written; choose a name with that ending", .0.display())]
    NotPng(PathBuf),
    /// A board under an ending that is no form of boards.
    #[error("{} ends in none of .board.ron, .css, .json, .svg and .png; choose one of these endings", .0.display())]
    NoForm(PathBuf),
    /// A brush under another ending.
    #[error("{} does not end in .ron, and a brush file is what is written; choose a name with that ending", .0.display())]
    NoBrush(PathBuf),
    /// Figures under an ending that is no form of theirs.
    #[error("{} ends in none of .csv, .svg and .png; choose one of these endings", .0.display())]
    NoTable(PathBuf),
}

/// Whether `writes` may be written to `path`. That the name is still free is looked at once more when the file takes its
/// place ([`disk::place`]).
///
/// # Errors
/// [`Refusal`]; [`Refusal::Taken`] only with [`Replace::Never`].
pub fn may_write(path: &Path, writes: Writes, replace: Replace) -> Result<(), Refusal> {
    let target = disk::metadata(path).ok();
    if let Some(target) = &target {
        if target.is_dir() {
            return Err(Refusal::Folder(path.to_owned()));
        }
        if !target.is_file() {
            return Err(Refusal::Device(path.to_owned()));
        }
    }
    // A PNG whose board is damaged is still some file.
    let kind = target.as_ref().and_then(|_| kind_of(path).ok());
    if kind == Some(FileKind::Study) {
        return Err(Refusal::Study(path.to_owned()));
    }
    match (writes, form_of(path)) {
        (Writes::Brush, _) => {
            if path.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("ron")) {
                return Err(Refusal::NoBrush(path.to_owned()));
            }
        }
        (Writes::Progress, _) => {
            let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
            if !["csv", "svg", "png"].iter().any(|known| ending == *known) {
                return Err(Refusal::NoTable(path.to_owned()));
            }
        }
        (Writes::Picture, Some(OutputForm::Png)) | (Writes::Board, Some(_)) => {}
        (Writes::Picture, Some(OutputForm::Ron | OutputForm::Css | OutputForm::Tokens | OutputForm::Svg) | None) => {
            return Err(Refusal::NotPng(path.to_owned()));
        }
        (Writes::Board, None) => return Err(Refusal::NoForm(path.to_owned())),
    }
    if replace == Replace::Asked || !disk::is_taken(path) {
        return Ok(());
    }
    let age = target.as_ref().and_then(|target| clock::system_now().duration_since(target.modified().ok()?).ok());
    let what = match kind {
        _ if target.is_none() => "a link that leads nowhere",
        Some(FileKind::Picture) => "a picture with a board inside",
        Some(FileKind::Ron) => "a board",
        Some(FileKind::Css) => "a style sheet",
        Some(FileKind::Tokens) => "design tokens",
        Some(FileKind::Card) => "a drawing",
        Some(FileKind::Other) if matches!(read_attached(path), Err(PictureError::NoBoard { .. })) => {
            "a picture without a board"
        }
        Some(FileKind::Other | FileKind::Study) | None => "another file",
    };
    Err(Refusal::Taken { path: path.to_owned(), found: Found { what, age } })
}

/// A free name for the picture of a study, beside it: `depot.png`, `depot 2.png` where pictures of ours lie there already,
/// and `depot study.png` beside a photo or another file that is called `depot.png`.
pub fn picture_beside(study: &Path) -> PathBuf {
    let path = study.with_extension("png");
    if !disk::is_taken(&path) || read_attached(&path).is_ok() {
        return free_like(&path);
    }
    let mut name = study.file_stem().unwrap_or_default().to_owned();
    name.push(" study.png");
    free_like(&path.with_file_name(name))
}

/// The first free name in the folder of `path`: its own, or the same with a number before the ending.
pub fn free_like(path: &Path) -> PathBuf {
    let folder = path.parent().unwrap_or(Path::new(""));
    let stem = path.file_stem().unwrap_or_default();
    let ending = path.extension().unwrap_or_default();
    // `depot.board.ron` has two endings.
    let (stem, inner) = match Path::new(stem).extension() {
        Some(inner) if inner == "board" => (Path::new(stem).file_stem().unwrap_or_default(), ".board"),
        _ => (stem, ""),
    };
    let mut endings = OsString::from(inner);
    if !ending.is_empty() {
        endings.push(".");
        endings.push(ending);
    }
    free_name(folder, stem, endings)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::files::board_file::{read_any, write_any};
    use std::fs;
    use stint_model::board::{Board, LightOfDay};

    fn refused(path: &Path, writes: Writes) -> String {
        may_write(path, writes, Replace::Never).unwrap_err().to_string()
    }

    #[test]
    fn what_is_there_stays_unless_it_was_asked_for() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let board = Board::new("depot", LightOfDay::Cool);
        for (name, what) in [
            ("a.board.ron", "a board, just written"),
            ("a.css", "a style sheet"),
            ("a.json", "design tokens"),
            ("a.svg", "a drawing"),
            ("a.png", "a picture with a board inside"),
        ] {
            let path = at(name);
            write_any(&path, &board, Replace::Never).unwrap();
            let before = fs::read(&path).unwrap();
            let words =
                write_any(&path, &Board::new("yard", LightOfDay::Warm), Replace::Never).unwrap_err().to_string();
            assert!(words.contains("exists already") && words.contains(what), "{words}");
            assert!(fs::read(&path).unwrap() == before, "{name}");
            write_any(&path, &Board::new("yard", LightOfDay::Warm), Replace::Asked).unwrap();
            if name != "a.svg" {
                assert_eq!(read_any(&path).unwrap().name, "yard", "{name}");
            }
        }
        image::RgbImage::new(4, 4).save(at("photo.png")).unwrap();
        assert!(refused(&at("photo.png"), Writes::Picture).contains("a picture without a board"));
        fs::write(at("list.png"), "Tuesday").unwrap();
        assert!(refused(&at("list.png"), Writes::Picture).contains("another file"));
    }

    #[test]
    fn folders_devices_studies_and_other_endings_are_refused_even_when_asked() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::create_dir(at("yard.png")).unwrap();
        fs::write(at("depot.stint"), b"SQLite format 3\0").unwrap();
        fs::copy(at("depot.stint"), at("depot.png")).unwrap();
        for (name, writes, words) in [
            ("yard.png", Writes::Picture, "is a folder"),
            ("depot.stint", Writes::Picture, "is a study"),
            ("depot.stint", Writes::Board, "is a study"),
            ("depot.png", Writes::Picture, "is a study"),
            ("x.jpg", Writes::Picture, ".png"),
            ("x.css", Writes::Picture, ".png"),
            ("x", Writes::Picture, ".png"),
            ("x.txt", Writes::Board, ".board.ron"),
            ("x.jpg", Writes::Board, ".board.ron"),
        ] {
            let said = may_write(&at(name), writes, Replace::Asked).unwrap_err().to_string();
            assert!(said.contains(words) && said.contains(name), "{said}");
        }
        assert_eq!(may_write(&at("NEW.PNG"), Writes::Picture, Replace::Never), Ok(()));
    }

    #[cfg(unix)]
    #[test]
    fn devices_and_links_are_seen_through() {
        let folder = tempfile::tempdir().unwrap();
        let [device, nowhere, study] = ["null.png", "nowhere.png", "study.png"].map(|name| folder.path().join(name));
        fs::write(folder.path().join("depot.stint"), b"SQLite format 3\0").unwrap();
        for (to, link) in [("/dev/null", &device), ("absent", &nowhere), ("depot.stint", &study)] {
            std::os::unix::fs::symlink(to, link).unwrap();
        }
        assert!(refused(&device, Writes::Picture).contains("is a device"));
        assert!(refused(&nowhere, Writes::Picture).contains("a link that leads nowhere"));
        assert!(refused(&study, Writes::Picture).contains("is a study"));
    }

    #[test]
    fn names_that_are_offered_are_free() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let study = at("depot.stint");
        assert_eq!(picture_beside(&study), at("depot.png"));
        fs::write(at("depot.png"), "the painter's photo").unwrap();
        assert_eq!(picture_beside(&study), at("depot study.png"));
        fs::write(at("depot study.png"), "").unwrap();
        assert_eq!(picture_beside(&study), at("depot study 2.png"));
        write_any(&at("depot.png"), &Board::new("depot", LightOfDay::Cool), Replace::Asked).unwrap();
        assert_eq!(picture_beside(&study), at("depot 2.png"));
        for (taken, free) in [
            ("a.board.ron", "a 2.board.ron"),
            ("a.tokens.json", "a.tokens 2.json"),
            ("v1.2.css", "v1.2 2.css"),
            ("a", "a 2"),
        ] {
            assert_eq!(free_like(&at(taken)), at(taken));
            fs::write(at(taken), "").unwrap();
            assert_eq!(free_like(&at(taken)), at(free));
        }
        assert_eq!(free_like(Path::new("no such name.css")), Path::new("no such name.css"));
    }

    #[test]
    fn ages_are_told_in_words() {
        let told = |seconds| Found { what: "a board", age: Some(Duration::from_secs(seconds)) }.to_string();
        assert_eq!(told(59), "a board, just written");
        assert_eq!(told(60), "a board, 1 minute old");
        assert_eq!(told(7200), "a board, 2 hours old");
        assert_eq!(told(5 * 86400), "a board, 5 days old");
        assert_eq!(Found { what: "a board", age: None }.to_string(), "a board");
    }
}
