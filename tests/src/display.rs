//! A display of its own for the program's window, a way to move its pointer and press its keys, and pictures of it.
//!
//! The display is Xvfb, pointer and keys are moved by xdotool; the program draws with Mesa's software Vulkan driver. Whatever of them is missing
//! fails the test with advice. Nothing here waits for a fixed time: a program that has taken in everything sleeps, and that
//! can be seen.

use crate::program::RunOutput;
use std::fmt;
use std::fs::Permissions;
use std::io::{BufRead, BufReader};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::thread::sleep;
use std::time::{Duration, Instant};
use stint::host::window::CONTROLS_VARIABLE;

/// How long anything may take before the test fails; generous, because machines may be busy.
const LIMIT: Duration = Duration::from_secs(30);
/// How often a condition is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(15);
/// A program and its display that slept at so many looks in a row have nothing left to do.
const LOOKS_ASLEEP: usize = 3;
/// What a display with the program's window needs, as `lacks` of `program.rs` knows it.
pub const NEEDS: [&str; 4] = ["Xvfb", "xdotool", "x11-libraries", "vulkan"];
/// Folders below which drivers announce themselves to the Vulkan loader, besides those of `XDG_DATA_DIRS` (the loader's
/// interface to drivers, "Linux Driver Discovery").
const DRIVER_FOLDERS: [&str; 3] = ["/usr/share", "/usr/local/share", "/etc"];

/// The user's folders as a program on the display is told of them, so that it meets no settings of whoever runs the test.
const FOLDERS: [(&str, &str); 5] = [
    ("HOME", "home"),
    ("XDG_CONFIG_HOME", "config"),
    ("XDG_DATA_HOME", "data"),
    ("XDG_CACHE_HOME", "cache"),
    ("XDG_RUNTIME_DIR", "run"),
];

/// A place on the screen: pixels to the right and down.
pub type Place = (i32, i32);

/// Waits for something.
///
/// # Panics
/// When it has not come after half a minute.
pub fn wait_for(what: impl fmt::Display, mut has_come: impl FnMut() -> bool) {
    let start = Instant::now();
    while !has_come() {
        assert!(start.elapsed() < LIMIT, "waited for {what} for {LIMIT:?}");
        sleep(LOOK_EVERY);
    }
}

/// The screen at one moment.
#[derive(Clone, PartialEq, Eq)]
pub struct Picture {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green and blue of each pixel, 8-bit sRGB codes, row by row.
    pub rgb: Vec<u8>,
}

impl Picture {
    /// Red, green and blue of one pixel.
    pub fn pixel(&self, (x, y): Place) -> [u8; 3] {
        let at = 3 * (y as usize * self.width as usize + x as usize);
        [self.rgb[at], self.rgb[at + 1], self.rgb[at + 2]]
    }

    /// Reads the picture of a display out of Xvfb's frame buffer file.
    ///
    /// The file is of the X window dump kind (`XWDFile.h` of the X Window System, version 7): 25 numbers of 32 bits, high byte
    /// first, a name, a colour map with 12 bytes an entry, then the rows.
    fn of_dump(dump: &[u8]) -> Option<Self> {
        let number = |i: usize| Some(u32::from_be_bytes(dump.get(4 * i..4 * i + 4)?.try_into().ok()?) as usize);
        let (header, width, height) = (number(0)?, number(4)?, number(5)?);
        let (low_byte_first, bits, row_bytes) = (number(7)? == 0, number(11)?, number(12)?);
        if bits != 32 || !low_byte_first {
            return None;
        }
        let rows = dump.get(header + 12 * number(19)?..)?.chunks(row_bytes).take(height);
        let pixels = rows.flat_map(|row| row.chunks_exact(4).take(width));
        let rgb: Vec<u8> = pixels.flat_map(|p| [p[2], p[1], p[0]]).collect();
        (rgb.len() == 3 * width * height).then_some(Picture { width: width as u32, height: height as u32, rgb })
    }
}

/// A virtual display; gone when dropped.
#[derive(Debug)]
pub struct Display {
    server: Child,
    name: String,
    folder: tempfile::TempDir,
    driver: PathBuf,
    /// Windows opened so far.
    opened: AtomicU32,
}

