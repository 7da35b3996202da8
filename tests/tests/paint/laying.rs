//! Laying paint against Porter and Duff's *over*, and the mixing models against values of other programs.
//!
//! Sources of the data: `tests/data/SOURCES.md`, "Laying and mixing".

use csv::StringRecord;
use stint_model::board::{Board, LightOfDay};
use stint_model::colour::difference::ciede2000;
use stint_model::colour::{Colour, decode};
use stint_model::ids::{PaintId, PassId};
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::pass::{Pass, PassKind};
use stint_model::study::tile::TilePos;
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
fn light_and_perceptual_mixtures_are_the_published_ones() {
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

/// The pigment model with its 12 bands against 36 bands computed outside this project, within CIEDE2000 1: pairs, three and four paints,
/// one paint alone, and equal paints.
#[test]
fn pigment_mixtures_are_those_of_three_times_as_many_bands() {
    let mut worst = 0.0_f64;
    for row in rows("mixing_pigment.csv") {
        let colours = row[1].split(' ').map(|hex| Colour::from_hex(hex).unwrap());
        let amounts = row[2].split(' ').map(|amount| amount.parse::<f32>().unwrap());
        let got = Mixing::Pigment.mixed(colours.zip(amounts));
        let [r, g, b] = [3, 4, 5].map(|column| decode(number(&row, column) as f32));
        let off = ciede2000(got.lab(), Colour::new(r, g, b).lab());
        assert!(off < 1.0, "{} {}: {off}", &row[0], &row[2]);
        worst = worst.max(off);
    }
    println!("pigment mixtures within CIEDE2000 {worst:.3} of 36 bands");
}

#[test]
fn pigments_mix_on_the_cpu_as_the_model_says() {
    pigments_mix_as_the_model_says(|| Box::new(CpuEngine::default()));
}

#[test]
fn pigments_mix_on_a_graphics_device_as_the_model_says() {
    if !lacks_gpu() {
        pigments_mix_as_the_model_says(|| Box::new(gpu_engine()));
    }
}

/// Two paints laid one over the other, shown in 8 bits and exported, in another model first: the change recolours at once.
fn pigments_mix_as_the_model_says(engine: impl Fn() -> Box<dyn Engine>) {
    let lut = |mixing| {
        let mut paints = PaintTable::default();
        for hex in ["#002185", "#fcd200"] {
            paints.load_free(Colour::from_hex(hex).unwrap()).unwrap();
        }
        PaintLut::new(&paints, Colour::new(0.2, 0.2, 0.2), mixing)
    };
    let pass = Pass::new(PassId(1), "pass", PassKind::Board);
    let mut canvas = Canvas::new(SIZE, engine(), lut(Mixing::Perceptual), &[pass]).unwrap();
    canvas.commit(PassId(1), &StrokeOp::lay(PaintId(1)), &even(1.0)).unwrap();
    canvas.commit(PassId(1), &StrokeOp::lay(PaintId(2)), &even(0.5)).unwrap();
    let place = TilePos { column: 0, row: 0 };
    let shown = |canvas: &mut Canvas| {
        let word = canvas.resolve(&[place]).unwrap()[130];
        [word as u8, (word >> 8) as u8, (word >> 16) as u8]
    };
    let before = shown(&mut canvas);
    canvas.set_paints(lut(Mixing::Pigment));
    let colours = ["#002185", "#fcd200"].map(|hex| (Colour::from_hex(hex).unwrap(), 0.5));
    let wanted = Mixing::Pigment.mixed(colours);
    let exported = canvas.resolve_band(0).unwrap()[9];
    assert!((exported.r - wanted.r).abs() + (exported.g - wanted.g).abs() + (exported.b - wanted.b).abs() < 1e-4);
    let after = shown(&mut canvas);
    assert!(after.iter().zip(wanted.to_srgb8()).all(|(a, b)| a.abs_diff(b) <= 1), "{after:?} {}", wanted.hex());
    // Green of blue and yellow; the middle for the eye was greyer.
    assert!(after[1] > after[0].max(after[2]) + 40 && before != after, "{before:?} {after:?}");
}
