//! The window among other programs: photos dragged onto it and pasted into it, the keyboard taken from it, its cross pressed,
//! its size changed under the painter's hand.
//!
//! Needs Xvfb, xdotool, xclip and a software Vulkan driver; without them these tests fail and say what to install,
//! unless the run goes on without them.

use crate::desk::{PHOTO, STUDY, command, demo_photo, desk, reference, strokes};
use crate::x11_support::{Clipboard, Dropped, OtherProgram, read, uri_list};
use std::io::Cursor;
use std::path::PathBuf;
use stint::ui::wording;
use stint_tests::display::{Control, Display, NEEDS, Window, wait_for};
use stint_tests::program::{TestFolder, lacks};

const SIZE: (u32, u32) = (1280, 800);
/// Accessible name of the canvas.
const CANVAS: &str = "Canvas";

/// The same, with a study that has paint to load.
fn desk_with_a_study() -> TestFolder {
    let desk = desk();
    desk.study_with_brick(STUDY);
    desk
}

fn studies(desk: &TestFolder) -> Vec<String> {
    desk.files().into_iter().filter(|f| f.ends_with(".stint")).collect()
}

fn quit(window: Window<'_>) {
    window.keys("ctrl+q");
    window.end().success();
}

/// Pixels of a pattern that no compression makes small, as a PNG.
fn large_png() -> Vec<u8> {
    let pixel = |x: u32, y: u32| {
        let n = (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(40_503)).wrapping_mul(2_246_822_519);
        image::Rgb([(n >> 8) as u8, (n >> 16) as u8, (n >> 24) as u8])
    };
    let mut png = Cursor::new(Vec::new());
    image::RgbImage::from_fn(1200, 900, pixel).write_to(&mut png, image::ImageFormat::Png).unwrap();
    png.into_inner()
}

#[test]
fn a_photo_dropped_on_the_start_page_starts_a_study_and_one_dropped_on_a_study_is_its_reference() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (desk(), Display::start(SIZE.0, SIZE.1));
    let other = OtherProgram::start(&display);
    let window = display.open(command(&desk, &[]));
    assert!(window.shows(wording::FROM_PHOTO));
    let drop = |file: &str| other.drop(&window, "text/uri-list", &uri_list(&desk.path(file)), (640, 400));
    // What is only dragged over the window changes nothing.
    other.drag_past(&window, "text/uri-list", &uri_list(&desk.path(PHOTO)), (640, 400));
    assert!(window.shows(wording::FROM_PHOTO));
    assert_eq!(drop(PHOTO), Dropped::Taken);
    assert!(!window.shows(wording::FROM_PHOTO) && window.shows(wording::LAY_THIS));
    let study = desk.path("tram depot 夜 #1.stint");
    assert_eq!(reference(&study).as_deref(), Some(PHOTO));

    desk.write("brick yard.jpg", demo_photo());
    assert_eq!(drop("brick yard.jpg"), Dropped::Taken);
    assert_eq!(reference(&study).as_deref(), Some("brick yard.jpg"));
    // Of several files the first is taken, and the others are named.
    let several = [PHOTO, "brick yard.jpg"].map(|file| uri_list(&desk.path(file))).concat();
    assert_eq!(other.drop(&window, "text/uri-list", &several, (640, 400)), Dropped::Taken);
    let left = |c: &Control| c.name.ends_with("these were left: brick yard.jpg");
    wait_for("a notice that names the file that was left", || window.controls().iter().any(left));
    assert_eq!(reference(&study).as_deref(), Some(PHOTO));
    window.press_control(wording::DISMISS);
    assert_eq!(drop("brick yard.jpg"), Dropped::Taken);
    assert_eq!(reference(&study).as_deref(), Some("brick yard.jpg"));
    assert_eq!(studies(&desk).len(), 1);

    // What is no file is refused while it is dragged; a file that is no photo is told.
    assert_eq!(other.drop(&window, "text/plain", b"a few words", (640, 400)), Dropped::Refused);
    assert!(!window.shows(wording::DISMISS));
    desk.write("notes.txt", "a few words");
    assert_eq!(drop("notes.txt"), Dropped::Taken);
    wait_for("a notice that says why", || window.shows(wording::DISMISS));
    assert_eq!(reference(&study).as_deref(), Some("brick yard.jpg"));
    // The window goes on.
    assert_eq!(drop(PHOTO), Dropped::Taken);
    assert_eq!(reference(&study).as_deref(), Some(PHOTO));
    quit(window);
}

