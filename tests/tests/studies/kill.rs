//! Killing the program at random moments never loses a stroke that it said was kept, and the study always opens: while it paints,
//! undoes, exports, and keeps boards. SQLite's own check follows every kill. `STINT_TEST_KILLS` sets how many there are.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{BufRead, BufReader, Read};
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::Child;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::Role;
use stint_model::study::Document;
use stint_model::study::file::{ShareRow, Shares, StudyFile};
use stint_model::study::tile::{TileKey, TilePixels};
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;
use stint_tests::numbers::Numbers;
use stint_tests::program::TestFolder;

const SIZE: (u32, u32) = (1000, 700);
const STROKES: u64 = 240;
/// Programs to be killed while they run, all tests together.
const KILLS: usize = 100;
/// Programs started at most for one kill: on a busy machine some end before they are killed.
const MOST_ROUNDS: usize = 10;
/// Two cores: as many programs at a time.
const AT_A_TIME: usize = 2;

/// Kills of one test that has this many of every ten.
fn kills(of_ten: usize) -> usize {
    let all = std::env::var("STINT_TEST_KILLS").map_or(KILLS, |n| n.parse().expect("STINT_TEST_KILLS is a number"));
    (all * of_ten / 10).max(1)
}

/// What SQLite itself finds in a study.
fn check_integrity(path: &Path) {
    let db = rusqlite::Connection::open(path).unwrap();
    let found: String = db.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    assert_eq!(found, "ok", "{}", path.display());
}

/// Broad strokes and masses of nine swatches in three passes, with edits of the board in between.
fn commands() -> Vec<Command> {
    let mut numbers = Numbers(21);
    let mut commands = Vec::new();
    for family in ["brick", "yard", "sky"] {
        for (role, colour) in [(Role::Shadow, "#3a3f55"), (Role::Local, "#7a5a4c"), (Role::Light, "#b8b4a0")] {
            let (family, name, colour) = (family.to_owned(), String::new(), colour.to_owned());
            commands.push(Command::AddSwatch { family, role, name, colour, by_role: false });
        }
    }
    let mut place = {
        let mut numbers = Numbers(22);
        let mut corner = move || [numbers.range(-100.0, 700.0), numbers.range(-100.0, 400.0)];
        move |count: usize| {
            let [left, top] = corner();
            (0..count).map(|_| corner().map(|v| v / 2.0)).map(|[x, y]| [left + x, top + y]).collect::<Vec<_>>()
        }
    };
    for stroke in 0..STROKES {
        if stroke == STROKES / 3 || stroke == 2 * STROKES / 3 {
            commands.push(Command::AddPass(format!("pass {stroke}")));
        }
        if stroke % 17 == 16 {
            commands.push(Command::RenameBoard(format!("after {stroke}")));
        }
        let family = ["brick", "yard", "sky"][numbers.below(3) as usize].to_owned();
        let role = [Role::Shadow, Role::Local, Role::Light][numbers.below(3) as usize];
        commands.push(Command::Load(SwatchRef::Swatch { family, role }));
        if numbers.below(4) == 0 {
            commands.push(Command::Mass { outline: place(4), edge: Edge::Soft });
        } else {
            let size = numbers.range(40.0, 120.0);
            commands.push(Command::Brush(Brush { size_px: size, strength: 0.6, ..Brush::default() }));
            let sample = |p: [f32; 2]| PenSample::new(p[0], p[1], 0.8);
            commands.push(Command::Stroke(place(3).into_iter().map(sample).collect()));
        }
    }
    commands
}

fn hash(pixels: &TilePixels) -> u64 {
    let mut hasher = DefaultHasher::new();
    pixels.hash(&mut hasher);
    hasher.finish()
}

/// What an uninterrupted run had in its file after each step, the empty study first.
struct Uninterrupted {
    shares: Vec<ShareRow>,
    documents: Vec<Document>,
    tiles: Vec<BTreeMap<TileKey, u64>>,
}

