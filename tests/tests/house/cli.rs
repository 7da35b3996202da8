//! The command line: help for everything, JSON as promised, exit codes.

use serde_json::Value;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::Role;
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_tests::program::{TestFolder, program};
use stint_tests::scripts::{desk_with_study, play, strokes_in};

/// Words under "Commands:" of a help text.
fn subcommands(help: &str) -> Vec<String> {
    let listed = help.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    // A text that goes on in the next line stands under itself, far from where names stand.
    let words = listed.filter_map(|line| line.strip_prefix("  ")?.split(' ').next().filter(|word| !word.is_empty()));
    words.map(str::to_owned).filter(|word| word != "help").collect()
}

/// Glazes of ten swatches over one another: a ninth paint in a pixel counts under another one, and the readout says how much of the
/// paint that may concern.
#[test]
fn a_readout_says_where_shares_of_single_swatches_are_approximate() {
    let desk = TestFolder::new();
    let swatch =
        |n: usize| (format!("surface {n}"), Role::Local, format!("#{:02x}{:02x}60", 40 + 20 * n, 200 - 15 * n));
    let brush = Brush { size_px: 300.0, strength: 0.3, ..Default::default() };
    let glazes = |count: usize| {
        let mut commands = vec![Command::Brush(brush.clone())];
        for (family, role, colour) in (0..count).map(swatch) {
            let name = String::new();
            commands.push(Command::AddSwatch { family: family.clone(), role, name, colour, by_role: false });
            commands.push(Command::Load(SwatchRef::Swatch { family, role }));
            commands.push(Command::Stroke(vec![PenSample::new(20.0, 60.0, 1.0), PenSample::new(180.0, 60.0, 1.0)]));
        }
        let script = format!("{count}.ron");
        desk.script(&script, (200, 120), commands);
        let study = format!("{count}.stint");
        play(&desk, &script, &study).success();
        let json = desk.stint(["readout", &study, "--json"]).success();
        (desk.stint(["readout", &study]).success(), serde_json::from_str::<Value>(&json).unwrap())
    };
    let (text, json) = glazes(10);
    let share = json["eight_paints_share"].as_f64().unwrap();
    assert!(share > 0.5 && share <= 1.0, "{share}");
    assert!(text.contains("lies in pixels of eight paints") && text.contains("free and bare are exact"), "{text}");
    // As many as there is room for.
    let (text, json) = glazes(8);
    assert!(json["eight_paints_share"].is_null() && !text.contains("eight paints"), "{text}");
}

#[test]
fn everything_has_a_help_text() {
    let desk = TestFolder::new();
    let mut todo: Vec<Vec<String>> = vec![Vec::new()];
    let (mut seen, mut abouts) = (Vec::new(), Vec::new());
    while let Some(words) = todo.pop() {
        let mut arguments = words.clone();
        arguments.push("--help".to_owned());
        let help = desk.stint(&arguments).success();
        let about = help.lines().next().unwrap();
        assert!(!abouts.contains(&about.to_owned()), "said of two commands: {about}");
        abouts.push(about.to_owned());
        assert!(about.len() > 15 && !about.ends_with('.') && !about.starts_with("Usage"), "{words:?}: {about}");
        assert!(help.contains("Usage: stint"), "{help}");
        // An option or argument stands alone on its line only when its text follows on the next.
        let lines: Vec<_> = help.lines().collect();
        for (line, next) in lines.iter().zip(&lines[1..]) {
            let entry = line.trim_start();
            if entry.starts_with("--") || entry.starts_with("-o,") || entry.starts_with('<') {
                let beside = entry.split("  ").nth(1).is_some_and(|text| !text.trim().is_empty());
                assert!(beside || next.trim().len() > 3, "{words:?}: nothing is said of {entry}");
            }
        }
        for word in subcommands(&help) {
            todo.push([words.clone(), vec![word]].concat());
        }
        seen.push(words.join(" "));
    }
    seen.sort();
    let all = [
        "",
        "board",
        "board from",
        "board mark",
        "board review",
        "board show",
        "board turn",
        "board relight",
        "board key",
        "board reach",
        "compare",
        "demo",
        "export",
        "open",
        "play",
        "readout",
    ];
    for words in all {
        assert!(seen.iter().any(|s| s == words), "no help for \"stint {words}\" among {seen:?}");
    }
    let version = desk.stint(["--version"]).success();
    assert_eq!(version.trim(), concat!("stint ", env!("CARGO_PKG_VERSION")));
    assert!(program().is_file());
}

