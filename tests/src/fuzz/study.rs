//! A study file: any bytes as the file, and, so that a fuzzer comes past the database's own checks, any bytes as a blob or text of a
//! sound one, with the check sum that it wants.

use super::{data, read, text};
use std::path::Path;
use std::sync::LazyLock;
use stint_model::board::{Board, LightOfDay};
use stint_model::colour::Colour;
use stint_model::ids::PassId;
use stint_model::study::Document;
use stint_model::study::file::{Shares, Step, StepKind, StudyError, StudyFile, TileChange};
use stint_model::study::hand_out::{LeaveOut, hand_out};
use stint_model::study::tile::{Plane, TileKey, TilePixels, TilePos};

/// What stands first in an input: the whole file, or which part of [`SOUND`].
#[derive(Clone, Copy)]
enum Part {
    File = b'f' as isize,
    Tile = b't' as isize,
    Delta = b'd' as isize,
    Document = b'r' as isize,
}

/// A study; its first byte says what the others are.
pub(super) fn run(bytes: &[u8]) {
    let Some((part, bytes)) = bytes.split_first() else { return };
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let path = folder.path().join("fuzzed.stint");
    if *part == Part::File as u8 {
        write(&path, bytes);
    } else {
        write(&path, &SOUND);
        let db = rusqlite::Connection::open(&path).expect("our own study is a database");
        let changed = match *part {
            part if part == Part::Tile as u8 => put_tile(&db, bytes),
            part if part == Part::Delta as u8 => put_delta(&db, bytes),
            part if part == Part::Document as u8 => put_document(&db, text(bytes)),
            _ => return,
        };
        changed.expect("our own study can be changed");
    }
    let before = std::fs::read(&path).expect("it was written just now");
    let looked = read(StudyFile::open_read_only(&path).and_then(walk));
    assert!(std::fs::read(&path).expect("it is still there") == before, "looking changed a study");
    read(hand_out(&path, &folder.path().join("copy.stint"), LeaveOut { photos: true, history: false }));
    // What cannot be written, though it can be read, is refused for painting alone.
    if let Some(painted) = read(StudyFile::open(&path).and_then(walk)) {
        assert_eq!(looked, Some(painted), "painting and looking see different studies");
    }
}

/// Reads all there is, back and forth, and tells how much it was.
fn walk(mut study: StudyFile) -> Result<[u64; 3], StudyError> {
    let mut tiles = 0;
    study.for_each_tile(&mut |_, tile| {
        assert!(!tile.is_empty());
        tiles += 1;
    })?;
    study.shares()?;
    let steps = study.steps()?.len() as u64;
    if let Some(reference) = &study.document().reference {
        study.photo(reference.photo)?;
    }
    // A file can say that it has more steps than anybody can walk.
    let (back, on) = (study.undo_depth().min(50), study.redo_depth().min(50));
    for _ in 0..back {
        study.undo()?;
    }
    for _ in 0..back + on {
        study.redo()?;
    }
    study.close()?;
    Ok([tiles, steps, back + on])
}

fn write(path: &Path, bytes: &[u8]) {
    std::fs::write(path, bytes).expect("the temporary folder can be written");
}

/// Where the tile is that inputs take the place of.
const PLACE: [i64; 3] = [1, 0, 0];

/// A canvas of two tiles of which one has paint, and three steps.
static SOUND: LazyLock<Vec<u8>> = LazyLock::new(|| {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let path = folder.path().join("sound.stint");
    let mut study = StudyFile::create(&path, &document()).expect("a small study can be made");
    let key = TileKey { pass: PassId(1), pos: TilePos { column: 0, row: 0 } };
    let mut before = TilePixels::default();
    for amount in [9, 300] {
        let after = TilePixels::new(vec![Plane::from_fn(|i| 1 << 16 | (amount + i as u32 % 5))]);
        let tiles = [TileChange { key, before: &before, after: &after }];
        let (label, kind, shares) = ("Stroke", StepKind::Stroke, Shares::EMPTY);
        let step = Step { label, kind, command: "", document: None, tiles: &tiles, shares, noted: Default::default() };
        study.record(step).expect("a small study can be painted on");
        before = after;
    }
    study.close().expect("a small study can be closed");
    std::fs::read(&path).expect("it was written just now")
});

