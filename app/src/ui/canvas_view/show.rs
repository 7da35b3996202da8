//! The pipelines that draw the canvas: `shaders/show.wgsl` and what it is told.

use std::sync::Arc;
use stint_model::colour::Colour;
use stint_model::comparison::PhotoCells;

/// What the shader is told. Mirror: `Show` in `shaders/show.wgsl`.
#[derive(Clone, Copy, PartialEq, Debug, Default, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(C)]
pub struct ShowUniforms {
    /// Canvas x of a window point: dot with (x, y, 1).
    pub row_x: [f32; 4],
    /// Canvas y.
    pub row_y: [f32; 4],
    /// Canvas, pixels.
    pub size: [f32; 2],
    /// Torus, texels.
    pub torus: [f32; 2],
    /// Canvas pixels per texel.
    pub texel: f32,
    /// Window pixels per canvas pixel.
    pub scale: f32,
    /// Encoded grey, 0-1.
    pub surround: f32,
    /// 0 colour, 1 value, 2 two-tone, 3 difference of value from the photo.
    pub look: u32,
    /// L*, 0-100, ascending.
    pub thresholds: [f32; 4],
    /// How many values, 2-5.
    pub values: f32,
    /// 1 when all but the lit swatch recedes.
    pub lit: u32,
    /// 1 when the target encodes sRGB itself.
    pub target_encodes: u32,
    /// 1 for the nearest texel.
    pub nearest: u32,
    /// Window x and y of offscreen texel (0,0), window pixels per offscreen texel, standard deviation in offscreen texels.
    pub blur: [f32; 4],
    /// Offscreen picture, texels.
    pub blur_size: [f32; 2],
    /// How much lighter the whole painting is than the photo, L*.
    pub shift: f32,
    /// Not used.
    pub spare: f32,
}

/// The photo's values: L* in hundredths, and whether there is a photo.
const PHOTO_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rg8Unorm;
/// Pictures that the blur is worked out in: linear light with cover.
const BLUR_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba16Float;

/// The pipelines that draw the canvas into the window, with their layouts and uniform buffer.
pub struct Show {
    words: wgpu::Buffer,
    tiles_layout: wgpu::BindGroupLayout,
    source_layout: wgpu::BindGroupLayout,
    wrapping: wgpu::Sampler,
    clamping: wgpu::Sampler,
    /// Stands in where no swatch is lit.
    no_shares: wgpu::TextureView,
    /// The photo under the canvas, and what it was made from.
    photo: (Option<Arc<PhotoCells>>, wgpu::TextureView),
    plain: wgpu::RenderPipeline,
    direct: wgpu::RenderPipeline,
    gather: wgpu::RenderPipeline,
    blur_x: wgpu::RenderPipeline,
    blur_y: wgpu::RenderPipeline,
    blurred: wgpu::RenderPipeline,
    /// Two pictures of one size, used in turn.
    pictures: Option<(wgpu::Extent3d, [wgpu::TextureView; 2])>,
}

/// One frame of the canvas, ready to be drawn.
pub struct Frame {
    tiles: wgpu::BindGroup,
    /// The blurred picture, when there is one.
    source: Option<wgpu::BindGroup>,
}

impl Frame {
    /// The same without its blurred picture.
    pub fn without_blur(&self) -> Frame {
        Frame { tiles: self.tiles.clone(), source: None }
    }
}

