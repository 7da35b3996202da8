//! Studies that were changed outside the program: by a bad disk, by hand, or to do harm. What is wrong is told before any
//! engine sees it, and the file stays as it is.

use crate::study_support::{add_photo, counted, crc32, document, files_in, painted, sum_anew};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use stint_model::study::file::{StudyError, StudyFile};
use stint_model::study::tile::{TILE_PIXELS, TileKey, TilePixels};

/// A sample of an older version, under the name of a study in a folder of its own.
fn sample(version: u32) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("data/formats/study_{version}.stint"));
    std::fs::copy(data, &path).unwrap();
    (folder, path)
}

fn change(path: &Path, sql: &str) {
    Connection::open(path).unwrap().execute_batch(sql).unwrap();
}

/// What reading all tiles comes to.
fn tiles(study: &StudyFile) -> Result<Vec<(TileKey, TilePixels)>, StudyError> {
    let mut all = Vec::new();
    study.for_each_tile(&mut |key, tile| all.push((key, tile)))?;
    Ok(all)
}

/// A blob of even planes as versions 1 and 2 have it: one zstd frame (RFC 8878) of a single segment, its content size in
/// four bytes, and a block of the kind RLE for every byte plane.
fn frame(words: &[u32]) -> Vec<u8> {
    let bytes: Vec<u8> = words.iter().flat_map(|w| w.to_le_bytes()).collect();
    let mut frame = vec![0x28, 0xb5, 0x2f, 0xfd, 0xa0];
    frame.extend(((bytes.len() * TILE_PIXELS) as u32).to_le_bytes());
    for (i, byte) in bytes.iter().enumerate() {
        let last = u32::from(i + 1 == bytes.len());
        let header = last | 1 << 1 | (TILE_PIXELS as u32) << 3;
        frame.extend(&header.to_le_bytes()[..3]);
        frame.push(*byte);
    }
    frame
}

/// The row of a tile of even planes as version 3 has it, with a check sum that is right.
fn put_tile(db: &Connection, [pass, row, column]: [i64; 3], plane_count: i64, tally: &[(u16, u32)], words: &[u32]) {
    let mut planes = vec![words.len() as u8, ((1_u32 << words.len()) - 1) as u8];
    words.iter().for_each(|w| planes.extend(w.to_le_bytes()));
    let tally: Vec<u8> =
        tally.iter().flat_map(|(id, sum)| [&id.to_le_bytes()[..], &sum.to_le_bytes()].concat()).collect();
    let numbers = [pass, row, column, plane_count].map(i64::to_le_bytes).concat();
    let sum = crc32(&[&numbers, &counted(&tally), &counted(&planes)]);
    db.execute(
        "INSERT INTO tile (pass, tile_row, tile_column, plane_count, tally, planes, check_sum) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        (pass, row, column, plane_count, tally, planes, sum),
    )
    .unwrap();
}

/// A pair of a paint and its amount.
const fn of(paint: u32, amount: u32) -> u32 {
    paint << 16 | amount
}

/// An even plane of a little paint, which is sound inside the canvas.
const NINE: &[u32] = &[of(1, 9)];
/// Even planes that no pixel may have, with the words that say why.
const FAULTS: [(&[u32], &str); 5] = [
    (&[of(1, 30_000), of(1, 5)], "has paint 1 twice"),
    (&[of(1, 40_000), of(2, 40_000)], "holds 80000 of at most 65535"),
    (&[0, of(2, 5)], "has an empty place below paint"),
    (&[of(900, 5)], "has paint 900, which is not in the paint table"),
    (&[of(3, 0)], "has a pair of paint 3 without any"),
];

#[test]
fn pixels_of_an_older_study_are_checked_before_anything_sees_them() {
    let (_folder, sound) = sample(2);
    change(&sound, "DELETE FROM tile");
    Connection::open(&sound)
        .unwrap()
        .execute("INSERT INTO tile VALUES (1, 0, 0, ?1)", [frame(&[of(1, 9), of(2, 9)])])
        .unwrap();
    assert_eq!(tiles(&StudyFile::open_read_only(&sound).unwrap()).unwrap().len(), 1);

    // The canvas is 300 x 200: the third column of tiles has an edge.
    let edge = (NINE, 2, "column 300, row 0 has paint beyond the edge of the canvas");
    for (words, column, said) in FAULTS.iter().map(|(words, said)| (*words, 0, *said)).chain([edge]) {
        let (folder, path) = sample(2);
        change(&path, "DELETE FROM tile");
        let db = Connection::open(&path).unwrap();
        db.execute("INSERT INTO tile VALUES (1, 0, ?1, ?2)", (column, frame(words))).unwrap();
        drop(db);
        let before = std::fs::read(&path).unwrap();
        for error in [StudyFile::open(&path).unwrap_err(), StudyFile::open_read_only(&path).unwrap_err()] {
            assert!(matches!(error, StudyError::Damaged { .. }), "{error:?}");
            assert!(error.to_string().contains(said), "{error}");
        }
        // Neither changed nor copied.
        assert!(std::fs::read(&path).unwrap() == before);
        assert_eq!(files_in(folder.path()), ["depot.stint"]);
    }
}

