//! A program with a window that a test drives as a painter does, whatever kind of display the window is on.
//!
//! Nothing here waits for a fixed time: a program that has taken in everything sleeps, and that can be seen.

use crate::asleep::{activity, wakes};
use crate::display::Display;
use crate::program::RunOutput;
pub use crate::waiting::wait_for;
use std::path::{Path, PathBuf};
use std::process::Child;
use std::time::Duration;

/// A program and its display that slept at so many looks in a row have nothing left to do: longer than a frame that could not be shown
/// waits for the next try.
const LOOKS_ASLEEP: usize = 5;
/// A place on the screen: pixels to the right and down.
pub type Place = (i32, i32);

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
}

/// What a hand does at a pointer or a keyboard.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Act<'a> {
    /// Moves the pointer to a place.
    Point(Place),
    /// Presses the left button.
    Down,
    /// Releases it.
    Up,
    /// Presses a key, by X's name for it (`keysymdef.h`), with others held, such as "ctrl+z".
    Key(&'a str),
    /// Types a text; nothing follows it.
    Text(&'a str),
    /// Does nothing for a time, so that what came before reaches the program by itself.
    Pause(Duration),
}

/// A display with a pointer and a keyboard for the test alone.
pub trait Seat {
    /// Does what a hand does, in this order.
    fn act(&self, acts: &[Act<'_>]);

    /// The process that serves the display.
    fn server(&self) -> u32;

    /// Answers what the display has asked of the test meanwhile.
    fn attend(&self) {}
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

/// A running program with its window; killed when dropped.
#[derive(Debug)]
pub struct Window<'a, D: Seat = Display> {
    /// Where it is.
    pub(crate) display: &'a D,
    program: Option<Child>,
    /// Its number as X knows it; nothing elsewhere.
    pub(crate) id: String,
    /// Where the program writes the places of its controls.
    controls: PathBuf,
}

impl<'a, D: Seat> Window<'a, D> {
    /// The window that a program has opened.
    pub(crate) fn of(display: &'a D, program: Child, controls: PathBuf) -> Self {
        Window { display, program: Some(program), id: String::new(), controls }
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
    pub fn press(&self, place: Place) {
        self.act(&[Act::Point(place)]);
        self.act(&[Act::Down, Act::Up]);
    }

    /// Presses the left button at a place twice, as a double click.
    pub fn press_twice(&self, place: Place) {
        let between = Act::Pause(Duration::from_millis(60));
        self.act(&[Act::Point(place), Act::Down, Act::Up, between, Act::Down, Act::Up]);
    }

    /// Moves the pointer to a place.
    pub fn point(&self, place: Place) {
        self.act(&[Act::Point(place)]);
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
        self.act(&drawn(places));
    }

    /// Releases the left button.
    pub fn release(&self) {
        self.act(&[Act::Up]);
    }

    /// Presses keys, one after the other, such as "ctrl+z Up".
    pub fn keys(&self, keys: &str) {
        for chord in keys.split(' ') {
            self.act(&[Act::Key(chord)]);
        }
    }

    /// Types a text.
    pub fn write(&self, text: &str) {
        self.act(&[Act::Text(text)]);
    }

    /// What a hand does, and then rest.
    fn act(&self, acts: &[Act<'_>]) {
        self.display.act(acts);
        self.rest();
    }

    /// Waits until program and display sleep: everything that was done has been taken in, and drawn.
    ///
    /// # Panics
    /// When they do not come to rest.
    pub fn rest(&self) {
        let Some(program) = &self.program else { return };
        let busy = || [program.id(), self.display.server()].map(activity);
        let (mut last, mut asleep) = (busy(), 0);
        wait_for("the window to come to rest", || {
            self.display.attend();
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

impl<D: Seat> Drop for Window<'_, D> {
    fn drop(&mut self) {
        if let Some(program) = &mut self.program {
            // A program that has ended is no trouble.
            let _ = program.kill();
            let _ = program.wait();
        }
    }
}

/// Pressing the left button and moving along places.
fn drawn(places: &[Place]) -> Vec<Act<'static>> {
    let Some((&first, rest)) = places.split_first() else { return Vec::new() };
    let mut acts = vec![Act::Point(first), Act::Down];
    let mut from = (f64::from(first.0), f64::from(first.1));
    for &(x, y) in rest {
        let to = (f64::from(x), f64::from(y));
        let steps = ((to.0 - from.0).hypot(to.1 - from.1) / 12.0).ceil().max(1.0);
        for step in 1..=steps as u32 {
            let part = f64::from(step) / steps;
            let at = (from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part);
            let at = (at.0.round() as i32, at.1.round() as i32);
            acts.extend([Act::Point(at), Act::Pause(Duration::from_millis(4))]);
        }
        from = to;
    }
    acts
}

/// A file as a program that drags it names it: a URI list (RFC 2483), everything but letters and digits in percents.
///
/// # Panics
/// When the path is no UTF-8.
pub fn uri_list(path: &Path) -> Vec<u8> {
    let plain = |b: u8| b.is_ascii_alphanumeric() || b == b'/' || b == b'.';
    let path = path.to_str().expect("a path of ours").bytes();
    let coded: String = path.map(|b| if plain(b) { char::from(b).to_string() } else { format!("%{b:02X}") }).collect();
    format!("file://{coded}\r\n").into_bytes()
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
}
