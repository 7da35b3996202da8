//! The profile of the display on X11: the property `_ICC_PROFILE` of the root window, with `_1`, `_2` … after it for further screens
//! ("ICC Profiles in X Specification" 0.4, freedesktop.org; from memory).

use std::sync::mpsc::{Receiver, channel};
use winit::event_loop::EventLoopProxy;
use winit::raw_window_handle::RawWindowHandle;
use x11rb::connection::Connection;
use x11rb::errors::ReplyError;
use x11rb::protocol::Event;
use x11rb::protocol::randr::ConnectionExt as _;
use x11rb::protocol::xproto::{self, AtomEnum, ChangeWindowAttributesAux, ConnectionExt as _, EventMask};
use x11rb::rust_connection::RustConnection;

/// A longer profile is none of a display, bytes.
const MAX_PROFILE: u32 = 16 << 20;

/// Listens on a thread of its own; `told` makes of a profile, or of there being none, what is handed over, and the event loop is woken.
///
/// # Errors
/// When the display cannot be spoken to; `None` where it is no X11 window.
pub fn listen<T: Send + 'static>(
    window: RawWindowHandle,
    proxy: EventLoopProxy,
    told: impl Fn(Option<&[u8]>) -> T + Send + 'static,
) -> Result<Option<Receiver<T>>, String> {
    let window = match window {
        RawWindowHandle::Xlib(handle) => u32::try_from(handle.window).map_err(|e| e.to_string())?,
        RawWindowHandle::Xcb(handle) => handle.window.get(),
        _ => return Ok(None),
    };
    let display = Display::over(window).map_err(|e| e.to_string())?;
    let (send, profiles) = channel();
    let listen = move || {
        // The screen and its profile as they were told last.
        let mut last = None;
        let mut change = Change::Profile;
        // An error is the end of the connection, and winit's own has ended too.
        while let Ok(screen) = display.screen() {
            let moved = last.as_ref().is_none_or(|(last, _)| *last != screen);
            if moved || change == Change::Profile {
                let Ok(profile) = display.profile(screen) else { return };
                if last.as_ref().is_none_or(|(_, last)| *last != profile) {
                    if send.send(told(profile.as_deref())).is_err() {
                        return;
                    }
                    proxy.wake_up();
                }
                last = Some((screen, profile));
            }
            match display.wait() {
                Some(next) => change = next,
                None => return,
            }
        }
    };
    #[expect(
        clippy::disallowed_methods,
        reason = "it waits for the X server until the connection ends, and has no result to wait for"
    )]
    std::thread::Builder::new().name("display profile".to_owned()).spawn(listen).map_err(|e| e.to_string())?;
    Ok(Some(profiles))
}

/// What may have changed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Change {
    /// The profile of a screen.
    Profile,
    /// The screen that the window is on.
    Place,
}

struct Display {
    connection: RustConnection,
    root: xproto::Window,
    window: xproto::Window,
}

impl Display {
    fn over(window: xproto::Window) -> Result<Self, Box<dyn std::error::Error>> {
        let (connection, screen) = x11rb::connect(None)?;
        let root = connection.setup().roots.get(screen).ok_or("the display has no screen")?.root;
        // The root tells of its properties and of its screens, the window where it is.
        let listen = |to, mask| {
            connection.change_window_attributes(to, &ChangeWindowAttributesAux::new().event_mask(mask))?.check()
        };
        listen(root, EventMask::PROPERTY_CHANGE | EventMask::STRUCTURE_NOTIFY)?;
        listen(window, EventMask::STRUCTURE_NOTIFY)?;
        Ok(Display { connection, root, window })
    }

    /// Waits until something may have changed; none at the end of the connection.
    fn wait(&self) -> Option<Change> {
        loop {
            match self.connection.wait_for_event().ok()? {
                Event::PropertyNotify(told) if self.is_profile(told.atom).ok()? => return Some(Change::Profile),
                Event::ConfigureNotify(_) => return Some(Change::Place),
                _ => {}
            }
        }
    }

    fn is_profile(&self, atom: xproto::Atom) -> Result<bool, ReplyError> {
        Ok(self.connection.get_atom_name(atom)?.reply()?.name.starts_with(b"_ICC_PROFILE"))
    }

    /// The profile of a screen.
    fn profile(&self, screen: usize) -> Result<Option<Vec<u8>>, ReplyError> {
        let name = match screen {
            0 => "_ICC_PROFILE".to_owned(),
            n => format!("_ICC_PROFILE_{n}"),
        };
        let atom = self.connection.intern_atom(false, name.as_bytes())?.reply()?.atom;
        let property =
            self.connection.get_property(false, self.root, atom, AtomEnum::ANY, 0, MAX_PROFILE / 4)?.reply()?;
        Ok(Some(property.value).filter(|bytes| property.format == 8 && !bytes.is_empty() && property.bytes_after == 0))
    }

    /// The number of the screen that the middle of the window is on, the first one being the primary.
    fn screen(&self) -> Result<usize, ReplyError> {
        // Servers without these requests have one screen.
        let Ok(monitors) = self.connection.randr_get_monitors(self.root, true)?.reply() else { return Ok(0) };
        let Ok(size) = self.connection.get_geometry(self.window)?.reply() else { return Ok(0) };
        let half = |length: u16| i16::try_from(length / 2).unwrap_or(i16::MAX);
        let (x, y) = (half(size.width), half(size.height));
        let at = self.connection.translate_coordinates(self.window, self.root, x, y)?.reply();
        let Ok(at) = at.map(|at| [at.dst_x, at.dst_y].map(i32::from)) else { return Ok(0) };
        let mut screens: Vec<_> = monitors.monitors.iter().collect();
        screens.sort_by_key(|screen| !screen.primary);
        let holds = |from: i16, length: u16, at: i32| (0..i32::from(length)).contains(&(at - i32::from(from)));
        let on = screens.iter().position(|s| holds(s.x, s.width, at[0]) && holds(s.y, s.height, at[1]));
        Ok(on.unwrap_or(0))
    }
}