impl Display {
    /// Starts a display of this size, in pixels, on a free number.
    ///
    /// # Panics
    /// When there is no Xvfb, xdotool or software driver, with advice.
    pub fn start(width: u32, height: u32) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder can be made");
        let mut server = Command::new("Xvfb")
            .args([
                "-displayfd",
                "1",
                "-noreset",
                "-nolisten",
                "tcp",
                "-screen",
                "0",
                &format!("{width}x{height}x24"),
                "-fbdir",
            ])
            .arg(folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|e| panic!("Xvfb cannot be started ({e}); on Debian: apt install xvfb"));
        let mut number = String::new();
        let out = server.stdout.take().expect("standard output was asked for");
        BufReader::new(out).read_line(&mut number).expect("Xvfb writes its number");
        assert!(!number.trim().is_empty(), "Xvfb stopped before it had a display");
        let display = Display {
            server,
            name: format!(":{}", number.trim()),
            folder,
            driver: software_driver(),
            opened: AtomicU32::new(0),
        };
        for (name, folder) in FOLDERS {
            let path = display.folder.path().join(folder);
            std::fs::create_dir(&path).expect("the temporary folder can be written");
            if name == "XDG_RUNTIME_DIR" {
                std::fs::set_permissions(&path, Permissions::from_mode(0o700)).expect("a folder of ours");
            }
        }
        display
    }

    /// What `DISPLAY` is set to for it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The screen as it is now.
    ///
    /// # Panics
    /// When the frame buffer cannot be read.
    pub fn picture(&self) -> Picture {
        let dump = std::fs::read(self.folder.path().join("Xvfb_screen0")).expect("Xvfb keeps its screen in a file");
        Picture::of_dump(&dump).expect("Xvfb's screen has 32 bits a pixel, low byte first")
    }

    /// Does what some words of xdotool say.
    ///
    /// # Panics
    /// When there is no xdotool, or it fails.
    fn xdotool(&self, words: &[&str]) -> String {
        let mut xdotool = Command::new("xdotool");
        let done = xdotool.args(words).env("DISPLAY", &self.name).output();
        let done = done.unwrap_or_else(|e| panic!("xdotool cannot be started ({e}); on Debian: apt install xdotool"));
        assert!(done.status.success(), "xdotool {words:?}: {done:?}");
        String::from_utf8_lossy(&done.stdout).into_owned()
    }

    /// Starts a program that opens one window and waits until that is drawn. Unless the command says otherwise, the user's
    /// folders are empty ones of the display.
    ///
    /// # Panics
    /// When no window comes.
    pub fn open(&self, mut command: Command) -> Window<'_> {
        let inside = |name: &str| self.folder.path().join(name);
        command.env("DISPLAY", &self.name).env_remove("WAYLAND_DISPLAY");
        command.env("VK_DRIVER_FILES", &self.driver).env("VK_ICD_FILENAMES", &self.driver);
        for (name, folder) in FOLDERS {
            if command.get_envs().all(|(named, _)| named != name) {
                command.env(name, inside(folder));
            }
        }
        let controls = inside(&format!("controls {}", self.opened.fetch_add(1, Ordering::Relaxed)));
        command.env(CONTROLS_VARIABLE, &controls);
        let (before, screen) = (self.windows(), self.picture());
        let program = command.spawn().expect("the program can be started");
        let mut window = Window { display: self, program: Some(program), id: String::new(), controls };
        wait_for("a window", || {
            if let Some(ended) = window.ended() {
                panic!("the program ended before it had a window: {ended:#?}");
            }
            let new = self.windows().into_iter().find(|id| !before.contains(id));
            new.map(|id| window.id = id).is_some()
        });
        wait_for("the first picture", || {
            let now = self.picture();
            now != screen && now.pixel((0, 0)) != [0; 3]
        });
        window.focus();
        window
    }

    fn windows(&self) -> Vec<String> {
        let mut search = Command::new("xdotool");
        search.args(["search", "--onlyvisible", "--name", "Stint"]).env("DISPLAY", &self.name).stderr(Stdio::null());
        let found = search.output();
        let found = found.unwrap_or_else(|e| panic!("xdotool cannot be started ({e}); on Debian: apt install xdotool"));
        String::from_utf8_lossy(&found.stdout).lines().map(str::to_owned).collect()
    }
}

