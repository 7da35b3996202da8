//! Laying paint against Porter and Duff's *over*, and the two mixing models against values of other programs.
//!
//! Sources of the data: `tests/data/SOURCES.md`, "Laying and mixing".
#![allow(clippy::unwrap_used, missing_docs)]

use csv::StringRecord;
use stint_model::board::{Board, LightOfDay};
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, PassId};
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::pass::{Pass, PassKind};
use stint_render::amount::from_fraction;
use stint_render::canvas::{Canvas, StrokeOp};
use stint_render::cpu::CpuEngine;
use stint_render::engine::Engine;
use stint_render::mask::mass::Edge;
use stint_render::mask::{CanvasSize, Mask};
use stint_render::paints::PaintLut;
use stint_tests::device::{gpu_engine, lacks_gpu};

const SIZE: CanvasSize = CanvasSize { width: 8, height: 8 };

fn rows(name: &str) -> Vec<StringRecord> {
    let path = format!("{}/data/{name}", env!("CARGO_MANIFEST_DIR"));
    csv::Reader::from_path(path).unwrap().records().map(Result::unwrap).collect()
}

fn number(row: &StringRecord, column: usize) -> f64 {
    row[column].parse().unwrap()
}

fn even(cover: f64) -> Mask {
    let mut mask = Mask::new(SIZE);
    let all = [[0.0, 0.0], [8.0, 0.0], [8.0, 8.0], [0.0, 8.0]];
    mask.add_mass(&all, Edge::Soft, from_fraction(cover as f32)).unwrap();
    mask
}

/// One pass of two paints that are pure red, green or blue: amounts are then premultiplied components.
fn canvas(engine: Box<dyn Engine>, colours: [Colour; 2], mixing: Mixing) -> Canvas {
    let mut paints = PaintTable::default();
    for colour in colours {
        paints.load_free(colour).unwrap();
    }
    paints.follow(&Board::new("none", LightOfDay::Neutral));
    let lut = PaintLut::new(&paints, Colour::new(0.0, 0.0, 0.0), mixing);
    Canvas::new(SIZE, engine, lut, &[Pass::new(PassId(1), "pass", PassKind::Board)]).unwrap()
}

#[test]
fn laying_is_over_on_the_cpu() {
    laying_is_over(|| Box::new(CpuEngine::default()));
}

#[test]
fn laying_is_over_on_a_graphics_device() {
    if lacks_gpu() {
        return;
    }
    laying_is_over(|| Box::new(gpu_engine()));
}

fn laying_is_over(engine: impl Fn() -> Box<dyn Engine>) {
    // One canvas for all cases: a device takes a while to open.
    let mut canvas = canvas(engine(), [Colour::new(1.0, 0.0, 0.0), Colour::new(0.0, 1.0, 0.0)], Mixing::Light);
    for row in rows("porter_duff_over.csv") {
        // colours, op, alpha of A, alpha of B, A premultiplied, B premultiplied, result premultiplied, its alpha.
        let (alpha_a, alpha_b) = (number(&row, 2), number(&row, 3));
        let straight = |first: usize, alpha: f64| {
            let at = |i: usize| if alpha == 0.0 { 0.0 } else { (number(&row, first + i) / alpha) as f32 };
            Colour::new(at(0), at(1), at(2))
        };
        let (a, b) = (straight(4, alpha_a), straight(7, alpha_b));
        canvas.clear_pass(PassId(1)).unwrap();
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(2)), &even(alpha_b)).unwrap();
        canvas.commit(PassId(1), &StrokeOp::lay(PaintId(1)), &even(alpha_a)).unwrap();
        let amounts = canvas.paints_at(3, 5).unwrap();
        let amount = |id: u16| {
            let found = amounts.iter().find(|(p, _)| p.0 == id);
            found.map_or(0.0, |&(_, amount)| f64::from(amount) / 65535.0)
        };
        let (of_a, of_b) = (amount(1), amount(2));
        // Two roundings to 1/65535 lie between the exact value and ours.
        let near = |got: f64, want: f64| assert!((got - want).abs() < 2.0 / 65535.0, "{row:?}: {got} {want}");
        near(of_a + of_b, number(&row, 13));
        let components = [(a.r, b.r), (a.g, b.g), (a.b, b.b)];
        for (i, (ca, cb)) in components.into_iter().enumerate() {
            near(f64::from(ca) * of_a + f64::from(cb) * of_b, number(&row, 10 + i));
        }
    }
}

#[test]
fn both_mixing_models_give_published_mixtures() {
    for row in rows("mixing.csv") {
        let (a, b) = (Colour::from_hex(&row[1]).unwrap(), Colour::from_hex(&row[2]).unwrap());
        let part_of_b = number(&row, 3);
        for (mixing, first) in [(Mixing::Light, 4), (Mixing::Perceptual, 7)] {
            let mut canvas = canvas(Box::new(CpuEngine::default()), [a, b], mixing);
            canvas.commit(PassId(1), &StrokeOp::lay(PaintId(1)), &even(1.0)).unwrap();
            canvas.commit(PassId(1), &StrokeOp::lay(PaintId(2)), &even(part_of_b)).unwrap();
            let got = canvas.resolve_band(0).unwrap()[0].srgb();
            for (i, got) in got.into_iter().enumerate() {
                let want = number(&row, first + i);
                // A step of the amount is 1.5e-5; the curve is steepest, 12.92, at black.
                assert!((f64::from(got) - want).abs() < 3e-4, "{} {mixing:?}: {got} {want}", &row[0]);
            }
        }
    }
}