#[test]
fn pixels_and_tallies_of_a_study_are_checked_before_anything_sees_them() {
    let full = TILE_PIXELS as u32;
    // Words, how many planes the row says there are, its tally, and what is wrong.
    type Case<'a> = (&'a [u32], i64, Vec<(u16, u32)>, &'a str);
    let mut cases: Vec<Case> = FAULTS.iter().map(|(words, said)| (*words, words.len() as i64, vec![], *said)).collect();
    cases.push((NINE, 1, vec![(1, 9 * full - 1)], "has another tally than its pixels"));
    cases.push((NINE, 2, vec![(1, 9 * full)], "has another number of planes than it says"));
    for (words, plane_count, tally, said) in cases {
        let (_folder, path, _) = painted(41, 0);
        put_tile(&Connection::open(&path).unwrap(), [1, 0, 0], plane_count, &tally, words);
        let error = tiles(&StudyFile::open(&path).unwrap()).unwrap_err();
        assert!(matches!(error, StudyError::Damaged { .. }), "{error:?}");
        assert!(error.to_string().contains(said), "{error}");
    }
    // The same by the same way, but sound.
    let (_folder, path, _) = painted(41, 0);
    put_tile(&Connection::open(&path).unwrap(), [1, 0, 0], 1, &[(1, 9 * full)], &[of(1, 9)]);
    assert_eq!(tiles(&StudyFile::open(&path).unwrap()).unwrap().len(), 1);
}

#[test]
fn a_changed_byte_of_any_text_is_found() {
    let (folder, path, _) = painted(42, 4);
    let whole = std::fs::read(&path).unwrap();
    let hurt = folder.path().join("hurt.stint");
    let places = |text: &[u8]| -> Vec<usize> {
        (0..whole.len() - text.len()).filter(|&at| whole[at..].starts_with(text)).collect()
    };
    // Names of boards and grounds, of steps, and the commands.
    for text in [&b"tram depot"[..], b"warm grey", b"Step 2", b"Stroke(width_px: 12.0)"] {
        let found = places(text);
        assert!(!found.is_empty());
        let mut refused = 0;
        for at in found {
            let mut bytes = whole.clone();
            // Another letter, so that it still reads well.
            bytes[at + 1] ^= 1;
            std::fs::write(&hurt, &bytes).unwrap();
            let walk = |study: Result<StudyFile, StudyError>| -> Result<(), StudyError> {
                let mut study = study?;
                study.steps()?;
                while study.undo()?.is_some() {}
                Ok(())
            };
            for study in [StudyFile::open(&hurt), StudyFile::open_read_only(&hurt)] {
                match walk(study) {
                    // What SQLite left behind on a page belongs to nothing.
                    Ok(()) => {}
                    Err(error) => {
                        assert!(error.to_string().contains("does not match its check sum"), "{error}");
                        refused += 1;
                    }
                }
            }
        }
        assert!(refused >= 2, "no change of {:?} was found", String::from_utf8_lossy(text));
    }
}

#[test]
fn rows_that_were_moved_or_changed_are_found() {
    for (sql, said) in [
        ("UPDATE step SET painted_px = painted_px + 1 WHERE step = 3", "step 3 does not match"),
        ("UPDATE step SET label = 'Mine' WHERE step = 3", "the text of step 3 does not match"),
        ("UPDATE study SET head = 3", "that it stands at step 3 does not match"),
        ("UPDATE photo SET bytes = x'00'", "its photo \"depot.jpg\" does not match"),
    ] {
        let (_folder, path, _) = painted(43, 4);
        let mut study = StudyFile::open(&path).unwrap();
        let photo = add_photo(&mut study, "depot.jpg", b"tram").unwrap();
        drop(study);
        change(&path, sql);
        let read = || -> Result<(), StudyError> {
            let study = StudyFile::open(&path)?;
            study.shares()?;
            study.steps()?;
            study.photo(photo).map(|_| ())
        };
        let error = read().unwrap_err();
        assert!(matches!(error, StudyError::Damaged { .. }) && error.to_string().contains(said), "{sql}: {error}");
    }
}

