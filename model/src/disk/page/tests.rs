#![allow(clippy::unwrap_used)]
use super::handle::{File, OpenOptions, TryLockError};
use super::tree::{LoadError, Stored, Tree};
use crate::random::SplitMix64;
use std::cell::Cell;
use std::collections::BTreeMap;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;
use std::time::SystemTime;

fn now() -> SystemTime {
    SystemTime::UNIX_EPOCH
}

type Files = BTreeMap<String, Vec<u8>>;

/// Keeps a batch, as the mirror does; its length in bytes.
fn keep(files: &mut Files, batch: &[u8]) -> usize {
    let mut sum = flate2::Crc::new();
    sum.update(&batch[12..]);
    assert_eq!(&batch[..4], b"STB1");
    assert_eq!(batch[4..8], u32::try_from(batch.len() - 12).unwrap().to_be_bytes());
    assert_eq!(batch[8..12], sum.sum().to_be_bytes());
    let mut rest = &batch[12..];
    let mut next = |count: usize| {
        let (taken, left) = rest.split_at(count.min(rest.len()));
        rest = left;
        taken.to_vec()
    };
    let number = |bytes: Vec<u8>| bytes.iter().fold(0, |sum, byte| sum << 8 | usize::from(*byte));
    loop {
        let what = next(1);
        let Some(what) = what.first() else { return batch.len() };
        let length = number(next(1));
        let name = String::from_utf8(next(length)).unwrap();
        if *what == 0 {
            assert!(files.remove(&name).is_some(), "{name} was never told");
            continue;
        }
        assert_eq!(*what, 1);
        let file = files.entry(name).or_default();
        file.truncate(number(next(8)));
        file.resize(number(next(8)), 0);
        for _ in 0..number(next(4)) {
            let (at, length) = (number(next(8)), number(next(4)));
            file[at..at + length].copy_from_slice(&next(length));
        }
    }
}

/// What is stored, as a start finds it.
fn stored(files: &Files) -> Vec<Stored> {
    files.iter().map(|(name, bytes)| Stored { name: name.clone(), bytes: bytes.clone(), modified: now() }).collect()
}

/// Keeps what has changed; whether anything had.
fn keep_all(tree: &Tree, files: &mut Files) -> bool {
    let batch = tree.state().take_batch();
    batch.as_ref().inspect(|batch| _ = keep(files, batch)).is_some()
}

