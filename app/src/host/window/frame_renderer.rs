//! What the window shows, drawn on a graphics device: the canvas and egui's panels. It knows no window.

use super::damage::WindowRect;
use super::display_pass::DisplayPass;
use super::retained_frame::RetainedFrame;
pub use super::retained_frame::Target;
use crate::study::session::Session;
use crate::ui::canvas_view::transform::{Area, View};
use crate::ui::canvas_view::{CanvasView, DisplayOptions, PreparedFrame};
use crate::ui::stale::Stale;
use egui::epaint::ImageDelta;
use egui::epaint::textures::TexturesDelta;
use egui_wgpu::{Renderer, RendererOptions, ScreenDescriptor};
use std::collections::BTreeSet;
use stint_model::display::DisplayTable;
use stint_render::engine::EngineError;

/// What one frame shows.
pub struct Picture<'a> {
    /// From egui.
    pub jobs: Vec<egui::ClippedPrimitive>,
    /// Textures of egui that have another content than in the frame before.
    pub changed: BTreeSet<egui::TextureId>,
    /// Window pixels per logical point.
    pub pixels_per_point: f32,
    /// Grey behind everything, 8-bit sRGB code.
    pub ground: u8,
    /// The canvas, if there is one.
    pub canvas: Option<CanvasPicture<'a>>,
}

/// The canvas of one frame.
pub struct CanvasPicture<'a> {
    /// The study.
    pub session: &'a mut Session,
    /// How it lies in the window.
    pub view: &'a View,
    /// How it is looked at.
    pub seen: DisplayOptions<'a>,
    /// Tiles to be brought in.
    pub stale: &'a mut Stale,
}

/// What draws.
pub struct FrameRenderer {
    device: wgpu::Device,
    queue: wgpu::Queue,
    renderer: Renderer,
    canvas: CanvasView,
    retained: RetainedFrame,
    target: Target,
    /// The last step, where the display has colours of its own.
    display: Option<DisplayPass>,
}

impl FrameRenderer {
    /// For targets of a kind.
    pub fn new(device: wgpu::Device, queue: wgpu::Queue, target: Target) -> Self {
        let options = RendererOptions { dithering: false, ..RendererOptions::default() };
        let renderer = Renderer::new(&device, target.format, options);
        let canvas = CanvasView::new(&device, target.format);
        let retained = RetainedFrame::new(&device, target);
        FrameRenderer { device, queue, renderer, canvas, retained, target, display: None }
    }

    /// The device.
    pub fn device(&self) -> &wgpu::Device {
        &self.device
    }

    /// Its queue.
    pub fn queue(&self) -> &wgpu::Queue {
        &self.queue
    }

    /// Largest side of a texture.
    pub fn texture_limit(&self) -> u32 {
        self.device.limits().max_texture_dimension_2d
    }

    /// Targets are of another size now.
    pub fn resize(&mut self, target: Target) {
        self.retained = RetainedFrame::new(&self.device, target);
        self.target = target;
        if let Some(display) = &mut self.display {
            display.resize(&self.device, target);
        }
    }

    /// Everything is converted for a display from now on, or shown as sRGB.
    pub fn set_display(&mut self, table: Option<&DisplayTable>) {
        self.display = table.map(|table| DisplayPass::new(&self.device, &self.queue, table, self.target));
        self.retained.invalidate();
    }

    /// Another study is shown from now on.
    pub fn reset_canvas(&mut self) {
        self.canvas.reset();
        self.retained.invalidate();
    }

    /// What was drawn last was not shown: the next frame draws everything.
    pub fn invalidate(&mut self) {
        self.retained.invalidate();
    }

