#![allow(clippy::unwrap_used)]
use super::handle::{File, OpenOptions, TryLockError};
use super::tree::{Change, LoadError, Stored, Tree};
use crate::random::SplitMix64;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;
use std::time::SystemTime;

/// What the mirror was told, a copy that lasts.
#[derive(Clone, Debug)]
enum Told {
    Write(String, u64, Vec<u8>),
    Truncate(String, u64),
    Sync,
    Remove(String),
}

thread_local!(static TOLD: RefCell<Vec<Told>> = const { RefCell::new(Vec::new()) });

fn tell(change: Change<'_>) {
    let told = match change {
        Change::Write { name, offset, bytes } => Told::Write(name.to_owned(), offset, bytes.to_vec()),
        Change::Truncate { name, length } => Told::Truncate(name.to_owned(), length),
        Change::Sync { .. } => Told::Sync,
        Change::Remove { name } => Told::Remove(name.to_owned()),
    };
    TOLD.with_borrow_mut(|all| all.push(told));
}

fn now() -> SystemTime {
    SystemTime::UNIX_EPOCH
}

/// What is stored once so many changes were repeated.
fn stored(changes: &[Told]) -> Vec<Stored> {
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    for change in changes {
        match change {
            Told::Write(name, offset, bytes) => {
                let file = files.entry(name.clone()).or_default();
                let end = *offset as usize + bytes.len();
                file.resize(file.len().max(end), 0);
                file[*offset as usize..end].copy_from_slice(bytes);
            }
            Told::Truncate(name, length) => files.entry(name.clone()).or_default().resize(*length as usize, 0),
            Told::Sync => {}
            Told::Remove(name) => drop(files.remove(name)),
        }
    }
    files.into_iter().map(|(name, bytes)| Stored { name, bytes, modified: now() }).collect()
}

fn told() -> Vec<Told> {
    TOLD.with_borrow(Clone::clone)
}

fn fresh() -> Tree {
    TOLD.with_borrow_mut(Vec::clear);
    Tree::load(Vec::new(), tell, now).unwrap()
}

fn put(tree: &Tree, path: &str, bytes: &[u8]) {
    let mut options = OpenOptions::default();
    options.write(true).create(true).truncate(true).open_in(tree, Path::new(path)).unwrap().write_all(bytes).unwrap();
}

/// Every path with what is in it; none for a folder.
fn all(tree: &Tree, folder: &str) -> BTreeMap<String, Option<Vec<u8>>> {
    let mut found = BTreeMap::new();
    for entry in tree.read_dir(Path::new(folder)).unwrap() {
        let path = entry.unwrap().path();
        let name = path.to_str().unwrap().to_owned();
        if tree.metadata(&path).unwrap().is_dir() {
            found.append(&mut all(tree, &name));
            found.insert(name, None);
        } else {
            found.insert(name, Some(tree.read(&path).unwrap()));
        }
    }
    found
}

#[test]
fn files_and_folders_are_as_the_standard_library_has_them() {
    let tree = fresh();
    tree.state().create_dir_all(Path::new("/studies/blue hour")).unwrap();
    put(&tree, "/studies/a", b"tram");
    let open = |options: &OpenOptions, path: &str| options.open_in(&tree, Path::new(path));
    let reading = *OpenOptions::default().read(true);
    assert!(open(&reading, "/studies/b").is_err());
    assert!(open(&reading, "/studies").is_err());
    assert!(open(OpenOptions::default().write(true).create_new(true), "/studies/a").is_err());
    assert!(open(OpenOptions::default().write(true).create(true), "/nowhere/a").is_err());
    let mut file = open(OpenOptions::default().read(true).append(true), "/studies/../studies/./a").unwrap();
    file.write_all(b" depot").unwrap();
    file.seek(SeekFrom::End(-5)).unwrap();
    let mut end = String::new();
    file.read_to_string(&mut end).unwrap();
    assert_eq!(end, "depot");
    assert!(open(&reading, "/studies/a").unwrap().write_all(b"x").is_err(), "it was opened for reading");
    assert_eq!(tree.read_dir(Path::new("/studies")).unwrap().count(), 2);
    assert!(tree.read_dir(Path::new("/studies/a")).is_err());
}

#[test]
fn a_file_that_is_removed_goes_on_for_who_has_it_open_and_is_told_nobody() {
    let tree = fresh();
    put(&tree, "/a", b"tram");
    let mut open = OpenOptions::default().read(true).write(true).open_in(&tree, Path::new("/a")).unwrap();
    tree.state().remove_file(Path::new("/a")).unwrap();
    let before = told().len();
    open.write_all(b"TR").unwrap();
    let mut rest = String::new();
    open.read_to_string(&mut rest).unwrap();
    assert_eq!((rest.as_str(), told().len()), ("am", before));
    drop(open);
    put(&tree, "/a", b"new");
    assert_eq!(tree.read(Path::new("/a")).unwrap(), b"new");
}

