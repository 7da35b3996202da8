//! The paint under one lane of a wet tip, and its exchange with a pixel. Everything is whole numbers: a unit is 1/65535 of a pixel
//! fully covered, and what a pixel gives the tip takes, to the unit.

use crate::amount::{FULL, scale};
use crate::canvas::BrushLoad;
use crate::canvas::units::{Units, put, split, take};
use crate::paints::PaintLut;
use crate::pixel::{Pixel, amount_of, paint_of};

/// Units that a lane holds at least, so that it can always cover a pixel.
const LEAST_HELD: u64 = 4 * FULL as u64;

/// How a wet brush exchanges.
#[derive(Clone, PartialEq, Debug)]
pub struct Exchange {
    /// What the brush is loaded with.
    pub load: BrushLoad,
    /// Part of the paint it comes over that is taken up, 0-65535.
    pub pickup: u32,
    /// Part of what is laid that is renewed from the belly, 0-65535.
    pub fresh: u32,
    /// Whether free paint may be taken up.
    pub takes_free: bool,
}

/// What lies under a lane.
#[derive(Clone, PartialEq, Debug)]
pub struct Tip {
    carried: Units,
    /// Units that the lane is filled up to.
    holds: u64,
    /// Units of the load that came down from the belly.
    poured: u64,
    /// Units of any paint that went back up into it, by class: board, free.
    returned: [u64; 2],
}

impl Tip {
    /// A lane that is full of the load.
    pub fn new(holds: u64, exchange: &Exchange) -> Self {
        let holds = holds.max(LEAST_HELD);
        let mut tip = Tip { carried: Units::default(), holds, poured: 0, returned: [0; 2] };
        tip.pour(holds, exchange);
        tip
    }

    /// Takes units of the load down from the belly.
    fn pour(&mut self, units: u64, exchange: &Exchange) {
        if units == 0 {
            return;
        }
        let parts = exchange.load.paints();
        split(parts.iter().map(|&(_, part)| u64::from(part)), u64::from(FULL), units, |i, share| {
            self.carried.add(parts[i].0.0.into(), share);
        });
        self.poured += units;
    }

    /// Comes over a pixel with a cover of 0-65535: takes up what it covers as far as it takes up at all, lays its own instead, and fills
    /// what bare ground there is as laying does. Paint that must not be taken up stays in the pixel.
    #[expect(clippy::cast_possible_truncation, reason = "a share of an amount")]
    pub fn exchange(&mut self, pixel: &mut Pixel, cover: u32, exchange: &Exchange, paints: &PaintLut) {
        let takes = |pair: u32| exchange.takes_free || !paints.is_free(paint_of(pair));
        // Pairs are packed.
        let (mut held, mut fixed) = (0, 0);
        for &pair in pixel.iter().take_while(|&&pair| pair != 0) {
            *(if takes(pair) { &mut held } else { &mut fixed }) += amount_of(pair);
        }
        let fixed = fixed.min(FULL);
        let held = held.min(FULL - fixed);
        let gives = scale(scale(held, cover), exchange.pickup);
        // The pixel is as full afterwards as if paint had been laid over it.
        let full = (fixed + scale(held, FULL - cover) + scale(FULL - fixed, cover)).min(FULL);
        let lays = full.saturating_sub(fixed + held - gives);
        self.pour(self.holds.saturating_sub(self.carried.total()), exchange);
        let renewed = u64::from(scale(lays, exchange.fresh));
        let returned = &mut self.returned;
        self.carried.draw(renewed, |paint, share| returned[usize::from(paints.is_free(paint))] += share);
        self.pour(renewed, exchange);
        // What the pixel gives is set aside while the tip lays what it had.
        let taken = take(pixel, held, gives, takes);
        self.carried.draw(lays.into(), |paint, share| put(pixel, paint << 16 | share as u32, paints));
        for (paint, units) in taken {
            self.carried.add(paint, units);
        }
        self.carried.join_least(paints);
    }

