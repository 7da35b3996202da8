//! Sums of many pairs brought back to a pixel of eight.

use crate::amount::FULL;
use crate::paints::PaintLut;
use crate::pixel::{Pixel, amount_of, merge_cheapest, paint_of};
use stint_model::study::tile::MAX_PLANES;

/// Paints of one pixel in the making with their weighted amounts, in the order in which they came.
#[derive(Default)]
pub struct PairSums {
    sums: Vec<(u32, u64)>,
}

impl PairSums {
    /// Starts another pixel.
    pub fn clear(&mut self) {
        self.sums.clear();
    }

    /// Adds a pair, its amount times `weight`.
    pub fn add(&mut self, pair: u32, weight: u64) {
        let (paint, amount) = (paint_of(pair), u64::from(amount_of(pair)) * weight);
        if amount == 0 {
            return;
        }
        match self.sums.iter_mut().find(|(p, _)| *p == paint) {
            Some((_, sum)) => *sum += amount,
            None => self.sums.push((paint, amount)),
        }
    }

    /// The pixel whose amounts are the sums divided by `whole`. What is rounded is the running sum, over board paints first, then
    /// free ones (see [`crate::pixel`]), so board total and grand total are each rounded once; more than eight paints are merged
    /// as for a ninth.
    #[expect(clippy::cast_possible_truncation, reason = "sums are held to 65535")]
    pub fn pixel(&self, whole: u64, paints: &PaintLut) -> Pixel {
        let rounded = |sum: u64| ((sum + whole / 2) / whole).min(u64::from(FULL)) as u32;
        let board_total: u64 = self.sums.iter().filter(|(paint, _)| !paints.is_free(*paint)).map(|(_, sum)| sum).sum();
        let (mut board, mut board_kept) = (0, 0);
        let (mut free, mut free_kept) = (board_total, rounded(board_total));
        let mut pixel: Pixel = [0; MAX_PLANES];
        let mut count = 0;
        for &(paint, weight) in &self.sums {
            let (sum, kept) =
                if paints.is_free(paint) { (&mut free, &mut free_kept) } else { (&mut board, &mut board_kept) };
            *sum += weight;
            let now = rounded(*sum);
            let amount = now - *kept;
            *kept = now;
            if amount == 0 {
                continue;
            }
            if count < MAX_PLANES {
                pixel[count] = paint << 16 | amount;
                count += 1;
            } else {
                let mut nine = [0; MAX_PLANES + 1];
                nine[..MAX_PLANES].copy_from_slice(&pixel);
                nine[MAX_PLANES] = paint << 16 | amount;
                pixel = merge_cheapest(nine, paints);
            }
        }
        pixel
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whatever the order in which paints arrive, the total of a class is the rounded sum.
    #[test]
    fn class_totals_do_not_depend_on_the_order_of_arrival() {
        let lut = PaintLut::for_tests(12, |id| id >= 7);
        let pairs = [(1, 3), (8, 5), (2, 7), (9, 1), (3, 4), (10, 9)];
        for turn in 0..pairs.len() {
            let mut sums = PairSums::default();
            for i in 0..pairs.len() {
                let (paint, amount) = pairs[(i + turn) % pairs.len()];
                sums.add(paint << 16 | amount, 1);
            }
            // By hand: 14 board and 15 free parts, in fourths 3.5 and 7.25 together.
            let pixel = sums.pixel(4, &lut);
            let total = |free: bool| -> u32 {
                pixel.iter().filter(|&&w| w != 0 && lut.is_free(paint_of(w)) == free).map(|&w| amount_of(w)).sum()
            };
            assert_eq!((total(false), total(true)), (4, 3), "{turn}");
        }
    }
}
