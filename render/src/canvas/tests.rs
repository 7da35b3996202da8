#![allow(clippy::unwrap_used)]

use super::*;
use crate::cpu::CpuEngine;
use stint_model::pass::PassKind;

const SIZE: CanvasSize = CanvasSize { width: 300, height: 200 };

fn canvas(passes: &[Pass]) -> Canvas {
    Canvas::new(SIZE, Box::new(CpuEngine::default()), PaintLut::for_tests(9, |_| false), passes).unwrap()
}

fn pass(id: u32) -> Pass {
    Pass::new(PassId(id), "pass", PassKind::Board)
}

/// A mask whose tiles `cover` fills.
fn mask(cover: impl Fn(TilePos, usize) -> u16) -> Mask {
    let mut mask = Mask::new(SIZE);
    mask.tiles.extend(SIZE.tiles().map(|pos| (pos, MaskTile::from_fn(|i| cover(pos, i)))));
    mask
}

/// A stroke shown in steps, which grows, shrinks and is laid with another paint before its end, is what it is in one go.
#[test]
fn a_stroke_in_steps_is_the_stroke_at_once() {
    let grained = mask(|pos, i| 1 + (i * 7 + usize::from(pos.column) * 900) as u16 % 50_000);
    let steps = |limit: usize| mask(move |_, i| if i < limit { (i % 60_000) as u16 + 3 } else { 0 });
    let mixture = StrokeOp::Lay(BrushLoad::mixture(&[(PaintId(4), 3), (PaintId(5), 1)]).unwrap());
    for op in [StrokeOp::lay(PaintId(3)), StrokeOp::Scrape, mixture] {
        let [mut whole, mut grown] = [canvas(&[pass(1)]), canvas(&[pass(1)])];
        for canvas in [&mut whole, &mut grown] {
            canvas.commit(PassId(1), &StrokeOp::lay(PaintId(1)), &grained).unwrap();
        }
        for (op, limit) in
            [(&op, 3000), (&op, 9000), (&StrokeOp::lay(PaintId(7)), 9000), (&op, 9000), (&op, 5000), (&op, 12_000)]
        {
            grown.preview(PassId(1), op, &steps(limit), SIZE.tiles().collect()).unwrap();
        }
        let changes = grown.finish().unwrap();
        let wanted = whole.commit(PassId(1), &op, &steps(12_000)).unwrap();
        assert!(changes.iter().map(|c| (c.key, &c.after)).eq(wanted.iter().map(|c| (c.key, &c.after))), "{op:?}");
        // The next stroke takes nothing of this one over.
        for canvas in [&mut whole, &mut grown] {
            canvas.preview(PassId(1), &op, &steps(12_000), SIZE.tiles().collect()).unwrap();
        }
        assert!(grown.finish().unwrap().iter().map(|c| &c.after).eq(whole.finish().unwrap().iter().map(|c| &c.after)));
        assert_eq!(grown.tally().unwrap(), whole.tally().unwrap());
    }
}

#[test]
fn a_change_of_one_pass_makes_its_tiles_stale_alone() {
    let mut canvas = canvas(&[pass(1), pass(2), pass(3)]);
    for (id, column) in [(1, 0), (2, 1), (3, 2)] {
        let mut mask = Mask::new(SIZE);
        mask.tiles.insert(TilePos { column, row: 0 }, MaskTile::Even(30_000));
        canvas.commit(PassId(id), &StrokeOp::lay(PaintId(1)), &mask).unwrap();
    }
    let mut stale = |passes: &[Pass]| {
        canvas.tally().unwrap();
        canvas.set_passes(passes);
        canvas.stale.iter().map(|pos| pos.column).collect::<Vec<_>>()
    };
    let faint = Pass { strength: 9000, ..pass(2) };
    let named = Pass { name: "glaze".to_owned(), ..pass(3) };
    assert_eq!(stale(&[pass(1), pass(2), named]), [0_u16; 0]);
    assert_eq!(stale(&[pass(1), faint.clone(), pass(3)]), [1]);
    assert_eq!(stale(&[pass(1), faint.clone(), pass(4), pass(3)]), [0_u16; 0]);
    // Passes that change places: what lies over what is another matter everywhere.
    assert_eq!(stale(&[pass(3), faint.clone(), pass(4), pass(1)]), [0, 1, 2]);
    assert_eq!(stale(&[pass(3), pass(4), pass(1)]), [1]);
    assert_eq!(canvas.tally().unwrap().total(), 2 * 30_000 * 16_384);
}

#[test]
fn a_pick_reads_what_the_passes_hold_there() {
    let mut canvas = canvas(&[pass(1), Pass { strength: 32_768, ..pass(2) }]);
    for (id, paint) in [(1, 3), (2, 4)] {
        canvas
            .commit(PassId(id), &StrokeOp::lay(PaintId(paint)), &mask(|_, i| if i == 130 { 40_000 } else { 9 }))
            .unwrap();
    }
    // By hand: half of 40000 shows of the upper pass, and of the lower what that leaves: 40000 x (65535 - 20000) / 65535.
    assert_eq!(canvas.paints_at(130, 1).unwrap(), [(PaintId(3), 27_793), (PaintId(4), 20_000)]);
    assert_eq!(canvas.paints_at(300, 1).unwrap(), []);
}
