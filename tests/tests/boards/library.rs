//! The library and the exercise from memory, from the command line, in a data folder of their own.

use serde_json::Value;
use stint_model::board::file::read_board;
use stint_model::colour::Colour;
use stint_tests::program::{RunOutput, TestFolder, data};

/// The program with `data` as the user's data folder.
fn stint(desk: &TestFolder, arguments: &[&str]) -> RunOutput {
    desk.command(arguments).env("XDG_DATA_HOME", desk.path("data")).output().unwrap().into()
}

fn json(desk: &TestFolder, arguments: &[&str]) -> Value {
    serde_json::from_str(&stint(desk, arguments).success()).unwrap()
}

/// Boards of two real photos (see `data/SOURCES.md`) as files.
fn desk() -> TestFolder {
    let desk = TestFolder::new();
    for (photo, light) in [("china", "warm"), ("coffee", "neutral")] {
        let path = desk.take(&format!("photos/{photo}.jpg"));
        let out = format!("{photo}.board.ron");
        let path = path.to_str().unwrap();
        stint(&desk, &["board", "from", path, "--light", light, "--families", "5", "--out", &out]).success();
    }
    desk
}

fn names(found: &Value) -> Vec<&str> {
    found.as_array().unwrap().iter().map(|e| e["name"].as_str().unwrap()).collect()
}

#[test]
fn boards_are_kept_listed_changed_and_brought_back() {
    let desk = desk();
    let said = stint(&desk, &["board", "list"]);
    assert!(said.code == Some(0) && said.out.is_empty() && said.err.contains("no board is kept yet"), "{said:?}");
    for photo in ["china", "coffee"] {
        let (board, picture) = (format!("{photo}.board.ron"), format!("{photo}.jpg"));
        stint(&desk, &["board", "keep", &board, "--photo", &picture]).success();
    }
    assert!(desk.path("data/stint/boards/china.photo.png").is_file());
    let list = stint(&desk, &["board", "list", "--order", "name"]).success();
    let lines: Vec<_> = list.lines().collect();
    assert!(lines[0].starts_with("china ") && lines[0].contains("warm") && lines.len() == 2, "{list}");

    // Each photo finds its own board, and the figures say so.
    for photo in ["china", "coffee"] {
        let found = json(&desk, &["board", "list", "--like", &format!("{photo}.jpg"), "--json"]);
        assert_eq!(names(&found)[0], photo);
        let like = |i: usize| found[i]["like"].as_f64().unwrap();
        assert!(like(0) * 1.5 < like(1), "{found}");
        assert_eq!(found[0]["photo"], format!("{photo}.jpg"));
    }
    let shown = json(&desk, &["board", "show", "coffee", "--json"]);
    let hex = shown["swatches"][0]["hex"].as_str().unwrap().to_owned();
    let near = json(&desk, &["board", "list", "--near", &hex, "--json"]);
    assert!(names(&near)[0] == "coffee" && near[0]["near"].as_f64().unwrap() < 1.0, "{near}");
    assert_eq!(names(&json(&desk, &["board", "list", "--light", "warm", "--json"])), ["china"]);
    assert_eq!(names(&json(&desk, &["board", "list", "--words", "COFFEE.JPG", "--json"])), ["coffee"]);
    let none = stint(&desk, &["board", "list", "--words", "tram", "--json"]);
    assert_eq!(none.out.trim(), "[]");

    stint(&desk, &["board", "rename", "china", "Palace roofs"]).success();
    stint(&desk, &["board", "duplicate", "palace ROOFS"]).success();
    stint(&desk, &["board", "duplicate", "Palace roofs", "Palace, night"]).success();
    stint(&desk, &["board", "rename", "Palace, night", "coffee"]).refused(&["called \"coffee\" already"]);
    stint(&desk, &["board", "discard", "Palace roofs 2"]).success();
    let left = json(&desk, &["board", "list", "--order", "name", "--json"]);
    assert_eq!(names(&left), ["coffee", "Palace roofs", "Palace, night"]);
    stint(&desk, &["board", "restore", "palace roofs 2"]).success();
    stint(&desk, &["board", "restore", "palace roofs 2"]).refused(&["no discarded board", "there is none yet"]);
    stint(&desk, &["board", "discard", "tram"]).refused(&["no kept board is called \"tram\"", "\"coffee\""]);

    // Other commands take a kept board by its name, and a file by that name comes first.
    let lines = stint(&desk, &["board", "review", "Palace roofs 2"]).success();
    assert!(!lines.is_empty());
    stint(&desk, &["board", "show", "tram depot"]).refused(&["tram depot", "no kept board", "stint board list"]);
    std::fs::copy(desk.path("coffee.board.ron"), desk.path("Palace roofs 2")).unwrap();
    let shown = stint(&desk, &["board", "show", "Palace roofs 2"]).success();
    assert!(shown.starts_with("coffee, "), "{shown}");
}

