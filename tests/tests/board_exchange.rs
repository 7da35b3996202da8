//! Boards on their way to other programs and back, in the hands of programs that are not ours: tinycss2 (CSS Syntax 3),
//! coloraide (CSS Color 4), jsonschema (JSON Schema 2020-12), librsvg, pngcheck, and the decoder of crate `image`.
//!
//! Standards: W3C CSS Color Module Level 4, CSS Custom Properties Level 1; Design Tokens Community Group, Format and Color modules
//! 2025.10 (from memory); SVG 1.1; PNG (Third Edition).
#![allow(clippy::unwrap_used)]

use proptest::prelude::*;
use std::collections::HashMap;
use std::path::Path;
use std::process::Command;
use stint::board_file::{read_any, write_any};
use stint::card;
use stint_model::board::check::check;
use stint_model::board::exchange::card::svg;
use stint_model::board::exchange::css::{self, from_css, to_css};
use stint_model::board::exchange::tokens::{self, from_tokens, to_tokens};
use stint_model::board::file::{board_text, write_board};
use stint_model::board::review::{Rule, Subject};
use stint_model::board::{Board, Distance, Family, LightOfDay, Role, Swatch};
use stint_model::colour::Colour;
use stint_model::ids::{FamilyId, SwatchId};
use stint_tests::numbers::Numbers;
use stint_tests::program::{Desk, data};
use stint_tests::scripts::desk_with_study;

/// OKLab distance that an exported colour may have from ours when an independent program reads it.
const OKLAB: f64 = 1e-4;

fn swatch(id: u32, role: Role, name: &str, colour: Colour) -> Swatch {
    Swatch { id: SwatchId(id), role, name: name.to_owned(), colour }
}

/// An invented board of a tram depot at blue hour, with names in several scripts and colours outside sRGB.
fn depot() -> Board {
    let hex = |text: &str| Colour::from_hex(text).unwrap();
    let family = |id, name: &str, swatches| Family { swatches, ..Family::new(FamilyId(id), name) };
    let brick = vec![
        swatch(3, Role::Light, "", hex("#8c6e69")),
        swatch(2, Role::Local, "brick in the lamp's light, seen from the gate of the depot", hex("#6b4a44")),
        swatch(1, Role::Shadow, "", hex("#4c3432")),
    ];
    let yard = vec![
        swatch(5, Role::Shadow, "", hex("#3a3a3a")),
        swatch(4, Role::Light, "puddle & \"rail\"", hex("#90a0b8")),
        swatch(9, Role::Accent, "", Colour::from_display_p3([0.9, 0.5, 0.05])),
        swatch(8, Role::Accent, "", Colour::new(1.3, 0.9, 0.5)),
    ];
    let shed = vec![swatch(7, Role::Local, "Зелень", hex("#7d8471")), swatch(6, Role::Shadow, "", hex("#000000"))];
    let mut families =
        vec![family(2, "Brick, east wall", brick), family(1, "Wet yard", yard), family(4, "電車庫 <3>", shed)];
    families[1].distance = Some(Distance::Near);
    Board {
        date: "2026-11-25".to_owned(),
        dismissed: vec![Subject { rule: Rule::NearBlack, swatches: vec![SwatchId(6)], families: vec![FamilyId(4)] }],
        families,
        ..Board::new("Depot, blue hour", LightOfDay::Cool)
    }
}

/// Many 8-bit colours, every family one.
fn wide_board(numbers: &mut Numbers) -> Board {
    let mut board = Board::new("all over sRGB", LightOfDay::Neutral);
    for f in 1..=40 {
        let mut family = Family::new(FamilyId(f), &format!("surface {f}"));
        for s in 0..16 {
            let codes = [0; 3].map(|_| numbers.below(256) as u8);
            family.swatches.push(swatch(f * 100 + s, Role::Accent, "", Colour::from_srgb8(codes)));
        }
        board.families.push(family);
    }
    board
}

