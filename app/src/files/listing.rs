//! What lies in a folder, for choosing a file: folders first, then the files that are looked for.

use std::cmp::Ordering;
use std::path::{Path, PathBuf};
use std::time::SystemTime;
use stint_model::disk;

/// What a file is taken for by its name; opening it tells.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Form {
    /// A folder.
    Folder,
    /// A study.
    Study,
    /// A photo, or an exported picture.
    Picture,
    /// A board.
    Board,
    /// Anything else.
    Other,
}

impl Form {
    /// By the ending of the name.
    pub fn of(path: &Path) -> Form {
        let name = path.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
        let ends = |endings: &[&str]| endings.iter().any(|ending| name.ends_with(ending));
        match () {
            () if ends(&[".stint"]) => Form::Study,
            () if ends(&PICTURES) => Form::Picture,
            () if ends(&BOARDS) => Form::Board,
            () => Form::Other,
        }
    }
}

/// Endings of the kinds of photos that are read (`stint_model::photo`).
const PICTURES: [&str; 11] =
    [".jpg", ".jpeg", ".jpe", ".png", ".webp", ".tif", ".tiff", ".heic", ".heif", ".hif", ".jxl"];
/// Endings of the forms of boards that are read.
const BOARDS: [&str; 4] = [".ron", ".css", ".json", ".tokens"];

/// The endings of files that are looked for, with their dot.
pub fn endings(wanted: Wanted) -> Vec<String> {
    let studies: &[&str] = if wanted == Wanted::Photo { &[] } else { &[".stint"] };
    let boards: &[&str] = if wanted == Wanted::Board { &BOARDS } else { &[] };
    studies.iter().chain(&PICTURES).chain(boards).map(|ending| (*ending).to_owned()).collect()
}

/// What is looked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Wanted {
    /// Photos.
    Photo,
    /// Studies and pictures.
    Study,
    /// Boards: in files of their own, in studies, in exported pictures and in pictures of swatches.
    Board,
    /// Brush files.
    Brush,
}

impl Wanted {
    /// Whether a file of this name is one to show.
    pub fn shows(self, path: &Path) -> bool {
        match Form::of(path) {
            Form::Folder => true,
            Form::Picture => self != Wanted::Brush,
            Form::Study => matches!(self, Wanted::Study | Wanted::Board),
            Form::Board => match self {
                Wanted::Board => true,
                // Boards and brushes are both written as RON.
                Wanted::Brush => path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("ron")),
                Wanted::Photo | Wanted::Study => false,
            },
            Form::Other => false,
        }
    }
}

/// The order of a list.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Order {
    /// By name, numbers in it by their size.
    #[default]
    Name,
    /// The newest first.
    Newest,
}

/// One thing in a folder.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Listed {
    /// Its name.
    pub name: String,
    /// Where it is.
    pub path: PathBuf,
    /// What it is taken for.
    pub form: Form,
    /// When it was last written, where the system tells.
    pub modified: Option<SystemTime>,
}

/// Everything in a folder, hidden files too; [`shown`] picks from it.
///
/// # Errors
/// Why the folder cannot be listed, in words.
pub fn list(folder: &Path) -> Result<Vec<Listed>, String> {
    let entries = disk::read_dir(folder).map_err(|error| why_not(folder, &error))?;
    let listed = entries.flatten().map(|entry| {
        let path = entry.path();
        // A link is what it leads to.
        let told = disk::metadata(&path).ok();
        let form = if told.as_ref().is_some_and(|m| m.is_dir()) { Form::Folder } else { Form::of(&path) };
        let name = entry.file_name().to_string_lossy().into_owned();
        Listed { name, path, form, modified: told.and_then(|m| m.modified().ok()) }
    });
    Ok(listed.collect())
}

/// Why a folder cannot be listed, in words that name the folder.
fn why_not(folder: &Path, error: &std::io::Error) -> String {
    let folder = folder.display();
    match error.kind() {
        std::io::ErrorKind::NotFound => format!("there is no folder {folder}"),
        std::io::ErrorKind::PermissionDenied => format!("you may not look into the folder {folder}"),
        std::io::ErrorKind::NotADirectory => format!("{folder} is a file, not a folder"),
        _ => format!("the folder {folder} cannot be read ({error})"),
    }
}