#[test]
fn wrong_usage_exits_with_2() {
    let desk = desk_with_study();
    for arguments in [
        &["--bad"][..],
        &["paint"],
        &["open"],
        &["play", "depot.ron"],
        &["export", "depot.stint"],
        &["export", "depot.stint", "--out", "a.png", "--depth", "12"],
        &["export", "depot.stint", "--out", "a.png", "--dpi", "0"],
        &["board", "from", "a.jpg", "--soften", "3.1"],
        &["board", "from", "a.jpg", "--soften", "NaN"],
        &["board", "from", "a.jpg", "--hue-turn", "-181"],
        &["readout", "depot.stint", "--engine", "brush"],
        &["open", "a.jpg", "--long-side", "16385"],
        &["open", "a.jpg", "--long-side", "0"],
    ] {
        let said = desk.stint(arguments);
        assert_eq!((said.code, said.out.as_str()), (Some(2), ""), "{arguments:?}: {said:?}");
        assert!(said.err.starts_with("error: ") && said.err.contains("--help"), "{said:?}");
    }
    // What can be done with a board, when that was not said.
    let said = desk.stint(["board"]);
    assert!(said.code == Some(2) && said.err.contains("Usage: stint board <COMMAND>"), "{said:?}");
    assert_eq!(desk.files(), ["depot.ron", "depot.stint"]);
}

/// A number of at least six digits after the point, or one that has no more to it.
fn digits(text: &str, field: &str, value: f64) {
    let after = text.split(&format!("\"{field}\": ")).nth(1).unwrap();
    let number: String = after.chars().take_while(|c| !",\n}".contains(*c)).collect();
    assert_eq!(number.parse::<f64>().unwrap(), value, "{field}: all digits, none lost");
    assert!(number.contains('.') || number.contains('e'), "{field}: {number}");
}

#[test]
fn the_readout_has_every_field_to_the_last_digit() {
    let desk = desk_with_study();
    let text = desk.stint(["readout", "depot.stint", "--json", "--engine", "cpu"]).success();
    let json: Value = serde_json::from_str(&text).unwrap();
    let mut session = Session::open_read_only(&desk.path("depot.stint"), EngineChoice::Cpu).unwrap();
    let readout = session.readout().unwrap();
    assert!(readout.painted_px.fract() != 0.0 && readout.bare_share > 0.01);
    assert_eq!((json["width"].as_u64(), json["height"].as_u64()), (Some(1000), Some(700)));
    for (field, value) in [
        ("painted_px", readout.painted_px),
        ("board_share", readout.board_share),
        ("free_share", readout.free_share),
        ("bare_share", readout.bare_share),
    ] {
        assert_eq!(json[field].as_f64(), Some(value), "{field}");
        digits(&text, field, value);
    }
    assert_eq!(json["families"].as_array().unwrap().len(), 1);
    assert_eq!((&json["families"][0]["name"], &json["families"][0]["share"]), (&"brick".into(), &1.0.into()));
    let swatch = &json["swatches"][0];
    for (field, value) in [("family", "brick"), ("role", "Local"), ("name", "brick local"), ("hex", "#7a5a4c")] {
        assert_eq!(swatch[field], value);
    }
    assert_eq!(swatch["share"], 1.0);
    assert_eq!(json["free_colour"]["open"], false);
    assert_eq!(json["free_colour"]["opened"].as_array().map(Vec::len), Some(0));
    // What a script paints takes no time of a painter's, and no stint was set.
    assert!(json["time"]["worked_s"] == 0 && json["time"]["stint_min"].is_null(), "{text}");

    // In words, for people: the same to a tenth of a percent.
    let words = desk.stint(["readout", "depot.stint", "--engine", "cpu"]).success();
    let bare = format!("{:5.1} % bare ground", readout.bare_share * 100.0);
    for line in ["100.0 % from the board", "  0.0 % free colour, aim: at most 10 %", &bare, "Free colour is shut"] {
        assert!(words.lines().any(|l| l == line), "\"{line}\" is missing:\n{words}");
    }
    // A look at the study says so too, and changes nothing.
    let before = std::fs::read(desk.path("depot.stint")).unwrap();
    let opened = desk.stint(["open", "depot.stint", "--engine", "cpu"]).success();
    assert!(
        opened.starts_with("depot.stint: 1000 x 700 px, board \"invented\"") && opened.ends_with(&words),
        "{opened}"
    );
    assert!(std::fs::read(desk.path("depot.stint")).unwrap() == before);
    assert_eq!(strokes_in(&desk.path("depot.stint")), 3);
}

