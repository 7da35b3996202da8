//! Resolve on the CPU: from visible amounts to colour. Mirror: `shaders/resolve.wgsl`.

use super::Planes;
use crate::amount::FULL;
use crate::paints::PaintLut;
use crate::pixel::{amount_of, paint_of, show_layer};
use std::sync::LazyLock;
use stint_model::colour::Colour;
use stint_model::mixing::Mixing;
use stint_model::study::tile::TILE_PIXELS;

/// Steps of the encoding table. The steepest part of the sRGB curve has 3294 codes a unit (12.92 x 255), so that one step
/// is a fifth of a code.
const STEPS: usize = 16384;

/// Linear light to 8-bit sRGB (IEC 61966-2-1), for the screen. Export encodes exactly.
static ENCODE: LazyLock<Vec<u8>> = LazyLock::new(|| {
    let encode = |i: usize| {
        let v = i as f64 / (STEPS - 1) as f64;
        let coded = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
        (coded * 255.0 + 0.5) as u8
    };
    (0..STEPS).map(encode).collect()
});

/// Packed RGBA of one tile, for the screen.
pub fn resolve_tile(layers: &Planes<'_>, paints: &PaintLut, out: &mut [u32]) {
    match paints.mixing() {
        Mixing::Light => resolve_rows(layers, paints, out, |c| c),
        Mixing::Perceptual => resolve_rows(layers, paints, out, linear_of_oklab),
    }
}

/// Linear sRGB of OKLab (B. Ottosson 2020: the inverse of his M2, the cube, the inverse of his M1 from linear sRGB).
#[inline(always)]
fn linear_of_oklab([l, a, b, _]: [f32; 4]) -> [f32; 4] {
    let lms = [
        l + 0.396_337_78 * a + 0.215_803_76 * b,
        l - 0.105_561_346 * a - 0.063_854_17 * b,
        l - 0.089_484_18 * a - 1.291_485_5 * b,
    ]
    .map(|v| v * v * v);
    [
        4.076_741_7 * lms[0] - 3.307_711_6 * lms[1] + 0.230_969_94 * lms[2],
        -1.268_438 * lms[0] + 2.609_757_4 * lms[1] - 0.341_319_38 * lms[2],
        -0.004_196_086_3 * lms[0] - 0.703_418_6 * lms[1] + 1.707_614_7 * lms[2],
        1.0,
    ]
}

#[inline(always)]
fn resolve_rows(layers: &Planes<'_>, paints: &PaintLut, out: &mut [u32], linear: impl Fn([f32; 4]) -> [f32; 4]) {
    let encode = &ENCODE[..STEPS];
    let code = |v: f32| u32::from(encode[((v * (STEPS - 1) as f32 + 0.5) as usize).min(STEPS - 1)]);
    let pack = |sum: [f32; 4]| {
        let [r, g, b, _] = linear(sum.map(|v| v * (1.0 / FULL as f32)));
        code(r) | code(g) << 8 | code(b) << 16 | 0xff00_0000
    };
    let latents = paints.latents();
    let ground = latents[0];
    let unknown = loud(paints.mixing());
    let latent = |id: u32| latents.get(id as usize).copied().unwrap_or(unknown);
    let add = |sum: &mut [f32; 4], latent: [f32; 4], amount: u32| {
        let weight = amount as f32;
        for (s, v) in sum.iter_mut().zip(latent) {
            *s += v * weight;
        }
    };
    if let [(planes, FULL)] = layers.as_slice() {
        // One pass of full strength shows as it is stored. Equal neighbours are packed once.
        let (mut last, mut last_packed) = ([0; 2], pack(ground.map(|v| v * FULL as f32)));
        for (i, out) in out.iter_mut().enumerate() {
            let first = planes.first().map_or(0, |p| p[i]);
            let second = planes.get(1).map_or(0, |p| p[i]);
            let simple = planes.len() < 3 || planes[2][i] == 0;
            if simple && last == [first, second] {
                *out = last_packed;
                continue;
            }
            let mut sum = [0.0; 4];
            let mut cover = 0;
            for plane in planes {
                let pair = plane[i];
                if pair == 0 {
                    break;
                }
                cover += amount_of(pair);
                add(&mut sum, latent(paint_of(pair)), amount_of(pair));
            }
            add(&mut sum, ground, FULL - cover);
            *out = pack(sum);
            if simple {
                (last, last_packed) = ([first, second], *out);
            }
        }
        return;
    }
    for (i, out) in out.iter_mut().enumerate().take(TILE_PIXELS) {
        *out = pack(mixture(layers, i, ground, latent));
    }
}

