//! Colours outside sRGB as the canvas shows them, on both engines, held against W3C CSS Color 4's published method
//! (`tests/data/gamut_map.csv`, see `SOURCES.md`), against the tray and against the export.

use std::sync::Arc;
use stint_model::colour::gamut::{SRGB, into_gamut};
use stint_model::colour::{Colour, Oklch};
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::study::tile::{Plane, TILE_PIXELS, TilePixels};
use stint_render::cpu::CpuEngine;
use stint_render::engine::{Engine, Layer, Stack};
use stint_render::paints::PaintLut;
use stint_tests::device::{gpu_engine, lacks_gpu};

/// Places of the table with the 8-bit codes that the method gives.
fn published() -> Vec<(String, Oklch, [u8; 3])> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/data/gamut_map.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let columns: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let rows = reader.records().map(|row| {
        let row = row.unwrap();
        let cell = |name: &str| row[columns.iter().position(|c| c == name).unwrap()].to_owned();
        let [l, c, h_degrees] = ["L", "C", "h"].map(|n| cell(n).parse().unwrap());
        let codes = ["css_r8", "css_g8", "css_b8"].map(|n| cell(n).parse().unwrap());
        (cell("label"), Oklch { l, c, h_degrees }, codes)
    });
    rows.collect()
}

/// What an engine shows of these colours laid pure, one after the other over a tile; every other pixel in groups of 16 alike.
fn shown(engine: &mut dyn Engine, colours: &[Colour], mixing: Mixing) -> Vec<[u8; 3]> {
    let mut paints = PaintTable::default();
    let ids: Vec<u32> = colours.iter().map(|&c| u32::from(paints.load_free(c).unwrap().0)).collect();
    engine.set_paints(&PaintLut::new(&paints, Colour::new(0.2, 0.2, 0.2), mixing)).unwrap();
    // First all of them mixed in one group of pixels, then each alone over a whole row.
    let alone = TILE_PIXELS / 2;
    let plane = Plane::from_fn(|i| {
        let of = if i < alone { i % ids.len() } else { (i - alone) / 64 % ids.len() };
        ids[of] << 16 | 65_535
    });
    let tiles = engine.upload(&[Arc::new(TilePixels::new(vec![plane]))]).unwrap();
    let stack = Stack { layers: vec![Layer { tile: tiles[0].clone(), strength: u16::MAX }] };
    let out = engine.resolve(&[stack]).unwrap();
    let codes = |word: u32| [word as u8, (word >> 8) as u8, (word >> 16) as u8];
    for (i, word) in out.iter().enumerate().skip(alone) {
        assert_eq!(*word, out[(i - alone) / 64 % ids.len()], "one colour in a group and alone, pixel {i}");
    }
    out[..ids.len()].iter().map(|&word| codes(word)).collect()
}

fn apart(a: [u8; 3], b: [u8; 3]) -> u8 {
    a.iter().zip(b).map(|(a, b)| a.abs_diff(b)).max().unwrap()
}

/// Every place of the published table, and a ring of far colours of every hue and lightness.
fn colours() -> Vec<Colour> {
    let table = published().into_iter().map(|(_, place, _)| place);
    let ring = (0..80).map(|i| Oklch {
        l: 0.1 + 0.1 * (i % 9) as f32,
        c: 0.15 + 0.05 * (i % 7) as f32,
        h_degrees: 4.5 * i as f32,
    });
    table.chain(ring).map(Oklch::colour).collect()
}

fn check(engine: &mut dyn Engine) {
    let colours = colours();
    let table = published();
    for mixing in Mixing::ALL {
        let shown = shown(engine, &colours, mixing);
        for ((label, place, want), got) in table.iter().zip(&shown) {
            // In single precision a lightness of exactly 1 or 0 may come out just beside it.
            if place.l > 0.0 && place.l < 1.0 {
                assert!(apart(*got, *want) <= 1, "{label}, {mixing:?}: {got:?}, published {want:?}");
            }
        }
        // The tray shows, and an export writes, what the model maps in double precision.
        for (colour, got) in colours.iter().zip(&shown) {
            let mapped = if SRGB.nearly_holds(*colour) { *colour } else { into_gamut(*colour, &SRGB) };
            assert!(
                apart(*got, mapped.to_srgb8()) <= 1,
                "{colour:?}, {mixing:?}: {got:?}, tray {:?}",
                mapped.to_srgb8()
            );
            assert!(
                apart(*got, colour.to_srgb8()) <= 1,
                "{colour:?}, {mixing:?}: {got:?}, tray {:?}",
                colour.to_srgb8()
            );
        }
    }
}

#[test]
fn the_cpu_engine_maps_as_the_tray_does() {
    check(&mut CpuEngine::default());
}

#[test]
fn the_gpu_engine_maps_as_the_tray_does() {
    if !lacks_gpu() {
        check(&mut gpu_engine());
    }
}
