//! Study files: who may open them, and everything that can happen to one.

use crate::study_support::{
    Random, add_photo, after, document, files_in, painted, record, some_change, state, sum_anew,
};
use std::path::Path;
use stint_model::study::file::{StepKind, StudyError, StudyFile};

#[test]
fn a_new_study_never_replaces_a_file() {
    let (folder, path, states) = painted(1, 3);
    assert!(matches!(StudyFile::create(&path, &document()), Err(StudyError::Exists { .. })));
    let other = folder.path().join("notes.txt");
    std::fs::write(&other, "Tuesday").unwrap();
    assert!(matches!(StudyFile::create(&other, &document()), Err(StudyError::Exists { .. })));
    let nowhere = folder.path().join("none").join("depot.stint");
    assert!(matches!(StudyFile::create(&nowhere, &document()), Err(StudyError::NoFolder { .. })));
    let mut unsound = document();
    unsound.width = 0;
    assert!(StudyFile::create(&folder.path().join("second.stint"), &unsound).is_err());
    assert_eq!(files_in(folder.path()), ["depot.stint", "notes.txt"]);
    assert_eq!(state(&StudyFile::open(&path).unwrap()), states[3]);
}

#[test]
fn one_window_paints_and_others_read() {
    let (_folder, path, mut states) = painted(2, 4);
    let mut painter = StudyFile::open(&path).unwrap();
    let said = StudyFile::open(&path).unwrap_err();
    assert!(matches!(said, StudyError::OpenElsewhere { .. }));
    assert!(said.to_string().contains("already open in another window"));

    let mut reader = StudyFile::open_read_only(&path).unwrap();
    let change = some_change(&mut Random(77), &states[4]);
    record(&mut painter, &change).unwrap();
    states.push(after(&states[4], &change));
    assert_eq!(state(&reader), states[4]);
    assert_eq!(state(&StudyFile::open_read_only(&path).unwrap()), states[5]);

    // The reader's history is its own.
    for back in (0..4).rev() {
        reader.undo().unwrap().unwrap();
        assert_eq!(state(&reader), states[back]);
    }
    assert!(reader.undo().unwrap().is_none());
    assert!(matches!(record(&mut reader, &change), Err(StudyError::Reading { .. })));
    assert!(matches!(add_photo(&mut reader, "a.jpg", b"a"), Err(StudyError::Reading { .. })));
    drop(reader);
    drop(painter);
    assert_eq!(state(&StudyFile::open(&path).unwrap()), states[5]);
}

#[test]
fn readers_beside_a_busy_painter_see_whole_steps() {
    let (_folder, path, mut states) = painted(3, 0);
    let mut random = Random(3);
    let mut changes = Vec::new();
    for _ in 0..60 {
        let mut change = some_change(&mut random, states.last().unwrap());
        change.kind = StepKind::Stroke;
        states.push(after(states.last().unwrap(), &change));
        changes.push(change);
    }
    let mut painter = StudyFile::open(&path).unwrap();
    let (first_look, looked) = std::sync::mpsc::channel();
    let (path, known) = (&path, &states);
    std::thread::scope(|scope| {
        let reading = scope.spawn(move || {
            let mut seen = std::collections::BTreeSet::new();
            loop {
                let found = state(&StudyFile::open_read_only(path).unwrap());
                assert_eq!(found, known[found.strokes as usize]);
                seen.insert(found.strokes);
                let _ = first_look.send(());
                if found.strokes == 60 {
                    return seen.len();
                }
            }
        });
        for (i, change) in changes.iter().enumerate() {
            record(&mut painter, change).unwrap();
            if i == changes.len() / 2 {
                // On a busy machine the painter could be done before anybody has looked once.
                let _ = looked.recv();
            }
        }
        assert!(reading.join().unwrap() > 1);
    });
}

/// Opens the file both ways, expecting a refusal that leaves it as it is.
fn refused(path: &Path) -> [StudyError; 2] {
    let before = std::fs::read(path).unwrap();
    // Looking at a foreign database that keeps a write-ahead log leaves its two log files; ours never has one.
    let listed = || {
        let mut files = files_in(path.parent().unwrap());
        files.retain(|name| !name.ends_with("-wal") && !name.ends_with("-shm"));
        files
    };
    let listed_before = listed();
    let errors = [StudyFile::open(path).unwrap_err(), StudyFile::open_read_only(path).unwrap_err()];
    assert!(std::fs::read(path).unwrap() == before, "the file was changed");
    assert_eq!(listed(), listed_before);
    for error in &errors {
        assert!(error.to_string().contains(&path.display().to_string()), "{error}");
    }
    errors
}

