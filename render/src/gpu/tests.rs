//! The GPU engine against the CPU engine at sizes where it works in parts, and on devices that are full or gone.

use super::*;
use crate::cpu::CpuEngine;
use crate::engine::{Layer, TileSample};
use crate::load::BrushLoad;
use crate::mask::MaskTile;
use stint_model::ids::{PaintId, SwatchId};
use stint_model::study::tile::TILE_PIXELS;

/// Paints: more than one dispatch of the tally counts.
const PAINTS: u16 = 5000;

fn device() -> Option<Gpu> {
    test_device("a device at its limits")
}

/// Every third paint is free.
fn lut() -> PaintLut {
    let mut paints = PaintTable::default();
    for i in 1..=PAINTS {
        let part = |of: u16| f32::from(i * of % 97) / 97.0;
        let colour = Colour::new(part(1), part(5), f32::from(i) / f32::from(PAINTS));
        let loaded = match i % 3 {
            0 => paints.load_free(colour),
            _ => paints.load_swatch(SwatchId(i.into()), colour),
        };
        assert_eq!(loaded.ok(), Some(PaintId(i)));
    }
    PaintLut::new(&paints, Colour::new(0.2, 0.2, 0.2), Mixing::Perceptual)
}

/// A mask of its own for every tile: none, some, all; even ones among them.
fn mask(t: usize) -> MaskTile {
    match t % 5 {
        0 => MaskTile::Even(u16::MAX),
        1 => MaskTile::Even(21_000),
        _ => MaskTile::from_fn(|i| match (i * 31 + t * 7) % 61 {
            0..=9 => 0,
            10..=14 => u16::MAX,
            n => (n * 1000 + t) as u16,
        }),
    }
}

/// Three paints, or as many as a pixel holds, some of which are there already.
fn mixture(round: u16) -> BrushLoad {
    let paints = |i: u16| (PaintId(1 + ((round - i % 2) * 577 + i * 31) % PAINTS), 1000 + u32::from(i) * 777);
    let amounts: Vec<_> = (0..if round == 7 { 8 } else { 3 }).map(paints).collect();
    BrushLoad::mixture(&amounts).unwrap_or_else(|| unreachable!("it has paint"))
}

/// Lays nine paints and some mixtures, another set for every tile, one after the other, and scrapes; all tiles of one call where they are alike.
fn paint(engine: &mut dyn Engine, tiles: usize, rounds: u16) -> Result<Vec<TileHandle>, EngineError> {
    let masks: Vec<_> = (0..tiles.min(10)).map(mask).collect();
    let mut handles: Vec<Option<TileHandle>> = vec![None; tiles];
    for round in 0..rounds {
        let op = match round {
            4 => Op::Scrape,
            1 | 7 | 11 => mixture(round).op(),
            _ => Op::Lay(PaintId(1 + (round * 577) % PAINTS)),
        };
        let jobs: Vec<_> = handles
            .iter()
            .enumerate()
            .map(|(t, base)| CommitJob { base: base.as_ref(), mask: &masks[(t + usize::from(round)) % masks.len()] })
            .collect();
        handles = engine.commit(op, &jobs)?.into_iter().map(Some).collect();
    }
    Ok(handles.into_iter().flatten().collect())
}

/// Stacks of one tile, and of two through a thin pass.
fn stacks(tiles: &[TileHandle]) -> Vec<Stack> {
    let layer = |tile: &TileHandle, strength| Layer { tile: tile.clone(), strength };
    let of = |(t, tile): (usize, &TileHandle)| match t % 3 {
        0 => Stack { layers: vec![layer(tile, 40_000), layer(&tiles[(t + 1) % tiles.len()], u16::MAX)] },
        _ => Stack { layers: vec![layer(tile, u16::MAX)] },
    };
    tiles.iter().enumerate().map(of).collect()
}

