//! Other programs on the display, as far as the window meets them: one that holds the clipboard, one from which something is dragged, and an
//! input method.

use super::client::file_of;
use super::{OTHER, STRIP, WaylandDisplay};
use crate::driven::{Act, Place, Seat, Window, wait_for};
use std::io::Read;
use std::os::fd::AsFd;
use wayland_client::protocol::wl_data_device_manager::DndAction;
use wayland_client::protocol::wl_shm::Format;

impl WaylandDisplay {
    /// Puts something of a type on the clipboard.
    pub fn copy(&self, kind: &str, what: &[u8]) {
        let mut client = self.client.borrow_mut();
        client.told.given = what.to_vec();
        let source = client.clipboards.create_data_source(&client.handle(), ());
        source.offer(kind.to_owned());
        client.clipboard.set_selection(Some(&source));
        client.until("the clipboard", |told| told.has(kind));
    }

    /// What is on the clipboard in a type, held by another program than the test.
    ///
    /// # Panics
    /// When nothing of that type comes.
    pub fn pasted(&self, kind: &str) -> Vec<u8> {
        let mut client = self.client.borrow_mut();
        client.until("something on the clipboard", |told| told.has(kind));
        let (mut from, to) = std::io::pipe().expect("a pipe can be made");
        let offer = client.told.clipboard.clone().expect("waited for it");
        offer.receive(kind.to_owned(), to.as_fd());
        drop(to);
        client.roundtrip();
        let mut what = Vec::new();
        from.read_to_end(&mut what).expect("the holder writes");
        what
    }

    /// Drags something of a type out of another program's window and lets it go over the program's. Tells whether that took it.
    ///
    /// # Panics
    /// When the compositor does not let the drag begin.
    pub fn drop_on(&self, window: &Window<'_, Self>, kind: &str, what: &[u8], at: Place) -> bool {
        let (strip, rows) = (STRIP as i32, STRIP as usize);
        let shown = {
            let mut client = self.client.borrow_mut();
            (client.told.configured, client.told.pressed, client.told.finished) = (false, None, None);
            client.told.given = what.to_vec();
            let handle = client.handle();
            let surface = client.compositor.create_surface(&handle, ());
            let shape = client.shell.get_xdg_surface(&surface, &handle, ());
            let top = shape.get_toplevel(&handle, ());
            top.set_app_id(OTHER.to_owned());
            surface.commit();
            client.until("leave to show a window", |told| told.configured);
            let file = file_of(&vec![0x80; rows * rows * 4]);
            let pool = client.shm.create_pool(file.as_fd(), strip * strip * 4, &handle, ());
            let buffer = pool.create_buffer(0, strip, strip, strip * 4, Format::Xrgb8888, &handle, ());
            surface.attach(Some(&buffer), 0, 0);
            surface.commit();
            client.roundtrip();
            (surface, shape, top)
        };
        let middle = (self.size.0 as i32 - strip / 2, strip / 2);
        wait_for("the other program's window", || self.picture().pixel(middle) == [0x80; 3]);
        self.act(&[Act::Point(middle), Act::Down]);
        {
            let mut client = self.client.borrow_mut();
            client.until("a press on the other window", |told| told.pressed.is_some());
            let serial = client.told.pressed.expect("waited for it");
            let source = client.drags.create_data_source(&client.handle(), ());
            source.offer(kind.to_owned());
            source.set_actions(DndAction::Copy);
            client.drag.start_drag(Some(&source), &shown.0, None, serial);
            client.roundtrip();
        }
        // A hand does not jump, and the program looks at what comes before it is let go.
        for step in 0..3 {
            self.act(&[Act::Point((at.0 - 2 + step, at.1))]);
            window.rest();
        }
        self.act(&[Act::Up]);
        window.rest();
        let mut client = self.client.borrow_mut();
        client.until("an end of the drag", |told| told.finished.is_some());
        shown.2.destroy();
        shown.1.destroy();
        shown.0.destroy();
        client.roundtrip();
        client.told.finished == Some(true)
    }

    /// Whether a field of the program waits for composed text.
    pub fn composes(&self) -> bool {
        self.attend();
        self.client.borrow().told.composing
    }

    /// Shows text in the field that is not yet decided on, as an input method does.
    pub fn compose(&self, window: &Window<'_, Self>, text: &str) {
        let mut client = self.client.borrow_mut();
        let end = text.len() as i32;
        client.input_method.set_preedit_string(text.to_owned(), end, end);
        client.input_method.commit(client.told.states);
        client.roundtrip();
        drop(client);
        window.rest();
    }

    /// Puts composed text into the field.
    pub fn commit(&self, window: &Window<'_, Self>, text: &str) {
        let mut client = self.client.borrow_mut();
        client.input_method.commit_string(text.to_owned());
        client.input_method.commit(client.told.states);
        client.roundtrip();
        drop(client);
        window.rest();
    }
}
