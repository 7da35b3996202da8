//! What is asked of a graphics device, and why one is refused.

use crate::engine::{EngineError, EngineInfo, EngineKind};
use std::sync::{Arc, Mutex};

/// Which adapters may be used.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum AdapterPreference {
    /// A real GPU if there is one, else a software driver.
    Best,
    /// A real GPU only.
    RealGpu,
    /// A driver that runs shaders on the CPU, for tests.
    Software,
}

/// What a device reported outside of a call.
#[derive(Default)]
struct Fault {
    lost: bool,
    /// The first failure.
    text: Option<String>,
    /// Whether it was told to somebody who asked for what is new.
    told: bool,
}

/// A device ready for work. Clones are the same device: an engine and a window can share one, and then what the engine resolves is
/// drawn where it lies.
#[derive(Clone)]
pub struct Gpu {
    pub(super) device: wgpu::Device,
    pub(super) queue: wgpu::Queue,
    info: EngineInfo,
    /// Why the kernels cannot run on it, if they cannot.
    refused: Option<String>,
    /// Whether kernels can write textures that are drawn.
    draws: bool,
    fault: Arc<Mutex<Fault>>,
}

/// Storage buffers that one kernel binds at most: four banks, jobs, paints, masks or output.
const STORAGE_BUFFERS: u32 = 7;

/// How much of the memory that the driver offers may be taken, in per cent; what other programs hold counts too. Beyond it a buffer is
/// refused, where the driver can be asked, before the system begins to move memory to and fro.
const MOST_OF_THE_MEMORY_PERCENT: u8 = 90;

impl Gpu {
    /// Opens a device of the best adapter there is of the kind wanted.
    ///
    /// # Errors
    /// When there is no adapter of the kind wanted, or none that offers what the kernels need; the text tells which were
    /// seen.
    pub fn open(want: AdapterPreference) -> Result<Self, EngineError> {
        let software = |a: &wgpu::Adapter| a.get_info().device_type == wgpu::DeviceType::Cpu;
        let wanted = |a: &wgpu::Adapter| match want {
            AdapterPreference::Best => true,
            AdapterPreference::RealGpu => !software(a),
            AdapterPreference::Software => software(a),
        };
        // OpenGL is asked only where nothing better is there: looking for it is slow and noisy on a machine without it.
        let mut adapters = Vec::new();
        for backends in [wgpu::Backends::PRIMARY, wgpu::Backends::GL] {
            if adapters.is_empty() {
                let descriptor = wgpu::InstanceDescriptor::new_without_display_handle();
                let instance = wgpu::Instance::new(Gpu::within_memory(descriptor, backends));
                adapters = pollster::block_on(instance.enumerate_adapters(backends));
                adapters.retain(wanted);
            }
        }
        adapters.sort_by_key(Gpu::rank);
        let mut refused = Vec::new();
        for adapter in &adapters {
            match Gpu::of(adapter).and_then(|gpu| gpu.refused.clone().map_or(Ok(gpu), Err)) {
                Ok(gpu) => return Ok(gpu),
                Err(why) => refused.push(format!("{}: {why}", adapter.get_info().name)),
            }
        }
        let why = if refused.is_empty() { "none of the wanted kind was found".to_owned() } else { refused.join("; ") };
        Err(EngineError::NoDevice(why))
    }

    /// Orders adapters, the best first.
    pub fn rank(adapter: &wgpu::Adapter) -> (u8, bool) {
        let info = adapter.get_info();
        let kind = match info.device_type {
            wgpu::DeviceType::DiscreteGpu => 0,
            wgpu::DeviceType::IntegratedGpu => 1,
            wgpu::DeviceType::VirtualGpu => 2,
            wgpu::DeviceType::Other => 3,
            wgpu::DeviceType::Cpu => 4,
        };
        (kind, info.backend == wgpu::Backend::Gl)
    }

    /// A description of an instance whose devices refuse a buffer before they take more of the memory than is good.
    pub fn within_memory(descriptor: wgpu::InstanceDescriptor, backends: wgpu::Backends) -> wgpu::InstanceDescriptor {
        let memory_budget_thresholds = wgpu::MemoryBudgetThresholds {
            for_resource_creation: Some(MOST_OF_THE_MEMORY_PERCENT),
            ..Default::default()
        };
        wgpu::InstanceDescriptor { backends, memory_budget_thresholds, ..descriptor }
    }

    /// A device of an adapter, for drawing and, where the adapter offers what the kernels need, for an engine too.
    ///
    /// # Errors
    /// What the adapter said when it refused a device.
    pub fn of(adapter: &wgpu::Adapter) -> Result<Self, String> {
        pollster::block_on(Gpu::request(adapter))
    }