fn document() -> Document {
    let board = Board::new("tram depot", LightOfDay::Cool);
    let mut document = Document::new(256, 128, board).expect("a small canvas");
    for n in 0_u8..9 {
        document.paints.load_free(Colour::new(f32::from(n) / 9.0, 0.1, 0.2)).expect("room for a colour");
    }
    document
}

/// Number of planes, length of the tally in pairs, the tally, the blob.
fn put_tile(db: &rusqlite::Connection, bytes: &[u8]) -> rusqlite::Result<usize> {
    let (count, bytes) = bytes.split_first().unwrap_or((&1, &[]));
    let (pairs, bytes) = bytes.split_first().unwrap_or((&0, &[]));
    let (tally, planes) = bytes.split_at((usize::from(*pairs) * 6).min(bytes.len()));
    let count = i64::from(count % 8 + 1);
    let numbers = [PLACE[0], PLACE[1], PLACE[2], count].map(i64::to_le_bytes).concat();
    let sum = check_sum(&[&numbers, &counted(tally), &counted(planes)]);
    db.execute("UPDATE tile SET plane_count = ?1, tally = ?2, planes = ?3, check_sum = ?4", (count, tally, planes, sum))
}

/// The blob of what the last step did.
fn put_delta(db: &rusqlite::Connection, delta: &[u8]) -> rusqlite::Result<usize> {
    let numbers = [2, PLACE[0], PLACE[1], PLACE[2]].map(i64::to_le_bytes).concat();
    let sum = check_sum(&[&numbers, &counted(delta)]);
    db.execute("UPDATE step_tile SET delta = ?1, check_sum = ?2 WHERE step = 2", (delta, sum))
}

/// The text of the first document.
fn put_document(db: &rusqlite::Connection, ron: &str) -> rusqlite::Result<usize> {
    let sum = check_sum(&[&0_i64.to_le_bytes(), &counted(ron.as_bytes())]);
    db.execute("UPDATE document SET ron = ?1, check_sum = ?2 WHERE step = 0", (ron, sum))
}

/// CRC-32/ISO-HDLC, the check sum of rows.
fn check_sum(parts: &[&[u8]]) -> i64 {
    i64::from(super::mutation::crc32(parts))
}

/// Text or a blob, as a check sum takes it in.
fn counted(bytes: &[u8]) -> Vec<u8> {
    [&(bytes.len() as u64).to_le_bytes()[..], bytes].concat()
}

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let with = |part: Part, bytes: &[u8]| [&[part as u8], bytes].concat();
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let path = folder.path().join("sound.stint");
    write(&path, &SOUND);
    let db = rusqlite::Connection::open(&path).expect("our own study is a database");
    let get = |sql: &str| -> Vec<u8> { db.query_row(sql, [], |row| row.get(0)).expect("our own study has it") };
    let (planes, tally) = (get("SELECT planes FROM tile"), get("SELECT tally FROM tile"));
    let head = [0, (tally.len() / 6) as u8];
    // Two even planes of nine amounts each in every pixel of the tile.
    let even = [&[2, 3][..], &(1_u32 << 16 | 9).to_le_bytes(), &(2_u32 << 16 | 9).to_le_bytes()].concat();
    let mut seeds = vec![
        with(Part::File, &SOUND),
        with(Part::Tile, &[&head[..], &tally, &planes].concat()),
        with(Part::Tile, &[&[1, 0][..], &even].concat()),
        with(Part::Delta, &get("SELECT delta FROM step_tile WHERE step = 2")),
        with(Part::Delta, &even),
        with(Part::Document, &get("SELECT CAST(ron AS BLOB) FROM document")),
    ];
    for name in ["formats/study_1.stint", "formats/study_2.stint"] {
        seeds.push(with(Part::File, &std::fs::read(data(name)).expect("test data can be read")));
    }
    seeds
}
