//! How much of each pixel is of some paints: for setting one swatch apart on the screen.

use super::Canvas;
use crate::cpu::coverage;
use crate::engine::EngineError;
use rayon::prelude::*;
use stint_model::ids::PaintId;
use stint_model::study::tile::{TILE_PIXELS, TilePos};

/// How many places are read back at a time.
const PLACES_AT_A_TIME: usize = 64;

impl Canvas {
    /// Share of each pixel that shows one of `paints`: for each place 128 x 128 bytes, row by row, 0 none, 255 all.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn coverage_of(&mut self, paints: &[PaintId], places: &[TilePos]) -> Result<Vec<u8>, EngineError> {
        let stacks = self.stacks(places)?;
        let mut shares = vec![0; stacks.len() * TILE_PIXELS];
        let chunks = shares.chunks_mut(PLACES_AT_A_TIME * TILE_PIXELS);
        for (stacks, shares) in stacks.chunks(PLACES_AT_A_TIME).zip(chunks) {
            let handles: Vec<_> = stacks.iter().flat_map(|s| s.layers.iter().map(|l| l.tile.clone())).collect();
            let tiles = self.engine.download(&handles)?;
            let mut tiles = tiles.iter();
            let layers: Vec<Vec<_>> = stacks
                .iter()
                .map(|s| s.layers.iter().zip(&mut tiles).map(|(l, t)| (&**t, u32::from(l.strength))).collect())
                .collect();
            shares
                .par_chunks_exact_mut(TILE_PIXELS)
                .zip(&layers)
                .for_each(|(out, layers)| coverage(layers, paints, out));
        }
        Ok(shares)
    }
}
