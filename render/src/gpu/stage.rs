//! The kernels: pipeline, bindings and dispatch of the shader of the same name, nothing more.

use super::buffers::Growing;
use super::device::Gpu;
use super::layout::BANKS;
use super::pool::Pool;
use super::source;
use crate::engine::EngineError;

/// One kernel.
pub struct Stage {
    label: &'static str,
    layout: wgpu::BindGroupLayout,
    pipeline: wgpu::ComputePipeline,
    /// The tally reads no paints.
    skips_paints: bool,
}

/// All kernels.
pub struct Stages {
    /// `shaders/commit.wgsl`.
    pub commit: Stage,
    /// `shaders/resolve.wgsl`.
    pub resolve: Stage,
    /// `shaders/tally.wgsl`.
    pub tally: Stage,
}

impl Stages {
    /// Makes all kernels.
    ///
    /// # Errors
    /// When the device refuses one.
    pub fn new(gpu: &Gpu) -> Result<Self, EngineError> {
        Ok(Stages {
            commit: Stage::new(gpu, "commit", &source::commit(), true, false)?,
            resolve: Stage::new(gpu, "resolve", &source::resolve(), false, false)?,
            tally: Stage::new(gpu, "tally", &source::tally(), false, true)?,
        })
    }
}

impl Stage {
    fn new(
        gpu: &Gpu,
        label: &'static str,
        text: &str,
        writes_banks: bool,
        skips_paints: bool,
    ) -> Result<Self, EngineError> {
        let scope = gpu.device.push_error_scope(wgpu::ErrorFilter::Validation);
        let descriptor =
            wgpu::ShaderModuleDescriptor { label: Some(label), source: wgpu::ShaderSource::Wgsl(text.into()) };
        let checks = wgpu::ShaderRuntimeChecks { force_loop_bounding: false, ..wgpu::ShaderRuntimeChecks::checked() };
        // SAFETY: what is switched off is the counter that ends endless loops. Every loop of our shaders counts up to a
        // constant, or to a number in a record that this crate has written: at most 8 planes, 64 rounds, the table's length
        // and the layers of a stack. Bounds of buffers stay checked.
        let module = unsafe { gpu.device.create_shader_module_trusted(descriptor, checks) };
        let storage = |binding: u32, read_only: bool| wgpu::BindGroupLayoutEntry {
            binding,
            visibility: wgpu::ShaderStages::COMPUTE,
            ty: wgpu::BindingType::Buffer {
                ty: wgpu::BufferBindingType::Storage { read_only },
                has_dynamic_offset: false,
                min_binding_size: None,
            },
            count: None,
        };
        let mut entries: Vec<_> = (0..BANKS as u32).map(|b| storage(b, !writes_banks)).collect();
        entries.push(storage(4, true));
        if !skips_paints {
            entries.push(storage(5, true));
        }
        // Masks are read, output is written.
        entries.push(storage(6, writes_banks));
        entries.push(wgpu::BindGroupLayoutEntry {
            ty: wgpu::BindingType::Buffer {
                ty: wgpu::BufferBindingType::Uniform,
                has_dynamic_offset: false,
                min_binding_size: None,
            },
            ..storage(7, true)
        });
        let layout = gpu
            .device
            .create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor { label: Some(label), entries: &entries });
        let pipeline_layout = gpu.device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label: Some(label),
            bind_group_layouts: &[Some(&layout)],
            immediate_size: 0,
        });
        let pipeline = gpu.device.create_compute_pipeline(&wgpu::ComputePipelineDescriptor {
            label: Some(label),
            layout: Some(&pipeline_layout),
            module: &module,
            entry_point: Some(label),
            compilation_options: wgpu::PipelineCompilationOptions {
                zero_initialize_workgroup_memory: false,
                ..Default::default()
            },
            cache: None,
        });
        match pollster::block_on(scope.pop()) {
            Some(error) => Err(EngineError::NoDevice(format!("kernel {label} was refused: {error}"))),
            None => Ok(Stage { label, layout, pipeline, skips_paints }),
        }
    }

    /// The bindings: banks, then jobs or stacks, paints, masks or output, numbers.
    pub fn bind(&self, gpu: &Gpu, pool: &Pool, [jobs, paints, data, params]: [&Growing; 4]) -> wgpu::BindGroup {
        let banks = pool.buffers();
        let mut entries: Vec<_> = banks.iter().copied().enumerate().collect();
        entries.push((4, jobs.buffer()));
        if !self.skips_paints {
            entries.push((5, paints.buffer()));
        }
        entries.extend([(6, data.buffer()), (7, params.buffer())]);
        let entries: Vec<_> = entries
            .into_iter()
            .map(|(binding, buffer)| wgpu::BindGroupEntry {
                binding: binding as u32,
                resource: buffer.as_entire_binding(),
            })
            .collect();
        gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some(self.label),
            layout: &self.layout,
            entries: &entries,
        })
    }

    /// Records one dispatch of `jobs` x `slices` workgroups.
    pub fn record(&self, encoder: &mut wgpu::CommandEncoder, bind: &wgpu::BindGroup, (jobs, slices): (u32, u32)) {
        let mut pass = encoder
            .begin_compute_pass(&wgpu::ComputePassDescriptor { label: Some(self.label), timestamp_writes: None });
        pass.set_pipeline(&self.pipeline);
        pass.set_bind_group(0, bind, &[]);
        pass.dispatch_workgroups(jobs, slices, 1);
    }

    /// Runs the kernel once.
    pub fn dispatch(&self, gpu: &Gpu, pool: &Pool, buffers: [&Growing; 4], groups: (u32, u32)) {
        let bind = self.bind(gpu, pool, buffers);
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        self.record(&mut encoder, &bind, groups);
        gpu.queue.submit([encoder.finish()]);
    }
}
