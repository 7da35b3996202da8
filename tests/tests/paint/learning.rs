//! Stints, studies from memory and progress from the command line, in a data folder of their own.

use serde_json::Value;
use std::path::Path;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::Role;
use stint_render::choose::EngineChoice;
use stint_render::mask::mass::Edge;
use stint_tests::program::TestFolder;

fn json(desk: &TestFolder, arguments: &[&str]) -> Value {
    serde_json::from_str(&desk.stint(arguments).success()).unwrap()
}

/// A study of a real photo (see `data/SOURCES.md`) with a mass of one swatch on its left half.
fn desk() -> TestFolder {
    let desk = TestFolder::new();
    desk.take("photos/china.jpg");
    desk.stint(["open", "china.jpg", "--no-window", "--stint", "40", "--long-side", "400"]).success();
    let mut session = Session::open(&desk.path("china.stint"), EngineChoice::Cpu).unwrap();
    let (family, role, name) = ("Wall".to_owned(), Role::Local, String::new());
    let outline = vec![[0.0, 0.0], [200.0, 0.0], [200.0, 300.0], [0.0, 300.0]];
    for command in [
        Command::AddSwatch { family: family.clone(), role, name, colour: "#73524e".to_owned(), by_role: false },
        Command::Load(SwatchRef::Swatch { family, role }),
        Command::Mass { outline, edge: Edge::default() },
    ] {
        session.apply(&command).unwrap();
    }
    session.close().unwrap();
    desk
}

/// Puts studies on the list of those that were opened last, as the window does.
fn list(desk: &TestFolder, names: &[&str]) {
    std::fs::create_dir_all(desk.data_folder()).unwrap();
    let paths: Vec<_> = names.iter().map(|name| desk.path(name).display().to_string()).collect();
    std::fs::write(desk.data_folder().join("recent.ron"), format!("(studies: {paths:?})")).unwrap();
}

#[test]
fn a_stint_and_a_shut_photo_are_told_by_the_readout() {
    let desk = desk();
    let told = json(&desk, &["readout", "china.stint", "--json"]);
    assert_eq!(told["time"]["stint_min"], 40);
    assert!(told.get("photo").is_none(), "{told}");
    assert!(desk.stint(["readout", "china.stint"]).success().ends_with("\n0 of 40 minutes at work\n"));
    let said = desk.stint(["study", "china.stint", "--from-memory", "again.stint"]).success();
    assert_eq!(said.trim(), "again.stint");
    let told = json(&desk, &["readout", "again.stint", "--json"]);
    assert_eq!((&told["photo"]["shut"], &told["time"]["stint_min"]), (&true.into(), &40.into()));
    assert_eq!((told["width"].as_u64(), told["painted_px"].as_f64()), (Some(400), Some(0.0)));
    assert!(desk.stint(["readout", "again.stint"]).success().contains("\nThe photo is shut\n"));
    let mut session = Session::open(&desk.path("again.stint"), EngineChoice::Cpu).unwrap();
    session.apply(&Command::OpenPhoto).unwrap();
    session.close().unwrap();
    let told = json(&desk, &["readout", "again.stint", "--json"]);
    let opened = &told["photo"]["opened"][0];
    assert_eq!((&opened["after_strokes"], &opened["bare_share"]), (&0.into(), &1.0.into()));
    // The same name is no second study, and a study without a photo cannot be painted again.
    desk.stint(["study", "china.stint", "--from-memory", "again.stint"]).refused(&["again.stint"]);
    desk.study_with_brick("plain.stint");
    desk.stint(["study", "plain.stint", "--from-memory", "b.stint"]).refused(&["photo"]);
    assert!(!desk.path("b.stint").exists());
    for wrong in [&["study", "china.stint"][..], &["open", "china.jpg", "--stint", "0"]] {
        assert_eq!(desk.stint(wrong).code, Some(2), "{wrong:?}");
    }
}

