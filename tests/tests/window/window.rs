//! The whole program under a virtual display: its window driven by pointer and keys as a painter drives it, its study read
//! back by the command line.
//!
//! Needs Xvfb, xdotool and a software Vulkan driver (see `display.rs`); without them these tests fail and say what to install,
//! unless the run goes on without them.

use serde_json::Value;
use std::path::Path;
use stint::ui::wording;
use stint_model::board::{Board, Family, Role};
use stint_model::paint::PaintKind;
use stint_model::study::Document;
use stint_model::study::file::StudyFile;
use stint_tests::display::{Display, NEEDS, Place, Window, wait_for};
use stint_tests::program::{TestFolder, lacks};

/// The window's own size, which the places below are for.
const SIZE: (u32, u32) = (1280, 800);
/// Where the controls are, pixels.
mod at {
    use super::Place;
    /// A pixel of the top bar.
    pub const BAR: Place = (5, 5);
}
/// Grey of the top bar (`theme.rs`).
const BAR: [u8; 3] = [46; 3];

const STUDY: &str = "tram_depot.stint";

fn document(desk: &TestFolder) -> Document {
    StudyFile::open_read_only(&desk.path(STUDY)).unwrap().document().clone()
}

fn strokes(desk: &TestFolder) -> u64 {
    StudyFile::open_read_only(&desk.path(STUDY)).unwrap().strokes()
}

fn board(file: &Path) -> Board {
    StudyFile::open_read_only(file).unwrap().document().board.clone()
}

/// The readout by the command line, as a program would take it.
fn readout_text(desk: &TestFolder, file: &str) -> String {
    desk.stint(["readout", file, "--json", "--engine", "cpu"]).success()
}

fn readout(desk: &TestFolder) -> Value {
    serde_json::from_str(&readout_text(desk, STUDY)).unwrap()
}

fn share(readout: &Value, family: &str, role: Role) -> f64 {
    let swatches = readout["swatches"].as_array().unwrap();
    let of = |s: &&Value| s["family"] == family && s["role"] == format!("{role:?}");
    swatches.iter().find(of).unwrap()["share"].as_f64().unwrap()
}

/// A desk with the demo's photo on it.
fn desk() -> TestFolder {
    let desk = TestFolder::new();
    let photo = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"));
    desk.write("tram_depot.jpg", std::fs::read(photo).unwrap());
    desk
}

/// A desk with a study of the demo's photo, whose board has one family of two swatches. Its window loads the first of them.
fn desk_with_a_study() -> TestFolder {
    use stint::study::command::Command;
    let desk = desk();
    let add = |role, colour: &str| Command::AddSwatch {
        family: "Brick".to_owned(),
        role,
        name: String::new(),
        colour: colour.to_owned(),
        by_role: false,
    };
    let commands = vec![add(Role::Light, "#8f7478"), add(Role::Shadow, "#4c3432")];
    desk.script("board.ron", (1600, 1200), commands);
    desk.stint(["play", "board.ron", "--out", STUDY, "--engine", "cpu"]).success();
    desk
}

fn open<'a>(display: &'a Display, desk: &TestFolder, file: &str) -> Window<'a> {
    display.open(desk.command(["open", file]))
}

/// Outlines a surface on the photo, types the name of its family at once, lays light, local and shadow on the board.
fn lay_family(window: &Window<'_>, name: &str, corners: &[(f64, f64)]) {
    let photo = window.control(wording::PHOTO);
    window.drag(&corners.iter().map(|&(x, y)| photo.at(x, y)).collect::<Vec<_>>());
    window.write(name);
    window.press_control(wording::LAY_TRIO);
}

/// The key that goes from a swatch to another one of its family.
fn key_from_first(family: &Family) -> &'static str {
    let value = |i: usize| family.swatches[i].colour.l_star();
    let first_is_darkest = (1..family.swatches.len()).all(|i| value(i) > value(0));
    if first_is_darkest { "Up" } else { "Down" }
}

