//! Showing tiles on the device that the engine works on.

use super::Canvas;
use crate::engine::{EngineError, Shown, ShownTile};
use stint_model::study::tile::TilePos;

impl Canvas {
    /// Whether the engine works on this device, so that [`Canvas::draw`] can be used with its textures.
    pub fn draws_on(&self, device: &wgpu::Device) -> bool {
        self.engine.draws_on(device)
    }

    /// See [`crate::engine::Engine::moved_bytes`].
    pub fn moved_bytes(&self) -> u64 {
        self.engine.moved_bytes()
    }

    /// Writes what some tiles show into a texture of [`crate::gpu::target_texture`], each at a first texel (column and row), its sides
    /// halved `level` times. Never waits: whatever is submitted to the device after this finds it there.
    ///
    /// # Errors
    /// When the engine fails or does not work on a device that can be drawn on.
    pub fn draw(
        &mut self,
        what: Shown<'_>,
        level: u32,
        places: &[(TilePos, [u32; 2])],
        target: &wgpu::TextureView,
    ) -> Result<(), EngineError> {
        let stacks = self.stacks(&places.iter().map(|&(pos, _)| pos).collect::<Vec<_>>())?;
        let tiles: Vec<_> =
            places.iter().map(|&(pos, at)| ShownTile { at, extent: self.size.tile_extent(pos) }).collect();
        self.with_room(|canvas| canvas.engine_with_paints()?.draw(what, &stacks, level, &tiles, target))
    }
}
