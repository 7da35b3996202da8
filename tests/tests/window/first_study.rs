//! The first two minutes: from an empty home folder to an exported study, with the mouse alone and with the keyboard alone, without a
//! path being written, on X11 and on Wayland.
//!
//! Needs Xvfb, xdotool, sway and a software Vulkan driver; without them these tests fail and say what to install, unless the run goes on
//! without them.

use std::path::Path;
use std::process::Command;
use stint::ui::wording;
use stint_model::picture::read_attached;
use stint_model::study::Document;
use stint_model::study::file::StudyFile;
use stint_tests::display::{Display, NEEDS};
use stint_tests::driven::{Seat, Window, wait_for};
use stint_tests::program::{TestFolder, lacks};
use stint_tests::wayland::{WAYLAND_NEEDS, WaylandDisplay};

const SIZE: (u32, u32) = (1280, 800);
/// Accessible name of the canvas.
const CANVAS: &str = "Canvas";

/// A home folder with nothing in it but a photo among the pictures.
fn home() -> TestFolder {
    let home = TestFolder::new();
    std::fs::create_dir(home.path("Pictures")).unwrap();
    let photo = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"));
    std::fs::copy(photo, home.path("Pictures/depot.jpg")).unwrap();
    home
}

fn command(home: &TestFolder) -> Command {
    let mut command = home.command(&[] as &[&str]);
    command
        .env("HOME", home.path(""))
        .env("XDG_CONFIG_HOME", home.path("config"))
        .env("XDG_DATA_HOME", home.path("data"));
    command
}

fn document(home: &TestFolder) -> Document {
    StudyFile::open_read_only(&home.path("Pictures/depot.stint")).unwrap().document().clone()
}

/// Presses a control as soon as it shows.
fn press<D: Seat>(window: &Window<'_, D>, name: &str) {
    wait_for(name, || window.shows(name));
    window.rest();
    window.press_control(name);
}

#[test]
fn with_the_mouse_alone_on_x11() {
    if lacks(&NEEDS) {
        return;
    }
    let (home, display) = (home(), Display::start(SIZE.0, SIZE.1));
    with_the_mouse_alone(&home, display.open(command(&home)));
}

#[test]
fn with_the_mouse_alone_on_wayland() {
    if lacks(&WAYLAND_NEEDS) {
        return;
    }
    let (home, display) = (home(), WaylandDisplay::start(SIZE.0, SIZE.1));
    with_the_mouse_alone(&home, display.open(command(&home)));
}

#[test]
fn with_the_keyboard_alone_on_x11() {
    if lacks(&NEEDS) {
        return;
    }
    let (home, display) = (home(), Display::start(SIZE.0, SIZE.1));
    with_the_keyboard_alone(&home, display.open(command(&home)));
}

#[test]
fn with_the_keyboard_alone_on_wayland() {
    if lacks(&WAYLAND_NEEDS) {
        return;
    }
    let (home, display) = (home(), WaylandDisplay::start(SIZE.0, SIZE.1));
    with_the_keyboard_alone(&home, display.open(command(&home)));
}

fn with_the_mouse_alone<D: Seat>(home: &TestFolder, window: Window<'_, D>) {
    press(&window, wording::CHOOSE_A_PHOTO);
    // Pressed twice, as files are opened elsewhere.
    wait_for("the photo among the pictures", || window.shows("depot.jpg"));
    window.rest();
    window.press_twice(window.control("depot.jpg").at(0.5, 0.5));
    // It lies large, with a proposal over it.
    wait_for("the proposal", || window.shows(&wording::name_of_proposed(1)));
    press(&window, wording::LAY_THIS);
    let board = document(home).board;
    assert!(board.families.len() >= 4, "{board:?}");
    assert_eq!((document(home).width, document(home).height), (1600, 1200));
    // The brush is loaded: a mass is laid without choosing a swatch before.
    press(&window, wording::MASS);
    let canvas = window.control(CANVAS);
    let place = |x, y| canvas.at(x, y);
    window.drag(&[place(0.3, 0.3), place(0.7, 0.3), place(0.7, 0.6), place(0.3, 0.6), place(0.3, 0.3)]);
    assert_eq!(StudyFile::open_read_only(&home.path("Pictures/depot.stint")).unwrap().strokes(), 1);
    press(&window, wording::EXPORT);
    press(&window, wording::EXPORT_NOW);
    let picture = home.path("Pictures/depot.png");
    wait_for("the picture", || read_attached(&picture).is_ok());
    assert_eq!(read_attached(&picture).unwrap().board.families, board.families);
    press(&window, wording::DONE);
    // After the first study nobody is told what to do any more.
    let settings = std::fs::read_to_string(home.path("config/stint/settings.ron")).unwrap();
    assert!(settings.contains("\"first_steps\": false"), "{settings}");
    // On the start page it is a picture of its own.
    press(&window, wording::CLOSE);
    press(&window, &wording::open_recent("depot"));
    wait_for("the study", || window.shows(CANVAS));
    window.keys("ctrl+q");
    window.end().success();
}

fn with_the_keyboard_alone<D: Seat>(home: &TestFolder, window: Window<'_, D>) {
    wait_for("the start page", || window.shows(wording::CHOOSE_A_PHOTO));
    // Past keys and settings to the first thing that is offered.
    window.keys("Tab Tab Tab Return");
    wait_for("the photo among the pictures", || window.shows("depot.jpg"));
    window.rest();
    window.keys("d");
    window.keys("Return");
    wait_for("the proposal", || window.shows(&wording::name_of_proposed(1)));
    window.rest();
    window.keys("Return");
    wait_for("the canvas", || window.shows(CANVAS));
    let board = document(home).board;
    assert!(board.families.len() >= 4, "{board:?}");
    // To the field with the place of the picture; Enter there exports.
    window.keys("ctrl+e");
    wait_for("the sheet", || window.shows(wording::EXPORT_NOW));
    window.keys("Tab Return");
    let picture = home.path("Pictures/depot.png");
    wait_for("the picture", || read_attached(&picture).is_ok());
    assert_eq!(read_attached(&picture).unwrap().board.families, board.families);
    window.keys("Escape ctrl+q");
    window.end().success();
}
