//! The graphics device of the window: surface, egui's renderer and the canvas.

use super::WindowError;
use super::atlas::Atlas;
use super::damage::Part;
use super::kept::Kept;
use crate::canvas_view::transform::{Area, View};
use crate::canvas_view::{CanvasView, Seen};
use crate::session::Session;
use crate::state::Stale;
use egui::epaint::textures::TexturesDelta;
use egui_wgpu::{Renderer, RendererOptions, ScreenDescriptor};
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};
use stint_render::engine::EngineError;
use winit::event_loop::OwnedDisplayHandle;
use winit::raw_window_handle::HasDisplayHandle;
use winit::window::Window;

/// A surface that gives no picture this often in a row is given up, with its device.
const MOST_TRIES: u32 = 20;

/// Whether the frame is on the screen.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// It is.
    Presented,
    /// The window cannot be seen now; it will ask again.
    Hidden,
    /// Not yet: try again soon.
    Again,
    /// The device is gone: make a new screen.
    Lost,
}

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
    pub seen: Seen<'a>,
    /// Tiles to be brought in.
    pub stale: &'a mut Stale,
}

/// The graphics device of a window.
pub struct Screen {
    instance: wgpu::Instance,
    surface: wgpu::Surface<'static>,
    device: wgpu::Device,
    queue: wgpu::Queue,
    config: wgpu::SurfaceConfiguration,
    renderer: Renderer,
    canvas: CanvasView,
    kept: Kept,
    /// How often in a row no picture could be had of the surface.
    tries: u32,
    fault: Arc<Mutex<Fault>>,
    window: Arc<dyn Window>,
}

/// What the device reported outside of a call.
#[derive(Default)]
struct Fault {
    lost: bool,
    /// First error, until it is told.
    text: Option<String>,
}

impl Screen {
    /// Opens the best device that can draw into the window: a real GPU if there is one, else a software driver.
    ///
    /// # Errors
    /// When there is none; the text tells which were seen.
    pub fn open(window: &Arc<dyn Window>, display: OwnedDisplayHandle, atlas: &Atlas) -> Result<Self, WindowError> {
        let mut refused = Vec::new();
        // GL only where nothing newer is: starting it costs time.
        for backends in [wgpu::Backends::PRIMARY, wgpu::Backends::GL] {
            let instance = wgpu::Instance::new(instance_descriptor(window, &display, backends));
            let surface = match instance.create_surface(window.clone()) {
                Ok(surface) => surface,
                Err(e) => {
                    refused.push(e.to_string());
                    continue;
                }
            };
            let mut adapters = pollster::block_on(instance.enumerate_adapters(backends));
            adapters.retain(|a| a.is_surface_supported(&surface));
            adapters.sort_by_key(|a| match a.get_info().device_type {
                wgpu::DeviceType::DiscreteGpu => 0,
                wgpu::DeviceType::IntegratedGpu => 1,
                wgpu::DeviceType::VirtualGpu => 2,
                wgpu::DeviceType::Other => 3,
                wgpu::DeviceType::Cpu => 4,
            });
            for adapter in adapters {
                let limits = wgpu::Limits::downlevel_defaults().using_resolution(adapter.limits());
                let request = adapter.request_device(&wgpu::DeviceDescriptor {
                    label: Some("window"),
                    required_limits: limits,
                    ..Default::default()
                });
                match pollster::block_on(request) {
                    Ok((device, queue)) => {
                        return Screen::with(instance, surface, &adapter, (device, queue), window, atlas);
                    }
                    Err(e) => refused.push(format!("{}: {e}", adapter.get_info().name)),
                }
            }
        }
        let seen = if refused.is_empty() { "none was found".to_owned() } else { refused.join("; ") };
        Err(WindowError::NoDevice(seen))
    }

