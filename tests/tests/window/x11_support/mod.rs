//! Other programs on the display, as far as the window meets them: one that drags something over it (XDND version 5), one
//! that holds the clipboard (xclip), one that takes the keyboard, and the window manager's wish that it closes (ICCCM 4.2.8.1).

use std::io::Write;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use stint_tests::display::{Display, Place, Window, wait_for};
pub use stint_tests::driven::uri_list;
use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    Atom, AtomEnum, ClientMessageEvent, ConnectionExt as _, CreateWindowAux, EventMask, PropMode,
    SELECTION_NOTIFY_EVENT, SelectionNotifyEvent, SelectionRequestEvent, WindowClass,
};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;
use x11rb::{COPY_DEPTH_FROM_PARENT, COPY_FROM_PARENT, CURRENT_TIME};

/// How long an answer may take.
const LIMIT: Duration = Duration::from_secs(30);

/// A program on a display with a small window of its own, in the lower right corner.
pub struct OtherProgram {
    connection: RustConnection,
    window: u32,
}

impl OtherProgram {
    /// Starts it.
    pub fn start(display: &Display) -> Self {
        let (connection, screen) = RustConnection::connect(Some(display.name())).expect("the display is there");
        let screen = &connection.setup().roots[screen];
        let (root, right, bottom) = (screen.root, screen.width_in_pixels as i16, screen.height_in_pixels as i16);
        let window = connection.generate_id().expect("a number");
        let (class, look) = (WindowClass::INPUT_OUTPUT, CreateWindowAux::new());
        let place = (right - 8, bottom - 8);
        let made = connection.create_window(
            COPY_DEPTH_FROM_PARENT,
            window,
            root,
            place.0,
            place.1,
            8,
            8,
            0,
            class,
            COPY_FROM_PARENT,
            &look,
        );
        made.expect("a window").check().expect("a window");
        OtherProgram { connection, window }
    }

    /// Shows its window and takes the keyboard.
    pub fn take_keyboard(&self) {
        self.connection.map_window(self.window).expect("sent").check().expect("shown");
        let focus = || self.connection.get_input_focus().expect("sent").reply().expect("answered").focus;
        wait_for("the keyboard to go", || {
            let parent = x11rb::protocol::xproto::InputFocus::PARENT;
            // Refused until the window shows.
            let _ = self.connection.set_input_focus(parent, self.window, CURRENT_TIME).expect("sent").check();
            focus() == self.window
        });
    }

    /// Asks a window to close, as a window manager does when its cross is pressed.
    pub fn ask_to_close(&self, window: &Window<'_>) {
        self.tell(window.number(), "WM_PROTOCOLS", [self.atom("WM_DELETE_WINDOW"), CURRENT_TIME, 0, 0, 0]);
    }

    /// Drags something of a type over a window, to a place on the screen, and lets it go there.
    pub fn drop(&self, window: &Window<'_>, kind: &str, what: &[u8], at: Place) -> Dropped {
        if !self.drag(window, kind, what, at) {
            self.tell(window.number(), "XdndLeave", [self.window, 0, 0, 0, 0]);
            window.rest();
            return Dropped::Refused;
        }
        self.tell(window.number(), "XdndDrop", [self.window, 0, CURRENT_TIME, 0, 0]);
        let [_, taken, action, ..] = self.answer("XdndFinished", kind, what);
        window.rest();
        let copied = action == self.atom("XdndActionCopy");
        if taken & 1 == 1 && copied { Dropped::Taken } else { Dropped::Lost }
    }

    /// Drags something over a window and away again.
    pub fn drag_past(&self, window: &Window<'_>, kind: &str, what: &[u8], at: Place) {
        self.drag(window, kind, what, at);
        self.tell(window.number(), "XdndLeave", [self.window, 0, 0, 0, 0]);
        window.rest();
    }

    /// Tells whether the window would take it.
    fn drag(&self, window: &Window<'_>, kind: &str, what: &[u8], (x, y): Place) -> bool {
        let (to, selection) = (window.number(), self.atom("XdndSelection"));
        self.connection
            .set_selection_owner(self.window, selection, CURRENT_TIME)
            .expect("sent")
            .check()
            .expect("owned");
        let version = 5;
        self.tell(to, "XdndEnter", [self.window, version << 24, self.atom(kind), 0, 0]);
        let copy = self.atom("XdndActionCopy");
        let mut would = false;
        // A source says again and again where it is; the first time a window may not yet know what it is.
        for step in 0..3 {
            let place = ((x as u32) << 16) | (y + step) as u32;
            self.tell(to, "XdndPosition", [self.window, 0, place, CURRENT_TIME, copy]);
            let [_, accepted, ..] = self.answer("XdndStatus", kind, what);
            would = accepted & 1 == 1;
        }
        would
    }

