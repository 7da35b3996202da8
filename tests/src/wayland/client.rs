//! What the test is to the compositor: a program with a hand of its own, which may look at the screen, hold the clipboard, drag something
//! and compose text.

use super::told::Told;
use crate::driven::wait_for;
use std::fs::File;
use std::io::Write;
use std::os::fd::AsFd;
use std::os::unix::net::UnixStream;
use std::path::Path;
use wayland_client::globals::registry_queue_init;
use wayland_client::protocol::wl_compositor::WlCompositor;
use wayland_client::protocol::wl_data_device::WlDataDevice;
use wayland_client::protocol::wl_data_device_manager::WlDataDeviceManager;
use wayland_client::protocol::wl_output::WlOutput;
use wayland_client::protocol::wl_seat::WlSeat;
use wayland_client::protocol::wl_shm::WlShm;
use wayland_client::{Connection, EventQueue, QueueHandle};
use wayland_protocols::xdg::shell::client::xdg_wm_base::XdgWmBase;
use wayland_protocols_misc::zwp_input_method_v2::client::zwp_input_method_manager_v2::ZwpInputMethodManagerV2;
use wayland_protocols_misc::zwp_input_method_v2::client::zwp_input_method_v2::ZwpInputMethodV2;
use wayland_protocols_misc::zwp_virtual_keyboard_v1::client::zwp_virtual_keyboard_manager_v1::ZwpVirtualKeyboardManagerV1;
use wayland_protocols_misc::zwp_virtual_keyboard_v1::client::zwp_virtual_keyboard_v1::ZwpVirtualKeyboardV1;
use wayland_protocols_wlr::data_control::v1::client::zwlr_data_control_device_v1::ZwlrDataControlDeviceV1;
use wayland_protocols_wlr::data_control::v1::client::zwlr_data_control_manager_v1::ZwlrDataControlManagerV1;
use wayland_protocols_wlr::screencopy::v1::client::zwlr_screencopy_manager_v1::ZwlrScreencopyManagerV1;
use wayland_protocols_wlr::virtual_pointer::v1::client::zwlr_virtual_pointer_manager_v1::ZwlrVirtualPointerManagerV1;
use wayland_protocols_wlr::virtual_pointer::v1::client::zwlr_virtual_pointer_v1::ZwlrVirtualPointerV1;

/// The connection with everything the tests use of it.
#[derive(Debug)]
pub(super) struct Client {
    queue: EventQueue<Told>,
    pub told: Told,
    pub pointer: ZwlrVirtualPointerV1,
    pub keyboard: ZwpVirtualKeyboardV1,
    pub input_method: ZwpInputMethodV2,
    pub output: WlOutput,
    pub compositor: WlCompositor,
    pub shm: WlShm,
    pub shell: XdgWmBase,
    pub screencopy: ZwlrScreencopyManagerV1,
    pub clipboards: ZwlrDataControlManagerV1,
    pub clipboard: ZwlrDataControlDeviceV1,
    pub drags: WlDataDeviceManager,
    pub drag: WlDataDevice,
}

impl Client {
    /// Connects, and plugs in a pointer and a keyboard.
    pub fn connect(socket: &Path, keymap: &str) -> Self {
        let stream = UnixStream::connect(socket).expect("the compositor listens");
        let connection = Connection::from_socket(stream).expect("the compositor speaks Wayland");
        let (globals, queue) = registry_queue_init::<Told>(&connection).expect("the compositor says what it can");
        let handle = queue.handle();
        macro_rules! bind {
            ($versions:expr) => {
                globals.bind(&handle, $versions, ()).expect("the compositor has the protocols of sway 1.7")
            };
        }
        let (seat, output): (WlSeat, WlOutput) = (bind!(1..=5), bind!(1..=3));
        let pointers: ZwlrVirtualPointerManagerV1 = bind!(2..=2);
        let keyboards: ZwpVirtualKeyboardManagerV1 = bind!(1..=1);
        let input_methods: ZwpInputMethodManagerV2 = bind!(1..=1);
        let clipboards: ZwlrDataControlManagerV1 = bind!(1..=2);
        let drags: WlDataDeviceManager = bind!(3..=3);
        let mut client = Client {
            told: Told::default(),
            pointer: pointers.create_virtual_pointer_with_output(Some(&seat), Some(&output), &handle, ()),
            keyboard: keyboards.create_virtual_keyboard(&seat, &handle, ()),
            input_method: input_methods.get_input_method(&seat, &handle, ()),
            compositor: bind!(1..=4),
            shm: bind!(1..=1),
            shell: bind!(1..=1),
            screencopy: bind!(1..=1),
            clipboard: clipboards.get_data_device(&seat, &handle, ()),
            drag: drags.get_data_device(&seat, &handle, ()),
            clipboards,
            drags,
            output,
            queue,
        };
        let size = keymap.len() as u32;
        // XKB_KEYMAP_FORMAT_TEXT_V1 of wl_keyboard.
        client.keyboard.keymap(1, file_of(keymap.as_bytes()).as_fd(), size);
        client.roundtrip();
        let _ = seat.get_pointer(&handle, ());
        client.roundtrip();
        client
    }

    /// For requests that make something.
    pub fn handle(&self) -> QueueHandle<Told> {
        self.queue.handle()
    }

    /// Sends what was asked and waits until the compositor has taken it in.
    pub fn roundtrip(&mut self) {
        self.queue.roundtrip(&mut self.told).expect("the compositor is there");
    }

    /// Takes in what the compositor has said, without waiting for more.
    pub fn attend(&mut self) {
        self.queue.flush().expect("the compositor is there");
        if let Some(reader) = self.queue.prepare_read() {
            // Nothing there is no trouble; a compositor that is gone shows at the next request.
            let _ = reader.read();
        }
        self.queue.dispatch_pending(&mut self.told).expect("the compositor is there");
        // Answers to it.
        self.queue.flush().expect("the compositor is there");
    }

    /// Waits until the compositor has said something.
    pub fn until(&mut self, what: &str, said: impl Fn(&Told) -> bool) {
        wait_for(what, || {
            self.attend();
            said(&self.told)
        });
    }
}

/// A nameless file with this in it, to be handed over.
pub(super) fn file_of(content: &[u8]) -> File {
    let mut file = tempfile::tempfile().expect("a temporary file can be made");
    file.write_all(content).expect("a temporary file can be written");
    file
}
