//! Tiles onto the device: what has to be known of each is worked out, and its pixels are laid out, on all processors.

use super::buffers::GrowingBuffer;
use super::dispatch::EvenPage;
use super::pool::PAGE_BYTES;
use super::{CHUNK, GpuEngine, GpuTile, paints_in, repeats};
use crate::engine::{EngineError, TileHandle};
use rayon::prelude::*;
use std::sync::Arc;
use stint_model::study::tile::{Plane, TILE_PIXELS, TilePixels};
use wgpu::WriteOnly;

/// Bytes of a page.
const BYTES: usize = TILE_PIXELS * 4;

impl GpuEngine {
    /// The buffer that pixels come in on their way to the pages.
    pub(super) fn arrivals(gpu: &super::Gpu) -> Result<GrowingBuffer, EngineError> {
        GrowingBuffer::new(gpu, "arrivals", wgpu::BufferUsages::COPY_SRC)
    }

    /// See [`crate::engine::Engine::upload`].
    pub(super) fn upload_tiles(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError> {
        let (pages, known) = rayon::join(
            || self.write_tiles(&tiles.iter().map(|tile| &**tile).collect::<Vec<_>>()),
            || tiles.par_iter().map(|tile| (paints_in(tile), repeats(tile))).collect::<Vec<_>>(),
        );
        let tiles = pages?.into_iter().zip(known).map(|(pages, (paints, repeats))| {
            TileHandle(Arc::new(GpuTile::new(pages, paints, repeats, self.pool.free_list())))
        });
        Ok(tiles.collect())
    }

    /// Puts the planes of tiles into pages of their own, those of each tile lowest first. Does not wait.
    pub(super) fn write_tiles(&mut self, tiles: &[&TilePixels]) -> Result<Vec<Vec<u32>>, EngineError> {
        let mut pages = Vec::with_capacity(tiles.len());
        let written = self.take_and_write(tiles, &mut pages);
        if written.is_err()
            && let Ok(mut free) = self.pool.free_list().lock()
        {
            free.extend(pages.drain(..).flatten());
        }
        written.map(|()| pages)
    }

    /// The same; the pages are those that were taken before something failed.
    fn take_and_write(&mut self, tiles: &[&TilePixels], taken: &mut Vec<Vec<u32>>) -> Result<(), EngineError> {
        let (mut even, mut uneven): (Vec<EvenPage>, Vec<(u32, &Plane)>) = Default::default();
        for pixels in tiles {
            let pages = self.pool.take(&self.gpu, pixels.planes().len())?;
            self.moved += pages.len() as u64 * PAGE_BYTES;
            for (&page, plane) in pages.iter().zip(pixels.planes()) {
                // Even ones are filled on the device.
                match plane.even_word().and_then(|word| EvenPage::new(page, word)) {
                    Some(filled) => even.push(filled),
                    None => uneven.push((page, plane)),
                }
            }
            taken.push(pages);
        }
        for some in uneven.chunks(CHUNK) {
            self.write_pages(some)?;
        }
        self.fill(&even)?;
        self.gpu.queue.submit([]);
        self.gpu.check()
    }

    /// Some planes into their pages, in one piece.
    fn write_pages(&mut self, planes: &[(u32, &Plane)]) -> Result<(), EngineError> {
        let bytes = planes.len() as u64 * PAGE_BYTES;
        self.arrivals.reserve(&self.gpu, bytes)?;
        let Some(size) = wgpu::BufferSize::new(bytes) else { return Ok(()) };
        let view = self.gpu.queue.write_buffer_with(self.arrivals.buffer(), 0, size);
        let lost = || EngineError::DeviceLost("it took no more pixels".to_owned());
        let mut view = view.ok_or_else(lost)?;
        let parts: Vec<(&Plane, WriteOnly<'_, [u8; BYTES]>)> =
            planes.iter().map(|(_, plane)| *plane).zip(view.slice(..).into_chunks().0).collect();
        parts.into_par_iter().for_each_init(
            || vec![0; TILE_PIXELS],
            |words, (plane, part)| {
                plane.copy_to(words);
                WriteOnly::<[u8]>::from(part).copy_from_slice(bytemuck::cast_slice(words));
            },
        );
        drop(view);
        let mut encoder = self.gpu.device.create_command_encoder(&Default::default());
        for (&(page, _), from) in planes.iter().zip((0..).step_by(BYTES)) {
            let (bank, offset) = self.pool.locate(page);
            encoder.copy_buffer_to_buffer(self.arrivals.buffer(), from, bank, offset, PAGE_BYTES);
        }
        self.gpu.queue.submit([encoder.finish()]);
        Ok(())
    }
}
