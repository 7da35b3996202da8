//! Sums of visible amounts per paint.

use crate::ids::PaintId;
use std::collections::BTreeMap;

/// Amount that covers one pixel fully.
pub const FULL: u64 = u16::MAX as u64;

/// Visible amounts summed over some area, in units of 1/65535 pixel. Exact: tallies of parts add up to the tally of the
/// whole.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Tally {
    amounts: BTreeMap<PaintId, u64>,
}

impl Tally {
    /// Adds an amount of one paint; nothing is stored for an amount of 0.
    pub fn add(&mut self, paint: PaintId, amount: u64) {
        if amount > 0 {
            *self.amounts.entry(paint).or_default() += amount;
        }
    }

    /// Adds another tally.
    pub fn add_all(&mut self, other: &Tally) {
        for (&paint, &amount) in &other.amounts {
            self.add(paint, amount);
        }
    }

    /// Takes away a tally that was added before.
    pub fn take_all(&mut self, other: &Tally) {
        for (paint, amount) in &other.amounts {
            if let Some(sum) = self.amounts.get_mut(paint) {
                *sum = sum.saturating_sub(*amount);
                if *sum == 0 {
                    self.amounts.remove(paint);
                }
            }
        }
    }

    /// The sum for one paint.
    pub fn amount(&self, paint: PaintId) -> u64 {
        self.amounts.get(&paint).copied().unwrap_or(0)
    }

    /// All paints with an amount above 0, by id.
    pub fn iter(&self) -> impl Iterator<Item = (PaintId, u64)> + '_ {
        self.amounts.iter().map(|(&p, &a)| (p, a))
    }

    /// The sum over all paints.
    pub fn total(&self) -> u64 {
        self.amounts.values().sum()
    }
}
