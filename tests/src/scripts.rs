//! Small scripts, and what came of playing them.

use crate::numbers::Numbers;
use crate::program::{RunOutput, TestFolder};
use std::path::Path;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::Role;
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;

/// Canvas size the strokes are meant for, pixels.
pub const SIZE: (u32, u32) = (1000, 700);

/// A swatch, on the board and on the brush.
pub fn loaded() -> Vec<Command> {
    let (family, role) = ("brick".to_owned(), Role::Local);
    let colour = "#7a5a4c".to_owned();
    let add = Command::AddSwatch { family: family.clone(), role, name: String::new(), colour, by_role: false };
    vec![add, Command::Load(SwatchRef::Swatch { family, role })]
}

/// Winding strokes of changing pressure, the same ones every time; their tiles take room in a file.
pub fn strokes(count: u32) -> Vec<Command> {
    let mut numbers = Numbers(3);
    let (width, height) = (SIZE.0 as f32, SIZE.1 as f32);
    let mut sample = || PenSample::new(numbers.range(0.0, width), numbers.range(0.0, height), numbers.range(0.1, 1.0));
    (0..count).map(|_| Command::Stroke((0..6).map(|_| sample()).collect())).collect()
}

/// A folder with the script `depot.ron` and the study of three strokes it makes, `depot.stint`.
///
/// # Panics
/// When it cannot be played.
pub fn desk_with_study() -> TestFolder {
    let desk = TestFolder::new();
    desk.script("depot.ron", SIZE, [loaded(), strokes(3)].concat());
    play(&desk, "depot.ron", "depot.stint").success();
    desk
}

/// Plays a script into a new study with the CPU engine.
pub fn play(desk: &TestFolder, script: &str, out: &str) -> RunOutput {
    desk.stint(["play", script, "--out", out, "--engine", "cpu"])
}

/// How many strokes a run of `play` said were kept.
pub fn kept(said: &RunOutput) -> u64 {
    said.out.lines().filter(|line| line.starts_with("stroke ") && line.contains(" kept")).count() as u64
}

/// Opens a study for painting and counts its strokes.
///
/// # Panics
/// When it cannot be opened, or there is no paint on it.
pub fn strokes_in(path: &Path) -> u64 {
    let opened = Session::open(path, EngineChoice::Cpu);
    let mut session = opened.unwrap_or_else(|error| panic!("a study that must open does not: {error}"));
    let readout = session.readout().unwrap_or_else(|error| panic!("{error}"));
    assert!(readout.painted_px > 0.0, "a study without paint");
    session.strokes()
}