#[test]
fn the_main_job_by_hand() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (desk(), Display::start(SIZE.0, SIZE.1));
    let sees = |place: Place, grey: [u8; 3]| display.picture().pixel(place) == grey;
    let sheet = || !sees(at::BAR, BAR);
    let window = open(&display, &desk, "tram_depot.jpg");
    let notice = || window.shows(wording::DISMISS);
    assert!(sees(at::BAR, BAR), "a study is open, without a sheet over it");
    window.press_control(wording::PICK_BY_HAND);
    assert!(!window.shows(wording::PICK_BY_HAND));
    let made = document(&desk);
    assert_eq!((made.reference.as_ref().unwrap().name.as_str(), made.board.families.len()), ("tram_depot.jpg", 0));
    assert_eq!(made.width * 3, made.height * 4, "the canvas has the sides of the photo");

    // The board: two surfaces of the photo.
    lay_family(&window, "Brick", &[(0.5, 0.22), (0.62, 0.2), (0.62, 0.42), (0.52, 0.42), (0.5, 0.24)]);
    lay_family(&window, "Wet yard", &[(0.2, 0.8), (0.6, 0.78), (0.6, 0.95), (0.2, 0.95), (0.2, 0.82)]);
    let families = document(&desk).board.families;
    let names: Vec<_> = families.iter().map(|f| (f.name.as_str(), f.swatches.len())).collect();
    assert_eq!(names, [("Brick", 3), ("Wet yard", 3)]);
    let [first, second] = [0, 1].map(|i| (families[i].name.as_str(), families[i].swatches[0].role));

    // The canvas again, in the place of the photo that was picked from.
    if window.shows(wording::SHOW_SMALL) {
        window.press_control(wording::SHOW_SMALL);
    }

    // Block-in: a mass drawn freely with the first swatch, and one corner by corner with that of the other family.
    window.keys("Up s");
    window.drag(&[(400, 150), (700, 150), (700, 400), (400, 400), (400, 152)]);
    assert_eq!(strokes(&desk), 1);
    let read = readout(&desk);
    assert!((share(&read, first.0, first.1) - 1.0).abs() < 1e-9, "{read}");
    // The canvas of four to three fills its area but for 24 points at each side.
    let [_, top, _, bottom] = window.control("Canvas").edges;
    let scale = f64::from(made.height) / (f64::from(bottom - top) - 48.0);
    let expected = 300.0 * 250.0 * scale * scale;
    let painted = read["painted_px"].as_f64().unwrap();
    assert!((painted / expected - 1.0).abs() < 0.02, "{painted} of {expected} px");
    window.keys("Right");
    for corner in [(400, 420), (700, 420), (700, 560), (400, 560)] {
        window.press(corner);
    }
    assert_eq!(strokes(&desk), 1, "corners alone are no mass");
    window.keys("Return");
    assert_eq!(strokes(&desk), 2);
    let read = readout(&desk);
    assert!((share(&read, second.0, second.1) - 140.0 / 390.0).abs() < 0.01, "{read}");

    // Brush, with another swatch of each family.
    window.keys(&format!("a {}", key_from_first(&families[1])));
    window.drag(&[(340, 110), (650, 100), (960, 120)]);
    window.keys(&format!("Left {0} {0} {0}", key_from_first(&families[0])));
    window.drag(&[(740, 180), (960, 240), (760, 380)]);
    assert_eq!(strokes(&desk), 4);
    let read = readout(&desk);
    assert_eq!((&read["board_share"], &read["free_share"]), (&1.0.into(), &0.0.into()));
    let used = |name: &str| {
        let swatches = read["swatches"].as_array().unwrap().iter();
        swatches.filter(|s| s["family"] == name && s["share"].as_f64().unwrap() > 0.002).count()
    };
    assert_eq!((used("Brick"), used("Wet yard")), (2, 2), "{read}");

    // Back and on.
    let before = readout_text(&desk, STUDY);
    window.keys("ctrl+z ctrl+z");
    assert_eq!(strokes(&desk), 2);
    assert_eq!(readout(&desk)["swatches"].as_array().unwrap().iter().filter(|s| s["share"] != 0.0).count(), 2);
    window.keys("ctrl+y ctrl+y");
    assert_eq!(readout_text(&desk, STUDY), before);

    // Free colour is shut; its sheet can be left.
    window.keys("ctrl+l");
    assert!(sheet());
    window.keys("Escape");
    assert!(!sheet());
    assert!(!document(&desk).free_open);
    // So can a menu.
    window.press_control(&wording::study_menu("tram_depot"));
    assert!(window.shows(wording::RENAME_STUDY));
    window.keys("Escape");
    assert!(!window.shows(wording::RENAME_STUDY));
    // It is opened on purpose, and that is noted with the shares.
    window.press_control(wording::OPEN_LID_NAME);
    assert!(sheet() && !document(&desk).free_open, "the lid asks first");
    window.press_control(wording::OPEN_FREE);
    assert!(!sheet() && document(&desk).free_open);
    let opened = readout(&desk)["free_colour"]["opened"][0].clone();
    assert_eq!((&opened["after_strokes"], &opened["board_share"]), (&4.into(), &1.0.into()));
    window.press_control(wording::FREE_HEX);
    window.keys("ctrl+a");
    window.write("#c2387a");
    window.keys("Return");
    window.drag(&[(760, 450), (850, 495), (940, 540)]);
    assert_eq!(strokes(&desk), 5);
    let after = document(&desk);
    let free: Vec<_> = after.paints.iter().filter(|p| p.kind == PaintKind::Free).map(|p| p.colour.hex()).collect();
    assert_eq!(free, ["#c2387a"]);
    let read = readout(&desk);
    let free_share = read["free_share"].as_f64().unwrap();
    assert!(free_share > 0.001 && free_share < 0.2, "{read}");
    assert!((read["board_share"].as_f64().unwrap() + free_share - 1.0).abs() < 1e-9);

    // Shut again: the brush holds the last swatch again, and the free colour cannot be had back from the canvas.
    window.press_control(wording::SHUT_AGAIN);
    assert!(!document(&desk).free_open && !notice());
    window.drag(&[(420, 200), (600, 200)]);
    assert!(!notice());
    assert_eq!(strokes(&desk), 6);
    let less_free = readout(&desk)["free_share"].as_f64().unwrap();
    assert!(less_free <= free_share + 1e-9, "what was laid is paint of the board");
    let free_share = less_free;
    window.point((850, 495));
    window.keys("e");
    assert!(notice(), "free colour is shut");
    window.press_control(wording::DISMISS);
    assert!(!notice());
    // Paint of the board can be had back from the canvas.
    window.point((550, 280));
    window.keys("e");
    window.drag(&[(340, 540), (380, 440)]);
    assert!(!notice());
    assert_eq!(strokes(&desk), 7);
    let read = readout(&desk);
    assert!(share(&read, first.0, first.1) > share(&serde_json::from_str(&before).unwrap(), first.0, first.1) * 0.9);
    assert!(read["free_share"].as_f64().unwrap() < free_share, "more paint of the board, no more free paint");

    // Export, beside the study and under its name.
    let text = readout_text(&desk, STUDY);
    window.press_control(wording::EXPORT);
    assert!(sheet());
    window.press_control(wording::EXPORT_NOW);
    wait_for("the picture", || desk.stint(["readout", "tram_depot.png"]).code == Some(0));
    window.rest();
    window.press_control(wording::DONE);
    assert!(!sheet());
    window.keys("ctrl+q");
    let said = window.end().success();
    assert!(said.contains("new study tram_depot.stint with tram_depot.jpg as its reference"), "{said}");
    assert_eq!(desk.files(), ["tram_depot.jpg", "tram_depot.png", "tram_depot.stint"], "nothing else is left");

    // What was exported is what was painted, board and shares.
    assert_eq!(readout_text(&desk, STUDY), text);
    assert_eq!(readout_text(&desk, "tram_depot.png"), text);
    let said = desk.stint(["open", "tram_depot.png", "--no-window", "--out", "again.stint"]).success();
    assert!(said.contains("on the board of tram_depot.png"), "{said}");
    assert_eq!(board(&desk.path("again.stint")), board(&desk.path(STUDY)));
}

