//! A study of 4096 x 4096 pixels exported by the program as an 8-bit PNG, the whole process, beside Pillow that saves the same pixels at
//! the same deflate level. Run with `cargo bench -p stint-tests --bench export` after `cargo build --release -p stint`, with
//! `STINT_TEST_PYTHON` set to a Python that has Pillow; `STINT_PROGRAM` names another build of the program.
//!
//! Target: faster than Pillow.
#![allow(missing_docs, clippy::unwrap_used)]

use std::path::Path;
use std::process::Command as Run;
use std::time::Instant;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::Role;
use stint_model::picture::COMPRESSION_LEVEL;
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_tests::numbers::Numbers;
use stint_tests::program::program;
use stint_tests::scenes;

const SIDE: u32 = 4096;
/// Runs of which the fastest counts: the machine is not ours alone.
const ROUNDS: usize = 5;

/// Processor time of the processes that this one has waited for, seconds (proc(5): fields 16 and 17 of stat, in hundredths).
fn of_children() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    after_name.split_whitespace().skip(13).take(2).filter_map(|field| field.parse::<f64>().ok()).sum::<f64>() / 100.0
}

/// Seconds and processor seconds of the fastest of some runs.
fn fastest(mut run: impl FnMut()) -> (f64, f64) {
    let times = (0..ROUNDS).map(|_| {
        let (start, used) = (Instant::now(), of_children());
        run();
        (start.elapsed().as_secs_f64(), of_children() - used)
    });
    times.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or_default()
}

/// Reads a picture, saves it again, and prints the fastest seconds and processor seconds of saving.
const SAVE: &str = "
import sys, time
from PIL import Image
Image.MAX_IMAGE_PIXELS = None
picture = Image.open(sys.argv[1]).convert('RGB')
best = None
for _ in range(int(sys.argv[4])):
    wall, used = time.perf_counter(), time.process_time()
    picture.save(sys.argv[2], compress_level=int(sys.argv[3]))
    took = (time.perf_counter() - wall, time.process_time() - used)
    best = took if best is None or took < best else best
print(*best)
";

fn compare(name: &str, study: &Path) {
    let (ours, theirs) = (study.with_extension("png"), study.with_extension("theirs.png"));
    let export = || {
        let mut run = Run::new(program());
        run.arg("export").arg(study).arg("--out").arg(&ours).arg("--replace");
        assert!(run.output().unwrap().status.success(), "the export failed");
    };
    let (seconds, used) = fastest(export);
    let mib = |path: &Path| std::fs::metadata(path).map_or(0.0, |m| m.len() as f64 / f64::from(1 << 20));
    println!("  {name}: the program {seconds:.2} s, {used:.2} s of processors, {:.1} MiB", mib(&ours));
    let python = std::env::var("STINT_TEST_PYTHON").unwrap_or_else(|_| "python3".into());
    let save = Run::new(python)
        .args(["-c", SAVE])
        .args([&ours, &theirs])
        .args([COMPRESSION_LEVEL.to_string(), ROUNDS.to_string()])
        .output();
    match save {
        Ok(output) if output.status.success() => {
            let said = String::from_utf8_lossy(&output.stdout).into_owned();
            let times: Vec<f64> = said.split_whitespace().filter_map(|v| v.parse().ok()).collect();
            if let [seconds, used] = times[..] {
                println!("  {name}: Pillow      {seconds:.2} s, {used:.2} s of processors, {:.1} MiB", mib(&theirs));
            }
        }
        _ => println!("  no figures of Pillow: set STINT_TEST_PYTHON to a Python that has it"),
    }
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    println!("{SIDE} x {SIDE} pixels as a PNG of 8 bits, deflate level {COMPRESSION_LEVEL}, the fastest of {ROUNDS}");
    let path = folder.path().join("masses.stint");
    let mut session = Session::create(&path, (SIDE, SIDE), scenes::board(6), EngineChoice::Cpu).unwrap();
    scenes::block_in(&mut session, SIDE, 30);
    session.close().unwrap();
    compare("flat masses ", &path);
    // Soft strokes all over it: hardly a pixel is like its neighbour.
    let mut session = Session::open(&path, EngineChoice::Cpu).unwrap();
    let mut numbers = Numbers(4);
    let brush = Brush { size_px: 400.0, hardness: 0.0, strength: 0.6, pressure_size: false, ..Brush::default() };
    session.apply(&Command::Brush(brush)).unwrap();
    let swatch = SwatchRef::Swatch { family: "surface 2".to_owned(), role: Role::Light };
    session.apply(&Command::Load(swatch)).unwrap();
    for _ in 0..40 {
        let mut place = || PenSample::new(numbers.range(0.0, SIDE as f32), numbers.range(0.0, SIDE as f32), 1.0);
        session.apply(&Command::Stroke((0..3).map(|_| place()).collect())).unwrap();
    }
    session.close().unwrap();
    compare("soft strokes", &path);
}