#[test]
fn a_newer_version_and_other_files_are_refused_untouched() {
    let (folder, path, _) = painted(4, 2);
    let newer = folder.path().join("newer.stint");
    std::fs::copy(&path, &newer).unwrap();
    let change = |path: &Path, sql: &str| rusqlite::Connection::open(path).unwrap().execute_batch(sql).unwrap();
    change(&newer, "PRAGMA user_version = 5");
    for error in refused(&newer) {
        assert!(matches!(error, StudyError::Newer { found: 5, known: 4, .. }));
        assert!(error.to_string().contains("newer Stint"));
    }
    let other = folder.path().join("other.stint");
    change(&other, "PRAGMA application_id = 1; CREATE TABLE study (head); PRAGMA user_version = 1");
    let logged = folder.path().join("logged.stint");
    change(&logged, "PRAGMA journal_mode = WAL; CREATE TABLE t (x); INSERT INTO t VALUES (1)");
    let (text, nothing) = (folder.path().join("text.stint"), folder.path().join("nothing.stint"));
    std::fs::write(&text, "not a database, but long enough to have a header of one hundred bytes. ".repeat(9)).unwrap();
    std::fs::write(&nothing, "").unwrap();
    for file in [&other, &logged, &text, &nothing] {
        for error in refused(file) {
            assert!(matches!(error, StudyError::NotAStudy { .. }), "{error:?}");
        }
    }
    assert!(matches!(StudyFile::open(folder.path()), Err(StudyError::NotAStudy { .. })));
    let missing = folder.path().join("missing.stint");
    assert!(matches!(StudyFile::open(&missing), Err(StudyError::Missing { .. })));
    assert!(matches!(StudyFile::open_read_only(&missing), Err(StudyError::Missing { .. })));
    assert!(!missing.exists());
}

#[test]
fn a_file_cut_short_at_any_length_is_refused() {
    let (folder, path, _) = painted(5, 4);
    let whole = std::fs::read(&path).unwrap();
    let cut = folder.path().join("cut.stint");
    let mut random = Random(5);
    let near_start = (0..600).step_by(23);
    let pages = (1..whole.len() / 4096).step_by(7).flat_map(|p| [p * 4096 - 1, p * 4096, p * 4096 + 1]);
    let anywhere: Vec<usize> = (0..60).map(|_| random.below(whole.len() as u64) as usize).collect();
    for length in near_start.chain(pages).chain(anywhere).chain([whole.len() - 1]) {
        std::fs::write(&cut, &whole[..length]).unwrap();
        for error in refused(&cut) {
            let known = matches!(error, StudyError::Damaged { .. } | StudyError::NotAStudy { .. });
            assert!(known, "{length} of {}: {error:?}", whole.len());
        }
    }
}

#[test]
fn changed_bytes_never_bring_the_program_down() {
    let (folder, path, states) = painted(6, 5);
    let whole = std::fs::read(&path).unwrap();
    let hurt = folder.path().join("hurt.stint");
    let mut random = Random(6);
    let (mut refused, mut read) = (0, 0);
    for round in 0..300 {
        let mut bytes = whole.clone();
        for _ in 0..1 + round % 20 {
            // Half of the changes where the tables are described, the rest anywhere.
            let limit = if random.below(2) == 0 { 8192 } else { whole.len() as u64 };
            bytes[random.below(limit) as usize] = random.next() as u8;
        }
        std::fs::write(&hurt, &bytes).unwrap();
        let walk = |mut study: StudyFile| -> Result<(), StudyError> {
            let mut tiles = 0;
            study.for_each_tile(&mut |_, _| tiles += 1)?;
            study.shares()?;
            study.steps()?;
            while study.undo()?.is_some() {}
            while study.redo()?.is_some() {}
            let change = some_change(&mut Random(round), &states[0]);
            record(&mut study, &change)
        };
        match StudyFile::open(&hurt).and_then(walk) {
            Ok(()) => read += 1,
            Err(_) => refused += 1,
        }
    }
    assert!(refused > 0 && read > 0, "{refused} refused, {read} read");
}

#[test]
fn contents_that_do_not_hold_together_are_refused() {
    let (folder, path, _) = painted(7, 5);
    let hurt = folder.path().join("hurt.stint");
    for (sql, expected) in [
        ("UPDATE study SET head = 9", "step 9"),
        ("DELETE FROM step WHERE step = 2", "has 5 of steps"),
        ("DELETE FROM study", "no rows"),
        ("DELETE FROM document", "no rows"),
        ("DROP TABLE tile", "no such table"),
        ("UPDATE document SET ron = '(width: 1000'", "cannot be read"),
        ("UPDATE document SET ron = replace(ron, 'width:1000', 'width:99999')", "99999 x 700"),
        ("UPDATE document SET ron = replace(ron, 'width:1000', 'width:100')", "outside the canvas"),
        ("UPDATE document SET ron = replace(ron, 'active_pass:', 'active_pass:7')", "which it does not have"),
        ("UPDATE document SET ron = replace(ron, 'paints:[(id:1,', 'paints:[(id:2,')", "paint table"),
        ("UPDATE document SET ron = replace(ron, 'families:[]', 'families:[(id:0,name:\"a\",swatches:[])]')", "id 0"),
        ("UPDATE tile SET pass = 99", "pass 99"),
        ("UPDATE tile SET tile_row = 6 WHERE tile_row = (SELECT MAX(tile_row) FROM tile)", "outside the canvas"),
    ] {
        std::fs::copy(&path, &hurt).unwrap();
        let db = rusqlite::Connection::open(&hurt).unwrap();
        db.execute_batch(sql).unwrap();
        sum_anew(&db);
        drop(db);
        for error in refused(&hurt) {
            assert!(matches!(error, StudyError::Damaged { .. }), "{sql}: {error:?}");
            assert!(error.to_string().contains(expected), "{sql}: {error}");
        }
    }
}