    /// Gives a new device the textures of egui.
    pub fn set_whole_textures<'a>(&mut self, textures: impl Iterator<Item = (egui::TextureId, ImageDelta)> + 'a) {
        for (id, image) in textures {
            self.renderer.update_texture(&self.device, &self.queue, id, &image);
        }
    }

    /// Takes over what egui changed of its textures. Must be called for every frame of egui, drawn or not.
    #[expect(clippy::iter_over_hash_type, reason = "each texture is set by itself; their order changes nothing")]
    pub fn set_textures(&mut self, delta: &TexturesDelta) {
        for (&id, changes) in &delta.set {
            for change in changes {
                self.renderer.update_texture(&self.device, &self.queue, id, change);
            }
        }
    }

    /// Lets go of textures that egui no longer uses; after the frame that used them last.
    #[expect(clippy::iter_over_hash_type, reason = "each texture is freed by itself; their order changes nothing")]
    pub fn free_textures(&mut self, delta: &TexturesDelta) {
        for id in &delta.free {
            self.renderer.free_texture(id);
        }
    }

    /// Draws one frame. Tells how many tiles of the canvas could not be brought up to date in it.
    ///
    /// # Errors
    /// When the engine of the study fails; the frame is drawn without the canvas then.
    pub fn draw(&mut self, picture: Picture<'_>, target: &wgpu::Texture) -> Result<usize, EngineError> {
        let size = [target.width(), target.height()];
        let descriptor = ScreenDescriptor { size_in_pixels: size, pixels_per_point: picture.pixels_per_point };
        let mut encoder = self.device.create_command_encoder(&Default::default());
        let Picture { mut jobs, changed, pixels_per_point, ground, canvas } = picture;
        let mut commands = self.renderer.update_buffers(&self.device, &self.queue, &mut encoder, &jobs, &descriptor);
        let shown = canvas.as_ref().map(|c| (c.view, c.seen));
        let prepared = canvas.map(|c| {
            let device = (&self.device, &self.queue);
            self.canvas.frame(device, &mut encoder, c.session.canvas(), c.view, c.seen, c.stale)
        });
        let (prepared, failed) = match prepared.transpose() {
            Ok(prepared) => (prepared, None),
            Err(error) => (None, Some(error)),
        };
        let tiles = prepared.as_ref().map_or(&[][..], |p| &p.changed);
        let seen = shown.map(|(view, seen)| (view, seen, tiles));
        let mut damage = self.retained.damage(&jobs, &changed, pixels_per_point, ground, seen);
        if failed.is_some() {
            damage.all();
        }
        let missing = prepared.as_ref().map_or(0, |p| p.missing);
        let frame = prepared
            .zip(shown)
            .and_then(|(PreparedFrame { frame, .. }, (view, _))| Some((clipped_area(view.area, size)?, frame)));
        let plain = self.canvas.plain(&self.device, &self.queue, ground, frame.as_ref().map(|(_, of)| of));
        let load = if damage.is_all() { wgpu::LoadOp::Clear(wgpu::Color::BLACK) } else { wgpu::LoadOp::Load };
        let mut pass = encoder
            .begin_render_pass(&wgpu::RenderPassDescriptor {
                label: Some("window"),
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: self.retained.view(),
                    depth_slice: None,
                    resolve_target: None,
                    ops: wgpu::Operations { load, store: wgpu::StoreOp::Store },
                })],
                ..Default::default()
            })
            .forget_lifetime();
        let clips: Vec<_> = jobs.iter().map(|job| job.clip_rect).collect();
        for &rect in damage.rects() {
            let scissor = |pass: &mut wgpu::RenderPass<'_>, p: WindowRect| {
                pass.set_scissor_rect(p.left, p.top, p.right - p.left, p.bottom - p.top);
            };
            let seen = frame.as_ref().and_then(|(area, of)| Some((rect.within(*area)?, of)));
            if seen.as_ref().is_none_or(|(within, _)| *within != rect) {
                scissor(&mut pass, rect);
                self.canvas.draw_plain(&mut pass, &plain);
            }
            if let Some((within, of)) = seen {
                scissor(&mut pass, within);
                self.canvas.draw(&mut pass, of);
            }
            let points = |v: u32| v as f32 / pixels_per_point;
            let corner = egui::pos2(points(rect.left), points(rect.top));
            let clip = egui::Rect::from_min_max(corner, egui::pos2(points(rect.right), points(rect.bottom)));
            for (job, own) in jobs.iter_mut().zip(&clips) {
                job.clip_rect = own.intersect(clip);
                // egui's renderer wants rectangles that are not inside out.
                if !job.clip_rect.is_positive() {
                    job.clip_rect = egui::Rect::from_min_size(corner, egui::Vec2::ZERO);
                }
            }
            self.renderer.render(&mut pass, &jobs, &descriptor);
        }
        drop(pass);
        for (job, own) in jobs.iter_mut().zip(clips) {
            job.clip_rect = own;
        }
        if let Some(display) = &self.display {
            display.convert(&self.device, &mut encoder, self.retained.texture(), damage.rects());
        }
        let converted = self.display.as_ref().map(DisplayPass::shown);
        self.retained.show(&self.device, &mut encoder, converted, target, jobs);
        if failed.is_some() {
            self.retained.invalidate();
        }
        commands.push(encoder.finish());
        self.queue.submit(commands);
        failed.map_or(Ok(missing), Err)
    }

    /// Waits until everything handed to the device is done: for measuring.
    pub fn wait(&self) {
        // A device that cannot be waited for is lost, and the next frame will say so.
        let _ = self.device.poll(wgpu::PollType::wait_indefinitely());
    }
}

/// The window pixels of the view's area inside the window; none when nothing of it shows.
pub(super) fn clipped_area(area: Area, [width, height]: [u32; 2]) -> Option<WindowRect> {
    #[expect(clippy::cast_possible_truncation, reason = "clamped to the window")]
    let clip = |v: f64, most: u32| v.round().clamp(0.0, f64::from(most)) as u32;
    let (left, top) = (clip(area.left, width), clip(area.top, height));
    let (right, bottom) = (clip(area.left + area.width, width), clip(area.top + area.height, height));
    (right > left && bottom > top).then_some(WindowRect { left, top, right, bottom })
}
