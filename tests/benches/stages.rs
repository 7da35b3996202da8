//! Commit, resolve and tally: milliseconds a megapixel on the CPU engine, and share of a plain compute copy's bandwidth on
//! a GPU, by the device's own clock; recolour is other paints and a resolve with them, and `in all` what the program waits for then, by
//! the clock on the wall. Run with `cargo bench -p stint-tests --bench stages`; add `-- gpu` to time a graphics device too, and
//! `large` for 8192 x 8192 there, where what a dispatch costs beside its bytes counts for a quarter.
//!
//! Targets (two cores, two planes deep, a megapixel): commit 1.8 ms, resolve 2.2 ms, tally 0.35 ms and at most 1.3 times a plain read of the
//! same bytes; even tiles below 0.05 ms. On a real GPU, 4096 x 4096,
//! whole canvas: commit 92 %, resolve and tally 90 %, recolour 85 % of the copy in the same run; a pass that does nothing is timed beside
//! them, since a tally of 4096 x 4096 lasts but twenty times as long.
#![allow(missing_docs, clippy::unwrap_used)]

use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Instant;
use stint_model::colour::Colour;
use stint_model::ids::PaintId;
use stint_model::mixing::Mixing;
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_PIXELS, TilePixels};
use stint_model::variation::turn::turn;
use stint_render::cpu::CpuEngine;
use stint_render::engine::{CommitJob, Engine, EngineError, Layer, Op, Stack, TileHandle};
use stint_render::gpu::{AdapterPreference, Dispatch, Gpu, GpuEngine, times_ms};
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
    turned_lut(0.0, Mixing::Perceptual)
}

/// The paints of the board turned by an angle.
fn turned_lut(degrees: f32, mixing: Mixing) -> PaintLut {
    let board = scenes::board(8);
    let mut paints = scenes::paints(&board, 4);
    paints.follow(&turn(&board, degrees).unwrap().board);
    PaintLut::new(&paints, Colour::new(0.2, 0.2, 0.2), mixing)
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
    let ramp = |t: usize| MaskTile::from_fn(|i| 1 + ((i * 7 + t * 1000) % 60_000) as u16);
    (0..count).map(ramp).collect()
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
        let lut = [30.0, -30.0].map(|degrees| turned_lut(degrees, Mixing::Perceptual));
        let mut other = lut.iter().cycle();
        let recolour = median(21, || {
            engine.set_paints(other.next().unwrap()).unwrap();
            drop(engine.resolve(&stacks).unwrap());
        });
        engine.set_paints(&turned_lut(0.0, Mixing::Pigment)).unwrap();
        let pigment = median(21, || drop(engine.resolve(&stacks).unwrap()));
        engine.set_paints(&lut[0]).unwrap();
        let tally = median(21, || drop(engine.tally(&stacks).unwrap()));
        let read = read_ms(MEGAPIXEL);
        println!(
            "  {name:8} commit {commit:5.2} ms  scrape {scrape:5.2} ms  resolve {resolve:5.2} ms  of pigments {pigment:5.2} ms  \
             recolour {recolour:5.2} ms  tally {tally:5.2} ms ({:.1} plain reads)",
            tally / read
        );
    }
    let even =
        |i: u32| TilePixels::new(vec![Plane::even((1 + i % 8) << 16 | 40_000), Plane::even((9 + i % 8) << 16 | 9000)]);
    let handles = engine.upload(&(0..MEGAPIXEL as u32).map(|i| Arc::new(even(i))).collect::<Vec<_>>()).unwrap();
    let mask = MaskTile::Even(30_000);
    let jobs: Vec<_> = handles.iter().map(|base| CommitJob { base: Some(base), mask: &mask }).collect();
    let mut made = Vec::new();
    let commit = median(21, || made = engine.commit(Op::Lay(PaintId(3)), &jobs).unwrap());
    let stacks = stacks(&handles);
    let resolve = median(21, || drop(engine.resolve(&stacks).unwrap()));
    let tally = median(21, || drop(engine.tally(&stacks).unwrap()));
    println!("  even     commit {commit:7.4} ms  resolve {resolve:7.4} ms  tally {tally:7.4} ms");
}

