//! Everything of a browser in one file: an archive that may come from anywhere.

use super::{data, files, read};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stint::files::all_in_one::zip::Writer;
use stint::files::all_in_one::{TakenIn, pack, take_in};
use tempfile::TempDir;

/// An archive as it is, and with the check sums that its stored files want.
pub(super) fn run(bytes: &[u8]) {
    take(bytes);
    if let Some(mended) = with_right_sums(bytes)
        && mended != bytes
    {
        take(&mended);
    }
}

/// Where nothing waits for a disk, if there is such a place: every file that is taken in is synced.
fn home() -> TempDir {
    let memory = Path::new("/dev/shm");
    let made = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
    made.expect("a temporary folder can be made")
}

/// Whatever is taken in lies under the painter's folders, is counted, is there when it comes again, and goes out and in once more.
fn take(archive: &[u8]) {
    let (one, other) = (home(), home());
    let Some(done) = read(take_in(archive, Some(one.path()))) else { return };
    let there = everything(one.path());
    assert_eq!((there.len(), done.there), (done.studies + done.others, 0), "{:?}", there.keys());
    let roots = ["Studies", "Recovered", "stint/boards", "stint/brushes", "stint/memory.ron"];
    assert!(there.keys().all(|path| roots.iter().any(|root| path.starts_with(root))), "{:?}", there.keys());
    let again = take_in(archive, Some(one.path()));
    assert_eq!(again, Ok(TakenIn { there: there.len(), ..TakenIn::default() }));
    assert!(everything(one.path()) == there, "the second time something changed");
    let packed = pack(Some(one.path())).expect("what was taken in can be packed");
    let moved = take_in(&packed, Some(other.path()));
    assert_eq!(moved, Ok(done));
    assert!(everything(other.path()) == there, "something changed on its way");
}

/// All files below a folder by their paths in it.
fn everything(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(at) = folders.pop() {
        for entry in std::fs::read_dir(&at).expect("a folder of ours can be read") {
            let path = entry.expect("a folder of ours can be read").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let bytes = std::fs::read(&path).expect("a file of ours can be read");
                found.insert(path.strip_prefix(folder).expect("it lies below").to_owned(), bytes);
            }
        }
    }
    found
}

/// The archive with the lengths and check sums that files without compression want; nothing where it has no directory.
fn with_right_sums(bytes: &[u8]) -> Option<Vec<u8>> {
    let four = |bytes: &[u8], at: usize| {
        let four = bytes.get(at..at.checked_add(4)?)?;
        Some(u32::from_le_bytes(four.try_into().ok()?) as usize)
    };
    let two = |at: usize| Some(usize::from(u16::from_le_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?)));
    let end = bytes.windows(4).rposition(|four| four == b"PK\x05\x06")?;
    let (count, mut at) = (two(end + 10)?, four(bytes, end + 16)?);
    let mut mended = bytes.to_vec();
    for _ in 0..count {
        if bytes.get(at..at.checked_add(4)?) != Some(b"PK\x01\x02".as_slice()) {
            break;
        }
        let (Some(packed), Some(local)) = (four(bytes, at + 20), four(bytes, at + 42)) else { break };
        let next = two(at + 28).zip(two(at + 30)).zip(two(at + 32));
        let names = local.checked_add(28).and_then(two).zip(local.checked_add(26).and_then(two));
        if let Some((extra, name)) = names
            && let Some(content) = bytes.get(local + 30 + name + extra..).and_then(|rest| rest.get(..packed))
            && two(at + 10) == Some(0)
        {
            let sum = super::mutation::crc32(&[content]);
            mended[at + 16..at + 20].copy_from_slice(&sum.to_le_bytes());
            mended.copy_within(at + 20..at + 24, at + 24);
        }
        let Some(((name, extra), comment)) = next else { break };
        at += 46 + name + extra + comment;
    }
    Some(mended)
}

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let archive = |members: &[(&str, &[u8])]| {
        let mut writer = Writer::default();
        for (name, bytes) in members {
            writer.add(name, bytes).expect("a seed has room");
        }
        writer.end().expect("a seed has room")
    };
    let plain: [(&str, &[u8]); 6] = [
        ("Studies/depot.stint", b"a study"),
        ("Studies/field/\u{591c}.stint", b""),
        ("Boards/Depot.board.ron", b"a board"),
        ("Boards/Depot.photo.png", b"its photo"),
        ("Brushes/reed.brush.ron", b"a brush"),
        ("Memory/memory.ron", b"drills"),
    ];
    let elsewhere: [(&str, &[u8]); 5] = [
        ("Studies/../../out.stint", b"x"),
        ("/etc/passwd", b"x"),
        ("Studies/c:\\a.stint", b"x"),
        ("Recovered/1.stint", b"found"),
        ("Settings/settings.ron", b"{}"),
    ];
    let others = files(&data("archives")).into_iter().map(|(_, bytes)| bytes);
    [archive(&plain), archive(&elsewhere)].into_iter().chain(others).collect()
}
