//! Studies and boards of older versions open as they were, and are of this version once they are written.
#![allow(missing_docs, clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use stint::study::command::Command;
use stint::study::session::Session;
use stint_model::board::file::{board_text, read_board};
use stint_model::ids::SwatchId;
use stint_render::choose::EngineWish;

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/formats").join(name)
}

#[test]
fn a_study_of_version_1_opens_and_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let study = folder.path().join("wall.stint");
    std::fs::copy(sample("study_1.stint"), &study).unwrap();
    let mut read = Session::open_read_only(&study, EngineWish::Cpu).unwrap();
    assert_eq!(read.readout().unwrap().painted_px, 96.0 * 64.0);
    // Looking at it left it as it was.
    assert_eq!(std::fs::read(&study).unwrap(), std::fs::read(sample("study_1.stint")).unwrap());
    let mut session = Session::open(&study, EngineWish::Cpu).unwrap();
    assert_eq!(session.document().board.families.len(), 1);
    session.apply(&Command::Turn(30.0)).unwrap();
    session.apply(&Command::Undo).unwrap();
    session.apply(&Command::Undo).unwrap();
    assert_eq!(session.strokes(), 1);
    session.apply(&Command::Redo).unwrap();
    session.close().unwrap();
    let readout = Session::open(&study, EngineWish::Cpu).unwrap().readout().unwrap();
    let shares: Vec<_> = readout.swatches.iter().map(|s| s.share).collect();
    assert_eq!(shares, [0.0, 0.5, 0.5]);
}

#[test]
fn a_board_of_format_1_reads_and_is_written_as_the_present_one() {
    let board = read_board(&sample("board_1.board.ron")).unwrap();
    assert_eq!((board.name.as_str(), board.families[0].swatches[1].id), ("Depot wall", SwatchId(2)));
    assert!(board.date.is_empty() && board.dismissed.is_empty() && board.families[0].distance.is_none());
    assert!(board_text(&board).contains("format: 2"));
}
