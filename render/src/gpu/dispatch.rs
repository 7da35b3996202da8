//! Kernels made ready to run: what they read is written to the device first, then they run as often as wanted.
#![expect(clippy::cast_possible_truncation, reason = "a dispatch counts jobs, planes and words far below 2^32")]

use super::layout::{CommitWords, LANES, LAYER_WORDS, MASK_HAS_PIXELS, Params, TALLY_PAINTS, mixing_code};
use super::pipeline::{Buffers, Pipeline};
use super::pool::PAGE_BYTES;
use super::source::{Kernel, Planes};
use super::{CHUNK, GpuEngine, GpuTile, tile};
use crate::amount::FULL;
use crate::engine::{CommitJob, EngineError, Op, Stack, TileHandle};
use crate::mask::MaskTile;
use crate::pixel::{amount_of, paint_of};
use std::collections::BTreeSet;
use std::sync::Arc;
use stint_model::ids::PaintId;
use stint_model::mixing::Mixing;
use stint_model::study::tile::{MAX_PLANES, TILE_PIXELS};

/// Pixels that a lane works on at a time.
const QUAD: u32 = 4;

/// Pixels of masks that are not read: not nothing, and an even number of words, because masks are read two words at a time.
const NO_PIXELS: [u32; 2] = [0; 2];

/// How a dispatch shares a tile among workgroups: fewer tiles, more workgroups each. Kernels that write planes take twice as many of a
/// large canvas, since fewer of them run at once (measured on an H100).
pub(super) fn slices(kernel: Kernel, tiles: usize) -> u32 {
    match tiles {
        0..=127 => 16,
        128..=511 => 8,
        _ if kernel.planes() == Planes::Written => 4,
        _ => 2,
    }
}

/// Rounds of each lane of `slices` workgroups that share a tile, each round working on `pixels` neighbouring pixels.
fn rounds(slices: u32, pixels: u32) -> u32 {
    TILE_PIXELS as u32 / LANES / slices / pixels
}

/// A kernel with everything it reads on the device. Running it again gives the same once more. It holds the engine, whose buffers it
/// uses.
pub struct Dispatch<'a> {
    pub(super) engine: &'a GpuEngine,
    pipeline: &'a Pipeline,
    bindings: wgpu::BindGroup,
    /// Jobs or stacks, and workgroups that share each of them.
    workgroups: [u32; 2],
    /// Bytes of the output that are zeroed before a run.
    cleared: u64,
}

impl Dispatch<'_> {
    /// Records `times` runs, one after the other.
    pub fn record(&self, times: u32) -> wgpu::CommandBuffer {
        let mut encoder = self.engine.gpu.device.create_command_encoder(&Default::default());
        for _ in 0..times {
            self.record_into(&mut encoder);
        }
        encoder.finish()
    }

    /// Records one run among other commands.
    pub(super) fn record_into(&self, encoder: &mut wgpu::CommandEncoder) {
        self.record_timed(encoder, None);
    }

    /// The same, with the times of its begin and end noted.
    pub(super) fn record_timed(
        &self,
        encoder: &mut wgpu::CommandEncoder,
        times: Option<wgpu::ComputePassTimestampWrites<'_>>,
    ) {
        if self.cleared > 0 {
            encoder.clear_buffer(self.engine.output.buffer(), 0, Some(self.cleared));
        }
        self.pipeline.record(encoder, &self.bindings, self.workgroups, times);
    }

    /// Hands recorded runs to the device and does not wait.
    pub fn submit(&self, commands: wgpu::CommandBuffer) {
        self.engine.gpu.queue.submit([commands]);
    }

    /// Runs the kernel once and does not wait.
    pub fn run(&self) {
        self.submit(self.record(1));
    }

    /// Waits until the device has done all that was submitted.
    ///
    /// # Errors
    /// When the device fails.
    pub fn wait(&self) -> Result<(), EngineError> {
        self.engine.gpu.wait()
    }
}

