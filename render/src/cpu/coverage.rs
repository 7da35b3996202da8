//! How much of each pixel is of some paints, on the CPU.
//!
//! Mirror: `shaders/coverage.wgsl`.

use super::layers::{LayerWords, TileLayer, layers_of_block};
use crate::amount::FULL;
use crate::pixel::show_layer;
use stint_model::ids::PaintId;
use stint_model::study::tile::{BLOCK_SIDE, BLOCKS, block_rows};

/// Share of each pixel of a tile that shows one of `paints`, row by row, 0 none, 255 all.
pub fn coverage(tiles: &[TileLayer<'_>], paints: &[PaintId], out: &mut [u8]) {
    const WIDTH: usize = BLOCK_SIDE as usize;
    let mut layers = Vec::with_capacity(tiles.len());
    for block in 0..BLOCKS {
        let even = layers_of_block(tiles, block, &mut layers);
        let all = share(&layers, 0, paints);
        for (row, at) in block_rows(block).enumerate() {
            let out = &mut out[at..at + WIDTH];
            if even {
                out.fill(all);
                continue;
            }
            for (column, out) in out.iter_mut().enumerate() {
                *out = share(&layers, row * WIDTH + column, paints);
            }
        }
    }
}

/// The share of one pixel.
#[expect(clippy::cast_possible_truncation, reason = "the parts of a pixel sum to 65535, so a share is at most 255")]
fn share(layers: &[LayerWords<'_>], index: usize, paints: &[PaintId]) -> u8 {
    let (mut left, mut found) = (FULL, 0);
    for layer in layers {
        left = show_layer(layer.pairs(index), layer.strength, left, |id, amount| {
            if paints.iter().any(|p| u32::from(p.0) == id) {
                found += amount;
            }
        });
    }
    ((found * 255 + FULL / 2) / FULL) as u8
}
