//! The GPU engine: wgpu compute over pages of planes. Gives the bits of the CPU engine for commit and tally.
//!
//! Every call uploads its jobs, records one pass, and reads back only what was asked for. Tiles stay on the device.

mod buffers;
mod device;
pub mod layout;
pub mod measure;
mod pool;
pub mod source;
mod stage;

use crate::engine::{CommitJob, Engine, EngineError, EngineInfo, Op, Sample, Stack, TileHandle};
use crate::mask::MaskTile;
use crate::paints::PaintLut;
use crate::pixel::paint_of;
use buffers::{Growing, ReadBack};
pub use device::{Gpu, Want};
use layout::{CommitWords, LANES, LAYER_WORDS, MASK_HAS_PIXELS, Params, TALLY_PAINTS};
use pool::{FreeList, PAGE_BYTES, Pool, ROW_BYTES};
use stage::Stages;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::colour::Colour;
use stint_model::ids::PaintId;
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::readout::Tally;
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_PIXELS, TILE_SIDE, TilePixels};

/// Stacks resolved, and tiles read back, in one go: bounds the size of the buffers in between to 32 MiB.
const CHUNK: usize = 512;

/// A tile on the device.
struct GpuTile {
    pages: Vec<u32>,
    /// Paints that may be in the tile: bounds the planes it needs, so that nothing is read back to grow it.
    paints: BTreeSet<u16>,
    free: FreeList,
}

impl Drop for GpuTile {
    fn drop(&mut self) {
        if let Ok(mut free) = self.free.lock() {
            free.append(&mut self.pages);
        }
    }
}

fn tile(handle: &TileHandle) -> Result<&GpuTile, EngineError> {
    handle.0.downcast_ref::<GpuTile>().ok_or(EngineError::ForeignTile)
}

/// The GPU engine.
pub struct GpuEngine {
    gpu: Gpu,
    pool: Pool,
    stages: Stages,
    paints: PaintLut,
    ints: Growing,
    latents: Growing,
    jobs: Growing,
    masks: Growing,
    params: Growing,
    output: Growing,
    read_back: ReadBack,
}

/// How a dispatch shares a tile among workgroups: fewer tiles, more workgroups each.
fn slices(tiles: usize) -> u32 {
    match tiles {
        0..=127 => 16,
        128..=511 => 8,
        _ => 2,
    }
}

/// Rounds of each lane of `slices` workgroups that share a tile, each round working on `pixels` neighbouring pixels.
fn rounds(slices: u32, pixels: u32) -> u32 {
    TILE_PIXELS as u32 / LANES / slices / pixels
}

/// The rows of the tile that a sample needs, each once.
fn rows_of(sample: &Sample<'_>) -> impl Iterator<Item = u32> {
    sample.pixels.iter().map(|i| i / TILE_SIDE).collect::<BTreeSet<u32>>().into_iter()
}

/// Pixels that resolve and tally read at a time.
const QUAD: u32 = 4;

impl GpuEngine {
    /// An engine on a device.
    ///
    /// # Errors
    /// When the device fails while the kernels are made.
    pub fn new(gpu: Gpu) -> Result<Self, EngineError> {
        use wgpu::BufferUsages as Use;
        let mut engine = GpuEngine {
            pool: Pool::new(&gpu),
            stages: Stages::new(&gpu)?,
            paints: PaintLut::new(&PaintTable::default(), Colour::default(), Mixing::default()),
            ints: Growing::new(&gpu, "paints", Use::STORAGE),
            latents: Growing::new(&gpu, "latents", Use::STORAGE),
            jobs: Growing::new(&gpu, "jobs", Use::STORAGE),
            masks: Growing::new(&gpu, "masks", Use::STORAGE),
            params: Growing::new(&gpu, "params", Use::UNIFORM),
            output: Growing::new(&gpu, "output", Use::STORAGE | Use::COPY_SRC),
            read_back: ReadBack::new(&gpu),
            gpu,
        };
        let paints = engine.paints.clone();
        engine.write_paints(&paints)?;
        Ok(engine)
    }