/// Milliseconds of a plain read of the bytes of so many tiles of two planes, on as many threads.
fn read_ms(tiles: usize) -> f64 {
    let words: Vec<Vec<u32>> = (0..tiles).map(|tile| vec![tile as u32; 2 * TILE_PIXELS]).collect();
    let mut sum = 0_u32;
    let time = median(21, || {
        let of = |words: &Vec<u32>| words.iter().fold(0_u32, |sum, word| sum.wrapping_add(*word));
        sum ^= std::hint::black_box(&words).par_iter().map(of).reduce(|| 0, u32::wrapping_add);
    });
    std::hint::black_box(sum);
    time
}

/// Milliseconds and bytes moved of one kernel.
#[derive(Clone, Copy)]
struct Timing {
    /// Median time of one run.
    ms: f64,
    /// Bytes read and written at least.
    bytes: usize,
}

impl Timing {
    /// Gigabytes (10^9) a second.
    fn gb_per_s(self) -> f64 {
        self.bytes as f64 / self.ms / 1e6
    }
}

/// Runs of a kernel of which the median counts, after a few that do not.
const RUNS: usize = 60;
const WARM_UP: usize = 10;
/// Rounds of what is timed from the outside.
const ROUNDS: usize = 9;

/// Median of the times of some runs by the device's own clock, milliseconds.
fn median_of(times: Result<Option<Vec<f64>>, EngineError>) -> f64 {
    let mut times = times.unwrap().expect("the device has a clock").split_off(WARM_UP);
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// Time of one run of a kernel, without upload and read-back.
fn time(dispatch: &Dispatch<'_>) -> f64 {
    median_of(dispatch.times_ms((WARM_UP + RUNS) as u32))
}

/// A plain compute copy of `words` u32, which reads and writes each once; of none, what a pass takes that does nothing.
fn copy(gpu: &Gpu, words: usize) -> Timing {
    const LANES: usize = 256;
    const STEPS: usize = 8;
    let text = format!(
        "@group(0) @binding(0) var<storage, read> source: array<vec4<u32>>;
        @group(0) @binding(1) var<storage, read_write> copied: array<vec4<u32>>;
        @compute @workgroup_size({LANES}) fn copy(
            @builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {{
            for (var step = 0u; step < {STEPS}u; step++) {{
                let at = (group.x * {STEPS}u + step) * {LANES}u + lane;
                copied[at] = source[at];
            }}
        }}"
    );
    let device = gpu.device();
    let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
        label: Some("copy"),
        source: wgpu::ShaderSource::Wgsl(text.into()),
    });
    let pipeline = device.create_compute_pipeline(&wgpu::ComputePipelineDescriptor {
        label: Some("copy"),
        layout: None,
        module: &module,
        entry_point: Some("copy"),
        compilation_options: Default::default(),
        cache: None,
    });
    let buffers = ["from", "to"].map(|label| {
        device.create_buffer(&wgpu::BufferDescriptor {
            label: Some(label),
            size: (words as u64 * 4).max(16),
            usage: wgpu::BufferUsages::STORAGE | wgpu::BufferUsages::COPY_DST,
            mapped_at_creation: false,
        })
    });
    let bindings = device.create_bind_group(&wgpu::BindGroupDescriptor {
        label: Some("copy"),
        layout: &pipeline.get_bind_group_layout(0),
        entries: &[
            wgpu::BindGroupEntry { binding: 0, resource: buffers[0].as_entire_binding() },
            wgpu::BindGroupEntry { binding: 1, resource: buffers[1].as_entire_binding() },
        ],
    });
    let groups = words / (STEPS * LANES * 4);
    let record = |encoder: &mut wgpu::CommandEncoder, times: wgpu::ComputePassTimestampWrites<'_>| {
        let descriptor = wgpu::ComputePassDescriptor { label: Some("copy"), timestamp_writes: Some(times) };
        let mut pass = encoder.begin_compute_pass(&descriptor);
        pass.set_pipeline(&pipeline);
        pass.set_bind_group(0, &bindings, &[]);
        pass.dispatch_workgroups(groups as u32, 1, 1);
    };
    let ms = median_of(times_ms(gpu, (WARM_UP + RUNS) as u32, record));
    Timing { ms, bytes: groups * STEPS * LANES * 4 * 4 * 2 }
}

