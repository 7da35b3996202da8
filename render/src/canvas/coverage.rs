//! How much of each pixel is of some paints: for setting one swatch apart on the screen.

use super::Canvas;
use crate::engine::EngineError;
use stint_model::ids::PaintId;
use stint_model::study::tile::TilePos;

impl Canvas {
    /// Share of each pixel that shows one of `paints`: for each place 128 x 128 bytes, row by row, 0 none, 255 all.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn coverage_of(&mut self, paints: &[PaintId], places: &[TilePos]) -> Result<Vec<u8>, EngineError> {
        let stacks: Vec<_> = places.iter().map(|&pos| self.stack(pos)).collect();
        self.engine.coverage(&stacks, paints)
    }
}
