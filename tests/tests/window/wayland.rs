//! The window on Wayland: painting, other programs' photos dropped and pasted, words copied, text composed by an input method, rest.
//!
//! Needs sway and a software Vulkan driver; without them these tests fail and say what to install, unless the run goes on without them.

use crate::desk::{PHOTO, STUDY, command, demo_photo, desk, document, reference, strokes};
use stint::ui::wording;
use stint_tests::driven::{Window, uri_list, wait_for};
use stint_tests::program::lacks;
use stint_tests::wayland::{WAYLAND_NEEDS, WaylandDisplay};

const SIZE: (u32, u32) = (1280, 800);
const URIS: &str = "text/uri-list";
const WORDS: &str = "text/plain";

fn quit(window: Window<'_, WaylandDisplay>) {
    window.keys("ctrl+q");
    window.end().success();
}

#[test]
fn a_stroke_shows_while_it_is_painted_and_is_kept_and_taken_back() {
    if lacks(&WAYLAND_NEEDS) {
        return;
    }
    let (desk, display) = (desk(), WaylandDisplay::start(SIZE.0, SIZE.1));
    desk.study_with_brick(STUDY);
    let window = display.open(command(&desk, &["open", STUDY]));
    let on_the_way = (550, 400);
    let dry = display.picture().pixel(on_the_way);
    window.begin_drag(&[(400, 450), (700, 350), (900, 500)]);
    let wet = display.picture().pixel(on_the_way);
    assert_ne!(wet, dry, "the stroke shows while it is painted");
    assert_eq!(strokes(&desk), 0, "the pen is still down");
    window.release();
    assert_eq!(strokes(&desk), 1);
    window.keys("ctrl+z");
    assert_eq!((strokes(&desk), display.picture().pixel(on_the_way)), (0, dry));
    window.keys("ctrl+y");
    assert_eq!((strokes(&desk), display.picture().pixel(on_the_way)), (1, wet));
    // With nothing to do the program does nothing.
    window.sleep_through(100);
    quit(window);
}

#[test]
fn photos_are_dropped_and_pasted() {
    if lacks(&WAYLAND_NEEDS) {
        return;
    }
    let (desk, display) = (desk(), WaylandDisplay::start(SIZE.0, SIZE.1));
    let window = display.open(command(&desk, &[]));
    let middle = (640, 400);
    assert!(window.shows(wording::FROM_PHOTO));
    // What is no file is refused while it is dragged.
    assert!(!display.drop_on(&window, WORDS, b"a few words", middle));
    assert!(window.shows(wording::FROM_PHOTO));
    assert!(display.drop_on(&window, URIS, &uri_list(&desk.path(PHOTO)), middle));
    wait_for("the proposal", || window.shows(wording::LAY_THIS));
    window.rest();
    let study = desk.path("tram depot 夜 #1.stint");
    assert_eq!(reference(&study).as_deref(), Some(PHOTO));

    // A copied photo becomes the reference of the open study, once the window has the keyboard back.
    window.press(window.control(wording::PHOTO).at(0.5, 0.5));
    let photo = demo_photo();
    display.copy("image/jpeg", &photo);
    window.keys("ctrl+v");
    wait_for("the pasted photo", || reference(&study).as_deref() == Some("Pasted photo.jpg"));
    assert_eq!(std::fs::read(desk.path("Pasted photo.jpg")).unwrap(), photo, "not a bit of the photo is changed");
    quit(window);
}

#[test]
fn words_are_composed_copied_and_pasted() {
    if lacks(&WAYLAND_NEEDS) {
        return;
    }
    let (desk, display) = (desk(), WaylandDisplay::start(SIZE.0, SIZE.1));
    let window = display.open(command(&desk, &["open", PHOTO]));
    wait_for("the proposal", || window.shows(wording::PICK_BY_HAND));
    window.rest();
    window.press_control(wording::PICK_BY_HAND);
    let photo = window.control(wording::PHOTO);
    let corners = [(0.5, 0.22), (0.62, 0.2), (0.62, 0.42), (0.52, 0.42), (0.5, 0.24)];
    assert!(!display.composes(), "keys are keys as long as nothing is written");
    window.drag(&corners.map(|(x, y)| photo.at(x, y)));
    wait_for("the field for the name, which waits for the input method", || display.composes());
    window.press_control(wording::FAMILY);
    assert!(display.composes(), "pressed once more it still does");
    window.keys("ctrl+a");
    // Shown, but not yet decided on; then other signs in its place.
    let before = display.picture();
    display.compose(&window, "れんが");
    assert!(display.picture() != before, "what is being composed shows");
    display.commit(&window, "煉瓦");
    window.write(" 2");
    window.keys("ctrl+a ctrl+c");
    assert_eq!(display.pasted(WORDS), "煉瓦 2".as_bytes());
    display.copy(WORDS, "Brick é".as_bytes());
    window.keys("ctrl+v");
    window.write(" wall");
    window.press_control(wording::LAY_TRIO);
    let study = desk.path("tram depot 夜 #1.stint");
    let families: Vec<_> = document(&study).board.families.into_iter().map(|f| f.name).collect();
    assert_eq!(families, ["Brick é wall"]);
    assert!(!display.composes(), "keys are keys again");
    quit(window);
}