fn tiles_of(study: &StudyFile) -> BTreeMap<TileKey, u64> {
    let mut tiles = BTreeMap::new();
    study.for_each_tile(&mut |key, pixels| assert!(tiles.insert(key, hash(&pixels)).is_none())).unwrap();
    tiles
}

/// Walks back from the end of an uninterrupted run.
fn whole(path: &Path) -> Uninterrupted {
    let mut study = StudyFile::open_read_only(path).unwrap();
    let shares = study.shares().unwrap();
    let (mut documents, mut tiles) = (vec![study.document().clone()], vec![tiles_of(&study)]);
    while let Some(moved) = study.undo().unwrap() {
        let mut before = tiles.last().unwrap().clone();
        for (key, pixels) in moved.tiles {
            match pixels.is_empty() {
                true => before.remove(&key),
                false => before.insert(key, hash(&pixels)),
            };
        }
        tiles.push(before);
        documents.push(study.document().clone());
    }
    documents.reverse();
    tiles.reverse();
    assert_eq!(tiles[0].len(), 0);
    assert_eq!((shares.len(), shares.last().unwrap().strokes), (tiles.len(), STROKES));
    Uninterrupted { shares, documents, tiles }
}

/// Kills the program that plays into a study; tells the strokes it had said were kept, and whether it was indeed killed.
fn kill(mut child: Child, study: &Path, when: When) -> (Vec<u64>, bool) {
    let mut reader = BufReader::new(child.stdout.take().unwrap());
    let mut said = String::new();
    let journal = study.with_extension("stint-journal");
    let mut wait_until = |there: &dyn Fn() -> bool| {
        while !there() && child.try_wait().unwrap().is_none() {
            std::thread::yield_now();
        }
    };
    match when {
        When::AtOnce => {}
        When::Made => wait_until(&|| study.exists()),
        When::Told { lines, .. } | When::Keeping { lines } => {
            for _ in 0..lines {
                reader.read_line(&mut said).unwrap();
            }
        }
    }
    match when {
        When::Told { turns, .. } => (0..turns).for_each(|_| std::thread::yield_now()),
        When::Keeping { .. } => wait_until(&|| journal.exists()),
        When::AtOnce | When::Made => {}
    }
    // SIGKILL, says the standard library; a program that has ended by itself is no error.
    child.kill().unwrap();
    reader.read_to_string(&mut said).unwrap();
    let status = child.wait().unwrap();
    let numbers: Vec<u64> =
        said.lines().filter_map(|line| line.strip_prefix("stroke ")?.split_once(" kept: ")?.0.parse().ok()).collect();
    (numbers, status.signal() == Some(9))
}

/// When a program is killed: a place in its work and no time, so that a slow machine comes there too.
#[derive(Clone, Copy, Debug)]
enum When {
    /// Before or while it starts.
    AtOnce,
    /// When the file of the study is there.
    Made,
    /// When it has said that so many strokes are kept, and so many turns of the processor were given away after that.
    Told { lines: u32, turns: u32 },
    /// When the journal of a transaction is there after so many strokes: while the next one is being kept.
    Keeping { lines: u32 },
}

impl When {
    fn of(round: usize, numbers: &mut Numbers, strokes: u32) -> Self {
        // Not up to the last strokes: the program is to be still at work.
        let lines = 1 + numbers.below(strokes * 3 / 5);
        match round % 6 {
            0 => When::AtOnce,
            1 => When::Made,
            2 | 3 => When::Told { lines, turns: numbers.below(4000) },
            _ => When::Keeping { lines },
        }
    }
}

