//! What stacks show, written into a texture of the same device that is drawn from there: no pixel travels.
#![expect(clippy::cast_possible_truncation, reason = "a dispatch counts tiles far below 2^32")]

use super::dispatch::slices;
use super::layout::{LANES, Params, PlaceWords};
use super::pipeline::{Buffers, TARGET_FORMAT};
use super::pool::PAGE_BYTES;
use super::source::Kernel;
use super::{CHUNK, GpuEngine};
use crate::engine::{EngineError, Shown, ShownTile, Stack};
use stint_model::study::tile::TILE_SIDE;

/// A texture that an engine writes and a window draws. It is written as plain numbers, and drawn as `drawn`, which must be the same
/// format or that which takes the numbers for sRGB codes; the views are for writing and for drawing.
pub fn target_texture(
    device: &wgpu::Device,
    label: &str,
    size: wgpu::Extent3d,
    drawn: wgpu::TextureFormat,
) -> (wgpu::Texture, [wgpu::TextureView; 2]) {
    let drawing = wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::RENDER_ATTACHMENT;
    let texture = device.create_texture(&wgpu::TextureDescriptor {
        label: Some(label),
        size,
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format: TARGET_FORMAT,
        usage: drawing | wgpu::TextureUsages::STORAGE_BINDING | wgpu::TextureUsages::COPY_DST,
        view_formats: &[drawn],
    });
    let view = |format: wgpu::TextureFormat, usage: wgpu::TextureUsages| {
        texture.create_view(&wgpu::TextureViewDescriptor {
            format: Some(format),
            usage: Some(usage),
            ..Default::default()
        })
    };
    let views = [view(TARGET_FORMAT, wgpu::TextureUsages::STORAGE_BINDING), view(drawn, drawing)];
    (texture, views)
}

impl GpuEngine {
    /// See [`crate::engine::Engine::draw`].
    pub(super) fn draw_shown(
        &mut self,
        what: Shown<'_>,
        stacks: &[Stack],
        level: u32,
        tiles: &[ShownTile],
        target: &wgpu::TextureView,
    ) -> Result<(), EngineError> {
        let side = TILE_SIDE >> level;
        let light = u32::from(what == Shown::Colours);
        for (stacks, tiles) in stacks.chunks(CHUNK).zip(tiles.chunks(CHUNK)) {
            let words = |tile: &ShownTile| PlaceWords {
                x: tile.at[0],
                y: tile.at[1],
                across: tile.extent.0,
                down: tile.extent.1,
            };
            let places: Vec<_> = tiles.iter().map(words).collect();
            self.places.write(&self.gpu, bytemuck::cast_slice(&places))?;
            // Read from the output, and a texel written for each square of it.
            self.moved += tiles.len() as u64 * (PAGE_BYTES + u64::from(side * side) * 4);
            let rounds = (side * side).div_ceil(LANES);
            let slices = slices(Kernel::Reduce, tiles.len()).min(rounds);
            let params = Params { steps: rounds / slices, level, light, ..Default::default() };
            self.place_params.write(&self.gpu, bytemuck::bytes_of(&params))?;
            let made = match what {
                Shown::Colours => self.prepare_resolve(stacks)?,
                Shown::Shares(paints) => self.prepare_coverage(stacks, paints)?,
            };
            let engine = made.engine;
            let mut encoder = engine.gpu.device.create_command_encoder(&Default::default());
            made.record_into(&mut encoder);
            let reduce = engine.pipelines.of(Kernel::Reduce);
            let buffers = Buffers {
                jobs: &engine.places,
                paints: &engine.ints,
                data: &engine.output,
                params: &engine.place_params,
                target: Some(target),
            };
            let bindings = reduce.bind(&engine.gpu, &engine.pool, &buffers);
            reduce.record(&mut encoder, &bindings, [tiles.len() as u32, slices], None);
            engine.gpu.queue.submit([encoder.finish()]);
        }
        self.gpu.check()
    }
}