    /// [`Gpu::of`] for a browser, which gives a device later.
    ///
    /// # Errors
    /// As [`Gpu::of`].
    pub async fn request(adapter: &wgpu::Adapter) -> Result<Self, String> {
        let have = adapter.limits();
        let buffers = have.max_storage_buffers_per_shader_stage;
        let refused = (buffers < STORAGE_BUFFERS)
            .then(|| format!("binds {buffers} storage buffers at a time, {STORAGE_BUFFERS} are needed"));
        let wanted = wgpu::DownlevelFlags::COMPUTE_SHADERS | wgpu::DownlevelFlags::VIEW_FORMATS;
        let draws = refused.is_none() && adapter.get_downlevel_capabilities().flags.contains(wanted);
        // What only draws needs no more than WebGL 2 has.
        let least = if refused.is_some() {
            wgpu::Limits::downlevel_webgl2_defaults()
        } else {
            wgpu::Limits::downlevel_defaults()
        };
        let mut limits = least.using_resolution(have.clone());
        if refused.is_none() {
            // More room for tiles where the device has it.
            limits.max_buffer_size = have.max_buffer_size;
            limits.max_storage_buffer_binding_size = have.max_storage_buffer_binding_size;
            limits.max_storage_buffers_per_shader_stage = STORAGE_BUFFERS;
            limits.max_compute_invocations_per_workgroup = super::layout::LANES;
            limits.max_compute_workgroup_size_x = super::layout::LANES;
        }
        let request = adapter.request_device(&wgpu::DeviceDescriptor {
            label: Some("stint"),
            // Benches time kernels where the adapter can.
            required_features: adapter.features() & wgpu::Features::TIMESTAMP_QUERY,
            required_limits: limits,
            memory_hints: wgpu::MemoryHints::Performance,
            ..Default::default()
        });
        let (device, queue) = request.await.map_err(|e| e.to_string())?;
        let fault = Arc::new(Mutex::new(Fault::default()));
        let (lost, failed) = (fault.clone(), fault.clone());
        device.set_device_lost_callback(move |_, text| note(&lost, text, true));
        device.on_uncaptured_error(Arc::new(move |error: wgpu::Error| note(&failed, error.to_string(), false)));
        let info = adapter.get_info();
        let kind = match info.device_type {
            wgpu::DeviceType::Cpu => EngineKind::SoftwareGpu,
            _ => EngineKind::Gpu,
        };
        let info = EngineInfo { name: info.name, detail: format!("{:?}, {}", info.backend, info.driver_info), kind };
        Ok(Gpu { device, queue, info, refused, draws, fault })
    }

    /// The device, for drawing.
    pub fn device(&self) -> &wgpu::Device {
        &self.device
    }

    /// Its queue.
    pub fn queue(&self) -> &wgpu::Queue {
        &self.queue
    }

    /// Name, interface and kind.
    pub fn info(&self) -> &EngineInfo {
        &self.info
    }

    /// Whether an engine can work on it now.
    pub fn computes(&self) -> bool {
        self.refused.is_none() && self.check().is_ok()
    }

    /// Why no engine can work on it, if none can whatever happens.
    pub(super) fn refused(&self) -> Option<&str> {
        self.refused.as_deref()
    }

    /// Whether kernels can write textures that are drawn.
    pub(super) fn draws(&self) -> bool {
        self.draws
    }

    /// Whether the device is gone. It tells that only when it is asked, so this asks it.
    pub fn is_lost(&self) -> bool {
        self.device.poll(wgpu::PollType::Poll).is_err() || self.fault.lock().map_or(true, |fault| fault.lost)
    }

    /// What the device reported first, once.
    pub fn take_fault(&self) -> Option<String> {
        let mut fault = self.fault.lock().ok()?;
        let text = fault.text.clone().filter(|_| !fault.told);
        fault.told |= text.is_some();
        text
    }

    /// An error if the device has failed since it was opened.
    ///
    /// # Errors
    /// [`EngineError::DeviceLost`] with what it reported first.
    pub fn check(&self) -> Result<(), EngineError> {
        let fault = match self.fault.lock() {
            Ok(fault) => fault.text.clone(),
            Err(_) => Some("its fault record was poisoned".to_owned()),
        };
        fault.map_or(Ok(()), |text| Err(EngineError::DeviceLost(text)))
    }

    /// Waits until all submitted work is done.
    pub(super) fn wait(&self) -> Result<(), EngineError> {
        self.device.poll(wgpu::PollType::wait_indefinitely()).map_err(|e| EngineError::DeviceLost(e.to_string()))?;
        self.check()
    }
}

/// Keeps the first failure.
fn note(fault: &Mutex<Fault>, text: String, lost: bool) {
    if let Ok(mut fault) = fault.lock() {
        fault.lost |= lost;
        fault.text.get_or_insert(text);
    }
}