/// Checks a study that was cut off after at least `printed` strokes; tells how many strokes it has.
fn check(path: &Path, printed: u64, whole: &Uninterrupted) -> u64 {
    // For painting: this takes a half-done step back.
    let mut session = Session::open(path, EngineChoice::Cpu).unwrap();
    let strokes = session.strokes();
    assert!((printed..=printed + 1).contains(&strokes), "{printed} strokes printed, {strokes} in the file");
    let rows = session.shares().unwrap().to_vec();
    let step = rows.len() - 1;
    assert_eq!(*rows, whole.shares[..=step], "the readout over time is that of an uninterrupted run");
    // Counted anew from the tiles.
    assert_eq!(Shares::from(&session.readout().unwrap()), whole.shares[step].shares);
    assert_eq!(session.document(), &whole.documents[step]);
    let tiles = session.canvas().all_tiles().unwrap();
    let tiles: BTreeMap<_, _> = tiles.iter().map(|(key, pixels)| (*key, hash(pixels))).collect();
    assert_eq!(tiles, whole.tiles[step], "every tile is that of an uninterrupted run");

    // It can be painted on, and that can be taken back.
    if !session.document().board.families.is_empty() {
        let id = session.document().board.families[0].swatches[0].id;
        session.apply(&Command::Load(SwatchRef::Id(id))).unwrap();
        let done = session
            .apply(&Command::Stroke(vec![PenSample::new(20.0, 20.0, 1.0), PenSample::new(300.0, 500.0, 1.0)]))
            .unwrap();
        assert_eq!(done.stroke, Some(strokes + 1));
        session.apply(&Command::Undo).unwrap();
        assert_eq!(session.shares().unwrap(), rows);
    }
    session.close().unwrap();
    strokes
}

/// How a run that was to be killed ended.
struct End {
    /// It had not ended by itself.
    killed: bool,
    /// Strokes it had said were kept.
    printed: u64,
    /// Strokes in the study.
    strokes: u64,
    /// A transaction was under way.
    half_kept: bool,
}

#[test]
fn no_stroke_that_was_told_is_lost() {
    let desk = TestFolder::new();
    desk.script("long.ron", SIZE, commands());
    let play = |out: &str| desk.command(["play", "long.ron", "--out", out, "--engine", "cpu"]);
    let output = play("whole.stint").output().unwrap();
    assert!(output.status.success(), "{output:?}");
    let whole = whole(&desk.path("whole.stint"));

    let wanted = kills(5);
    let next = AtomicUsize::new(0);
    let ends = Mutex::new(Vec::new());
    let work = || {
        loop {
            let round = next.fetch_add(1, Ordering::SeqCst);
            let killed = ends.lock().unwrap().iter().filter(|e: &&End| e.killed).count();
            if killed >= wanted || round >= MOST_ROUNDS * wanted {
                return;
            }
            let when = When::of(round, &mut Numbers(1000 + round as u64), STROKES as u32);
            let name = format!("{round}.stint");
            let path = desk.path(&name);
            let (numbers, killed) = kill(play(&name).spawn().unwrap(), &path, when);
            let printed = numbers.len() as u64;
            assert!(numbers.iter().copied().eq(1..=printed), "strokes are told in order: {numbers:?}");
            let half_kept = path.with_extension("stint-journal").exists();
            let strokes = match path.exists() {
                true => check(&path, printed, &whole),
                false => 0,
            };
            assert!(path.exists() || printed == 0, "round {round} ({when:?}): {printed} strokes and no study");
            if path.exists() {
                check_integrity(&path);
                desk.stint(["readout", &name, "--engine", "cpu"]).success();
                std::fs::remove_file(&path).unwrap();
            }
            ends.lock().unwrap().push(End { killed, printed, strokes, half_kept });
        }
    };
    std::thread::scope(|scope| (0..AT_A_TIME).for_each(|_| drop(scope.spawn(work))));

    let ends = ends.into_inner().unwrap();
    let count = |of: &dyn Fn(&End) -> bool| ends.iter().filter(|e| e.killed && of(e)).count();
    let (killed, half_kept) = (count(&|_| true), count(&|e| e.half_kept));
    println!(
        "{killed} of {} killed: {} before the first stroke, {half_kept} while a stroke was being kept, {} between keeping a \
         stroke and telling it, {} after a quarter of the strokes",
        ends.len(),
        count(&|e| e.printed == 0),
        count(&|e| e.strokes > e.printed),
        count(&|e| e.printed > STROKES / 4),
    );
    assert!(killed >= wanted, "only {killed} of {} runs were still going when they were killed", ends.len());
    assert!(half_kept > 0, "no run was killed while a stroke was being kept");
}

