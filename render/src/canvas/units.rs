//! Paint in whole units of 1/65535 of a pixel, as it moves between pixels and what a brush carries: split in proportion, to the unit.

use crate::paints::PaintLut;
use crate::pixel::{Pixel, amount_of, merge_cheapest, paint_of};
use stint_model::study::tile::MAX_PLANES;

/// Paints that are carried at most; the least of more joins the nearest of its class.
const MOST_PAINTS: usize = 16;

/// Some paints with their units.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Units {
    paints: Vec<(u32, u64)>,
    total: u64,
}

impl Units {
    /// The sum of all units.
    pub fn total(&self) -> u64 {
        self.total
    }

    /// The paints with their units, in the order in which they came.
    #[cfg(test)]
    pub fn paints(&self) -> &[(u32, u64)] {
        &self.paints
    }

    /// Adds units of a paint.
    pub fn add(&mut self, paint: u32, units: u64) {
        self.total += units;
        match self.paints.iter_mut().find(|p| p.0 == paint) {
            Some((_, held)) => *held += units,
            None if units > 0 => self.paints.push((paint, units)),
            None => {}
        }
    }

    /// Takes units off, at most all, in proportion, and hands each share on.
    pub fn draw(&mut self, units: u64, mut each: impl FnMut(u32, u64)) {
        let units = units.min(self.total);
        if units == 0 {
            return;
        }
        let mut running = Running::new(self.total, units);
        let mut spent = false;
        for (paint, held) in &mut self.paints {
            let share = running.share(*held);
            if share > 0 {
                *held -= share;
                spent |= *held == 0;
                each(*paint, share);
            }
        }
        if spent {
            self.paints.retain(|p| p.1 > 0);
        }
        self.total -= units;
    }

    /// Brings the number of paints down to what is carried.
    pub fn join_least(&mut self, paints: &PaintLut) {
        while self.paints.len() > MOST_PAINTS {
            let Some(least) = (0..self.paints.len()).min_by_key(|&i| self.paints[i].1) else { return };
            let (paint, units) = self.paints.remove(least);
            let same = |other: &&mut (u32, u64)| paints.is_free(other.0) == paints.is_free(paint);
            match self.paints.iter_mut().filter(same).min_by_key(|other| paints.distance_squared(other.0, paint)) {
                Some(nearest) => nearest.1 += units,
                // The only one of its class stays.
                None => {
                    self.paints.insert(0, (paint, units));
                    return;
                }
            }
        }
    }
}

/// Splits units in proportion to amounts that sum to a total, by the running sum.
struct Running {
    total: u64,
    units: u64,
    sum: u64,
    given: u64,
}

impl Running {
    /// `total` is not 0.
    fn new(total: u64, units: u64) -> Self {
        Running { total, units, sum: 0, given: 0 }
    }

    /// The share of the next amount.
    #[inline(always)]
    fn share(&mut self, amount: u64) -> u64 {
        self.sum = (self.sum + amount).min(self.total);
        // With the last amount all is given: no division, which is most of the work where there are few amounts.
        let now =
            if self.sum == self.total { self.units } else { (self.sum * self.units + self.total / 2) / self.total };
        let share = now - self.given;
        self.given = now;
        share
    }
}

/// Splits `units` in proportion to amounts that sum to `total`, by the running sum, and hands on each share with its place.
pub fn split(amounts: impl Iterator<Item = u64>, total: u64, units: u64, mut each: impl FnMut(usize, u64)) {
    if total == 0 {
        return;
    }
    let mut running = Running::new(total, units);
    for (i, amount) in amounts.enumerate() {
        each(i, running.share(amount));
    }
}

/// Takes amounts off the pairs of a pixel for which `takes` holds and whose amounts sum to `held`, in proportion; gives each paint with its
/// share, the rest of the places 0, and leaves the pixel packed.
#[expect(clippy::cast_possible_truncation, reason = "a share is at most the amount it is taken of")]
pub fn take(pixel: &mut Pixel, held: u32, amount: u32, takes: impl Fn(u32) -> bool) -> [(u32, u64); MAX_PLANES] {
    let pairs = *pixel;
    let mut places = [0; MAX_PLANES];
    let mut count = 0;
    for (k, &pair) in pairs.iter().enumerate() {
        if pair != 0 && takes(pair) {
            places[count] = k;
            count += 1;
        }
    }
    let mut taken = [(0_u32, 0_u64); MAX_PLANES];
    split(places[..count].iter().map(|&k| amount_of(pairs[k]).into()), held.into(), amount.into(), |i, share| {
        let k = places[i];
        taken[i] = (paint_of(pairs[k]), share);
        pixel[k] = pairs[k] - share as u32;
    });
    pack(pixel);
    taken
}

/// Drops pairs of no amount.
pub fn pack(pixel: &mut Pixel) {
    let mut count = 0;
    for k in 0..MAX_PLANES {
        let pair = std::mem::take(&mut pixel[k]);
        if amount_of(pair) > 0 {
            pixel[count] = pair;
            count += 1;
        }
    }
}

/// Adds a pair to a pixel, whose amounts have room for it.
pub fn put(pixel: &mut Pixel, pair: u32, paints: &PaintLut) {
    if let Some(same) = pixel.iter_mut().find(|p| **p != 0 && paint_of(**p) == paint_of(pair)) {
        *same += amount_of(pair);
        return;
    }
    match pixel.iter_mut().find(|p| **p == 0) {
        Some(empty) => *empty = pair,
        None => {
            let mut nine = [pair; MAX_PLANES + 1];
            nine[..MAX_PLANES].copy_from_slice(pixel);
            *pixel = merge_cheapest(nine, paints);
        }
    }
}
