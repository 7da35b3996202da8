//! Strokes of every brush on both engines: equal bits, whatever the brush does, with an area protected or not, and when what is in one is
//! moved.

use std::sync::Arc;
use stint::files::brushes::shipped;
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, PassId};
use stint_model::mixing::Mixing;
use stint_model::pass::{Pass, PassKind};
use stint_model::study::protected::{ProtectedArea, Side};
use stint_model::study::tile::{TileKey, TilePixels};
use stint_render::canvas::{BrushLoad, Canvas, Placement, SoftenStroke, StrokeOp, WetStroke};
use stint_render::cpu::CpuEngine;
use stint_render::engine::Engine;
use stint_render::mask::brush::Brush;
use stint_render::mask::protect::{ProtectedMask, Protection};
use stint_render::mask::{CanvasSize, Mask, MaskTile, PenSample, StrokeMask, Visits};
use stint_render::paints::PaintLut;
use stint_tests::device::{gpu_engine, lacks_gpu};
use stint_tests::numbers::Numbers;
use stint_tests::scenes;

const SIZE: CanvasSize = CanvasSize { width: 300, height: 210 };
const PASS: PassId = PassId(1);

/// A canvas with some paint all over.
fn canvas(engine: Box<dyn Engine>) -> Canvas {
    let paints = scenes::paints(&scenes::board(8), 6);
    let lut = PaintLut::new(&paints, Colour::new(0.2, 0.2, 0.2), Mixing::Perceptual);
    let mut canvas = Canvas::new(SIZE, engine, lut, &[Pass::new(PASS, "pass", PassKind::Board)]).unwrap();
    for paint in [3, 7, 11] {
        let mut mask = Mask::new(SIZE);
        let cover = MaskTile::from_fn(|i| (i as u32 * u32::from(paint) * 977 % 50_000) as u16);
        mask.tiles.extend(SIZE.tiles().map(|pos| (pos, cover.clone())));
        // Beyond the canvas nothing is covered.
        for (pos, tile) in &mut mask.tiles {
            let (width, height) = SIZE.tile_extent(*pos);
            let pixels = tile.pixels_mut();
            (0..128 * 128_u32).filter(|i| i % 128 >= width || i / 128 >= height).for_each(|i| pixels[i as usize] = 0);
        }
        canvas.commit(PASS, &StrokeOp::lay(PaintId(paint)), &mask).unwrap();
    }
    canvas
}

/// What a stroke does.
#[derive(Clone, Copy, Debug)]
enum How {
    Lay,
    Mixture,
    Scrape,
    Soften,
    Wet,
}

/// Paints a stroke, sample by sample; gives the tiles that changed.
fn paint(
    canvas: &mut Canvas,
    brush: &Brush,
    how: How,
    samples: &[PenSample],
    protection: Option<&Arc<Protection>>,
) -> Vec<(TileKey, Arc<TilePixels>)> {
    let load = BrushLoad::mixture(&[(PaintId(2), 3), (PaintId(9), 2)]).unwrap();
    let op = match how {
        How::Lay => StrokeOp::lay(PaintId(5)),
        How::Mixture | How::Wet => StrokeOp::Lay(load),
        How::Scrape => StrokeOp::Scrape,
        How::Soften => StrokeOp::Soften { radius_px: brush.size_px * 0.15 },
    };
    let mut wet = brush.wet().map(|wet| WetStroke::new(load, wet, brush.size_px, false));
    let mut soften = SoftenStroke::new(brush.size_px * 0.15, brush.size_px);
    let mut stroke = StrokeMask::noting(SIZE, brush.clone()).unwrap();
    let mut held = protection.cloned().map(ProtectedMask::new);
    for sample in samples {
        let touched = stroke.extend(&[*sample]).unwrap();
        let mut visits: Visits = stroke.take_visits();
        let mask = match &mut held {
            Some(held) => {
                held.follow(stroke.mask(), &mut visits, touched.iter().copied());
                held.mask()
            }
            None => stroke.mask(),
        };
        match (how, &mut wet) {
            (How::Soften, _) => canvas.preview_soften(PASS, &mut soften, visits, mask, touched),
            (How::Wet, Some(wet)) => canvas.preview_wet(PASS, wet, visits, mask, touched),
            (How::Lay | How::Mixture | How::Scrape | How::Wet, _) => canvas.preview(PASS, &op, mask, touched),
        }
        .unwrap();
    }
    canvas.finish().unwrap().into_iter().map(|change| (change.key, change.after)).collect()
}

