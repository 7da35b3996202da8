//! Smearing along the stroke: each lane of the tip carries paint and exchanges it with the pixels it comes over.
//!
//! Board paint is exchanged for as much board paint and free paint for as much free paint, so every pixel keeps its cover and its share of each
//! class to the unit: only which paints make them up changes. A lane begins with a copy of the first paint it meets.

use crate::amount::scale;
use crate::canvas::units::{Units, put, split, take};
use crate::canvas::worked::{WorkedTiles, in_one_tile, rise};
use crate::mask::Visit;
use crate::paints::PaintLut;
use crate::pixel::{Pixel, amount_of, paint_of};

/// Units that a lane holds of a class at least.
const LEAST_HELD: u64 = 4 * 65535;

/// What a lane carries: board paint, and free paint.
#[derive(Clone, PartialEq, Debug, Default)]
struct Lane {
    classes: [Units; 2],
}

/// The lanes of the tip.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Smear {
    lanes: Vec<Lane>,
    /// Units that a lane holds of a class.
    holds: Vec<u64>,
}

impl Smear {
    /// Empty lanes, which hold so many units each.
    pub fn new(holds: impl Iterator<Item = u64>) -> Self {
        let holds: Vec<u64> = holds.map(|units| units.max(LEAST_HELD)).collect();
        Smear { lanes: vec![Lane::default(); holds.len()], holds }
    }

    /// Whether it has no lanes yet.
    pub fn is_empty(&self) -> bool {
        self.lanes.is_empty()
    }

    /// Comes over pixels in the order of the path.
    pub fn work(&mut self, tiles: &mut WorkedTiles, visits: &[Visit], paints: &PaintLut) {
        for run in in_one_tile(visits) {
            tiles.change(run[0].pos, run, |visit, pixel| {
                let lane = usize::from(visit.lane);
                let (Some(carried), Some(&holds)) = (self.lanes.get_mut(lane), self.holds.get(lane)) else { return };
                // A light hand leaves what is there; the square makes room for it.
                let part = scale(scale(visit.pressure.into(), visit.pressure.into()), rise(visit));
                carried.exchange(pixel, part, holds, paints);
            });
        }
    }
}

impl Lane {
    #[expect(clippy::cast_possible_truncation, reason = "a share of an amount")]
    fn exchange(&mut self, pixel: &mut Pixel, part: u32, holds: u64, paints: &PaintLut) {
        for (class, carried) in self.classes.iter_mut().enumerate() {
            let belongs = |pair: u32| usize::from(paints.is_free(paint_of(pair))) == class;
            let pairs = *pixel;
            let of_class = || pairs.iter().copied().filter(|&pair| pair != 0 && belongs(pair));
            let held = of_class().map(amount_of).sum::<u32>().min(65535);
            let moved = scale(held, part);
            if moved == 0 {
                continue;
            }
            if carried.total() == 0 {
                split(of_class().map(|pair| amount_of(pair).into()), held.into(), holds, |i, share| {
                    if let Some(pair) = of_class().nth(i) {
                        carried.add(paint_of(pair), share);
                    }
                });
                continue;
            }
            let taken = take(pixel, held, moved, belongs);
            carried.draw(moved.into(), |paint, share| put(pixel, paint << 16 | share as u32, paints));
            for (paint, units) in taken {
                carried.add(paint, units);
            }
            carried.join_least(paints);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::study::tile::MAX_PLANES;

    /// Whatever it comes over, a pixel keeps its amount of board and of free paint to the unit, and a lane what it holds.
    #[test]
    fn every_pixel_keeps_its_classes() {
        let paints = PaintLut::for_tests(12, |id| id >= 7);
        let mut lane = Lane::default();
        let mut seed = 3_u64;
        let mut below = |limit: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % limit
        };
        for round in 0..2000_u32 {
            let (mut pixel, mut left): (Pixel, u64) = ([0; MAX_PLANES], 65_535);
            let mut used = 0;
            for k in 0..below(9) as u32 {
                let amount = below(left.min(20_000) + 1);
                left -= amount;
                if amount > 0 {
                    pixel[used] = ((k * 5 + round) % 12 + 1) << 16 | amount as u32;
                    used += 1;
                }
            }
            let classes = |pixel: &Pixel| {
                let mut sums = [0; 2];
                for &pair in pixel.iter().filter(|&&pair| pair != 0) {
                    sums[usize::from(paints.is_free(paint_of(pair)))] += amount_of(pair);
                }
                sums
            };
            let before = classes(&pixel);
            lane.exchange(&mut pixel, below(65_536) as u32, 900_000, &paints);
            assert_eq!(classes(&pixel), before, "{round}");
            assert!(lane.classes.iter().all(|units| [0, 900_000].contains(&units.total())), "{round}");
            let empty = pixel.iter().position(|&pair| pair == 0).unwrap_or(MAX_PLANES);
            assert!(pixel[empty..].iter().all(|&pair| pair == 0), "not packed");
        }
    }
}
