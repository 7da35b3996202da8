//! Whatever call of the engine or of the file system fails, canvas, document and file stay as they were, and agree with each other.

use crate::fault_support::disk::{self, DISK};
use crate::fault_support::engine::FaultyEngine;
use crate::fault_support::{Trigger, alone};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::{Loaded, Session, SessionError, StrokeTool};
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::ids::SwatchId;
use stint_model::readout::Readout;
use stint_model::study::Document;
use stint_model::study::canvas_rect::CanvasRect;
use stint_model::study::file::{ShareRow, StudyFile};
use stint_model::study::protected::Side;
use stint_model::study::tile::{TileKey, TilePixels, TilePos};
use stint_render::canvas::Placement;
use stint_render::mask::PenSample;
use stint_render::mask::mass::Edge;

const SIZE: (u32, u32) = (300, 200);

/// Everything there is to see of a session.
#[derive(Clone, PartialEq, Debug)]
struct Seen {
    document: Document,
    tiles: BTreeMap<TileKey, TilePixels>,
    depths: (u64, u64),
    loaded: Option<Loaded>,
    readout: Readout,
    shares: Vec<ShareRow>,
    colours: Vec<u32>,
}

fn seen(session: &mut Session) -> Seen {
    let tiles = session.canvas().all_tiles().unwrap();
    let places: Vec<_> = (0..2).flat_map(|row| (0..3).map(move |column| TilePos { column, row })).collect();
    Seen {
        document: session.document().clone(),
        tiles: tiles.into_iter().map(|(key, pixels)| (key, (*pixels).clone())).collect(),
        depths: session.depths(),
        loaded: session.loaded(),
        readout: session.readout().unwrap(),
        shares: session.shares().unwrap().to_vec(),
        colours: session.canvas().resolve(&places).unwrap(),
    }
}

/// The file holds what the session shows.
fn agree(path: &Path, seen: &Seen, after: &str) {
    let file = StudyFile::open_read_only(path).unwrap();
    let mut tiles = BTreeMap::new();
    file.for_each_tile(&mut |key, pixels| drop(tiles.insert(key, pixels))).unwrap();
    assert_eq!(tiles, seen.tiles, "{after}");
    assert_eq!(file.document(), &seen.document, "{after}");
    assert_eq!((file.undo_depth(), file.redo_depth()), seen.depths, "{after}");
    assert_eq!(file.shares().unwrap(), seen.shares, "{after}");
}

/// How many photos are in the file.
fn photos(path: &Path) -> i64 {
    // After a fault half a step may lie there, which opening it for writing takes back.
    let db = rusqlite::Connection::open(path).unwrap();
    db.query_row("SELECT COUNT(*) FROM photo", [], |row| row.get(0)).unwrap()
}

type Action = Box<dyn Fn(&mut Session) -> Result<(), SessionError>>;

fn command(command: Command) -> Action {
    Box::new(move |session| session.apply(&command).map(drop))
}

/// A stroke as a pen paints it: shown in pieces, then finished.
fn by_pen(tool: StrokeTool, from: [f32; 2], to: [f32; 2]) -> Action {
    Box::new(move |session| {
        let paint = |session: &mut Session| {
            session.begin_stroke(tool)?;
            session.extend_stroke(&[PenSample::new(from[0], from[1], 0.9)])?;
            session.extend_stroke(&[PenSample::new(to[0], to[1], 0.7)])?;
            session.finish_stroke()?;
            session.settle()
        };
        paint(session).inspect_err(|_| session.cancel_stroke())
    })
}

fn load(id: u32) -> Command {
    Command::Load(SwatchRef::Id(SwatchId(id)))
}

