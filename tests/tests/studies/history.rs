//! The history of a study file against a plain model of it, through restarts and kills.

use crate::study_support::{
    Change, Random, State, after, document, empty, files_in, painted, record, set, shares, some_change, state,
};
use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use stint_model::ids::PassId;
use stint_model::readout::Opened;
use stint_model::study::Document;
use stint_model::study::file::{Lid, Moved, Noted, Shares, Step, StepKind, StudyError, StudyFile};
use stint_model::study::tile::{Plane, TileKey, TilePixels, TilePos};

/// `before`, brought along by what undo or redo says has changed.
fn moved(mut before: State, moved: Moved, study: &StudyFile) -> State {
    for (key, tile) in moved.tiles {
        set(&mut before.tiles, key, tile);
    }
    assert_eq!(moved.document.is_some(), before.document != *study.document());
    State { document: study.document().clone(), strokes: study.strokes(), ..before }
}

#[test]
fn history_follows_a_plain_model_through_restarts() {
    for seed in 0..6 {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.stint");
        let mut study = StudyFile::create(&path, &document()).unwrap();
        let (mut random, mut states, mut head) = (Random(seed), vec![empty()], 0);
        for _ in 0..100 {
            let shown = states[head].clone();
            match random.below(10) {
                0..5 => {
                    let change = some_change(&mut random, &states[head]);
                    record(&mut study, &change).unwrap();
                    states.truncate(head + 1);
                    states.push(after(&states[head], &change));
                    head += 1;
                }
                5..7 => match study.undo().unwrap() {
                    Some(step) => {
                        assert_eq!(step.label, format!("Step {head}"));
                        head -= 1;
                        let (a, b) = (&states[head], &states[head + 1]);
                        // `moved` compares documents, which an edit may have left equal by chance.
                        assert!(step.document.is_some() || a.document == b.document);
                        assert_eq!(moved(shown, step, &study), states[head]);
                    }
                    None => assert_eq!(head, 0),
                },
                7..9 => match study.redo().unwrap() {
                    Some(step) => {
                        head += 1;
                        assert_eq!(step.label, format!("Step {head}"));
                        assert_eq!(moved(shown, step, &study), states[head]);
                    }
                    None => assert_eq!(head + 1, states.len()),
                },
                _ => {
                    study.close().unwrap();
                    assert_eq!(files_in(folder.path()), ["depot.stint"]);
                    study = StudyFile::open(&path).unwrap();
                    assert_eq!(state(&study), states[head]);
                }
            }
            assert_eq!((study.undo_depth(), study.redo_depth()), (head as u64, (states.len() - 1 - head) as u64));
            assert_eq!(study.steps().unwrap().len(), states.len() - 1);
            let rows = study.shares().unwrap();
            assert_eq!(rows.len(), head + 1);
            for (number, (row, state)) in rows.iter().zip(&states).enumerate() {
                let expected = if number == 0 { Shares::EMPTY } else { shares(number as u64) };
                assert_eq!((row.step.0, row.strokes, row.shares), (number as u64, state.strokes, expected));
            }
        }
        assert_eq!(state(&study), states[head]);
    }
}

#[test]
fn openings_of_free_colour_outlive_undo() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let mut study = StudyFile::create(&path, &document()).unwrap();
    let note = |after_strokes| Opened { after_strokes, board_share: 1.0, free_share: 0.0, bare_share: 0.5 };
    let mut open = document();
    open.free_open = true;
    let step = |document, opened: Option<Opened>| {
        let (label, kind, command) = ("Open free colour", StepKind::Edit, "OpenFree");
        Step {
            label,
            kind,
            command,
            document,
            tiles: &[],
            shares: Shares::EMPTY,
            noted: Noted { opened: opened.map(|o| (Lid::FreeColour, o)), ..Noted::default() },
        }
    };
    study.record(step(Some(&open), Some(note(0)))).unwrap();
    study.undo().unwrap();
    assert!(!study.document().free_open);
    study.note_opened(note(7)).unwrap();
    study.record(step(None, None)).unwrap();
    study.close().unwrap();
    let study = StudyFile::open(&path).unwrap();
    assert_eq!(study.opened(), [note(0), note(7)]);
    assert_eq!((study.undo_depth(), study.redo_depth()), (1, 0));
}

const HELPER_STUDY: &str = "STINT_TEST_STUDY";

/// The change that leads to the state of this many strokes. The same in the helper and in the test.
fn nth_change(state: &State) -> Change {
    let mut change = some_change(&mut Random(1000 + state.strokes), state);
    change.kind = StepKind::Stroke;
    change
}

