//! The flow of a board's life, by hand under a virtual display: a photo in, a board of six families proposed, reviewed and kept, a
//! block-in with it, the board turned to dusk, and the painting follows.
//!
//! Needs Xvfb, xdotool and a software Vulkan driver (see `display.rs`).

use serde_json::Value;
use std::path::Path;
use stint::ui::wording;
use stint_model::board::review::{offers, review, review_all};
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::study::Document;
use stint_model::study::file::StudyFile;
use stint_tests::display::{Display, NEEDS, Window};
use stint_tests::program::{TestFolder, lacks};

const SIZE: (u32, u32) = (1280, 800);
const STUDY: &str = "tram_depot.stint";
const CANVAS: &str = "Canvas";

fn document(desk: &TestFolder) -> Document {
    StudyFile::open_read_only(&desk.path(STUDY)).unwrap().document().clone()
}

fn board(desk: &TestFolder) -> Board {
    document(desk).board
}

fn readout(desk: &TestFolder) -> Value {
    serde_json::from_str(&desk.stint(["readout", STUDY, "--json", "--engine", "cpu"]).success()).unwrap()
}

/// Share of each swatch, in board order.
fn shares(desk: &TestFolder) -> Vec<f64> {
    readout(desk)["swatches"].as_array().unwrap().iter().map(|s| s["share"].as_f64().unwrap()).collect()
}

/// Fills a rectangle of the canvas with what is loaded; parts of the canvas area.
fn mass(window: &Window<'_>, [left, top, right, bottom]: [f64; 4]) {
    let canvas = window.control(CANVAS);
    let corners = [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)];
    window.drag(&corners.map(|(x, y)| canvas.at(x, y)));
}

/// Largest difference of 8-bit codes between a pixel and a colour in `#rrggbb`.
fn apart(pixel: [u8; 3], hex: &str) -> u8 {
    let code = |i: usize| u8::from_str_radix(&hex[1 + 2 * i..3 + 2 * i], 16).unwrap();
    (0..3).map(|i| pixel[i].abs_diff(code(i))).max().unwrap()
}

