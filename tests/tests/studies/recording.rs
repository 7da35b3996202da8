//! Recording is a queue: painting never waits for the file, what cannot be kept is taken back in words, and nothing is read that
//! is not in the file yet.

use rusqlite::Connection;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Instant;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::{ExportOptions, ExportSource, Session, SessionError, StrokeTool, export_png};
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::picture::read_attached;
use stint_model::study::file::{StudyError, StudyFile};
use stint_model::study::tile::{TileKey, TilePixels};
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_tests::numbers::Numbers;
use stint_tests::waiting::wait_for;

fn brick() -> SwatchRef {
    SwatchRef::Swatch { family: "Brick".to_owned(), role: Role::Local }
}

fn study(path: &Path, size: (u32, u32)) -> Session {
    let mut session = Session::create(path, size, Board::new("depot", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
    for (role, colour) in [(Role::Local, "#73524e"), (Role::Light, "#a8846f")] {
        let (family, name, colour) = ("Brick".to_owned(), String::new(), colour.to_owned());
        session.apply(&Command::AddSwatch { family, role, name, colour, by_role: false }).unwrap();
    }
    session.apply(&Command::Load(brick())).unwrap();
    session
}

fn a_stroke(numbers: &mut Numbers, (width, height): (u32, u32)) -> Command {
    let mut sample = || PenSample::new(numbers.range(0.0, width as f32), numbers.range(0.0, height as f32), 0.9);
    Command::Stroke(vec![sample(), sample(), sample()])
}

type Tiles = BTreeMap<TileKey, TilePixels>;

fn on_canvas(session: &mut Session) -> Tiles {
    session.canvas().all_tiles().unwrap().into_iter().map(|(key, pixels)| (key, (*pixels).clone())).collect()
}

fn in_file(path: &Path) -> (u64, Tiles) {
    let file = StudyFile::open_read_only(path).unwrap();
    let mut tiles = Tiles::new();
    file.for_each_tile(&mut |key, pixels| drop(tiles.insert(key, pixels))).unwrap();
    (file.strokes(), tiles)
}

/// Somebody who reads the file and does not let go: SQLite commits nothing meanwhile ("File Locking And Concurrency In SQLite
/// Version 3", section 3).
fn reader(path: &Path) -> Connection {
    let reader = Connection::open(path).unwrap();
    reader.execute_batch("BEGIN").unwrap();
    let _: i64 = reader.query_row("SELECT head FROM study", [], |row| row.get(0)).unwrap();
    reader
}

#[test]
fn painting_goes_on_while_the_file_cannot_be_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let size = (600, 400);
    let mut session = study(&path, size);
    let mut numbers = Numbers(5);
    let reader = reader(&path);
    for n in 1..=5 {
        // This thread holds the lock: it could not come here if it waited for the file.
        let done = session.submit(&a_stroke(&mut numbers, size)).unwrap();
        assert_eq!((done.stroke, session.strokes()), (Some(n), n));
        session.poll().unwrap();
    }
    let shown = on_canvas(&mut session);
    assert_eq!(session.depths(), (7, 0));
    let tiles: i64 = reader.query_row("SELECT COUNT(*) FROM tile", [], |row| row.get(0)).unwrap();
    assert_eq!(tiles, 0, "nothing can have been kept yet");
    reader.execute_batch("COMMIT").unwrap();
    session.settle().unwrap();
    assert_eq!(in_file(&path), (5, shown));
    // Undo orders itself behind strokes that are still on their way.
    let before = on_canvas(&mut session);
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    session.submit(&Command::Undo).unwrap();
    assert_eq!(on_canvas(&mut session), before);
    assert_eq!(session.depths(), (7, 1));
    session.submit(&Command::Redo).unwrap();
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    let last = on_canvas(&mut session);
    let rows = session.shares().unwrap().to_vec();
    // So does closing.
    session.close().unwrap();
    assert_eq!(in_file(&path), (7, last));
    assert_eq!(StudyFile::open(&path).unwrap().shares().unwrap(), rows);
}

#[test]
fn what_cannot_be_kept_is_taken_back_with_all_that_came_after_it() {
    let folder = tempfile::tempdir().unwrap();
    let (path, away) = (folder.path().join("depot.stint"), folder.path().join("away"));
    let size = (600, 400);
    let mut session = study(&path, size);
    let mut numbers = Numbers(6);
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    session.submit(&Command::Undo).unwrap();
    let told = Arc::new(AtomicU32::new(0));
    let waker = told.clone();
    session.wake_with(Arc::new(move || {
        waker.fetch_add(1, Ordering::SeqCst);
    }));
    session.shares().unwrap();
    // A stroke that is being written while others queue up behind it.
    let reader = reader(&path);
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    while !path.with_extension("stint-journal").exists() {
        std::thread::yield_now();
    }
    let rows = session.shares().unwrap().to_vec();
    let before = (on_canvas(&mut session), session.document().clone(), session.depths(), session.readout().unwrap());

    // A study that was moved away is written no more.
    std::fs::rename(&path, &away).unwrap();
    session.submit(&Command::AddPass("Light".to_owned())).unwrap();
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    session.submit(&Command::OpenFree).unwrap();
    session.submit(&Command::LoadFree("#ff8800".to_owned())).unwrap();
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    // A stroke in the making lies on what is taken back.
    session.begin_stroke(StrokeTool::Brush).unwrap();
    session.extend_stroke(&[PenSample::new(10.0, 10.0, 1.0), PenSample::new(500.0, 300.0, 1.0)]).unwrap();
    reader.execute_batch("COMMIT").unwrap();
    let error = session.settle().unwrap_err();
    let words = error.to_string();
    assert!(words.starts_with("the last 4 steps could not be kept and were taken back: "), "{words}");
    assert!(words.contains("depot.stint was moved, replaced or deleted"), "{words}");
    assert!(!session.is_painting());
    // The answer is there first, and then whoever waits is woken.
    wait_for("whoever waits to be woken", || told.load(Ordering::SeqCst) >= 1);
    let after = (on_canvas(&mut session), session.document().clone(), session.depths(), session.readout().unwrap());
    assert_eq!(after, before);
    assert_eq!(session.shares().unwrap(), rows);
    assert_eq!(session.loaded(), None, "free colour is shut again, and its colour is not on the brush");

    // One step alone is refused with its reason, and with the file back everything goes on.
    session.apply(&Command::Load(brick())).unwrap();
    let refused = session.apply(&a_stroke(&mut numbers, size)).unwrap_err();
    assert!(matches!(&refused, SessionError::Study(e) if matches!(**e, StudyError::Gone { .. })), "{refused}");
    std::fs::rename(&away, &path).unwrap();
    session.apply(&Command::Undo).unwrap();
    session.apply(&Command::Redo).unwrap();
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    let shown = on_canvas(&mut session);
    session.close().unwrap();
    assert_eq!(in_file(&path), (3, shown));
}

#[test]
fn every_stroke_painted_during_an_export_is_kept_and_none_is_in_the_picture() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let size = (2048, 1536);
    let mut session = study(&path, size);
    let mut numbers = Numbers(7);
    let (mut shown, mut kept) = (Vec::new(), Vec::new());
    for _ in 0..40 {
        let stroke = a_stroke(&mut numbers, size);
        let begun = Instant::now();
        session.submit(&stroke).unwrap();
        shown.push(begun.elapsed());
        session.settle().unwrap();
        kept.push(begun.elapsed());
    }
    shown.sort();
    kept.sort();
    println!(
        "a stroke on {size:?}: shown after {:.1?} (median; most {:.1?}), in the file after {:.1?} (most {:.1?})",
        shown[20], shown[39], kept[20], kept[39]
    );
    let (plain, beside, closed) =
        (folder.path().join("plain.png"), folder.path().join("beside.png"), folder.path().join("closed.png"));
    let options = ExportOptions::default();
    export_png(&mut session, &plain, &options, &mut |_| {}).unwrap();

    let source = ExportSource::of(&mut session).unwrap();
    let (report, progress) = std::sync::mpsc::channel();
    let target = beside.clone();
    let export = std::thread::spawn(move || source.write(&target, &options, &mut |rows| report.send(rows).unwrap()));
    let mut painted = 0;
    let mut reported = 0;
    // One stroke at least for every row of tiles that is written.
    while let Ok(rows) = progress.recv() {
        reported = rows;
        session.submit(&a_stroke(&mut numbers, size)).unwrap();
        painted += 1;
        session.poll().unwrap();
    }
    export.join().unwrap().unwrap();
    assert_eq!(reported, u64::from(size.1));
    // It reads on from a study that is closed meanwhile.
    session.settle().unwrap();
    let source = ExportSource::of(&mut session).unwrap();
    let again = folder.path().join("again.png");
    export_png(&mut session, &again, &options, &mut |_| {}).unwrap();
    session.submit(&a_stroke(&mut numbers, size)).unwrap();
    let shown = on_canvas(&mut session);
    session.close().unwrap();
    source.write(&closed, &options, &mut |_| {}).unwrap();

    assert_eq!(in_file(&path), (41 + painted, shown));
    assert!(painted >= 12, "{painted}");
    let bytes = |path: &Path| std::fs::read(path).unwrap();
    assert_eq!(bytes(&beside), bytes(&plain), "the picture is the study as it was when the export began");
    assert_eq!(bytes(&closed), bytes(&again));
    assert_eq!(read_attached(&closed).unwrap().readout, read_attached(&again).unwrap().readout);
}
