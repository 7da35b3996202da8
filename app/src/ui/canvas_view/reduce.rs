//! Smaller pictures of a tile: averages of squares of pixels, in linear light.
//!
//! Mirror: `shaders/reduce.wgsl`.

use std::sync::LazyLock;
use stint_model::colour::{encode, srgb8_to_linear};
use stint_model::study::tile::TILE_SIDE;

/// Coarsest level: a whole tile becomes one texel.
pub const MAX_LEVEL: u32 = TILE_SIDE.ilog2();

/// Steps of the encoding table: one is a fifth of an 8-bit code where the sRGB curve is steepest (12.92 x 255 codes a unit).
const STEPS: usize = 16384;

static ENCODE: LazyLock<Vec<u8>> = LazyLock::new(|| {
    #[expect(clippy::cast_possible_truncation, reason = "codes are from 0 to 255; the cast saturates")]
    let code = |i: usize| (encode(i as f32 / (STEPS - 1) as f32) * 255.0 + 0.5) as u8;
    (0..STEPS).map(code).collect()
});

#[expect(clippy::cast_possible_truncation, reason = "an index of 256 codes")]
static DECODE: LazyLock<[f32; 256]> = LazyLock::new(|| std::array::from_fn(|i| srgb8_to_linear(i as u8)));

/// Texels of a side of a tile at a level.
pub fn side(level: u32) -> u32 {
    TILE_SIDE >> level
}

/// Reduces a tile of packed 8-bit sRGB RGBA (128 x 128, red lowest) to `side(level)` a side. Only the `extent` (pixels
/// across and down) that lies on the canvas is averaged; texels wholly beyond it repeat the nearest edge.
pub fn colours(tile: &[u32], level: u32, extent: (u32, u32), out: &mut Vec<u32>) {
    let (encode, decode) = (&*ENCODE, &*DECODE);
    each_square(level, extent, |xs, ys| {
        // Paint is even over most squares, and an even square keeps its code.
        let first = tile[ys.start * TILE_SIDE as usize + xs.start];
        if ys.clone().all(|y| tile[y * TILE_SIDE as usize..][xs.clone()].iter().all(|&word| word == first)) {
            return out.push(first | 0xff00_0000);
        }
        let mut sum = [0.0_f32; 3];
        for y in ys.clone() {
            for &word in &tile[y * TILE_SIDE as usize..][xs.clone()] {
                for (i, s) in sum.iter_mut().enumerate() {
                    *s += decode[(word >> (8 * i) & 0xff) as usize];
                }
            }
        }
        let count = (xs.len() * ys.len()) as f32;
        #[expect(clippy::cast_possible_truncation, reason = "a step of the table; the cast saturates")]
        let code = |s: f32| u32::from(encode[((s / count * (STEPS - 1) as f32 + 0.5) as usize).min(STEPS - 1)]);
        out.push(code(sum[0]) | code(sum[1]) << 8 | code(sum[2]) << 16 | 0xff00_0000);
    });
}

/// Reduces shares (one byte a pixel) in the same way.
#[expect(clippy::cast_possible_truncation, reason = "a square has at most 16384 texels, and a mean of codes is a code")]
pub fn shares(tile: &[u8], level: u32, extent: (u32, u32), out: &mut Vec<u8>) {
    each_square(level, extent, |xs, ys| {
        let rows = ys.clone().map(|y| &tile[y * TILE_SIDE as usize..][xs.clone()]);
        let sum: u32 = rows.flatten().map(|&v| u32::from(v)).sum();
        let count = (xs.len() * ys.len()) as u32;
        out.push(((sum + count / 2) / count) as u8);
    });
}

/// Calls with the pixel columns and rows of every texel.
fn each_square(
    level: u32,
    (across, down): (u32, u32),
    mut square: impl FnMut(std::ops::Range<usize>, std::ops::Range<usize>),
) {
    let step = 1 << level;
    let pixels_of = |i: u32, extent: u32| {
        let last = extent.clamp(1, TILE_SIDE) as usize;
        let start = (i as usize * step).min(last - 1);
        start..(start + step).min(last)
    };
    for y in 0..side(level) {
        for x in 0..side(level) {
            square(pixels_of(x, across), pixels_of(y, down));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::study::tile::TILE_PIXELS;

    fn reduced(tile: &[u32], level: u32, extent: (u32, u32)) -> Vec<u32> {
        let mut out = Vec::new();
        colours(tile, level, extent, &mut out);
        out
    }

    #[test]
    fn black_and_white_average_in_light_not_in_codes() {
        let tile: Vec<u32> = (0..TILE_PIXELS).map(|i| if i % 2 == 0 { 0xff00_0000 } else { 0xffff_ffff }).collect();
        // Half the light of white is code 188 (IEC 61966-2-1: 1.055 x 0.5^(1/2.4) - 0.055 = 0.7354).
        assert!(reduced(&tile, 1, (128, 128)).iter().all(|&w| w == 0xffbc_bcbc));
    }

    #[test]
    fn even_tiles_keep_their_code_at_every_level() {
        for level in 0..=MAX_LEVEL {
            for code in [0, 1, 7, 30, 128, 254, 255] {
                let word = code | 0xff00_0000;
                let out = reduced(&vec![word; TILE_PIXELS], level, (128, 128));
                assert_eq!(out.len() as u32, side(level) * side(level));
                assert!(out.iter().all(|&w| w == word), "{code} at {level}: {:x}", out[0]);
            }
        }
    }

    #[test]
    fn nothing_beyond_the_canvas_bleeds_in() {
        let inside = |i: usize| i % 128 < 33 && i / 128 < 5;
        let tile: Vec<u32> = (0..TILE_PIXELS).map(|i| if inside(i) { 0xff40_4040 } else { 0xffff_ffff }).collect();
        assert!(reduced(&tile, 3, (33, 5)).iter().all(|&w| w == 0xff40_4040));
        let tile: Vec<u8> = (0..TILE_PIXELS).map(|i| if inside(i) { 90 } else { 255 }).collect();
        let mut out = Vec::new();
        shares(&tile, 3, (33, 5), &mut out);
        assert!(out.iter().all(|&v| v == 90));
    }
}
