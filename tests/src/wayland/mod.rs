//! A Wayland display of its own for the program's window: sway without a screen, drawing in software. The test is a program on it as well,
//! and through the protocols for virtual pointers and keyboards (wlr-protocols, virtual-keyboard-unstable-v1) its hand; it looks at the
//! screen, holds the clipboard, drags things over the window and composes text (input-method-unstable-v2) the same way.

mod client;
mod keys;
mod other;
mod screen;
mod told;

use crate::driven::{Act, Picture, Seat, Window, wait_for};
use crate::home::Home;
use client::Client;
use std::cell::RefCell;
use std::fs::Permissions;
use std::os::unix::fs::{MetadataExt, PermissionsExt, chown};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::Instant;
use wayland_client::protocol::wl_keyboard::KeyState;
use wayland_client::protocol::wl_pointer::ButtonState;

/// What a Wayland display with the program's window needs, as `lacks` of `program.rs` knows it.
pub const WAYLAND_NEEDS: [&str; 2] = ["sway", "vulkan"];
/// The left button (`linux/input-event-codes.h`).
const LEFT: u32 = 0x110;
/// Pixels to the right of the window where another program has its own.
const STRIP: u32 = 64;
/// Name of the other program's window.
const OTHER: &str = "something-to-drag";
/// The user "nobody": sway does not serve root.
const NOBODY: u32 = 65534;

/// A virtual display; gone when dropped.
#[derive(Debug)]
pub struct WaylandDisplay {
    server: Child,
    socket: PathBuf,
    home: Home,
    /// Size of the screen, pixels.
    size: (u32, u32),
    client: RefCell<Client>,
    started: Instant,
}

impl WaylandDisplay {
    /// Starts a display with room for a window of this size, in pixels, at its upper left corner.
    ///
    /// # Panics
    /// When there is no sway or software driver, with advice.
    pub fn start(width: u32, height: u32) -> Self {
        let home = Home::new();
        let size = (width + STRIP, height);
        let (folder, config) = (home.path("wayland"), home.path("sway.conf"));
        std::fs::create_dir(&folder).expect("the temporary folder can be written");
        std::fs::set_permissions(&folder, Permissions::from_mode(0o700)).expect("a folder of ours");
        let words = format!(
            "xwayland disable\n\
             output * resolution {}x{} position 0 0 background #000000 solid_color\n\
             default_border none\n\
             default_floating_border none\n\
             floating_minimum_size 1 x 1\n\
             for_window [app_id=\".*\"] floating enable, move absolute position 0 0\n\
             for_window [app_id=\"^{OTHER}$\"] move absolute position {width} 0\n\
             no_focus [app_id=\"^{OTHER}$\"]\n",
            size.0, size.1
        );
        std::fs::write(&config, words).expect("the temporary folder can be written");
        let root = std::fs::metadata(&folder).expect("a folder of ours").uid() == 0;
        let mut server = if root {
            std::fs::set_permissions(home.path(""), Permissions::from_mode(0o711)).expect("a folder of ours");
            chown(&folder, Some(NOBODY), Some(NOBODY)).expect("root may give things away");
            let mut server = Command::new("setpriv");
            server.args([&format!("--reuid={NOBODY}"), &format!("--regid={NOBODY}"), "--clear-groups", "sway"]);
            server
        } else {
            Command::new("sway")
        };
        server.arg("-c").arg(&config).env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").env_remove("SWAYSOCK");
        server.env("XDG_RUNTIME_DIR", &folder).env("HOME", &folder).env("WLR_BACKENDS", "headless");
        server.env("WLR_RENDERER", "pixman").env("WLR_LIBINPUT_NO_DEVICES", "1");
        server.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        let server = server.spawn();
        let mut server = server.unwrap_or_else(|e| panic!("sway cannot be started ({e}); on Debian: apt install sway"));
        let mut socket = None;
        wait_for("a Wayland display", || {
            let ended = server.try_wait().expect("a child of ours");
            assert!(ended.is_none(), "sway ended before it had a display; on Debian: apt install sway");
            let files = std::fs::read_dir(&folder).expect("a folder of ours").flatten().map(|file| file.path());
            socket = files.into_iter().find(|file| file.extension().is_none() && is_socket(file));
            socket.is_some()
        });
        let socket = socket.expect("waited for it");
        let client = RefCell::new(Client::connect(&socket, keys::KEYMAP));
        WaylandDisplay { server, socket, home, size, client, started: Instant::now() }
    }

