//! Microseconds of the mask for each sample of the pen, by kind of brush: 240 samples a second leave 4167. Run with
//! `cargo bench -p stint-tests --bench brushes`.
#![allow(missing_docs, clippy::unwrap_used)]

use std::time::Instant;
use stint::files::brushes::shipped;
use stint_render::mask::brush::Brush;
use stint_render::mask::{CanvasSize, PenSample, StrokeMask};

const SIZE: CanvasSize = CanvasSize { width: 2048, height: 1536 };

/// A hand at 240 samples a second that moves `step_px` from one to the next, in wide loops over the whole canvas.
fn samples(step_px: f32) -> Vec<PenSample> {
    let mut samples = Vec::new();
    let (mut at, mut turn) = ([200.0_f32, 768.0], 0.0_f32);
    for i in 0..600_u16 {
        turn += 0.02 * (f32::from(i) * 0.013).sin();
        at = [at[0] + turn.cos() * step_px, at[1] + turn.sin() * step_px];
        let inside = [at[0].rem_euclid(1600.0) + 200.0, at[1].rem_euclid(1100.0) + 200.0];
        let time_ms = Some(f64::from(i) * 1000.0 / 240.0);
        samples.push(PenSample { time_ms, ..PenSample::new(inside[0], inside[1], 0.8) });
        at = [at[0].clamp(0.0, 1590.0), at[1].clamp(0.0, 1090.0)];
        if at[0] <= 0.0 || at[0] >= 1590.0 || at[1] <= 0.0 || at[1] >= 1090.0 {
            turn += 2.0;
        }
    }
    samples
}

/// Median and worst time of a sample, microseconds, one sample at a time.
fn time(brush: &Brush, samples: &[PenSample]) -> (f64, f64) {
    let mut stroke = StrokeMask::new(SIZE, brush.clone()).unwrap();
    let mut times: Vec<f64> = samples
        .iter()
        .map(|sample| {
            let start = Instant::now();
            stroke.extend(std::slice::from_ref(sample)).unwrap();
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    times.sort_by(f64::total_cmp);
    (times[times.len() / 2], times[times.len() * 99 / 100])
}

fn main() {
    println!("mask of one sample on {} x {}, microseconds: median, 99th of 100", SIZE.width, SIZE.height);
    let plain = Brush::default();
    let named = shipped();
    let kinds = std::iter::once(("plain", &plain)).chain(named.iter().map(|b| (b.name.as_str(), &b.brush)));
    // The first stroke makes the tables.
    time(&named[0].brush, &samples(4.0)[..2]);
    for (name, brush) in kinds {
        print!("  {name:10}");
        for size_px in [60.0, 200.0] {
            for (speed, step_px) in [("slow", 2.0), ("quick", 8.0)] {
                let brush = Brush { size_px, ..brush.clone() };
                let (median, worst) = time(&brush, &samples(step_px));
                print!("  {size_px:3.0} px {speed:5} {median:6.0} {worst:6.0}");
            }
        }
        println!();
    }
}