#[test]
#[ignore = "the other process of a_killed_painter_loses_nothing_recorded"]
fn helper_that_paints_until_it_is_killed() {
    let path = PathBuf::from(std::env::var_os(HELPER_STUDY).unwrap());
    let mut study = StudyFile::open(&path).unwrap();
    let mut now = state(&study);
    loop {
        let change = nth_change(&now);
        record(&mut study, &change).unwrap();
        now = after(&now, &change);
        println!("recorded {}", now.strokes);
    }
}

fn start_helper(path: &Path) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "history::helper_that_paints_until_it_is_killed", "--ignored", "--nocapture"])
        .env(HELPER_STUDY, path)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap()
}

#[test]
fn a_killed_painter_loses_nothing_recorded() {
    let (folder, path, mut states) = painted(9, 0);
    let mut random = Random(9);
    let mut journals = 0;
    for _ in 0..15 {
        let mut helper = start_helper(&path);
        let mut lines = BufReader::new(helper.stdout.take().unwrap()).lines();
        let number = |line: &str| line.strip_prefix("recorded ").and_then(|n| n.parse::<usize>().ok());
        let mut recorded = lines.by_ref().find_map(|line| number(&line.unwrap())).unwrap();
        assert!(matches!(StudyFile::open(&path), Err(StudyError::OpenElsewhere { .. })));
        // A program that records without a pause can keep a reader out for as long as it waits.
        let read =
            (0..20).map(|_| StudyFile::open_read_only(&path)).find(|r| !matches!(r, Err(StudyError::Busy { .. })));
        read.expect("a moment between two strokes").unwrap();
        std::thread::sleep(Duration::from_micros(random.below(60_000)));
        helper.kill().unwrap();
        helper.wait().unwrap();
        for line in lines {
            recorded = number(&line.unwrap()).unwrap_or(recorded);
        }
        journals += u32::from(folder.path().join("depot.stint-journal").exists());
        let study = StudyFile::open(&path).unwrap();
        let found = state(&study);
        assert!((recorded..=recorded + 1).contains(&(found.strokes as usize)));
        while states.len() <= found.strokes as usize {
            let last = states.last().unwrap();
            states.push(after(last, &nth_change(last)));
        }
        assert_eq!(found, states[found.strokes as usize]);
    }
    println!("{} strokes, {journals} of 15 kills in the middle of one", states.len() - 1);
}

/// How many transactions have changed a study: the file change counter (SQLite's file format, section 1.3.7), which goes up
/// once a transaction.
fn transactions(path: &Path) -> u32 {
    let mut header = [0; 28];
    File::open(path).unwrap().read_exact(&mut header).unwrap();
    u32::from_be_bytes(header[24..28].try_into().unwrap())
}

#[test]
fn a_mass_of_1024_tiles_is_one_transaction_and_looking_at_it_none() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let large = Document { width: 4096, height: 4096, ..document() };
    let mut study = StudyFile::create(&path, &large).unwrap();
    let flat = TilePixels::new(vec![Plane::even((1 << 16) | 65535)]);
    let graded = TilePixels::new(vec![Plane::from_fn(|i| (2 << 16) | (i as u32 * 3 + 1))]);
    let place = |i: u16| TileKey { pass: PassId(1), pos: TilePos { column: i % 32, row: i / 32 } };
    let step = |before: &TilePixels, after: &TilePixels| Change {
        kind: StepKind::Stroke,
        document: None,
        tiles: (0..1024).map(|i| (place(i), before.clone(), after.clone())).collect(),
    };
    let steps = [step(&TilePixels::default(), &flat), step(&flat, &graded)];
    let mut counted = |what: &str, expected: u32, work: &mut dyn FnMut(&mut StudyFile)| {
        let before = transactions(&path);
        work(&mut study);
        assert_eq!(transactions(&path) - before, expected, "{what}");
    };
    counted("record a mass", 1, &mut |study| record(study, &steps[0]).unwrap());
    counted("record a grade", 1, &mut |study| record(study, &steps[1]).unwrap());
    counted("undo", 1, &mut |study| assert_eq!(study.undo().unwrap().unwrap().tiles.len(), 1024));
    counted("redo", 1, &mut |study| assert_eq!(study.redo().unwrap().unwrap().tiles.len(), 1024));
    counted("read all tiles", 0, &mut |study| assert_eq!(state(study).tiles.len(), 1024));
    counted("copy for a reader", 0, &mut |_| {
        assert_eq!(state(&StudyFile::open_read_only(&path).unwrap()).tiles.len(), 1024)
    });
    println!("file: {} kB", path.metadata().unwrap().len() / 1000);
}
