//! Tally on the CPU: visible amounts summed by paint.
//!
//! Mirror: `shaders/tally.wgsl`.

use super::layers::{LayerWords, TileLayer, layers_of_block};
use crate::amount::FULL;
use crate::pixel::{amount_of, paint_id, paint_of, show_layer};
use multiversion::multiversion;
use stint_model::readout::Tally;
use stint_model::study::tile::{BLOCK_PIXELS, BLOCK_SIDE, BLOCKS, Words};

/// Pairs that are looked at together.
const LANES: usize = 16;

/// Visible amounts of one tile. `sums` is scratch, one for each entry of the paint table, all zero before and after; what the table does
/// not know is counted under its last entry. A sum over one tile fits u32 (16384 x 65535 < 2^30) unless the tile is damaged, when it
/// wraps as in the shader.
pub fn tally_tile(layers: &[TileLayer<'_>], sums: &mut [u32]) -> Tally {
    let mut of_block = Vec::with_capacity(layers.len());
    for block in 0..BLOCKS {
        let even = layers_of_block(layers, block, &mut of_block);
        match of_block.as_slice() {
            [layer] if layer.strength == FULL => layer.planes().iter().for_each(|words| add_words(words, sums)),
            layers => add_stack(layers, even, sums),
        }
    }
    let mut tally = Tally::default();
    for (id, sum) in (0..).zip(sums.iter_mut()) {
        if *sum > 0 {
            tally.add(paint_id(id), u64::from(*sum));
            *sum = 0;
        }
    }
    tally
}

/// One pass of full strength and nothing above it: what is stored is what shows.
#[expect(clippy::cast_possible_truncation, reason = "a block has 1024 pixels")]
fn add_words(words: &Words<'_>, sums: &mut [u32]) {
    match words {
        Words::Even(word) => add(sums, paint_of(*word), amount_of(*word).wrapping_mul(BLOCK_PIXELS as u32)),
        Words::Pixels(words) => add_pixels(words, sums),
    }
}

/// Goes down the block in columns of lanes: neighbours mostly hold the same paint, above each other as beside each other, and while they
/// do each lane keeps its own sum.
#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
fn add_pixels(words: &[u32], sums: &mut [u32]) {
    for column in (0..BLOCK_SIDE as usize).step_by(LANES) {
        let (mut id, mut of_lanes) = (0, [0_u32; LANES]);
        for row in words.as_chunks::<{ BLOCK_SIDE as usize }>().0 {
            let mut pairs = [0; LANES];
            pairs.copy_from_slice(&row[column..column + LANES]);
            if !all_of(&pairs, id) {
                add(sums, id, sum_of(&std::mem::replace(&mut of_lanes, [0; LANES])));
                id = paint_of(pairs[0]);
                if !all_of(&pairs, id) {
                    add_runs(&pairs, sums);
                    continue;
                }
            }
            for l in 0..LANES {
                of_lanes[l] += amount_of(pairs[l]);
            }
        }
        add(sums, id, sum_of(&of_lanes));
    }
}

/// Whether all pairs are of one paint, and that is this.
#[inline(always)]
fn all_of(pairs: &[u32; LANES], id: u32) -> bool {
    pairs.iter().fold(0, |odd, pair| odd | (pair ^ (id << 16))) >> 16 == 0
}

#[inline(always)]
fn sum_of(amounts: &[u32; LANES]) -> u32 {
    amounts.iter().fold(0, |sum, amount| sum.wrapping_add(*amount))
}

/// Pairs of several paints; the sum stays in a register until the id changes.
#[inline(always)]
fn add_runs(pairs: &[u32; LANES], sums: &mut [u32]) {
    let (mut id, mut sum) = (0, 0_u32);
    for &pair in pairs {
        if paint_of(pair) != id {
            add(sums, id, sum);
            (id, sum) = (paint_of(pair), 0);
        }
        sum = sum.wrapping_add(amount_of(pair));
    }
    add(sums, id, sum);
}

#[inline(always)]
fn add(sums: &mut [u32], id: u32, amount: u32) {
    let unknown = sums.len() - 1;
    let sum = &mut sums[(id as usize).min(unknown)];
    *sum = sum.wrapping_add(amount);
}

/// Any stack of passes; of an even one a single pixel is counted for all.
#[expect(clippy::cast_possible_truncation, reason = "a block has 1024 pixels")]
fn add_stack(layers: &[LayerWords<'_>], even: bool, sums: &mut [u32]) {
    let (pixels, times) = if even { (1, BLOCK_PIXELS as u32) } else { (BLOCK_PIXELS, 1) };
    for i in 0..pixels {
        let mut left = FULL;
        for layer in layers {
            left = show_layer(layer.pairs(i), layer.strength, left, |id, amount| {
                add(sums, id, amount.wrapping_mul(times));
            });
            if left == 0 {
                break;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::ids::PaintId;
    use stint_model::study::tile::{Plane, TILE_PIXELS, TilePixels};

    fn tile(plane: Plane) -> TilePixels {
        TilePixels::new(vec![plane])
    }

    #[test]
    fn one_full_pass_sums_to_what_it_stores() {
        let plane = tile(Plane::from_fn(|i| match i {
            7 => 0,
            100..1100 => 2 << 16 | 1000,
            _ => 1 << 16 | FULL,
        }));
        let tally = tally_tile(&[(&plane, FULL)], &mut [0; 4]);
        assert_eq!(tally.amount(PaintId(2)), 1000 * 1000);
        assert_eq!(tally.amount(PaintId(1)), u64::from(FULL) * (TILE_PIXELS as u64 - 1001));
    }

    #[test]
    fn a_pass_above_hides_what_lies_below() {
        // Even, and with one pixel that is not.
        let odd = |word: u32| Plane::from_fn(move |i| if i == 9 { word - 1 } else { word });
        for (top, below, apart) in [
            (Plane::even(1 << 16 | 32768), Plane::even(2 << 16 | FULL), 0),
            (odd(1 << 16 | 32768), Plane::even(2 << 16 | FULL), 1),
        ] {
            let (top, below) = (tile(top), tile(below));
            let tally = tally_tile(&[(&top, FULL), (&below, FULL)], &mut [0; 4]);
            let pixels = TILE_PIXELS as u64;
            assert_eq!(tally.amount(PaintId(1)), 32768 * pixels - apart);
            assert_eq!(tally.amount(PaintId(2)), 32767 * pixels + apart);
            // At half strength: half of 32768 shows, the rest of the pixel is the pass below.
            let tally = tally_tile(&[(&top, 32768), (&below, FULL)], &mut [0; 4]);
            assert_eq!(tally.amount(PaintId(1)), 16384 * pixels);
            assert_eq!(tally.total(), u64::from(FULL) * pixels);
        }
    }

    /// Against a count pixel by pixel, over blocks of every kind.
    #[test]
    fn blocks_sum_to_what_their_pixels_do() {
        let plane = |k: u32| {
            Plane::from_fn(move |i| match (i % 128 / 32, i / 4096) {
                (0, _) => 0,
                (1, _) => (3 + k) << 16 | 20_000,
                (2, row) => (row as u32 + 1 + 4 * k) << 16 | (100 + i as u32 % 700),
                _ => (1 + i as u32 % 5 + 5 * k) << 16 | (i as u32 % 3000),
            })
        };
        let tiles = [TilePixels::new(vec![plane(0), plane(1)]), TilePixels::new(vec![plane(1)])];
        for strengths in [[FULL, FULL], [FULL, 9000], [40_000, FULL]] {
            for count in 1..=2 {
                let layers: Vec<_> = tiles.iter().zip(strengths).take(count).collect();
                let mut plain = Tally::default();
                for i in 0..TILE_PIXELS {
                    let mut left = FULL;
                    for (tile, strength) in &layers {
                        left = show_layer(tile.planes().iter().map(|p| p[i]), *strength, left, |id, amount| {
                            plain.add(paint_id(id), amount.into());
                        });
                    }
                }
                assert_eq!(tally_tile(&layers, &mut [0; 20]), plain, "{strengths:?} {count}");
            }
        }
    }
}
