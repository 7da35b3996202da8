//! The last step of a frame: what was drawn is brought into the colours of the display.

use super::damage::WindowRect;
use super::retained_frame::Target;
use stint_model::display::{DisplayTable, SIDE};

/// The step, for one display.
pub(super) struct DisplayPass {
    pipeline: wgpu::RenderPipeline,
    layout: wgpu::BindGroupLayout,
    table: wgpu::TextureView,
    /// The picture in the colours of the display.
    shown: wgpu::Texture,
    view: wgpu::TextureView,
}

impl DisplayPass {
    /// For pictures of a kind.
    pub fn new(device: &wgpu::Device, queue: &wgpu::Queue, table: &DisplayTable, target: Target) -> Self {
        let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: Some("display"),
            source: wgpu::ShaderSource::Wgsl(stint_render::gpu::source::display().into()),
        });
        let read = |binding, view_dimension| wgpu::BindGroupLayoutEntry {
            binding,
            visibility: wgpu::ShaderStages::FRAGMENT,
            ty: wgpu::BindingType::Texture {
                sample_type: wgpu::TextureSampleType::Float { filterable: false },
                view_dimension,
                multisampled: false,
            },
            count: None,
        };
        let entries = [read(0, wgpu::TextureViewDimension::D2), read(1, wgpu::TextureViewDimension::D3)];
        let label = Some("display");
        let layout = device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor { label, entries: &entries });
        let pipeline_layout = device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label,
            bind_group_layouts: &[Some(&layout)],
            immediate_size: 0,
        });
        let pipeline = device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
            label,
            layout: Some(&pipeline_layout),
            vertex: wgpu::VertexState {
                module: &module,
                entry_point: Some("cover"),
                buffers: &[],
                compilation_options: Default::default(),
            },
            primitive: wgpu::PrimitiveState::default(),
            depth_stencil: None,
            multisample: wgpu::MultisampleState::default(),
            fragment: Some(wgpu::FragmentState {
                module: &module,
                entry_point: Some("display"),
                targets: &[Some(target.format.remove_srgb_suffix().into())],
                compilation_options: Default::default(),
            }),
            multiview_mask: None,
            cache: None,
        });
        let side = u32::try_from(SIDE).unwrap_or(u32::MAX);
        let size = wgpu::Extent3d { width: side, height: side, depth_or_array_layers: side };
        let nodes = device.create_texture(&wgpu::TextureDescriptor {
            label,
            size,
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D3,
            format: wgpu::TextureFormat::Rgba32Float,
            usage: wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_DST,
            view_formats: &[],
        });
        let rows =
            wgpu::TexelCopyBufferLayout { offset: 0, bytes_per_row: Some(16 * side), rows_per_image: Some(side) };
        queue.write_texture(nodes.as_image_copy(), bytemuck::cast_slice(table.nodes()), rows, size);
        let (shown, view) = picture(device, target);
        let table = nodes.create_view(&wgpu::TextureViewDescriptor::default());
        DisplayPass { pipeline, layout, table, shown, view }
    }

    /// Pictures are of another size now.
    pub fn resize(&mut self, device: &wgpu::Device, target: Target) {
        (self.shown, self.view) = picture(device, target);
    }

    /// Converts parts of a picture; the others are as they were converted last.
    pub fn convert(
        &self,
        device: &wgpu::Device,
        encoder: &mut wgpu::CommandEncoder,
        drawn: &wgpu::Texture,
        parts: &[WindowRect],
    ) {
        let drawn = codes_of(drawn);
        let resource = wgpu::BindingResource::TextureView;
        let bound = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("display"),
            layout: &self.layout,
            entries: &[
                wgpu::BindGroupEntry { binding: 0, resource: resource(&drawn) },
                wgpu::BindGroupEntry { binding: 1, resource: resource(&self.table) },
            ],
        });
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("display"),
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &self.view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations { load: wgpu::LoadOp::Load, store: wgpu::StoreOp::Store },
            })],
            ..Default::default()
        });
        pass.set_pipeline(&self.pipeline);
        pass.set_bind_group(0, &bound, &[]);
        for part in parts {
            pass.set_scissor_rect(part.left, part.top, part.right - part.left, part.bottom - part.top);
            pass.draw(0..3, 0..1);
        }
    }

    /// The picture in the colours of the display.
    pub fn shown(&self) -> &wgpu::Texture {
        &self.shown
    }
}

fn picture(device: &wgpu::Device, target: Target) -> (wgpu::Texture, wgpu::TextureView) {
    let shown = target.texture(device);
    let view = codes_of(&shown);
    (shown, view)
}

/// The codes of a texture as they are stored, whether or not its format says that they are encoded.
fn codes_of(texture: &wgpu::Texture) -> wgpu::TextureView {
    let format = Some(texture.format().remove_srgb_suffix());
    texture.create_view(&wgpu::TextureViewDescriptor { format, ..Default::default() })
}