#[test]
fn a_copied_photo_starts_a_study_and_a_copied_path_opens_what_it_names() {
    if lacks(&[&NEEDS[..], &["xclip"]].concat()) {
        return;
    }
    let (desk, display) = (desk(), Display::start(SIZE.0, SIZE.1));
    let window = display.open(command(&desk, &[]));
    let paste = |kind: &str, what: &[u8]| {
        let held = Clipboard::hold(&display, &window, kind, what);
        window.keys("ctrl+v");
        held
    };
    let photo = demo_photo();
    let held = paste("image/jpeg", &photo);
    let made = desk.path("Pasted photo.stint");
    wait_for("a study of the pasted photo", || made.is_file() && reference(&made).is_some());
    drop(held);
    assert_eq!(reference(&made).as_deref(), Some("Pasted photo.jpg"));
    assert_eq!(std::fs::read(desk.path("Pasted photo.jpg")).unwrap(), photo, "not a bit of the photo is changed");

    // A larger one, which goes over in parts (ICCCM 2.7.2), becomes the reference of the open study.
    let png = large_png();
    assert!(png.len() > 3_000_000);
    let held = paste("image/png", &png);
    wait_for("the second photo", || reference(&made).as_deref() == Some("Pasted photo.png"));
    drop(held);
    assert_eq!(std::fs::read(desk.path("Pasted photo.png")).unwrap(), png);

    for (kind, words) in [
        ("UTF8_STRING", desk.path(PHOTO).display().to_string().into_bytes()),
        ("text/uri-list", uri_list(&desk.path("Pasted photo.jpg"))),
        (
            "UTF8_STRING",
            [b"file://", desk.path("Pasted photo.png").to_str().unwrap().replace(' ', "%20").as_bytes()].concat(),
        ),
    ] {
        let before = reference(&made);
        let held = paste(kind, &words);
        wait_for(format!("{}", String::from_utf8_lossy(&words)), || reference(&made) != before);
        drop(held);
    }
    assert_eq!(reference(&made).as_deref(), Some("Pasted photo.png"));

    // Words that name nothing are for a field, not for the canvas.
    let before = display.picture();
    let held = paste("UTF8_STRING", b"a few words");
    window.rest();
    assert!(display.picture() == before);
    drop(held);
    assert_eq!(studies(&desk), ["Pasted photo.stint"]);
    quit(window);
}

#[test]
fn words_are_pasted_into_a_field_and_copied_out_of_it() {
    if lacks(&[&NEEDS[..], &["xclip"]].concat()) {
        return;
    }
    let (desk, display) = (desk(), Display::start(SIZE.0, SIZE.1));
    let window = display.open(command(&desk, &[]));
    window.press_control(wording::CHOOSE_A_PHOTO);
    window.press_control(wording::FILE_NAME);
    let held = Clipboard::hold(&display, &window, "UTF8_STRING", "Wet yard 夜".as_bytes());
    window.keys("ctrl+v");
    window.write(" 2");
    drop(held);
    window.keys("ctrl+a ctrl+c");
    assert_eq!(read(&display, "UTF8_STRING").unwrap(), "Wet yard 夜 2".as_bytes());
    window.keys("Escape Escape");
    quit(window);
}