    fn with(
        instance: wgpu::Instance,
        surface: wgpu::Surface<'static>,
        adapter: &wgpu::Adapter,
        (device, queue): (wgpu::Device, wgpu::Queue),
        window: &Arc<dyn Window>,
        atlas: &Atlas,
    ) -> Result<Self, WindowError> {
        let name = adapter.get_info().name;
        let offered = surface.get_capabilities(adapter);
        // egui and the canvas both encode sRGB themselves, so a target that does not is better.
        let format = offered.formats.iter().find(|f| !f.is_srgb()).or(offered.formats.first());
        let format = *format.ok_or_else(|| WindowError::NoDevice(format!("{name} offers no format for the window")))?;
        let size = window.surface_size();
        let config = surface.get_default_config(adapter, size.width.max(1), size.height.max(1));
        let Some(mut config) = config else {
            return Err(WindowError::NoDevice(format!("{name} cannot draw into the window")));
        };
        config.format = format;
        // The newest frame at once and no tearing where it is offered; one frame in waiting elsewhere.
        let modes = &offered.present_modes;
        config.present_mode = if modes.contains(&wgpu::PresentMode::Mailbox) {
            wgpu::PresentMode::Mailbox
        } else {
            wgpu::PresentMode::Fifo
        };
        config.desired_maximum_frame_latency = 1;
        // Copying the kept picture is cheaper than drawing it.
        config.usage |= offered.usages & wgpu::TextureUsages::COPY_DST;
        let fault = Arc::new(Mutex::new(Fault::default()));
        let (lost, failed) = (fault.clone(), fault.clone());
        device.set_device_lost_callback(move |_, _| {
            if let Ok(mut fault) = lost.lock() {
                fault.lost = true;
            }
        });
        device.on_uncaptured_error(Arc::new(move |error: wgpu::Error| {
            if let Ok(mut fault) = failed.lock() {
                fault.text.get_or_insert(error.to_string());
            }
        }));
        surface.configure(&device, &config);
        let options = RendererOptions { dithering: false, ..RendererOptions::default() };
        let mut renderer = Renderer::new(&device, format, options);
        for (id, image) in atlas.whole() {
            renderer.update_texture(&device, &queue, id, &image);
        }
        let canvas = CanvasView::new(&device, format);
        let kept = Kept::new(&device, &config);
        let window = window.clone();
        Ok(Screen { instance, surface, device, queue, config, renderer, canvas, kept, tries: 0, fault, window })
    }

    /// Largest side of a texture.
    pub fn texture_limit(&self) -> u32 {
        self.device.limits().max_texture_dimension_2d
    }

    /// What the device reported since the last call.
    pub fn take_fault(&self) -> Option<String> {
        self.fault.lock().ok()?.text.take()
    }

    /// Another study is shown from now on.
    pub fn forget_canvas(&mut self) {
        self.canvas.forget();
        self.kept.forget();
    }

    /// The window has another size; nothing happens while it has none.
    pub fn resize(&mut self, width: u32, height: u32) {
        let limit = self.texture_limit();
        let (width, height) = (width.min(limit), height.min(limit));
        if width > 0 && height > 0 && (width, height) != (self.config.width, self.config.height) {
            (self.config.width, self.config.height) = (width, height);
            self.surface.configure(&self.device, &self.config);
            self.kept = Kept::new(&self.device, &self.config);
        }
    }

    /// Takes over what egui changed of its textures. Must be called for every frame of egui, drawn or not.
    pub fn set_textures(&mut self, delta: &TexturesDelta) {
        for (&id, changes) in &delta.set {
            for change in changes {
                self.renderer.update_texture(&self.device, &self.queue, id, change);
            }
        }
    }

    /// Lets go of textures that egui no longer uses; after the frame that used them last.
    pub fn free_textures(&mut self, delta: &TexturesDelta) {
        for id in &delta.free {
            self.renderer.free_texture(id);
        }
    }

