//! Any sequence of commands can be undone to the beginning and redone to the end, a refused command changes nothing, and
//! what the study file holds is at every moment what the session shows.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;
use stint::study::command::{Command, MovedTone, PaintFate, SwatchRef};
use stint::study::session::{Session, SessionError, StrokeTool};
use stint_model::board::review::{Rule, Subject};
use stint_model::board::{Board, Distance, LightOfDay, Role};
use stint_model::ids::{FamilyId, SwatchId};
use stint_model::mixing::Mixing;
use stint_model::photo::PixelRect;
use stint_model::readout::Readout;
use stint_model::study::Document;
use stint_model::study::canvas_rect::CanvasRect;
use stint_model::study::protected::Side;
use stint_model::study::tile::{TileKey, TilePixels};
use stint_render::canvas::Placement;
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;
use stint_tests::numbers::Numbers;
use stint_tests::program::data;
use stint_tests::scenes;

const SIZE: (u32, u32) = (300, 200);
const FAMILIES: [&str; 4] = ["brick", "yard", "sky", "roof"];
const BOARDS: [&str; 4] = ["dusk", "noon", "fog", ""];
const PASSES: [&str; 5] = ["Block-in", "second", "third", "Free colour", "none"];
const COLOURS: [&str; 5] = ["#4c332f", "#76544d", "#9db5da", "#353135", "no colour"];

/// Everything there is to see of a study but the log of openings, which undo leaves alone.
#[derive(Clone, PartialEq)]
struct Snapshot {
    document: Document,
    tiles: BTreeMap<TileKey, Arc<TilePixels>>,
    strokes: u64,
    readout: Readout,
}

/// Short enough to read in a failure: a tile by its planes and a number made of its content.
impl std::fmt::Debug for Snapshot {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let tiles = self.tiles.iter().map(|(key, tile)| {
            let mut hasher = DefaultHasher::new();
            tile.hash(&mut hasher);
            (key, tile.planes().len(), hasher.finish())
        });
        f.debug_list().entry(&self.document).entries(tiles).entry(&self.strokes).entry(&self.readout).finish()
    }
}

fn seen(session: &mut Session) -> Snapshot {
    let mut readout = session.readout().unwrap();
    readout.free_colour.opened.clear();
    let tiles = session.canvas().all_tiles().unwrap().into_iter().collect();
    let mut document = session.document().clone();
    // Choosing a pass is no step.
    assert!(document.pass(document.active_pass).is_some());
    document.active_pass = document.passes[0].id;
    Snapshot { document, tiles, strokes: session.strokes(), readout }
}

/// What must hold of every readout.
fn check(readout: &Readout) {
    let sum = readout.board_share + readout.free_share;
    let whole = if readout.painted_px > 0.0 { 1.0 } else { 0.0 };
    assert!((sum - whole).abs() < 1e-12, "{readout:?}");
    assert!((0.0..=1.0).contains(&readout.bare_share), "{readout:?}");
    let canvas = f64::from(readout.width_px * readout.height_px);
    assert!((readout.bare_share + readout.painted_px / canvas - 1.0).abs() < 1e-12, "{readout:?}");
    let families: f64 = readout.families.iter().map(|f| f.share).sum();
    let swatches: f64 = readout.swatches.iter().map(|s| s.share).sum();
    assert!((families - readout.board_share).abs() < 1e-12, "{readout:?}");
    assert!((swatches - readout.board_share).abs() < 1e-12, "{readout:?}");
}

fn pick<T: Clone>(from: &[T], numbers: &mut Numbers) -> T {
    from[numbers.below(from.len() as u32) as usize].clone()
}

fn swatch(numbers: &mut Numbers) -> SwatchRef {
    let family = pick(&FAMILIES, numbers).to_owned();
    match numbers.below(4) {
        0 => SwatchRef::Id(SwatchId(1 + numbers.below(12))),
        1 => SwatchRef::Named { family, name: "odd one".to_owned() },
        _ => SwatchRef::Swatch { family, role: pick(&Role::ALL, numbers) },
    }
}