/// Runs the Python programs; a missing one is a failure, never a pass.
fn outside(arguments: &[&Path]) -> Vec<(String, [f64; 6])> {
    let python = std::env::var("STINT_TEST_PYTHON").unwrap_or_else(|_| "python3".into());
    let output = Command::new(&python).arg(data("exchange/outside.py")).args(arguments).output().unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "{python} {arguments:?} (it needs tinycss2, coloraide and jsonschema; see tests/run):\n{complaint}"
    );
    let line = |line: &str| {
        let mut words: Vec<_> = line.split(' ').collect();
        let numbers: Vec<f64> = words.split_off(words.len() - 6).iter().map(|w| w.parse().unwrap()).collect();
        ((*words.last().unwrap()).to_owned(), numbers.try_into().unwrap())
    };
    String::from_utf8(output.stdout).unwrap().lines().map(line).collect()
}

fn apart(colour: Colour, numbers: &[f64; 6]) -> f64 {
    let lab = colour.oklab();
    [lab.l, lab.a, lab.b].iter().zip(&numbers[3..]).map(|(a, b)| (f64::from(*a) - b).powi(2)).sum::<f64>().sqrt()
}

fn codes(numbers: &[f64; 6]) -> [u8; 3] {
    [0, 1, 2].map(|i| (numbers[i].clamp(0.0, 1.0) * 255.0).round() as u8)
}

/// CSS Syntax by tinycss2, colours by coloraide.
#[test]
fn css_is_read_alike_by_others() {
    let desk = Desk::new();
    for board in [depot(), wide_board(&mut Numbers(7))] {
        let file = desk.write("board.css", to_css(&board));
        let found = outside(&[Path::new("css"), &file]);
        let swatches: Vec<_> = board.swatches().collect();
        // Notes are no colours to anybody.
        assert_eq!(found.len(), swatches.len());
        let names: std::collections::HashSet<_> = found.iter().map(|(name, _)| name).collect();
        assert_eq!(names.len(), found.len());
        for ((name, numbers), (family, swatch)) in found.iter().zip(swatches) {
            assert!(apart(swatch.colour, numbers) < OKLAB, "{name}: {numbers:?} {swatch:?}");
            if swatch.colour.in_srgb() {
                assert_eq!(codes(numbers), swatch.colour.to_srgb8(), "{name}");
            }
            assert!(name.starts_with("--") && name.contains(swatch.role.word()), "{name} of {}", family.name);
        }
    }
    let found = outside(&[Path::new("css"), &desk.write("board.css", to_css(&depot()))]);
    let names: Vec<_> = found.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(
        names,
        [
            "--brick-east-wall-light",
            "--brick-east-wall-local",
            "--brick-east-wall-shadow",
            "--wet-yard-shadow",
            "--wet-yard-light",
            "--wet-yard-accent",
            "--wet-yard-accent-2",
            "--電車庫-3-local",
            "--電車庫-3-shadow",
        ]
    );
}

/// The published rules as a JSON Schema, checked by jsonschema; colours by coloraide.
#[test]
fn tokens_hold_to_the_rules_and_are_read_alike_by_others() {
    let desk = Desk::new();
    let schema = data("exchange/tokens.schema.json");
    let mut awkward = depot();
    awkward.families[0].name = "$x.{y}".to_owned();
    for board in [depot(), awkward, wide_board(&mut Numbers(8))] {
        let file = desk.write("board.tokens.json", to_tokens(&board));
        let found = outside(&[Path::new("tokens"), &file, &schema]);
        assert_eq!(found.len(), board.swatches().count());
        for ((path, numbers), (_, swatch)) in found.iter().zip(board.swatches()) {
            // The format holds the lightness of a colour beyond white to white.
            if swatch.colour.oklab().l <= 1.0 {
                assert!(apart(swatch.colour, numbers) < OKLAB, "{path}: {numbers:?} {swatch:?}");
            }
            if swatch.colour.in_srgb() {
                assert_eq!(codes(numbers), swatch.colour.to_srgb8(), "{path}");
            }
        }
    }
    // The schema can refuse.
    let good = to_tokens(&depot());
    for (from, to) in [
        ("\"Wet yard\"", "\"Wet.yard\""),
        ("\"$type\": \"color\"", "\"$type\": \"colour\""),
        ("\"colorSpace\": \"oklch\"", "\"colorSpace\": \"ink\""),
        ("\"alpha\": 1", "\"alpha\": 2"),
    ] {
        let bad = desk.write("bad.json", good.replacen(from, to, 1));
        let python = std::env::var("STINT_TEST_PYTHON").unwrap_or_else(|_| "python3".into());
        let run = Command::new(python).arg(data("exchange/outside.py")).arg("tokens").args([&bad, &schema]).output();
        assert!(!run.unwrap().status.success(), "{to} passed");
    }
}

