//! The main job in figures: opening a 12-megapixel photo, a pick, painting against photo, what a board reaches, and the memory of a large
//! study blocked in with masses.
//! Run with `cargo bench -p stint-tests --bench job`.
//!
//! Targets on two cores: a 12-megapixel JPEG opens in under 600 ms; a pick on it with hue turn and soften on takes under
//! 1 ms; 2048 x 1536 px held against it takes under 150 ms and what a board reaches of it under 50 ms; a 4096 x 4096 study blocked in with
//! 30 masses on the CPU engine stays under 90 MiB at its peak; with `-- large`, one of 16384 x 16384 with 60 under 1.5 GiB, opened for its
//! first frame in under 1 s, as is one with grain in every tile (`-- grained`).
#![allow(missing_docs, clippy::unwrap_used)]

mod large_jpeg;

use std::path::Path;
use std::time::{Duration, Instant};
use stint::study::command::{Command, SwatchRef};
use stint::study::session::{Reading, Session};
use stint_model::board::Role;
use stint_model::board_match::reach::{PhotoReach, Reach};
use stint_model::mixing::Mixing;
use stint_model::photo::{Adjustments, Photo, pick};
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mark::{Kind, Mark};
use stint_render::mask::mass::Edge;
use stint_tests::numbers::Numbers;
use stint_tests::scenes;

fn median_ms(rounds: usize, mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..rounds)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn photo() {
    let bytes = large_jpeg::large_jpeg();
    let mib = bytes.len() as f64 / f64::from(1 << 20);
    let open = median_ms(5, || drop(Photo::from_bytes(&bytes, "bench.jpg").unwrap()));
    println!("a 12-megapixel JPEG of {mib:.1} MiB opens in {open:.0} ms");
    let photo = Photo::from_bytes(&bytes, "bench.jpg").unwrap();
    let view = photo.view(Adjustments { hue_turn_degrees: 8.0, soften_px: 1.0, ..Adjustments::default() });
    let mut x = 100;
    let pick_ms = median_ms(201, || {
        x = (x + 17) % 3900;
        pick(&view, x, 1500, 31).unwrap();
    });
    println!("a pick of 31 px with hue turn and soften takes {pick_ms:.3} ms");
}

/// A painting of 2048 x 1536 px held against the photo, and again after a stroke; and what its board reaches.
fn learning() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("photo.jpg");
    std::fs::write(&path, large_jpeg::large_jpeg()).unwrap();
    let mut session = Session::in_memory((2048, 1536), scenes::board(6), EngineChoice::Cpu).unwrap();
    session.apply(&Command::Reference(path.to_string_lossy().into_owned())).unwrap();
    let mut numbers = Numbers(11);
    let load =
        |i: u32| Command::Load(SwatchRef::Swatch { family: format!("surface {}", 1 + i % 6), role: Role::Local });
    for i in 0..24 {
        session.apply(&load(i)).unwrap();
        let mut corner = || [numbers.range(-100.0, 2100.0), numbers.range(-100.0, 1600.0)];
        session.apply(&Command::Mass { outline: (0..5).map(|_| corner()).collect(), edge: Edge::Soft }).unwrap();
    }
    let mut taken = None;
    let first = median_ms(5, || {
        let (start, source) = (Instant::now(), session.comparison_source().unwrap());
        let taking = start.elapsed().as_secs_f64() * 1e3;
        taken = Some((source.compare(None), taking));
    });
    let (mut found, taking) = taken.unwrap();
    println!(
        "{} surfaces of 2048 x 1536 px against 12 megapixels in {first:.0} ms, {taking:.1} ms of it on the caller's thread",
        found.comparison.surfaces.len()
    );
    let mut on_caller = Vec::new();
    let again = median_ms(15, || {
        session.apply(&load(numbers.below(6))).unwrap();
        let at = [numbers.range(0.0, 1900.0), numbers.range(0.0, 1400.0)];
        let outline = vec![at, [at[0] + 100.0, at[1]], [at[0] + 100.0, at[1] + 60.0]];
        session.apply(&Command::Mass { outline, edge: Edge::Soft }).unwrap();
        let (start, source) = (Instant::now(), session.comparison_source().unwrap());
        on_caller.push(start.elapsed().as_secs_f64() * 1e3);
        found = source.compare(Some(found.kept.clone()));
    });
    on_caller.sort_by(f64::total_cmp);
    println!(
        "a small mass and the comparison after it take {again:.0} ms, {:.1} ms on the caller's thread for taking the painting",
        on_caller[on_caller.len() / 2]
    );
    let (photo, adjustments) = session.reference().unwrap();
    let board = session.document().board.clone();
    for mixing in Mixing::ALL {
        let reach = median_ms(9, || {
            assert!(Reach::of(&board, mixing).is_some());
            assert!(PhotoReach::of(&board, mixing, &photo.view(adjustments)).is_some());
        });
        println!(
            "what a board of {} swatches reaches, of three values and the photo, mixed as {}, takes {reach:.0} ms",
            board.swatches().count(),
            mixing.word()
        );
    }
}