#[test]
fn parts_that_are_not_known_are_refused_by_name() {
    for (sql, said) in [
        ("CREATE TABLE brushes (name TEXT)", "the table \"brushes\""),
        ("ALTER TABLE tile ADD COLUMN gloss INTEGER", "the column \"gloss\" of table \"tile\""),
        ("CREATE VIEW looks AS SELECT 1", "the view \"looks\""),
        ("UPDATE document SET ron = replace(ron, '(width:', '(season:3,width:')", "`season`"),
    ] {
        let (_folder, path, _) = painted(44, 2);
        let db = Connection::open(&path).unwrap();
        db.execute_batch(sql).unwrap();
        sum_anew(&db);
        drop(db);
        let before = std::fs::read(&path).unwrap();
        for error in [StudyFile::open(&path).unwrap_err(), StudyFile::open_read_only(&path).unwrap_err()] {
            assert!(matches!(error, StudyError::UnknownPart { .. }), "{sql}: {error:?}");
            let text = error.to_string();
            assert!(text.contains(said) && text.contains("study format 4"), "{sql}: {text}");
        }
        assert!(std::fs::read(&path).unwrap() == before);
    }
}

#[test]
fn an_upgrade_leaves_a_copy_and_replaces_nothing() {
    for version in [1, 2, 3] {
        let (folder, path) = sample(version);
        std::fs::write(folder.path().join("depot before upgrade.stint"), "older").unwrap();
        let study = StudyFile::open(&path).unwrap();
        let copy = study.copy_before_upgrade().unwrap().to_owned();
        assert_eq!(copy, folder.path().join("depot before upgrade 2.stint"));
        let (document, found) = (study.document().clone(), tiles(&study).unwrap());
        study.close().unwrap();
        assert_eq!(std::fs::read(folder.path().join("depot before upgrade.stint")).unwrap(), b"older");
        let of_version = |path: &Path| -> u32 {
            Connection::open(path).unwrap().pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
        };
        assert_eq!((of_version(&path), of_version(&copy)), (4, version));
        let old = StudyFile::open_read_only(&copy).unwrap();
        assert_eq!((old.document(), tiles(&old).unwrap()), (&document, found));
        // Only once.
        assert!(StudyFile::open(&path).unwrap().copy_before_upgrade().is_none());
        assert_eq!(files_in(folder.path()).len(), 3);
    }
}

#[test]
fn a_study_that_cannot_be_copied_is_not_upgraded() {
    let (folder, path) = sample(2);
    // As long as a name may be with the ending of its lock, but not with that of a copy: 255 bytes on the usual systems.
    let long = folder.path().join(format!("{}.stint", "d".repeat(240)));
    std::fs::rename(&path, &long).unwrap();
    let before = std::fs::read(&long).unwrap();
    let error = StudyFile::open(&long).unwrap_err();
    assert!(matches!(error, StudyError::NoCopy { .. }), "{error:?}");
    assert!(error.to_string().contains("it was not changed"), "{error}");
    assert!(std::fs::read(&long).unwrap() == before);
    assert_eq!(files_in(folder.path()).len(), 1);
    StudyFile::open_read_only(&long).unwrap();
}

#[test]
fn a_small_study_that_would_fill_the_memory_is_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let mut large = document();
    (large.width, large.height) = (16384, 16384);
    StudyFile::create(&path, &large).unwrap().close().unwrap();
    let db = Connection::open(&path).unwrap();
    db.execute_batch("BEGIN").unwrap();
    let words: Vec<u32> = (1..=8).map(|paint| of(paint, 8000)).collect();
    let tally: Vec<(u16, u32)> = (1..=8).map(|paint| (paint, 8000 * TILE_PIXELS as u32)).collect();
    // 8192 tiles of eight planes are 4 GiB; one more is too many.
    (0..8193_i64).for_each(|i| put_tile(&db, [1, i / 128, i % 128], 8, &tally, &words));
    db.execute_batch("COMMIT").unwrap();
    drop(db);
    assert!(path.metadata().unwrap().len() < 4 << 20);
    for error in [StudyFile::open(&path).unwrap_err(), StudyFile::open_read_only(&path).unwrap_err()] {
        assert!(matches!(error, StudyError::TooMuchPaint { needed_mib: 4097, .. }), "{error:?}");
    }
    change(&path, "DELETE FROM tile WHERE tile_row = 64");
    StudyFile::open(&path).unwrap();
}
