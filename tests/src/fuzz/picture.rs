//! The chunks of a PNG that carry a board and suggested palettes.

use super::mutation::with_right_sums;
use super::{data, files, read};
use stint_model::picture::{Attached, read_attached, read_suggested_palettes};

/// A PNG as it is, and with the check sums that its chunks want.
pub(super) fn run(bytes: &[u8]) {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let path = folder.path().join("fuzzed.png");
    let mended = with_right_sums(bytes);
    for bytes in [Some(bytes), mended.as_deref()].into_iter().flatten() {
        std::fs::write(&path, bytes).expect("the temporary folder can be written");
        if let Some(attached) = read(read_attached(&path)) {
            let text = attached.to_ron().expect("what was read can be written");
            assert_eq!(Attached::from_ron(&text).expect("what was written can be read"), attached);
        }
        read(read_suggested_palettes(&path));
    }
}

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let with_board = ["formats/picture_1.png", "pictures/splt_itxt.png"];
    let with_board = with_board.iter().map(|name| std::fs::read(data(name)).expect("test data can be read"));
    let others = files(&data("photos/odd")).into_iter().map(|(_, bytes)| bytes);
    with_board.chain(others.filter(|bytes| bytes.starts_with(b"\x89PNG") && bytes.len() < 4000)).collect()
}