#[test]
fn progress_is_told_and_written_and_figures_are_worked_out_once() {
    let desk = desk();
    let nothing = desk.stint(["progress"]).success();
    assert_eq!(nothing.trim(), "nothing was painted or practised yet");
    desk.stint(["study", "china.stint", "--from-memory", "again.stint"]).success();
    desk.write("broken.stint", "no study");
    list(&desk, &["china.stint", "again.stint", "broken.stint"]);
    let run = desk.stint(["progress", "--json"]);
    assert!(run.code == Some(0) && run.err.contains("broken.stint cannot be read"), "{run:?}");
    let told: Value = serde_json::from_str(&run.out).unwrap();
    // A study without paint is none yet.
    let studies = told["studies"].as_array().unwrap();
    assert_eq!((studies.len(), &studies[0]["name"], &studies[0]["board"]), (1, &"china".into(), &"china".into()));
    assert_eq!((&studies[0]["board_share"], &studies[0]["stint_min"]), (&1.0.into(), &40.into()));
    assert!(told["next_time"].is_null());
    // The miss is the mean over what `stint compare` finds, surface by surface, each as large as it is painted.
    let compared = json(&desk, &["compare", "china.stint", "--json"]);
    let surfaces = compared["surfaces"].as_array().unwrap();
    let number = |value: &Value| value.as_f64().unwrap();
    for way in ["value", "warmth", "chroma"] {
        let (mut all, mut lean, mut size) = (0.0, 0.0, 0.0);
        for surface in surfaces {
            let (weight, by) =
                (number(&surface["share"]) * number(&surface["painted"]), number(&surface["difference"][way]));
            (all, lean, size) = (all + weight, lean + weight * by, size + weight * by.abs());
        }
        let miss = &studies[0]["miss"][way];
        assert!((number(&miss["lean"]) - lean / all).abs() < 1e-9, "{way}: {miss} {surfaces:?}");
        assert!((number(&miss["size"]) - size / all).abs() < 1e-9, "{way}: {miss} {surfaces:?}");
    }
    // Kept by what the file is: a second look opens no study, and a study that changed is looked at again.
    let kept = desk.data_folder().join("figures.ron");
    let before = std::fs::read_to_string(&kept).unwrap();
    assert!(before.contains("china"));
    desk.stint(["progress"]);
    assert_eq!(std::fs::read_to_string(&kept).unwrap(), before, "nothing new was worked out");
    let mut session = Session::open(&desk.path("china.stint"), EngineChoice::Cpu).unwrap();
    session.apply(&Command::RenameBoard("Lanterns".to_owned())).unwrap();
    session.close().unwrap();
    list(&desk, &["china.stint"]);
    assert_eq!(json(&desk, &["progress", "--json"])["studies"][0]["board"], "Lanterns");
    for name in ["p.csv", "p.svg", "p.png"] {
        desk.stint(["progress", "-o", name]).success();
        desk.stint(["progress", "-o", name]).refused(&[name, "exists already"]);
        desk.stint(["progress", "-o", name, "--replace"]).success();
    }
    desk.stint(["progress", "-o", "p.txt"]).refused(&["p.txt", ".csv"]);
    let drawing = std::fs::read_to_string(desk.path("p.svg")).unwrap();
    let folder = desk.path("").display().to_string();
    assert!(drawing.contains("china") && !drawing.contains(&folder), "a drawing names no folders");
    csv_reads(&desk.path("p.csv"));
}

/// The table, by a reader of RFC 4180 that is not ours: crate `csv`.
fn csv_reads(path: &Path) {
    let mut reader = csv::Reader::from_path(path).unwrap();
    let columns = reader.headers().unwrap().len();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!((rows.len(), rows[0].len()), (1, columns));
    assert_eq!((&rows[0][0], &rows[0][2], &rows[0][3]), ("study", "china", "Lanterns"));
}

/// The picture, by a reader that is not ours: crate `image`.
#[test]
fn the_charts_are_a_picture_in_greys() {
    let desk = desk();
    list(&desk, &["china.stint"]);
    desk.stint(["progress", "-o", "p.png"]).success();
    let picture = image::open(desk.path("p.png")).unwrap().to_rgb8();
    assert!(picture.width() == 1920 && picture.pixels().all(|p| p.0[0] == p.0[1] && p.0[1] == p.0[2]));
    assert!(picture.pixels().filter(|p| p.0[0] >= 220).count() > 300, "words and points");
}
