//! What the program itself reads: scripts and keys.

use super::{data, read, text};
use std::path::Path;
use stint::study::command::Command;
use stint::study::script::{Script, parse};
use stint::study::session::Session;
use stint::ui::keys::{self, Action};
use stint_model::board::{Board, LightOfDay};
use stint_render::choose::EngineChoice;

/// Largest canvas a script is played on, pixels, and most commands.
const SMALL: (u32, usize) = (300 * 300, 40);

/// A script; one that reads well and is small is played on a study in memory.
pub(super) fn script(bytes: &[u8]) {
    let Some(Script { width, height, board, light, commands, format: _ }) =
        read(parse(text(bytes), Path::new("fuzzed.ron")))
    else {
        return;
    };
    let names_a_file = |command: &Command| matches!(command, Command::Reference(_) | Command::UseBoard(_));
    if width * height > SMALL.0 || commands.len() > SMALL.1 || commands.iter().any(names_a_file) {
        return;
    }
    let board = Board::new(&board, light);
    let session = Session::in_memory((width, height), board, EngineChoice::Cpu);
    let Some(mut session) = read(session) else { return };
    for command in &commands {
        read(session.apply(command));
        let readout = read(session.readout()).expect("there is a readout at any time");
        let shares = readout.board_share + readout.free_share;
        assert!(readout.painted_px == 0.0 || (shares - 1.0).abs() < 1e-9, "{readout:?}");
    }
    while session.depths().0 > 0 {
        session.apply(&Command::Undo).expect("every step can be undone");
    }
    assert_eq!(session.readout().expect("there is a readout at any time").painted_px, 0.0);
}

/// `keys.ron`: whatever it says, a key does one thing, and every action can be looked up.
pub(super) fn key_file(bytes: &[u8]) {
    let (map, notices) = keys::parse(text(bytes));
    for notice in notices {
        read::<(), _>(Err(notice));
    }
    let mut given = Vec::new();
    for action in Action::all() {
        for chord in map.keys(action) {
            assert!(!given.contains(chord), "{chord} does two things");
            given.push(*chord);
        }
    }
}

pub(super) fn script_seeds() -> Vec<Vec<u8>> {
    let commands = vec![
        Command::AddFamily("brick".to_owned()),
        Command::AddSwatch {
            family: "brick".to_owned(),
            role: stint_model::board::Role::Local,
            name: String::new(),
            colour: "#7a5a4c".to_owned(),
            by_role: false,
        },
        Command::Turn(20.0),
        Command::OpenFree,
        Command::LoadFree("#1b2027".to_owned()),
        Command::Undo,
    ];
    let own = Script {
        format: stint::study::script::FORMAT,
        width: 90,
        height: 70,
        board: "yard".to_owned(),
        light: LightOfDay::Warm,
        commands,
    };
    let own = ron::to_string(&own).expect("a script has a text").into_bytes();
    let painted = "(format: 1, width: 60, height: 40, board: \"b\", commands: [\
        AddSwatch(family: \"a\", role: Local, colour: \"#7a5a4c\"), Load(Swatch(family: \"a\", role: Local)),\
        Brush((size: 44.0, hardness: 0.7, strength: 0.6, spacing: 0.1, pressure_size: true, pressure_strength: false)),\
        Stroke([(x_px: 3.0, y_px: 4.0, pressure: 1.0), (x_px: 50.0, y_px: 30.0, pressure: 0.3)]),\
        AddPass(\"glaze\"), PassStrength(pass: \"glaze\", strength: 0.5),\
        Mass(outline: [(2.0, 2.0), (50.0, 3.0), (20.0, 30.0)], edge: Hard), Soften([(x_px: 9.0, y_px: 9.0, pressure: 1.0)]),\
        Scrape([(x_px: 20.0, y_px: 9.0, pressure: 1.0)]), MergeDown(\"glaze\"), Relight(3000.0), Key(spread: 0.8, shift: 2.0),\
        SetMixing(Perceptual), RemoveSwatch(swatch: Swatch(family: \"a\", role: Local)), Undo, Redo])";
    let sample = std::fs::read(data("formats/script_1.ron")).expect("test data can be read");
    vec![own, painted.as_bytes().to_vec(), sample]
}

pub(super) fn key_seeds() -> Vec<Vec<u8>> {
    let own = [
        r#"{"StepBack": ["Ctrl+Z", "Backspace"], "Mirror": ["M"], "TwoTone": []}"#,
        r#"{"Mirror": ["Ctrl++", "Shift+F1", "alt+command+A", "+"], "Nothing": ["Q"], "StepBack": ["M", "Ctrl+"]}"#,
    ];
    let all: Vec<_> = Action::all().map(|action| format!("\"{}\": [\"F5\", \"A\"]", action.name())).collect();
    own.map(str::to_owned).into_iter().chain([format!("{{{}}}", all.join(", "))]).map(String::into_bytes).collect()
}
