//! A copy that is handed out holds what was asked for and nothing else, down to the bytes of the file.

use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::ids::SwatchId;
use stint_model::study::file::{NewPhoto, Shares, Step, StepKind, StudyFile};
use stint_model::study::tile::{TileKey, TilePixels};
use stint_model::study::{Document, Reference};
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_tests::program::{TestFolder, data};

/// A study as an older program left it: its photo as the camera wrote it, and the path of the photo in the history.
fn an_old_study(desk: &TestFolder) {
    let path = desk.path("depot.stint");
    let document = Document::new(400, 300, Board::new("depot", LightOfDay::Cool)).unwrap();
    let mut file = StudyFile::create(&path, &document).unwrap();
    let bytes = std::fs::read(data("photos/private/depot.jpg")).unwrap();
    let photo = file.photo_key("depot.jpg", &bytes).unwrap();
    let reference = Reference { name: "depot.jpg".to_owned(), photo, adjustments: Default::default(), framing: None };
    let document = Document { reference: Some(reference), ..document };
    let command = "Reference(\"/home/anna/secret errand/depot.jpg\")";
    let (label, kind, shares) = ("Take in a photo", StepKind::Edit, Shares::EMPTY);
    let document = Some(&document);
    let step = Step { label, kind, command, document, tiles: &[], shares, noted: Default::default() };
    file.record_with_photo(step, NewPhoto { key: photo, name: "depot.jpg", bytes: &bytes }).unwrap();
    file.close().unwrap();
    let mut session = Session::open(&path, EngineChoice::Cpu).unwrap();
    let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
    session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
    session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
    for y in [40.0, 120.0, 200.0] {
        session.apply(&Command::Stroke(vec![PenSample::new(20.0, y, 1.0), PenSample::new(350.0, y, 0.8)])).unwrap();
    }
    session.apply(&Command::Undo).unwrap();
    session.close().unwrap();
}

fn tiles(file: &StudyFile) -> Vec<(TileKey, TilePixels)> {
    let mut all = Vec::new();
    file.for_each_tile(&mut |key, pixels| all.push((key, pixels))).unwrap();
    all
}

fn holds(desk: &TestFolder, name: &str, word: &str) -> bool {
    let bytes = std::fs::read(desk.path(name)).unwrap();
    bytes.windows(word.len()).any(|w| w == word.as_bytes())
}

#[test]
fn a_copy_holds_what_was_asked_for_and_nothing_else() {
    let desk = TestFolder::new();
    an_old_study(&desk);
    let before = std::fs::read(desk.path("depot.stint")).unwrap();
    for word in ["DEPOT-4711", "secret errand", "depot.jpg"] {
        assert!(holds(&desk, "depot.stint", word), "{word}");
    }
    let original = StudyFile::open_read_only(&desk.path("depot.stint")).unwrap();
    for (photo, history) in [(true, true), (false, true), (true, false), (false, false)] {
        let name = format!("copy {photo} {history}.stint");
        let mut arguments = vec!["study", "depot.stint", "--copy", &name];
        arguments.extend((!photo).then_some("--without-photo"));
        arguments.extend((!history).then_some("--without-history"));
        desk.stint(&arguments).success();
        assert!(!holds(&desk, &name, "DEPOT-4711") && !holds(&desk, &name, "secret errand"), "{name}");
        assert_eq!(holds(&desk, &name, "depot.jpg"), photo || history, "{name}");

        // SQLite's own check, and ours: it opens for painting, with the same painting in it.
        let db = rusqlite::Connection::open(desk.path(&name)).unwrap();
        let found: String = db.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
        assert_eq!(found, "ok");
        drop(db);
        let file = StudyFile::open(&desk.path(&name)).unwrap();
        assert_eq!(tiles(&file), tiles(&original));
        assert_eq!((file.document().board.clone(), file.strokes()), (original.document().board.clone(), 2));
        assert_eq!(file.document().reference.is_some(), photo);
        assert_eq!((file.undo_depth(), file.redo_depth()), if history { (4, 1) } else { (0, 0) });
        drop(file);
        let mut session = Session::open(&desk.path(&name), EngineChoice::Cpu).unwrap();
        assert_eq!(session.reference().is_ok(), photo);
        assert_eq!(session.shares().unwrap().last().unwrap().shares, original.shares().unwrap().last().unwrap().shares);
        session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
        session.apply(&Command::Stroke(vec![PenSample::new(20.0, 250.0, 1.0)])).unwrap();
        let steps = session.depths().0;
        for _ in 0..steps {
            session.apply(&Command::Undo).unwrap();
        }
        session.close().unwrap();
        // Nothing is replaced.
        desk.stint(&arguments).refused(&["exists already"]);
    }
    desk.stint(["study", "depot.stint", "--copy", "depot.png"]).refused(&["does not end in .stint"]);
    desk.stint(["study", "none.stint", "--copy", "copy.stint"]).refused(&["there is no study"]);
    assert_eq!(std::fs::read(desk.path("depot.stint")).unwrap(), before, "the study stays as it is");
}

/// What the README says gets work out of a study without Stint does so, also where a step was taken back.
#[test]
fn the_queries_of_the_readme_get_the_photo_and_the_board_out() {
    let desk = TestFolder::new();
    an_old_study(&desk);
    let path = desk.path("depot.stint");
    let mut session = Session::open(&path, EngineChoice::Cpu).unwrap();
    session.apply(&Command::RenameBoard("tried out".to_owned())).unwrap();
    session.apply(&Command::Undo).unwrap();
    session.close().unwrap();
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../README.md")).unwrap();
    let queries: Vec<&str> =
        readme.split("sqlite3 my.stint \"").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    let [photo, board] = queries[..] else { panic!("{queries:?}") };
    let db = rusqlite::Connection::open(&path).unwrap();
    // `writefile` is a function of the program sqlite3.
    let read = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?));
    let got: (String, Vec<u8>) =
        db.query_row(&photo.replace("writefile(name, bytes)", "name, bytes"), [], read).unwrap();
    let text: String = db.query_row(board, [], |row| row.get(0)).unwrap();
    drop(db);
    let study = StudyFile::open_read_only(&path).unwrap();
    assert_eq!(got, study.photo(study.document().reference.as_ref().unwrap().photo).unwrap());
    assert_eq!(&ron::from_str::<Document>(&text).unwrap(), study.document());
    assert!(text.contains("#73524e") || text.contains("Brick"), "readable: {text}");
}