#[test]
fn a_second_window_on_the_same_study_is_refused() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (desk_with_a_study(), Display::start(SIZE.0, SIZE.1));
    let first = open(&display, &desk, STUDY);
    first.drag(&[(400, 150), (700, 300)]);
    assert_eq!(strokes(&desk), 1);
    let second = open(&display, &desk, STUDY);
    assert!(second.controls().iter().any(|c| c.name.contains("already open in another window")), "a notice says why");
    assert!(!second.shows("Canvas"), "and the study is not open");
    second.drag(&[(400, 300), (700, 150)]);
    assert_eq!(strokes(&desk), 1);
    second.keys("ctrl+q");
    second.end().success();
    // The first goes on as if nothing had happened.
    first.focus();
    first.drag(&[(400, 300), (700, 150)]);
    assert_eq!(strokes(&desk), 2);
    first.keys("ctrl+q");
    first.end().success();
}

#[test]
fn an_idle_window_sleeps_and_a_window_of_any_size_lives() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (desk_with_a_study(), Display::start(SIZE.0, SIZE.1));
    let window = open(&display, &desk, STUDY);
    window.drag(&[(400, 150), (700, 300)]);
    window.point((500, 400));
    let before = display.picture();
    window.sleep_through(100);
    for (width, height) in [(80, 60), (1, 1), (700, 2), (SIZE.0, SIZE.1)] {
        window.resize(width, height);
    }
    // The canvas lies as it lay before once it is fitted anew, and the pointer is on it.
    window.keys("Home");
    window.point((501, 400));
    window.point((500, 400));
    assert!(display.picture() == before, "the window looks as before");
    window.drag(&[(400, 300), (700, 150)]);
    assert_eq!(strokes(&desk), 2);
    window.keys("ctrl+q");
    window.end().success();
}