/// Every notation of CSS Color 4, by coloraide.
#[test]
fn every_notation_of_css_is_read_as_others_read_it() {
    const NOTATIONS: &[&str] = &[
        "#4c3432",
        "#4C34",
        "#a1b",
        "#4c343280",
        "rebeccapurple",
        "DarkSlateGray",
        "rgb(76 52 50)",
        "rgb(76, 52, 50)",
        "rgba(76, 52, 50, 0.5)",
        "rgb(30% 20.5% 10%)",
        "rgb(none 52 50)",
        "rgb(76.4 52.2 50.9 / 80%)",
        "hsl(210 40% 50%)",
        "hsl(0.5turn 40% 50%)",
        "hsla(210deg, 40%, 50%, 0.9)",
        "hsl(-3.5rad 20% 30%)",
        "hsl(100grad 20% 30%)",
        "hwb(210 20% 30%)",
        "hwb(none 10% 40%)",
        "lab(52.2 40.1 59.9)",
        "lab(30% -20% 40%)",
        "lch(52.2 72.2 56.2)",
        "lch(30% 40% 200deg)",
        "oklab(0.6 0.1 -0.1)",
        "oklab(60% 20% -30%)",
        "oklch(0.6 0.15 50)",
        "oklch(60% 50% none)",
        "OKLCH(0.7 0.3 140)",
        "color(srgb 0.2 0.4 0.6)",
        "color(srgb -0.1 0.4 1.2)",
        "color(srgb-linear 0.2 0.4 0.6)",
        "color(display-p3 0.9 0.5 0.05)",
        "color(display-p3 90% 50% 5%)",
        "color(a98-rgb 0.3 0.8 0.2)",
        "color(prophoto-rgb 0.3 0.8 0.2)",
        "color(rec2020 0.3 0.8 0.2)",
        "color(xyz 0.3 0.4 0.5)",
        "color(xyz-d65 0.3 0.4 0.5)",
        "color(xyz-d50 0.3 0.4 0.5)",
        "color(xyz-d50 none 0.4 0.5)",
    ];
    let desk = Desk::new();
    let theirs = outside(&[Path::new("colours"), &desk.write("notations", NOTATIONS.join("\n"))]);
    assert_eq!(theirs.len(), NOTATIONS.len());
    for (notation, (_, numbers)) in NOTATIONS.iter().zip(&theirs) {
        let board = from_css(&format!("--a-local: /* x */ {notation} /* y */ !important;"), "").unwrap();
        let colour = board.swatches().next().unwrap().1.colour;
        assert!(apart(colour, numbers) < OKLAB, "{notation}: {:?} {numbers:?}", colour.oklab());
    }
}