/// What of a list is shown: folders, and the files that are wanted or all of them; hidden ones only when asked for. Folders stand first.
pub fn shown(listed: &[Listed], wanted: Wanted, all: bool, hidden: bool, order: Order) -> Vec<Listed> {
    let keeps = |entry: &&Listed| {
        (hidden || !entry.name.starts_with('.')) && (entry.form == Form::Folder || all || wanted.shows(&entry.path))
    };
    let mut found: Vec<Listed> = listed.iter().filter(keeps).cloned().collect();
    found.sort_by(|a, b| {
        let folders = (b.form == Form::Folder).cmp(&(a.form == Form::Folder));
        let order = match order {
            Order::Name => Ordering::Equal,
            Order::Newest => b.modified.cmp(&a.modified),
        };
        folders.then(order).then_with(|| by_name(&a.name, &b.name)).then_with(|| a.name.cmp(&b.name))
    });
    found
}

/// Names in the order people expect: the case of letters aside, and numbers by their size ("photo 2" before "photo 10").
pub fn by_name(a: &str, b: &str) -> Ordering {
    let (mut a, mut b) = (a.chars().peekable(), b.chars().peekable());
    loop {
        let digits = |c: Option<&char>| c.is_some_and(char::is_ascii_digit);
        match (a.peek(), b.peek()) {
            (None, None) => return Ordering::Equal,
            (None, _) => return Ordering::Less,
            (_, None) => return Ordering::Greater,
            (x, y) if digits(x) && digits(y) => {
                let number = |from: &mut std::iter::Peekable<std::str::Chars<'_>>| {
                    let mut digits = String::new();
                    while let Some(digit) = from.next_if(char::is_ascii_digit) {
                        digits.push(digit);
                    }
                    digits.trim_start_matches('0').to_owned()
                };
                let (x, y) = (number(&mut a), number(&mut b));
                let order = x.len().cmp(&y.len()).then_with(|| x.cmp(&y));
                if order != Ordering::Equal {
                    return order;
                }
            }
            (Some(&x), Some(&y)) => {
                let order = x.to_lowercase().cmp(y.to_lowercase());
                if order != Ordering::Equal {
                    return order;
                }
                a.next();
                b.next();
            }
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn folders_come_first_and_numbers_count_by_their_size() {
        let folder = tempfile::tempdir().unwrap();
        let names =
            ["Photo 10.jpg", "photo 2.JPG", "depot.stint", ".secret.jpg", "yard.board.ron", "notes.txt", "b.png"];
        for name in names {
            std::fs::write(folder.path().join(name), "").unwrap();
        }
        std::fs::create_dir(folder.path().join("Zinc")).unwrap();
        std::fs::create_dir(folder.path().join(".hidden")).unwrap();
        let listed = list(folder.path()).unwrap();
        assert_eq!(listed.len(), names.len() + 2);
        let names = |wanted, all, hidden| -> Vec<String> {
            shown(&listed, wanted, all, hidden, Order::Name).into_iter().map(|e| e.name).collect()
        };
        assert_eq!(names(Wanted::Photo, false, false), ["Zinc", "b.png", "photo 2.JPG", "Photo 10.jpg"]);
        assert_eq!(names(Wanted::Study, false, false), ["Zinc", "b.png", "depot.stint", "photo 2.JPG", "Photo 10.jpg"]);
        let board = ["Zinc", "b.png", "depot.stint", "photo 2.JPG", "Photo 10.jpg", "yard.board.ron"];
        assert_eq!(names(Wanted::Board, false, false), board);
        assert_eq!(names(Wanted::Photo, false, true)[..3], [".hidden", "Zinc", ".secret.jpg"]);
        assert_eq!(names(Wanted::Photo, true, false).len(), 7);
    }

    #[test]
    fn the_newest_comes_first_when_that_is_asked_for() {
        let at = |seconds| Some(SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(seconds));
        let listed: Vec<_> = [("a.jpg", at(5)), ("b.jpg", at(9)), ("c.jpg", None)]
            .map(|(name, modified)| Listed { name: name.into(), path: name.into(), form: Form::Picture, modified })
            .into();
        let names: Vec<_> =
            shown(&listed, Wanted::Photo, false, false, Order::Newest).into_iter().map(|e| e.name).collect();
        assert_eq!(names, ["b.jpg", "a.jpg", "c.jpg"]);
    }

    #[test]
    fn the_true_cause_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let gone = folder.path().join("gone");
        assert_eq!(list(&gone).unwrap_err(), format!("there is no folder {}", gone.display()));
        let file = folder.path().join("file");
        std::fs::write(&file, "").unwrap();
        assert!(list(&file).unwrap_err().contains("is a file, not a folder"));
    }
}
