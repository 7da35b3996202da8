//! Everything that a painter has in one browser as one file, and back: an archive that any computer opens. On a page nothing else
//! leaves the browser by itself, and what is there can be cleared.
//!
//! Taking in never replaces anything: what is there already in the same words stays, what has a name that is taken gets a number, and
//! settings of this browser are kept where there are any.

pub mod zip;

use crate::base::folders;
use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};
use stint_model::disk;
use zip::{Member, Writer};

/// Most that is unpacked, bytes: what a page can hold in memory beside what it holds already.
const MOST: u64 = 1 << 31;
/// The two files of a kept board share the name before these.
const PAIRED: [&str; 2] = [".board.ron", ".photo.png"];

/// What becomes of a file whose place is taken.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Taken {
    /// It gets another name.
    Numbered,
    /// It stays out.
    Left,
}

/// A folder of the painter's, and what it is called in the archive.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Root {
    name: &'static str,
    folder: PathBuf,
    taken: Taken,
    /// The one file of it that goes along, where it is not all of them.
    only: Option<&'static str>,
}

/// All folders of the painter's; what can be made anew of them is not among them. `data` stands for the user's data folder.
fn roots(data: Option<&Path>) -> Vec<Root> {
    let own = folders::data(data);
    let root = |name, folder, taken| Root { name, folder, taken, only: None };
    let mut all = vec![
        root("Studies", data.map_or_else(folders::documents, |data| data.join("Studies")), Taken::Numbered),
        root(RECOVERED, data.map_or_else(|| PathBuf::from("/"), Path::to_owned).join(RECOVERED), Taken::Numbered),
        root("Boards", own.join("boards"), Taken::Numbered),
        root("Brushes", own.join("brushes"), Taken::Numbered),
        Root { name: "Memory", folder: own.clone(), taken: Taken::Left, only: Some("memory.ron") },
    ];
    all.extend(folders::config().filter(|_| data.is_none()).map(|folder| root("Settings", folder, Taken::Left)));
    all
}

/// The folder of files whose paths were lost, as `stint_model::disk::page` names it.
const RECOVERED: &str = "Recovered";

/// The folders of studies.
pub fn study_folders(data: Option<&Path>) -> Vec<PathBuf> {
    let studies = roots(data).into_iter().filter(|root| ["Studies", RECOVERED].contains(&root.name));
    studies.map(|root| root.folder).collect()
}

/// Whether a file is an archive.
pub fn is_archive(path: &Path) -> bool {
    let mut first = [0; 4];
    disk::open(path).and_then(|mut file| file.read_exact(&mut first)).is_ok() && zip::is_archive(&first)
}

/// The name of the archive on this day, `2026-11-27`.
pub fn name(day: &str) -> String {
    format!("Stint {day}.zip")
}

/// Everything as one archive.
///
/// # Errors
/// What cannot be read, or that there is no room, in words.
pub fn pack(data: Option<&Path>) -> Result<Vec<u8>, String> {
    let mut writer = Writer::default();
    for root in roots(data) {
        let mut files = Vec::new();
        gather(&root.folder, root.name, &mut files);
        files.retain(|(path, _)| root.only.is_none_or(|only| *path == root.folder.join(only)));
        for (path, name) in files {
            let bytes = disk::read(&path).map_err(|e| format!("{} cannot be read ({e})", path.display()))?;
            writer.add(&name, &bytes)?;
        }
    }
    writer.end()
}

/// All files in a folder and below, each with its name in the archive, in the order of their names. Hidden ones are on their way.
fn gather(folder: &Path, name: &str, files: &mut Vec<(PathBuf, String)>) {
    let Ok(entries) = disk::read_dir(folder) else { return };
    let mut inside: Vec<_> = entries.flatten().map(|entry| (entry.file_name(), entry.path())).collect();
    inside.sort();
    for (file_name, path) in inside {
        let own = file_name.to_string_lossy();
        let name = format!("{name}/{own}");
        match disk::metadata(&path) {
            _ if own.starts_with('.') => {}
            Ok(told) if told.is_dir() => gather(&path, &name, files),
            Ok(_) => files.push((path, name)),
            Err(_) => {}
        }
    }
}