#[test]
fn a_kill_in_the_middle_of_a_stroke_loses_that_stroke_alone() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (desk_with_a_study(), Display::start(SIZE.0, SIZE.1));
    let window = open(&display, &desk, STUDY);
    window.drag(&[(400, 150), (700, 300)]);
    let (kept, before) = (readout_text(&desk, STUDY), display.picture());
    window.begin_drag(&[(400, 500), (700, 400), (900, 500)]);
    let wet = display.picture();
    assert_ne!(wet.pixel((600, 433)), before.pixel((600, 433)), "the stroke shows while it is painted");
    window.kill();
    assert_eq!(readout_text(&desk, STUDY), kept);
    // The button is still down for the display; a window that opens under it must not mind.
    let window = open(&display, &desk, STUDY);
    window.release();
    window.drag(&[(400, 500), (700, 400)]);
    assert_eq!(strokes(&desk), 2);
    window.keys("ctrl+q");
    window.end().success();
    assert_eq!(document(&desk).board.families.len(), 1);
}

/// Frames are counted here, not timed: how many were drawn that no event asked for.
#[test]
fn a_window_at_rest_draws_nothing_and_a_pointer_at_rest_next_to_nothing() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (desk_with_a_study(), Display::start(SIZE.0, SIZE.1));
    let frames = desk.path("frames.csv");
    let mut command = desk.command(["open", STUDY]);
    command.env(stint::host::window::FRAME_TIMES_VARIABLE, &frames);
    let window = display.open(command);
    let swatch = window.controls().into_iter().find(|c| c.name.contains("Brick") && c.name.contains("shadow")).unwrap();
    window.rest();
    let now_ms = || std::time::UNIX_EPOCH.elapsed().unwrap().as_secs_f64() * 1000.0;
    let at_rest = now_ms();
    window.sleep_through(100);
    let hovered = now_ms();
    window.point(swatch.at(0.5, 0.5));
    // Its tooltip waits, comes, and stays.
    std::thread::sleep(std::time::Duration::from_secs(3));
    let left = now_ms();
    window.keys("ctrl+q");
    window.end().success();
    let text = std::fs::read_to_string(&frames).unwrap();
    let rows = text.lines().skip(1).map(|row| row.split(',').collect::<Vec<_>>());
    let unasked: Vec<f64> = rows.filter(|row| row[1].is_empty()).map(|row| row[0].parse().unwrap()).collect();
    let between = |from: f64, to: f64| unasked.iter().filter(|&&at| at > from && at < to).count();
    assert_eq!(between(at_rest, hovered), 0, "a window at rest draws nothing");
    let shown = between(hovered, left);
    assert!((1..=12).contains(&shown), "{shown} frames for one tooltip");
}