/// Every colour space of the Color module (from memory), by coloraide.
#[test]
fn every_colour_space_of_tokens_is_read_as_others_read_it() {
    const VALUES: &[(&str, &str)] = &[
        ("srgb", "[0.3, 0.2, 0.195]"),
        ("srgb", "[\"none\", 0.2, 1.1]"),
        ("srgb-linear", "[0.3, 0.2, -0.01]"),
        ("display-p3", "[0.9, 0.5, 0.05]"),
        ("a98-rgb", "[0.3, 0.8, 0.2]"),
        ("prophoto-rgb", "[0.3, 0.8, 0.2]"),
        ("rec2020", "[0.3, 0.8, 0.2]"),
        ("hsl", "[210, 40, 50]"),
        ("hwb", "[210, 20, 30]"),
        ("lab", "[52.2, 40.1, 59.9]"),
        ("lch", "[52.2, 72.2, \"none\"]"),
        ("oklab", "[0.6, 0.1, -0.1]"),
        ("oklch", "[0.6, 0.15, 50]"),
        ("xyz-d65", "[0.3, 0.4, 0.5]"),
        ("xyz-d50", "[0.3, \"none\", 0.5]"),
    ];
    let token = |i: usize, (space, components): &(&str, &str)| {
        format!("\"t{i:02}\": {{\"$value\": {{\"colorSpace\": \"{space}\", \"components\": {components}}}}}")
    };
    let tokens: Vec<_> = VALUES.iter().enumerate().map(|(i, value)| token(i, value)).collect();
    let text =
        format!("{{\"g\": {{\"$type\": \"color\", {}, \"old\": {{\"$value\": \"#4c3432\"}}}}}}", tokens.join(", "));
    let desk = Desk::new();
    let theirs = outside(&[Path::new("tokens"), &desk.write("spaces.json", &text)]);
    let board = from_tokens(&text, "").unwrap();
    assert_eq!((theirs.len(), board.swatches().count()), (VALUES.len() + 1, VALUES.len() + 1));
    for ((path, numbers), (family, swatch)) in theirs.iter().zip(board.swatches()) {
        assert_eq!(*path, format!("{}.{}", family.name, swatch.name));
        assert!(apart(swatch.colour, numbers) < OKLAB, "{path}: {:?} {numbers:?}", swatch.colour.oklab());
    }
}

/// A patch of an SVG card: id of the swatch, left, top, width, height.
fn patches(svg: &str) -> Vec<(u32, [u32; 4])> {
    let attribute = |tag: &str, name: &str| {
        let value = tag.split(&format!(" {name}=\"")).nth(1)?.split('"').next()?;
        value.parse::<u32>().ok()
    };
    let (mut found, mut corner) = (Vec::new(), [0, 0]);
    for tag in svg.split('<') {
        if tag.starts_with("svg id=\"family-") {
            corner = ["x", "y"].map(|name| attribute(tag, name).unwrap());
        } else if let Some(id) = tag.strip_prefix("rect id=\"swatch-").and_then(|rest| rest.split('"').next()) {
            let [x, y, width, height] = ["x", "y", "width", "height"].map(|name| attribute(tag, name).unwrap());
            found.push((id.parse().unwrap(), [corner[0] + x, corner[1] + y, width, height]));
        }
    }
    found
}

/// Every pixel of every patch, but for its corners and edges.
fn measure(picture: &image::RgbImage, svg: &str, board: &Board, scale: u32) {
    let patches = patches(svg);
    assert_eq!(patches.len(), board.swatches().count());
    for (id, [x, y, width, height]) in patches {
        let wanted = board.swatch(SwatchId(id)).unwrap().colour.to_srgb8();
        // Half of an edge lies within the patch, and the corners are round with a radius of 6.
        for v in (y + 2) * scale..(y + height - 2) * scale {
            for u in (x + 7) * scale..(x + width - 7) * scale {
                assert_eq!(picture.get_pixel(u, v).0, wanted, "swatch {id} at {u}, {v}");
            }
        }
    }
}

/// The SVG card as librsvg draws it.
#[test]
fn the_svg_card_is_drawn_with_its_colours_by_librsvg() {
    let desk = Desk::new();
    for board in [depot(), wide_board(&mut Numbers(9)), Board::new("empty", LightOfDay::Warm)] {
        let svg = svg(&board);
        desk.write("card.svg", &svg);
        let run =
            Command::new("rsvg-convert").args(["--output", "card.png", "card.svg"]).current_dir(desk.path("")).output();
        let run = run.unwrap_or_else(|e| panic!("this test needs rsvg-convert ({e}); install librsvg2-bin"));
        assert!(run.status.success() && run.stderr.is_empty(), "{run:?}");
        let picture = image::open(desk.path("card.png")).unwrap().to_rgb8();
        measure(&picture, &svg, &board, 1);
    }
}

