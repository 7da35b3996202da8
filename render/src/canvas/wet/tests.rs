#![allow(clippy::unwrap_used)]

use super::*;
use crate::canvas::StrokeOp;
use crate::cpu::CpuEngine;
use crate::mask::brush::Brush;
use crate::mask::mark::{Bristles, Kind, Mark, Paint, Shape, Tip as TipShape};
use crate::mask::{CanvasSize, PenSample, StrokeMask};
use crate::pixel::{amount_of, paint_of};
use std::sync::Arc;
use stint_model::ids::PaintId;
use stint_model::pass::{Pass, PassKind};
use stint_model::study::tile::{TileKey, TilePixels};

const SIZE: CanvasSize = CanvasSize { width: 300, height: 140 };
const PASS: PassId = PassId(1);

fn canvas() -> Canvas {
    let lut = PaintLut::for_tests(8, |id| id >= 7);
    Canvas::new(SIZE, Box::new(CpuEngine::default()), lut, &[Pass::new(PASS, "pass", PassKind::Board)]).unwrap()
}

fn brush(kind: Kind) -> Brush {
    let mark = Mark {
        kind,
        tip: TipShape { shape: Shape::Rectangle, aspect: 0.1, ..TipShape::default() },
        bristles: Bristles { count: 30.0, ..Bristles::default() },
        paint: Paint { holds: 20.0, ..Paint::default() },
        wet: Wet { pickup: 0.9, carries: 0.7, fresh: 0.15 },
        ..Mark::default()
    };
    Brush { size_px: 40.0, strength: 1.0, hardness: 1.0, mark: Some(Box::new(mark)), ..Brush::default() }
}

fn block(canvas: &mut Canvas, paint: u16, columns: [f32; 2]) {
    let mut mask = Mask::new(SIZE);
    let [left, right] = columns;
    let outline = [[left, 0.0], [right, 0.0], [right, 140.0], [left, 140.0]];
    mask.add_mass(&outline, crate::mask::mass::Edge::Hard, u16::MAX).unwrap();
    canvas.commit(PASS, &StrokeOp::lay(PaintId(paint)), &mask).unwrap();
}

fn samples() -> Vec<PenSample> {
    (0..=26)
        .map(|i| PenSample::new(20.0 + 10.0 * i as f32, 70.0 + 12.0 * (i % 5) as f32, 0.6 + 0.01 * i as f32))
        .collect()
}

/// Paints the stroke, some samples at a time; gives what it carries at its end.
fn paint(canvas: &mut Canvas, brush: &Brush, takes_free: bool, at_once: usize) -> (WetStroke, Visits) {
    let mut stroke = StrokeMask::noting(SIZE, brush.clone()).unwrap();
    let mut wet = WetStroke::new(BrushLoad::one(PaintId(1)), brush.wet().unwrap(), brush.size_px, takes_free);
    let mut last = Visits::default();
    for some in samples().chunks(at_once) {
        let touched = stroke.extend(some).unwrap();
        last = stroke.take_visits();
        canvas.preview_wet(PASS, &mut wet, last.clone(), stroke.mask(), touched).unwrap();
    }
    canvas.finish().unwrap();
    (wet, last)
}

fn tiles(canvas: &mut Canvas) -> Vec<(TileKey, Arc<TilePixels>)> {
    canvas.all_tiles().unwrap()
}

/// Units on the pass: board, free.
fn classes(canvas: &mut Canvas) -> [u64; 2] {
    let lut = canvas.paints.clone();
    let mut sums = [0; 2];
    for (_, tile) in tiles(canvas) {
        for &pair in tile.planes().iter().flat_map(|plane| plane.iter()).filter(|&&pair| pair != 0) {
            sums[usize::from(lut.is_free(paint_of(pair)))] += u64::from(amount_of(pair));
        }
    }
    sums
}

/// Over bare ground, board paint and free paint: canvas, hair and belly hold together what they held, class by class, whatever the kind of
/// mark; free paint of a board pass stays as it is.
#[test]
fn class_totals_are_exact_over_a_whole_stroke() {
    for kind in Kind::ALL {
        for takes_free in [false, true] {
            let mut canvas = canvas();
            block(&mut canvas, 3, [70.0, 120.0]);
            block(&mut canvas, 7, [150.0, 200.0]);
            let before = classes(&mut canvas);
            let (wet, last) = paint(&mut canvas, &brush(kind), takes_free, 4);
            let after = classes(&mut canvas);
            let mut settled = wet.settled.clone();
            let end = settled.work(&[], &last.provisional, &wet.exchange, &canvas.paints);
            let (mut kept, mut poured) = ([0; 2], 0);
            for tip in &end.tips {
                let (held, came) = tip.account(&canvas.paints);
                kept.iter_mut().zip(held).for_each(|(all, now)| *all += now);
                poured += came;
            }
            assert_eq!([after[0] + kept[0], after[1] + kept[1]], [before[0] + poured, before[1]], "{kind:?}");
            assert!(takes_free || after[1] == before[1], "{kind:?}");
            assert!(after[0] > before[0], "{kind:?} laid nothing");
        }
    }
}

