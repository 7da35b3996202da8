//! Buffers that grow as needed.

use super::device::Gpu;
use crate::engine::EngineError;

/// A buffer written anew for every dispatch; it only ever grows.
pub struct GrowingBuffer {
    label: &'static str,
    usage: wgpu::BufferUsages,
    buffer: wgpu::Buffer,
}

/// A buffer of `size` bytes.
///
/// # Errors
/// When the device has no room for it, or makes none that large.
pub fn create(gpu: &Gpu, label: &str, usage: wgpu::BufferUsages, size: u64) -> Result<wgpu::Buffer, EngineError> {
    let largest = gpu.device.limits().max_buffer_size;
    if size > largest {
        return Err(EngineError::OutOfMemory(format!("it makes no buffer above {} MiB", largest >> 20)));
    }
    let scope = gpu.device.push_error_scope(wgpu::ErrorFilter::OutOfMemory);
    let descriptor = wgpu::BufferDescriptor { label: Some(label), size, usage, mapped_at_creation: false };
    let buffer = gpu.device.create_buffer(&descriptor);
    match pollster::block_on(scope.pop()) {
        Some(error) => Err(EngineError::OutOfMemory(error.to_string())),
        None => Ok(buffer),
    }
}

/// Room for `bytes` and for growing on, within what the device makes.
pub fn roomy(gpu: &Gpu, bytes: u64) -> u64 {
    bytes.checked_next_power_of_two().unwrap_or(bytes).min(gpu.device.limits().max_buffer_size).max(bytes)
}

impl GrowingBuffer {
    /// A buffer of 256 bytes for `usage`; what it holds is written by the host.
    ///
    /// # Errors
    /// When the device has no room.
    pub fn new(gpu: &Gpu, label: &'static str, usage: wgpu::BufferUsages) -> Result<Self, EngineError> {
        let usage = usage | wgpu::BufferUsages::COPY_DST;
        Ok(GrowingBuffer { label, usage, buffer: create(gpu, label, usage, 256)? })
    }

    /// The buffer as it is now; growing makes another one.
    pub fn buffer(&self) -> &wgpu::Buffer {
        &self.buffer
    }

    /// Makes room for `bytes`; what was in the buffer is gone if it had to grow.
    ///
    /// # Errors
    /// When the device has no room.
    pub fn reserve(&mut self, gpu: &Gpu, bytes: u64) -> Result<(), EngineError> {
        if self.buffer.size() < bytes {
            self.buffer = create(gpu, self.label, self.usage, roomy(gpu, bytes))?;
        }
        Ok(())
    }

    /// Replaces what is in it, from the start; grows as needed.
    ///
    /// # Errors
    /// When the device has no room.
    pub fn write(&mut self, gpu: &Gpu, bytes: &[u8]) -> Result<(), EngineError> {
        self.reserve(gpu, bytes.len() as u64)?;
        gpu.queue.write_buffer(&self.buffer, 0, bytes);
        Ok(())
    }
}