/// A page whose words are all the same.
pub(super) struct EvenPage(CommitWords);

impl EvenPage {
    /// A page of one word; none for a word that a commit cannot make: a pair of no paint or of no amount, which no sound tile holds.
    pub(super) fn new(page: u32, word: u32) -> Option<Self> {
        let (paint, amount) = (paint_of(word), amount_of(word));
        if (paint == 0) != (amount == 0) {
            return None;
        }
        // Its cover of nothing is the pair itself.
        let mut words = CommitWords { paint, pure_class: 1, dst_planes: 1, even: amount, ..Default::default() };
        words.dst[0] = page;
        Some(EvenPage(words))
    }
}

impl GpuEngine {
    /// Fills pages without sending them to the device word by word. Does not wait.
    pub(super) fn fill(&mut self, pages: &[EvenPage]) -> Result<(), EngineError> {
        for chunk in pages.chunks(CHUNK * 4) {
            let words: Vec<CommitWords> = chunk.iter().map(|page| page.0).collect();
            self.dispatch_commit(Kernel::Commit, &words, &NO_PIXELS)?.run();
        }
        Ok(())
    }

    /// A commit of these jobs, and the tiles that running it writes.
    ///
    /// # Errors
    /// When the device fails or is full.
    pub fn prepare_commit(
        &mut self,
        op: Op,
        jobs: &[CommitJob<'_>],
    ) -> Result<(Dispatch<'_>, Vec<TileHandle>), EngineError> {
        let mut handles = Vec::with_capacity(jobs.len());
        let mut masks = NO_PIXELS.to_vec();
        let mut words = Vec::with_capacity(jobs.len());
        for job in jobs {
            let (record, tile) = self.plan(op, job, &mut masks)?;
            words.push(record);
            handles.push(TileHandle(Arc::new(tile)));
        }
        let kernel = match op {
            Op::Lay(_) | Op::Scrape => Kernel::Commit,
            Op::LayMixture(_) => Kernel::Mixture,
        };
        Ok((self.dispatch_commit(kernel, &words, &masks)?, handles))
    }

    /// A commit of these records with the pixels of their masks.
    fn dispatch_commit(
        &mut self,
        kernel: Kernel,
        jobs: &[CommitWords],
        masks: &[u32],
    ) -> Result<Dispatch<'_>, EngineError> {
        self.jobs.write(&self.gpu, bytemuck::cast_slice(jobs))?;
        self.masks.write(&self.gpu, bytemuck::cast_slice(masks))?;
        let unknown = self.paints.unknown();
        self.write_params(Params { steps: rounds(slices(kernel, jobs.len()), QUAD), unknown, ..Default::default() })?;
        let buffers =
            Buffers { jobs: &self.jobs, paints: &self.ints, data: &self.masks, params: &self.params, target: None };
        Ok(self.ready(kernel, &buffers, jobs.len()))
    }