fn assert_same(gpu: &mut GpuEngine, tiles: usize, rounds: u16) -> Result<(), EngineError> {
    let mut cpu = CpuEngine::default();
    cpu.set_paints(&lut())?;
    gpu.set_paints(&lut())?;
    let (ours, theirs) = (paint(&mut cpu, tiles, rounds)?, paint(gpu, tiles, rounds)?);
    // Asked for before and taken after the rest, in another order: nothing of one answer gets into another.
    let (mut late, tallies) = (gpu.request_lift(&theirs, &stacks(&theirs))?, gpu.request_tally(&stacks(&theirs))?);
    let resolved = gpu.request_resolve(&stacks(&theirs))?;
    assert!(cpu.download(&ours)? == gpu.download(&theirs)?, "{tiles} tiles differ");
    let expected = cpu.tally(&stacks(&ours))?;
    assert!(tallies.take()? == expected, "tallies of {tiles} tiles differ");
    while !late.has_come() {
        std::thread::yield_now();
    }
    let (pixels, counted) = late.take()?;
    assert!(counted == expected && pixels == cpu.download(&ours)?, "a lift of {tiles} tiles differs");
    let codes = |words: Vec<u32>| words.into_iter().flat_map(u32::to_le_bytes);
    let apart = codes(cpu.resolve(&stacks(&ours))?).zip(codes(resolved.take()?)).map(|(a, b)| a.abs_diff(b)).max();
    assert!(apart <= Some(1), "{apart:?} codes apart in {tiles} tiles");
    let sample = |handles: &[TileHandle], engine: &mut dyn Engine| {
        let pixels = vec![0, 1, 129, TILE_PIXELS - 1];
        let samples: Vec<_> = handles.iter().map(|tile| TileSample { tile, pixels: pixels.clone() }).collect();
        engine.sample(&samples)
    };
    assert!(sample(&ours, &mut cpu)? == sample(&theirs, gpu)?, "samples of {tiles} tiles differ");
    Ok(())
}

/// Workgroups share a tile by sixteen, eight and two; 600 tiles are read and resolved in two goes; 5,000 paints counted in three.
#[test]
fn equal_bits_however_the_work_is_parted() -> Result<(), EngineError> {
    let Some(gpu) = device() else { return Ok(()) };
    let mut gpu = GpuEngine::new(gpu)?;
    for (tiles, rounds) in [(7, 12), (130, 3), (600, 3)] {
        assert_same(&mut gpu, tiles, rounds)?;
    }
    Ok(())
}

#[test]
fn equal_bits_across_four_banks() -> Result<(), EngineError> {
    let Some(gpu) = device() else { return Ok(()) };
    // Room for 128 pages a bank; the scrape at the end takes six pages a tile beside the six that are there.
    let mut gpu = GpuEngine::within(gpu, 4 * 128 * pool::PAGE_BYTES)?;
    assert_same(&mut gpu, 38, 5)?;
    assert_eq!(gpu.used_bytes(), 0, "every page came back");
    Ok(())
}

/// A full device refuses in words, and what was there is as it was.
#[test]
fn a_full_device_keeps_what_it_has() -> Result<(), EngineError> {
    let Some(gpu) = device() else { return Ok(()) };
    // Room for what five tiles of four pages were made from and with, not for as much again.
    let mut gpu = GpuEngine::within(gpu, 4 * 7 * pool::PAGE_BYTES)?;
    gpu.set_paints(&lut())?;
    let tiles = paint(&mut gpu, 5, 2)?;
    let before = gpu.download(&tiles)?;
    let cover = MaskTile::Even(9000);
    let jobs: Vec<_> = tiles.iter().map(|tile| CommitJob { base: Some(tile), mask: &cover }).collect();
    let full = gpu.commit(Op::Lay(PaintId(7)), &jobs);
    assert!(matches!(&full, Err(EngineError::OutOfMemory(_))), "{full:?}");
    assert!(gpu.download(&tiles)? == before);
    let one = gpu.commit(Op::Lay(PaintId(7)), &jobs[..1]);
    assert!(one.is_ok(), "what was taken for the refused commit came back: {one:?}");
    Ok(())
}

/// A device that goes away is an error of every call after it and of every answer under way, never a hang or wrong pixels.
#[test]
fn a_lost_device_says_so_at_once_and_in_every_answer() -> Result<(), EngineError> {
    let Some(gpu) = device() else { return Ok(()) };
    let mut engine = GpuEngine::new(gpu.clone())?;
    engine.set_paints(&lut())?;
    let tiles = paint(&mut engine, 6, 3)?;
    let under_way = engine.request_lift(&tiles, &stacks(&tiles))?;
    assert!(!gpu.is_lost() && gpu.computes() && gpu.take_fault().is_none());
    gpu.device().destroy();
    // What was done before is answered, or the loss is; nothing else.
    match under_way.take() {
        Ok((pixels, _)) => assert_eq!(pixels.len(), 6),
        Err(error) => assert!(matches!(error, EngineError::DeviceLost(_)), "{error}"),
    }
    let cover = MaskTile::Even(9000);
    let jobs: Vec<_> = tiles.iter().map(|tile| CommitJob { base: Some(tile), mask: &cover }).collect();
    for answer in [
        engine.download(&tiles).err(),
        engine.commit(Op::Lay(PaintId(2)), &jobs).err(),
        engine.resolve(&stacks(&tiles)).err(),
        engine.tally(&stacks(&tiles)).err(),
    ] {
        assert!(matches!(answer, Some(EngineError::DeviceLost(_))), "{answer:?}");
    }
    assert!(gpu.is_lost() && !gpu.computes());
    assert!(gpu.take_fault().is_some() && gpu.take_fault().is_none(), "a fault is told once");
    Ok(())
}