    fn atom(&self, name: &str) -> Atom {
        self.connection.intern_atom(false, name.as_bytes()).expect("sent").reply().expect("a name has a number").atom
    }

    fn tell(&self, window: u32, what: &str, words: [u32; 5]) {
        let event = ClientMessageEvent::new(32, window, self.atom(what), words);
        self.connection.send_event(false, window, EventMask::NO_EVENT, event).expect("sent").check().expect("sent");
    }

    /// Waits for a message to us; meanwhile whoever asks for what is dragged gets it.
    fn answer(&self, wanted: &str, kind: &str, what: &[u8]) -> [u32; 5] {
        let (wanted, start) = (self.atom(wanted), Instant::now());
        loop {
            assert!(start.elapsed() < LIMIT, "no answer to what is dragged");
            match self.connection.poll_for_event().expect("the display is there") {
                Some(Event::ClientMessage(message)) if message.type_ == wanted => return message.data.as_data32(),
                Some(Event::SelectionRequest(request)) => self.give(&request, kind, what),
                Some(_) => {}
                None => std::thread::sleep(Duration::from_millis(3)),
            }
        }
    }

    fn give(&self, request: &SelectionRequestEvent, kind: &str, what: &[u8]) {
        let (to, property) = (request.requestor, request.property);
        let given = if request.target == self.atom(kind) {
            self.connection.change_property8(PropMode::REPLACE, to, property, request.target, what).expect("sent");
            property
        } else {
            AtomEnum::NONE.into()
        };
        let notice = SelectionNotifyEvent {
            response_type: SELECTION_NOTIFY_EVENT,
            sequence: 0,
            time: request.time,
            requestor: to,
            selection: request.selection,
            target: request.target,
            property: given,
        };
        self.connection.send_event(false, to, EventMask::NO_EVENT, notice).expect("sent").check().expect("sent");
    }
}

/// What became of something that was dropped.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Dropped {
    /// The window would not have it.
    Refused,
    /// The window would, but did not get it.
    Lost,
    /// The window has it.
    Taken,
}

/// The clipboard while somebody else holds it; empty again when dropped.
pub struct Clipboard {
    holder: Child,
}

impl Clipboard {
    /// Copies something of a type, and waits until a window knows.
    pub fn hold(display: &Display, window: &Window<'_>, kind: &str, what: &[u8]) -> Self {
        let mut holder = Command::new("xclip");
        holder.args(["-quiet", "-selection", "clipboard", "-t", kind, "-i"]).env("DISPLAY", display.name());
        holder.stdin(Stdio::piped()).stdout(Stdio::null()).stderr(Stdio::null());
        let holder = holder.spawn();
        let mut holder =
            holder.unwrap_or_else(|e| panic!("xclip cannot be started ({e}); on Debian: apt install xclip"));
        holder.stdin.take().expect("it was asked for").write_all(what).expect("xclip reads");
        let clipboard = Clipboard { holder };
        wait_for("the clipboard", || read(display, kind).is_some_and(|held| held == what));
        // The window has asked the holder for its types by now; whoever asks the holder after it is answered after it.
        window.rest();
        assert!(read(display, "TARGETS").is_some());
        window.rest();
        clipboard
    }
}

impl Drop for Clipboard {
    fn drop(&mut self) {
        // A program that has ended is no trouble.
        let _ = self.holder.kill();
        let _ = self.holder.wait();
    }
}

/// What is on the clipboard in a type.
pub fn read(display: &Display, kind: &str) -> Option<Vec<u8>> {
    let mut reader = Command::new("xclip");
    reader.args(["-selection", "clipboard", "-t", kind, "-o"]).env("DISPLAY", display.name()).stderr(Stdio::null());
    let read =
        reader.output().unwrap_or_else(|e| panic!("xclip cannot be started ({e}); on Debian: apt install xclip"));
    read.status.success().then_some(read.stdout)
}
