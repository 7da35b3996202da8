#![allow(clippy::unwrap_used)]

use super::*;
use crate::canvas::StrokeOp;
use crate::cpu::CpuEngine;
use crate::mask::brush::Brush;
use crate::mask::mass::Edge;
use crate::mask::{CanvasSize, PenSample, StrokeMask};
use crate::paints::PaintLut;
use stint_model::ids::PaintId;
use stint_model::pass::{Pass, PassKind};

const SIZE: CanvasSize = CanvasSize { width: 300, height: 100 };
const PASS: PassId = PassId(1);

fn canvas() -> Canvas {
    let lut = PaintLut::for_tests(4, |_| false);
    Canvas::new(SIZE, Box::new(CpuEngine::default()), lut, &[Pass::new(PASS, "pass", PassKind::Board)]).unwrap()
}

fn mass(canvas: &mut Canvas, work: &StrokeOp, outline: &[[f32; 2]]) {
    let mut mask = Mask::new(SIZE);
    mask.add_mass(outline, Edge::Soft, u16::MAX).unwrap();
    canvas.commit(PASS, work, &mask).unwrap();
}

/// Paint 1 on the left and paint 2 on the right of column 128, all over.
fn halves() -> Canvas {
    let mut canvas = canvas();
    mass(&mut canvas, &StrokeOp::lay(PaintId(1)), &[[0.0, 0.0], [128.0, 0.0], [128.0, 100.0], [0.0, 100.0]]);
    mass(&mut canvas, &StrokeOp::lay(PaintId(2)), &[[128.0, 0.0], [300.0, 0.0], [300.0, 100.0], [128.0, 100.0]]);
    canvas
}

fn stroke(canvas: &mut Canvas, samples: &[PenSample], at_once: usize) {
    let brush = Brush { size_px: 40.0, strength: 1.0, ..Brush::default() }.for_softening();
    let mut stroke = StrokeMask::noting(SIZE, brush).unwrap();
    let mut soften = SoftenStroke::new(6.0, 40.0);
    for some in samples.chunks(at_once) {
        let touched = stroke.extend(some).unwrap();
        let visits = stroke.take_visits();
        canvas.preview_soften(PASS, &mut soften, visits, stroke.mask(), touched).unwrap();
    }
    canvas.finish().unwrap();
}

/// Part of a paint in the middle row, at a column.
fn part(canvas: &mut Canvas, paint: u16, x: u32) -> f64 {
    let found = canvas.paints_at(x, 50).unwrap();
    found.iter().filter(|p| p.0 == PaintId(paint)).map(|p| f64::from(p.1) / 65535.0).sum()
}

#[test]
fn an_edge_blends_across_tiles_and_no_paint_is_lost() {
    let mut canvas = halves();
    let before = canvas.tally().unwrap().clone();
    let soften = StrokeOp::Soften { radius_px: 10.0 };
    mass(&mut canvas, &soften, &[[100.0, 0.0], [160.0, 0.0], [160.0, 100.0], [100.0, 100.0]]);
    // Far from the edge nothing changes; at the edge both paints meet; the canvas stays full.
    assert_eq!(canvas.paints_at(101, 50).unwrap(), [(PaintId(1), 65535)]);
    let edge = canvas.paints_at(127, 50).unwrap();
    assert_eq!(edge.len(), 2);
    assert_eq!(edge.iter().map(|p| p.1).sum::<u32>(), 65535);
    let after = canvas.tally().unwrap();
    assert_eq!(after.total(), before.total());
    // The edge is straight and the exchange even, so what one side gains the other gives.
    let moved = after.amount(PaintId(1)).abs_diff(before.amount(PaintId(1)));
    assert!(moved < 65535 * 100, "{moved}");
}

fn across(pressure: f32, back: bool) -> Vec<PenSample> {
    let at = |i: i32| PenSample::new(70.0 + 12.0 * if back { 12 - i } else { i } as f32, 50.0, pressure);
    (0..=12).map(at).collect()
}

/// A firm stroke drags paint with it, one way; a light one blurs the edge alike on both sides.
#[test]
fn a_firm_hand_smears_its_way_and_a_light_one_blurs() {
    let mut firm = halves();
    stroke(&mut firm, &across(1.0, false), 100);
    // Ten pixels beyond the edge there is paint of the left; ten before it none of the right.
    let (on, back) = (part(&mut firm, 1, 148), part(&mut firm, 2, 108));
    assert!(on > 0.15 && back < 0.02, "{on} {back}");
    let mut other = halves();
    stroke(&mut other, &across(1.0, true), 100);
    let (on, back) = (part(&mut other, 2, 108), part(&mut other, 1, 148));
    assert!(on > 0.15 && back < 0.02, "{on} {back}");
    let mut light = halves();
    stroke(&mut light, &across(0.12, false), 100);
    assert!(part(&mut light, 1, 148) < 0.02);
    let (left, right) = (part(&mut light, 2, 126), part(&mut light, 1, 129));
    assert!(left > 0.1 && (left - right).abs() < 0.06, "{left} {right}");
}

#[test]
fn samples_one_at_a_time_or_all_at_once_give_equal_bits() {
    let painted = |at_once: usize| {
        let mut canvas = halves();
        stroke(&mut canvas, &across(0.7, false), at_once);
        canvas.all_tiles().unwrap()
    };
    assert!(painted(1) == painted(100));
}

/// A straight line is drawn anew with every movement, from where it began: what it went over on the way is as if it had not been there.
#[test]
fn a_way_that_was_given_up_leaves_no_trace() {
    let painted = |astray: bool| {
        let mut canvas = halves();
        let brush = Brush { size_px: 40.0, strength: 1.0, ..Brush::default() }.for_softening();
        let mut stroke = StrokeMask::noting(SIZE, brush).unwrap();
        let mut soften = SoftenStroke::new(6.0, 40.0);
        let (begin, rest) = (&across(0.7, false)[..6], &across(0.7, false)[6..]);
        let touched = stroke.extend(begin).unwrap();
        let visits = stroke.take_visits();
        canvas.preview_soften(PASS, &mut soften, visits, stroke.mask(), touched).unwrap();
        let mut left_behind = BTreeSet::new();
        if astray {
            let (mut stroke, mut soften) = (stroke.clone(), soften.clone());
            let touched = stroke.extend(&[PenSample::new(140.0, 20.0, 1.0), PenSample::new(260.0, 80.0, 1.0)]).unwrap();
            let visits = stroke.take_visits();
            left_behind.extend(stroke.mask().tiles.keys().copied());
            canvas.preview_soften(PASS, &mut soften, visits, stroke.mask(), touched).unwrap();
        }
        let mut touched = stroke.extend(rest).unwrap();
        touched.extend(left_behind);
        let visits = stroke.take_visits();
        canvas.preview_soften(PASS, &mut soften, visits, stroke.mask(), touched).unwrap();
        canvas.finish().unwrap();
        canvas.all_tiles().unwrap()
    };
    assert!(painted(true) == painted(false));
}