#[test]
fn a_killed_start_leaves_room_for_a_new_one() {
    let desk = TestFolder::new();
    desk.script("short.ron", SIZE, commands().into_iter().take(30).collect());
    let arguments = ["play", "short.ron", "--out", "depot.stint", "--engine", "cpu"];
    let mut nothing_made = 0;
    let rounds = kills(1);
    for round in 0..rounds {
        let child = desk.command(arguments).spawn().unwrap();
        let when = match round % 3 {
            0 => When::AtOnce,
            1 => When::Made,
            _ => When::Told { lines: 0, turns: 200 * (round as u32 % 25) },
        };
        kill(child, &desk.path("depot.stint"), when);
        match Session::open(&desk.path("depot.stint"), EngineChoice::Cpu) {
            Ok(session) => session.close().unwrap(),
            Err(error) => {
                assert!(error.to_string().contains("there is no study at"), "{error}");
                nothing_made += 1;
            }
        }
        // Whatever the kill left there does not stand in the way of a run to the end.
        if desk.path("depot.stint").exists() {
            std::fs::remove_file(desk.path("depot.stint")).unwrap();
        }
        desk.stint(arguments).success();
        std::fs::remove_file(desk.path("depot.stint")).unwrap();
    }
    println!("{nothing_made} of {rounds} killed before there was a study");
}

/// Everything to be seen of a study but what is on the brush.
#[derive(PartialEq)]
struct State {
    depths: (u64, u64),
    document: Document,
    tiles: BTreeMap<TileKey, u64>,
}

fn state(session: &mut Session) -> State {
    let tiles = session.canvas().all_tiles().unwrap();
    let tiles = tiles.iter().map(|(key, pixels)| (*key, hash(pixels))).collect();
    State { depths: session.depths(), document: session.document().clone(), tiles }
}

#[test]
fn no_step_back_or_on_is_half_done() {
    let mut numbers = Numbers(31);
    let mut script = Vec::new();
    for command in commands().into_iter().take(150) {
        script.push(command);
        // Now and then some steps back, and not all of them on again.
        if script.len() > 30 && numbers.below(5) == 0 {
            let back = 1 + numbers.below(5);
            script.extend((0..back).map(|_| Command::Undo));
            script.extend((0..numbers.below(back + 1)).map(|_| Command::Redo));
        }
    }
    let desk = TestFolder::new();
    desk.script("undo.ron", SIZE, script.clone());
    let play = |out: &str| desk.command(["play", "undo.ron", "--out", out, "--engine", "cpu"]);
    assert!(play("whole.stint").output().unwrap().status.success());
    let mut whole = Session::open_read_only(&desk.path("whole.stint"), EngineChoice::Cpu).unwrap();
    // The states of an uninterrupted run, and how many strokes had been told before each.
    let board = stint_model::board::Board::new("board", Default::default());
    let mut session = Session::in_memory(SIZE, board, EngineChoice::Cpu).unwrap();
    let mut states = vec![(0, state(&mut session))];
    for command in &script {
        let told = states.last().unwrap().0;
        let done = session.apply(command).unwrap();
        states.push((told + u64::from(done.stroke.is_some()), state(&mut session)));
    }
    let ended = state(&mut whole);
    let last = &states.last().unwrap().1;
    assert!(ended.depths == last.depths && ended.tiles == last.tiles, "the program does what was done here");

    let wanted = kills(2);
    let (mut killed, mut journals) = (0, 0);
    for round in 0..MOST_ROUNDS * wanted {
        if killed == wanted {
            break;
        }
        let path = desk.path("cut.stint");
        let when = When::of(round, &mut Numbers(4000 + round as u64), 60);
        let (told, was_killed) = kill(play("cut.stint").spawn().unwrap(), &path, when);
        killed += usize::from(was_killed);
        if !path.exists() {
            assert!(told.is_empty());
            continue;
        }
        journals += usize::from(path.with_extension("stint-journal").exists());
        let mut cut = Session::open(&path, EngineChoice::Cpu).unwrap();
        let found = state(&mut cut);
        cut.close().unwrap();
        check_integrity(&path);
        let told = told.len() as u64;
        let same = |state: &State| state.depths == found.depths && state.tiles == found.tiles;
        let at = states.iter().any(|(before, state)| (told..=told + 1).contains(before) && same(state));
        assert!(at, "round {round} ({when:?}): {told} strokes told, {:?} in the file", found.depths);
        std::fs::remove_file(&path).unwrap();
    }
    println!("{killed} killed between steps back and on, {journals} with a transaction under way");
    assert_eq!(killed, wanted);
}

