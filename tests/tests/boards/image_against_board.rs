//! Any picture tested against a board, from the command line; and the nearest place of a convex hull against SciPy (see
//! `data/SOURCES.md`).

use image::{ExtendedColorType, ImageEncoder};
use serde_json::Value;
use std::path::Path;
use stint_model::board::Board;
use stint_model::board::file::read_board;
use stint_model::board_match::hull::{Corners, nearest};
use stint_model::colour::Colour;
use stint_model::mixing::Mixing;
use stint_tests::numbers::Numbers;
use stint_tests::program::{TestFolder, data};

fn png(path: &Path, width: u32, rgba: &[u8]) {
    let mut bytes = Vec::new();
    let height = rgba.len() as u32 / 4 / width;
    image::codecs::png::PngEncoder::new(&mut bytes).write_image(rgba, width, height, ExtendedColorType::Rgba8).unwrap();
    std::fs::write(path, bytes).unwrap();
}

/// A board proposed from a photo, as a file and as a value.
fn board(desk: &TestFolder) -> Board {
    desk.take("photos/china.jpg");
    desk.stint(["board", "from", "china.jpg", "--families", "5", "--out", "b.board.ron"]).success();
    read_board(&desk.path("b.board.ron")).unwrap()
}

/// A random mixture of some swatches of the board, in the model new studies have.
fn mixture(board: &Board, numbers: &mut Numbers) -> Colour {
    let swatches: Vec<Colour> = board.swatches().map(|(_, s)| s.colour).collect();
    let parts: Vec<(Colour, f32)> = (0..3)
        .map(|_| {
            let weight = numbers.range(0.0, 1.0);
            (swatches[numbers.below(swatches.len() as u32) as usize], weight)
        })
        .collect();
    Mixing::default().mixed(parts)
}

fn readout(desk: &TestFolder, picture: &str, more: &[&str]) -> Value {
    let words = [&["readout", picture, "--board", "b.board.ron", "--json"], more].concat();
    serde_json::from_str(&desk.stint(words).success()).unwrap()
}

#[test]
fn mixtures_count_whole_a_foreign_quarter_is_named_and_transparency_is_left_out() {
    let desk = TestFolder::new();
    let board = board(&desk);
    let mut numbers = Numbers(4);
    let (width, height) = (640_u32, 400_u32);
    let mut rgba: Vec<u8> = Vec::new();
    for _ in 0..width * height {
        // A mixture outside sRGB could not be stored.
        let colour = std::iter::repeat_with(|| mixture(&board, &mut numbers)).find(|c| c.in_srgb()).unwrap();
        let [r, g, b] = colour.to_srgb8();
        rgba.extend([r, g, b, 255]);
    }
    png(&desk.path("whole.png"), width, &rgba);
    let whole = readout(&desk, "whole.png", &[]);
    assert_eq!((&whole["share"], &whole["pixels"], &whole["within"]), (&1.0.into(), &(640 * 400).into(), &3.0.into()));
    assert_eq!((&whole["width"], &whole["height"]), (&640.into(), &400.into()));
    assert!(whole["worst"].as_array().unwrap().is_empty() && whole["mean_de"].as_f64().unwrap() < 0.3, "{whole}");

    for (i, pixel) in rgba.chunks_mut(4).enumerate() {
        let (x, y) = (i as u32 % width, i as u32 / width);
        if x < width / 2 && y >= height / 2 {
            pixel.copy_from_slice(&[20, 200, 60, 255]);
        }
    }
    png(&desk.path("quarter.png"), width, &rgba);
    let quarter = readout(&desk, "quarter.png", &["--within", "2.5"]);
    assert_eq!((&quarter["share"], &quarter["within"]), (&0.75.into(), &2.5.into()));
    let worst = quarter["worst"].as_array().unwrap();
    assert_eq!(worst.len(), 1, "{quarter}");
    let area = &worst[0];
    for (field, value) in [("x", 0), ("y", 200), ("width", 320), ("height", 200)] {
        assert_eq!(area[field], value, "{field}");
    }
    assert_eq!((&area["share_of_picture"], &area["hex"]), (&0.25.into(), &"#14c83c".into()));
    assert!(area["mean_de"].as_f64().unwrap() > 15.0, "{area}");
    let names: Vec<_> = board.families.iter().map(|f| f.name.as_str()).collect();
    let said: Vec<_> = area["families"].as_array().unwrap().iter().map(|f| f.as_str().unwrap()).collect();
    assert!(!said.is_empty() && said.iter().all(|f| names.contains(f)), "{said:?}");
    let nearest_hex = Colour::from_hex(area["nearest_hex"].as_str().unwrap()).unwrap();
    assert!(nearest_hex.oklab().chroma() < Colour::from_srgb8([20, 200, 60]).oklab().chroma());
    let words = desk.stint(["readout", "quarter.png", "--board", "b.board.ron"]).success();
    assert!(words.starts_with(" 75.0 % could be mixed from") && words.contains("too strong"), "{words}");
    assert!(words.contains("#14c83c at 0,200 (320 x 200 px)"), "{words}");

    // The foreign quarter made transparent: nothing is left to complain of.
    for (i, pixel) in rgba.chunks_mut(4).enumerate() {
        let (x, y) = (i as u32 % width, i as u32 / width);
        if x < width / 2 && y >= height / 2 {
            pixel[3] = 0;
        }
    }
    png(&desk.path("clear.png"), width, &rgba);
    let clear = readout(&desk, "clear.png", &[]);
    assert_eq!((&clear["share"], &clear["pixels"]), (&1.0.into(), &(640 * 400 * 3 / 4).into()));
}