/// A study is open and a stroke is under way when `meanwhile` happens.
fn during_a_stroke(meanwhile: impl FnOnce(&Display, &Window<'_>)) -> (TestFolder, Display) {
    let (desk, display) = (desk_with_a_study(), Display::start(SIZE.0, SIZE.1));
    let window = display.open(command(&desk, &["open", STUDY]));
    let dry = display.picture();
    window.begin_drag(&[(400, 450), (700, 350)]);
    assert_eq!(strokes(&desk), 0, "the pen is still down");
    assert_ne!(display.picture().pixel((550, 400)), dry.pixel((550, 400)), "the stroke shows while it is painted");
    meanwhile(&display, &window);
    window.release();
    assert_eq!(strokes(&desk), 1, "what was painted is kept, once");
    window.drag(&[(400, 200), (700, 250)]);
    assert_eq!(strokes(&desk), 2, "the next stroke is as ever");
    quit(window);
    (desk, display)
}

/// What a study looks like, as its own program exports it.
fn exported(desk: &TestFolder) -> Vec<u8> {
    desk.stint(["export", STUDY, "-o", "out.png", "--replace"]).success();
    image::open(desk.path("out.png")).unwrap().into_rgb8().into_raw()
}

/// Whether two pictures show the same strokes: a mouse's stroke is as wide as its speed makes it, which no two runs have in common
/// to the pixel.
fn alike(one: &[u8], two: &[u8]) -> bool {
    let other = one.iter().zip(two).filter(|(a, b)| a.abs_diff(**b) > 8).count();
    one.len() == two.len() && other * 200 < one.len()
}

#[test]
fn a_stroke_is_kept_when_another_program_takes_the_keyboard() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, _) = during_a_stroke(|display, window| {
        OtherProgram::start(display).take_keyboard();
        window.rest();
        window.focus();
        // The pen is lifted for the program: moving on paints nothing.
        window.point((900, 500));
    });
    let (plain, _) = during_a_stroke(|_, _| {});
    assert!(alike(&exported(&desk), &exported(&plain)));
}

#[test]
fn a_window_made_tiny_and_large_again_during_a_stroke_loses_nothing_of_it() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, _) = during_a_stroke(|display, window| {
        let before = display.picture();
        for (width, height) in [(60, 40), (1, 1), SIZE] {
            window.resize(width, height);
        }
        // But for the ring of the brush, which shows where the pointer was seen last.
        let near = |i: usize| {
            let (x, y) = ((i / 3) % SIZE.0 as usize, i / 3 / SIZE.0 as usize);
            x.abs_diff(700) < 20 && y.abs_diff(350) < 20
        };
        let now = display.picture().rgb;
        let other = now.iter().zip(&before.rgb).enumerate().filter(|&(i, (a, b))| a != b && !near(i)).count();
        assert_eq!(other, 0, "the window looks as before, wet stroke and all");
    });
    let (plain, _) = during_a_stroke(|_, _| {});
    assert!(alike(&exported(&desk), &exported(&plain)));
}

#[test]
fn the_cross_of_the_window_ends_the_program_and_keeps_a_stroke_under_way() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (desk_with_a_study(), Display::start(SIZE.0, SIZE.1));
    let window = display.open(command(&desk, &["open", STUDY]));
    window.begin_drag(&[(400, 450), (700, 350)]);
    let other = OtherProgram::start(&display);
    other.ask_to_close(&window);
    window.end().success();
    assert_eq!(strokes(&desk), 1);
    let left: Vec<PathBuf> =
        desk.files().iter().map(PathBuf::from).filter(|f| f.to_string_lossy().contains("-wal")).collect();
    assert!(left.is_empty(), "{left:?}");
    // Nobody holds the study any more.
    let window = display.open(command(&desk, &["open", STUDY]));
    assert!(window.shows(CANVAS) && !window.shows(wording::DISMISS));
    window.release();
    window.drag(&[(400, 200), (700, 250)]);
    assert_eq!(strokes(&desk), 2);
    other.ask_to_close(&window);
    window.end().success();
}