#[test]
fn a_step_cut_off_by_a_crash_is_taken_back() {
    let (folder, path, states) = painted(8, 5);
    // A transaction that has reached the file, with its journal, copied as a crash would leave them.
    let db = rusqlite::Connection::open(&path).unwrap();
    db.execute_batch("PRAGMA cache_size = 1; BEGIN; DELETE FROM tile; UPDATE step_tile SET delta = zeroblob(9)")
        .unwrap();
    for way in [StudyFile::open, StudyFile::open_read_only] {
        let crashed = tempfile::tempdir().unwrap();
        let copy = crashed.path().join("depot.stint");
        std::fs::copy(&path, &copy).unwrap();
        std::fs::copy(folder.path().join("depot.stint-journal"), crashed.path().join("depot.stint-journal")).unwrap();
        let mut study = way(&copy).unwrap();
        assert_eq!(state(&study), states[5]);
        study.undo().unwrap();
        assert_eq!(state(&study), states[4]);
        drop(study);
        assert_eq!(files_in(crashed.path()), ["depot.stint"]);
    }
}

#[test]
fn a_study_given_a_log_by_another_tool_is_one_file_again() {
    let (folder, path, states) = painted(12, 3);
    let tool = rusqlite::Connection::open(&path).unwrap();
    tool.execute_batch("PRAGMA journal_mode = WAL; UPDATE study SET head = head").unwrap();
    assert_eq!(state(&StudyFile::open_read_only(&path).unwrap()), states[3]);
    drop(tool);
    let mut study = StudyFile::open(&path).unwrap();
    study.undo().unwrap();
    assert_eq!(files_in(folder.path()), [".depot.stint.open", "depot.stint"]);
    study.close().unwrap();
    assert_eq!(files_in(folder.path()), ["depot.stint"]);
    assert_eq!(state(&StudyFile::open(&path).unwrap()), states[2]);
}

#[cfg(unix)]
#[test]
fn a_study_that_was_moved_away_takes_no_strokes_until_it_is_back() {
    let (folder, path, mut states) = painted(11, 3);
    let mut study = StudyFile::open(&path).unwrap();
    let change = some_change(&mut Random(11), &states[3]);
    let away = folder.path().join("elsewhere.stint");
    std::fs::rename(&path, &away).unwrap();
    assert!(matches!(record(&mut study, &change), Err(StudyError::Gone { .. })));
    std::fs::copy(&away, &path).unwrap();
    assert!(matches!(record(&mut study, &change), Err(StudyError::Gone { .. })));
    assert!(matches!(study.undo(), Err(StudyError::Gone { .. })));
    std::fs::rename(&away, &path).unwrap();
    record(&mut study, &change).unwrap();
    states.push(after(&states[3], &change));
    study.close().unwrap();
    assert_eq!(state(&StudyFile::open(&path).unwrap()), states[4]);
}

#[cfg(unix)]
#[test]
fn a_read_only_folder_can_be_read() {
    use std::os::unix::fs::PermissionsExt;
    let (folder, path, states) = painted(10, 3);
    let mode = |path: &Path, mode| std::fs::set_permissions(path, PermissionsExt::from_mode(mode)).unwrap();
    mode(&path, 0o444);
    mode(folder.path(), 0o555);
    if std::fs::write(folder.path().join("probe"), "").is_ok() {
        println!("skipped: this user may write anywhere");
        mode(folder.path(), 0o755);
        return;
    }
    let read = StudyFile::open_read_only(&path).map(|s| state(&s));
    let painted = StudyFile::open(&path);
    let new = StudyFile::create(&folder.path().join("new.stint"), &document());
    mode(folder.path(), 0o755);
    assert_eq!(read.unwrap(), states[3]);
    assert!(matches!(painted, Err(StudyError::ReadOnly { .. })));
    assert!(matches!(new, Err(StudyError::ReadOnly { .. })));
    // The folder can be written now, the file cannot.
    assert!(matches!(StudyFile::open(&path), Err(StudyError::ReadOnly { .. })));
}