fn samples(numbers: &mut Numbers) -> Vec<PenSample> {
    let mut sample =
        || PenSample::new(numbers.range(-40.0, 340.0), numbers.range(-40.0, 240.0), numbers.range(0.0, 1.0));
    let mut samples: Vec<_> = (0..5).map(|_| sample()).collect();
    samples.truncate(numbers.below(6) as usize);
    if numbers.below(12) == 0 {
        samples.push(PenSample::new(3.0, f32::NAN, 1.0));
    }
    samples
}

/// A board of one or two families, sound or not.
fn another_board(numbers: &mut Numbers) -> Board {
    let mut board = scenes::board(1 + numbers.below(2));
    board.name = pick(&BOARDS, numbers).to_owned();
    if numbers.below(6) == 0 {
        board.families[0].id = FamilyId(0);
    }
    board
}

/// Any command there is; some are refused, whatever the study looks like.
fn any_command(numbers: &mut Numbers) -> Command {
    let family = pick(&FAMILIES, numbers).to_owned();
    let pass = pick(&PASSES, numbers).to_owned();
    let colour = pick(&COLOURS, numbers).to_owned();
    let role = pick(&Role::ALL, numbers);
    let name = pick(&["", "odd one", "  "], numbers).to_owned();
    let place = numbers.below(4) as usize;
    match numbers.below(100) {
        0 => Command::Reference(pick(&["coffee.jpg", "odd/truncated.jpg", "none.jpg"], numbers).to_owned()),
        1 if numbers.below(2) == 0 => {
            let mut corner = || (numbers.range(0.0, 600.0), numbers.range(0.0, 400.0));
            let [(left, top), (right, bottom)] = [corner(), corner()];
            let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
            Command::LineUp { corners: (numbers.below(3) > 0).then_some(corners) }
        }
        1 if numbers.below(2) == 0 => {
            let part = PixelRect {
                x: numbers.below(600),
                y: numbers.below(400),
                width_px: numbers.below(400),
                height_px: numbers.below(300),
            };
            Command::CropPhoto { part: (numbers.below(3) > 0).then_some(part) }
        }
        1 => Command::Adjust {
            hue_turn: numbers.range(-200.0, 200.0),
            soften: numbers.range(0.0, 3.1),
            exposure: numbers.range(-3.1, 3.1),
            contrast: numbers.range(0.4, 2.1),
        },
        2 => Command::Pick {
            family,
            role,
            name,
            at: (numbers.below(700), numbers.below(500)),
            aperture: numbers.below(33),
            nudged: numbers.below(3) == 0,
            by_role: false,
        },
        3 => {
            let mut corner = || (numbers.range(0.0, 600.0), numbers.range(0.0, 400.0));
            let outline = vec![corner(), corner(), corner()];
            let moved = MovedTone { role, at: (numbers.below(700), numbers.below(500)), aperture: numbers.below(33) };
            Command::PickTrio { family, outline, moved: if numbers.below(2) == 0 { vec![moved] } else { Vec::new() } }
        }
        4 => Command::AddFamily(family),
        5 => Command::RenameFamily { family, name: pick(&FAMILIES, numbers).to_owned() },
        6 => Command::MoveFamily { family, place },
        7 if numbers.below(3) == 0 => Command::RemoveFamily(family),
        7..=9 => Command::AddSwatch { family, role, name, colour, by_role: false },
        76 => Command::ChangeSwatch { swatch: swatch(numbers), role, name, colour },
        86 | 87 => Command::Stir { swatch: swatch(numbers), parts: pick(&[3, 1, -1, 999], numbers) },
        88 => Command::ClearWell,
        89 => Command::LoadWell,
        90 | 91 => Command::Fill {
            at: (numbers.below(320), numbers.below(220)),
            tolerance: numbers.range(-0.05, 0.4),
            gap: numbers.below(70),
        },
        92 | 93 => {
            let mut corner = || [numbers.range(-40.0, 340.0), numbers.range(-40.0, 240.0)];
            let outline = vec![corner(), corner(), corner(), corner()];
            Command::Protect { outline, paintable: pick(&[Side::Inside, Side::Outside], numbers) }
        }
        94 => Command::Unprotect,
        95 => Command::UseProtection(numbers.below(2) == 0),
        96 | 97 => {
            let scale = pick(&[1.0, 1.0, 0.3, 2.5, 0.01], numbers);
            let turn = pick(&[0.0, 90.0, 33.0, 400.0], numbers);
            let by = [numbers.range(-200.0, 200.0).round(), numbers.range(-90.0, 90.0)];
            Command::MoveArea(Placement { by, scale: [scale, 1.0], turn })
        }
        98 | 99 => {
            let mut about = |middle: u32, by: u32| (middle + numbers.below(2 * by)).saturating_sub(by);
            let (width_px, height_px) = (about(300, 140), about(200, 120));
            let mut from = || pick(&[-150, -128, -32, -7, 0, 0, 5, 64, 128, 900], numbers);
            Command::CropCanvas { part: CanvasRect { x: from(), y: from(), width_px, height_px } }
        }
        77 => Command::AddSwatch { family, role, name, colour, by_role: true },
        82 => Command::SetStint(pick(&[None, Some(0), Some(20), Some(60)], numbers)),
        83 => Command::ShutPhoto,
        84 | 85 => Command::OpenPhoto,
        10 => Command::Recolour { swatch: swatch(numbers), colour },
        11 => Command::RenameSwatch { swatch: swatch(numbers), name },
        12 => Command::SetRole { swatch: swatch(numbers), role },
        13 => Command::MoveSwatch { swatch: swatch(numbers), family, place },
        14 => Command::RemoveSwatch { swatch: swatch(numbers), paint: PaintFate::Stay },
        15 => Command::RemoveSwatch { swatch: swatch(numbers), paint: PaintFate::GiveTo(swatch(numbers)) },
        16 => Command::RenameBoard(pick(&["dusk", " "], numbers).to_owned()),
        17 => Command::SetLight(pick(&[LightOfDay::Warm, LightOfDay::Cool, LightOfDay::Neutral], numbers)),
        18 => Command::SetGround { name, colour },
        19 => Command::SetMixing(pick(&Mixing::ALL, numbers)),
        20 => Command::AddPass(pass),
        21 => Command::RenamePass { pass, name: pick(&PASSES, numbers).to_owned() },
        22 => Command::ShowPass { pass, visible: numbers.below(3) > 0 },
        23 => Command::PassStrength { pass, strength: numbers.range(-0.1, 1.1) },
        24 => Command::MovePass { pass, place },
        25 => Command::ClearPass(pass),
        26 if numbers.below(2) == 0 => Command::RemovePass(pass),
        26 | 27 => Command::SelectPass(pass),
        28 => Command::OpenFree,
        29 => Command::ShutFree,
        30 | 31 => Command::LoadFree(colour),
        32 => Command::Brush(Brush {
            size_px: numbers.range(0.0, 80.0),
            strength: numbers.range(0.0, 1.05),
            ..Brush::default()
        }),
        33 => Command::Scrape(samples(numbers)),
        56 | 57 => Command::Soften(samples(numbers)),
        58 => Command::MergeDown(pass),
        62 => Command::Turn(numbers.range(-190.0, 190.0)),
        63 => Command::Relight(numbers.range(1500.0, 26_000.0)),
        64 => Command::Key { spread: numbers.range(-0.1, 2.0), shift: numbers.range(-3.0, 3.0) },
        65 => Command::RelightTo { white: (numbers.range(-0.1, 0.8).into(), numbers.range(-0.1, 0.8).into()) },
        66 => Command::PickAgain,
        67 if numbers.below(4) == 0 => Command::ProposeBoard(numbers.below(4) as usize),
        67 | 68 => Command::NewBoard(Box::new(another_board(numbers))),
        69 => Command::ReviseBoard(Box::new(another_board(numbers))),
        70..=72 => Command::SwitchBoard(pick(&BOARDS, numbers).to_owned()),
        73 if numbers.below(3) == 0 => Command::ForgetBoard(pick(&BOARDS, numbers).to_owned()),
        73 | 74 => Command::SetDistance { family, distance: pick(&[None, Some(Distance::Far)], numbers) },
        75 => Command::Dismiss {
            remark: Subject { rule: Rule::RoleMissing, swatches: Vec::new(), families: vec![FamilyId(1)] },
            dismissed: numbers.below(2) == 0,
        },
        59..=61 => Command::LoadFrom { at: (numbers.below(320), numbers.below(220)) },
        34..=37 => {
            let mut corner = || [numbers.range(-50.0, 350.0), numbers.range(-50.0, 250.0)];
            let outline = vec![corner(), corner(), corner(), corner()];
            Command::Mass { outline, edge: pick(&[Edge::Soft, Edge::Hard, Edge::Loose], numbers) }
        }
        38..=42 => Command::Stroke(samples(numbers)),
        43 | 44 => Command::Undo,
        45..=47 => Command::Redo,
        _ => Command::Load(swatch(numbers)),
    }
}

