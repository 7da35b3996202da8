//! Studies, boards, scripts and pictures of older versions open as they were, and are of this version once they are written.

use std::path::{Path, PathBuf};
use stint::study::command::Command;
use stint::study::script;
use stint::study::session::Session;
use stint_model::board::Board;
use stint_model::board::file::{board_text, parse_board, read_board};
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;
use stint_model::picture::read_attached;
use stint_model::readout::Readout;
use stint_model::study::file::StudyFile;
use stint_render::choose::EngineChoice;

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/formats").join(name)
}

/// What the program of that time said of a sample.
fn recorded(name: &str) -> String {
    std::fs::read_to_string(sample(name)).unwrap()
}

/// As `stint readout --json` prints it.
fn json(readout: &Readout) -> String {
    serde_json::to_string_pretty(readout).unwrap() + "\n"
}

/// The samples of studies: the name, and how many steps can be undone and redone.
const STUDIES: [(&str, (u64, u64)); 3] = [("study_1", (5, 0)), ("study_2", (29, 2)), ("study_3", (29, 2))];

#[test]
fn studies_of_every_version_have_the_readout_they_had() {
    for (name, depths) in STUDIES {
        let folder = tempfile::tempdir().unwrap();
        let study = folder.path().join("depot.stint");
        let (original, expected) = (sample(&format!("{name}.stint")), recorded(&format!("{name}.json")));
        std::fs::copy(&original, &study).unwrap();
        let mut read = Session::open_read_only(&study, EngineChoice::Cpu).unwrap();
        assert_eq!(json(&read.readout().unwrap()), expected, "{name}");
        drop(read);
        assert!(std::fs::read(&study).unwrap() == std::fs::read(&original).unwrap(), "looking at {name} changed it");

        let mut session = Session::open(&study, EngineChoice::Cpu).unwrap();
        let notice = session.take_notice().unwrap();
        assert!(notice.contains("depot before upgrade.stint") && notice.contains("older format"), "{notice}");
        assert_eq!(session.take_notice(), None, "{name}");
        assert_eq!(session.depths(), depths, "{name}");
        let document = session.document().clone();
        assert_eq!(json(&session.readout().unwrap()), expected, "{name}");
        // There and back again over the whole history, and once more from the file.
        for _ in 0..depths.1 {
            session.apply(&Command::Redo).unwrap();
        }
        for _ in 0..depths.0 + depths.1 {
            session.apply(&Command::Undo).unwrap();
        }
        assert_eq!((session.depths().0, session.readout().unwrap().painted_px), (0, 0.0), "{name}");
        for _ in 0..depths.0 {
            session.apply(&Command::Redo).unwrap();
        }
        session.close().unwrap();
        let mut session = Session::open(&study, EngineChoice::Cpu).unwrap();
        assert_eq!(json(&session.readout().unwrap()), expected, "{name}");
        assert_eq!((session.document(), session.depths()), (&document, depths), "{name}");
        // It is painted on like any other.
        session.apply(&Command::Turn(30.0)).unwrap();
        session.close().unwrap();
        let session = Session::open(&study, EngineChoice::Cpu).unwrap();
        assert_eq!(session.depths(), (depths.0 + 1, 0), "{name}");
    }
}

#[test]
fn a_study_of_version_2_keeps_what_is_not_paint() {
    let mut session = Session::open_read_only(&sample("study_2.stint"), EngineChoice::Cpu).unwrap();
    let document = session.document().clone();
    let boards: Vec<_> = document.boards.iter().map(|b| (b.name.as_str(), b.date.as_str())).collect();
    assert_eq!(boards, [("Tram depot, rain", "2026-11-20")]);
    let reference = document.reference.unwrap();
    assert_eq!((reference.name.as_str(), reference.adjustments.hue_turn_degrees), ("yard.jpg", 4.0));
    assert_eq!((document.picks.len(), document.board.dismissed.len(), document.free_open), (2, 1, false));
    let file = StudyFile::open_read_only(&sample("study_2.stint")).unwrap();
    assert!(
        file.photo(reference.photo).unwrap().1 == std::fs::read(sample("yard.jpg")).unwrap(),
        "the photo is another one"
    );
    let rows = session.shares().unwrap();
    assert_eq!((rows.len(), rows.last().unwrap().strokes), (30, 9));
    assert_eq!(session.readout().unwrap().free_colour.opened.len(), 1);
}