/// Sum of latent points weighted by visible amounts; the weights sum to 65535.
#[inline(always)]
fn mixture(layers: &Planes<'_>, i: usize, ground: [f32; 4], latent: impl Fn(u32) -> [f32; 4]) -> [f32; 4] {
    let mut sum = [0.0_f32; 4];
    let mut add = |latent: [f32; 4], amount: u32| {
        for (s, v) in sum.iter_mut().zip(latent) {
            *s += v * amount as f32;
        }
    };
    let mut left = FULL;
    for (planes, strength) in layers {
        left = show_layer(planes.iter().map(|p| p[i]), *strength, left, |id, amount| add(latent(id), amount));
        if left == 0 {
            break;
        }
    }
    add(ground, left);
    sum
}

/// A paint id without an entry can only come from a damaged file; it shows in a loud colour rather than as nonsense.
fn loud(mixing: Mixing) -> [f32; 4] {
    mixing.latent(Colour::new(1.0, 0.0, 1.0))
}

/// Linear colour of each pixel of a tile, unclamped, for export.
pub fn resolve_exact(layers: &Planes<'_>, paints: &PaintLut, out: &mut [Colour]) {
    let latents = paints.latents();
    let unknown = loud(paints.mixing());
    let latent = |id: u32| latents.get(id as usize).copied().unwrap_or(unknown);
    for (i, out) in out.iter_mut().enumerate().take(TILE_PIXELS) {
        let [a, b, c, _] = mixture(layers, i, latents[0], latent).map(|v| v / FULL as f32);
        *out = paints.mixing().colour([a, b, c]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_encoding_table_is_right_to_half_a_code_and_a_fifth() {
        for i in 0..=100_000 {
            let v = f64::from(i) / 100_000.0;
            let exact = 255.0 * if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
            let got = ENCODE[(v * (STEPS - 1) as f64 + 0.5) as usize];
            assert!((f64::from(got) - exact).abs() < 0.71, "{v}");
        }
    }

    #[test]
    fn the_fast_oklab_inverse_agrees_with_the_model() {
        for i in 0..1000 {
            let v = |k: u32| ((i * k) % 997) as f32 / 997.0;
            // Colours inside sRGB and somewhat outside it.
            let colour = Colour::new(v(3) * 1.2 - 0.1, v(7) * 1.2 - 0.1, v(11) * 1.2 - 0.1);
            let latent = Mixing::Perceptual.latent(colour);
            let latent = [latent[0], latent[1], latent[2]];
            let exact = Mixing::Perceptual.colour(latent);
            let [r, g, b, _] = linear_of_oklab([latent[0], latent[1], latent[2], 1.0]);
            assert!(
                (r - exact.r).abs() + (g - exact.g).abs() + (b - exact.b).abs() < 2e-5,
                "{latent:?} {r} {g} {b} {exact:?}"
            );
        }
    }

    #[test]
    fn half_of_two_paints_is_their_mean() {
        // By hand, light model: half of linear 0 and 1 is 0.5, which sRGB encodes as 188.
        let lut = PaintLut::for_tests(1, |_| false);
        let plane = vec![1 << 16 | 32768; TILE_PIXELS];
        let mut out = vec![0; TILE_PIXELS];
        resolve_tile(&vec![(vec![&plane[..]], FULL)], &lut, &mut out);
        assert_eq!(out[5] & 0xff, 188);
        let mut exact = vec![Colour::default(); TILE_PIXELS];
        resolve_exact(&vec![(vec![&plane[..]], FULL)], &lut, &mut exact);
        assert!((exact[5].r - 0.5).abs() < 1e-4);
    }
}