/// The history as it must be: what was seen after each step, and where the head is.
struct History {
    states: Vec<Snapshot>,
    head: usize,
}

impl History {
    fn depths(&self) -> (u64, u64) {
        (self.head as u64, (self.states.len() - 1 - self.head) as u64)
    }

    /// Applies a command and checks everything that must hold afterwards; tells whether it was done.
    fn apply(&mut self, session: &mut Session, command: &Command) -> bool {
        let before = self.states[self.head].clone();
        let (loaded, brush, depths) = (session.loaded(), session.brush().clone(), session.depths());
        assert_eq!(depths, self.depths());
        let result = session.apply(command);
        let now = seen(session);
        check(&now.readout);
        match (&result, command) {
            (Err(error), _) => {
                assert_eq!(now, before, "{command:?} was refused ({error}) and changed something");
                assert_eq!((session.loaded(), session.brush().clone(), session.depths()), (loaded, brush, depths));
                let text = error.to_string();
                assert!(!text.is_empty() && !text.ends_with('.'), "{text}");
            }
            (Ok(_), Command::Undo | Command::Redo) => {
                self.head = if *command == Command::Undo { self.head - 1 } else { self.head + 1 };
                assert_eq!(now, self.states[self.head], "{command:?}");
            }
            (
                Ok(_),
                Command::Load(_)
                | Command::LoadFree(_)
                | Command::LoadFrom { .. }
                | Command::LoadWell
                | Command::Brush(_)
                | Command::SelectPass(_)
                | Command::UseProtection(_),
            ) => {
                assert_eq!((now, session.depths()), (before, depths), "{command:?} is no step");
            }
            (Ok(done), _) => {
                self.head += 1;
                self.states.truncate(self.head);
                let is_stroke = matches!(
                    command,
                    Command::Stroke(_)
                        | Command::Scrape(_)
                        | Command::Soften(_)
                        | Command::Mass { .. }
                        | Command::Fill { .. }
                        | Command::MoveArea(_)
                );
                assert_eq!(now.strokes, before.strokes + u64::from(is_stroke));
                assert_eq!(done.stroke, is_stroke.then_some(now.strokes));
                assert_eq!(done.document, now.document != before.document, "{command:?}");
                let keys = now.tiles.keys().chain(before.tiles.keys());
                let changed = keys.filter(|key| now.tiles.get(key) != before.tiles.get(key));
                assert!(changed.map(|key| key.pos).all(|pos| done.tiles.contains(&pos)), "{command:?}");
                self.states.push(now);
            }
        }
        assert_eq!(session.depths(), self.depths(), "{command:?}");
        result.is_ok()
    }
}

