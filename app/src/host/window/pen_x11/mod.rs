//! Pens on X11, which winit 0.31 beta leaves out: it drops what devices with pressure or tilt say.
//!
//! A second connection asks for the events of each such device on winit's window and makes of them what winit makes of pens on
//! other systems, so that everything after this module is one way. Asked is each device by itself, never the master pointer: a
//! press takes hold of its device for one listener, and on the master that would take the pointer from winit.

mod axes;
mod server_time;

use super::event_times::PenEvent;
use crate::base::clock;
use axes::{AXES, LABELS, Pen};
use server_time::ServerTime;
use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, channel};
use winit::dpi::PhysicalPosition;
use winit::event::{
    ButtonSource, DeviceId, ElementState, PointerSource, TabletToolButton, TabletToolData, TabletToolKind, WindowEvent,
};
use winit::event_loop::EventLoopProxy;
use winit::raw_window_handle::RawWindowHandle;
use x11rb::connection::Connection;
use x11rb::errors::ReplyOrIdError;
use x11rb::protocol::Event;
use x11rb::protocol::xinput::{self, ButtonPressEvent, ConnectionExt as _, DeviceType, XIEventMask};
use x11rb::protocol::xproto::{self, ConnectionExt as _};
use x11rb::rust_connection::RustConnection;

/// Pens on all devices, as the protocol numbers them.
const ALL_DEVICES: u16 = 0;
/// A place of ours farther than this from the server's belongs to a motion we did not hear of, pixels.
const NEAR_PX: f64 = 1.0;

/// Listens to the pens over a window on a thread of its own; the event loop is woken for every event.
///
/// # Errors
/// When the display cannot be spoken to; `None` where it is no X11 window, whose pens winit itself tells.
pub fn listen(window: RawWindowHandle, proxy: EventLoopProxy) -> Result<Option<Receiver<PenEvent>>, String> {
    let window = match window {
        RawWindowHandle::Xlib(handle) => u32::try_from(handle.window).map_err(|e| e.to_string())?,
        RawWindowHandle::Xcb(handle) => handle.window.get(),
        _ => return Ok(None),
    };
    let mut pens = Pens::over(window).map_err(|e| e.to_string())?;
    let (send, events) = channel();
    let listen = move || {
        // An error is the end of the connection, and winit's own has ended too.
        while let Ok(event) = pens.connection.wait_for_event()
            && let Ok(event) = pens.translated(event)
        {
            let Some(event) = event else { continue };
            if send.send(event).is_err() {
                return;
            }
            proxy.wake_up();
        }
        // Nobody will tell that the tip comes up.
        if let Some(event) = pens.touching.take().map(Touching::lifted) {
            let _ = send.send(PenEvent { at: clock::now(), event });
            proxy.wake_up();
        }
    };
    #[expect(
        clippy::disallowed_methods,
        reason = "it waits for the X server until the connection ends, and has no result to wait for"
    )]
    std::thread::Builder::new().name("pens".to_owned()).spawn(listen).map_err(|e| e.to_string())?;
    Ok(Some(events))
}

struct Pens {
    connection: RustConnection,
    root: xproto::Window,
    window: xproto::Window,
    /// Size of the whole screen, pixels.
    screen_px: (u16, u16),
    labels: [xproto::Atom; AXES],
    pens: BTreeMap<u16, Pen>,
    /// The pen whose tip is down.
    touching: Option<Touching>,
    time: ServerTime,
}

/// A pen whose tip is down, as it was last told.
#[derive(Clone)]
struct Touching {
    device: u16,
    kind: TabletToolKind,
    data: TabletToolData,
    position: PhysicalPosition<f64>,
}

impl Pens {
    fn over(window: xproto::Window) -> Result<Self, Box<dyn std::error::Error>> {
        let (connection, screen) = x11rb::connect(None)?;
        connection.xinput_xi_query_version(2, 2)?.reply()?;
        let mut labels = [0; AXES];
        for (label, name) in labels.iter_mut().zip(LABELS) {
            *label = connection.intern_atom(false, name.as_bytes())?.reply()?.atom;
        }
        let screen = connection.setup().roots.get(screen).ok_or("the display has no screen")?;
        let (root, screen_px) = (screen.root, (screen.width_in_pixels, screen.height_in_pixels));
        let mut pens = Pens {
            connection,
            root,
            window,
            screen_px,
            labels,
            pens: BTreeMap::new(),
            touching: None,
            time: ServerTime::default(),
        };
        // The root tells when screens change their size, and when pens come and go.
        let structure = xproto::ChangeWindowAttributesAux::new().event_mask(xproto::EventMask::STRUCTURE_NOTIFY);
        pens.connection.change_window_attributes(root, &structure)?;
        pens.ask(root, ALL_DEVICES, XIEventMask::HIERARCHY)?;
        pens.find()?;
        Ok(pens)
    }

    fn ask(&self, window: xproto::Window, deviceid: u16, mask: XIEventMask) -> Result<(), ReplyOrIdError> {
        let masks = [xinput::EventMask { deviceid, mask: vec![mask] }];
        Ok(self.connection.xinput_xi_select_events(window, &masks)?.check()?)
    }