    /// A resolve of these stacks to packed colours in the output buffer.
    ///
    /// # Errors
    /// When the device fails or is full.
    pub fn prepare_resolve(&mut self, stacks: &[Stack]) -> Result<Dispatch<'_>, EngineError> {
        self.write_stacks(stacks)?;
        self.output.reserve(&self.gpu, stacks.len() as u64 * PAGE_BYTES)?;
        self.moved += stacks.len() as u64 * PAGE_BYTES;
        let kernel = match self.paints.mixing() {
            Mixing::Light | Mixing::Perceptual => Kernel::Resolve,
            Mixing::Pigment => Kernel::ResolvePigment,
        };
        let steps = rounds(slices(kernel, stacks.len()), QUAD);
        let mixing = mixing_code(self.paints.mixing());
        let unknown = self.paints.unknown();
        self.write_params(Params { steps, mixing, unknown, ..Default::default() })?;
        let buffers =
            Buffers { jobs: &self.jobs, paints: &self.latents, data: &self.output, params: &self.params, target: None };
        Ok(self.ready(kernel, &buffers, stacks.len()))
    }

    /// A tally of these stacks to a row of sums each in the output buffer, for as many paints from `first_paint` on as one
    /// dispatch counts.
    ///
    /// # Errors
    /// When the device fails or is full.
    pub fn prepare_tally(&mut self, stacks: &[Stack], first_paint: u32) -> Result<Dispatch<'_>, EngineError> {
        self.write_stacks(stacks)?;
        let paints = self.count_of_paints().saturating_sub(first_paint).min(TALLY_PAINTS);
        let bytes = stacks.len() as u64 * u64::from(paints) * 4;
        self.output.reserve(&self.gpu, bytes)?;
        let steps = rounds(slices(Kernel::Tally, stacks.len()), QUAD);
        let unknown = self.paints.unknown();
        self.write_params(Params { steps, paints, first_paint, unknown, ..Default::default() })?;
        let buffers =
            Buffers { jobs: &self.jobs, paints: &self.ints, data: &self.output, params: &self.params, target: None };
        Ok(Dispatch { cleared: bytes, ..self.ready(Kernel::Tally, &buffers, stacks.len()) })
    }

    /// How much of each pixel of these stacks is of some paints, as packed greys in the output buffer.
    ///
    /// # Errors
    /// When the device fails or is full.
    pub fn prepare_coverage(&mut self, stacks: &[Stack], paints: &[PaintId]) -> Result<Dispatch<'_>, EngineError> {
        self.write_stacks(stacks)?;
        self.output.reserve(&self.gpu, stacks.len() as u64 * PAGE_BYTES)?;
        self.moved += stacks.len() as u64 * PAGE_BYTES;
        let mut lit = [0_u32; 1 << 11];
        for paint in paints {
            lit[usize::from(paint.0 >> 5)] |= 1 << (paint.0 & 31);
        }
        self.lit.write(&self.gpu, bytemuck::cast_slice(&lit))?;
        self.write_params(Params {
            steps: rounds(slices(Kernel::Coverage, stacks.len()), QUAD),
            ..Default::default()
        })?;
        let buffers =
            Buffers { jobs: &self.jobs, paints: &self.lit, data: &self.output, params: &self.params, target: None };
        Ok(self.ready(Kernel::Coverage, &buffers, stacks.len()))
    }

    /// Ids that are counted: all that the table knows and, where there can be others, one that stands for them.
    pub(super) fn count_of_paints(&self) -> u32 {
        (self.paints.unknown() + 1).min(1 << 16)
    }

    fn ready(&self, kernel: Kernel, buffers: &Buffers<'_>, jobs: usize) -> Dispatch<'_> {
        let pipeline = self.pipelines.of(kernel);
        let bindings = pipeline.bind(&self.gpu, &self.pool, buffers);
        Dispatch { engine: self, pipeline, bindings, workgroups: [jobs as u32, slices(kernel, jobs)], cleared: 0 }
    }

    /// The record of one commit job, and the tile it makes. Pixels of the mask go to the end of `masks`, two to a word.
    fn plan(
        &mut self,
        op: Op,
        job: &CommitJob<'_>,
        masks: &mut Vec<u32>,
    ) -> Result<(CommitWords, GpuTile), EngineError> {
        job.base.map_or(Ok(()), |base| self.bring_back(base))?;
        let base = job.base.map(tile).transpose()?;
        let one;
        let (paint, laid) = match &op {
            Op::Lay(paint) => {
                one = [(*paint, FULL)];
                (paint.0, &one[..])
            }
            Op::LayMixture(load) => (0, load.paints()),
            Op::Scrape => (0, &[][..]),
        };
        let full = *job.mask == MaskTile::Even(u16::MAX);
        // Full cover leaves nothing of the base.
        let base = base.filter(|_| !full);
        let mut paints = base.map_or_else(BTreeSet::new, |b| b.paints.clone());
        paints.extend(laid.iter().map(|(paint, _)| paint.0));
        let src = base.map_or_else(Vec::new, GpuTile::pages);
        // One plane more for each paint than there are, but none without a paint for it; a paint that is in a pixel twice may need it all the same.
        let repeats = base.is_some_and(|b| b.repeats);
        let most = if repeats { MAX_PLANES } else { paints.len() };
        let count = (src.len() + laid.len()).min(most).min(MAX_PLANES);
        let pages = self.pool.take(&self.gpu, count)?;
        self.moved += (src.len() + count) as u64 * PAGE_BYTES;
        let mut words = CommitWords { paint: paint.into(), dst_planes: count as u32, ..Default::default() };
        words.src_planes = src.len() as u32;
        if let Op::LayMixture(load) = &op {
            words.layers = load.paints().len() as u32;
            for (word, (paint, share)) in words.mixture.iter_mut().zip(load.paints()) {
                *word = u32::from(paint.0) << 16 | share;
            }
        }
        words.src[..src.len()].copy_from_slice(&src);
        words.dst[..count].copy_from_slice(&pages);
        let new = GpuTile::new(pages, paints, repeats, self.pool.free_list());
        let classes: BTreeSet<bool> = new.paints.iter().map(|&id| self.paints.is_free(id.into())).collect();
        words.pure_class = u32::from(classes.len() < 2);
        words.mask_at = masks.len() as u32;
        match job.mask {
            MaskTile::Even(value) => words.even = u32::from(*value),
            MaskTile::Pixels(pixels) => {
                words.even = MASK_HAS_PIXELS;
                // Written by the host, then read.
                self.moved += PAGE_BYTES;
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
                self.bring_back(&layer.tile)?;
                self.moved += tile(&layer.tile)?.with_pages(|pages| {
                    let mut record = [0; LAYER_WORDS as usize];
                    record[0] = layer.strength.into();
                    record[1] = pages.len() as u32;
                    record[2..2 + pages.len()].copy_from_slice(pages);
                    words.extend(record);
                    pages.len() as u64 * PAGE_BYTES
                });
            }
        }
        words[stacks.len()] = words.len() as u32;
        self.jobs.write(&self.gpu, bytemuck::cast_slice(&words))
    }

    fn write_params(&mut self, params: Params) -> Result<(), EngineError> {
        self.params.write(&self.gpu, bytemuck::bytes_of(&params))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::{Engine, Layer};
    use crate::gpu::test_device;
    use crate::paints::PaintLut;
    use stint_model::study::tile::{Plane, TilePixels};

    /// What comes back of even planes, sound ones and those that only a damaged tile can hold, also after they were parked.
    #[test]
    fn even_planes_come_back_as_they_went_in() -> Result<(), EngineError> {
        let Some(gpu) = test_device("even planes on a device") else { return Ok(()) };
        let mut engine = GpuEngine::new(gpu)?;
        engine.set_paints(&PaintLut::for_tests(9, |id| id > 6))?;
        let grained = Plane::from_fn(|i| 3 << 16 | i as u32);
        let words = [1 << 16 | 65_535, 7 << 16 | 1, 0xffff_ffff, 5 << 16, 40_000, 4 << 16 | 20_000];
        let mut tiles: Vec<_> = words.map(|word| TilePixels::new(vec![Plane::even(word)])).into();
        tiles.push(TilePixels::new(vec![Plane::even(2 << 16 | 9), Plane::even(0), grained, Plane::even(1 << 16 | 5)]));
        let tiles: Vec<_> = tiles.into_iter().map(Arc::new).collect();
        let handles = engine.upload(&tiles)?;
        assert_eq!(engine.download(&handles)?, tiles);
        assert!(engine.park(&handles)? > 0);
        let stacks: Vec<_> = handles
            .iter()
            .map(|tile| Stack { layers: vec![Layer { tile: tile.clone(), strength: u16::MAX }] })
            .collect();
        engine.tally(&stacks)?;
        assert_eq!(engine.download(&handles)?, tiles);
        Ok(())
    }
}
