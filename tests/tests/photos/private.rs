//! What a photo tells about place, time, camera and owner is gone once a study has it; exiftool, which is not ours, looks.

use std::process::Command;
use stint::study::session::Session;
use stint_model::photo::{Adjustments, Photo, PixelRect};
use stint_model::study::file::StudyFile;
use stint_render::choose::EngineChoice;
use stint_tests::program::{TestFolder, data};

/// Everything that exiftool finds in a file, a line a tag.
fn told(path: &std::path::Path) -> String {
    let output = Command::new("exiftool").args(["-a", "-G1", "-s", "-ee"]).arg(path).output();
    let output = output.expect("install exiftool (Debian: libimage-exiftool-perl)");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn a_study_holds_its_photo_without_private_data() {
    for ending in ["jpg", "png", "webp", "tif", "heic", "jxl"] {
        let desk = TestFolder::new();
        let name = format!("depot.{ending}");
        let photo = desk.take(&format!("photos/private/{name}"));
        let before = told(&photo);
        for word in ["GPSLatitude", "DEPOT-4711", "LENS-0815", "ThumbnailOffset", "Tuesday Painter"] {
            // TIFF has no place for a thumbnail.
            assert!(before.contains(word) || ending == "tif", "{name} tells {word} before:\n{before}");
        }
        desk.stint(["open", &name, "--out", "depot.stint", "--engine", "cpu"]).success();
        let study = StudyFile::open(&desk.path("depot.stint")).unwrap();
        let key = study.document().reference.as_ref().unwrap().photo;
        let (_, kept) = study.photo(key).unwrap();
        let kept_path = desk.write(&format!("kept.{ending}"), &kept);
        // A warning that a part is empty tells nothing.
        let after: String =
            told(&kept_path).lines().filter(|l| !l.contains("Warning")).map(|l| format!("{l}\n")).collect();
        for word in
            ["GPS", "Serial", "Thumbnail", "Artist", "Painter", "DateTimeOriginal", "XMP", "IPTC", "Tram 9", "City"]
        {
            assert!(!after.contains(word), "{name} still tells {word}:\n{after}");
        }
        drop(study);

        let mut session = Session::open(&desk.path("depot.stint"), EngineChoice::Cpu).unwrap();
        let (kept, _) = session.reference().unwrap();
        let whole = |photo: &Photo| {
            let (width_px, height_px) = (photo.width_px(), photo.height_px());
            photo.view(Adjustments::default()).region(PixelRect { x: 0, y: 0, width_px, height_px })
        };
        let original = Photo::open(data("photos/private").join(&name)).unwrap();
        assert_eq!((kept.width_px(), kept.height_px()), (original.width_px(), original.height_px()), "{name}");
        assert!(whole(&kept) == whole(&original), "{name}");
        // The painter's own file stays as it is.
        assert_eq!(std::fs::read(&photo).unwrap(), std::fs::read(data("photos/private").join(&name)).unwrap());
    }
}
