//! Pipelines and bindings of the kernels.

use super::buffers::GrowingBuffer;
use super::device::Gpu;
use super::layout::BANKS;
use super::pool::Pool;
use super::source::{Kernel, Paints, Planes};
use super::trusted;
use crate::engine::EngineError;

/// Bindings after those of the banks, which take 0 to 3: jobs or stacks.
const JOBS_BINDING: u32 = 4;
/// Records or latent points of the paints; not there in kernels that leave paints unread.
const PAINTS_BINDING: u32 = 5;
/// Masks, read, where planes are written; the output, read, where a texture is; else the output, written.
const DATA_BINDING: u32 = 6;
/// `Params` of `shaders/common/params.wgsl`.
const PARAMS_BINDING: u32 = 7;
/// The texture that is drawn, in kernels that write one.
const TARGET_BINDING: u32 = 8;
/// Its format as kernels write it; it is drawn as what it encodes.
pub const TARGET_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba8Unorm;

/// What a kernel reads and writes beside the banks.
pub struct Buffers<'a> {
    /// Jobs of a commit, or stacks.
    pub jobs: &'a GrowingBuffer,
    /// Records or latent points of the paints.
    pub paints: &'a GrowingBuffer,
    /// Masks or output.
    pub data: &'a GrowingBuffer,
    /// Numbers of the dispatch.
    pub params: &'a GrowingBuffer,
    /// The texture that is drawn, for kernels that write one.
    pub target: Option<&'a wgpu::TextureView>,
}

/// One kernel on a device.
pub struct Pipeline {
    kernel: Kernel,
    layout: wgpu::BindGroupLayout,
    pipeline: wgpu::ComputePipeline,
}

/// All kernels on a device.
pub struct Pipelines(Vec<Pipeline>);

impl Pipelines {
    /// Compiles all kernels.
    ///
    /// # Errors
    /// When the device refuses one.
    pub fn new(gpu: &Gpu) -> Result<Self, EngineError> {
        Ok(Pipelines(Kernel::ALL.into_iter().map(|kernel| Pipeline::new(gpu, kernel)).collect::<Result<_, _>>()?))
    }

    /// The pipeline of one kernel.
    pub fn of(&self, kernel: Kernel) -> &Pipeline {
        // Made in the order of `Kernel::ALL`, which is that of the variants.
        &self.0[kernel as usize]
    }
}

impl Pipeline {
    fn new(gpu: &Gpu, kernel: Kernel) -> Result<Self, EngineError> {
        let label = kernel.name();
        let scope = gpu.device.push_error_scope(wgpu::ErrorFilter::Validation);
        let module = trusted::shader_module(gpu, label, &kernel.text());
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
        let (banks, data_is_read) = match kernel.planes() {
            Planes::Read => (JOBS_BINDING, false),
            Planes::Written => (JOBS_BINDING, true),
            Planes::Unbound => (0, true),
        };
        let mut entries: Vec<_> = (0..banks).map(|bank| storage(bank, kernel.planes() != Planes::Written)).collect();
        entries.push(storage(JOBS_BINDING, true));
        if kernel.paints() == Paints::Read {
            entries.push(storage(PAINTS_BINDING, true));
        }
        entries.push(storage(DATA_BINDING, data_is_read));
        entries.push(wgpu::BindGroupLayoutEntry {
            ty: wgpu::BindingType::Buffer {
                ty: wgpu::BufferBindingType::Uniform,
                has_dynamic_offset: false,
                min_binding_size: None,
            },
            ..storage(PARAMS_BINDING, true)
        });
        if kernel.planes() == Planes::Unbound {
            entries.push(wgpu::BindGroupLayoutEntry {
                ty: wgpu::BindingType::StorageTexture {
                    access: wgpu::StorageTextureAccess::WriteOnly,
                    format: TARGET_FORMAT,
                    view_dimension: wgpu::TextureViewDimension::D2,
                },
                ..storage(TARGET_BINDING, true)
            });
        }
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
            None => Ok(Pipeline { kernel, layout, pipeline }),
        }
    }

    /// The bind group for the banks as they are now and some buffers.
    pub fn bind(&self, gpu: &Gpu, pool: &Pool, buffers: &Buffers<'_>) -> wgpu::BindGroup {
        let banks = if self.kernel.planes() == Planes::Unbound { 0 } else { JOBS_BINDING };
        let mut bound: Vec<(u32, &wgpu::Buffer)> = (0..banks).zip(pool.buffers()).collect();
        bound.push((JOBS_BINDING, buffers.jobs.buffer()));
        if self.kernel.paints() == Paints::Read {
            bound.push((PAINTS_BINDING, buffers.paints.buffer()));
        }
        bound.extend([(DATA_BINDING, buffers.data.buffer()), (PARAMS_BINDING, buffers.params.buffer())]);
        let target = buffers.target.map(|view| wgpu::BindGroupEntry {
            binding: TARGET_BINDING,
            resource: wgpu::BindingResource::TextureView(view),
        });
        let entries: Vec<_> = bound
            .iter()
            .map(|&(binding, buffer)| wgpu::BindGroupEntry { binding, resource: buffer.as_entire_binding() })
            .chain(target)
            .collect();
        gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some(self.kernel.name()),
            layout: &self.layout,
            entries: &entries,
        })
    }

    /// Records one dispatch: a column of workgroups for each job, as many as share the tile.
    pub fn record(
        &self,
        encoder: &mut wgpu::CommandEncoder,
        bindings: &wgpu::BindGroup,
        workgroups: [u32; 2],
        timestamp_writes: Option<wgpu::ComputePassTimestampWrites<'_>>,
    ) {
        let label = Some(self.kernel.name());
        let mut pass = encoder.begin_compute_pass(&wgpu::ComputePassDescriptor { label, timestamp_writes });
        pass.set_pipeline(&self.pipeline);
        pass.set_bind_group(0, bindings, &[]);
        pass.dispatch_workgroups(workgroups[0], workgroups[1], 1);
    }
}

const _: () = assert!(JOBS_BINDING as usize == BANKS);
