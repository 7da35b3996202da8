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

    /// The pixel whose amounts are the sums divided by `whole`. What is rounded is the running sum, so amounts add up to the
    /// rounded total; more than eight paints are merged as for a ninth.
    #[expect(clippy::cast_possible_truncation, reason = "sums are held to 65535")]
    pub fn pixel(&self, whole: u64, paints: &PaintLut) -> Pixel {
        let mut pixel: Pixel = [0; MAX_PLANES];
        let mut count = 0;
        let (mut sum, mut kept) = (0_u64, 0_u64);
        for &(paint, weight) in &self.sums {
            sum += weight;
            let now = ((sum + whole / 2) / whole).min(u64::from(FULL));
            let amount = (now - kept) as u32;
            kept = now;
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
