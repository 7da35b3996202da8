//! Which engine does the work.
//!
//! A real GPU is used after it has shown, on a small sample, that it gives the CPU engine's bits. On a driver that runs
//! shaders on the CPU, whichever engine is faster on that sample is used; without any driver, the CPU engine.

use crate::cpu::CpuEngine;
use crate::engine::{CommitJob, Engine, EngineError, EngineKind, Layer, Op, Stack};
use crate::gpu::{Gpu, GpuEngine, Want};
use crate::mask::MaskTile;
use crate::paints::PaintLut;
use std::sync::Arc;
use std::time::{Duration, Instant};
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, SwatchId};
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::study::tile::{TILE_PIXELS, TilePixels};

/// What the user asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum EngineWish {
    /// The best that this machine has.
    #[default]
    Auto,
    /// The CPU engine.
    Cpu,
    /// A graphics device, real or not; an error if there is none.
    Gpu,
}

/// The engine for a wish, and a sentence for the user where something unexpected was found.
///
/// # Errors
/// Only for [`EngineWish::Gpu`], when no device can be used.
pub fn choose(wish: EngineWish) -> Result<(Box<dyn Engine>, Option<String>), EngineError> {
    let cpu = || Box::new(CpuEngine::default());
    match wish {
        EngineWish::Cpu => Ok((cpu(), None)),
        EngineWish::Gpu => Ok((Box::new(GpuEngine::new(Gpu::open(Want::Best)?)?), None)),
        EngineWish::Auto => {
            // No driver is a normal state of affairs and needs no words.
            let Ok(mut gpu) = Gpu::open(Want::Best).and_then(GpuEngine::new) else { return Ok((cpu(), None)) };
            let mut peer = CpuEngine::default();
            let (Ok(ours), Ok(theirs)) = (sample(&mut peer), sample(&mut gpu)) else {
                let name = gpu.info().name;
                return Ok((cpu(), Some(format!("{name} failed on a small sample, so the CPU engine is used"))));
            };
            if ours.tiles != theirs.tiles {
                let name = gpu.info().name;
                let text = format!("{name} gives other results than the CPU engine, so the CPU engine is used");
                return Ok((cpu(), Some(text)));
            }
            if gpu.info().kind == EngineKind::Gpu || theirs.time < ours.time {
                return Ok((Box::new(gpu), None));
            }
            Ok((cpu(), None))
        }
    }
}

struct Sample {
    tiles: Vec<Arc<TilePixels>>,
    time: Duration,
}

/// Commits, tallies and resolves a few tiles of ten paints, so that the ninth-paint rule is exercised too.
fn sample(engine: &mut dyn Engine) -> Result<Sample, EngineError> {
    let mut paints = PaintTable::default();
    for i in 0..10_u16 {
        let v = f32::from(i) / 10.0;
        // Ten paints always fit the table.
        let _ = paints.load_swatch(SwatchId(u32::from(i) + 1), Colour::new(v, 0.3, 1.0 - v));
    }
    // Half of them are not on this board, so they count as free.
    paints.follow(&half_board());
    engine.set_paints(&PaintLut::new(&paints, Colour::new(0.2, 0.2, 0.2), Mixing::Perceptual))?;
    let masks: Vec<_> = (0..4_u32)
        .map(|t| {
            let cover = |i: usize| ((i as u32).wrapping_mul(2_654_435_761 + t) >> 17) as u16;
            MaskTile::Pixels((0..TILE_PIXELS).map(cover).collect())
        })
        .collect();
    let run = |engine: &mut dyn Engine| -> Result<Vec<Arc<TilePixels>>, EngineError> {
        let mut tiles = Vec::new();
        for paint in 1..=10 {
            let base = |i: usize| tiles.get(i);
            let jobs: Vec<_> = masks.iter().enumerate().map(|(i, mask)| CommitJob { base: base(i), mask }).collect();
            tiles = engine.commit(Op::Lay(PaintId(paint)), &jobs)?;
        }
        let stacks: Vec<_> =
            tiles.iter().map(|t| Stack { layers: vec![Layer { tile: t.clone(), strength: u16::MAX }] }).collect();
        engine.tally(&stacks)?;
        engine.resolve(&stacks)?;
        engine.download(&tiles)
    };
    // The first run makes buffers.
    run(engine)?;
    let start = Instant::now();
    let tiles = run(engine)?;
    Ok(Sample { tiles, time: start.elapsed() })
}

fn half_board() -> Board {
    use stint_model::board::{Family, LightOfDay, Role, Swatch};
    let swatches = (1..=10).step_by(2).map(|id| Swatch {
        id: SwatchId(id),
        role: Role::Local,
        name: String::new(),
        colour: Colour::new(id as f32 / 10.0, 0.3, 0.5),
    });
    let family = Family { swatches: swatches.collect(), ..Family::new(stint_model::ids::FamilyId(1), "sample") };
    Board { families: vec![family], ..Board::new("sample", LightOfDay::Neutral) }
}