/// The PNG card: sound to pngcheck, with its colours to crate `image`, with its board to us.
#[test]
fn the_png_card_has_its_colours_and_carries_its_board() {
    let desk = Desk::new();
    for board in [depot(), wide_board(&mut Numbers(10)), Board::new("empty", LightOfDay::Warm)] {
        let path = desk.path("card.png");
        card::write(&path, &board).unwrap();
        let picture = image::open(&path).unwrap().to_rgb8();
        let svg = svg(&board);
        measure(&picture, &svg, &board, 2);
        let checked = Command::new("pngcheck").arg(&path).output();
        let checked =
            checked.unwrap_or_else(|e| panic!("this test needs pngcheck ({e}); install the package pngcheck"));
        assert!(checked.status.success(), "{checked:?}");
        assert_eq!(read_any(&path).unwrap(), board);
        // Chrome is grey: wherever no patch is, red, green and blue are alike.
        let patches = patches(&svg);
        let within = |x: u32, y: u32| {
            patches
                .iter()
                .any(|(_, [l, t, w, h])| (l * 2..(l + w) * 2).contains(&x) && (t * 2..(t + h) * 2).contains(&y))
        };
        for (x, y, pixel) in picture.enumerate_pixels().step_by(7) {
            assert!((pixel.0[0] == pixel.0[1] && pixel.0[1] == pixel.0[2]) || within(x, y), "{x}, {y}: {pixel:?}");
        }
    }
    // There is text on it, in the typeface of the program: the title is as wide as Figtree makes it, within a tenth.
    card::write(&desk.path("card.png"), &depot()).unwrap();
    let picture = image::open(desk.path("card.png")).unwrap().to_rgb8();
    let light = |x: u32| (60..150).any(|y| picture.get_pixel(x, y).0[0] > 150);
    let (first, last) = ((0..900).find(|&x| light(x)), (0..900).rfind(|&x| light(x)));
    let width = (last.unwrap() - first.unwrap()) as f32 / 2.0;
    assert!((250.0..320.0).contains(&width), "{width}");
}

#[test]
fn the_program_writes_every_form_and_takes_every_form_back() {
    let desk = Desk::new();
    let board = depot();
    write_board(&desk.path("depot.board.ron"), &board).unwrap();
    for form in ["css", "tokens.json", "png", "board.ron"] {
        let name = format!("out.{form}");
        let said = desk.stint(["board", "export", "depot.board.ron", "-o", &name]).well();
        assert_eq!(said, format!("wrote {name} with 9 swatches\n"));
        assert_eq!(desk.stint(["board", "from", &name]).well(), board_text(&board), "{form}");
        // Told by what is in it, not by its name.
        std::fs::copy(desk.path(&name), desk.path("renamed.txt")).unwrap();
        assert_eq!(desk.stint(["board", "from", "renamed.txt"]).well(), board_text(&board), "{form}");
        desk.stint(["board", "show", &name]).well();
        // Its own kind gives way to a newer one.
        desk.stint(["board", "export", &name, "-o", &name]).well();
        assert_eq!(read_any(&desk.path(&name)).unwrap(), board);
    }
    desk.stint(["board", "export", "out.css", "-o", "card.svg"]).well();
    assert_eq!(std::fs::read_to_string(desk.path("card.svg")).unwrap(), svg(&board));
    desk.stint(["board", "export", "out.css", "-o", "card.svg"]).well();
    let said =
        desk.stint(["board", "from", "out.css", "--light", "warm", "--name", "noon", "-o", "noon.board.ron"]).well();
    assert!(said.starts_with("wrote noon.board.ron with 9 swatches"), "{said}");
    let noon = Board { name: "noon".to_owned(), light: LightOfDay::Warm, ..board };
    assert_eq!(read_any(&desk.path("noon.board.ron")).unwrap(), noon);
    // A card opens as a study on its board.
    let said = desk.stint(["open", "out.png", "--out", "new.stint", "--no-window"]).well();
    assert!(said.contains("new study new.stint on the board of out.png"), "{said}");
    assert_eq!(read_any(&desk.path("new.stint")).unwrap(), depot());
    let said = desk.stint(["readout", "out.png"]).well();
    assert!(said.starts_with("100.0 % from the board"), "{said}");
}

#[test]
fn a_study_gives_its_board() {
    let desk = desk_with_study();
    let board = read_any(&desk.path("depot.stint")).unwrap();
    assert!(board.swatches().count() > 0);
    assert_eq!(desk.stint(["board", "from", "depot.stint"]).well(), board_text(&board));
    desk.stint(["board", "export", "depot.stint", "-o", "depot.css"]).well();
    assert_eq!(read_any(&desk.path("depot.css")).unwrap(), board);
}