#[test]
fn a_killed_export_leaves_the_picture_that_was_there() {
    let desk = TestFolder::new();
    desk.script("long.ron", SIZE, commands().into_iter().take(60).collect());
    desk.stint(["play", "long.ron", "--out", "depot.stint", "--engine", "cpu"]).success();
    desk.stint(["export", "depot.stint", "-o", "depot.png", "--depth", "16"]).success();
    let study = std::fs::read(desk.path("depot.stint")).unwrap();
    let whole = std::fs::read(desk.path("depot.png")).unwrap();
    std::fs::write(desk.path("other.png"), "somebody else's").unwrap();
    let wanted = kills(1);
    let (mut killed, mut left_over) = (0, 0);
    // Sooner after every export that ended first: how many turns one takes differs between machines.
    let mut most_turns = 4000;
    for round in 0..MOST_ROUNDS * wanted + 10 {
        if killed == wanted {
            break;
        }
        let arguments = ["export", "depot.stint", "-o", "other.png", "--depth", "16", "--replace"];
        let child = desk.command(arguments).spawn().unwrap();
        let when = When::Told { lines: 0, turns: Numbers(6000 + round as u64).below(most_turns) };
        let (_, was_killed) = kill(child, &desk.path("depot.stint"), when);
        killed += usize::from(was_killed);
        if !was_killed {
            most_turns = (most_turns / 2).max(1);
        }
        let now = std::fs::read(desk.path("other.png")).unwrap();
        assert!(now == b"somebody else's" || now == whole, "round {round}: half a picture");
        left_over += usize::from(now != whole);
        std::fs::write(desk.path("other.png"), "somebody else's").unwrap();
        check_integrity(&desk.path("depot.stint"));
        assert_eq!(std::fs::read(desk.path("depot.stint")).unwrap(), study);
    }
    println!("{killed} killed while exporting, {left_over} runs before the picture was in place");
    assert_eq!(killed, wanted);
}

#[test]
fn a_killed_library_keeps_every_board_it_had() {
    let desk = TestFolder::new();
    desk.script("short.ron", SIZE, commands().into_iter().take(12).collect());
    desk.stint(["play", "short.ron", "--out", "depot.stint", "--engine", "cpu"]).success();
    let list = || desk.stint(["board", "list", "--json"]).success();
    let wanted = kills(1);
    let (mut killed, mut kept) = (0, 0);
    for round in 0..MOST_ROUNDS * wanted {
        if killed == wanted {
            break;
        }
        let child = desk.command(["board", "keep", "depot.stint"]).spawn().unwrap();
        let when = When::Told { lines: 0, turns: Numbers(8000 + round as u64).below(2500) };
        let (_, was_killed) = kill(child, &desk.path("depot.stint"), when);
        killed += usize::from(was_killed);
        kept += 1;
        if round % 8 == 7 {
            // Nothing that is left stands in the way.
            desk.stint(["board", "keep", "depot.stint"]).success();
            list();
        }
        check_integrity(&desk.path("depot.stint"));
    }
    let listed = list();
    println!("{killed} of {kept} killed while keeping a board; the list is {} bytes", format!("{listed:?}").len());
    assert_eq!(killed, wanted);
}
