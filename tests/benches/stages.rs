//! Commit, resolve and tally: milliseconds a megapixel on the CPU engine, and share of a plain compute copy's bandwidth on
//! a GPU; recolour is other paints and a resolve with them. Run with `cargo bench -p stint-tests --bench stages`; add `-- gpu` to time a graphics device too.
//!
//! Targets (two cores, two planes deep): commit 6 ms, resolve 12 ms, tally 4 ms a megapixel. On a real GPU, 4096 x 4096,
//! whole canvas: each at least 70 % of the copy in the same run.
#![allow(missing_docs, clippy::unwrap_used)]

use std::sync::Arc;
use std::time::Instant;
use stint_model::colour::Colour;
use stint_model::ids::PaintId;
use stint_model::mixing::Mixing;
use stint_model::study::tile::{Plane, TILE_PIXELS, TilePixels};
use stint_model::variation::turn::turn;
use stint_render::cpu::CpuEngine;
use stint_render::engine::{CommitJob, Engine, Layer, Op, Stack, TileHandle};
use stint_render::gpu::{Gpu, GpuEngine, Want};
use stint_render::mask::MaskTile;
use stint_render::paints::PaintLut;
use stint_tests::numbers::Numbers;
use stint_tests::scenes;

/// Tiles of one megapixel.
const MEGAPIXEL: usize = 64;

/// What the tiles hold.
#[derive(Clone, Copy)]
enum Content {
    /// Patches of 16 x 16 pixels of one pair of paints, as a painting has.
    Patches,
    /// Another pair in every pixel: the worst case.
    Noise,
}

fn lut() -> PaintLut {
    turned_lut(0.0)
}

/// The paints of the board turned by an angle.
fn turned_lut(degrees: f32) -> PaintLut {
    let board = scenes::board(8);
    let mut paints = scenes::paints(&board, 4);
    paints.follow(&turn(&board, degrees).unwrap().board);
    PaintLut::new(&paints, Colour::new(0.2, 0.2, 0.2), Mixing::Perceptual)
}

/// Tiles two planes deep.
fn tiles(count: usize, content: Content) -> Vec<Arc<TilePixels>> {
    let mut numbers = Numbers(1);
    let patterns: Vec<_> = (0..count.min(32))
        .map(|_| {
            let patches: Vec<[u32; 2]> = (0..64)
                .map(|_| {
                    let first = 1 + numbers.below(24);
                    [first, 1 + (first + numbers.below(22)) % 24]
                })
                .collect();
            let mut planes = vec![Plane::even(0); 2];
            for i in 0..TILE_PIXELS {
                let [a, b] = match content {
                    Content::Patches => patches[(i / 128 / 16) * 8 + i % 128 / 16],
                    Content::Noise => patches[numbers.below(64) as usize],
                };
                let amount = match content {
                    Content::Patches => 40_000,
                    Content::Noise => 20_000 + numbers.below(20_000),
                };
                planes[0][i] = a << 16 | amount;
                planes[1][i] = b << 16 | (65_535 - amount);
            }
            Arc::new(TilePixels::new(planes))
        })
        .collect();
    (0..count).map(|i| patterns[i % patterns.len()].clone()).collect()
}

/// Soft masks: cover from a ramp, so that no shortcut for bare or full cover applies.
fn masks(count: usize) -> Vec<MaskTile> {
    let ramp = |t: usize| {
        (0..TILE_PIXELS).map(|i| 1 + ((i * 7 + t * 1000) % 60_000) as u16).collect::<Vec<u16>>().into_boxed_slice()
    };
    (0..count).map(|t| MaskTile::Pixels(ramp(t))).collect()
}

fn stacks(handles: &[TileHandle]) -> Vec<Stack> {
    handles.iter().map(|t| Stack { layers: vec![Layer { tile: t.clone(), strength: u16::MAX }] }).collect()
}

/// Median of `rounds` runs in milliseconds, the first of which does not count.
fn median(rounds: usize, mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..=rounds)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64() * 1e3
        })
        .skip(1)
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn cpu() {
    let mut engine = CpuEngine::default();
    engine.set_paints(&lut()).unwrap();
    println!("CPU engine, {}, per megapixel, two planes deep", engine.info().detail);
    for (name, content) in [("patches", Content::Patches), ("noise", Content::Noise)] {
        let handles = engine.upload(&tiles(MEGAPIXEL, content)).unwrap();
        let masks = masks(MEGAPIXEL);
        let jobs: Vec<_> =
            handles.iter().zip(&masks).map(|(base, mask)| CommitJob { base: Some(base), mask }).collect();
        let mut made = Vec::new();
        let commit = median(21, || made = engine.commit(Op::Lay(PaintId(3)), &jobs).unwrap());
        let scrape = median(21, || made = engine.commit(Op::Scrape, &jobs).unwrap());
        let stacks = stacks(&handles);
        let resolve = median(21, || drop(engine.resolve(&stacks).unwrap()));
        let lut = [turned_lut(30.0), turned_lut(-30.0)];
        let mut other = lut.iter().cycle();
        let recolour = median(21, || {
            engine.set_paints(other.next().unwrap()).unwrap();
            drop(engine.resolve(&stacks).unwrap());
        });
        let tally = median(21, || drop(engine.tally(&stacks).unwrap()));
        println!(
            "  {name:8} commit {commit:5.2} ms  scrape {scrape:5.2} ms  resolve {resolve:5.2} ms  recolour {recolour:5.2} ms  \
             tally {tally:5.2} ms"
        );
    }
}

fn gpu() {
    let mut engine = match Gpu::open(Want::Best).and_then(GpuEngine::new) {
        Ok(engine) => engine,
        Err(error) => {
            println!("no GPU figures: {error}");
            return;
        }
    };
    let info = engine.info();
    // A software driver needs seconds for what a GPU does in a blink.
    let side = if info.kind == stint_render::engine::EngineKind::Gpu { 4096 } else { 1024 };
    let count = (side / 128) * (side / 128);
    engine.set_paints(&lut()).unwrap();
    println!("GPU engine, {} ({}), {side} x {side} whole canvas, two planes deep", info.name, info.detail);
    let copy = engine.time_copy((count * TILE_PIXELS * 4) as u64).unwrap();
    println!("  plain copy {:7.3} ms  {:7.0} GB/s", copy.ms, copy.gb_per_s());
    for (name, content) in [("patches", Content::Patches), ("noise", Content::Noise)] {
        let handles = engine.upload(&tiles(count, content)).unwrap();
        let masks = masks(count);
        let jobs: Vec<_> =
            handles.iter().zip(&masks).map(|(base, mask)| CommitJob { base: Some(base), mask }).collect();
        let stacks = stacks(&handles);
        let timings = [
            ("commit", engine.time_commit(PaintId(3), &jobs).unwrap()),
            ("resolve", engine.time_resolve(&stacks).unwrap()),
            ("recolour", engine.time_recolour(&[turned_lut(30.0), turned_lut(-30.0)], &stacks).unwrap()),
            ("tally", engine.time_tally(&stacks).unwrap()),
        ];
        for (stage, timing) in timings {
            let share = timing.gb_per_s() / copy.gb_per_s() * 100.0;
            println!(
                "  {name:8} {stage:8} {:7.3} ms  {:7.0} GB/s  {share:3.0} % of the copy",
                timing.ms,
                timing.gb_per_s()
            );
        }
    }
}

fn main() {
    cpu();
    if std::env::args().any(|a| a == "gpu") {
        gpu();
    }
}
