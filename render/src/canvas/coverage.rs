//! How much of each pixel is of some paints: for setting one swatch apart on the screen.

use super::Canvas;
use crate::amount::FULL;
use crate::engine::EngineError;
use crate::pixel::show_layer;
use rayon::prelude::*;
use stint_model::ids::PaintId;
use stint_model::study::tile::{TILE_PIXELS, TilePos};

impl Canvas {
    /// Share of each pixel that shows one of `paints`: for each place 128 x 128 bytes, row by row, 0 none, 255 all.
    ///
    /// # Errors
    /// When the engine fails.
    #[expect(clippy::cast_possible_truncation, reason = "the parts of a pixel sum to 65535, so a share is at most 255")]
    pub fn coverage_of(&mut self, paints: &[PaintId], places: &[TilePos]) -> Result<Vec<u8>, EngineError> {
        let stacks: Vec<_> = places.iter().map(|&pos| self.stack(pos)).collect();
        let handles: Vec<_> = stacks.iter().flat_map(|s| s.layers.iter().map(|l| l.tile.clone())).collect();
        let mut pixels = self.engine.download(&handles)?.into_iter();
        let layers: Vec<Vec<_>> = stacks
            .iter()
            .map(|s| s.layers.iter().zip(&mut pixels).map(|(l, t)| (t, u32::from(l.strength))).collect())
            .collect();
        let mut out = vec![0; places.len() * TILE_PIXELS];
        out.par_chunks_exact_mut(TILE_PIXELS).zip(&layers).for_each(|(out, layers)| {
            for (i, out) in out.iter_mut().enumerate() {
                let (mut left, mut found) = (FULL, 0);
                for (tile, strength) in layers {
                    let pairs = tile.planes().iter().map(|p| p[i]);
                    left = show_layer(pairs, *strength, left, |id, amount| {
                        if paints.iter().any(|p| u32::from(p.0) == id) {
                            found += amount;
                        }
                    });
                }
                *out = ((found * 255 + FULL / 2) / FULL) as u8;
            }
        });
        Ok(out)
    }
}