    fn write_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
        self.ints.write(&self.gpu, bytemuck::cast_slice(paints.ints()))?;
        self.latents.write(&self.gpu, bytemuck::cast_slice(paints.latents()))
    }

    /// The record of one commit job, and the tile it makes.
    fn plan(
        &mut self,
        op: Op,
        job: &CommitJob<'_>,
        masks: &mut Vec<u32>,
    ) -> Result<(CommitWords, GpuTile), EngineError> {
        let base = job.base.map(tile).transpose()?;
        let paint = match op {
            Op::Lay(paint) => paint.0,
            Op::Scrape => 0,
        };
        let full = *job.mask == MaskTile::Even(u16::MAX);
        // Full cover leaves nothing of the base.
        let base = base.filter(|_| !full);
        let mut paints = base.map_or_else(BTreeSet::new, |b| b.paints.clone());
        if paint != 0 {
            paints.insert(paint);
        }
        let count = paints.len().min(MAX_PLANES);
        let pages = self.pool.take(&self.gpu, count)?;
        let new = GpuTile { pages, paints, free: self.pool.free_list() };
        let mut words = CommitWords { paint: paint.into(), dst_planes: count as u32, ..Default::default() };
        if let Some(base) = base {
            words.src_planes = base.pages.len() as u32;
            words.src[..base.pages.len()].copy_from_slice(&base.pages);
        }
        words.dst[..count].copy_from_slice(&new.pages);
        let classes: BTreeSet<bool> = new.paints.iter().map(|&id| self.paints.is_free(id.into())).collect();
        words.pure_class = u32::from(classes.len() < 2);
        words.mask_at = masks.len() as u32;
        match job.mask {
            MaskTile::Even(value) => words.even = u32::from(*value),
            MaskTile::Pixels(pixels) => {
                words.even = MASK_HAS_PIXELS;
                masks.extend(pixels.chunks_exact(2).map(|p| u32::from(p[0]) | u32::from(p[1]) << 16));
            }
        }
        Ok((words, new))
    }

    fn write_stacks(&mut self, stacks: &[Stack]) -> Result<(), EngineError> {
        let mut words = vec![0_u32; stacks.len() + 1];
        for (i, stack) in stacks.iter().enumerate() {
            words[i] = words.len() as u32;
            for layer in &stack.layers {
                let pages = &tile(&layer.tile)?.pages;
                let mut record = [0; LAYER_WORDS as usize];
                record[0] = layer.strength.into();
                record[1] = pages.len() as u32;
                record[2..2 + pages.len()].copy_from_slice(pages);
                words.extend(record);
            }
        }
        words[stacks.len()] = words.len() as u32;
        self.jobs.write(&self.gpu, bytemuck::cast_slice(&words))
    }

    fn write_params(&mut self, params: Params) -> Result<(), EngineError> {
        self.params.write(&self.gpu, bytemuck::bytes_of(&params))
    }
}

impl Engine for GpuEngine {
    fn info(&self) -> EngineInfo {
        self.gpu.info().clone()
    }

