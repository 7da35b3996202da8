//! Tally on the CPU: visible amounts summed by paint.
//!
//! Mirror: `shaders/tally.wgsl`.

use super::Planes;
use crate::amount::FULL;
use crate::pixel::{amount_of, paint_id, paint_of, show_layer};
use stint_model::readout::Tally;
use stint_model::study::tile::TILE_PIXELS;

/// Visible amounts of one tile. `sums` is scratch, one for each entry of the paint table, all zero before and after; what the table does
/// not know is counted under its last entry. A sum over one tile fits u32 (16384 x 65535 < 2^30) unless the tile is damaged, when it
/// wraps as in the shader.
pub fn tally_tile(layers: &Planes<'_>, sums: &mut [u32]) -> Tally {
    match layers.as_slice() {
        [(planes, FULL)] => {
            for plane in planes {
                add_plane(plane, sums);
            }
        }
        _ => add_stack(layers, sums),
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

/// One pass of full strength and nothing above it: what is stored is what shows. Neighbours mostly hold the same paint, so
/// the sum stays in a register until the id changes.
fn add_plane(plane: &[u32], sums: &mut [u32]) {
    let (mut id, mut sum) = (0, 0);
    for pixels in plane.chunks_exact(8) {
        if pixels.iter().all(|&w| paint_of(w) == id) {
            sum += pixels.iter().map(|&w| amount_of(w)).sum::<u32>();
            continue;
        }
        for &pair in pixels {
            if paint_of(pair) != id {
                add(sums, id, sum);
                (id, sum) = (paint_of(pair), 0);
            }
            sum += amount_of(pair);
        }
    }
    add(sums, id, sum);
}

#[inline(always)]
fn add(sums: &mut [u32], id: u32, amount: u32) {
    let unknown = sums.len() - 1;
    let sum = &mut sums[(id as usize).min(unknown)];
    *sum = sum.wrapping_add(amount);
}

fn add_stack(layers: &Planes<'_>, sums: &mut [u32]) {
    for i in 0..TILE_PIXELS {
        let mut left = FULL;
        for (planes, strength) in layers {
            left = show_layer(planes.iter().map(|p| p[i]), *strength, left, |id, amount| add(sums, id, amount));
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

    #[test]
    fn one_full_pass_sums_to_what_it_stores() {
        let mut plane = vec![1 << 16 | FULL; TILE_PIXELS];
        plane[100..1100].fill(2 << 16 | 1000);
        plane[7] = 0;
        let tally = tally_tile(&vec![(vec![&plane[..]], FULL)], &mut [0; 4]);
        assert_eq!(tally.amount(PaintId(2)), 1000 * 1000);
        assert_eq!(tally.amount(PaintId(1)), u64::from(FULL) * (TILE_PIXELS as u64 - 1001));
    }

    #[test]
    fn a_pass_above_hides_what_lies_below() {
        let top = vec![1 << 16 | 32768; TILE_PIXELS];
        let below = vec![2 << 16 | FULL; TILE_PIXELS];
        let layers = vec![(vec![&top[..]], FULL), (vec![&below[..]], FULL)];
        let tally = tally_tile(&layers, &mut [0; 4]);
        let pixels = TILE_PIXELS as u64;
        assert_eq!(tally.amount(PaintId(1)), 32768 * pixels);
        assert_eq!(tally.amount(PaintId(2)), 32767 * pixels);
        // At half strength: half of 32768 shows, the rest of the pixel is the pass below.
        let tally = tally_tile(&vec![(vec![&top[..]], 32768), (vec![&below[..]], FULL)], &mut [0; 4]);
        assert_eq!(tally.amount(PaintId(1)), 16384 * pixels);
        assert_eq!(tally.total(), u64::from(FULL) * pixels);
    }
}