impl Drop for Display {
    fn drop(&mut self) {
        // A server that is gone already is no trouble.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// Where Mesa's software driver announces itself.
///
/// # Panics
/// When there is none, with advice.
pub fn software_driver() -> PathBuf {
    let more = std::env::var_os("XDG_DATA_DIRS").unwrap_or_default();
    let folders = DRIVER_FOLDERS.iter().map(PathBuf::from).chain(std::env::split_paths(&more));
    let files = folders.filter_map(|f| std::fs::read_dir(f.join("vulkan/icd.d")).ok()).flatten().flatten();
    let mut files: Vec<_> = files.map(|f| f.path()).filter(|f| name_of(f).starts_with("lvp_icd")).collect();
    files.sort();
    files.pop().unwrap_or_else(|| {
        panic!("there is no software Vulkan driver; on Debian: apt install mesa-vulkan-drivers libvulkan1")
    })
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// A running program with its window; killed when dropped.
#[derive(Debug)]
pub struct Window<'a> {
    display: &'a Display,
    program: Option<Child>,
    id: String,
    /// Where the program writes the places of its controls.
    controls: PathBuf,
}

/// A control of the program.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Control {
    /// What it is: "Button", "TextInput", "Label" …
    pub role: String,
    /// Left, top, right and bottom edge, pixels.
    pub edges: [i32; 4],
    /// Its accessible name.
    pub name: String,
}

impl Control {
    /// A place in it; parts of its width and height.
    pub fn at(&self, x: f64, y: f64) -> Place {
        let [left, top, right, bottom] = self.edges;
        let between = |a: i32, b: i32, part: f64| a + (f64::from(b - a) * part) as i32;
        (between(left, right, x), between(top, bottom, y))
    }

    /// One of the program's lines, as `stint::host::window::CONTROLS_VARIABLE` makes it write them.
    pub fn of_line(line: &str) -> Option<Self> {
        let mut fields = line.splitn(6, '\t');
        let role = fields.next()?.to_owned();
        let mut edge = || fields.next()?.parse().ok();
        let edges = [edge()?, edge()?, edge()?, edge()?];
        Some(Control { role, edges, name: fields.next()?.to_owned() })
    }
}

impl Window<'_> {
    /// Its number as X knows it.
    ///
    /// # Panics
    /// When xdotool gave something else.
    pub fn number(&self) -> u32 {
        self.id.parse().expect("xdotool writes numbers")
    }

    /// Gives the window the keyboard; there is no window manager to do it.
    pub fn focus(&self) {
        wait_for("the keyboard", || {
            self.display.xdotool(&["windowfocus", &self.id]);
            self.display.xdotool(&["getwindowfocus"]).trim() == self.id
        });
        self.rest();
    }

    /// All controls there are now, texts among them.
    pub fn controls(&self) -> Vec<Control> {
        let text = std::fs::read_to_string(&self.controls).unwrap_or_default();
        text.lines().filter_map(Control::of_line).collect()
    }

    /// The control of a name; the first of them that is no mere text, if there is one.
    ///
    /// # Panics
    /// When there is none.
    pub fn control(&self, name: &str) -> Control {
        let (texts, others): (Vec<_>, Vec<_>) =
            self.controls().into_iter().filter(|c| c.name == name).partition(|c| c.role == "Label");
        let found = others.into_iter().chain(texts).next();
        found.unwrap_or_else(|| panic!("no control is called {name}: {:#?}", self.controls()))
    }

    /// Whether a control of this name shows.
    pub fn shows(&self, name: &str) -> bool {
        self.controls().iter().any(|c| c.name == name)
    }

    /// Presses the control of a name in its middle.
    pub fn press_control(&self, name: &str) {
        self.press(self.control(name).at(0.5, 0.5));
    }

    /// Presses the left button at a place.
    pub fn press(&self, (x, y): Place) {
        self.xdotool(&format!("mousemove {x} {y}"));
        self.xdotool("click 1");
    }

    /// Presses the left button at a place twice, as a double click.
    pub fn press_twice(&self, (x, y): Place) {
        self.xdotool(&format!("mousemove {x} {y} click --repeat 2 --delay 60 1"));
    }

