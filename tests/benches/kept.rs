//! Milliseconds from the lift of the pen until the stroke is in the file, on 2048 x 1536 with a 60 px brush, by what is painted on:
//! 50 are promised. Run with `cargo bench -p stint-tests --bench kept`, with `-- gpu` on a graphics device; the file lies in the
//! temporary folder (`TMPDIR` names another disk).
#![allow(missing_docs, clippy::unwrap_used)]

use std::path::Path;
use std::time::Instant;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::{Session, StrokeTool};
use stint_model::board::{Board, LightOfDay, Role};
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;

const SIZE: (u32, u32) = (2048, 1536);
const STROKES: usize = 60;

fn load(session: &mut Session, n: usize) {
    let (family, role) = (format!("surface {n}"), Role::Local);
    session.apply(&Command::Load(SwatchRef::Swatch { family, role })).unwrap();
}

/// A study of some swatches, all of it filled with one of them.
fn study(path: &Path, choice: EngineChoice) -> Session {
    let mut session = Session::create(path, SIZE, Board::new("depot", LightOfDay::Cool), choice).unwrap();
    for n in 0..6 {
        let (family, name) = (format!("surface {n}"), String::new());
        let colour = format!("#{:02x}{:02x}60", 40 + 30 * n, 200 - 25 * n);
        session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
    }
    load(&mut session, 0);
    let (w, h) = (SIZE.0 as f32, SIZE.1 as f32);
    let outline = vec![[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]];
    session.apply(&Command::Mass { outline, edge: Edge::Hard }).unwrap();
    session
}

/// Paints strokes of `length_px` as a pen does; tells how long finishing took the window, and the way into the file, milliseconds each.
fn paint(session: &mut Session, length_px: f32) -> Vec<(f64, f64)> {
    let brush = Brush { size_px: 60.0, strength: 0.6, hardness: 0.5, ..Default::default() };
    session.apply(&Command::Brush(brush)).unwrap();
    let mut times = Vec::new();
    for i in 0..STROKES {
        load(session, i % 6);
        session.begin_stroke(StrokeTool::Brush).unwrap();
        let (turn, parts) = (i as f32 * 2.4, (length_px / 8.0) as u32);
        let (cx, cy) = (1024.0 + 300.0 * (turn * 0.7).sin(), 768.0 + 250.0 * (turn * 1.3).cos());
        for part in 0..=parts {
            let along = length_px * (part as f32 / parts as f32 - 0.5);
            let (x, y) = (cx + turn.cos() * along, cy + turn.sin() * along);
            session.extend_stroke(&[PenSample::new(x.clamp(0.0, 2047.0), y.clamp(0.0, 1535.0), 0.8)]).unwrap();
        }
        let lift = Instant::now();
        session.finish_stroke().unwrap();
        let finished = lift.elapsed().as_secs_f64() * 1e3;
        session.settle().unwrap();
        times.push((finished, lift.elapsed().as_secs_f64() * 1e3));
    }
    times
}

fn main() {
    let choice = if std::env::args().any(|a| a == "gpu") { EngineChoice::Gpu } else { EngineChoice::Cpu };
    println!(
        "lift to kept, milliseconds: finished for the window (median, worst), in the file (median, 95th of 100, worst)"
    );
    for length_px in [200.0, 600.0, 1500.0] {
        let folder = tempfile::tempdir().unwrap();
        let mut session = study(&folder.path().join("kept.stint"), choice);
        let times = paint(&mut session, length_px);
        let sorted = |of: fn(&(f64, f64)) -> f64| {
            let mut all: Vec<f64> = times.iter().map(of).collect();
            all.sort_by(f64::total_cmp);
            all
        };
        let (finished, kept) = (sorted(|t| t.0), sorted(|t| t.1));
        println!(
            "  {length_px:5.0} px  {:6.1} {:6.1}   {:6.1} {:6.1} {:6.1}",
            finished[STROKES / 2],
            finished[STROKES - 1],
            kept[STROKES / 2],
            kept[STROKES * 95 / 100],
            kept[STROKES - 1]
        );
        session.close().unwrap();
    }
}