#[test]
fn a_photo_becomes_a_study_beside_it() {
    let desk = TestFolder::new();
    desk.take("photos/coffee.jpg");
    let said = desk.stint(["open", "coffee.jpg"]).success();
    assert!(said.contains("coffee.stint") && said.contains("coffee.jpg as its reference"), "{said}");
    assert_eq!(desk.files(), ["coffee.jpg", "coffee.stint"]);
    desk.stint(["open", "coffee.jpg", "--long-side", "300", "--out", "small.stint", "--engine", "cpu"]).success();
    for (study, size) in [("coffee.stint", (1600, 1067)), ("small.stint", (300, 200))] {
        let mut session = Session::open(&desk.path(study), EngineChoice::Cpu).unwrap();
        assert_eq!((session.document().width, session.document().height), size);
        let photo = std::fs::read(desk.path("coffee.jpg")).unwrap();
        let (decoded, adjustments) = session.reference().unwrap();
        assert_eq!((decoded.width_px(), decoded.height_px()), (600, 400));
        assert_eq!((adjustments.hue_turn_degrees, adjustments.soften_px), (0.0, 0.0));
        assert!(photo.len() as u64 <= std::fs::metadata(desk.path(study)).unwrap().len(), "its bytes are inside");
    }
}

#[test]
fn a_board_from_outlined_surfaces() {
    let desk = TestFolder::new();
    desk.take("photos/coffee.jpg");
    let outlines = ["table=10,10 220,10 120,160 10,200", "cup = 240,60 420,60 420,200 240,200"];
    let line = ["board", "from", "coffee.jpg", "--outline", outlines[0], "--outline", outlines[1], "--light", "cool"];
    let text =
        desk.stint([&line[..], &["--name", "Breakfast", "--soften", "0", "--hue-turn", "-20"]].concat()).success();
    desk.write("b.board.ron", &text);
    let show: Value = serde_json::from_str(&desk.stint(["board", "show", "b.board.ron", "--json"]).success()).unwrap();
    assert_eq!((&show["name"], &show["light"]), (&"Breakfast".into(), &"Cool".into()));
    let families: Vec<_> = show["swatches"].as_array().unwrap().iter().map(|s| s["family"].as_str().unwrap()).collect();
    assert_eq!(families, ["table", "table", "table", "cup", "cup", "cup"]);
    let plain = desk.stint([&line[..], &["--name", "Breakfast", "--soften", "0"]].concat()).success();
    assert_ne!(plain, text, "the turn of hues is in the picks");
    for bad in ["table", "table=1,1 2,2 x", "=", "t=1,1 5,5"] {
        let said = desk.stint(["board", "from", "coffee.jpg", "--outline", bad]);
        assert_eq!(said.code, Some(1), "{said:?}");
        assert!(said.err.contains("outline"), "{said:?}");
    }
}
