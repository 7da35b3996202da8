//! Times the kernels on the device, against a plain compute copy that moves as many bytes: for benches.

use super::buffers::Growing;
use super::{GpuEngine, slices};
use crate::engine::{CommitJob, Engine, EngineError, Op, Stack};
use crate::paints::PaintLut;
use std::time::Instant;
use stint_model::ids::PaintId;
use stint_model::study::tile::TILE_PIXELS;

/// Milliseconds and bytes moved of one kernel.
#[derive(Clone, Copy, Debug)]
pub struct Timing {
    /// Median time of one run, milliseconds.
    pub ms: f64,
    /// Bytes read and written at least.
    pub bytes: u64,
}

impl Timing {
    /// Gigabytes (10^9) a second.
    pub fn gb_per_s(&self) -> f64 {
        self.bytes as f64 / self.ms / 1e6
    }
}

/// Runs recorded in one submission, so that the wait for it weighs little.
const RUNS: u32 = 20;
/// Submissions of which the median counts.
const ROUNDS: usize = 9;

impl GpuEngine {
    fn median(&self, record: impl Fn(&mut wgpu::CommandEncoder)) -> Result<f64, EngineError> {
        let mut times = Vec::with_capacity(ROUNDS);
        for _ in 0..=ROUNDS {
            let mut encoder = self.gpu.device.create_command_encoder(&Default::default());
            for _ in 0..RUNS {
                record(&mut encoder);
            }
            let commands = encoder.finish();
            self.gpu.wait()?;
            let start = Instant::now();
            self.gpu.queue.submit([commands]);
            self.gpu.wait()?;
            times.push(start.elapsed().as_secs_f64() * 1e3 / f64::from(RUNS));
        }
        // The first round warms up.
        let mut times = times.split_off(1);
        times.sort_by(f64::total_cmp);
        Ok(times[times.len() / 2])
    }

