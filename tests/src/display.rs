//! A display of its own for the program's window, a way to move its pointer and press its keys, and pictures of it.
//!
//! The display is Xvfb, pointer and keys are moved by xdotool; the program draws with Mesa's software Vulkan driver. Whatever of them is missing
//! fails the test with advice.

use crate::driven::{Act, Seat};
pub use crate::driven::{Control, Picture, Place, Window, wait_for};
use crate::home::Home;
pub use crate::home::software_driver;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

/// What a display with the program's window needs, as `lacks` of `program.rs` knows it.
pub const NEEDS: [&str; 4] = ["Xvfb", "xdotool", "x11-libraries", "vulkan"];

impl Picture {
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
    home: Home,
}

impl Display {
    /// Starts a display of this size, in pixels, on a free number.
    ///
    /// # Panics
    /// When there is no Xvfb, xdotool or software driver, with advice.
    pub fn start(width: u32, height: u32) -> Self {
        let home = Home::new();
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
            .arg(home.path(""))
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|e| panic!("Xvfb cannot be started ({e}); on Debian: apt install xvfb"));
        let mut number = String::new();
        let out = server.stdout.take().expect("standard output was asked for");
        BufReader::new(out).read_line(&mut number).expect("Xvfb writes its number");
        assert!(!number.trim().is_empty(), "Xvfb stopped before it had a display");
        Display { server, name: format!(":{}", number.trim()), home }
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
        let dump = std::fs::read(self.home.path("Xvfb_screen0")).expect("Xvfb keeps its screen in a file");
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
        command.env("DISPLAY", &self.name).env_remove("WAYLAND_DISPLAY");
        let controls = self.home.tell(&mut command);
        let (before, screen) = (self.windows(), self.picture());
        let program = command.spawn().expect("the program can be started");
        let mut window = Window::of(self, program, controls);
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

impl Seat for Display {
    fn act(&self, acts: &[Act<'_>]) {
        let mut words = Vec::new();
        for act in acts {
            match act {
                Act::Point((x, y)) => words.extend(["mousemove".to_owned(), x.to_string(), y.to_string()]),
                Act::Down => words.extend(["mousedown", "1"].map(str::to_owned)),
                Act::Up => words.extend(["mouseup", "1"].map(str::to_owned)),
                Act::Key(chord) => words.extend(["key", chord].map(str::to_owned)),
                Act::Text(text) => words.extend(["type", "--delay", "4", text].map(str::to_owned)),
                Act::Pause(time) => words.extend(["sleep".to_owned(), time.as_secs_f64().to_string()]),
            }
        }
        self.xdotool(&words.iter().map(String::as_str).collect::<Vec<_>>());
    }

    fn server(&self) -> u32 {
        self.server.id()
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

    /// Puts the window into the upper left corner, where without a window manager it is anyway, at a size in pixels.
    ///
    /// # Panics
    /// When it does not take that size.
    pub fn fill(&self, width: u32, height: u32) {
        self.display.xdotool(&["windowmove", &self.id, "0", "0"]);
        self.resize(width, height);
        let wanted = format!("{width}x{height}");
        let shown = self.display.xdotool(&["getwindowgeometry", &self.id]);
        assert!(shown.contains(&wanted), "the window is not {wanted}: {shown}");
    }

    /// Makes the window another size, pixels.
    pub fn resize(&self, width: u32, height: u32) {
        self.display.xdotool(&["windowsize", &self.id, &width.to_string(), &height.to_string()]);
        self.rest();
    }
}

impl Drop for Display {
    fn drop(&mut self) {
        // A server that is gone already is no trouble.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
