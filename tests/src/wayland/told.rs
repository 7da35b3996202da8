//! What the compositor has told the test.

use crate::driven::wait_for;
use std::fs::File;
use std::io::{ErrorKind, Write};
use std::os::fd::OwnedFd;
use wayland_client::globals::GlobalListContents;
use wayland_client::protocol::wl_buffer::WlBuffer;
use wayland_client::protocol::wl_compositor::WlCompositor;
use wayland_client::protocol::wl_data_device::{self, WlDataDevice};
use wayland_client::protocol::wl_data_device_manager::WlDataDeviceManager;
use wayland_client::protocol::wl_data_offer::WlDataOffer;
use wayland_client::protocol::wl_data_source::{self, WlDataSource};
use wayland_client::protocol::wl_output::WlOutput;
use wayland_client::protocol::wl_pointer::{self, WlPointer};
use wayland_client::protocol::wl_registry::{self, WlRegistry};
use wayland_client::protocol::wl_seat::WlSeat;
use wayland_client::protocol::wl_shm::{Format, WlShm};
use wayland_client::protocol::wl_shm_pool::WlShmPool;
use wayland_client::protocol::wl_surface::WlSurface;
use wayland_client::{Connection, Dispatch, Proxy, QueueHandle, WEnum, delegate_noop, event_created_child};
use wayland_protocols::xdg::shell::client::xdg_surface::{self, XdgSurface};
use wayland_protocols::xdg::shell::client::xdg_toplevel::XdgToplevel;
use wayland_protocols::xdg::shell::client::xdg_wm_base::{self, XdgWmBase};
use wayland_protocols_misc::zwp_input_method_v2::client::zwp_input_method_manager_v2::ZwpInputMethodManagerV2;
use wayland_protocols_misc::zwp_input_method_v2::client::zwp_input_method_v2::{self, ZwpInputMethodV2};
use wayland_protocols_misc::zwp_virtual_keyboard_v1::client::zwp_virtual_keyboard_manager_v1::ZwpVirtualKeyboardManagerV1;
use wayland_protocols_misc::zwp_virtual_keyboard_v1::client::zwp_virtual_keyboard_v1::ZwpVirtualKeyboardV1;
use wayland_protocols_wlr::data_control::v1::client::zwlr_data_control_device_v1::{self, ZwlrDataControlDeviceV1};
use wayland_protocols_wlr::data_control::v1::client::zwlr_data_control_manager_v1::ZwlrDataControlManagerV1;
use wayland_protocols_wlr::data_control::v1::client::zwlr_data_control_offer_v1::{self, ZwlrDataControlOfferV1};
use wayland_protocols_wlr::data_control::v1::client::zwlr_data_control_source_v1::{self, ZwlrDataControlSourceV1};
use wayland_protocols_wlr::screencopy::v1::client::zwlr_screencopy_frame_v1::{self, ZwlrScreencopyFrameV1};
use wayland_protocols_wlr::screencopy::v1::client::zwlr_screencopy_manager_v1::ZwlrScreencopyManagerV1;
use wayland_protocols_wlr::virtual_pointer::v1::client::zwlr_virtual_pointer_manager_v1::ZwlrVirtualPointerManagerV1;
use wayland_protocols_wlr::virtual_pointer::v1::client::zwlr_virtual_pointer_v1::ZwlrVirtualPointerV1;

/// How the compositor wants the screen to be taken.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Shape {
    pub format: Format,
    pub width: u32,
    pub height: u32,
    pub row_bytes: u32,
}

/// What was said, as far as a test asks for it.
#[derive(Default, Debug)]
pub(super) struct Told {
    pub shape: Option<Shape>,
    /// Rows of the screen come from the bottom up.
    pub upside_down: bool,
    /// The screen is in the buffer; or cannot be.
    pub taken: Option<bool>,
    /// Our own window may be shown.
    pub configured: bool,
    /// Number of the last press on our own window.
    pub pressed: Option<u32>,
    /// What we copied or drag.
    pub given: Vec<u8>,
    /// What is dragged has arrived, or was refused.
    pub finished: Option<bool>,
    /// What is on the clipboard, with its types.
    pub clipboard: Option<ZwlrDataControlOfferV1>,
    offered: Vec<(ZwlrDataControlOfferV1, Vec<String>)>,
    /// A field waits for composed text.
    pub composing: bool,
    /// How often the input method was told of a new state.
    pub states: u32,
    pending: Option<bool>,
}

impl Told {
    /// Whether the clipboard has something of this type.
    pub fn has(&self, kind: &str) -> bool {
        let kinds = self.offered.iter().find(|(offer, _)| Some(offer) == self.clipboard.as_ref());
        kinds.is_some_and(|(_, kinds)| kinds.iter().any(|k| k == kind))
    }

    /// Writes what was asked for; a pipe that is full, and does not block, is written on when there is room.
    fn give(&self, to: OwnedFd) {
        let (mut to, mut rest) = (File::from(to), &self.given[..]);
        wait_for("what is given to be taken", || {
            match to.write(rest) {
                Ok(written) => rest = &rest[written..],
                Err(e) if matches!(e.kind(), ErrorKind::WouldBlock | ErrorKind::Interrupted) => {}
                // Whoever asked has gone.
                Err(_) => rest = &[],
            }
            rest.is_empty()
        });
    }
}