/// Bytes of a plane of a tile.
const PLANE_BYTES: usize = TILE_PIXELS * 4;

/// Planes that a commit of `paint` over `tile` writes: one more than there are, but no more than paints may be in it.
fn planes_after(tile: &TilePixels, paint: PaintId) -> usize {
    let pairs = tile.planes().iter().flat_map(|plane| plane.iter());
    let paints: BTreeSet<u32> = pairs.map(|pair| pair >> 16).chain([u32::from(paint.0)]).collect();
    (tile.planes().len() + 1).min(paints.len()).min(MAX_PLANES)
}

fn gpu(large: bool) {
    let opened = Gpu::open(AdapterPreference::Best).and_then(|gpu| Ok((gpu.clone(), GpuEngine::new(gpu)?)));
    let (gpu, mut engine) = match opened {
        Ok(opened) => opened,
        Err(error) => {
            println!("no GPU figures: {error}");
            return;
        }
    };
    let info = engine.info();
    // A software driver needs seconds for what a GPU does in a blink.
    let side = match info.kind {
        stint_render::engine::EngineKind::Gpu if large => 8192,
        stint_render::engine::EngineKind::Gpu => 4096,
        _ => 1024,
    };
    let count = (side / 128) * (side / 128);
    let paint = PaintId(3);
    engine.set_paints(&lut()).unwrap();
    println!("GPU engine, {} ({}), {side} x {side} whole canvas, two planes deep", info.name, info.detail);
    let (empty, copy) = (copy(&gpu, 0), copy(&gpu, count * TILE_PIXELS * 4));
    println!("  plain copy {:7.3} ms  {:7.0} GB/s", copy.ms, copy.gb_per_s());
    println!("  a pass that does nothing {:.4} ms", empty.ms);
    for (name, content) in [("patches", Content::Patches), ("noise", Content::Noise)] {
        let tiles = tiles(count, content);
        let handles = engine.upload(&tiles).unwrap();
        let masks = masks(count);
        let jobs: Vec<_> =
            handles.iter().zip(&masks).map(|(base, mask)| CommitJob { base: Some(base), mask }).collect();
        let stacks = stacks(&handles);
        let read: usize = tiles.iter().map(|t| t.planes().len() * PLANE_BYTES).sum();
        let written: usize = tiles.iter().map(|t| planes_after(t, paint) * PLANE_BYTES).sum();
        let commit = {
            // The new tiles are thrown away.
            let (dispatch, _tiles) = engine.prepare_commit(Op::Lay(paint), &jobs).unwrap();
            Timing { ms: time(&dispatch), bytes: read + written + count * PLANE_BYTES / 2 }
        };
        let bytes = read + count * PLANE_BYTES;
        let resolve = Timing { ms: time(&engine.prepare_resolve(&stacks).unwrap()), bytes };
        engine.set_paints(&turned_lut(0.0, Mixing::Pigment)).unwrap();
        let pigment = Timing { ms: time(&engine.prepare_resolve(&stacks).unwrap()), bytes };
        engine.set_paints(&lut()).unwrap();
        let tally = Timing { ms: time(&engine.prepare_tally(&stacks, 0).unwrap()), bytes: read };
        // From other paints to the stacks resolved with them: by the device's clock, and all that the program waits for when the board
        // changes, with what the host does for it.
        let paints = [30.0, -30.0].map(|degrees| turned_lut(degrees, Mixing::Perceptual));
        engine.set_paints(&paints[0]).unwrap();
        let recolour = Timing { ms: time(&engine.prepare_resolve(&stacks).unwrap()), bytes };
        let mut others = paints.iter().cycle();
        let whole = median(ROUNDS, || {
            engine.set_paints(others.next().unwrap()).unwrap();
            let dispatch = engine.prepare_resolve(&stacks).unwrap();
            dispatch.run();
            dispatch.wait().unwrap();
        });
        let whole = Timing { ms: whole, bytes };
        for (stage, timing) in [
            ("commit", commit),
            ("resolve", resolve),
            ("pigments", pigment),
            ("recolour", recolour),
            ("in all", whole),
            ("tally", tally),
        ] {
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
    let has = |word: &str| std::env::args().any(|a| a == word);
    if has("gpu") {
        gpu(has("large"));
    }
}