/// What another reader finds in the file.
fn reread(session: &mut Session, choice: EngineChoice) {
    let mut reader = Session::open_read_only(session.path(), choice).unwrap();
    assert_eq!(seen(&mut reader), seen(session));
    assert_eq!(reader.readout().unwrap(), session.readout().unwrap());
    assert_eq!(reader.shares().unwrap(), session.shares().unwrap());
    assert_eq!(reader.depths(), session.depths());
}

fn random_commands(seed: u64, count: usize, choice: EngineChoice) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let mut session = Session::create(&path, SIZE, Board::new("blue hour", LightOfDay::Cool), choice).unwrap();
    println!("seed {seed} on {:?}", session.engine());
    session.set_folder(&data("photos"));
    let mut history = History { states: vec![seen(&mut session)], head: 0 };
    let mut numbers = Numbers(seed);
    let (mut done, mut refused) = (BTreeMap::new(), 0);
    // Something to start from, so that few commands lead nowhere.
    for family in FAMILIES {
        for (role, colour) in [(Role::Light, COLOURS[2]), (Role::Shadow, COLOURS[0])] {
            let (family, name, colour) = (family.to_owned(), String::new(), colour.to_owned());
            assert!(history.apply(&mut session, &Command::AddSwatch { family, role, name, colour, by_role: false }));
        }
    }
    for i in 0..count {
        let command = any_command(&mut numbers);
        if history.apply(&mut session, &command) {
            *done.entry(command.label()).or_insert(0) += 1;
        } else {
            refused += 1;
        }
        if i % 31 == 30 {
            // A walk back, and part of the way on again.
            let far = 1 + numbers.below(12);
            let back = (0..far).filter(|_| history.apply(&mut session, &Command::Undo)).count() as u32;
            for _ in 0..numbers.below(back + 1) {
                assert!(history.apply(&mut session, &Command::Redo));
            }
        }
        if i % 23 == 22 {
            reread(&mut session, choice);
        }
        if i % 67 == 66 {
            session.close().unwrap();
            session = Session::open(&path, choice).unwrap();
            session.set_folder(&data("photos"));
            assert_eq!(seen(&mut session), history.states[history.head]);
        }
    }
    println!("{refused} refused, done: {done:?}");
    assert!(done.len() >= 25 && refused >= count / 10, "{} kinds of commands done, {refused} refused", done.len());
    while history.head > 0 {
        assert!(history.apply(&mut session, &Command::Undo));
    }
    assert!(!history.apply(&mut session, &Command::Undo), "nothing before the beginning");
    assert!(session.canvas().all_tiles().unwrap().is_empty());
    reread(&mut session, choice);
    while history.head + 1 < history.states.len() {
        assert!(history.apply(&mut session, &Command::Redo));
    }
    assert!(!history.apply(&mut session, &Command::Redo), "nothing after the end");
    reread(&mut session, choice);
}

