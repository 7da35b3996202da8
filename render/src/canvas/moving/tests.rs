#![allow(clippy::unwrap_used)]

use super::*;
use crate::canvas::{BrushLoad, StrokeOp};
use crate::cpu::CpuEngine;
use crate::mask::Mask;
use crate::mask::mass::Edge;
use crate::pixel::paint_of;
use stint_model::ids::PaintId;
use stint_model::pass::{Pass, PassKind};

const SIZE: CanvasSize = CanvasSize { width: 420, height: 300 };
const PASS: PassId = PassId(1);

fn canvas() -> Canvas {
    let lut = PaintLut::for_tests(12, |id| id >= 9);
    Canvas::new(SIZE, Box::new(CpuEngine::default()), lut, &[Pass::new(PASS, "pass", PassKind::Board)]).unwrap()
}

fn rectangle([left, top, right, bottom]: [f32; 4]) -> Vec<[f32; 2]> {
    vec![[left, top], [right, top], [right, bottom], [left, bottom]]
}

fn lay(canvas: &mut Canvas, load: BrushLoad, part: [f32; 4], strength: u16) {
    let mut mask = Mask::new(SIZE);
    mask.add_mass(&rectangle(part), Edge::Soft, strength).unwrap();
    canvas.commit(PASS, &StrokeOp::Lay(load), &mask).unwrap();
}

/// Units of the whole pass, board and free.
fn classes(canvas: &mut Canvas) -> [u64; 2] {
    let mut sums = [0; 2];
    for (_, tile) in canvas.all_tiles().unwrap() {
        for &pair in tile.planes().iter().flat_map(|plane| plane.iter()).filter(|pair| **pair != 0) {
            sums[usize::from(paint_of(pair) >= 9)] += u64::from(amount_of(pair));
        }
    }
    sums
}

fn pixel(canvas: &mut Canvas, x: u32, y: u32) -> Vec<(u32, u32)> {
    let (pos, index) = crate::mask::tile_of_pixel(x, y);
    let tiles = canvas.all_tiles().unwrap();
    let tile = tiles.iter().find(|(key, _)| key.pos == pos).map(|(_, tile)| tile.clone()).unwrap_or_default();
    let pairs = pixel_of(tile.planes(), index);
    pairs.iter().filter(|pair| **pair != 0).map(|pair| (paint_of(*pair), amount_of(*pair))).collect()
}

fn moved(canvas: &mut Canvas, part: [f32; 4], placements: &[Placement]) {
    let mut moved = canvas.take_up(PASS, &rectangle(part)).unwrap().unwrap();
    for placement in placements {
        canvas.preview_moved(&mut moved, placement).unwrap();
    }
    canvas.finish().unwrap();
}

fn by(right: f32, down: f32) -> Placement {
    Placement { by: [right, down], ..Placement::default() }
}

/// Several paints of both classes, some in part, across the edges of tiles.
fn painted() -> Canvas {
    let mut canvas = canvas();
    lay(&mut canvas, BrushLoad::one(PaintId(3)), [60.25, 40.5, 170.0, 140.0], 40_000);
    let mixture = BrushLoad::mixture(&[(PaintId(1), 3), (PaintId(2), 5), (PaintId(10), 7)]).unwrap();
    lay(&mut canvas, mixture, [90.0, 60.0, 150.5, 160.75], 51_111);
    canvas
}