/// Plays a script as `stint play` does.
fn play(name: &str, out: &Path) -> Session {
    let path = sample(name);
    let script = script::read(&path).unwrap();
    let board = Board::new(&script.board, script.light);
    let mut session = Session::create(out, (script.width, script.height), board, EngineChoice::Cpu).unwrap();
    session.set_folder(path.parent().unwrap());
    for command in &script.commands {
        session.apply(command).unwrap();
    }
    session
}

#[test]
fn a_script_of_format_1_paints_what_it_painted() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = play("script_1.ron", &folder.path().join("depot.stint"));
    // The study of version 2 was made from it, with another JPEG decoder: a colour picked from the photo may be one code away
    // (ITU-T T.83 leaves decoders that much), and everything else is as it was.
    let parsed = |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap();
    let (mut now, then) = (parsed(&json(&session.readout().unwrap())), parsed(&recorded("study_2.json")));
    let codes = |swatch: &serde_json::Value| Colour::from_hex(swatch["hex"].as_str().unwrap()).unwrap().to_srgb8();
    for (new, old) in now["swatches"].as_array_mut().unwrap().iter_mut().zip(then["swatches"].as_array().unwrap()) {
        let apart = codes(new).into_iter().zip(codes(old)).map(|(a, b)| a.abs_diff(b)).max();
        assert!(apart <= Some(1), "{new} {old}");
        new["hex"] = old["hex"].clone();
    }
    assert_eq!(now, then);
    assert_eq!(session.depths(), (29, 2));
}

#[test]
fn a_picture_of_format_1_gives_back_its_board_and_readout() {
    let attached = read_attached(&sample("picture_1.png")).unwrap();
    assert_eq!(json(&attached.readout), recorded("study_2.json"));
    assert_eq!(
        attached.board,
        Session::open_read_only(&sample("study_2.stint"), EngineChoice::Cpu).unwrap().document().board
    );
}

#[test]
fn boards_of_every_format_read_and_are_written_as_the_present_one() {
    for name in ["board_1", "board_2"] {
        let board = read_board(&sample(&format!("{name}.board.ron"))).unwrap();
        let said: serde_json::Value = serde_json::from_str(&recorded(&format!("{name}.json"))).unwrap();
        assert_eq!(said["name"], board.name, "{name}");
        assert_eq!(said["light"], format!("{:?}", board.light), "{name}");
        let swatches: Vec<_> = board
            .swatches()
            .map(|(family, s)| (family.name.clone(), format!("{:?}", s.role), s.name.clone(), s.colour.hex()))
            .collect();
        let text = |line: &serde_json::Value, key: &str| line[key].as_str().unwrap().to_owned();
        let lines = said["swatches"].as_array().unwrap().iter();
        let lines: Vec<_> =
            lines.map(|l| (text(l, "family"), text(l, "role"), text(l, "name"), text(l, "hex"))).collect();
        assert_eq!(swatches, lines, "{name}");
        let now = board_text(&board).unwrap();
        assert!(now.contains("format: 2"), "{now}");
        assert_eq!(parse_board(&now, name).unwrap(), board, "{name}");
    }
    // A board of the present format is written as it was read.
    let text = recorded("board_2.board.ron");
    assert_eq!(board_text(&parse_board(&text, "board_2").unwrap()).unwrap(), text);
    let first = read_board(&sample("board_1.board.ron")).unwrap();
    assert_eq!(first.families[0].swatches[1].id, SwatchId(2));
    assert!(first.date.is_empty() && first.dismissed.is_empty() && first.families[0].distance.is_none());
}