#[test]
fn sheets_by_hand_give_boards_and_say_what_they_lack() {
    let desk = Desk::new();
    desk.write("wall.css", ":root {\n  --brick-shadow: #4c3432;\n  --brick-light: tan;\n  --gap: 8px;\n}\n");
    let said = desk.stint(["board", "from", "wall.css", "-o", "wall.board.ron"]);
    assert_eq!(said.err, "stint: wall.css: 1 value is no fixed colour and was left out");
    assert!(said.out.starts_with("wrote wall.board.ron with 2 swatches"), "{}", said.out);
    let board = read_any(&desk.path("wall.board.ron")).unwrap();
    assert_eq!((board.name.as_str(), board.families[0].name.as_str()), ("wall", "brick"));
    // Somebody else's sheet is not written over, and arguments for photos are refused.
    desk.stint(["board", "export", "wall.board.ron", "-o", "wall.css"]).refused(&["wall.css", "exists already"]);
    desk.stint(["board", "from", "wall.css", "--families", "3"]).refused(&["wall.css", "leave out --families"]);
    desk.stint(["board", "export", "wall.board.ron", "-o", "wall.txt"]).refused(&["wall.txt", ".css"]);
    desk.write(
        "sheet.json",
        "{\"a\": {\"$type\": \"color\", \"$value\": \"#ff000080\"}, \"b\": {\"$value\": 3}, \"c\": 1}",
    );
    let said = desk.stint(["board", "from", "sheet.json"]);
    assert!(said.err.contains("2 values are no fixed colours") && said.err.contains("1 colour was partly transparent"));
}

#[test]
fn bad_files_are_refused_with_their_place() {
    let desk = Desk::new();
    let (css, tokens) = (to_css(&depot()), to_tokens(&depot()));
    desk.write("good.board.ron", board_text(&depot()));
    for (name, content, words) in [
        ("cut.css", css.as_bytes()[..css.len() / 2].to_vec(), vec!["line 2", "has no end"]),
        ("colour.css", b":root {\n\n --a: #12345;\n}".to_vec(), vec!["line 3", "--a is no colour", "#rrggbb"]),
        ("none.css", b"body { color: red }".to_vec(), vec!["holds no colours"]),
        ("empty.css", Vec::new(), vec!["holds no colours"]),
        ("latin1.css", b"--a: red;\n/* \xe9t\xe9 */".to_vec(), vec!["line 2", "not UTF-8"]),
        ("long.css", vec![b' '; 17 << 20], vec!["longer than any board"]),
        ("deep.css", ":is(".repeat(200_000).into_bytes(), vec!["holds no colours"]),
        ("newer.css", css.replace("-format: 1", "-format: 7").into_bytes(), vec!["newer Stint (format 7"]),
        ("note.css", css.replace(" var(", " far(").into_bytes(), vec!["line ", "note --board-swatch-3"]),
        (
            "cut.json",
            tokens.as_bytes()[..tokens.len() / 2].to_vec(),
            vec!["line ", "column ", "copy the whole file again"],
        ),
        (
            "type.json",
            tokens.replacen("\"oklch\"", "7", 1).into_bytes(),
            vec!["token Brick, east wall.light", "colorSpace"],
        ),
        ("list.json", b"[1, 2]".to_vec(), vec!["line 1", "begins with {"]),
        ("empty.json", Vec::new(), vec!["line 1"]),
        ("none.json", b"{\"a\": 1}".to_vec(), vec!["holds no colours"]),
        ("latin1.json", b"{\n\"\xe9\": 1}".to_vec(), vec!["line 2", "not UTF-8"]),
        ("deep.json", "{\"a\":".repeat(2_000_000).into_bytes(), vec!["line 1", "recursion limit"]),
        // 100 MB of brackets.
        ("deeper.json", "{\"a\":".repeat(20_000_000).into_bytes(), vec!["longer than any board"]),
        ("card.svg", svg(&depot()).into_bytes(), vec!["a card to look at"]),
    ] {
        desk.write(name, content);
        desk.stint(["board", "from", name, "-o", "new.board.ron"]).refused(&[vec![name], words.clone()].concat());
        desk.stint(["board", "export", name, "-o", "new.css"]).refused(&[vec![name], words].concat());
        assert!(!desk.path("new.board.ron").exists() && !desk.path("new.css").exists());
    }
    desk.stint(["board", "from", "absent.css"]).refused(&["absent.css"]);
    desk.stint(["board", "export", "good.board.ron", "-o", "absent/x.css"]).refused(&["absent", "cannot be written"]);
    desk.stint(["board", "export", "good.board.ron", "-o", "absent/x.png"]).refused(&["absent"]);
}