/// An area whose edges cut through paint, moved by whole pixels onto bare canvas: every unit of each class is still there, and back again
/// everything is as it was, to the unit.
#[test]
fn whole_pixels_keep_every_unit() {
    let mut canvas = painted();
    let before = classes(&mut canvas);
    assert!(before[1] > 0);
    let part = [75.3, 50.7, 140.9, 149.2];
    let one: Vec<_> = [(100, 100), (75, 100), (120, 50)].map(|(x, y)| pixel(&mut canvas, x, y)).to_vec();
    moved(&mut canvas, part, &[by(201.0, 90.0)]);
    assert_eq!(classes(&mut canvas), before);
    assert_eq!(pixel(&mut canvas, 100, 100), []);
    assert_eq!(pixel(&mut canvas, 301, 190), one[0]);
    // On the edge the pixel is in two parts.
    let (here, there) = (pixel(&mut canvas, 75, 100), pixel(&mut canvas, 276, 190));
    for &(paint, amount) in &one[1] {
        let part = |pixel: &[(u32, u32)]| pixel.iter().find(|p| p.0 == paint).map_or(0, |p| p.1);
        assert_eq!(part(&here) + part(&there), amount);
    }
    let back = [276.3, 140.7, 341.9, 239.2];
    moved(&mut canvas, back, &[by(-201.0, -90.0)]);
    assert_eq!(classes(&mut canvas), before);
    assert_eq!(pixel(&mut canvas, 100, 100), one[0]);
}

/// Whatever is shown on the way, what comes of it is what the last place alone gives.
#[test]
fn places_on_the_way_leave_no_trace() {
    let turned = Placement { by: [120.0, 30.0], scale: [0.8, 1.3], turn: 40.0 };
    let (mut one, mut other) = (painted(), painted());
    let part = [60.0, 40.0, 160.0, 150.0];
    moved(&mut one, part, &[turned]);
    moved(&mut other, part, &[by(250.0, 100.0), Placement::default(), by(-90.0, 3.0), turned]);
    assert_eq!(one.all_tiles().unwrap(), other.all_tiles().unwrap());
    let mut untouched = painted();
    moved(&mut untouched, part, &[turned, Placement::default()]);
    assert_eq!(untouched.all_tiles().unwrap(), painted().all_tiles().unwrap());
}

/// A full square grows and shrinks with its area; inside it stays full, of its own paints alone, free paint stays as large a part of it.
#[test]
fn scaling_and_turning_invent_no_paint() {
    for (scale, turn) in
        [([1.5, 1.5], 0.0), ([0.4, 0.4], 0.0), ([0.3, 1.7], 25.0), ([1.0, 1.0], 45.0), ([0.07, 0.07], 10.0)]
    {
        let mut canvas = canvas();
        let mixture = BrushLoad::mixture(&[(PaintId(1), 1), (PaintId(2), 2), (PaintId(11), 1)]).unwrap();
        lay(&mut canvas, mixture, [130.0, 100.0, 230.0, 180.0], u16::MAX);
        let before = classes(&mut canvas);
        moved(&mut canvas, [110.0, 80.0, 250.0, 200.0], &[Placement { by: [20.0, 10.0], scale, turn }]);
        let after = classes(&mut canvas);
        let grows = f64::from(scale[0]) * f64::from(scale[1]);
        let total = |classes: [u64; 2]| (classes[0] + classes[1]) as f64;
        let ratio = total(after) / (total(before) * grows);
        assert!((ratio - 1.0).abs() < 0.02, "{scale:?} {turn}: {ratio}");
        let free = |classes: [u64; 2]| classes[1] as f64 / total(classes);
        assert!((free(after) - free(before)).abs() < 2e-4, "{scale:?} {turn}: {} {}", free(before), free(after));
        let middle = pixel(&mut canvas, 200, 150);
        assert_eq!(middle.iter().map(|p| p.1).sum::<u32>(), FULL, "{middle:?}");
        for (_, tile) in canvas.all_tiles().unwrap() {
            for index in 0..TILE_PIXELS {
                let pixel = pixel_of(tile.planes(), index);
                assert!(pixel.iter().all(|pair| [0, 1, 2, 11].contains(&paint_of(*pair))));
                assert!(pixel.iter().map(|pair| amount_of(*pair)).sum::<u32>() <= FULL);
            }
        }
    }
}

