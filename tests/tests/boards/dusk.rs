//! One board turned into another, and the painting follows: turn, relight, key, from the command line and in a study.

use serde_json::Value;
use stint::study::command::Command;
use stint_model::board::file::read_board;
use stint_model::colour::warmth::warmth;
use stint_tests::program::TestFolder;
use stint_tests::scripts::{SIZE, loaded, play, strokes};

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn the_painting_follows_a_board_at_dusk() {
    let desk = TestFolder::new();
    desk.script("noon.ron", SIZE, [loaded(), strokes(4)].concat());
    play(&desk, "noon.ron", "noon.stint").success();
    // The board of the study, at blue hour, with quieter values, as a board of its own.
    let relit = ["board", "relight", "noon.stint", "--kelvin", "12000", "--name", "dusk", "--light", "cool"];
    desk.stint([&relit[..], &["--out", "blue.board.ron"]].concat()).success();
    desk.stint(["board", "key", "blue.board.ron", "--shift", "-1", "--out", "dusk.board.ron"]).success();
    let dusk = read_board(&desk.path("dusk.board.ron")).unwrap();
    assert_eq!(dusk.name, "dusk");
    // The same strokes, and the board changed under them.
    let change = vec![Command::UseBoard("dusk.board.ron".to_owned())];
    desk.script("dusk.ron", SIZE, [loaded(), strokes(4), change].concat());
    play(&desk, "dusk.ron", "dusk.stint").success();
    let before = json(&desk.stint(["readout", "noon.stint", "--json"]).success());
    let after = json(&desk.stint(["readout", "dusk.stint", "--json"]).success());
    for share in ["painted_px", "board_share", "free_share", "bare_share"] {
        assert_eq!(before[share], after[share], "{share}");
    }
    assert_ne!(before["swatches"][0]["hex"], after["swatches"][0]["hex"]);
    // The picture followed: a painted pixel is the new colour, cooler and darker than the old.
    for name in ["noon", "dusk"] {
        desk.stint(["export", &format!("{name}.stint"), "--out", &format!("{name}.png")]).success();
    }
    let [noon, dusk] = ["noon.png", "dusk.png"].map(|name| image::open(desk.path(name)).unwrap().to_rgb8());
    let colour = |code: &image::Rgb<u8>| stint_model::colour::Colour::from_srgb8(code.0);
    let changed: Vec<_> = noon.pixels().zip(dusk.pixels()).filter(|(a, b)| a != b).collect();
    assert!(changed.len() as f64 > 0.5 * before["painted_px"].as_f64().unwrap());
    let cooler = changed.iter().filter(|(a, b)| warmth(colour(b)) < warmth(colour(a))).count();
    // Where paint is all but transparent one code up or down decides.
    assert!(cooler as f64 > 0.99 * changed.len() as f64, "{cooler} of {}", changed.len());
}

#[test]
fn variations_say_what_gave_way_and_refuse_what_makes_no_sense() {
    let desk = TestFolder::new();
    let family = "Enamel".to_owned();
    let role = stint_model::board::Role::Local;
    let add = Command::AddSwatch { family, role, name: String::new(), colour: "#ffee00".to_owned(), by_role: false };
    desk.script("loud.ron", (64, 64), vec![add]);
    play(&desk, "loud.ron", "loud.stint").success();
    let said = desk.stint(["board", "turn", "loud.stint", "--degrees", "160"]);
    assert_eq!(said.code, Some(0));
    assert!(said.err.contains("1 swatch lay outside sRGB"), "{}", said.err);
    assert!(said.out.contains("format: 2"), "{}", said.out);
    for wrong in [["turn", "--degrees", "200"], ["relight", "--kelvin", "900"], ["key", "--spread", "-1"]] {
        assert_eq!(desk.stint(["board", wrong[0], "loud.stint", wrong[1], wrong[2]]).code, Some(2), "{wrong:?}");
    }
    // A board is never written over something else.
    desk.write("notes.css", "mine");
    let onto = ["board", "turn", "loud.stint", "--degrees", "10", "--out", "notes.css"];
    desk.stint(onto).refused(&["notes.css", "exists already", "--replace"]);
}