    /// Time of a commit of these jobs, without upload and read-back; the result is thrown away.
    ///
    /// # Errors
    /// When the device fails.
    pub fn time_commit(&mut self, paint: PaintId, jobs: &[CommitJob<'_>]) -> Result<Timing, EngineError> {
        let new = self.commit(Op::Lay(paint), jobs)?;
        let buffers = [&self.jobs, &self.ints, &self.masks, &self.params];
        let bind = self.stages.commit.bind(&self.gpu, &self.pool, buffers);
        let groups = (jobs.len() as u32, slices(jobs.len()));
        let ms = self.median(|encoder| self.stages.commit.record(encoder, &bind, groups))?;
        let mut planes = 0;
        for (job, new) in jobs.iter().zip(&new) {
            planes += super::tile(new)?.pages.len();
            planes += job.base.map_or(Ok(0), |b| super::tile(b).map(|t| t.pages.len()))?;
        }
        let bytes = planes as u64 * super::PAGE_BYTES + jobs.len() as u64 * super::PAGE_BYTES / 2;
        Ok(Timing { ms, bytes })
    }

    fn stack_bytes(stacks: &[Stack]) -> Result<u64, EngineError> {
        let layers = stacks.iter().flat_map(|s| &s.layers);
        layers.map(|l| Ok(super::tile(&l.tile)?.pages.len() as u64 * super::PAGE_BYTES)).sum()
    }

    /// Time of a resolve of these stacks, at most as many as one dispatch takes, without read-back.
    ///
    /// # Errors
    /// When the device fails.
    pub fn time_resolve(&mut self, stacks: &[Stack]) -> Result<Timing, EngineError> {
        self.write_stacks(stacks)?;
        let out = (stacks.len() * TILE_PIXELS * 4) as u64;
        self.output.reserve(&self.gpu, out)?;
        let steps = super::rounds(slices(stacks.len()), super::QUAD);
        let mixing = 1;
        self.write_params(super::Params { steps, mixing, ..Default::default() })?;
        let buffers = [&self.jobs, &self.latents, &self.output, &self.params];
        let bind = self.stages.resolve.bind(&self.gpu, &self.pool, buffers);
        let groups = (stacks.len() as u32, slices(stacks.len()));
        let ms = self.median(|encoder| self.stages.resolve.record(encoder, &bind, groups))?;
        Ok(Timing { ms, bytes: Self::stack_bytes(stacks)? + out })
    }

    /// Time from other paints to the stacks resolved with them, without read-back: what the program waits for when the board
    /// changes. `paints` are taken in turn.
    ///
    /// # Errors
    /// When the device fails.
    pub fn time_recolour(&mut self, paints: &[PaintLut], stacks: &[Stack]) -> Result<Timing, EngineError> {
        let bytes = self.time_resolve(stacks)?.bytes;
        let groups = (stacks.len() as u32, slices(stacks.len()));
        let mut times = Vec::with_capacity(ROUNDS);
        for paints in paints.iter().cycle().take(ROUNDS) {
            self.gpu.wait()?;
            let start = Instant::now();
            self.set_paints(paints)?;
            let buffers = [&self.jobs, &self.latents, &self.output, &self.params];
            self.stages.resolve.dispatch(&self.gpu, &self.pool, buffers, groups);
            self.gpu.wait()?;
            times.push(start.elapsed().as_secs_f64() * 1e3);
        }
        times.sort_by(f64::total_cmp);
        Ok(Timing { ms: times.get(times.len() / 2).copied().unwrap_or_default(), bytes })
    }

    /// Time of a tally of these stacks, without read-back.
    ///
    /// # Errors
    /// When the device fails.
    pub fn time_tally(&mut self, stacks: &[Stack]) -> Result<Timing, EngineError> {
        self.write_stacks(stacks)?;
        let paints = self.paints.len() as u32;
        self.output.reserve(&self.gpu, stacks.len() as u64 * u64::from(paints) * 4)?;
        let steps = super::rounds(slices(stacks.len()), super::QUAD);
        self.write_params(super::Params { steps, paints, first_paint: 0, mixing: 0 })?;
        let buffers = [&self.jobs, &self.ints, &self.output, &self.params];
        let bind = self.stages.tally.bind(&self.gpu, &self.pool, buffers);
        let groups = (stacks.len() as u32, slices(stacks.len()));
        let ms = self.median(|encoder| self.stages.tally.record(encoder, &bind, groups))?;
        Ok(Timing { ms, bytes: Self::stack_bytes(stacks)? })
    }

    /// Time of a plain compute copy of `words` u32: reads and writes each once.
    ///
    /// # Errors
    /// When the device fails.
    pub fn time_copy(&mut self, words: u64) -> Result<Timing, EngineError> {
        let text = "@group(0) @binding(0) var<storage, read> source: array<vec4<u32>>;
            @group(0) @binding(1) var<storage, read_write> copied: array<vec4<u32>>;
            @compute @workgroup_size(256) fn copy(
                @builtin(workgroup_id) group: vec3<u32>, @builtin(local_invocation_index) lane: u32) {
                for (var step = 0u; step < 8u; step++) {
                    let at = (group.x * 8u + step) * 256u + lane;
                    copied[at] = source[at];
                }
            }";
        let device = &self.gpu.device;
        let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: Some("copy"),
            source: wgpu::ShaderSource::Wgsl(text.into()),
        });
        let pipeline = device.create_compute_pipeline(&wgpu::ComputePipelineDescriptor {
            label: Some("copy"),
            layout: None,
            module: &module,
            entry_point: Some("copy"),
            compilation_options: Default::default(),
            cache: None,
        });
        let mut from = Growing::new(&self.gpu, "from", wgpu::BufferUsages::STORAGE);
        let mut to = Growing::new(&self.gpu, "to", wgpu::BufferUsages::STORAGE);
        from.reserve(&self.gpu, words * 4)?;
        to.reserve(&self.gpu, words * 4)?;
        let bind = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("copy"),
            layout: &pipeline.get_bind_group_layout(0),
            entries: &[
                wgpu::BindGroupEntry { binding: 0, resource: from.buffer().as_entire_binding() },
                wgpu::BindGroupEntry { binding: 1, resource: to.buffer().as_entire_binding() },
            ],
        });
        let groups = (words / (8 * 256 * 4)) as u32;
        let ms = self.median(|encoder| {
            let mut pass = encoder.begin_compute_pass(&Default::default());
            pass.set_pipeline(&pipeline);
            pass.set_bind_group(0, &bind, &[]);
            pass.dispatch_workgroups(groups, 1, 1);
        })?;
        Ok(Timing { ms, bytes: u64::from(groups) * 8 * 256 * 4 * 8 })
    }
}