/// A quarter turn about a whole pixel brings pixels onto pixels. By hand: about (100, 100) the pixel that begins at (110, 90), its middle
/// 10.5 to the right and 9.5 up, comes to 9.5 to the right and 10.5 down.
#[test]
fn a_quarter_turn_keeps_every_unit() {
    let mut canvas = canvas();
    lay(&mut canvas, BrushLoad::one(PaintId(4)), [110.0, 90.0, 111.0, 91.0], u16::MAX);
    lay(&mut canvas, BrushLoad::one(PaintId(9)), [70.0, 95.5, 90.0, 130.0], 30_000);
    let before = classes(&mut canvas);
    moved(&mut canvas, [60.0, 60.0, 140.0, 140.0], &[Placement { turn: 90.0, ..Placement::default() }]);
    assert_eq!(classes(&mut canvas), before);
    assert_eq!(pixel(&mut canvas, 109, 110), [(4, FULL)]);
}

/// Onto paint: what comes has its place, and what was there gives way only as far as there is no room.
#[test]
fn what_is_moved_onto_paint_takes_its_place() {
    let mut canvas = canvas();
    lay(&mut canvas, BrushLoad::one(PaintId(1)), [20.0, 20.0, 80.0, 80.0], 20_000);
    lay(&mut canvas, BrushLoad::one(PaintId(2)), [200.0, 20.0, 300.0, 200.0], u16::MAX);
    lay(&mut canvas, BrushLoad::one(PaintId(3)), [200.0, 120.0, 300.0, 200.0], 65_535);
    lay(&mut canvas, BrushLoad::one(PaintId(3)), [320.0, 20.0, 400.0, 200.0], 30_000);
    moved(&mut canvas, [20.0, 20.0, 80.0, 80.0], &[by(190.0, 10.0)]);
    assert_eq!(pixel(&mut canvas, 230, 50), [(2, FULL - 20_000), (1, 20_000)]);
    moved(&mut canvas, [210.0, 30.0, 270.0, 90.0], &[by(115.0, 0.0)]);
    let on_part = pixel(&mut canvas, 350, 50);
    assert_eq!(on_part.iter().map(|p| p.1).sum::<u32>(), FULL);
    assert_eq!(on_part.iter().find(|p| p.0 == 3), None);
}

#[test]
fn bare_canvas_gives_nothing_to_move_and_what_leaves_the_canvas_is_gone() {
    let mut canvas = painted();
    assert!(canvas.take_up(PASS, &rectangle([300.0, 200.0, 400.0, 290.0])).unwrap().is_none());
    assert!(matches!(canvas.take_up(PASS, &[[0.0, 0.0], [9.0, 9.0]]), Err(MoveError::Outline(_))));
    moved(&mut canvas, [0.0, 0.0, 420.0, 300.0], &[by(5000.0, 0.0)]);
    assert!(canvas.all_tiles().unwrap().is_empty());
}

/// Every pixel of whatever kind comes apart and together again to the unit.
#[test]
fn a_pixel_comes_apart_to_the_unit() {
    let paints = PaintLut::for_tests(12, |id| id >= 9);
    let mut seed = 5_u64;
    let mut below = |limit: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % limit
    };
    let mut sums = PairSums::default();
    for _ in 0..3000 {
        let (mut whole, mut room, mut used): (Pixel, u64, usize) = ([0; MAX_PLANES], 65_535, 0);
        let first = below(12) as u32;
        for k in 0..below(9) as u32 {
            let amount = below(room.min(15_000) + 1);
            room -= amount;
            if amount > 0 {
                whole[used] = ((first + 5 * k) % 12 + 1) << 16 | amount as u32;
                used += 1;
            }
        }
        let (up, rest) = split_pixel(whole, below(65_536) as u16, &mut sums, &paints);
        let sorted = |mut pixel: Pixel| {
            pixel.sort_unstable();
            pixel
        };
        assert_eq!(sorted(joined(rest, up, &mut sums, &paints)), sorted(whole));
    }
}