    fn set_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
        self.write_paints(paints)?;
        self.paints = paints.clone();
        self.gpu.check()
    }

    fn upload(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError> {
        let mut handles = Vec::with_capacity(tiles.len());
        for pixels in tiles {
            let pages = self.pool.take(&self.gpu, pixels.planes().len())?;
            for (&page, plane) in pages.iter().zip(pixels.planes()) {
                let (bank, offset) = self.pool.locate(page);
                self.gpu.queue.write_buffer(bank, offset, bytemuck::cast_slice(&plane[..]));
            }
            let mut paints = BTreeSet::new();
            let mut last = 0;
            for &pair in pixels.planes().iter().flat_map(|p| p.iter()) {
                if paint_of(pair) != last {
                    last = paint_of(pair);
                    paints.insert(last as u16);
                }
            }
            paints.remove(&0);
            handles.push(TileHandle(Arc::new(GpuTile { pages, paints, free: self.pool.free_list() })));
        }
        self.gpu.queue.submit([]);
        self.gpu.check()?;
        Ok(handles)
    }

    fn download(&mut self, tiles: &[TileHandle]) -> Result<Vec<Arc<TilePixels>>, EngineError> {
        let mut all = Vec::with_capacity(tiles.len());
        for chunk in tiles.chunks(CHUNK / MAX_PLANES) {
            let pages: Vec<&[u32]> =
                chunk.iter().map(|t| Ok(&tile(t)?.pages[..])).collect::<Result<_, EngineError>>()?;
            let copies: Vec<_> = pages.iter().copied().flatten().map(|&page| self.pool.locate(page)).collect();
            let words = self.read_back.read(&self.gpu, &copies, PAGE_BYTES)?;
            let mut planes = words.chunks_exact(TILE_PIXELS);
            for pages in pages {
                let planes = planes.by_ref().take(pages.len()).map(|words| Plane::from_fn(|i| words[i]));
                all.push(Arc::new(TilePixels::new(planes.collect())));
            }
        }
        Ok(all)
    }

    fn sample(&mut self, samples: &[Sample<'_>]) -> Result<Vec<Vec<Vec<u32>>>, EngineError> {
        let mut all = Vec::with_capacity(samples.len());
        for some in samples.chunks(CHUNK) {
            // Whole rows: a few hundred bytes more cost less than a copy for each pixel.
            let mut copies = Vec::new();
            for sample in some {
                for &page in &tile(sample.tile)?.pages {
                    let (bank, start) = self.pool.locate(page);
                    copies.extend(rows_of(sample).map(|row| (bank, start + u64::from(row) * ROW_BYTES)));
                }
            }
            let words = self.read_back.read(&self.gpu, &copies, ROW_BYTES)?;
            let mut rows = words.chunks_exact(TILE_SIDE as usize);
            for sample in some {
                let wanted: Vec<u32> = rows_of(sample).collect();
                let planes = tile(sample.tile)?.pages.iter().map(|_| {
                    let read: BTreeMap<u32, &[u32]> = wanted.iter().copied().zip(rows.by_ref()).collect();
                    let pair = |&i: &u32| read.get(&(i / TILE_SIDE)).map_or(0, |row| row[(i % TILE_SIDE) as usize]);
                    sample.pixels.iter().map(pair).collect()
                });
                all.push(planes.collect());
            }
        }
        Ok(all)
    }

    fn commit(&mut self, op: Op, jobs: &[CommitJob<'_>]) -> Result<Vec<TileHandle>, EngineError> {
        let mut handles = Vec::with_capacity(jobs.len());
        for chunk in jobs.chunks(CHUNK * 4) {
            let mut masks = vec![0];
            let mut words = Vec::with_capacity(chunk.len());
            for job in chunk {
                let (record, tile) = self.plan(op, job, &mut masks)?;
                words.push(record);
                handles.push(TileHandle(Arc::new(tile)));
            }
            self.jobs.write(&self.gpu, bytemuck::cast_slice(&words))?;
            self.masks.write(&self.gpu, bytemuck::cast_slice(&masks))?;
            let slices = slices(chunk.len());
            self.write_params(Params { steps: rounds(slices, 1), ..Default::default() })?;
            self.stages.commit.dispatch(
                &self.gpu,
                &self.pool,
                [&self.jobs, &self.ints, &self.masks, &self.params],
                (chunk.len() as u32, slices),
            );
        }
        self.gpu.check()?;
        Ok(handles)
    }

    fn resolve(&mut self, stacks: &[Stack]) -> Result<Vec<u32>, EngineError> {
        let mut colours = Vec::with_capacity(stacks.len() * TILE_PIXELS);
        for chunk in stacks.chunks(CHUNK) {
            self.write_stacks(chunk)?;
            let bytes = chunk.len() as u64 * PAGE_BYTES;
            self.output.reserve(&self.gpu, bytes)?;
            let slices = slices(chunk.len());
            let steps = rounds(slices, QUAD);
            let mixing = match self.paints.mixing() {
                Mixing::Light => 0,
                Mixing::Perceptual => 1,
            };
            self.write_params(Params { steps, mixing, ..Default::default() })?;
            self.stages.resolve.dispatch(
                &self.gpu,
                &self.pool,
                [&self.jobs, &self.latents, &self.output, &self.params],
                (chunk.len() as u32, slices),
            );
            colours.extend(self.read_back.read(&self.gpu, &[(self.output.buffer(), 0)], bytes)?);
        }
        Ok(colours)
    }

    fn tally(&mut self, stacks: &[Stack]) -> Result<Vec<Tally>, EngineError> {
        let mut tallies = vec![Tally::default(); stacks.len()];
        let paints = self.paints.len() as u32;
        for (stacks, tallies) in stacks.chunks(CHUNK).zip(tallies.chunks_mut(CHUNK)) {
            self.write_stacks(stacks)?;
            let slices = slices(stacks.len());
            let steps = rounds(slices, QUAD);
            for first_paint in (0..paints).step_by(TALLY_PAINTS as usize) {
                let paints = (paints - first_paint).min(TALLY_PAINTS);
                let bytes = stacks.len() as u64 * u64::from(paints) * 4;
                self.output.reserve(&self.gpu, bytes)?;
                self.output.clear(&self.gpu, bytes);
                self.write_params(Params { steps, paints, first_paint, mixing: 0 })?;
                self.stages.tally.dispatch(
                    &self.gpu,
                    &self.pool,
                    [&self.jobs, &self.ints, &self.output, &self.params],
                    (stacks.len() as u32, slices),
                );
                let sums = self.read_back.read(&self.gpu, &[(self.output.buffer(), 0)], bytes)?;
                for (tally, row) in tallies.iter_mut().zip(sums.chunks_exact(paints as usize)) {
                    for (id, &sum) in row.iter().enumerate() {
                        tally.add(PaintId((first_paint as usize + id) as u16), sum.into());
                    }
                }
            }
        }
        Ok(tallies)
    }
}