#[test]
fn from_a_photo_to_dusk() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (TestFolder::new(), Display::start(SIZE.0, SIZE.1));
    let photo = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"));
    desk.write("tram_depot.jpg", std::fs::read(photo).unwrap());
    let mut command = desk.command(["open", "tram_depot.jpg"]);
    command.env("XDG_DATA_HOME", desk.path("data"));
    let window = display.open(command);
    assert_eq!(document(&desk).reference.unwrap().name, "tram_depot.jpg");

    // A board of six families from the photo, shown before it is laid.
    window.press_control(wording::PROPOSE_BOARD);
    assert!(board(&desk).families.is_empty(), "a proposal is only looked at");
    window.press_control(wording::LAY_PROPOSAL);
    let proposed = board(&desk);
    assert_eq!(proposed.families.len(), 6);
    assert!(proposed.families.iter().all(|f| f.swatches.len() == 3), "{proposed:?}");
    assert_eq!(document(&desk).picks.len(), 18, "every swatch stays linked to the photo");
    window.press_control(&wording::edit_family(&proposed.families[0].name));
    window.press_control(wording::NAME);
    window.keys("ctrl+a");
    window.write("Sky");
    window.press_control(wording::DONE);
    assert_eq!(board(&desk).families[0].name, "Sky");

    // Reviewed: under a cool light, one offer taken after a look at it, one remark dismissed, until little is left.
    window.press_control(wording::BOARD);
    window.press_control(wording::light_title(LightOfDay::Cool));
    assert_eq!(board(&desk).light, LightOfDay::Cool);
    let remarks = review(&board(&desk));
    assert!(!remarks.is_empty(), "a board straight from a photo has something to question");
    window.press_control(&wording::remarks_tab(remarks.len()));
    let before = board(&desk);
    let offer = offers(&before, &remarks[0], &[])[0].clone();
    let words = wording::sentence_start(&offer.words);
    window.point(window.control(&words).at(0.5, 0.5));
    assert_eq!(board(&desk), before, "an offer under the pointer is only tried out");
    window.press_control(&words);
    let after = board(&desk);
    assert!(!review(&after).iter().any(|r| r.subject() == remarks[0].subject()), "the offer settles its remark");
    if let Some(remark) = review(&after).first() {
        let found = remark.text.split_once(": ").map_or(remark.text.as_str(), |(found, _)| found);
        window.press_control(&wording::dismiss_remark(&wording::sentence_start(found)));
        let dismissed = board(&desk);
        assert_eq!(review(&dismissed).len() + 1, review_all(&dismissed).len());
    }

    // Kept for other studies, and found again without a window.
    window.press_control(wording::BOARD_TAB_NAME);
    window.press_control(wording::KEEP_IN_LIBRARY);
    let listed = || {
        let mut list = desk.command(["board", "list", "--json"]);
        list.env("XDG_DATA_HOME", desk.path("data"));
        serde_json::from_slice::<Value>(&list.output().unwrap().stdout).unwrap()
    };
    let kept = listed();
    let text = kept.to_string();
    assert!(text.contains("\"tram_depot") && text.to_lowercase().contains("cool"), "{kept:#}");

    // Block-in: sky above, two other surfaces below.
    window.press_control(wording::BACK_FROM_BOARD);
    let swatches: Vec<_> = board(&desk).swatches().map(|(f, s)| (f.name.clone(), s.role, s.id)).collect();
    let name = |family: usize, role: Role| {
        let board = board(&desk);
        let swatch = board.families[family].with_role(role).unwrap();
        format!("{} {}", board.families[family].name, swatch.role.word())
    };
    for (family, role, area) in [
        (0, Role::Local, [0.1, 0.1, 0.9, 0.4]),
        (2, Role::Light, [0.1, 0.4, 0.9, 0.65]),
        (4, Role::Local, [0.1, 0.65, 0.9, 0.9]),
    ] {
        window.press_control(&name(family, role));
        window.press_control(wording::MASS);
        mass(&window, area);
    }
    let painted = shares(&desk);
    assert_eq!(painted.iter().filter(|s| **s > 0.1).count(), 3, "{painted:?}");
    let sky = window.control(CANVAS).at(0.5, 0.25);
    let local = |board: &Board| board.families[0].with_role(Role::Local).unwrap().colour.hex();
    let as_kept = board(&desk);
    assert!(apart(display.picture().pixel(sky), &local(&as_kept)) <= 1);

    // Turned to dusk: tried out on the painting, then kept as another board of the study.
    window.press_control(wording::BOARD);
    let in_sight = window.control(CANVAS).at(0.5, 0.25);
    window.point(window.control(&wording::variation("Dusk")).at(0.5, 0.5));
    assert!(apart(display.picture().pixel(in_sight), &local(&as_kept)) > 8, "the painting follows what is looked at");
    assert_eq!(board(&desk), as_kept, "and nothing is changed by looking");
    window.press_control(&wording::variation("Dusk"));
    window.press_control(wording::KEEP_AS_NEW);
    window.press_control(wording::NEW_BOARD_NAME);
    window.keys("ctrl+a");
    window.write("Depot, dusk");
    window.press_control(wording::KEEP_NEW_BOARD);
    let dusk = document(&desk);
    assert_eq!(dusk.board.name, "Depot, dusk");
    assert_eq!(dusk.boards.iter().map(|b| b.name.as_str()).collect::<Vec<_>>(), [as_kept.name.as_str()]);
    let ids: Vec<_> = dusk.board.swatches().map(|(f, s)| (f.name.clone(), s.role, s.id)).collect();
    assert_eq!(ids, swatches, "the swatches are the same, their colours are not");
    assert!(
        dusk.board.swatches().zip(as_kept.swatches()).all(|((_, a), (_, b))| a.colour.l_star() < b.colour.l_star())
    );
    window.point((640, 20));
    assert!(apart(display.picture().pixel(in_sight), &local(&dusk.board)) <= 1, "the painting follows");
    assert_eq!(shares(&desk), painted, "and is made of the same swatches in the same shares");
    assert_eq!(readout(&desk)["board_share"], 1.0);

    // Back to the first board, and undone as everything else.
    window.press_control(wording::BOARD_TAB_NAME);
    window.press_control(&wording::switch_to(&as_kept.name, false));
    assert_eq!(board(&desk), as_kept);
    window.keys("ctrl+z");
    assert_eq!(board(&desk), dusk.board);
    window.keys("ctrl+q");
    window.end().success();
}