#[test]
fn a_lock_ends_with_its_handle() {
    let tree = fresh();
    put(&tree, "/a", b"");
    let open = || OpenOptions::default().read(true).open_in(&tree, Path::new("/a")).unwrap();
    let (first, second) = (open(), open());
    first.try_lock().unwrap();
    assert!(matches!(second.try_lock(), Err(TryLockError::WouldBlock)));
    drop(first);
    second.try_lock().unwrap();
}

/// One random change to some of a few names.
fn change(tree: &Tree, random: &mut SplitMix64) {
    let mut below = |n: u64| random.next_u64() % n;
    let names = ["/a", "/b", "/f/c", "/f/d", "/g"];
    let path = Path::new(names[below(5) as usize]);
    let other = Path::new(names[below(5) as usize]);
    // Refusals are part of it.
    match below(7) {
        0 => drop(tree.state().create_dir_all(Path::new(["/f", "/f/h", "/g"][below(3) as usize]))),
        1 => drop(tree.state().rename(path, other)),
        2 => drop(tree.state().remove_file(path)),
        3 => drop(tree.state().rename(Path::new("/f"), Path::new("/k"))),
        _ => {
            let options = *OpenOptions::default().read(true).write(true).create(true);
            let Ok(file) = options.open_in(tree, path) else { return };
            let bytes = vec![below(256) as u8; below(40) as usize];
            file.write_all_at(&bytes, below(60)).unwrap();
            if below(4) == 0 {
                file.set_len(below(30)).unwrap();
            }
            if below(2) == 0 {
                file.sync_all().unwrap();
            }
        }
    }
}

#[test]
fn what_is_stored_at_any_moment_is_the_tree_of_that_moment() {
    for seed in 0..40 {
        let tree = fresh();
        let mut random = SplitMix64(seed);
        // What the tree was after each change of a person, and how much had been told by then.
        let mut moments = vec![(told().len(), all(&tree, "/"))];
        for _ in 0..30 {
            change(&tree, &mut random);
            moments.push((told().len(), all(&tree, "/")));
        }
        let changes = told();
        for (count, wanted) in moments {
            let found = Tree::load(stored(&changes[..count]), |_| {}, now).unwrap();
            assert_eq!(all(&found, "/"), wanted, "seed {seed}, {count} changes");
        }
    }
}

#[test]
fn a_start_that_is_cut_off_anywhere_loses_nothing() {
    let tree = fresh();
    tree.state().create_dir_all(Path::new("/f")).unwrap();
    put(&tree, "/f/c", b"tram");
    put(&tree, "/gone", b"");
    tree.state().remove_file(Path::new("/gone")).unwrap();
    let (before, wanted) = (told(), all(&tree, "/"));
    TOLD.with_borrow_mut(Vec::clear);
    Tree::load(stored(&before), tell, now).unwrap();
    let start = told();
    assert!(start.len() >= 3, "{start:?}");
    for cut in 0..=start.len() {
        let mut changes = before.clone();
        changes.extend_from_slice(&start[..cut]);
        // The last write may be torn, too.
        if let Some(Told::Write(_, _, bytes)) = changes.last_mut() {
            let half = bytes.len() / 2;
            bytes.truncate(half);
        }
        let found = Tree::load(stored(&changes), |_| {}, now).unwrap();
        assert_eq!(all(&found, "/"), wanted, "{cut}");
    }
}

#[test]
fn a_file_takes_the_place_of_another_in_one_step() {
    let tree = fresh();
    put(&tree, "/board", b"old");
    let from = told().len();
    put(&tree, "/.stint-0.new", b"the new one");
    tree.state().rename(Path::new("/.stint-0.new"), Path::new("/board")).unwrap();
    let changes = told();
    for cut in from..=changes.len() {
        let found = Tree::load(stored(&changes[..cut]), |_| {}, now).unwrap();
        let files = all(&found, "/");
        let board = files["/board"].as_deref().unwrap();
        assert!(board == b"old" || board == b"the new one", "{cut}: {board:?}");
        assert_eq!(files.len(), 1, "what has no place yet is no file");
    }
}

#[test]
fn without_any_list_every_file_is_given_a_name() {
    let file = |name: &str, bytes: &[u8]| Stored { name: name.to_owned(), bytes: bytes.to_vec(), modified: now() };
    let lost = vec![file("f3", b"SQLite format 3\0..."), file("f9", b"other"), file("i4", b"garbage")];
    let tree = Tree::load(lost, |_| {}, now).unwrap();
    let names: Vec<_> = all(&tree, "/").into_keys().collect();
    assert_eq!(names, ["/Recovered", "/Recovered/Recovered 3.stint", "/Recovered/Recovered 9"]);
}

#[test]
fn what_a_newer_program_stored_is_left_alone() {
    TOLD.with_borrow_mut(Vec::clear);
    let mut sum = flate2::Crc::new();
    sum.update(b"stint files 2");
    let index =
        Stored { name: "i1".to_owned(), bytes: format!("{:08x} stint files 2\n", sum.sum()).into(), modified: now() };
    assert_eq!(Tree::load(vec![index], tell, now).unwrap_err(), LoadError::Newer);
    assert!(told().is_empty());
}

#[test]
fn a_handle_may_go_to_another_thread() {
    fn send<T: Send + Sync>() {}
    send::<File>();
}
