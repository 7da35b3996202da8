//! The path of a photo: what its kind is, decoding, profile, orientation, a pick, and a copy without private data.

use super::mutation::with_right_sums;
use super::{data, files, read};
use stint_model::photo::{Adjustments, Photo, pick};

/// A photo as it is, and, when it is a PNG, with the check sums that its chunks want.
pub(super) fn run(bytes: &[u8]) {
    open(bytes);
    if let Some(mended) = with_right_sums(bytes)
        && mended != bytes
    {
        open(&mended);
    }
}

fn open(bytes: &[u8]) {
    let Some(photo) = read(Photo::from_bytes(bytes, "fuzzed.jpg")) else { return };
    let (width, height) = (photo.width_px(), photo.height_px());
    assert!(width > 0 && height > 0);
    photo.warnings().iter().for_each(|warning| assert!(!warning.to_string().is_empty()));
    let view = photo.view(Adjustments::default());
    let places = [(0, 0), (width - 1, 0), (0, height - 1), (width - 1, height - 1), (width / 2, height / 2)];
    let colours = places.map(|(x, y)| view.colour(x, y));
    for colour in colours {
        assert!([colour.r, colour.g, colour.b].iter().all(|c| c.is_finite()), "a pixel without a colour: {colour:?}");
    }
    read(pick(&view, width / 2, height / 2, 5));

    let (clean, kept) = read(Photo::without_private_data(bytes.to_vec(), "fuzzed.jpg")).expect("it opened just now");
    assert_eq!([clean.width_px(), clean.height_px()], [width, height], "the copy that is kept has another size");
    let view = clean.view(Adjustments::default());
    assert_eq!(places.map(|(x, y)| view.colour(x, y)), colours, "the copy that is kept has other colours");
    let (_, again) = read(Photo::without_private_data(kept.clone(), "fuzzed.jpg")).expect("a copy opens");
    assert!(again == kept, "a copy has private data");
}

/// Small photos of every kind: a fuzzer tries them by the thousand.
const LARGEST_SEED: usize = 40_000;

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let folders = ["exif", "gamma", "icc", "jpeg", "odd", "pages", "phone", "print", "private", "turned"];
    let all = folders.iter().flat_map(|folder| files(&data(&format!("photos/{folder}"))));
    all.map(|(_, bytes)| bytes).filter(|bytes| bytes.len() <= LARGEST_SEED).collect()
}
