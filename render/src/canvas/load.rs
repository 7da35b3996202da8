//! What is on the brush: one paint, or a mixture picked from the canvas.
//!
//! A mixture of k paints goes down as k layers whose covers are chosen so that the amounts come out in its proportions: the
//! last layer covers `a w_k`, the one before it `a w_(k-1) / (1 - a w_k)`, and so on. So a mixture needs no kernel of its own
//! and is exact to the rounding of each layer.

use super::Canvas;
use crate::amount::FULL;
use crate::engine::{CommitJob, EngineError, Op, TileHandle};
use crate::mask::MaskTile;
use rayon::prelude::*;
use stint_model::ids::PaintId;
use stint_model::study::tile::{MAX_PLANES, TILE_PIXELS, TileKey};

/// Up to eight paints with their paints.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BrushLoad {
    /// Shares of 65535 that sum to it, none of them 0, strongest first.
    paints: Vec<(PaintId, u32)>,
}

impl BrushLoad {
    /// One paint.
    pub fn one(paint: PaintId) -> Self {
        BrushLoad { paints: vec![(paint, FULL)] }
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
        Some(BrushLoad { paints })
    }

    /// The paints with their shares of 65535, strongest first.
    pub fn paints(&self) -> &[(PaintId, u32)] {
        &self.paints
    }

    /// Cover of each layer, first laid first, at a cover of the whole.
    #[expect(clippy::cast_possible_truncation, reason = "covers are held to 65535")]
    fn covers(&self, cover: u16) -> impl Iterator<Item = u16> {
        // From the last layer back: what the later layers leave free is what an earlier one is seen through.
        let whole = u64::from(cover);
        let mut left = u64::from(FULL);
        let mut covers = [0_u16; MAX_PLANES];
        for (cover, &(_, share)) in covers.iter_mut().zip(&self.paints).rev() {
            let wanted = (whole * u64::from(share) + u64::from(FULL) / 2) / u64::from(FULL);
            let layer = (wanted * u64::from(FULL) + left / 2).checked_div(left).unwrap_or(0).min(u64::from(FULL));
            *cover = layer as u16;
            left = left.saturating_sub(wanted);
        }
        covers.into_iter().take(self.paints.len())
    }

    /// The masks of the layers.
    fn layers(&self, mask: &MaskTile) -> Vec<MaskTile> {
        match mask {
            MaskTile::Even(cover) => self.covers(*cover).map(MaskTile::Even).collect(),
            MaskTile::Pixels(pixels) => {
                let mut layers = vec![Box::new([0_u16; TILE_PIXELS]); self.paints.len()];
                for (i, &cover) in pixels.iter().enumerate().filter(|&(_, &cover)| cover > 0) {
                    for (layer, cover) in layers.iter_mut().zip(self.covers(cover)) {
                        layer[i] = cover;
                    }
                }
                layers.into_iter().map(MaskTile::Pixels).collect()
            }
        }
    }
}

impl Canvas {
    /// New tiles with a load laid through masks.
    pub(super) fn lay(
        &mut self,
        load: &BrushLoad,
        places: &[(TileKey, &MaskTile)],
    ) -> Result<Vec<TileHandle>, EngineError> {
        if let [(paint, _)] = load.paints() {
            return self.commit_places(Op::Lay(*paint), places);
        }
        let masks: Vec<Vec<MaskTile>> = places.par_iter().map(|(_, mask)| load.layers(mask)).collect();
        let mut bases: Vec<Option<TileHandle>> = places.iter().map(|(key, _)| self.tiles.get(key).cloned()).collect();
        for (layer, (paint, _)) in load.paints().iter().enumerate() {
            let jobs: Vec<_> = bases
                .iter()
                .zip(&masks)
                .map(|(base, masks)| CommitJob { base: base.as_ref(), mask: &masks[layer] })
                .collect();
            bases = self.engine.commit(Op::Lay(*paint), &jobs)?.into_iter().map(Some).collect();
        }
        Ok(bases.into_iter().flatten().collect())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::amount::scale;

    #[test]
    fn layers_come_out_in_proportion() {
        let load = BrushLoad::mixture(&[(PaintId(1), 10_000), (PaintId(2), 30_000), (PaintId(3), 20_000)]).unwrap();
        assert_eq!(load.paints().iter().map(|p| p.1).sum::<u32>(), FULL);
        assert_eq!(load.paints()[0].0, PaintId(2));
        for cover in [1, 900, 30_000, 65_534, 65_535_u16] {
            let mut amounts = vec![0_u32; 3];
            for (i, layer) in load.covers(cover).enumerate() {
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

    #[test]
    fn no_paint_is_no_load() {
        assert_eq!(BrushLoad::mixture(&[]), None);
        assert_eq!(BrushLoad::mixture(&[(PaintId(1), 0)]), None);
        assert_eq!(BrushLoad::mixture(&[(PaintId(4), 7)]), Some(BrushLoad::one(PaintId(4))));
    }
}
