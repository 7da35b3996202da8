//! A study whose tiles are read when they are needed is, whatever is done with it, the study that was read at once; what is damaged is told
//! when it is met.

use rusqlite::Connection;
use std::collections::BTreeMap;
use std::path::Path;
use stint::study::command::{Command, PaintFate, SwatchRef};
use stint::study::session::{ExportOptions, ExportSource, Reading, Session, export_png};
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::readout::Readout;
use stint_model::study::canvas_rect::CanvasRect;
use stint_model::study::tile::{TileKey, TilePixels};
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::mass::Edge;
use stint_tests::numbers::Numbers;
use stint_tests::waiting::wait_for;

const SIZE: (u32, u32) = (900, 700);

fn local(family: &str) -> Command {
    Command::Load(SwatchRef::Swatch { family: family.to_owned(), role: Role::Local })
}

fn stroke(numbers: &mut Numbers) -> Command {
    let mut sample = || PenSample::new(numbers.range(0.0, 900.0), numbers.range(0.0, 700.0), 0.9);
    Command::Stroke(vec![sample(), sample(), sample()])
}

fn mass(at: [f32; 2], side: f32) -> Command {
    let [x, y] = at;
    Command::Mass { outline: vec![[x, y], [x + side, y], [x + side, y + side], [x, y + side]], edge: Edge::Soft }
}

/// Two board passes that overlap, one of them thin, and free colour above; the last steps can be done again.
fn painted(path: &Path) {
    let board = Board::new("depot", LightOfDay::Cool);
    let mut session = Session::create(path, SIZE, board, EngineChoice::Cpu).unwrap();
    for (family, colour) in [("Brick", "#73524e"), ("Sky", "#8ba3c4"), ("Yard", "#5b6f5f")] {
        let (family, name, colour) = (family.to_owned(), String::new(), colour.to_owned());
        session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
    }
    let mut numbers = Numbers(3);
    let all = [local("Sky"), mass([0.0, 0.0], 800.0), local("Brick"), mass([500.0, 300.0], 390.0)];
    let glaze = [Command::AddPass("glaze".to_owned()), local("Yard")];
    let free = [Command::OpenFree, Command::LoadFree("#dd3311".to_owned())];
    all.iter().chain(&glaze).for_each(|command| drop(session.apply(command).unwrap()));
    (0..3).for_each(|_| drop(session.apply(&stroke(&mut numbers)).unwrap()));
    session.apply(&Command::PassStrength { pass: "glaze".to_owned(), strength: 0.6 }).unwrap();
    free.iter().for_each(|command| drop(session.apply(command).unwrap()));
    (0..3).for_each(|_| drop(session.apply(&stroke(&mut numbers)).unwrap()));
    session.apply(&Command::Undo).unwrap();
    session.close().unwrap();
}

fn crop(part: CanvasRect) -> Command {
    Command::CropCanvas { part }
}

type Tiles = BTreeMap<TileKey, TilePixels>;

fn tiles(session: &mut Session) -> Tiles {
    session.canvas().all_tiles().unwrap().into_iter().map(|(key, tile)| (key, (*tile).clone())).collect()
}

/// What is told at once, whatever was read: everything but the shares by swatch.
fn classes(session: &mut Session) -> [f64; 4] {
    let Readout { painted_px, board_share, free_share, bare_share, .. } = session.readout().unwrap();
    [painted_px, board_share, free_share, bare_share]
}

fn read_on(session: &mut Session) {
    wait_for("the rest of the study", || {
        session.follow_reading().unwrap();
        !session.is_reading()
    });
}

