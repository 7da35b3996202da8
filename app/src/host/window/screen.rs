//! The graphics device of the window, and its surface.

use super::WindowError;
#[cfg(not(target_arch = "wasm32"))]
use super::atlas::Atlas;
use super::frame_renderer::{FrameRenderer, Picture};
use super::retained_frame::Target;
#[cfg(not(target_arch = "wasm32"))]
use crate::study::session::share_device;
use std::sync::Arc;
use stint_render::engine::EngineError;
use stint_render::gpu::Gpu;
#[cfg(not(target_arch = "wasm32"))]
use winit::event_loop::OwnedDisplayHandle;
#[cfg(not(target_arch = "wasm32"))]
use winit::raw_window_handle::HasDisplayHandle;
use winit::window::Window;

/// A surface that gives no picture this often in a row is given up, with its device.
const MAX_TRIES: u32 = 20;

/// Whether the frame is on the screen.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum FrameOutcome {
    /// It is.
    Presented,
    /// The window cannot be seen now; it will ask again.
    Hidden,
    /// Not yet: try again soon.
    Again,
    /// The device is gone: make a new screen.
    Lost,
}

/// The graphics device of a window.
pub struct Screen {
    instance: wgpu::Instance,
    surface: wgpu::Surface<'static>,
    config: wgpu::SurfaceConfiguration,
    renderer: FrameRenderer,
    /// How often in a row no picture could be had of the surface.
    tries: u32,
    gpu: Gpu,
    window: Arc<dyn Window>,
}

/// Textures of egui for a new device.
type Textures = Vec<(egui::TextureId, egui::epaint::ImageDelta)>;

/// A screen that is there a moment after it was asked for.
#[cfg(target_arch = "wasm32")]
pub type Opened = std::rc::Rc<std::cell::RefCell<Option<Result<Screen, WindowError>>>>;

impl Screen {
    /// Opens the device that the browser draws with, WebGPU or, where there is none, WebGL 2. A browser gives it later.
    ///
    /// # Errors
    /// When it gives none.
    #[cfg(target_arch = "wasm32")]
    pub async fn open_on_page(window: &Arc<dyn Window>, textures: Textures) -> Result<Self, WindowError> {
        fn none(why: impl std::fmt::Display) -> WindowError {
            WindowError::NoDevice(why.to_string())
        }
        let instance = |backends| {
            let descriptor = wgpu::InstanceDescriptor::new_without_display_handle();
            wgpu::Instance::new(wgpu::InstanceDescriptor { backends, ..descriptor })
        };
        // An element draws for good with what it was first asked for, so no surface is made before there is an adapter.
        let modern = instance(wgpu::Backends::BROWSER_WEBGPU);
        if let Ok(adapter) = modern.request_adapter(&Default::default()).await {
            let surface = modern.create_surface(window.clone()).map_err(none)?;
            let gpu = Gpu::request(&adapter).await.map_err(none)?;
            return Screen::with(modern, surface, &adapter, gpu, window, textures);
        }
        // Here the surface is what an adapter is known by.
        let older = instance(wgpu::Backends::GL);
        let surface = older.create_surface(window.clone()).map_err(none)?;
        let wanted = wgpu::RequestAdapterOptions { compatible_surface: Some(&surface), ..Default::default() };
        let adapter = older.request_adapter(&wanted).await.map_err(none)?;
        let gpu = Gpu::request(&adapter).await.map_err(none)?;
        Screen::with(older, surface, &adapter, gpu, window, textures)
    }