    /// Looks which pens there are, and asks for their events.
    fn find(&mut self) -> Result<(), ReplyOrIdError> {
        self.pens.clear();
        for device in self.connection.xinput_xi_query_device(ALL_DEVICES)?.reply()?.infos {
            let slave = device.type_ == DeviceType::SLAVE_POINTER || device.type_ == DeviceType::FLOATING_SLAVE;
            let Some(pen) = Pen::of(&device.name, &device.classes, &self.labels) else { continue };
            let events = XIEventMask::MOTION | XIEventMask::BUTTON_PRESS | XIEventMask::BUTTON_RELEASE;
            // A device may go between the two requests; the notice of that is then on its way.
            if slave
                && device.enabled
                && self.ask(self.window, device.deviceid, events | XIEventMask::DEVICE_CHANGED).is_ok()
            {
                self.pens.insert(device.deviceid, pen);
            }
        }
        Ok(())
    }

    fn translated(&mut self, event: Event) -> Result<Option<PenEvent>, ReplyOrIdError> {
        let heard = clock::now();
        let (told, pressed) = match event {
            Event::XinputMotion(told) => (told, None),
            Event::XinputButtonPress(told) => (told, Some(true)),
            Event::XinputButtonRelease(told) => (told, Some(false)),
            Event::XinputHierarchy(_) | Event::XinputDeviceChanged(_) => {
                self.find()?;
                // A pen that was unplugged, or put to sleep, in the middle of a stroke tells no release.
                let gone = self.touching.take_if(|touching| !self.pens.contains_key(&touching.device));
                return Ok(gone.map(|gone| PenEvent { at: heard, event: gone.lifted() }));
            }
            Event::ConfigureNotify(told) if told.window == self.root => {
                self.screen_px = (told.width, told.height);
                return Ok(None);
            }
            _ => return Ok(None),
        };
        let Some(pen) = self.pens.get_mut(&told.deviceid) else { return Ok(None) };
        let at = self.time.of(told.time, heard);
        let moved = pen.follow(&told.valuator_mask, &told.axisvalues);
        let position = place(pen.on_screen(self.screen_px), moved, &told);
        let (kind, data) = (pen.kind(), pen.data());
        let (device_id, primary) = (Some(DeviceId::from_raw(told.deviceid.into())), true);
        let Some(pressed) = pressed else {
            if let Some(touching) = self.touching.as_mut().filter(|touching| touching.device == told.deviceid) {
                (touching.data, touching.position) = (data.clone(), position);
            }
            let source = PointerSource::TabletTool { kind, data };
            let event = WindowEvent::PointerMoved { device_id, position, primary, source };
            return Ok(Some(PenEvent { at, event }));
        };
        let button = match told.detail {
            1 => TabletToolButton::Contact,
            2 => TabletToolButton::Other(1),
            3 => TabletToolButton::Barrel,
            // Wheels.
            4..=7 => return Ok(None),
            other => TabletToolButton::Other(u16::try_from(other).unwrap_or(u16::MAX).saturating_sub(5)),
        };
        if button == TabletToolButton::Contact {
            let device = told.deviceid;
            self.touching = pressed.then(|| Touching { device, kind, data: data.clone(), position });
        }
        let button = ButtonSource::TabletTool { kind, button, data };
        let state = if pressed { ElementState::Pressed } else { ElementState::Released };
        let is_macos_activation_click = false;
        let event =
            WindowEvent::PointerButton { device_id, state, position, primary, button, is_macos_activation_click };
        Ok(Some(PenEvent { at, event }))
    }
}

impl Touching {
    /// What would have been told had the tip come up where it was last.
    fn lifted(self) -> WindowEvent {
        let Touching { device, kind, data, position } = self;
        WindowEvent::PointerButton {
            device_id: Some(DeviceId::from_raw(device.into())),
            state: ElementState::Released,
            position,
            primary: true,
            button: ButtonSource::TabletTool { kind, button: TabletToolButton::Contact, data },
            is_macos_activation_click: false,
        }
    }
}

/// The place in the window. The server's is one event old in the events of a device, and whole; the pen's own is exact, unless
/// it is missing or belongs to a motion over another window.
fn place(on_screen: Option<[f64; 2]>, moved: bool, told: &ButtonPressEvent) -> PhysicalPosition<f64> {
    let pixels = |v: i32| f64::from(v) / 65_536.0;
    let server = [pixels(told.event_x), pixels(told.event_y)];
    let origin = [pixels(told.root_x) - server[0], pixels(told.root_y) - server[1]];
    let own = on_screen.map(|[x, y]| [x - origin[0], y - origin[1]]);
    let near = |own: &[f64; 2]| moved || (0..2).all(|i| (own[i] - server[i]).abs() <= NEAR_PX);
    let [x, y] = own.filter(near).unwrap_or(server);
    PhysicalPosition::new(x, y)
}
