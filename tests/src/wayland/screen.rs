//! Pictures of the screen, through wlr-screencopy-unstable-v1.

use super::client::{Client, file_of};
use crate::driven::Picture;
use std::io::{Read, Seek};
use std::os::fd::AsFd;
use wayland_client::protocol::wl_shm::Format;

/// Takes the screen.
pub(super) fn take(client: &mut Client) -> Picture {
    (client.told.shape, client.told.taken) = (None, None);
    let handle = client.handle();
    let frame = client.screencopy.capture_output(0, &client.output, &handle, ());
    client.until("the shape of the screen", |told| told.shape.is_some());
    let shape = client.told.shape.expect("waited for it");
    let bytes = shape.row_bytes as usize * shape.height as usize;
    let mut file = file_of(&vec![0; bytes]);
    let pool = client.shm.create_pool(file.as_fd(), bytes as i32, &handle, ());
    let [width, height, row_bytes] = [shape.width, shape.height, shape.row_bytes].map(|n| n as i32);
    let buffer = pool.create_buffer(0, width, height, row_bytes, shape.format, &handle, ());
    frame.copy(&buffer);
    client.until("the screen", |told| told.taken.is_some());
    assert_eq!(client.told.taken, Some(true), "the compositor hands over its screen");
    let mut dump = Vec::new();
    file.rewind().and_then(|()| file.read_to_end(&mut dump)).expect("a file of ours");
    frame.destroy();
    buffer.destroy();
    pool.destroy();
    client.roundtrip();
    // Names of formats go from the high byte of a little-endian number down.
    let order = match shape.format {
        Format::Xrgb8888 | Format::Argb8888 => [2, 1, 0],
        Format::Xbgr8888 | Format::Abgr8888 => [0, 1, 2],
        other => panic!("the screen is in a form this does not read: {other:?}"),
    };
    let mut rows: Vec<&[u8]> = dump.chunks_exact(shape.row_bytes as usize).collect();
    if client.told.upside_down {
        rows.reverse();
    }
    let pixels = rows.iter().flat_map(|row| row.chunks_exact(4).take(shape.width as usize));
    let rgb = pixels.flat_map(|pixel| order.map(|byte| pixel[byte])).collect();
    Picture { width: shape.width, height: shape.height, rgb }
}
