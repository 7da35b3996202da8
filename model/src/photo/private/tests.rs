#![allow(clippy::unwrap_used)]

use super::without_private_data;
use crate::photo::{Adjustments, Photo, PixelRect};

const PHOTOS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/data/photos/");

/// One photo of each kind, full of private data.
const KINDS: [&str; 6] = ["depot.jpg", "depot.png", "depot.webp", "depot.tif", "depot.heic", "depot.jxl"];

fn pixels(bytes: &[u8]) -> (u32, u32, Vec<crate::colour::Colour>) {
    let photo = Photo::from_bytes(bytes, "a").unwrap();
    let (width_px, height_px) = (photo.width_px(), photo.height_px());
    let all = photo.view(Adjustments::default()).region(PixelRect { x: 0, y: 0, width_px, height_px });
    (width_px, height_px, all)
}

#[test]
fn pixels_and_orientation_stay_and_words_go() {
    for name in KINDS {
        let bytes = std::fs::read(format!("{PHOTOS}private/{name}")).unwrap();
        let holds = |bytes: &[u8], word: &str| bytes.windows(word.len()).any(|w| w == word.as_bytes());
        assert!(holds(&bytes, "DEPOT-4711") && holds(&bytes, "Tuesday Painter"), "{name}");
        let clean = without_private_data(&bytes).unwrap();
        for word in ["DEPOT-4711", "LENS-0815", "Tuesday Painter", "Tram 9", "2026", "Depot"] {
            assert!(!holds(&clean, word), "{name} still holds {word}");
        }
        assert!(pixels(&clean) == pixels(&bytes), "{name}");
        assert_eq!(without_private_data(&clean).as_ref(), Some(&clean), "{name} cleaned twice");
    }
}

/// Photos of all kinds and oddities come out with equal pixels.
#[test]
fn every_photo_keeps_its_pixels() {
    let folders = ["jpeg", "phone", "print", "pages", "turned", "gamma", "exif", "icc", "odd"];
    let mut looked_at = 0;
    for folder in folders {
        for entry in std::fs::read_dir(format!("{PHOTOS}{folder}")).unwrap() {
            let path = entry.unwrap().path();
            let bytes = std::fs::read(&path).unwrap();
            if Photo::from_bytes(&bytes, "a").is_err() {
                continue;
            }
            let clean = without_private_data(&bytes).unwrap_or_else(|| panic!("{} cannot be cleaned", path.display()));
            assert!(pixels(&clean) == pixels(&bytes), "{}", path.display());
            looked_at += 1;
        }
    }
    assert!(looked_at > 60, "{looked_at}");
}

#[test]
fn damaged_files_never_panic() {
    for name in KINDS {
        let bytes = std::fs::read(format!("{PHOTOS}private/{name}")).unwrap();
        for cut in (0..bytes.len()).step_by(1 + bytes.len() / 300) {
            let _ = without_private_data(&bytes[..cut]);
        }
        for at in (0..bytes.len()).step_by(1 + bytes.len() / 1500) {
            for value in [0, 0x7F, 0xFF] {
                let mut changed = bytes.clone();
                changed[at] = value;
                let _ = without_private_data(&changed);
            }
        }
    }
}