impl Show {
    /// Makes the pipelines for a target format.
    pub fn new(device: &wgpu::Device, target: wgpu::TextureFormat) -> Self {
        let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: Some("show"),
            source: wgpu::ShaderSource::Wgsl(stint_render::gpu::source::show().into()),
        });
        let texture = |binding: u32| wgpu::BindGroupLayoutEntry {
            binding,
            visibility: wgpu::ShaderStages::FRAGMENT,
            ty: wgpu::BindingType::Texture {
                sample_type: wgpu::TextureSampleType::Float { filterable: true },
                view_dimension: wgpu::TextureViewDimension::D2,
                multisampled: false,
            },
            count: None,
        };
        let sampler = |binding: u32| wgpu::BindGroupLayoutEntry {
            ty: wgpu::BindingType::Sampler(wgpu::SamplerBindingType::Filtering),
            ..texture(binding)
        };
        let words = wgpu::BindGroupLayoutEntry {
            ty: wgpu::BindingType::Buffer {
                ty: wgpu::BufferBindingType::Uniform,
                has_dynamic_offset: false,
                min_binding_size: None,
            },
            ..texture(0)
        };
        let layout = |entries: &[wgpu::BindGroupLayoutEntry]| {
            device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor { label: Some("show"), entries })
        };
        let tiles_layout = layout(&[words, texture(1), texture(2), sampler(3), texture(4)]);
        let source_layout = layout(&[texture(0), sampler(1)]);
        let pipeline = |entry: &'static str, format: wgpu::TextureFormat, reads_source: bool| {
            let groups = [Some(&tiles_layout), Some(&source_layout)];
            let pipeline_layout = device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
                label: Some(entry),
                bind_group_layouts: if reads_source { &groups } else { &groups[..1] },
                immediate_size: 0,
            });
            device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
                label: Some(entry),
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
                    entry_point: Some(entry),
                    targets: &[Some(format.into())],
                    compilation_options: Default::default(),
                }),
                multiview_mask: None,
                cache: None,
            })
        };
        let plain = pipeline("plain", target, false);
        let (direct, gather) = (pipeline("direct", target, false), pipeline("gather", BLUR_FORMAT, false));
        let (blur_x, blur_y) = (pipeline("blur_x", BLUR_FORMAT, true), pipeline("blur_y", BLUR_FORMAT, true));
        let blurred = pipeline("blurred", target, true);
        let sampler = |address_mode: wgpu::AddressMode| {
            device.create_sampler(&wgpu::SamplerDescriptor {
                label: Some("show"),
                address_mode_u: address_mode,
                address_mode_v: address_mode,
                mag_filter: wgpu::FilterMode::Linear,
                min_filter: wgpu::FilterMode::Linear,
                ..Default::default()
            })
        };
        let words = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("show"),
            size: size_of::<ShowUniforms>() as u64,
            usage: wgpu::BufferUsages::UNIFORM | wgpu::BufferUsages::COPY_DST,
            mapped_at_creation: false,
        });
        let one = wgpu::Extent3d { width: 1, height: 1, depth_or_array_layers: 1 };
        let no_shares = picture(device, one, wgpu::TextureFormat::R8Unorm, wgpu::TextureUsages::TEXTURE_BINDING);
        let no_photo = picture(device, one, PHOTO_FORMAT, wgpu::TextureUsages::TEXTURE_BINDING);
        let (wrapping, clamping) = (sampler(wgpu::AddressMode::Repeat), sampler(wgpu::AddressMode::ClampToEdge));
        Show {
            words,
            tiles_layout,
            source_layout,
            wrapping,
            clamping,
            no_shares,
            photo: (None, no_photo),
            plain,
            direct,
            gather,
            blur_x,
            blur_y,
            blurred,
            pictures: None,
        }
    }

    #[expect(clippy::cast_possible_truncation, reason = "held to 0-255")]
    /// Takes the photo that the canvas is held against, unless it is there already.
    pub fn take_photo(&mut self, device: &wgpu::Device, queue: &wgpu::Queue, cells: &Arc<PhotoCells>) {
        if self.photo.0.as_ref().is_some_and(|known| Arc::ptr_eq(known, cells)) {
            return;
        }
        let size = wgpu::Extent3d { width: cells.width, height: cells.height, depth_or_array_layers: 1 };
        let usage = wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_DST;
        let texture = texture(device, size, PHOTO_FORMAT, usage);
        let texel = |colour: &Option<Colour>| match colour {
            Some(colour) => [(colour.l_star() * 2.55).round().clamp(0.0, 255.0) as u8, 255],
            None => [0, 0],
        };
        let texels: Vec<[u8; 2]> = cells.colours.iter().map(texel).collect();
        let layout =
            wgpu::TexelCopyBufferLayout { offset: 0, bytes_per_row: Some(2 * cells.width), rows_per_image: None };
        queue.write_texture(texture.as_image_copy(), texels.as_flattened(), layout, size);
        self.photo = (Some(cells.clone()), texture.create_view(&wgpu::TextureViewDescriptor::default()));
    }

    /// Prepares one frame; when `words` ask for a blur, it is worked out through `encoder`.
    pub fn frame(
        &mut self,
        device: &wgpu::Device,
        queue: &wgpu::Queue,
        encoder: &mut wgpu::CommandEncoder,
        words: &ShowUniforms,
        (colours, shares): (&wgpu::TextureView, Option<&wgpu::TextureView>),
    ) -> Frame {
        queue.write_buffer(&self.words, 0, bytemuck::bytes_of(words));
        let tiles = self.bind_tiles(device, colours, shares);
        if words.blur[3] <= 0.0 {
            return Frame { tiles, source: None };
        }
        #[expect(clippy::cast_possible_truncation, reason = "a whole number of texels")]
        let [width, height] = words.blur_size.map(|v| v as u32);
        let size = wgpu::Extent3d { width, height, depth_or_array_layers: 1 };
        if self.pictures.as_ref().is_none_or(|(old, _)| *old != size) {
            let usage = wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::RENDER_ATTACHMENT;
            self.pictures = Some((size, [(); 2].map(|()| picture(device, size, BLUR_FORMAT, usage))));
        }
        let Some((_, [first, second])) = &self.pictures else { return Frame { tiles, source: None } };
        let source = |of| {
            device.create_bind_group(&wgpu::BindGroupDescriptor {
                label: Some("show"),
                layout: &self.source_layout,
                entries: &[view(0, of), sampler(1, &self.clamping)],
            })
        };
        let sources = [source(first), source(second)];
        let steps = [(&self.gather, None, first), (&self.blur_x, Some(0), second), (&self.blur_y, Some(1), first)];
        for (pipeline, from, to) in steps {
            let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: Some("squint"),
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: to,
                    depth_slice: None,
                    resolve_target: None,
                    ops: wgpu::Operations {
                        load: wgpu::LoadOp::Clear(wgpu::Color::TRANSPARENT),
                        store: wgpu::StoreOp::Store,
                    },
                })],
                ..Default::default()
            });
            pass.set_pipeline(pipeline);
            pass.set_bind_group(0, &tiles, &[]);
            if let Some(from) = from {
                pass.set_bind_group(1, &sources[from as usize], &[]);
            }
            pass.draw(0..3, 0..1);
        }
        let [source, _] = sources;
        Frame { tiles, source: Some(source) }
    }

    /// Prepares a plain fill with the surround of `words`.
    pub fn plain(&self, device: &wgpu::Device, queue: &wgpu::Queue, words: &ShowUniforms) -> Frame {
        queue.write_buffer(&self.words, 0, bytemuck::bytes_of(words));
        Frame { tiles: self.bind_tiles(device, &self.no_shares, None), source: None }
    }

    fn bind_tiles(
        &self,
        device: &wgpu::Device,
        colours: &wgpu::TextureView,
        shares: Option<&wgpu::TextureView>,
    ) -> wgpu::BindGroup {
        device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("show"),
            layout: &self.tiles_layout,
            entries: &[
                wgpu::BindGroupEntry { binding: 0, resource: self.words.as_entire_binding() },
                view(1, colours),
                view(2, shares.unwrap_or(&self.no_shares)),
                sampler(3, &self.wrapping),
                view(4, &self.photo.1),
            ],
        })
    }

    /// Draws a plain fill.
    pub fn draw_plain(&self, pass: &mut wgpu::RenderPass<'_>, plain: &Frame) {
        pass.set_pipeline(&self.plain);
        pass.set_bind_group(0, &plain.tiles, &[]);
        pass.draw(0..3, 0..1);
    }

    /// Draws a frame into a pass; the caller has set the scissor to the area.
    pub fn draw(&self, pass: &mut wgpu::RenderPass<'_>, frame: &Frame) {
        pass.set_pipeline(if frame.source.is_some() { &self.blurred } else { &self.direct });
        pass.set_bind_group(0, &frame.tiles, &[]);
        if let Some(source) = &frame.source {
            pass.set_bind_group(1, source, &[]);
        }
        pass.draw(0..3, 0..1);
    }
}