    /// Moves the pointer to a place.
    pub fn point(&self, (x, y): Place) {
        self.xdotool(&format!("mousemove {x} {y}"));
    }

    /// Drags with the left button along places, in steps of about 12 pixels.
    pub fn drag(&self, places: &[Place]) {
        self.begin_drag(places);
        self.release();
    }

    /// The same, but the button stays down.
    pub fn begin_drag(&self, places: &[Place]) {
        if let Some(&first) = places.first() {
            self.point(first);
        }
        self.xdotool(&drawn(places));
    }

    /// Releases the left button.
    pub fn release(&self) {
        self.xdotool("mouseup 1");
    }

    /// Presses keys, one after the other, such as "ctrl+z Up".
    pub fn keys(&self, keys: &str) {
        self.xdotool(&format!("key {keys}"));
    }

    /// Types a text.
    pub fn write(&self, text: &str) {
        self.display.xdotool(&["type", "--delay", "4", text]);
        self.rest();
    }

    /// Puts the window into the upper left corner, where without a window manager it is anyway, at a size in pixels.
    pub fn fill(&self, width: u32, height: u32) {
        self.xdotool(&format!("windowmove {} 0 0", self.id));
        self.resize(width, height);
        let wanted = format!("{width}x{height}");
        let shown = self.display.xdotool(&["getwindowgeometry", &self.id]);
        assert!(shown.contains(&wanted), "the window is not {wanted}: {shown}");
    }

    /// Makes the window another size, pixels.
    pub fn resize(&self, width: u32, height: u32) {
        self.xdotool(&format!("windowsize {} {width} {height}", self.id));
    }

    /// xdotool's words, and then rest.
    fn xdotool(&self, words: &str) {
        self.display.xdotool(&words.split(' ').collect::<Vec<_>>());
        self.rest();
    }

    /// Waits until program and display sleep: everything that was done has been taken in, and drawn.
    ///
    /// # Panics
    /// When they do not come to rest.
    pub fn rest(&self) {
        let Some(program) = &self.program else { return };
        let busy = || [program.id(), self.display.server.id()].map(activity);
        let (mut last, mut asleep) = (busy(), 0);
        wait_for("the window to come to rest", || {
            let now = busy();
            let still = now == last && now.iter().all(|a| a.is_none_or(|(awake, _)| awake == 0));
            asleep = if still { asleep + 1 } else { 0 };
            last = now;
            asleep == LOOKS_ASLEEP
        });
    }

    /// Waits until the program has slept through this many looks in a row without waking once, however long a busy machine
    /// takes for them.
    ///
    /// # Panics
    /// When it has ended, or wakes again and again.
    pub fn sleep_through(&self, looks: usize) {
        let id = self.program.as_ref().map_or(0, Child::id);
        let (mut last, mut asleep) = (wakes(id), 0);
        wait_for(format!("{looks} looks at a sleeping window"), || {
            let now = wakes(id);
            assert!(now.is_some_and(|wakes| wakes > 0), "the program has ended");
            asleep = if now == last { asleep + 1 } else { 0 };
            last = now;
            asleep == looks
        });
    }

    /// What the program ended with, if it has.
    pub fn ended(&mut self) -> Option<RunOutput> {
        self.program.as_mut()?.try_wait().expect("a child of ours").as_ref()?;
        let program = self.program.take()?;
        Some(program.wait_with_output().expect("a child of ours").into())
    }

    /// Waits for the program to end by itself.
    ///
    /// # Panics
    /// When it does not.
    pub fn end(mut self) -> RunOutput {
        let mut said = None;
        wait_for("the program to end", || {
            said = self.ended();
            said.is_some()
        });
        said.expect("waited for it")
    }

    /// Ends the program as the system does when it must: at once, without a word to it (SIGKILL).
    pub fn kill(self) {}
}

impl Drop for Window<'_> {
    fn drop(&mut self) {
        if let Some(program) = &mut self.program {
            // A program that has ended is no trouble.
            let _ = program.kill();
            let _ = program.wait();
        }
    }
}