    /// The screen as it is now, with the pointer.
    ///
    /// # Panics
    /// When the compositor does not hand it over.
    pub fn picture(&self) -> Picture {
        screen::take(&mut self.client.borrow_mut())
    }

    /// Starts a program that opens one window and waits until that is drawn. Unless the command says otherwise, the user's
    /// folders are empty ones of the display.
    ///
    /// # Panics
    /// When no window comes.
    pub fn open(&self, mut command: Command) -> Window<'_, Self> {
        command.env("WAYLAND_DISPLAY", &self.socket).env_remove("DISPLAY");
        let controls = self.home.tell(&mut command);
        let program = command.spawn().expect("the program can be started");
        let mut window = Window::of(self, program, controls);
        wait_for("a window", || {
            if let Some(ended) = window.ended() {
                panic!("the program ended before it had a window: {ended:#?}");
            }
            self.attend();
            !window.controls().is_empty() && self.picture().pixel((0, 0)) != [0; 3]
        });
        window.rest();
        window
    }

    /// Milliseconds, as events carry them.
    fn now(&self) -> u32 {
        self.started.elapsed().as_millis() as u32
    }

    fn press(&self, client: &Client, press: &keys::Press) {
        let keyboard = &client.keyboard;
        let tell = |key, state: KeyState| keyboard.key(self.now(), key, state.into());
        for &key in &press.held {
            tell(key, KeyState::Pressed);
        }
        keyboard.modifiers(press.modifiers, 0, 0, 0);
        tell(press.key, KeyState::Pressed);
        tell(press.key, KeyState::Released);
        for &key in press.held.iter().rev() {
            tell(key, KeyState::Released);
        }
        keyboard.modifiers(0, 0, 0, 0);
    }
}

impl Seat for WaylandDisplay {
    fn act(&self, acts: &[Act<'_>]) {
        let mut client = self.client.borrow_mut();
        let button = |client: &Client, state| {
            client.pointer.button(self.now(), LEFT, state);
            client.pointer.frame();
        };
        for act in acts {
            match act {
                Act::Point((x, y)) => {
                    let inside = |at: i32, size: u32| (at.max(0) as u32).min(size - 1);
                    let at = (inside(*x, self.size.0), inside(*y, self.size.1));
                    client.pointer.motion_absolute(self.now(), at.0, at.1, self.size.0, self.size.1);
                    client.pointer.frame();
                }
                Act::Down => button(&client, ButtonState::Pressed),
                Act::Up => button(&client, ButtonState::Released),
                Act::Key(chord) => {
                    let press = keys::press(chord).unwrap_or_else(|| panic!("no key is called {chord}"));
                    self.press(&client, &press);
                }
                Act::Text(text) => {
                    for character in text.chars() {
                        let press = keys::typed(character).unwrap_or_else(|| panic!("no key types {character}"));
                        self.press(&client, &press);
                    }
                }
                Act::Pause(time) => {
                    client.roundtrip();
                    sleep(*time);
                }
            }
        }
        client.roundtrip();
    }

    fn server(&self) -> u32 {
        self.server.id()
    }

    fn attend(&self) {
        self.client.borrow_mut().attend();
    }
}

impl Drop for WaylandDisplay {
    fn drop(&mut self) {
        // A server that is gone already is no trouble.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

fn is_socket(path: &std::path::Path) -> bool {
    path.file_name().is_some_and(|name| name.to_string_lossy().starts_with("wayland-"))
}