fn view(binding: u32, view: &wgpu::TextureView) -> wgpu::BindGroupEntry<'_> {
    wgpu::BindGroupEntry { binding, resource: wgpu::BindingResource::TextureView(view) }
}

fn sampler(binding: u32, sampler: &wgpu::Sampler) -> wgpu::BindGroupEntry<'_> {
    wgpu::BindGroupEntry { binding, resource: wgpu::BindingResource::Sampler(sampler) }
}

fn picture(
    device: &wgpu::Device,
    size: wgpu::Extent3d,
    format: wgpu::TextureFormat,
    usage: wgpu::TextureUsages,
) -> wgpu::TextureView {
    texture(device, size, format, usage).create_view(&wgpu::TextureViewDescriptor::default())
}

fn texture(
    device: &wgpu::Device,
    size: wgpu::Extent3d,
    format: wgpu::TextureFormat,
    usage: wgpu::TextureUsages,
) -> wgpu::Texture {
    device.create_texture(&wgpu::TextureDescriptor {
        label: Some("show"),
        size,
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format,
        usage,
        view_formats: &[],
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::mem::offset_of;

    #[test]
    fn rust_and_wgsl_agree() {
        let module = naga::front::wgsl::parse_str(&stint_render::gpu::source::show()).unwrap();
        let (_, found) = module.types.iter().find(|(_, t)| t.name.as_deref() == Some("Show")).unwrap();
        let naga::TypeInner::Struct { members, span } = &found.inner else { panic!("Show is no struct") };
        let wgsl: Vec<_> = members.iter().map(|m| (m.name.clone().unwrap(), m.offset as usize)).collect();
        macro_rules! offsets { ($($member:ident),*) => { vec![$((stringify!($member).to_owned(), offset_of!(ShowUniforms, $member))),*] } }
        let rust = offsets![
            row_x,
            row_y,
            size,
            torus,
            texel,
            scale,
            surround,
            look,
            thresholds,
            values,
            lit,
            target_encodes,
            nearest,
            blur,
            blur_size,
            shift,
            spare
        ];
        assert_eq!(wgsl, rust);
        assert_eq!(*span as usize, size_of::<ShowUniforms>());
    }
}