#[test]
fn a_broken_board_is_listed_and_a_study_is_kept_with_its_photo() {
    let desk = desk();
    let script = r#"(format: 1, width: 60, height: 40, board: "Tea", light: Warm, commands: [
        Reference("coffee.jpg"),
        Pick(family: "Cup", role: Light, at: (300, 200), aperture: 15),
    ])"#;
    desk.write("tea.ron", script);
    let played = stint(&desk, &["play", "tea.ron", "--out", "tea.stint"]);
    assert_eq!(played.code, Some(0), "{played:?}");
    stint(&desk, &["board", "keep", "tea.stint"]).success();
    let boards = desk.path("data/stint/boards");
    assert!(boards.join("Tea.photo.png").is_file());
    std::fs::write(boards.join("Torn.board.ron"), "(format: 2,").unwrap();
    let found = json(&desk, &["board", "list", "--json"]);
    assert_eq!(names(&found), ["Tea", "Torn"]);
    assert_eq!((&found[0]["photo"], &found[0]["broken"]), (&"coffee.jpg".into(), &Value::Null));
    assert!(found[1]["broken"].as_str().unwrap().contains("Torn.board.ron, line 1"), "{found}");
    assert!(stint(&desk, &["board", "list"]).success().contains("Torn  broken: "));
    stint(&desk, &["board", "show", "Torn"]).refused(&["Torn.board.ron, line 1"]);
    let wrong = stint(&desk, &["board", "list", "--near", "red"]);
    assert!(wrong.code == Some(2) && wrong.err.contains("--near"), "{wrong:?}");
}

/// Chips of the Munsell renotation (S. M. Newhall, D. Nickerson, D. B. Judd, 1943; see `data/SOURCES.md`) as `#rrggbb`.
struct Chips(Vec<csv::StringRecord>);

impl Chips {
    fn read() -> Self {
        Chips(csv::Reader::from_path(data("munsell.csv")).unwrap().records().map(Result::unwrap).collect())
    }

    /// None for a chip that is not there, or that sRGB cannot hold.
    fn hex(&self, hue: &str, value: u8, chroma: u8) -> Option<String> {
        let (value, chroma) = (value.to_string(), chroma.to_string());
        let row = self.0.iter().find(|r| r[0] == *hue && r[1] == value && r[2] == chroma)?;
        let encoded = [8, 9, 10].map(|i| row[i].parse::<f32>().unwrap());
        let colour = Colour::from_srgb(encoded);
        colour.in_srgb().then(|| colour.hex())
    }
}

fn recalled(desk: &TestFolder, wanted: &str, guess: &str) -> Value {
    let colour = Colour::from_hex(wanted).unwrap();
    let text = format!(
        "(format: 2, name: \"One chip\", light: Neutral, families: [(id: 1, name: \"Chip\", swatches: \
         [(id: 1, role: Local, colour: ({}, {}, {}))])])",
        colour.r, colour.g, colour.b
    );
    desk.write("chip.board.ron", text);
    let arguments = ["board", "recall", "chip.board.ron", "--swatch", "chip local", "--guess", guess];
    json(desk, &[&arguments[..], &["--no-record", "--json"]].concat())
}

