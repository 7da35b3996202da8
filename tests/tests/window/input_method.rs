//! Text composed by an input method of X11 (XIM) reaches a name: uim composes Korean from the keys of a Latin keyboard.
//!
//! Needs Xvfb, xdotool, a software Vulkan driver, uim with its Korean part, and what a locale is made from; without them this test fails
//! and says what to install, unless the run goes on without them.

use std::path::Path;
use std::process::{Child, Command, Stdio};
use stint::ui::wording;
use stint_model::study::file::StudyFile;
use stint_tests::display::{Display, NEEDS, wait_for};
use stint_tests::program::{TestFolder, lacks};
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt as _};

/// The locale that program and input method speak in; Xlib finds no input method in one that the method does not know.
const LOCALE: &str = "ko_KR.UTF-8";

/// Tells a program of the input method.
fn tell(command: &mut Command, desk: &TestFolder) {
    command.env("LC_ALL", LOCALE).env("LOCPATH", desk.path("locales")).env("XMODIFIERS", "@im=uim");
}

/// An input method on a display; gone when dropped.
struct InputMethod(Child);

impl InputMethod {
    fn start(display: &Display, desk: &TestFolder) -> Self {
        std::fs::create_dir(desk.path("locales")).unwrap();
        let mut make = Command::new("localedef");
        make.args(["-i", "ko_KR", "-f", "UTF-8"]).arg(desk.path("locales").join(LOCALE));
        let made = make.output();
        let made = made.unwrap_or_else(|e| panic!("localedef cannot be started ({e}); on Debian: apt install locales"));
        assert!(made.status.success(), "no locale can be made; on Debian: apt install locales: {made:?}");
        let mut method = Command::new("uim-xim");
        method.arg("--engine=byeoru").env("DISPLAY", display.name()).env("HOME", desk.path(""));
        tell(&mut method, desk);
        let method = method.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
        let method =
            InputMethod(method.unwrap_or_else(|e| {
                panic!("uim-xim cannot be started ({e}); on Debian: apt install uim-xim uim-byeoru")
            }));
        // Input methods sign in at the root window ("The Input Method Protocol" 1.0, X.Org, "XIM_SERVERS").
        let (connection, screen) = x11rb::connect(Some(display.name())).unwrap();
        let root = connection.setup().roots[screen].root;
        let atom = connection.intern_atom(false, b"XIM_SERVERS").unwrap().reply().unwrap().atom;
        wait_for("an input method", || {
            let signed = connection.get_property(false, root, atom, AtomEnum::ANY, 0, 16).unwrap().reply().unwrap();
            !signed.value.is_empty()
        });
        method
    }
}

impl Drop for InputMethod {
    fn drop(&mut self) {
        // A program that has ended is no trouble.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn a_name_is_composed_and_keys_are_keys_again_after_it() {
    if lacks(&[&NEEDS[..], &["uim", "locales"]].concat()) {
        return;
    }
    let (desk, display) = (TestFolder::new(), Display::start(1280, 800));
    let photo = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"));
    desk.write("depot.jpg", std::fs::read(photo).unwrap());
    let _method = InputMethod::start(&display, &desk);
    let mut command = desk.command(["open", "depot.jpg"]);
    tell(&mut command, &desk);
    let window = display.open(command);
    wait_for("the proposal", || window.shows(wording::PICK_BY_HAND));
    window.rest();
    window.press_control(wording::PICK_BY_HAND);
    let photo = window.control(wording::PHOTO);
    let corners = [(0.5, 0.22), (0.62, 0.2), (0.62, 0.42), (0.52, 0.42), (0.5, 0.24)];
    window.drag(&corners.map(|(x, y)| photo.at(x, y)));
    window.press_control(wording::FAMILY);
    window.keys("ctrl+a");
    // Korean on; the keys that stand for the letters of two syllables, on screen while they are composed; off again.
    window.keys("shift+space");
    let before = display.picture();
    window.keys("g");
    assert!(display.picture() != before, "what is being composed shows");
    window.keys("k s r m f space shift+space 2");
    window.press_control(wording::LAY_TRIO);
    let families = || StudyFile::open_read_only(&desk.path("depot.stint")).unwrap().document().board.families.clone();
    wait_for("a family", || !families().is_empty());
    let names: Vec<_> = families().into_iter().map(|family| family.name).collect();
    assert_eq!(names, ["한글 2"]);
    // No field has the keyboard now: the keys do what they do.
    window.keys("ctrl+z");
    wait_for("the step back", || families().is_empty());
    window.keys("ctrl+q");
    window.end().success();
}
