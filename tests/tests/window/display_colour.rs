//! The window in the colours of the display: its profile is found where X11 keeps it, followed, and used, or not, as the painter says.
//! What is on the screen is held against littleCMS (Pillow's ImageCms), pixel by pixel.
//!
//! Needs Xvfb, xdotool, a software Vulkan driver and a Python with Pillow; without them this test fails and says what to install, unless
//! the run goes on without them.

use std::path::Path;
use std::process::Command;
use stint::ui::wording;
use stint_tests::display::{Display, NEEDS, Picture, Place, Window, wait_for};
use stint_tests::program::{TestFolder, lacks};
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt as _, PropMode};
use x11rb::wrapper::ConnectionExt as _;

/// Writes the profile of a display with primaries like those of Adobe RGB (1998) and a plain power, 563/256, as curve: ICC.1:2001-04, with
/// the colorants of that space under D50 (from memory).
const MAKE_PROFILE: &str = r#"
import struct, sys
fixed = lambda *values: b"".join(struct.pack(">i", round(v * 65536)) for v in values)
xyz = lambda *values: b"XYZ \0\0\0\0" + fixed(*values)
name = b"A wide display\0"
curve = b"curv\0\0\0\0" + struct.pack(">IHH", 1, 563, 0)
tags = [
    (b"desc", b"desc\0\0\0\0" + struct.pack(">I", len(name)) + name + bytes(78)),
    (b"cprt", b"text\0\0\0\0none\0"),
    (b"wtpt", xyz(0.9642, 1.0, 0.8249)),
    (b"rXYZ", xyz(0.60974, 0.31111, 0.01947)),
    (b"gXYZ", xyz(0.20528, 0.62567, 0.06087)),
    (b"bXYZ", xyz(0.14919, 0.06322, 0.74457)),
    (b"rTRC", curve), (b"gTRC", curve), (b"bTRC", curve),
]
at, table, body = 128 + 4 + 12 * len(tags), struct.pack(">I", len(tags)), b""
for tag, data in tags:
    data += bytes(-len(data) % 4)
    table += tag + struct.pack(">II", at + len(body), len(data))
    body += data
head = struct.pack(">IIII", at + len(body), 0, 0x02400000, 0)[:12] + b"mntrRGB XYZ " + struct.pack(">6H", 2026, 1, 1, 0, 0, 0)
head += b"acsp" + bytes(28) + fixed(0.9642, 1.0, 0.8249)
open(sys.argv[1], "wb").write(head.ljust(128, b"\0") + table + body)
"#;

/// Prints how far a picture is, at most, from what littleCMS makes of another by a profile, in 8-bit steps.
const COMPARE: &str = r#"
import sys
from PIL import Image, ImageChops, ImageCms
before, after = (Image.open(name).convert("RGB") for name in sys.argv[1:3])
relative, no_optimising = 1, 0x0100
to = ImageCms.buildTransform(ImageCms.createProfile("sRGB"), sys.argv[3], "RGB", "RGB", relative, no_optimising)
expected = ImageCms.applyTransform(before, to)
print(max(most for _, most in ImageChops.difference(expected, after).getextrema()))
"#;