/// The demo's study and its exported picture, by their colours, against the board they were painted from: near the share that
/// is counted from paints. They differ by the ground that shows, and by free colour that the board could have mixed.
#[test]
fn the_demo_against_its_own_board_is_near_its_exact_share() {
    let desk = TestFolder::new();
    desk.stint(["demo", "--out", "."]).success();
    let files = desk.files();
    let study = files.iter().find(|f| f.ends_with(".stint")).unwrap();
    let picture = files.iter().find(|f| f.ends_with(".png")).unwrap();
    let exact: Value = serde_json::from_str(&desk.stint(["readout", study, "--json"]).success()).unwrap();
    let (board_share, bare) = (exact["board_share"].as_f64().unwrap(), exact["bare_share"].as_f64().unwrap());
    let mut seen = Vec::new();
    for (file, board) in [(study, study), (picture, picture), (study, picture)] {
        let text = desk.stint(["readout", file, "--board", board, "--json"]).success();
        let found: Value = serde_json::from_str(&text).unwrap();
        seen.push(found["share"].as_f64().unwrap());
        assert_eq!((&found["width"], &found["height"]), (&exact["width"], &exact["height"]));
    }
    println!("counted {board_share:.4} of the paint, {bare:.4} bare; seen {seen:.4?}");
    for share in &seen {
        let free = 1.0 - board_share;
        assert!(
            *share >= (1.0 - bare) * board_share - 0.02 && *share <= 1.0 - 0.2 * free,
            "{share} {board_share} {bare}"
        );
    }
    assert!(seen.iter().all(|s| (s - seen[0]).abs() < 0.01), "{seen:?}");
}

#[test]
fn what_cannot_be_tested_says_what_to_do() {
    let desk = TestFolder::new();
    board(&desk);
    desk.stint(["readout", "china.jpg"]).refused(&["--board"]);
    desk.stint(["readout", "china.jpg", "--board", "china.jpg"]).refused(&["china.jpg", "board"]);
    desk.stint(["readout", "none.jpg", "--board", "b.board.ron"]).refused(&["none.jpg"]);
    for bad in [
        &["--within", "-1", "--board", "b.board.ron"][..],
        &["--within", "x", "--board", "b.board.ron"],
        &["--within", "2"],
    ] {
        let said = desk.stint([&["readout", "china.jpg"], bad].concat());
        assert_eq!(said.code, Some(2), "{said:?}");
    }
    png(&desk.path("clear.png"), 4, &[0; 64]);
    desk.stint(["readout", "clear.png", "--board", "b.board.ron"]).refused(&["transparent"]);
}

#[test]
fn a_board_from_a_picture_of_swatches() {
    let desk = TestFolder::new();
    let families = [["#a3b9d0", "#5c7398", "#35486b"], ["#967b7c", "#74504a", "#4c322f"]];
    let (width, height) = (300_usize, 320_usize);
    let mut rgba = [242, 242, 242, 255].repeat(width * height);
    for (f, family) in families.iter().enumerate() {
        for (i, hex) in family.iter().enumerate() {
            let [r, g, b] = Colour::from_hex(hex).unwrap().to_srgb8();
            for y in 30 + i * 95..30 + i * 95 + 70 {
                for x in 40 + f * 120..40 + f * 120 + 100 {
                    rgba[(y * width + x) * 4..][..4].copy_from_slice(&[r, g, b, 255]);
                }
            }
        }
    }
    png(&desk.path("sheet.png"), width as u32, &rgba);
    let said =
        desk.stint(["board", "from", "sheet.png", "--swatches", "--light", "cool", "--out", "b.board.ron"]).success();
    assert!(said.contains("6 swatches"), "{said}");
    let board = read_board(&desk.path("b.board.ron")).unwrap();
    let found: Vec<Vec<String>> =
        board.families.iter().map(|f| f.swatches.iter().map(|s| s.colour.hex()).collect()).collect();
    assert_eq!(found, families.map(|f| f.map(str::to_owned).to_vec()));
    assert_eq!((board.name.as_str(), board.light.word()), ("sheet", "cool"));
    // A picture of ours is read by the board it carries.
    desk.stint(["demo", "--out", "demo"]).success();
    let demo = std::fs::read_dir(desk.path("demo")).unwrap().map(|e| e.unwrap().path());
    let picture = demo.into_iter().find(|p| p.extension().is_some_and(|e| e == "png")).unwrap();
    let read = desk.stint(["board".as_ref(), "from".as_ref(), picture.as_os_str(), "--swatches".as_ref()]).success();
    assert!(read.contains("Sky") || read.contains("sky"), "{read}");
    for photo in ["china.jpg", "coffee.jpg", "rocket.jpg"] {
        desk.take(&format!("photos/{photo}"));
        desk.stint(["board", "from", photo, "--swatches"]).refused(&["photo", "--swatches"]);
    }
}

#[test]
fn the_nearest_place_of_a_hull_is_that_of_scipy() {
    let rows: Vec<_> =
        csv::Reader::from_path(data("hull_nearest.csv")).unwrap().into_records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 60);
    for row in rows {
        let point = |text: &str| -> [f64; 3] {
            let values: Vec<f64> = text.split(',').map(|v| v.parse().unwrap()).collect();
            values.try_into().unwrap()
        };
        let number = |column: usize| row[column].parse::<f64>().unwrap();
        let points: Vec<[f64; 3]> = row[1].split(' ').map(point).collect();
        let found = nearest(&points, [2, 3, 4].map(number), Corners::default()).unwrap();
        assert!((found.distance - number(5)).abs() < 4e-6, "case {}: {} {}", &row[0], found.distance, number(5));
        let apart = [6, 7, 8].map(number).iter().zip(found.place).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(apart < 1e-5, "case {}: {:?}", &row[0], found.place);
    }
}
