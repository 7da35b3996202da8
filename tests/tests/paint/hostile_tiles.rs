//! Tiles that no sound study holds: ids without a paint, one paint twice in a pixel, more than full cover. Both engines take them
//! alike, nothing is written outside the tile, and nothing stops. And device memory: planes that became empty are given back.

use std::sync::Arc;
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, PassId};
use stint_model::mixing::Mixing;
use stint_model::pass::{Pass, PassKind};
use stint_model::readout::{Amounts, ClassAmounts, FreeColourNote, Readout};
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_PIXELS, TileKey, TilePixels, TilePos};
use stint_render::canvas::{Canvas, StrokeOp};
use stint_render::cpu::CpuEngine;
use stint_render::engine::{CommitJob, Engine, Layer, Op, Stack};
use stint_render::gpu::GpuEngine;
use stint_render::mask::{CanvasSize, Mask, MaskTile};
use stint_render::paints::PaintLut;
use stint_tests::device::{gpu_engine, lacks_gpu};
use stint_tests::numbers::Numbers;
use stint_tests::scenes;

fn lut() -> PaintLut {
    PaintLut::new(&scenes::paints(&scenes::board(2), 3), Colour::new(0.2, 0.2, 0.2), Mixing::Perceptual)
}

/// Any words at all: unknown ids, ids of 0, repeated paints, overfull pixels, gaps.
fn nonsense(seed: u64) -> TilePixels {
    let mut numbers = Numbers(seed);
    let planes = (0..1 + numbers.below(MAX_PLANES as u32)).map(|_| {
        Plane::from_fn(|_| {
            let id = if numbers.below(3) == 0 { numbers.below(65_536) } else { numbers.below(12) };
            let amount = if numbers.below(4) == 0 { 65_535 } else { numbers.below(65_536) };
            id << 16 | amount
        })
    });
    TilePixels::new(planes.collect())
}

/// Packed pixels with one paint in two places, as full as may be.
fn repeated() -> TilePixels {
    TilePixels::new(vec![Plane::even(1 << 16 | 30_000), Plane::even(1 << 16 | 30_000)])
}

fn overfull() -> TilePixels {
    TilePixels::new((1..=8).map(|id| Plane::even(id << 16 | 65_535)).collect())
}

/// What an engine makes of tiles: after some commits, as colours and as tallies; and a sound tile beside them, untouched.
fn taken(engine: &mut dyn Engine, tiles: &[TilePixels]) -> (Vec<Arc<TilePixels>>, Vec<u32>, Vec<String>) {
    engine.set_paints(&lut()).unwrap();
    let sound = Arc::new(TilePixels::new(vec![Plane::even(2 << 16 | 40_000), Plane::even(3 << 16 | 20_000)]));
    // Beside every tile a sound one, so that a write outside a tile hits one of them.
    let mut pixels = vec![sound.clone()];
    for tile in tiles {
        pixels.extend([Arc::new(tile.clone()), sound.clone()]);
    }
    let handles = engine.upload(&pixels).unwrap();
    let mut made = handles.clone();
    let mask = MaskTile::from_fn(|i| (i * 40_503 % 65_536) as u16);
    let strength = |i: usize| [u16::MAX, 20_000][i % 2];
    for op in [Op::Lay(PaintId(1)), Op::Scrape, Op::Lay(PaintId(7)), Op::Lay(PaintId(9)), Op::Lay(PaintId(1))] {
        for mask in [&mask, &MaskTile::Even(30_000)] {
            let jobs: Vec<_> = made.iter().map(|base| CommitJob { base: Some(base), mask }).collect();
            made = engine.commit(op, &jobs).unwrap();
        }
    }
    for (i, handle) in handles.iter().enumerate().step_by(2) {
        assert!(
            engine.download(std::slice::from_ref(handle)).unwrap()[0] == sound,
            "the sound tile {i} was written to"
        );
    }
    let alone = handles.iter().chain(&made).enumerate();
    let alone = alone.map(|(i, t)| Stack { layers: vec![Layer { tile: t.clone(), strength: strength(i / 3) }] });
    let over = handles.iter().zip(&made).map(|(a, b)| Stack {
        layers: vec![Layer { tile: b.clone(), strength: 50_000 }, Layer { tile: a.clone(), strength: u16::MAX }],
    });
    let stacks: Vec<_> = alone.chain(over).collect();
    let colours = engine.resolve(&stacks).unwrap();
    let tallies = engine.tally(&stacks).unwrap().iter().map(|t| format!("{t:?}")).collect();
    (engine.download(&made).unwrap(), colours, tallies)
}

fn apart(a: u32, b: u32) -> u8 {
    a.to_le_bytes().iter().zip(b.to_le_bytes()).map(|(a, b)| a.abs_diff(b)).max().unwrap()
}

fn compare(tiles: &[TilePixels]) {
    let (ours, our_colours, our_tallies) = taken(&mut CpuEngine::default(), tiles);
    if lacks_gpu() {
        return;
    }
    let (theirs, their_colours, their_tallies) = taken(&mut gpu_engine(), tiles);
    for (i, (a, b)) in ours.iter().zip(&theirs).enumerate() {
        assert!(a == b, "tile {i} differs");
    }
    assert_eq!(our_tallies, their_tallies);
    for (i, (a, b)) in our_colours.iter().zip(&their_colours).enumerate() {
        assert!(apart(*a, *b) <= 1, "pixel {}: {a:08x} {b:08x}", i % TILE_PIXELS);
    }
}

