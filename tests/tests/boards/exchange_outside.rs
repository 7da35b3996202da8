//! Boards in the hands of programs that are not ours: tinycss2 (CSS Syntax 3), coloraide (CSS Color 4), jsonschema (JSON Schema
//! 2020-12), librsvg, pngcheck, and the decoder of crate `image`. Where they come from: `tests/data/SOURCES.md`.
//!
//! Standards: W3C CSS Color Module Level 4, CSS Custom Properties Level 1; Design Tokens Community Group, Format and Color modules
//! 2025.10 (from memory); SVG 1.1; PNG (Third Edition).

use crate::exchange_support::{depot, patches, swatch};
use std::path::Path;
use std::process::Command;
use stint::files::board_file::read_any;
use stint::files::card;
use stint_model::board::exchange::card::svg;
use stint_model::board::exchange::css::{from_css, to_css};
use stint_model::board::exchange::tokens::{from_tokens, to_tokens};
use stint_model::board::{Board, Family, LightOfDay, Role};
use stint_model::colour::Colour;
use stint_model::disk::Replace;
use stint_model::ids::{FamilyId, SwatchId};
use stint_tests::numbers::Numbers;
use stint_tests::program::{TestFolder, data, lacks};

/// OKLab distance that an exported colour may have from ours when an independent program reads it.
const OKLAB: f64 = 1e-4;

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
    if lacks(&["python-packages"]) {
        return;
    }
    let desk = TestFolder::new();
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
    if lacks(&["python-packages"]) {
        return;
    }
    let desk = TestFolder::new();
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
    if lacks(&["python-packages"]) {
        return;
    }
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
    let desk = TestFolder::new();
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
    if lacks(&["python-packages"]) {
        return;
    }
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
    let desk = TestFolder::new();
    let theirs = outside(&[Path::new("tokens"), &desk.write("spaces.json", &text)]);
    let board = from_tokens(&text, "").unwrap();
    assert_eq!((theirs.len(), board.swatches().count()), (VALUES.len() + 1, VALUES.len() + 1));
    for ((path, numbers), (family, swatch)) in theirs.iter().zip(board.swatches()) {
        assert_eq!(*path, format!("{}.{}", family.name, swatch.name));
        assert!(apart(swatch.colour, numbers) < OKLAB, "{path}: {:?} {numbers:?}", swatch.colour.oklab());
    }
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
    if lacks(&["rsvg-convert"]) {
        return;
    }
    let desk = TestFolder::new();
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
    if lacks(&["pngcheck"]) {
        return;
    }
    let desk = TestFolder::new();
    for board in [depot(), wide_board(&mut Numbers(10)), Board::new("empty", LightOfDay::Warm)] {
        let path = desk.path("card.png");
        card::write(&path, &board, Replace::Asked).unwrap();
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
    card::write(&desk.path("card.png"), &depot(), Replace::Asked).unwrap();
    let picture = image::open(desk.path("card.png")).unwrap().to_rgb8();
    let light = |x: u32| (60..150).any(|y| picture.get_pixel(x, y).0[0] > 150);
    let (first, last) = ((0..900).find(|&x| light(x)), (0..900).rfind(|&x| light(x)));
    let width = (last.unwrap() - first.unwrap()) as f32 / 2.0;
    assert!((250.0..320.0).contains(&width), "{width}");
}