delegate_noop!(Told: WlCompositor);
delegate_noop!(Told: WlDataDeviceManager);
delegate_noop!(Told: WlShmPool);
delegate_noop!(Told: ZwlrVirtualPointerManagerV1);
delegate_noop!(Told: ZwlrVirtualPointerV1);
delegate_noop!(Told: ZwpVirtualKeyboardManagerV1);
delegate_noop!(Told: ZwpVirtualKeyboardV1);
delegate_noop!(Told: ZwpInputMethodManagerV2);
delegate_noop!(Told: ZwlrDataControlManagerV1);
delegate_noop!(Told: ZwlrScreencopyManagerV1);
delegate_noop!(Told: ignore WlSeat);
delegate_noop!(Told: ignore WlOutput);
delegate_noop!(Told: ignore WlShm);
delegate_noop!(Told: ignore WlBuffer);
delegate_noop!(Told: ignore WlSurface);
delegate_noop!(Told: ignore WlDataOffer);
delegate_noop!(Told: ignore XdgToplevel);

/// An interface with what its events mean.
macro_rules! hears {
    ($interface:ty, $told:ident, $object:pat, $event:ident => $body:block $($child:tt)*) => {
        impl Dispatch<$interface, ()> for Told {
            fn event(
                $told: &mut Self,
                $object: &$interface,
                $event: <$interface as Proxy>::Event,
                (): &(),
                _: &Connection,
                _: &QueueHandle<Self>,
            ) $body

            $($child)*
        }
    };
}

hears!(XdgWmBase, _told, shell, event => {
    if let xdg_wm_base::Event::Ping { serial } = event {
        shell.pong(serial);
    }
});

hears!(XdgSurface, told, surface, event => {
    if let xdg_surface::Event::Configure { serial } = event {
        surface.ack_configure(serial);
        told.configured = true;
    }
});

hears!(WlPointer, told, _, event => {
    if let wl_pointer::Event::Button { serial, state: WEnum::Value(wl_pointer::ButtonState::Pressed), .. } = event {
        told.pressed = Some(serial);
    }
});

hears!(WlDataSource, told, _, event => {
    match event {
        wl_data_source::Event::Send { fd, .. } => told.give(fd),
        wl_data_source::Event::DndFinished => told.finished = Some(true),
        // Some say it after the end as well.
        wl_data_source::Event::Cancelled => {
            told.finished.get_or_insert(false);
        }
        _ => {}
    }
});

hears!(WlDataDevice, _told, _, _event => {}
    event_created_child!(Told, WlDataDevice, [wl_data_device::EVT_DATA_OFFER_OPCODE => (WlDataOffer, ())]);
);

hears!(ZwlrDataControlSourceV1, told, _, event => {
    if let zwlr_data_control_source_v1::Event::Send { fd, .. } = event {
        told.give(fd);
    }
});

hears!(ZwlrDataControlDeviceV1, told, _, event => {
    match event {
        zwlr_data_control_device_v1::Event::DataOffer { id } => told.offered.push((id, Vec::new())),
        zwlr_data_control_device_v1::Event::Selection { id } => {
            told.clipboard = id;
            told.offered.retain(|(offer, _)| Some(offer) == told.clipboard.as_ref());
        }
        _ => {}
    }
}
    event_created_child!(Told, ZwlrDataControlDeviceV1, [
        zwlr_data_control_device_v1::EVT_DATA_OFFER_OPCODE => (ZwlrDataControlOfferV1, ())
    ]);
);

hears!(ZwlrDataControlOfferV1, told, offer, event => {
    let kinds = told.offered.iter_mut().find(|(offered, _)| offered == offer);
    if let (zwlr_data_control_offer_v1::Event::Offer { mime_type }, Some((_, kinds))) = (event, kinds) {
        kinds.push(mime_type);
    }
});

hears!(ZwpInputMethodV2, told, _, event => {
    match event {
        zwp_input_method_v2::Event::Activate => told.pending = Some(true),
        zwp_input_method_v2::Event::Deactivate => told.pending = Some(false),
        zwp_input_method_v2::Event::Done => {
            told.states += 1;
            told.composing = told.pending.take().unwrap_or(told.composing);
        }
        _ => {}
    }
});

hears!(ZwlrScreencopyFrameV1, told, _, event => {
    match event {
        zwlr_screencopy_frame_v1::Event::Buffer { format: WEnum::Value(format), width, height, stride } => {
            told.shape = Some(Shape { format, width, height, row_bytes: stride });
        }
        zwlr_screencopy_frame_v1::Event::Flags { flags: WEnum::Value(flags) } => {
            told.upside_down = flags.contains(zwlr_screencopy_frame_v1::Flags::YInvert);
        }
        zwlr_screencopy_frame_v1::Event::Ready { .. } => told.taken = Some(true),
        zwlr_screencopy_frame_v1::Event::Failed => told.taken = Some(false),
        _ => {}
    }
});

impl Dispatch<WlRegistry, GlobalListContents> for Told {
    fn event(
        _: &mut Self,
        _: &WlRegistry,
        _: wl_registry::Event,
        _: &GlobalListContents,
        _: &Connection,
        _: &QueueHandle<Self>,
    ) {
    }
}