/// Highest resident memory of this process so far, MiB (Linux).
fn peak_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1024.0)
}

fn memory(side: u32, masses: usize) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("large.stint");
    let mut session = Session::create(&path, (side, side), scenes::board(6), EngineChoice::Cpu).unwrap();
    let start = Instant::now();
    scenes::block_in(&mut session, side, masses);
    let seconds = start.elapsed().as_secs_f64();
    let readout = session.readout().unwrap();
    session.close().unwrap();
    let peak = peak_mib().map_or_else(|| "unknown on this system".to_owned(), |mib| format!("{mib:.0} MiB"));
    println!(
        "{masses} masses on {side} x {side} in {seconds:.1} s, {:.0} px painted, peak memory {peak}",
        readout.painted_px
    );
    let start = Instant::now();
    let session = Session::open(&path, EngineChoice::Cpu).unwrap();
    println!("  opened again, all of it read, in {:.2} s", start.elapsed().as_secs_f64());
    session.close().unwrap();
    open_as_a_window(&path);
}

/// Opens a study as a window does that shows all of it.
fn open_as_a_window(path: &Path) {
    let start = Instant::now();
    let mut session = Session::open_reading(path, EngineChoice::Cpu, Reading::AsNeeded).unwrap();
    let readout = session.readout().unwrap();
    let places: Vec<_> = session.canvas().size().tiles().collect();
    let colours = session.canvas().rough_colours(&places);
    println!(
        "  opened for its first frame in {:.3} s: {} tiles by their means, {:.1} % bare",
        start.elapsed().as_secs_f64(),
        colours.len(),
        100.0 * readout.bare_share
    );
    while session.is_reading() {
        session.follow_reading().unwrap();
        std::thread::sleep(Duration::from_micros(200));
    }
    println!("  all of it read beside the window after {:.2} s", start.elapsed().as_secs_f64());
    session.close().unwrap();
}

/// The largest canvas with grain in every tile: its file has nearly a gigabyte of packed pixels.
fn grained() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("grained.stint");
    let side = 16_384;
    let mut session = Session::create(&path, (side, side), scenes::board(6), EngineChoice::Cpu).unwrap();
    scenes::block_in(&mut session, side, 1);
    let charcoal = Brush { mark: Some(Box::new(Mark { kind: Kind::Charcoal, ..Mark::default() })), ..Brush::default() };
    session.apply(&Command::Brush(Brush { size_px: 2000.0, ..charcoal })).unwrap();
    for y in (700..side).step_by(1400) {
        let samples = (0..=side).step_by(1024).map(|x| PenSample::new(x as f32, y as f32, 0.8)).collect();
        session.apply(&Command::Stroke(samples)).unwrap();
    }
    session.close().unwrap();
    open_as_a_window(&path);
}

fn main() {
    // The largest canvas there is, alone: the peak of a process never falls.
    if std::env::args().any(|a| a == "large") {
        memory(16_384, 60);
        return;
    }
    if std::env::args().any(|a| a == "grained") {
        return grained();
    }
    // Memory first: the photo would raise the peak.
    memory(4096, 30);
    photo();
    learning();
}