#[test]
fn samples_one_at_a_time_or_all_at_once_give_equal_bits() {
    for kind in Kind::ALL {
        let painted = |at_once: usize| {
            let mut canvas = canvas();
            block(&mut canvas, 3, [70.0, 120.0]);
            paint(&mut canvas, &brush(kind), false, at_once);
            tiles(&mut canvas)
        };
        assert!(painted(1) == painted(1000), "{kind:?}");
    }
}

/// A wide stroke in a narrow bend, over itself: the same pixels and the same paint under the tip, however it is worked off.
#[test]
fn on_all_processors_it_is_the_same_exchange() {
    let mut canvas = canvas();
    block(&mut canvas, 3, [70.0, 120.0]);
    block(&mut canvas, 7, [150.0, 200.0]);
    let brush = Brush { size_px: 90.0, ..brush(Kind::Bristle) };
    let mut stroke = StrokeMask::noting(SIZE, brush.clone()).unwrap();
    let round = |i: u8| {
        let angle = 0.25 * f32::from(i);
        PenSample::new(120.0 + 40.0 * angle.cos() + 2.0 * f32::from(i), 70.0 + 25.0 * angle.sin(), 0.9)
    };
    stroke.extend(&(0..50).map(round).collect::<Vec<_>>()).unwrap();
    let visits = stroke.take_visits();
    let all: Vec<Visit> = [&visits.settled[..], &visits.provisional].concat();
    assert!(all.len() > VISITS_FOR_ALL, "{}", all.len());
    let mut wet = WetStroke::new(BrushLoad::one(PaintId(1)), brush.wet().unwrap(), brush.size_px, true);
    let places: BTreeSet<TilePos> = places_of(&all).collect();
    canvas.take_in(PASS, &places, &mut wet.settled.tiles).unwrap();
    wet.lanes = visits.lanes;
    wet.fill();
    for at in [0, all.len() / 3, all.len()] {
        let (settled, end) = all.split_at(at);
        let (mut in_turn, mut on_all) = (wet.settled.clone(), wet.settled.clone());
        let shown_on_all = on_all.work_on_all(settled, end, &wet.exchange, &canvas.paints);
        in_turn.work_in_turn(settled, &wet.exchange, &canvas.paints);
        let mut shown = in_turn.clone();
        shown.work_in_turn(end, &wet.exchange, &canvas.paints);
        for (one, all) in [(in_turn, on_all), (shown, shown_on_all)] {
            assert!(one.tips == all.tips, "settled to {at}");
            for &pos in &places {
                assert!(one.tiles.tile(pos) == all.tiles.tile(pos), "{pos:?}, settled to {at}");
            }
        }
    }
}

/// What is taken up goes on: behind the other paint there is some of it in the stroke, before it none, and less and less with the way.
#[test]
fn paint_is_carried_along_the_stroke_and_runs_out() {
    let mut canvas = canvas();
    block(&mut canvas, 3, [100.0, 130.0]);
    let brush = brush(Kind::Flat);
    let mut stroke = StrokeMask::noting(SIZE, brush.clone()).unwrap();
    let mut wet = WetStroke::new(BrushLoad::one(PaintId(1)), brush.wet().unwrap(), brush.size_px, false);
    let touched = stroke.extend(&[PenSample::new(20.0, 70.0, 1.0), PenSample::new(280.0, 70.0, 1.0)]).unwrap();
    let visits = stroke.take_visits();
    canvas.preview_wet(PASS, &mut wet, visits, stroke.mask(), touched).unwrap();
    canvas.finish().unwrap();
    let mut of_other = |column: u32| -> f64 {
        let rows = 60..80;
        let count = rows.len() as f64;
        let part = |y: u32| {
            let found = canvas.paints_at(column, y).unwrap();
            found.iter().filter(|p| p.0 == PaintId(3)).map(|p| f64::from(p.1) / 65535.0).sum::<f64>()
        };
        rows.map(part).sum::<f64>() / count
    };
    let (before, inside, behind, far) = (of_other(80), of_other(115), of_other(150), of_other(240));
    assert!(before == 0.0 && inside > 0.1, "{before} {inside}");
    assert!(behind > 0.1 && far < 0.6 * behind, "{behind} {far}");
}