#[test]
fn one_paint_twice_in_a_pixel_stays_inside_its_tile() {
    compare(&[repeated(), repeated()]);
}

#[test]
fn more_than_full_cover_shows_and_fades_as_full_cover() {
    let (made, ..) = taken(&mut CpuEngine::default(), &[overfull()]);
    for i in [0, 5000, TILE_PIXELS - 1] {
        let sum: u32 = made[1].planes().iter().map(|p| p[i] & 0xffff).sum();
        assert!(sum <= 65_535, "{sum}");
    }
    compare(&[overfull()]);
}

/// Words without any sense: the pairs may come out as each engine likes, but nothing stops and no other tile is touched.
#[test]
fn nonsense_is_survived_by_both_engines() {
    let tiles: Vec<_> = (1..=4).map(nonsense).collect();
    taken(&mut CpuEngine::default(), &tiles);
    if !lacks_gpu() {
        taken(&mut gpu_engine(), &tiles);
    }
}

/// An unknown id shows loud, counts as free, and is told apart from no other unknown one, on both engines.
#[test]
fn unknown_paints_look_and_count_the_same_on_every_engine() {
    let board = scenes::board(2);
    let paints = scenes::paints(&board, 3);
    let unknown = |id: u32| {
        TilePixels::new(vec![Plane::from_fn(|i| if i % 2 == 0 { id << 16 | 65_535 } else { 1 << 16 | 65_535 })])
    };
    compare(&[unknown(10), unknown(11), unknown(65_535)]);
    let mut engines: Vec<Box<dyn Engine>> = vec![Box::new(CpuEngine::default())];
    if !lacks_gpu() {
        engines.push(Box::new(gpu_engine()));
    }
    for engine in engines {
        let pass = Pass::new(PassId(1), "pass", PassKind::Board);
        let size = CanvasSize { width: 256, height: 128 };
        let mut canvas = Canvas::new(size, engine, lut(), &[pass]).unwrap();
        let key = |column| TileKey { pass: PassId(1), pos: TilePos { column, row: 0 } };
        canvas.put_tiles(vec![(key(0), unknown(40_000)), (key(1), unknown(12))]).unwrap();
        let name = canvas.engine().name;
        let colours = canvas.resolve(&[key(0).pos, key(1).pos]).unwrap();
        assert_eq!((colours[0], colours[TILE_PIXELS]), (0xffff_00ff, 0xffff_00ff), "{name}");
        let tally = canvas.tally().unwrap();
        let amounts = Amounts { tally, in_full_pixels: 0, uncounted: ClassAmounts::default() };
        let readout = Readout::new(256, 128, amounts, &board, &paints, FreeColourNote::default());
        assert_eq!((readout.board_share, readout.free_share, readout.bare_share), (0.5, 0.5, 0.0), "{name}");
    }
}

#[test]
fn device_memory_of_planes_that_became_empty_is_given_back() {
    if lacks_gpu() {
        return;
    }
    let mut engine: GpuEngine = gpu_engine();
    engine.set_paints(&lut()).unwrap();
    let full = MaskTile::from_fn(|_| u16::MAX);
    let mut tile = engine.upload(&[Arc::new(overfull())]).unwrap().remove(0);
    for paint in 1..=8 {
        tile = engine
            .commit(Op::Lay(PaintId(paint)), &[CommitJob { base: Some(&tile), mask: &MaskTile::Even(9_000) }])
            .unwrap()
            .remove(0);
    }
    let deep = engine.used_bytes();
    assert_eq!(deep, 8 * 65_536);
    tile = engine.commit(Op::Lay(PaintId(1)), &[CommitJob { base: Some(&tile), mask: &full }]).unwrap().remove(0);
    let pixels = engine.download(&[tile.clone()]).unwrap().remove(0);
    assert_eq!((pixels.planes().len(), engine.used_bytes()), (1, 65_536));
    // It can be painted on as before.
    tile = engine
        .commit(Op::Lay(PaintId(2)), &[CommitJob { base: Some(&tile), mask: &MaskTile::Even(9_000) }])
        .unwrap()
        .remove(0);
    assert_eq!(engine.used_bytes(), 2 * 65_536);
    drop(tile);
    assert_eq!(engine.used_bytes(), 0);
    // A stroke that ends does the same through the canvas.
    let size = CanvasSize { width: 128, height: 128 };
    let pass = Pass::new(PassId(1), "pass", PassKind::Board);
    let mut canvas = Canvas::new(size, Box::new(engine), lut(), &[pass]).unwrap();
    for (paint, cover) in [(1, MaskTile::Even(30_000)), (2, MaskTile::Even(30_000)), (3, full)] {
        let mut mask = Mask::new(size);
        mask.tiles.insert(TilePos { column: 0, row: 0 }, cover);
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(paint)), &mask).unwrap();
    }
    assert_eq!(canvas.all_tiles().unwrap()[0].1.planes().len(), 1);
}
