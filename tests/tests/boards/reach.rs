//! What a board's mixtures reach: membership against SciPy, and the command line.

use serde_json::Value;
use stint_model::board::file::board_text;
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::board_match::reach::is_mixture;
use stint_model::colour::{Colour, Oklab};
use stint_model::mixing::Mixing;
use stint_model::study::file::StudyFile;
use stint_tests::program::{TestFolder, data};
use stint_tests::scripts::desk_with_study;

/// `data/reach/membership.csv`, made with SciPy's Delaunay triangulation in OKLab.
#[test]
fn mixtures_of_the_perceptual_model_are_those_of_a_delaunay_hull() {
    let text = std::fs::read_to_string(data("reach/membership.csv")).unwrap();
    let swatches = text.lines().find_map(|line| line.strip_prefix("# swatches ")).unwrap();
    let (mut board, family) = Board::new("reach", LightOfDay::Neutral).with_family("all").unwrap();
    for hex in swatches.split(' ') {
        let colour = Colour::from_hex(&format!("#{hex}")).unwrap();
        board = board.with_swatch(family, Role::Accent, "", colour, &[]).unwrap().0;
    }
    let (mut inside, mut outside) = (0, 0);
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        let numbers: Vec<f32> = line.split(',').map(|n| n.parse().unwrap()).collect();
        let colour = Oklab { l: numbers[0], a: numbers[1], b: numbers[2] }.colour();
        assert_eq!(is_mixture(&board, Mixing::Perceptual, colour), numbers[3] == 1.0, "{line}");
        if numbers[3] == 1.0 { inside += 1 } else { outside += 1 }
    }
    assert_eq!((inside, outside), (120, 120));
}

#[test]
fn a_board_a_study_and_another_photo_are_told_of() {
    let desk = TestFolder::new();
    desk.stint(["demo", "--out", "demo", "--engine", "cpu"]).success();
    let reach = |words: &[&str]| -> Value {
        let words = [&["board", "reach"], words, &["--json"]].concat();
        serde_json::from_str(&desk.stint(words).success()).unwrap()
    };
    let own = reach(&["demo/tram_depot.stint"]);
    let values: Vec<_> = own["values"].as_array().unwrap().iter().map(|v| v["value"].as_f64().unwrap()).collect();
    assert_eq!(values, [3.0, 5.0, 7.0]);
    let share = own["photo"]["share"].as_f64().unwrap();
    assert!(share > 0.5 && share <= 1.0, "its board was picked from this photo: {own}");
    // What is added is reached: with that swatch on the board the share is as much larger as was said.
    desk.take("photos/china.jpg");
    let other = reach(&["demo/tram_depot.stint", "--photo", "china.jpg"]);
    let (before, more) = (other["photo"]["share"].as_f64().unwrap(), &other["photo"]["addition"]);
    assert!(before < share, "{other}");
    let gain = more["gain"].as_f64().unwrap();
    let board = StudyFile::open_read_only(&desk.path("demo/tram_depot.stint")).unwrap().document().board.clone();
    let colour = Colour::from_hex(more["hex"].as_str().unwrap()).unwrap();
    let with = board.with_swatch(board.families[0].id, Role::Accent, "", colour, &[]).unwrap().0;
    desk.write("more.board.ron", board_text(&with).unwrap());
    let after = reach(&["more.board.ron", "--photo", "china.jpg"]);
    let grown = after["photo"]["share"].as_f64().unwrap() - before;
    // The hex rounds the swatch by half a code, and the photo's sky, all of nearly one colour, lies at the edge of what is reached.
    assert!((grown - gain).abs() < 0.03, "said {gain}, came {grown}");
    let text = desk.stint(["board", "reach", "more.board.ron", "--photo", "china.jpg"]).success();
    assert!(text.contains("at value 5") && text.contains("of china.jpg within reach"), "{text}");
    let alone = reach(&["more.board.ron"]);
    assert_eq!(alone["photo"], Value::Null);
    desk.stint(["board", "reach", "nothing.ron"]).refused(&["nothing.ron"]);
    let empty = desk_with_study();
    empty.write("none.css", ":root { }");
    assert_eq!(empty.stint(["board", "reach", "none.css"]).code, Some(1));
}