#[test]
fn text_cut_anywhere_is_refused_or_read_and_never_more() {
    let (css, tokens) = (to_css(&depot()), to_tokens(&depot()));
    for end in (0..css.trim_end().len()).filter(|&i| css.is_char_boundary(i)) {
        assert!(from_css(&css[..end], "x").is_err(), "{}", &css[..end]);
    }
    for end in (0..tokens.trim_end().len()).filter(|&i| tokens.is_char_boundary(i)) {
        assert!(from_tokens(&tokens[..end], "x").is_err(), "{}", &tokens[..end]);
    }
}

#[test]
fn an_unsound_board_is_not_written() {
    let desk = Desk::new();
    let mut board = depot();
    board.families[0].swatches[0].id = SwatchId(2);
    for name in ["a.css", "a.json", "a.svg", "a.png", "a.board.ron"] {
        let error = write_any(&desk.path(name), &board).unwrap_err().to_string();
        assert!(error.contains(name) && error.contains("has id 2"), "{error}");
    }
    assert!(desk.files().is_empty());
}

/// Any text without NUL, which CSS does not have, with what formats trip over well represented.
fn any_name() -> impl Strategy<Value = String> {
    const TRICKY: &[&str] = &[
        "\"",
        "'",
        "\\",
        "\n",
        "\r\n",
        "\t",
        "*/",
        "/*",
        "{",
        "}",
        "$",
        ".",
        ";",
        "board",
        "-",
        "--",
        "shadow",
        "<",
        "&",
        "]]>",
        "\u{301}",
        "क्षि",
        "\u{feff}",
        "\u{ffff}",
        "2",
    ];
    let part = prop_oneof![any::<String>(), prop::sample::select(TRICKY).prop_map(str::to_owned)];
    prop::collection::vec(part, 0..4).prop_map(|parts| parts.concat().replace('\0', ""))
}

fn any_colour() -> impl Strategy<Value = Colour> {
    let inside = (any::<u8>(), any::<u8>(), any::<u8>()).prop_map(|(r, g, b)| Colour::from_srgb8([r, g, b]));
    let near = (-0.5..2.0_f32, -0.5..2.0_f32, -0.5..2.0_f32).prop_map(|(r, g, b)| Colour::new(r, g, b));
    // Every finite f32 by its bits, zeros of both signs and denormals included.
    let part = || any::<u32>().prop_map(f32::from_bits).prop_filter("finite", |v| v.is_finite());
    let far = (part(), part(), part()).prop_map(|(r, g, b)| Colour::new(r, g, b));
    prop_oneof![2 => inside, 2 => near, 1 => far]
}

fn any_board() -> impl Strategy<Value = Board> {
    let swatch = (prop::sample::select(&Role::ALL[..]), any_name(), any_colour());
    let distance = prop::option::of(prop::sample::select(&Distance::ALL[..]));
    let family = (any_name(), distance, prop::collection::vec(swatch, 0..5));
    let light = prop::sample::select(&[LightOfDay::Warm, LightOfDay::Cool, LightOfDay::Neutral][..]);
    let texts = (any_name(), any_name(), any_name());
    let parts = (texts, light, prop::collection::vec(family, 0..4), 1..u32::MAX - 100);
    parts.prop_map(|((name, date, photo), light, families, last_id)| {
        // Ids that do not rise, so that order is not mistaken for them.
        let mut ids = (0..).map(|n: u32| last_id ^ n);
        let mut board = Board { date, photo, ..Board::new(&name, light) };
        for (name, distance, swatches) in families {
            let id = FamilyId(ids.next().unwrap().max(1));
            let swatches = swatches.into_iter().map(|(role, name, colour)| {
                let id = SwatchId(ids.next().unwrap().max(1));
                Swatch { id, role, name, colour }
            });
            board.families.push(Family {
                swatches: swatches.collect(),
                distance,
                ..Family::new(id, &format!("{name}."))
            });
        }
        board
    })
}