    /// Draws one frame.
    ///
    /// # Errors
    /// When the engine of the study fails; the frame is drawn without the canvas then.
    pub fn draw(&mut self, picture: Picture<'_>) -> (Outcome, Result<(), EngineError>) {
        // A device tells that it is lost only when it is asked.
        let polled = self.device.poll(wgpu::PollType::Poll);
        if polled.is_err() || self.fault.lock().map_or(true, |f| f.lost) {
            return (Outcome::Lost, Ok(()));
        }
        let (target, stale_surface) = match self.acquire() {
            Ok(acquired) => acquired,
            Err(outcome) => {
                // This frame's changes are never drawn on their own.
                self.kept.forget();
                self.tries += 1;
                let given_up = outcome == Outcome::Again && self.tries > MOST_TRIES;
                return (if given_up { Outcome::Lost } else { outcome }, Ok(()));
            }
        };
        self.tries = 0;
        let size = [self.config.width, self.config.height];
        let descriptor = ScreenDescriptor { size_in_pixels: size, pixels_per_point: picture.pixels_per_point };
        let mut encoder = self.device.create_command_encoder(&Default::default());
        let Picture { mut jobs, changed, pixels_per_point, ground, canvas } = picture;
        let mut commands = self.renderer.update_buffers(&self.device, &self.queue, &mut encoder, &jobs, &descriptor);
        let mut damage = self.kept.damage(size, &jobs, &changed, pixels_per_point, ground, canvas.as_ref());
        let mut frame = None;
        let mut failed = Ok(());
        if let Some(c) = canvas {
            let device = (&self.device, &self.queue);
            match self.canvas.frame(device, &mut encoder, c.session.canvas(), c.view, c.seen, c.stale) {
                Ok(of) => frame = part_of(c.view.area, size).map(|area| (area, of)),
                Err(error) => failed = Err(error),
            }
        }
        if failed.is_err() {
            damage.all();
        }
        let plain = self.canvas.plain(&self.device, &self.queue, ground, frame.as_ref().map(|(_, of)| of));
        let load = if damage.is_all() { wgpu::LoadOp::Clear(wgpu::Color::BLACK) } else { wgpu::LoadOp::Load };
        let mut pass = encoder
            .begin_render_pass(&wgpu::RenderPassDescriptor {
                label: Some("window"),
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: self.kept.view(),
                    depth_slice: None,
                    resolve_target: None,
                    ops: wgpu::Operations { load, store: wgpu::StoreOp::Store },
                })],
                ..Default::default()
            })
            .forget_lifetime();
        let clips: Vec<_> = jobs.iter().map(|job| job.clip_rect).collect();
        for &part in damage.parts() {
            let scissor = |pass: &mut wgpu::RenderPass<'_>, p: Part| {
                pass.set_scissor_rect(p.left, p.top, p.right - p.left, p.bottom - p.top);
            };
            let seen = frame.as_ref().and_then(|(area, of)| Some((part.within(*area)?, of)));
            if seen.as_ref().is_none_or(|(within, _)| *within != part) {
                scissor(&mut pass, part);
                self.canvas.draw_plain(&mut pass, &plain);
            }
            if let Some((within, of)) = seen {
                scissor(&mut pass, within);
                self.canvas.draw(&mut pass, of);
            }
            let points = |v: u32| v as f32 / pixels_per_point;
            let corner = egui::pos2(points(part.left), points(part.top));
            let clip = egui::Rect::from_min_max(corner, egui::pos2(points(part.right), points(part.bottom)));
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
        self.kept.show(&self.device, &mut encoder, &target.texture, jobs);
        if failed.is_err() {
            self.kept.forget();
        }
        commands.push(encoder.finish());
        self.queue.submit(commands);
        self.window.pre_present_notify();
        self.queue.present(target);
        if stale_surface {
            self.surface.configure(&self.device, &self.config);
        }
        (Outcome::Presented, failed)
    }

    /// The surface's next picture, and whether the surface should be configured anew after it.
    fn acquire(&mut self) -> Result<(wgpu::SurfaceTexture, bool), Outcome> {
        match self.surface.get_current_texture() {
            wgpu::CurrentSurfaceTexture::Success(target) => Ok((target, false)),
            wgpu::CurrentSurfaceTexture::Suboptimal(target) => Ok((target, true)),
            wgpu::CurrentSurfaceTexture::Timeout => Err(Outcome::Again),
            wgpu::CurrentSurfaceTexture::Occluded => Err(Outcome::Hidden),
            wgpu::CurrentSurfaceTexture::Outdated | wgpu::CurrentSurfaceTexture::Validation => {
                self.surface.configure(&self.device, &self.config);
                Err(Outcome::Again)
            }
            wgpu::CurrentSurfaceTexture::Lost => Err(self.renew_surface()),
        }
    }

    /// Waits until everything handed to the device is done: for measuring.
    pub fn wait(&self) {
        // A device that cannot be waited for is lost, and the next frame will say so.
        let _ = self.device.poll(wgpu::PollType::wait_indefinitely());
    }

    fn renew_surface(&mut self) -> Outcome {
        match self.instance.create_surface(self.window.clone()) {
            Ok(surface) => {
                surface.configure(&self.device, &self.config);
                self.surface = surface;
                Outcome::Again
            }
            Err(_) => Outcome::Lost,
        }
    }
}

/// Some systems need the display beforehand; it must then be the window's own.
fn instance_descriptor(
    window: &Arc<dyn Window>,
    display: &OwnedDisplayHandle,
    backends: wgpu::Backends,
) -> wgpu::InstanceDescriptor {
    let raw = |of: &dyn HasDisplayHandle| of.display_handle().ok().map(|h| h.as_raw());
    let same = raw(window).is_some() && raw(window) == raw(display);
    let descriptor = if same {
        wgpu::InstanceDescriptor::new_with_display_handle(Box::new(display.clone()))
    } else {
        wgpu::InstanceDescriptor::new_without_display_handle()
    };
    wgpu::InstanceDescriptor { backends, ..descriptor }
}

/// The window pixels of the view's area inside the window; none when nothing of it shows.
pub(super) fn part_of(area: Area, [width, height]: [u32; 2]) -> Option<Part> {
    let clip = |v: f64, most: u32| v.round().clamp(0.0, f64::from(most)) as u32;
    let (left, top) = (clip(area.left, width), clip(area.top, height));
    let (right, bottom) = (clip(area.left + area.width, width), clip(area.top + area.height, height));
    (right > left && bottom > top).then_some(Part { left, top, right, bottom })
}