fn fresh() -> Tree {
    Tree::load(Vec::new(), || {}, now).unwrap()
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
    tree.state().take_batch();
    open.write_all(b"TR").unwrap();
    let mut rest = String::new();
    open.read_to_string(&mut rest).unwrap();
    assert_eq!((rest.as_str(), tree.state().take_batch()), ("am", None));
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
fn what_is_stored_after_any_batch_is_the_tree_of_that_moment() {
    for seed in 0..60 {
        let (tree, mut files) = (fresh(), Files::new());
        let mut random = SplitMix64(seed);
        for number in 0..30 {
            change(&tree, &mut random);
            // Often several changes go into a batch.
            if random.next_u64().is_multiple_of(3) && keep_all(&tree, &mut files) {
                let found = Tree::load(stored(&files), || {}, now).unwrap();
                assert_eq!(all(&found, "/"), all(&tree, "/"), "seed {seed}, {number} changes");
            }
        }
    }
}

#[test]
fn a_start_keeps_what_there_is_and_takes_away_what_has_no_path() {
    let (tree, mut files) = (fresh(), Files::new());
    tree.state().create_dir_all(Path::new("/f")).unwrap();
    put(&tree, "/f/c", b"tram");
    put(&tree, "/f/.stint-3.new", b"half");
    keep_all(&tree, &mut files);
    assert_eq!(files.len(), 3);
    for start in 2..4 {
        let tree = Tree::load(stored(&files), || {}, now).unwrap();
        assert_eq!(all(&tree, "/"), BTreeMap::from([("/f".into(), None), ("/f/c".into(), Some(b"tram".to_vec()))]));
        keep_all(&tree, &mut files);
        let names: Vec<_> = files.keys().cloned().collect();
        assert_eq!(names, ["f1".to_owned(), format!("i{start}")]);
    }
}

#[test]
fn what_comes_and_goes_between_two_batches_is_not_told() {
    let (tree, mut files) = (fresh(), Files::new());
    put(&tree, "/study", &[1; 10_000]);
    keep_all(&tree, &mut files);
    let before = files.clone();
    // As a database changes one of its pages.
    put(&tree, "/study-journal", &[2; 5000]);
    let study = OpenOptions::default().write(true).open_in(&tree, Path::new("/study")).unwrap();
    study.write_all_at(&[3; 4096], 4096).unwrap();
    study.write_all_at(&[4; 4096], 4096).unwrap();
    study.sync_all().unwrap();
    tree.state().remove_file(Path::new("/study-journal")).unwrap();
    let length = keep(&mut files, &tree.state().take_batch().unwrap());
    assert!(length < 4200, "{length} bytes for a page");
    assert_eq!(files.len(), before.len());
    assert_eq!(files["f1"][4096..8192], [4; 4096]);
    // The same in two batches is told, and gone at its end.
    put(&tree, "/study-journal", &[2; 5000]);
    keep_all(&tree, &mut files);
    assert_eq!(files.len(), before.len() + 1);
    tree.state().remove_file(Path::new("/study-journal")).unwrap();
    keep_all(&tree, &mut files);
    assert_eq!(files.len(), before.len());
    // A file that is cut and grows again has zeros there, whatever was stored.
    study.set_len(10).unwrap();
    study.set_len(20).unwrap();
    keep_all(&tree, &mut files);
    assert_eq!(files["f1"], [[1; 10], [0; 10]].concat());
}

#[test]
fn it_is_told_once_for_each_batch_that_there_is_one() {
    thread_local!(static TOLD: Cell<u32> = const { Cell::new(0) });
    let tree = Tree::load(Vec::new(), || TOLD.set(TOLD.get() + 1), now).unwrap();
    for batch in 1..4 {
        put(&tree, "/a", b"tram");
        put(&tree, "/b", b"depot");
        assert_eq!(TOLD.get(), batch);
        assert!(tree.state().take_batch().is_some());
        assert!(tree.state().take_batch().is_none());
    }
}

#[test]
fn a_file_takes_the_place_of_another_in_one_step() {
    let (tree, mut files) = (fresh(), Files::new());
    put(&tree, "/board", b"old");
    keep_all(&tree, &mut files);
    put(&tree, "/.stint-0.new", b"the new one");
    keep_all(&tree, &mut files);
    let board = |files: &Files| all(&Tree::load(stored(files), || {}, now).unwrap(), "/");
    assert_eq!(board(&files), BTreeMap::from([("/board".into(), Some(b"old".to_vec()))]), "no place yet, no file");
    tree.state().rename(Path::new("/.stint-0.new"), Path::new("/board")).unwrap();
    keep_all(&tree, &mut files);
    assert_eq!(board(&files), BTreeMap::from([("/board".into(), Some(b"the new one".to_vec()))]));
}

#[test]
fn without_any_list_every_file_is_given_a_name() {
    let file = |name: &str, bytes: &[u8]| Stored { name: name.to_owned(), bytes: bytes.to_vec(), modified: now() };
    let lost = vec![file("f3", b"SQLite format 3\0..."), file("f9", b"other"), file("i4", b"garbage")];
    let tree = Tree::load(lost, || {}, now).unwrap();
    let names: Vec<_> = all(&tree, "/").into_keys().collect();
    assert_eq!(names, ["/Recovered", "/Recovered/Recovered 3.stint", "/Recovered/Recovered 9"]);
}

#[test]
fn what_a_newer_program_stored_is_left_alone() {
    let mut sum = flate2::Crc::new();
    sum.update(b"stint files 2");
    let index =
        Stored { name: "i1".to_owned(), bytes: format!("{:08x} stint files 2\n", sum.sum()).into(), modified: now() };
    let told = || panic!("nothing is changed then");
    assert_eq!(Tree::load(vec![index], told, now).unwrap_err(), LoadError::Newer);
}

#[test]
fn a_handle_may_go_to_another_thread() {
    fn send<T: Send + Sync>() {}
    send::<File>();
}
