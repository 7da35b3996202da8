//! What is asked of a study that a window had open, in a folder that is its home.

use std::path::Path;
use std::process::Command;
use stint_model::study::Document;
use stint_model::study::file::StudyFile;
use stint_tests::program::TestFolder;

/// Name of the study.
pub const STUDY: &str = "depot.stint";

/// A name that no program should stumble over.
pub const PHOTO: &str = "tram depot 夜 #1.jpg";

/// The bytes of the demo's photo.
pub fn demo_photo() -> Vec<u8> {
    std::fs::read(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"))).unwrap()
}

/// A desk with the demo's photo, which is also the user's home.
pub fn desk() -> TestFolder {
    let desk = TestFolder::new();
    desk.write(PHOTO, demo_photo());
    desk
}

/// The program with that home.
pub fn command(desk: &TestFolder, arguments: &[&str]) -> Command {
    let mut command = desk.command(arguments);
    command.env("HOME", desk.path(""));
    command
}

/// All of a study but its paint.
pub fn document(study: &Path) -> Document {
    StudyFile::open_read_only(study).unwrap().document().clone()
}

/// Name of its photo.
pub fn reference(study: &Path) -> Option<String> {
    document(study).reference.map(|r| r.name)
}

/// Strokes of the study in the folder.
pub fn strokes(desk: &TestFolder) -> u64 {
    StudyFile::open_read_only(&desk.path(STUDY)).unwrap().strokes()
}