    /// Units by class, board and free, that are under the lane or went back into the belly, and those of the load that came down.
    #[cfg(test)]
    pub fn account(&self, paints: &PaintLut) -> ([u64; 2], u64) {
        let mut all = self.returned;
        for &(paint, units) in self.carried.paints() {
            all[usize::from(paints.is_free(paint))] += units;
        }
        (all, self.poured)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::units::pack;
    use stint_model::ids::PaintId;
    use stint_model::study::tile::MAX_PLANES;

    fn exchange(pickup: u32, fresh: u32, takes_free: bool) -> Exchange {
        let load = BrushLoad::mixture(&[(PaintId(1), 2), (PaintId(2), 1)]).unwrap();
        Exchange { load, pickup, fresh, takes_free }
    }

    fn classes(pixel: &Pixel, paints: &PaintLut) -> [u64; 2] {
        let mut sums = [0; 2];
        for &pair in pixel.iter().filter(|&&pair| pair != 0) {
            sums[usize::from(paints.is_free(paint_of(pair)))] += u64::from(amount_of(pair));
        }
        sums
    }

    /// Random pixels and covers: what canvas, hair and belly hold together never changes, class by class, and free paint stays where it is
    /// unless it may be taken up.
    #[test]
    fn to_the_unit_nothing_is_lost_and_nothing_comes_from_nowhere() {
        let paints = PaintLut::for_tests(12, |id| id >= 9);
        let mut seed = 7_u64;
        let mut below = |limit: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % limit
        };
        for round in 0..200 {
            let rules = exchange(below(65_536) as u32, below(65_536) as u32, round % 2 == 0);
            let mut tip = Tip::new(below(4_000_000), &rules);
            let mut before = [0; 2];
            let mut pixels = Vec::new();
            for _ in 0..60 {
                let (mut pixel, mut left): (Pixel, u64) = ([0; MAX_PLANES], 65_535);
                for k in 0..below(9) as u32 {
                    let amount = below(left.min(20_000) + 1);
                    left -= amount;
                    // Paints 1 to 12, none twice.
                    pixel[k as usize] = ((k * 3 + round) % 12 + 1) << 16 | amount as u32;
                }
                pack(&mut pixel);
                before.iter_mut().zip(classes(&pixel, &paints)).for_each(|(all, now)| *all += now);
                pixels.push(pixel);
            }
            let mut free_before: Vec<u64> = pixels.iter().map(|p| classes(p, &paints)[1]).collect();
            for _ in 0..3 {
                for (pixel, free) in pixels.iter_mut().zip(&mut free_before) {
                    let (cover, held) = (below(65_536) as u32, classes(pixel, &paints).iter().sum::<u64>());
                    tip.exchange(pixel, cover, &rules, &paints);
                    let now = classes(pixel, &paints);
                    // As full as laying would leave it, within a unit a rounding.
                    let laid = held + (65_535 - held) * u64::from(cover) / 65_535;
                    assert!(now.iter().sum::<u64>().abs_diff(laid) <= 2, "{pixel:?}");
                    assert!(rules.takes_free || now[1] == *free, "free paint moved");
                    *free = now[1];
                    let empty = pixel.iter().position(|&pair| pair == 0).unwrap_or(MAX_PLANES);
                    assert!(pixel[empty..].iter().all(|&pair| pair == 0), "not packed");
                }
            }
            let (kept, poured) = tip.account(&paints);
            let mut after = kept;
            for pixel in &pixels {
                after.iter_mut().zip(classes(pixel, &paints)).for_each(|(all, now)| *all += now);
            }
            assert_eq!(after, [before[0] + poured, before[1]], "round {round}");
        }
    }

    /// By hand: half cover over a full pixel of another paint, all of it taken up, is half and half, and the hair has the other half.
    #[test]
    fn half_cover_exchanges_half() {
        let paints = PaintLut::for_tests(12, |_| false);
        let rules = Exchange { load: BrushLoad::one(PaintId(1)), ..exchange(FULL, 0, false) };
        let mut tip = Tip::new(1_000_000, &rules);
        let mut pixel = [0; MAX_PLANES];
        pixel[0] = 5 << 16 | FULL;
        tip.exchange(&mut pixel, 32_768, &rules, &paints);
        assert_eq!(pixel[..3], [5 << 16 | 32_767, 1 << 16 | 32_768, 0]);
        assert_eq!(tip.carried.paints(), [(1, 1_000_000 - 32_768), (5, 32_768)]);
        assert_eq!(tip.carried.total(), 1_000_000);
    }
}