/// What a miss is called agrees with Munsell's own order of value, hue and chroma.
#[test]
fn the_words_of_a_miss_agree_with_munsells_chips() {
    let (desk, chips) = (TestFolder::new(), Chips::read());
    let first = |miss: &Value| miss["ways"][0]["words"].as_str().unwrap_or_default().to_owned();
    let mut compared = 0;
    for hue in ["5R", "5YR", "5Y", "5G", "5B", "5PB", "5P"] {
        // One value step, the same hue and chroma.
        if let [Some(dark), Some(light)] = [3, 4].map(|v| chips.hex(hue, v, if v == 3 { 4 } else { 6 })) {
            let miss = recalled(&desk, &dark, &light);
            assert!((miss["value"].as_f64().unwrap() - 1.0).abs() < 0.2, "{hue}: {miss}");
        }
        if let [Some(dark), Some(light)] = [5, 7].map(|v| chips.hex(hue, v, 4)) {
            let miss = recalled(&desk, &dark, &light);
            assert!((miss["value"].as_f64().unwrap() - 2.0).abs() < 0.2, "{hue}: {miss}");
            assert!(first(&miss).ends_with("values too light"), "{hue}: {miss}");
            let back = recalled(&desk, &light, &dark);
            assert!(first(&back).ends_with("values too dark"), "{hue}: {back}");
            compared += 1;
        }
        // Two chromas apart, the same hue and value.
        if let [Some(weak), Some(strong)] = [4, 8].map(|c| chips.hex(hue, 5, c)) {
            let miss = recalled(&desk, &weak, &strong);
            assert!(
                first(&miss).starts_with("too strong by chroma ") && miss["value"].as_f64().unwrap().abs() < 0.2,
                "{hue}: {miss}"
            );
            assert!(first(&recalled(&desk, &strong, &weak)).starts_with("too dull by chroma "), "{hue}");
            compared += 1;
        }
    }
    assert!(compared >= 10, "{compared}");
    // Neighbouring whole values of one hue and chroma.
    let [seven, eight] = [7, 8].map(|v| chips.hex("5R", v, 4).unwrap());
    let miss = recalled(&desk, &seven, &eight);
    assert!((miss["value"].as_f64().unwrap() - 1.0).abs() < 0.2, "{miss}");
    assert_eq!(first(&miss), "1.0 value too light");
    // Hues by convention warm and cool, the same value and chroma; red is also less green than blue.
    let says = |miss: &Value, words: &str| {
        miss["ways"].as_array().unwrap().iter().any(|way| way["words"].as_str().unwrap().starts_with(words))
    };
    for (warm, cool) in [("5R", "5B"), ("5YR", "5PB"), ("5Y", "5PB")] {
        let [warm, cool] = [warm, cool].map(|hue| chips.hex(hue, 5, 4).unwrap());
        assert!(says(&recalled(&desk, &cool, &warm), "too warm by"), "{warm} for {cool}");
        assert!(says(&recalled(&desk, &warm, &cool), "too cool by"), "{cool} for {warm}");
    }
    let [red, green] = ["5R", "5G"].map(|hue| chips.hex(hue, 5, 4).unwrap());
    assert!(first(&recalled(&desk, &red, &green)).starts_with("too green by"));
    assert!(first(&recalled(&desk, &green, &red)).starts_with("too red by"));
}

#[test]
fn tries_are_recorded_unless_they_are_not_to_be() {
    let desk = desk();
    let recall = ["board", "recall", "china.board.ron", "--guess", "#73524e"];
    let text = stint(&desk, &recall).success();
    assert!(text.contains("the guess #73524e: ") && text.lines().count() == 2, "{text}");
    stint(&desk, &[&recall[..], &["--no-record"]].concat()).success();
    let board = read_board(&desk.path("china.board.ron")).unwrap();
    let local = format!("{} local", board.families[0].name);
    stint(&desk, &[&recall[..], &["--swatch", &local]].concat()).success();
    let progress = json(&desk, &["board", "progress", "--json"]);
    let sittings = progress["sittings"].as_array().unwrap();
    assert_eq!((sittings.len(), sittings[0]["tries"].as_array().unwrap().len()), (1, 2), "{progress}");
    let lines = stint(&desk, &["board", "progress"]).success();
    assert!(lines.contains("2 tries, ") && lines.contains("china"), "{lines}");
    stint(&desk, &[&recall[..], &["--swatch", "roof"]].concat()).refused(&["no swatch \"roof\"", &local]);
    // A damaged record is set aside, said, and not lost.
    desk.write("data/stint/memory.ron", "(format: 1, sitt");
    let said = stint(&desk, &["board", "progress"]);
    assert!(said.code == Some(0) && said.err.contains("damaged"), "{said:?}");
    assert_eq!(std::fs::read_to_string(desk.path("data/stint/memory damaged.ron")).unwrap(), "(format: 1, sitt");
}