#[test]
fn random_commands_on_the_cpu() {
    for seed in 1..=5 {
        random_commands(seed, 400, EngineChoice::Cpu);
    }
}

#[test]
fn random_commands_on_a_graphics_device() {
    random_commands(11, 300, EngineChoice::Gpu);
}

fn loaded() -> Session {
    let mut session = Session::in_memory(SIZE, Board::new("live", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
    for (role, colour) in [(Role::Light, COLOURS[2]), (Role::Shadow, COLOURS[0])] {
        let (family, name, colour) = ("brick".to_owned(), String::new(), colour.to_owned());
        session.apply(&Command::AddSwatch { family, role, name, colour, by_role: false }).unwrap();
    }
    session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
    session
}

#[test]
fn a_stroke_shown_in_pieces_is_the_stroke_that_is_kept() {
    let mut numbers = Numbers(8);
    let brushes = stint::files::brushes::shipped();
    for tool in [StrokeTool::Brush, StrokeTool::Scrape, StrokeTool::Soften] {
        for _ in 0..20 {
            let all: Vec<_> = (0..12)
                .map(|_| {
                    PenSample::new(numbers.range(-40.0, 340.0), numbers.range(-40.0, 240.0), numbers.range(0.1, 1.0))
                })
                .collect();
            let (mut whole, mut pieces) = (loaded(), loaded());
            // A mark of one kind or another, or the plain round brush.
            let brush = brushes.get(numbers.below(12) as usize).map_or(Brush::default(), |named| named.brush.clone());
            for session in [&mut whole, &mut pieces] {
                session.apply(&Command::Brush(brush.clone())).unwrap();
                let outline = vec![[0.0, 0.0], [250.3, 10.0], [120.0, 190.0]];
                session.apply(&Command::Mass { outline, edge: Edge::Soft }).unwrap();
            }
            let command = match tool {
                StrokeTool::Brush => Command::Stroke(all.clone()),
                StrokeTool::Scrape => Command::Scrape(all.clone()),
                StrokeTool::Soften => Command::Soften(all.clone()),
            };
            whole.apply(&command).unwrap();
            let before = seen(&mut pieces);
            let depths = pieces.depths();
            pieces.begin_stroke(tool).unwrap();
            let mut rest = &all[..];
            while !rest.is_empty() {
                let (now, later) = rest.split_at(1 + numbers.below(rest.len() as u32) as usize);
                pieces.extend_stroke(now).unwrap();
                // A sample without a place is refused, with those that came along, and the stroke goes on.
                let astray = [PenSample::new(250.0, 150.0, 1.0), PenSample::new(f32::NAN, 0.0, 1.0)];
                assert!(matches!(pieces.extend_stroke(&astray), Err(SessionError::Brush(_))));
                // Nothing else can happen meanwhile.
                for other in [Command::Undo, Command::AddPass("b".to_owned()), command.clone()] {
                    assert!(matches!(pieces.apply(&other), Err(SessionError::Painting)));
                }
                assert!(matches!(pieces.begin_stroke(tool), Err(SessionError::Painting)));
                rest = later;
            }
            let shown = pieces.readout().unwrap();
            assert_eq!(pieces.depths(), depths);
            if numbers.below(4) == 0 {
                pieces.cancel_stroke();
                assert_eq!(seen(&mut pieces), before);
                continue;
            }
            assert_eq!(pieces.finish_stroke().unwrap().stroke, Some(2));
            assert_eq!(seen(&mut pieces), seen(&mut whole));
            check(&shown);
        }
    }
}

#[test]
fn a_look_at_another_pass_is_no_step_and_the_next_step_keeps_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let mut session = Session::create(&path, SIZE, Board::new("depot", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
    let (family, name, colour) = ("brick".to_owned(), String::new(), COLOURS[1].to_owned());
    session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
    session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
    session.apply(&Command::AddPass("second".to_owned())).unwrap();
    let stroke = Command::Stroke(vec![PenSample::new(20.0, 20.0, 1.0), PenSample::new(200.0, 90.0, 1.0)]);
    session.apply(&stroke).unwrap();
    session.apply(&Command::Undo).unwrap();
    let selected = |session: &Session| session.document().pass(session.document().active_pass).unwrap().name.clone();
    session.apply(&Command::SelectPass("Block-in".to_owned())).unwrap();
    assert_eq!(session.depths(), (2, 1));
    session.apply(&Command::Redo).unwrap();
    assert_eq!(selected(&session), "Block-in", "undo and redo of a stroke leave the choice alone");
    session.apply(&stroke).unwrap();
    session.apply(&Command::Undo).unwrap();
    assert_eq!(selected(&session), "Block-in");
    session.apply(&Command::Redo).unwrap();
    session.close().unwrap();
    let mut session = Session::open(&path, EngineChoice::Cpu).unwrap();
    assert_eq!(selected(&session), "Block-in", "the stroke that was laid on it recorded the choice");
    // With the pass itself the choice goes.
    session.apply(&Command::SelectPass("second".to_owned())).unwrap();
    for _ in 0..3 {
        session.apply(&Command::Undo).unwrap();
    }
    assert_eq!((selected(&session).as_str(), session.document().passes.len()), ("Block-in", 1));
    session.apply(&Command::Redo).unwrap();
    assert_eq!(selected(&session), "second", "a pass that is added is painted on");
}

#[test]
fn name_role_and_colour_of_a_swatch_change_in_one_step() {
    let mut session = loaded();
    let swatch = SwatchRef::Id(SwatchId(1));
    let (role, name, colour) = (Role::Local, "sooty brick".to_owned(), COLOURS[1].to_owned());
    session.apply(&Command::ChangeSwatch { swatch: swatch.clone(), role, name: name.clone(), colour }).unwrap();
    let found = session.document().board.swatch(SwatchId(1)).unwrap().clone();
    assert_eq!((found.role, found.name, found.colour.hex()), (role, name, COLOURS[1].to_owned()));
    assert_eq!(session.depths(), (3, 0));
    // Part of it refused is all of it refused.
    let (name, colour) = ("other".to_owned(), "no colour".to_owned());
    session.apply(&Command::ChangeSwatch { swatch, role, name, colour }).unwrap_err();
    assert_eq!(session.document().board.swatch(SwatchId(1)).unwrap().name, "sooty brick");
    // A new one goes to the place of its role at once.
    let (family, name, colour) = ("brick".to_owned(), String::new(), COLOURS[3].to_owned());
    session.apply(&Command::AddSwatch { family, role: Role::Light, name, colour, by_role: true }).unwrap();
    let roles: Vec<_> = session.document().board.families[0].swatches.iter().map(|s| s.role).collect();
    assert_eq!(roles, [Role::Light, Role::Local, Role::Shadow]);
    assert_eq!(session.depths(), (4, 0));
}
