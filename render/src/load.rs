//! What is on the brush: one paint, or a mixture picked from the canvas.
//!
//! A mixture of k paints goes down as k layers whose covers are chosen so that the amounts come out in its proportions: the
//! last layer covers `a w_k`, the one before it `a w_(k-1) / (1 - a w_k)`, and so on. So a mixture is exact to the rounding of each
//! layer. Kernels lay all layers of a pixel while they have it at hand.

use crate::amount::{FULL, scale};
use stint_model::ids::PaintId;
use stint_model::study::tile::MAX_PLANES;

/// Up to eight paints with their shares.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct BrushLoad {
    /// Shares of 65535 that sum to it, none of them 0, strongest first; the rest of the places are of no paint.
    paints: [(PaintId, u32); MAX_PLANES],
    count: usize,
}

impl BrushLoad {
    /// One paint.
    pub fn one(paint: PaintId) -> Self {
        BrushLoad::of(&[(paint, FULL)])
    }

    /// At most eight paints.
    fn of(some: &[(PaintId, u32)]) -> Self {
        let mut paints = [(PaintId(0), 0); MAX_PLANES];
        let count = some.len().min(MAX_PLANES);
        paints[..count].copy_from_slice(&some[..count]);
        BrushLoad { paints, count }
    }

    /// A mixture in the proportions of some amounts; the eight strongest are taken. Nothing for no paint at all.
    #[expect(clippy::cast_possible_truncation, reason = "a share of a total, scaled to 65535")]
    pub fn mixture(amounts: &[(PaintId, u32)]) -> Option<Self> {
        let mut paints: Vec<_> = amounts.iter().copied().filter(|&(_, amount)| amount > 0).collect();
        paints.sort_by_key(|&(_, amount)| std::cmp::Reverse(amount));
        paints.truncate(MAX_PLANES);
        let total: u64 = paints.iter().map(|&(_, amount)| u64::from(amount)).sum();
        if total == 0 {
            return None;
        }
        for (_, amount) in &mut paints {
            *amount = (u64::from(*amount) * u64::from(FULL) / total) as u32;
        }
        // The strongest takes what rounding left, and shares too small to count go.
        paints.retain(|&(_, amount)| amount > 0);
        let rest = FULL - paints.iter().map(|&(_, amount)| amount).sum::<u32>();
        paints[0].1 += rest;
        Some(BrushLoad::of(&paints))
    }

    /// The paints with their shares of 65535, strongest first.
    pub fn paints(&self) -> &[(PaintId, u32)] {
        &self.paints[..self.count]
    }

    /// Cover of each layer, first laid first, at a cover of the whole; 0 beyond the last. Mirror: `covers_of_layers` in
    /// `shaders/mixture.wgsl`.
    pub fn covers(&self, cover: u16) -> [u16; MAX_PLANES] {
        // From the last layer back: what the later layers leave free is what an earlier one is seen through. All products stay below 2^32.
        let mut left = FULL;
        let mut covers = [0_u16; MAX_PLANES];
        for (place, &(_, share)) in covers.iter_mut().zip(self.paints()).rev() {
            let wanted = scale(cover.into(), share);
            *place = (wanted * FULL + left / 2).checked_div(left).unwrap_or(0).min(FULL) as u16;
            left = left.saturating_sub(wanted);
        }
        covers
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn layers_come_out_in_proportion() {
        let load = BrushLoad::mixture(&[(PaintId(1), 10_000), (PaintId(2), 30_000), (PaintId(3), 20_000)]).unwrap();
        assert_eq!(load.paints().iter().map(|p| p.1).sum::<u32>(), FULL);
        assert_eq!(load.paints()[0].0, PaintId(2));
        for cover in [1, 900, 30_000, 65_534, 65_535_u16] {
            let mut amounts = vec![0_u32; 3];
            for (i, layer) in load.covers(cover).into_iter().take(3).enumerate() {
                for amount in &mut amounts {
                    *amount = scale(*amount, FULL - u32::from(layer));
                }
                amounts[i] += u32::from(layer);
            }
            let total: u32 = amounts.iter().sum();
            assert!(total.abs_diff(cover.into()) <= 3, "{cover}: {amounts:?}");
            for (amount, (_, share)) in amounts.iter().zip(load.paints()) {
                assert!(amount.abs_diff(scale(cover.into(), *share)) <= 2, "{cover}: {amounts:?}");
            }
        }
    }

    /// The covers in 64-bit whole numbers, for every cover there is.
    #[test]
    fn covers_are_those_of_wide_numbers() {
        let amounts: Vec<_> = (1..=8).map(|id| (PaintId(id), 1 + u32::from(id) * u32::from(id) * 811)).collect();
        for count in 1..=8 {
            let load = BrushLoad::mixture(&amounts[..count]).unwrap();
            for whole in 0..=u16::MAX {
                let mut left = u64::from(FULL);
                let mut covers = [0; MAX_PLANES];
                for (i, &(_, share)) in load.paints().iter().enumerate().rev() {
                    let wanted = (u64::from(whole) * u64::from(share) + u64::from(FULL) / 2) / u64::from(FULL);
                    let layer = (wanted * u64::from(FULL) + left / 2).checked_div(left).unwrap_or(0);
                    covers[i] = layer.min(u64::from(FULL)) as u16;
                    left = left.saturating_sub(wanted);
                }
                assert_eq!(load.covers(whole), covers, "{count} {whole}");
            }
            assert_eq!(load.covers(u16::MAX)[0], u16::MAX, "full cover leaves nothing of what was there");
        }
    }

    #[test]
    fn no_paint_is_no_load() {
        assert_eq!(BrushLoad::mixture(&[]), None);
        assert_eq!(BrushLoad::mixture(&[(PaintId(1), 0)]), None);
        assert_eq!(BrushLoad::mixture(&[(PaintId(4), 7)]), Some(BrushLoad::one(PaintId(4))));
    }
}
