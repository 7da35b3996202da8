//! The one place with unsafe code: making a shader whose loops the driver need not bound.
#![expect(
    unsafe_code,
    reason = "wgpu offers a shader without the counter that ends endless loops only as an unsafe call"
)]

use super::device::Gpu;

/// A shader module of our own text, without the counter that ends endless loops; bounds of buffers stay checked.
pub fn shader_module(gpu: &Gpu, label: &str, text: &str) -> wgpu::ShaderModule {
    let descriptor = wgpu::ShaderModuleDescriptor { label: Some(label), source: wgpu::ShaderSource::Wgsl(text.into()) };
    let checks = wgpu::ShaderRuntimeChecks { force_loop_bounding: false, ..wgpu::ShaderRuntimeChecks::checked() };
    // SAFETY: what is switched off is the counter that ends endless loops. Every loop of our shaders counts up to a
    // constant, or to a number in a record that this crate has written: at most 8 planes, 64 rounds, the table's length
    // and the layers of a stack; or clears a bit of a word in each round. Bounds of buffers stay checked.
    unsafe { gpu.device.create_shader_module_trusted(descriptor, checks) }
}