/// xdotool's words for pressing the left button and moving along places.
fn drawn(places: &[Place]) -> String {
    let Some((&(x, y), rest)) = places.split_first() else { return String::new() };
    let mut words = format!("mousemove {x} {y} mousedown 1");
    let mut from = (f64::from(x), f64::from(y));
    for &(x, y) in rest {
        let to = (f64::from(x), f64::from(y));
        let steps = ((to.0 - from.0).hypot(to.1 - from.1) / 12.0).ceil().max(1.0);
        for step in 1..=steps as u32 {
            let part = f64::from(step) / steps;
            let at = (from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part);
            words += &format!(" mousemove {:.0} {:.0} sleep 0.004", at.0, at.1);
        }
        from = to;
    }
    words
}

/// How often the threads of a process have been woken since they started: the switches between them and others
/// (`man 5 proc`, "status"); none when it has ended.
fn wakes(process: u32) -> Option<u64> {
    let threads = std::fs::read_dir(format!("/proc/{process}/task")).ok()?;
    let statuses = threads.flatten().filter_map(|t| std::fs::read_to_string(t.path().join("status")).ok());
    Some(statuses.map(|status| switches(&status)).sum())
}

/// Switches in the text of a thread's status, wanted by it or not.
fn switches(status: &str) -> u64 {
    let counts = status.lines().filter_map(|line| line.split_once("_ctxt_switches:")?.1.trim().parse::<u64>().ok());
    counts.sum()
}

/// How many threads of a process neither sleep nor have ended, and the processor time of all, in ticks (`man 5 proc`); none when it has ended.
fn activity(process: u32) -> Option<(usize, u64)> {
    let fields = |path: PathBuf| {
        let stat = std::fs::read_to_string(path).ok()?;
        // The name in brackets may hold anything; the state follows it.
        let fields = stat.rsplit_once(") ")?.1.split(' ').map(str::to_owned);
        Some(fields.collect::<Vec<_>>())
    };
    let of_process = fields(format!("/proc/{process}/stat").into())?;
    let ticks: u64 = [11, 12].iter().filter_map(|&i| of_process.get(i)?.parse::<u64>().ok()).sum();
    let threads = std::fs::read_dir(format!("/proc/{process}/task")).ok()?;
    let stats = threads.flatten().filter_map(|t| fields(t.path().join("stat")));
    let awake = stats.filter(|f| f.first().is_some_and(|state| state != "S" && state != "Z")).count();
    Some((awake, ticks))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_control_is_read_from_its_line() {
        let control = Control::of_line("Button\t10\t-4\t30\t16\tStep back").expect("a sound line");
        assert_eq!(
            (control.role.as_str(), control.edges, control.name.as_str()),
            ("Button", [10, -4, 30, 16], "Step back")
        );
        assert_eq!(control.at(0.5, 0.25), (20, 1));
        assert_eq!(Control::of_line("Button\t10\t-4\t30"), None);
    }

    #[test]
    fn both_kinds_of_switches_are_counted() {
        let status = "State:\tS (sleeping)\nvoluntary_ctxt_switches:\t150\nnonvoluntary_ctxt_switches:\t3\n";
        assert_eq!(switches(status), 153);
        let mut working =
            Command::new("sh").args(["-c", "while :; do sleep 0.01; done"]).spawn().expect("there is a shell");
        let first = wakes(working.id());
        wait_for("a process that works to be woken", || wakes(working.id()) > first);
        working.kill().expect("a child of ours");
        working.wait().expect("a child of ours");
    }

    #[test]
    fn a_dump_is_read_by_its_header() {
        // Two by one pixels, a name of four bytes, one entry of the colour map, rows of 12 bytes.
        let mut header = [0u32; 25];
        (header[0], header[4], header[5], header[11], header[12], header[19]) = (104, 2, 1, 32, 12, 1);
        let mut dump: Vec<u8> = header.iter().flat_map(|n| n.to_be_bytes()).collect();
        dump.extend([0; 4 + 12]);
        dump.extend([3, 2, 1, 0, 30, 20, 10, 0, 9, 9, 9, 9]);
        let picture = Picture::of_dump(&dump).expect("a sound dump");
        assert_eq!((picture.width, picture.height), (2, 1));
        assert_eq!((picture.pixel((0, 0)), picture.pixel((1, 0))), ([1, 2, 3], [10, 20, 30]));
        assert!(Picture::of_dump(&dump[..dump.len() - 6]).is_none(), "a row is missing");
        assert!(Picture::of_dump(&[]).is_none());
    }
}
