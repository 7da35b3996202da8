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

/// A device ready for work.
pub struct Gpu {
    pub(super) device: wgpu::Device,
    pub(super) queue: wgpu::Queue,
    info: EngineInfo,
    /// First failure reported by the device outside of a call.
    fault: Arc<Mutex<Option<String>>>,
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
                let memory_budget_thresholds = wgpu::MemoryBudgetThresholds {
                    for_resource_creation: Some(MOST_OF_THE_MEMORY_PERCENT),
                    ..Default::default()
                };
                let descriptor = wgpu::InstanceDescriptor { backends, memory_budget_thresholds, ..descriptor };
                let instance = wgpu::Instance::new(descriptor);
                adapters = pollster::block_on(instance.enumerate_adapters(backends));
                adapters.retain(wanted);
            }
        }
        let rank = |a: &wgpu::Adapter| {
            let info = a.get_info();
            let kind = match info.device_type {
                wgpu::DeviceType::DiscreteGpu => 0,
                wgpu::DeviceType::IntegratedGpu => 1,
                wgpu::DeviceType::VirtualGpu => 2,
                wgpu::DeviceType::Other => 3,
                wgpu::DeviceType::Cpu => 4,
            };
            (kind, info.backend == wgpu::Backend::Gl)
        };
        adapters.sort_by_key(rank);
        let mut refused = Vec::new();
        for adapter in &adapters {
            match open_device(adapter) {
                Ok(gpu) => return Ok(gpu),
                Err(why) => refused.push(format!("{}: {why}", adapter.get_info().name)),
            }
        }
        let why = if refused.is_empty() { "none of the wanted kind was found".to_owned() } else { refused.join("; ") };
        Err(EngineError::NoDevice(why))
    }

    /// Name, interface and kind.
    pub fn info(&self) -> &EngineInfo {
        &self.info
    }

    /// An error if the device has failed since the last check.
    pub(super) fn check(&self) -> Result<(), EngineError> {
        let fault = match self.fault.lock() {
            Ok(fault) => fault.clone(),
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

fn open_device(adapter: &wgpu::Adapter) -> Result<Gpu, String> {
    let info = adapter.get_info();
    let have = adapter.limits();
    if have.max_storage_buffers_per_shader_stage < STORAGE_BUFFERS {
        let have = have.max_storage_buffers_per_shader_stage;
        return Err(format!("binds {have} storage buffers at a time, {STORAGE_BUFFERS} are needed"));
    }
    let limits = wgpu::Limits {
        // More room for tiles where the device has it; the rest as every device has.
        max_buffer_size: have.max_buffer_size,
        max_storage_buffer_binding_size: have.max_storage_buffer_binding_size,
        ..wgpu::Limits::downlevel_defaults()
    };
    let limits = wgpu::Limits {
        max_storage_buffers_per_shader_stage: STORAGE_BUFFERS,
        max_compute_invocations_per_workgroup: super::layout::LANES,
        max_compute_workgroup_size_x: super::layout::LANES,
        ..limits
    };
    let request = adapter.request_device(&wgpu::DeviceDescriptor {
        label: Some("stint"),
        required_features: wgpu::Features::empty(),
        required_limits: limits,
        memory_hints: wgpu::MemoryHints::Performance,
        ..Default::default()
    });
    let (device, queue) = pollster::block_on(request).map_err(|e| e.to_string())?;
    let fault = Arc::new(Mutex::new(None));
    let note = |fault: &Arc<Mutex<Option<String>>>| {
        let fault = fault.clone();
        move |text: String| {
            if let Ok(mut fault) = fault.lock() {
                fault.get_or_insert(text);
            }
        }
    };
    let (lost, failed) = (note(&fault), note(&fault));
    device.set_device_lost_callback(move |_, text| lost(text));
    device.on_uncaptured_error(Arc::new(move |error: wgpu::Error| failed(error.to_string())));
    let kind = match info.device_type {
        wgpu::DeviceType::Cpu => EngineKind::SoftwareGpu,
        _ => EngineKind::Gpu,
    };
    let info = EngineInfo { name: info.name, detail: format!("{:?}, {}", info.backend, info.driver_info), kind };
    Ok(Gpu { device, queue, info, fault })
}
