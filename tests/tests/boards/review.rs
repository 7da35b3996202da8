//! The review on the command line: remarks with their numbers and offers, taking and dismissing them, marking distances.

use serde_json::Value;
use stint::study::command::Command;
use stint::study::session::Session;
use stint_model::board::file::{parse_board, read_board, write_board};
use stint_model::board::light_guess::{SURE_CERTAINTY, guess_light};
use stint_model::board::review::{Rule, offers, review};
use stint_model::board::{Board, Distance, LightOfDay, Role};
use stint_model::colour::Oklch;
use stint_render::choose::EngineChoice;
use stint_tests::program::TestFolder;
use stint_tests::scripts::{desk_with_study, play};

/// A board with four faults: a light darker than its local, a black, a screen's orange, and a far surface that is warm.
fn faulty() -> Board {
    use Role::{Accent, Light, Local, Shadow};
    type Swatches<'a> = &'a [(Role, [f32; 3])];
    let families: [(&str, Swatches<'_>); 4] = [
        ("brick", &[(Shadow, [0.34, 0.060, 45.0]), (Local, [0.46, 0.085, 38.0]), (Light, [0.40, 0.050, 15.0])]),
        ("wet yard", &[(Shadow, [0.12, 0.010, 280.0]), (Local, [0.44, 0.040, 265.0]), (Light, [0.66, 0.040, 250.0])]),
        ("sky", &[(Local, [0.55, 0.080, 262.0]), (Light, [0.76, 0.060, 240.0])]),
        ("lamps", &[(Accent, [0.82, 0.180, 75.0])]),
    ];
    let mut board = Board::new("depot, blue hour", LightOfDay::Cool);
    for (name, swatches) in families {
        let (with, id) = board.with_family(name).unwrap();
        board = with;
        for (role, [l, c, h_degrees]) in swatches {
            board = board
                .with_swatch(id, *role, "", Oklch { l: *l, c: *c, h_degrees: *h_degrees }.colour(), &[])
                .unwrap()
                .0;
        }
    }
    board
}

fn desk() -> TestFolder {
    let desk = TestFolder::new();
    write_board(&desk.path("depot.board.ron"), &faulty()).unwrap();
    desk
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn rules(board: &Board) -> Vec<Rule> {
    review(board).iter().map(|r| r.rule).collect()
}

const FAULTS: [Rule; 3] = [Rule::ValuesOutOfOrder, Rule::NearBlack, Rule::Garish];

#[test]
fn remarks_have_numbers_and_offers() {
    let desk = desk();
    let said = desk.stint(["board", "review", "depot.board.ron"]).success();
    let board = faulty();
    assert_eq!(rules(&board), FAULTS);
    for (remark, number) in review(&board).iter().zip(1..) {
        let first = offers(&board, remark, &[]).remove(0);
        let wanted = format!("{number:2}. {}\n    offer: {}\n", remark.text, first.words);
        assert!(said.contains(&wanted), "{wanted}\nis missing:\n{said}");
    }

    let told = json(&desk.stint(["board", "review", "depot.board.ron", "--json"]).success());
    assert_eq!(
        (&told["board"], &told["light"], &told["dismissed"]),
        (&"depot, blue hour".into(), &"Cool".into(), &0.into())
    );
    let remarks = told["remarks"].as_array().unwrap();
    assert_eq!(remarks.len(), 3);
    for (told, remark) in remarks.iter().zip(review(&board)) {
        assert_eq!(told["rule"], serde_json::to_value(remark.rule).unwrap());
        assert_eq!((&told["text"], &told["dismissed"]), (&remark.text.as_str().into(), &false.into()));
        assert_eq!(told["words"], remark.rule.words());
        assert_eq!(told["swatches"], serde_json::to_value(&remark.swatches).unwrap());
        assert_eq!(told["families"], serde_json::to_value(&remark.families).unwrap());
        assert!((told["figure"].as_f64().unwrap() - f64::from(remark.figure)).abs() < 1e-6);
        let words: Vec<String> = offers(&board, &remark, &[]).into_iter().map(|o| o.words).collect();
        assert_eq!(told["offers"], serde_json::to_value(words).unwrap());
    }
    assert_eq!(remarks[1]["rule"], "near-black");
    assert_eq!(remarks[1]["unit"], "Munsell value");
    let guess = &told["light_guess"];
    assert!(guess["certainty"].as_f64().is_some() && guess["why"].as_str().unwrap().len() > 10, "{told}");
}

#[test]
fn offers_are_taken_by_number() {
    let desk = desk();
    let before = std::fs::read(desk.path("depot.board.ron")).unwrap();
    // To standard output, as the other commands that make a board from a board.
    let printed = desk.stint(["board", "review", "depot.board.ron", "--take", "2"]).success();
    let printed = parse_board(&printed, "output").unwrap();
    assert_eq!(rules(&printed), [FAULTS[0], FAULTS[2]]);
    let black = faulty().families[1].swatches[0].id;
    assert!(printed.swatch(black).unwrap().colour.munsell_value() > 1.0);
    // All, in any order, into a file; numbers are those of the board as it was read.
    let arguments =
        ["board", "review", "depot.board.ron", "--take", "3", "--take", "1", "--take", "2", "-o", "new.board.ron"];
    let said = desk.stint(arguments).success();
    assert_eq!(said, "wrote new.board.ron with 9 swatches\nno remarks\n");
    assert_eq!(rules(&read_board(&desk.path("new.board.ron")).unwrap()), []);
    assert_eq!(desk.stint(["board", "review", "new.board.ron"]).success(), "no remarks\n");
    assert!(std::fs::read(desk.path("depot.board.ron")).unwrap() == before, "the board that was read is as it was");
}

#[test]
fn dismissed_remarks_are_kept_and_come_back() {
    let desk = desk();
    let dismiss = ["board", "review", "depot.board.ron", "--dismiss", "1", "--dismiss", "3", "-o", "calm.board.ron"];
    let said = desk.stint(dismiss).success();
    // One is left, under its own number.
    assert!(said.starts_with("wrote calm.board.ron with 9 swatches\n 2. wet yard shadow is almost black"), "{said}");
    assert_eq!(said.lines().count(), 2, "{said}");
    let said = desk.stint(["board", "review", "calm.board.ron"]).success();
    assert!(said.ends_with("2 remarks are dismissed; --all shows all\n"), "{said}");
    let all = desk.stint(["board", "review", "calm.board.ron", "--all"]).success();
    assert_eq!(all.lines().filter(|l| l.ends_with(" (dismissed)")).count(), 2, "{all}");
    let told = json(&desk.stint(["board", "review", "calm.board.ron", "--all", "--json"]).success());
    let dismissed: Vec<_> =
        told["remarks"].as_array().unwrap().iter().map(|r| r["dismissed"].as_bool().unwrap()).collect();
    assert_eq!((dismissed, &told["dismissed"]), (vec![true, false, true], &2.into()));
    // The figures change when the values are shifted; what was dismissed stays so.
    // (The orange of a screen has to give way at another value, which is said on standard error.)
    let keyed = desk.stint(["board", "key", "calm.board.ron", "--shift", "0.3", "-o", "lighter.board.ron"]);
    assert_eq!(keyed.code, Some(0), "{keyed:?}");
    let lighter = read_board(&desk.path("lighter.board.ron")).unwrap();
    assert_eq!(lighter.dismissed.len(), 2);
    assert!(!rules(&lighter).contains(&Rule::ValuesOutOfOrder), "{:?}", rules(&lighter));
    let back = ["board", "review", "calm.board.ron", "--bring-back", "1", "-o", "back.board.ron"];
    let said = desk.stint(back).success();
    assert!(said.contains("\n 1. brick light ") && !said.contains("\n 3. "), "{said}");
}

#[test]
fn what_cannot_be_done_is_refused_with_a_way_out() {
    let desk = desk();
    for number in ["0", "4", "18446744073709551615"] {
        for change in ["--take", "--dismiss", "--bring-back"] {
            desk.stint(["board", "review", "depot.board.ron", change, number]).refused(&[
                "no remark",
                "this board has 3",
                "--all",
            ]);
        }
    }
    for arguments in [&["--take", "1", "--json"][..], &["--take", "one"], &["--take", "-1"], &["-o", "new.board.ron"]] {
        let said = desk.stint([&["board", "review", "depot.board.ron"], arguments].concat());
        assert_eq!((said.code, said.out.as_str()), (Some(2), ""), "{arguments:?}: {said:?}");
    }
    desk.write("notes.txt", "not a board");
    desk.stint(["board", "review", "depot.board.ron", "--take", "1", "-o", "notes.txt"])
        .refused(&["notes.txt", "choose one of these endings"]);
    assert_eq!(desk.files(), ["depot.board.ron", "notes.txt"]);
}

#[test]
fn distances_are_marked_and_remarked_on() {
    let desk = desk();
    let mark = |arguments: &[&str]| desk.stint([&["board", "mark"], arguments].concat());
    let said =
        mark(&["depot.board.ron", "--far", "brick", "sky", "--near", "wet yard", "-o", "far.board.ron"]).success();
    assert!(said.contains("brick (far) is ") && said.contains("warmer than what is nearer"), "{said}");
    assert!(!said.contains("sky (far)"), "{said}");
    let far = read_board(&desk.path("far.board.ron")).unwrap();
    let distances: Vec<_> = far.families.iter().map(|f| f.distance).collect();
    assert_eq!(distances, [Some(Distance::Far), Some(Distance::Near), Some(Distance::Far), None]);
    // Its first offer cools brick, and nothing else is left open.
    let number = review(&far).iter().position(|r| r.rule == Rule::DistanceNotCooler).unwrap() + 1;
    let cooled = desk.stint(["board", "review", "far.board.ron", "--take", &number.to_string()]).success();
    assert_eq!(rules(&parse_board(&cooled, "output").unwrap()), FAULTS);
    // A distance can be changed and left open again.
    let unmarked = mark(&["far.board.ron", "--unmark", "brick", "sky", "--middle", "wet yard"]).success();
    let unmarked = parse_board(&unmarked, "output").unwrap();
    let distances: Vec<_> = unmarked.families.iter().map(|f| f.distance).collect();
    assert_eq!(distances, [None, Some(Distance::Middle), None, None]);

    mark(&["depot.board.ron", "--far", "roofs"]).refused(&["no family \"roofs\"", "brick, wet yard, sky, lamps"]);
    mark(&["depot.board.ron", "--far", "sky", "--near", "sky"]).refused(&["\"sky\" is marked twice"]);
    let nothing = mark(&["depot.board.ron"]);
    assert!(nothing.code == Some(2) && nothing.err.contains("--far"), "{nothing:?}");
}

#[test]
fn a_study_gives_its_board_and_is_not_changed() {
    let desk = desk_with_study();
    let before = std::fs::read(desk.path("depot.stint")).unwrap();
    let told = json(&desk.stint(["board", "review", "depot.stint", "--json"]).success());
    let remarks = told["remarks"].as_array().unwrap();
    assert_eq!(remarks[0]["rule"], "role-missing");
    // An added swatch takes an id that no paint of the study has.
    let added =
        parse_board(&desk.stint(["board", "review", "depot.stint", "--take", "1"]).success(), "output").unwrap();
    let session = Session::open_read_only(&desk.path("depot.stint"), EngineChoice::Cpu).unwrap();
    let old = &session.document().board;
    let new: Vec<_> = added.swatches().map(|(_, s)| s.id).filter(|id| old.swatch(*id).is_none()).collect();
    assert_eq!(new.len(), 2);
    assert!(
        session
            .document()
            .paints
            .iter()
            .all(|p| new.iter().all(|id| p.kind != stint_model::paint::PaintKind::Swatch(*id)))
    );
    drop(session);
    assert!(std::fs::read(desk.path("depot.stint")).unwrap() == before);
}

#[test]
fn the_light_of_the_shipped_scene_is_told_from_its_board() {
    let desk = TestFolder::new();
    // The board of the scene, picked from its photo as the demo does.
    stint::study::demo::unpack(&desk.path("")).unwrap();
    let script = stint::study::demo::script(&desk.path("")).unwrap();
    let picks = script.commands.into_iter().take_while(|c| !matches!(c, Command::Load(_) | Command::Mass { .. }));
    desk.script("picks.ron", (script.width, script.height), picks.collect());
    play(&desk, "picks.ron", "scene.stint").success();
    let scene = Session::open_read_only(&desk.path("scene.stint"), EngineChoice::Cpu).unwrap();
    let board = Board { light: LightOfDay::Warm, ..scene.document().board.clone() };
    assert_eq!(board.families.len(), 6);
    let guess = guess_light(&board);
    assert!(guess.light == LightOfDay::Cool && guess.certainty >= SURE_CERTAINTY, "{guess:?}");
    write_board(&desk.path("warm.board.ron"), &board).unwrap();
    let said = desk.stint(["board", "review", "warm.board.ron"]).success();
    assert!(
        said.contains("the board says warm light, but its colours speak for a cool one: lights are cooler"),
        "{said}"
    );
    let told = json(&desk.stint(["board", "review", "warm.board.ron", "--json"]).success());
    assert_eq!((&told["light_guess"]["light"], &told["light_guess"]["differs"]), (&"Cool".into(), &true.into()));
}
