//! What a screen reader finds of the window: its tree walked and pressed by pyatspi, the AT-SPI client that Debian brings, on a session
//! bus of its own.

use serde_json::Value;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use stint::ui::wording;
use stint_tests::display::{Display, NEEDS, wait_for};
use stint_tests::program::{TestFolder, lacks};

/// A session bus; gone when dropped, and with it what was started on it.
struct Bus {
    daemon: Child,
    address: String,
}

impl Bus {
    fn start() -> Self {
        let mut daemon = Command::new("dbus-daemon")
            .args(["--session", "--nofork", "--print-address=1"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|e| panic!("dbus-daemon cannot be started ({e}); on Debian: apt install dbus"));
        let mut address = String::new();
        BufReader::new(daemon.stdout.take().unwrap()).read_line(&mut address).unwrap();
        Bus { daemon, address: address.trim().to_owned() }
    }

    /// Walks the tree; with a name, presses that control.
    fn reader(&self, display: &Display, pressed: Option<&str>) -> Output {
        let script = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/window/screen_reader_support/walk.py"));
        let mut python = Command::new("/usr/bin/python3");
        python.arg(script).args(pressed).env("DBUS_SESSION_BUS_ADDRESS", &self.address).env("DISPLAY", display.name());
        python.output().unwrap_or_else(|e| panic!("this test needs Debian's python3 and python3-pyatspi ({e})"))
    }

    fn tree(&self, display: &Display) -> Vec<Value> {
        let output = self.reader(display, None);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let text = String::from_utf8(output.stdout).unwrap();
        text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    }
}

impl Drop for Bus {
    fn drop(&mut self) {
        // A daemon that is gone already is no trouble.
        let _ = self.daemon.kill();
        let _ = self.daemon.wait();
    }
}

/// What AT-SPI calls the roles that the program's own list names ("Core AT-SPI2 roles", `AtspiRole`).
const ROLES: [(&str, &[&str]); 4] = [
    ("Button", &["button", "push button"]),
    ("TextInput", &["entry", "text"]),
    ("RadioButton", &["radio button"]),
    ("CheckBox", &["check box"]),
];

#[test]
fn a_screen_reader_finds_every_control_and_can_press_it() {
    let needs = [&NEEDS[..], &["pyatspi"]].concat();
    if lacks(&needs) {
        return;
    }
    let (desk, display, bus) = (TestFolder::new(), Display::start(1280, 800), Bus::start());
    let mut command = desk.command([""; 0]);
    command.env("DBUS_SESSION_BUS_ADDRESS", &bus.address);
    let window = display.open(command);
    wait_for("the start page", || window.shows(wording::CHOOSE_A_PHOTO));
    let found = bus.tree(&display);
    for control in window.controls() {
        let Some((_, roles)) = ROLES.iter().find(|(role, _)| *role == control.role) else { continue };
        let here = found
            .iter()
            .find(|one| one["name"] == control.name.as_str() && roles.iter().any(|role| one["role"] == *role));
        let here = here.unwrap_or_else(|| panic!("{control:?} is not among {found:#?}"));
        // Where it is on the screen, to the pixel that rounding allows.
        let [left, top, right, bottom] = control.edges;
        let wanted = [left, top, right - left, bottom - top];
        for (wanted, there) in wanted.iter().zip(here["place"].as_array().unwrap()) {
            assert!((i64::from(*wanted) - there.as_i64().unwrap()).abs() <= 1, "{control:?}: {here}");
        }
    }
    // Pressed from outside, without pointer and keyboard.
    let pressed = bus.reader(&display, Some(wording::SETTINGS));
    assert!(pressed.status.success(), "{}", String::from_utf8_lossy(&pressed.stderr));
    wait_for("the settings", || window.shows(wording::INTERFACE_SIZE));
    let names = bus.tree(&display);
    assert!(names.iter().any(|one| one["name"] == wording::change_key_of("Mirror").as_str()), "{names:#?}");
    window.keys("ctrl+q");
    window.end().success();
}