/// Commands of all kinds, each tried on a study that was read at once and on one of which nothing, or a part, was read before.
#[test]
fn whatever_is_done_first_gives_the_study_that_was_read_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let source = folder.path().join("depot.stint");
    painted(&source);
    let pass = || "glaze".to_owned();
    let first: Vec<Vec<Command>> = vec![
        vec![Command::Undo, Command::Undo, Command::Redo],
        vec![Command::Redo, Command::Undo],
        vec![local("Brick"), stroke(&mut Numbers(8)), Command::Undo, Command::Redo],
        vec![local("Brick"), mass([100.0, 100.0], 300.0), Command::Undo],
        vec![Command::Scrape(vec![PenSample::new(20.0, 20.0, 1.0), PenSample::new(600.0, 500.0, 1.0)])],
        vec![Command::Soften(vec![PenSample::new(20.0, 20.0, 1.0), PenSample::new(600.0, 500.0, 1.0)])],
        vec![Command::ShowPass { pass: pass(), visible: false }, Command::ShowPass { pass: pass(), visible: true }],
        vec![Command::PassStrength { pass: pass(), strength: 0.2 }],
        vec![Command::MergeDown(pass()), Command::Undo],
        vec![Command::ClearPass(pass()), Command::Undo],
        vec![Command::RemovePass(pass()), Command::Undo],
        vec![Command::RemoveSwatch {
            swatch: SwatchRef::Swatch { family: "Brick".to_owned(), role: Role::Local },
            paint: PaintFate::default(),
        }],
        vec![Command::LoadFrom { at: (520, 320) }, stroke(&mut Numbers(9))],
        vec![local("Sky"), Command::Fill { at: (850, 650), tolerance: 0.1, gap: 4 }],
        vec![Command::ShutFree, Command::OpenFree],
        vec![crop(CanvasRect { x: 100, y: -30, width_px: 500, height_px: 900 }), Command::Undo, Command::Redo],
        vec![crop(CanvasRect { x: 0, y: 0, width_px: 1000, height_px: 512 }), local("Brick"), stroke(&mut Numbers(4))],
    ];
    for (number, commands) in first.iter().enumerate() {
        for read_before in [false, true] {
            let paths = ["now", "needed"].map(|how| folder.path().join(format!("{number} {read_before} {how}.stint")));
            for path in &paths {
                std::fs::copy(&source, path).unwrap();
            }
            let mut now = Session::open(&paths[0], EngineChoice::Cpu).unwrap();
            let mut needed = Session::open_reading(&paths[1], EngineChoice::Cpu, Reading::AsNeeded).unwrap();
            assert!(needed.is_reading() && !now.is_reading());
            assert_eq!(classes(&mut needed), classes(&mut now));
            assert!(needed.is_reading(), "the readout reads nothing");
            if read_before {
                read_on(&mut needed);
            }
            for command in commands {
                let done = [&mut now, &mut needed].map(|session| session.apply(command).map_err(|e| e.to_string()));
                assert_eq!(done[0], done[1], "{command:?}");
                assert_eq!(classes(&mut needed), classes(&mut now), "{command:?}");
            }
            read_on(&mut needed);
            assert_eq!(needed.readout().unwrap(), now.readout().unwrap(), "{commands:?}");
            assert!(tiles(&mut needed) == tiles(&mut now), "{commands:?}");
            now.close().unwrap();
            needed.close().unwrap();
            // And so it is in the file, with the shares of every step.
            let [mut now, mut needed] = paths.map(|path| Session::open(&path, EngineChoice::Cpu).unwrap());
            assert!(tiles(&mut needed) == tiles(&mut now), "{commands:?}");
            assert_eq!(needed.shares().unwrap(), now.shares().unwrap(), "{commands:?}");
        }
    }
}

#[test]
fn pictures_exports_and_another_engine_do_not_depend_on_what_was_read() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| folder.path().join(name);
    painted(&file("now.stint"));
    std::fs::copy(file("now.stint"), file("needed.stint")).unwrap();
    let mut now = Session::open(&file("now.stint"), EngineChoice::Cpu).unwrap();
    let needed = || Session::open_reading(&file("needed.stint"), EngineChoice::Cpu, Reading::AsNeeded).unwrap();
    let options = ExportOptions::default();
    let pixels = |name: &str| image::open(file(name)).unwrap().to_rgba8();
    export_png(&mut now, &file("now.png"), &options, &mut |_| {}).unwrap();
    let thumbnail = now.thumbnail(100).unwrap();

    export_png(&mut needed(), &file("direct.png"), &options, &mut |_| {}).unwrap();
    assert!(pixels("direct.png") == pixels("now.png"));
    let mut beside = needed();
    ExportSource::of(&mut beside).unwrap().write(&file("beside.png"), &options, &mut |_| {}).unwrap();
    assert!(pixels("beside.png") == pixels("now.png"));
    drop(beside);
    assert!(needed().thumbnail(100).unwrap() == thumbnail);
    let mut replaced = needed();
    replaced.follow_reading().unwrap();
    replaced.replace_engine(EngineChoice::Cpu).unwrap();
    read_on(&mut replaced);
    assert_eq!(replaced.readout().unwrap(), now.readout().unwrap());
    assert!(tiles(&mut replaced) == tiles(&mut now));
}

#[test]
fn a_damaged_tile_is_told_when_it_is_met_and_what_was_painted_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    painted(&path);
    // A word of the last tile; its check sum tells.
    let changed = "UPDATE tile SET planes = CAST(substr(planes, 1, length(planes) - 1) || x'a5' AS BLOB) \
                   WHERE rowid = (SELECT MAX(rowid) FROM tile)";
    assert_eq!(Connection::open(&path).unwrap().execute(changed, ()).unwrap(), 1);
    let mut session = Session::open_reading(&path, EngineChoice::Cpu, Reading::AsNeeded).unwrap();
    session.apply(&local("Sky")).unwrap();
    session.apply(&mass([10.0, 10.0], 60.0)).unwrap();
    let mut told = None;
    wait_for("the damage to be told", || {
        told = told.take().or(session.follow_reading().err());
        told.is_some()
    });
    let why = told.unwrap().to_string();
    assert!(why.contains("depot.stint is damaged") && why.contains("what was painted until now is kept"), "{why}");
    assert!(session.follow_reading().unwrap().is_empty(), "it is told once");
    let strokes = session.strokes();
    session.close().unwrap();
    let kept = stint_model::study::file::StudyFile::open(&path).unwrap().strokes();
    assert_eq!(kept, strokes);
    // Read at once, it is refused.
    let refused = Session::open(&path, EngineChoice::Cpu).map(|_| ()).unwrap_err().to_string();
    assert!(refused.contains("damaged"), "{refused}");
}