fn bits(board: &Board) -> Vec<[u32; 3]> {
    board.swatches().map(|(_, s)| [s.colour.r, s.colour.g, s.colour.b].map(f32::to_bits)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_board_comes_back_from_css(board in any_board().prop_filter("sound", |b| check(b).is_ok())) {
        let text = to_css(&board);
        let back = css::read(&text, "other").map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?;
        prop_assert_eq!(bits(&back.board), bits(&board), "{}", text);
        prop_assert_eq!((&back.board, back.left_out), (&board, 0), "{}", text);
    }

    #[test]
    fn any_board_comes_back_from_tokens(board in any_board().prop_filter("sound", |b| check(b).is_ok())) {
        let text = to_tokens(&board);
        let back = tokens::read(&text, "other").map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?;
        prop_assert_eq!(bits(&back.board), bits(&board), "{}", text);
        prop_assert_eq!((&back.board, back.left_out), (&board, 0), "{}", text);
    }

    /// Without our notes, as a program would leave the text that does not keep them, colours and families still come back.
    #[test]
    fn colours_come_back_from_css_without_notes(board in any_board().prop_filter("sound", |b| check(b).is_ok())) {
        let text = to_css(&board);
        let kept: Vec<_> = text.lines().filter(|line| !line.starts_with("  --board-")).collect();
        let Ok(back) = from_css(&kept.join("\n"), "other") else {
            prop_assert!(board.swatches().count() == 0);
            return Ok(());
        };
        let mut colours: HashMap<String, usize> = HashMap::new();
        for (_, swatch) in board.swatches() {
            *colours.entry(swatch.colour.hex()).or_default() += 1;
        }
        for (_, swatch) in back.swatches() {
            let known = colours.get_mut(&swatch.colour.hex());
            // A colour on the very edge of two 8-bit codes may fall to the other side.
            let near = || board.swatches().any(|(_, s)| {
                let (a, b) = (s.colour.oklab(), swatch.colour.oklab());
                let size = a.l.abs().max(a.chroma()).max(1.0);
                (a.l - b.l).abs().max((a.a - b.a).abs()).max((a.b - b.b).abs()) < 1e-4 * size
            });
            prop_assert!(known.is_some() || near(), "{:?}\n{}", swatch, text);
        }
        prop_assert_eq!(back.swatches().count(), board.swatches().count());
    }

    #[test]
    fn any_text_is_read_or_refused(text in any_name(), at in 0.0..1.0_f64) {
        // Reaching the end is what is tested: no text may panic.
        let _ = (from_css(&text, "any"), from_tokens(&text, "any"));
        for whole in [to_css(&depot()), to_tokens(&depot())] {
            let mut middle = (whole.len() as f64 * at) as usize;
            while !whole.is_char_boundary(middle) {
                middle -= 1;
            }
            let spoilt = format!("{}{text}{}", &whole[..middle], &whole[middle..]);
            let _ = (from_css(&spoilt, "any"), from_tokens(&spoilt, "any"));
        }
    }

    #[test]
    fn any_card_is_sound_xml(board in any_board().prop_filter("sound", |b| check(b).is_ok())) {
        let svg = svg(&board);
        prop_assert_eq!(patches(&svg).len(), board.swatches().count());
        prop_assert!(!svg.chars().any(|c| c.is_control() && c != '\n'));
        // Nothing but our own tags.
        let tags = svg.split('<').skip(1);
        let ours = ["svg", "/svg", "title", "/title", "desc", "/desc", "rect", "/rect", "text", "/text"];
        for tag in tags {
            let name = tag.split([' ', '>']).next().unwrap();
            prop_assert!(ours.contains(&name), "{}", tag);
        }
    }
}