/// What is done, by name, with what leads back to before it.
fn actions() -> Vec<(&'static str, Action, Command)> {
    let board = |command_of: Command| (command(command_of), Command::Undo);
    let outline = |x: f32| vec![[x, 10.0], [x + 180.0, 20.0], [x + 100.0, 190.0], [x, 120.0]];
    let mut all = Vec::new();
    let mut add = |name, (action, back): (Action, Command)| all.push((name, action, back));
    let swatch = |role, colour: &str| {
        let (family, name, colour) = ("Brick".to_owned(), String::new(), colour.to_owned());
        board(Command::AddSwatch { family, role, name, colour, by_role: true })
    };
    let photo = concat!(env!("CARGO_MANIFEST_DIR"), "/data/photos/private/depot.jpg");
    add("take in a photo", board(Command::Reference(photo.to_owned())));
    add("add a swatch", swatch(Role::Local, "#73524e"));
    add("add another", swatch(Role::Light, "#a8846f"));
    add("load and fill", {
        let fill = Command::Mass { outline: outline(5.0), edge: Edge::Soft };
        (Box::new(move |s| s.apply(&load(1)).and_then(|_| s.apply(&fill)).map(drop)), Command::Undo)
    });
    add("paint by pen", (by_pen(StrokeTool::Brush, [20.0, 20.0], [280.0, 180.0]), Command::Undo));
    add("scrape by pen", (by_pen(StrokeTool::Scrape, [40.0, 180.0], [250.0, 30.0]), Command::Undo));
    add("soften by pen", (by_pen(StrokeTool::Soften, [10.0, 100.0], [290.0, 100.0]), Command::Undo));
    add("protect", board(Command::Protect { outline: outline(60.0), paintable: Side::Outside }));
    add("paint beside the area by pen", (by_pen(StrokeTool::Brush, [5.0, 30.0], [280.0, 150.0]), Command::Undo));
    add("move what is in the area", {
        let placement = Placement { by: [20.0, 15.0], scale: [0.8, 1.1], turn: 20.0 };
        board(Command::MoveArea(placement))
    });
    add("move it by hand", {
        let by_hand = |session: &mut Session| {
            let placed = |session: &mut Session| {
                session.begin_move()?;
                session.place_moved(&Placement { by: [30.0, 0.0], ..Placement::default() })?;
                session.place_moved(&Placement { by: [-9.0, 4.0], ..Placement::default() })?;
                session.finish_move()?;
                session.settle()
            };
            placed(session).inspect_err(|_| drop(session.cancel_move()))
        };
        (Box::new(by_hand), Command::Undo)
    });
    add("take the area off", board(Command::Unprotect));
    add("undo", (command(Command::Undo), Command::Redo));
    add("redo", (command(Command::Redo), Command::Undo));
    add("recolour", board(Command::Recolour { swatch: SwatchRef::Id(SwatchId(1)), colour: "#554433".to_owned() }));
    add("undo a recolouring", (command(Command::Undo), Command::Redo));
    add("redo a recolouring", (command(Command::Redo), Command::Undo));
    add("turn", board(Command::Turn(40.0)));
    add("ground", board(Command::SetGround { name: "tan".to_owned(), colour: "#c0b090".to_owned() }));
    add("add a pass", board(Command::AddPass("second".to_owned())));
    add("load and fill the pass", {
        let fill = Command::Mass { outline: outline(90.0), edge: Edge::Hard };
        (Box::new(move |s| s.apply(&load(2)).and_then(|_| s.apply(&fill)).map(drop)), Command::Undo)
    });
    add("strength", board(Command::PassStrength { pass: "second".to_owned(), strength: 0.5 }));
    add("hide", board(Command::ShowPass { pass: "Block-in".to_owned(), visible: false }));
    add("undo a hiding", (command(Command::Undo), Command::Redo));
    add("merge", board(Command::MergeDown("second".to_owned())));
    add("undo a merging", (command(Command::Undo), Command::Redo));
    add("redo a merging", (command(Command::Redo), Command::Undo));
    add("back before it", (command(Command::Undo), Command::Redo));
    add("clear", board(Command::ClearPass("Block-in".to_owned())));
    add("undo a clearing", (command(Command::Undo), Command::Redo));
    add("remove the pass", board(Command::RemovePass("second".to_owned())));
    add("undo a removal", (command(Command::Undo), Command::Redo));
    add("crop", {
        let part = CanvasRect { x: 20, y: -30, width_px: 250, height_px: 180 };
        board(Command::CropCanvas { part })
    });
    add("undo a cropping", (command(Command::Undo), Command::Redo));
    add("redo a cropping", (command(Command::Redo), Command::Undo));
    add("open free colour", board(Command::OpenFree));
    add("load free colour and paint", {
        let paint = by_pen(StrokeTool::Brush, [30.0, 150.0], [200.0, 60.0]);
        let free = Command::LoadFree("#ff8800".to_owned());
        (Box::new(move |s| s.apply(&free).and_then(|_| paint(s))), Command::Undo)
    });
    add("take a swatch off", {
        board(Command::RemoveSwatch { swatch: SwatchRef::Id(SwatchId(2)), paint: Default::default() })
    });
    add("undo it", (command(Command::Undo), Command::Redo));
    all
}

/// Does an action again and again while its first, second, third … call fails; then it is done, and taken back. Gives the number
/// of faults.
fn with_every_fault(
    session: &mut Session,
    path: &Path,
    (name, action, back): &(&'static str, Action, Command),
    (trigger, stays): (&Trigger, bool),
) -> u64 {
    let mut before = seen(session);
    agree(path, &before, name);
    let mut photos_before = photos(path);
    for n in 1.. {
        trigger.arm(n, stays);
        let result = action(session);
        let fired = trigger.disarm();
        let after = seen(session);
        let what = format!("{name}, call {n}: {result:?}");
        match result {
            Err(_) => {
                assert!(fired, "{what}");
                // What is on the brush is no part of the study.
                assert!(after == Seen { loaded: after.loaded, ..before.clone() }, "{what} changed something");
                assert!(!session.is_painting(), "{what}");
                assert_eq!(photos(path), photos_before, "{what} left a photo");
            }
            Ok(()) => assert!(after != before, "{what} changed nothing"),
        }
        agree(path, &after, &what);
        if after.depths != before.depths || after.document != before.document {
            session.apply(back).unwrap();
            (before, photos_before) = (seen(session), photos(path));
            if !fired {
                return n as u64 - 1;
            }
        }
    }
    unreachable!("there are not so many calls")
}

#[test]
fn every_fault_leaves_canvas_document_and_file_as_they_were() {
    let _alone = alone();
    disk::install();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let document = Document::new(SIZE.0, SIZE.1, Board::new("depot", LightOfDay::Cool)).unwrap();
    let engine = Arc::new(Trigger::new());
    let file = StudyFile::create(&path, &document).unwrap();
    let mut session = Session::with_engine(file, Box::new(FaultyEngine::new(engine.clone()))).unwrap();
    let mut faults = [0; 3];
    for action in &actions() {
        for (count, how) in faults.iter_mut().zip([(&*engine, false), (&DISK, false), (&DISK, true)]) {
            *count += with_every_fault(&mut session, &path, action, how);
        }
        action.1(&mut session).unwrap();
    }
    session.close().unwrap();
    let [engine, disk, gone] = faults;
    println!(
        "{} faults injected: {engine} of the engine, {disk} of the file system for one call, {gone} of the file system from \
         one call on",
        engine + disk + gone
    );
    assert!(engine > 50 && disk > 500 && gone > 500, "{faults:?}");
}