    /// Opens the best device that can draw into the window: a real GPU if there is one, else a software driver.
    ///
    /// # Errors
    /// When there is none; the text tells which were seen.
    #[cfg(not(target_arch = "wasm32"))]
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
            adapters.sort_by_key(Gpu::rank);
            for adapter in adapters {
                match Gpu::of(&adapter) {
                    Ok(gpu) => {
                        let textures = atlas.whole().collect();
                        return Screen::with(instance, surface, &adapter, gpu, window, textures);
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
        gpu: Gpu,
        window: &Arc<dyn Window>,
        textures: Textures,
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
        surface.configure(gpu.device(), &config);
        // Whatever study is opened from now on resolves where it is drawn. On a page nothing may wait for a device, as some work does.
        #[cfg(not(target_arch = "wasm32"))]
        share_device(&gpu);
        let target = target_of(&config);
        let mut renderer = FrameRenderer::new(gpu.device().clone(), gpu.queue().clone(), target);
        renderer.set_whole_textures(textures.into_iter());
        let window = window.clone();
        Ok(Screen { instance, surface, config, renderer, tries: 0, gpu, window })
    }

    /// What draws the picture.
    pub fn renderer(&mut self) -> &mut FrameRenderer {
        &mut self.renderer
    }

    /// The device that it draws on.
    pub fn gpu(&self) -> &Gpu {
        &self.gpu
    }

    /// What the device reported since the last call.
    pub fn take_fault(&self) -> Option<String> {
        self.gpu.take_fault()
    }

    /// The window has another size; nothing happens while it has none.
    pub fn resize(&mut self, width: u32, height: u32) {
        let limit = self.renderer.texture_limit();
        let (width, height) = (width.min(limit), height.min(limit));
        if width > 0 && height > 0 && (width, height) != (self.config.width, self.config.height) {
            (self.config.width, self.config.height) = (width, height);
            self.surface.configure(self.renderer.device(), &self.config);
            self.renderer.resize(target_of(&self.config));
        }
    }

    /// Draws one frame. Tells how many tiles of the canvas could not be brought up to date in it.
    ///
    /// # Errors
    /// When the engine of the study fails; the frame is drawn without the canvas then.
    pub fn draw(&mut self, picture: Picture<'_>) -> (FrameOutcome, Result<usize, EngineError>) {
        if self.gpu.is_lost() {
            return (FrameOutcome::Lost, Ok(0));
        }
        let (target, stale_surface) = match self.acquire() {
            Ok(acquired) => acquired,
            Err(outcome) => {
                // This frame's changes are never drawn on their own.
                self.renderer.invalidate();
                self.tries += 1;
                let given_up = outcome == FrameOutcome::Again && self.tries > MAX_TRIES;
                return (if given_up { FrameOutcome::Lost } else { outcome }, Ok(0));
            }
        };
        self.tries = 0;
        let missing = self.renderer.draw(picture, &target.texture);
        self.window.pre_present_notify();
        self.renderer.queue().present(target);
        if stale_surface {
            self.surface.configure(self.renderer.device(), &self.config);
        }
        (FrameOutcome::Presented, missing)
    }

    /// The surface's next picture, and whether the surface should be configured anew after it.
    fn acquire(&mut self) -> Result<(wgpu::SurfaceTexture, bool), FrameOutcome> {
        match self.surface.get_current_texture() {
            wgpu::CurrentSurfaceTexture::Success(target) => Ok((target, false)),
            wgpu::CurrentSurfaceTexture::Suboptimal(target) => Ok((target, true)),
            wgpu::CurrentSurfaceTexture::Timeout => Err(FrameOutcome::Again),
            wgpu::CurrentSurfaceTexture::Occluded => Err(FrameOutcome::Hidden),
            wgpu::CurrentSurfaceTexture::Outdated | wgpu::CurrentSurfaceTexture::Validation => {
                self.surface.configure(self.renderer.device(), &self.config);
                Err(FrameOutcome::Again)
            }
            wgpu::CurrentSurfaceTexture::Lost => Err(self.renew_surface()),
        }
    }

    fn renew_surface(&mut self) -> FrameOutcome {
        match self.instance.create_surface(self.window.clone()) {
            Ok(surface) => {
                surface.configure(self.renderer.device(), &self.config);
                self.surface = surface;
                FrameOutcome::Again
            }
            Err(_) => FrameOutcome::Lost,
        }
    }
}

fn target_of(config: &wgpu::SurfaceConfiguration) -> Target {
    Target {
        format: config.format,
        size: [config.width, config.height],
        copies: config.usage.contains(wgpu::TextureUsages::COPY_DST),
    }
}

/// Some systems need the display beforehand; it must then be the window's own.
#[cfg(not(target_arch = "wasm32"))]
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
    Gpu::within_memory(descriptor, backends)
}