fn samples(numbers: &mut Numbers) -> Vec<PenSample> {
    let mut at = [numbers.range(20.0, 280.0), numbers.range(20.0, 190.0)];
    (0..7_u8)
        .map(|i| {
            at = [at[0] + numbers.range(-60.0, 60.0), at[1] + numbers.range(-50.0, 50.0)];
            let sample = PenSample::new(at[0], at[1], numbers.range(0.1, 1.0));
            PenSample { time_ms: Some(f64::from(i) * 8.0), tilt_degrees: Some([25.0, -10.0]), ..sample }
        })
        .collect()
}

#[test]
fn every_brush_gives_equal_bits_on_both_engines() {
    if lacks_gpu() {
        return;
    }
    let (mut cpu, mut gpu) = (canvas(Box::new(CpuEngine::default())), canvas(Box::new(gpu_engine())));
    let mut numbers = Numbers(41);
    let outline = vec![[60.0, 30.0], [210.5, 50.0], [190.0, 180.25], [80.0, 150.0]];
    let protections = [Side::Inside, Side::Outside].map(|paintable| {
        Arc::new(Protection::new(SIZE, &ProtectedArea { outline: outline.clone(), paintable }).unwrap())
    });
    let mut brushes: Vec<(String, Brush)> = vec![("Plain".to_owned(), Brush::default())];
    brushes.extend(shipped().into_iter().map(|named| (named.name, named.brush)));
    assert!(brushes.len() >= 9);
    let mut painted = 0;
    for (name, brush) in &brushes {
        let brush = Brush { size_px: numbers.range(10.0, 60.0), ..brush.clone() };
        for how in [How::Lay, How::Mixture, How::Scrape, How::Soften, How::Wet] {
            let protection = [None, Some(&protections[0]), Some(&protections[1])][numbers.below(3) as usize];
            let samples = samples(&mut numbers);
            let ours = paint(&mut cpu, &brush, how, &samples, protection);
            let theirs = paint(&mut gpu, &brush, how, &samples, protection);
            assert!(ours == theirs, "{name} {how:?}");
            painted += usize::from(!ours.is_empty());
        }
    }
    assert!(painted > 3 * brushes.len(), "{painted}");
}

/// What is moved is made on the CPU for every engine, of tiles that it reads back: equal bits, and by whole pixels every unit stays.
#[test]
fn what_is_moved_gives_equal_bits_and_keeps_its_units() {
    if lacks_gpu() {
        return;
    }
    let outline = vec![[20.0, 20.0], [120.5, 30.0], [100.0, 90.25], [30.0, 80.0]];
    let placements = [
        Placement { by: [7.0, -4.0], ..Placement::default() },
        Placement { by: [30.5, 10.0], scale: [1.4, 0.6], turn: 33.0 },
        Placement { scale: [0.2, 0.3], turn: -90.0, ..Placement::default() },
    ];
    let (mut cpu, mut gpu) = (canvas(Box::new(CpuEngine::default())), canvas(Box::new(gpu_engine())));
    for placement in placements {
        let moved = |canvas: &mut Canvas| {
            let mut moved = canvas.take_up(PASS, &outline).unwrap().unwrap();
            canvas.preview_moved(&mut moved, &Placement { by: [50.0, 50.0], ..Placement::default() }).unwrap();
            canvas.preview_moved(&mut moved, &placement).unwrap();
            let changes = canvas.finish().unwrap();
            changes.into_iter().map(|change| (change.key, change.after)).collect::<Vec<_>>()
        };
        let (ours, theirs) = (moved(&mut cpu), moved(&mut gpu));
        assert!(ours == theirs && !ours.is_empty(), "{placement:?}");
        assert_eq!(cpu.tally().unwrap(), gpu.tally().unwrap());
    }
}