/// What was taken in.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct TakenIn {
    /// Studies that are new here.
    pub studies: usize,
    /// Other files that are new here.
    pub others: usize,
    /// Files that were here already, or whose place is kept.
    pub there: usize,
}

/// Takes in what [`pack`] made.
///
/// # Errors
/// Why it cannot be taken in, in words that follow its name. Nothing is changed where it is damaged.
pub fn take_in(archive: &[u8], data: Option<&Path>) -> Result<TakenIn, String> {
    let roots = roots(data);
    // Files that belong together: by their folder, the name that they share, and the ending that they do not share.
    let mut groups: BTreeMap<_, Vec<(String, Member<'_>)>> = BTreeMap::new();
    for member in zip::read(archive, MOST)? {
        let parts: Vec<&str> = member.name.split('/').collect();
        let [first, below @ .., file] = &*parts else { continue };
        let Some(at) = roots.iter().position(|root| root.name == *first) else { continue };
        if below.iter().chain([file]).any(|part| !is_plain(part)) || roots[at].only.is_some_and(|only| only != *file) {
            continue;
        }
        let folder = roots[at].folder.join(below.iter().collect::<PathBuf>());
        let paired = PAIRED.iter().find(|ending| file.ends_with(**ending)).map(|ending| file.len() - ending.len());
        let split = paired.or(file.rfind('.')).unwrap_or(file.len());
        let (stem, ending) = file.split_at(split);
        let key = (at, folder, stem.to_owned(), if paired.is_some() { String::new() } else { ending.to_owned() });
        let ending = ending.to_owned();
        groups.entry(key).or_default().push((ending, member));
    }
    if groups.is_empty() {
        return Err("has nothing of Stint in it".to_owned());
    }
    let mut done = TakenIn::default();
    for ((at, folder, stem, _), files) in groups {
        place(&folder, &stem, &files, roots[at].taken, &mut done)
            .map_err(|e| format!("cannot be taken in whole ({e})"))?;
    }
    Ok(done)
}

/// Whether a part of a path is a name and nothing else, on any system.
fn is_plain(part: &str) -> bool {
    !part.is_empty() && !part.starts_with('.') && !part.contains(['\\', ':']) && !part.contains(char::is_control)
}

/// Places files that share a name before their endings.
fn place(
    folder: &Path,
    stem: &str,
    files: &[(String, Member<'_>)],
    taken: Taken,
    done: &mut TakenIn,
) -> std::io::Result<()> {
    let files: Vec<_> = files.iter().map(|(ending, member)| (ending, member.bytes())).collect();
    let path = |stem: &str, ending: &str| folder.join(format!("{stem}{ending}"));
    let same = |stem: &str| {
        files.iter().all(|(ending, bytes)| disk::read(path(stem, ending)).is_ok_and(|there| *there == **bytes))
    };
    let free = |stem: &str| files.iter().all(|(ending, _)| !disk::is_taken(&path(stem, ending)));
    let mut now = stem.to_owned();
    let mut number = 1;
    while !free(&now) {
        if same(&now) || taken == Taken::Left {
            done.there += files.len();
            return Ok(());
        }
        number += 1;
        now = format!("{stem} {number}");
    }
    disk::create_dir_all(folder)?;
    for (ending, bytes) in &files {
        disk::write(path(&now, ending), bytes)?;
        if *ending == ".stint" {
            done.studies += 1;
        } else {
            done.others += 1;
        }
    }
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn files(folder: &Path) -> BTreeMap<String, String> {
        let mut found = Vec::new();
        gather(folder, "", &mut found);
        found.into_iter().map(|(path, name)| (name, std::fs::read_to_string(path).unwrap())).collect()
    }

    fn painter(files: &[(&str, &str)]) -> tempfile::TempDir {
        let home = tempfile::tempdir().unwrap();
        for (name, text) in files {
            let path = home.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        }
        home
    }

    const ONE: [(&str, &str); 6] = [
        ("Studies/depot.stint", "a study"),
        ("Studies/field/夜.stint", "at night"),
        ("Studies/depot.png", "a picture"),
        ("stint/boards/Depot.board.ron", "a board"),
        ("stint/boards/Depot.photo.png", "its photo"),
        ("stint/memory.ron", "drills"),
    ];

    #[test]
    fn everything_goes_out_as_one_file_and_comes_in_where_nothing_is() {
        let one = painter(&ONE);
        // Lists and small pictures are made anew, and what is hidden is on its way.
        for name in ["stint/recent.ron", "stint/pictures/a.png", "Studies/.stint-1.new"] {
            std::fs::create_dir_all(one.path().join(name).parent().unwrap()).unwrap();
            std::fs::write(one.path().join(name), "x").unwrap();
        }
        let archive = pack(Some(one.path())).unwrap();
        let other = painter(&[]);
        let done = take_in(&archive, Some(other.path())).unwrap();
        assert_eq!(done, TakenIn { studies: 2, others: 4, there: 0 });
        assert_eq!(files(other.path()), ONE.map(|(name, text)| (format!("/{name}"), text.to_owned())).into());
        // A second time nothing is new.
        let again = take_in(&archive, Some(other.path())).unwrap();
        assert_eq!(again, TakenIn { there: 6, ..TakenIn::default() });
        assert_eq!(files(other.path()).len(), 6);
    }

    /// Whoever unpacked it, looked at it and packed it again with another program has lost nothing.
    #[test]
    fn an_archive_that_another_program_compressed_comes_in() {
        let archive =
            std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/data/archives/deflated.zip")).unwrap();
        let home = painter(&[]);
        let done = take_in(&archive, Some(home.path())).unwrap();
        assert_eq!(done, TakenIn { studies: 2, others: 2, there: 0 });
        let now = files(home.path());
        assert_eq!(now["/Studies/depot.stint"], "the depot at blue hour, ".repeat(40));
        assert_eq!(now["/Studies/field/夜.stint"], "at night");
        assert_eq!(now["/stint/boards/Depot.board.ron"], "(name: \"Depot\")");
    }

    #[test]
    fn nothing_that_is_there_is_replaced() {
        let archive = pack(Some(painter(&ONE).path())).unwrap();
        let other = painter(&[
            ("Studies/depot.stint", "another study"),
            ("stint/boards/Depot.board.ron", "another board"),
            ("stint/memory.ron", "other drills"),
        ]);
        let done = take_in(&archive, Some(other.path())).unwrap();
        assert_eq!(done, TakenIn { studies: 2, others: 3, there: 1 });
        let now = files(other.path());
        for (name, text) in [
            ("/Studies/depot.stint", "another study"),
            ("/Studies/depot 2.stint", "a study"),
            ("/stint/boards/Depot.board.ron", "another board"),
            ("/stint/boards/Depot 2.board.ron", "a board"),
            ("/stint/boards/Depot 2.photo.png", "its photo"),
            ("/stint/memory.ron", "other drills"),
        ] {
            assert_eq!(now.get(name).map(String::as_str), Some(text), "{name}");
        }
    }

    #[test]
    fn names_that_lead_elsewhere_and_archives_of_others_are_refused() {
        let home = painter(&[]);
        let mut writer = Writer::default();
        for name in
            ["Studies/../../out.stint", "/etc/passwd", "Studies//a.stint", "Studies/c:a", "elsewhere/a.stint", "a"]
        {
            writer.add(name, b"x").unwrap();
        }
        let error = take_in(&writer.end().unwrap(), Some(home.path())).unwrap_err();
        assert!(error.contains("nothing of Stint"), "{error}");
        assert!(take_in(b"no archive", Some(home.path())).is_err());
        assert!(files(home.path()).is_empty());
    }
}