fn python(arguments: &[&Path], script: &str) -> String {
    let python = std::env::var("STINT_TEST_PYTHON").unwrap_or_else(|_| "python3".into());
    let done = Command::new(&python).arg("-c").arg(script).args(arguments).output();
    let done = done.unwrap_or_else(|e| panic!("{python} cannot be started ({e}); set STINT_TEST_PYTHON"));
    assert!(done.status.success(), "{python} needs Pillow: {}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).unwrap().trim().to_owned()
}

/// Tells all programs on a display which profile it has.
fn set_profile(display: &Display, profile: Option<&[u8]>) {
    let (connection, screen) = x11rb::connect(Some(display.name())).unwrap();
    let root = connection.setup().roots[screen].root;
    let atom = connection.intern_atom(false, b"_ICC_PROFILE").unwrap().reply().unwrap().atom;
    let asked = match profile {
        Some(bytes) => connection.change_property8(PropMode::REPLACE, root, atom, AtomEnum::CARDINAL, bytes),
        None => connection.delete_property(root, atom),
    };
    asked.unwrap().check().unwrap();
}

/// Where the pointer rests, on no control.
const POINTER: Place = (640, 5);

/// The screen once nothing on it changes any more: pictures that are worked out beside the window come in when they are ready.
fn settled(display: &Display, window: &Window<'_>) -> Picture {
    window.rest();
    let (mut last, mut same) = (display.picture(), 0);
    wait_for("a picture that stays", || {
        let now = display.picture();
        same = if now == last { same + 1 } else { 0 };
        last = now;
        same == 30
    });
    without_pointer(last)
}

/// A picture of the screen in which the pointer's arrow is black: the X server draws it over the window, in its own greys.
fn without_pointer(mut picture: Picture) -> Picture {
    let (left, top) = (POINTER.0 as usize - 4, POINTER.1 as usize - 4);
    for row in picture.rgb.chunks_exact_mut(3 * picture.width as usize).skip(top).take(32) {
        row[3 * left..3 * (left + 32)].fill(0);
    }
    picture
}

/// The screen once it looks otherwise.
fn next(display: &Display, window: &Window<'_>, before: &Picture) -> Picture {
    wait_for("another picture", || without_pointer(display.picture()) != *before);
    settled(display, window)
}

#[test]
fn the_window_is_shown_by_the_profile_of_the_display() {
    if lacks(&[&NEEDS[..], &["python-packages"]].concat()) {
        return;
    }
    let (desk, display) = (TestFolder::new(), Display::start(1280, 800));
    let photo = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"));
    desk.write("depot.jpg", std::fs::read(photo).unwrap());
    let mut command = desk.command(["open", "depot.jpg"]);
    command.env("XDG_CONFIG_HOME", desk.path("config"));
    let window = display.open(command);
    wait_for("the proposal", || window.shows(wording::LAY_THIS));
    window.rest();
    window.press_control(wording::LAY_THIS);
    window.keys("s");
    window.drag(&[(400, 150), (700, 150), (700, 400), (400, 400), (400, 152)]);
    window.point(POINTER);
    let plain = settled(&display, &window);
    let keep = |name: &str, picture: &Picture| {
        let pixels = image::RgbImage::from_raw(picture.width, picture.height, picture.rgb.clone()).unwrap();
        pixels.save(desk.path(name)).unwrap();
        desk.path(name)
    };

    let profile = desk.path("wide.icc");
    python(&[&profile], MAKE_PROFILE);
    let bytes = std::fs::read(&profile).unwrap();
    set_profile(&display, Some(&bytes));
    let shown = next(&display, &window, &plain);
    let apart = python(&[&keep("plain.png", &plain), &keep("shown.png", &shown), &profile], COMPARE);
    assert!(apart.parse::<u8>().unwrap() <= 1, "the window is {apart} steps from what littleCMS makes of it");
    // Far from sRGB, that is: photo, tray and canvas are duller in the display's own codes.
    let on_canvas = (550, 300);
    assert_ne!(shown.pixel(on_canvas), plain.pixel(on_canvas));
    let most = shown.rgb.iter().zip(&plain.rgb).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
    assert!(most > 10, "{most}");
    // What is grey stays grey to the bit: the chrome.
    for (own, was) in shown.rgb.chunks_exact(3).zip(plain.rgb.chunks_exact(3)) {
        assert!(was != [was[0]; 3] || own == [own[0]; 3], "{was:?} became {own:?}");
    }

    // What is painted from now on is converted as well, and where nothing changes nothing does.
    window.drag(&[(400, 450), (700, 450), (700, 500), (400, 500), (400, 452)]);
    window.point(POINTER);
    let (before, shown) = (shown, settled(&display, &window));
    assert_eq!(shown.pixel((550, 475)), before.pixel(on_canvas));
    assert_eq!(shown.pixel(on_canvas), before.pixel(on_canvas));

    // A profile that is damaged is told, and nothing is made of it; one that goes is gone.
    set_profile(&display, Some(&bytes[..200]));
    let (before, plain) = (plain, next(&display, &window, &shown));
    assert_eq!(plain.pixel((550, 475)), before.pixel(on_canvas));
    assert_eq!(plain.pixel(on_canvas), before.pixel(on_canvas));
    window.keys("shift+F1");
    let says = |words: &str| window.controls().iter().any(|c| c.name.contains(words));
    assert!(says("cannot be used"));
    window.keys("shift+F1");
    set_profile(&display, Some(&bytes));
    assert!(next(&display, &window, &plain) == shown);
    set_profile(&display, None);
    assert!(next(&display, &window, &shown) == plain);

    // The painter says no; that holds the next time.
    set_profile(&display, Some(&bytes));
    assert!(next(&display, &window, &plain) == shown);
    window.keys("shift+F1");
    assert!(says("A wide display"));
    window.press_control(wording::CONVERT_FOR_DISPLAY);
    window.keys("shift+F1");
    window.point(POINTER);
    assert!(settled(&display, &window) == plain);
    window.keys("ctrl+q");
    window.end().success();
    let settings = std::fs::read_to_string(desk.path("config/stint/settings.ron")).unwrap();
    assert!(settings.contains("\"convert_for_the_display\": false"), "{settings}");
}
