//! Buffers that grow as needed, and reading back.

use super::device::Gpu;
use crate::engine::EngineError;

/// A buffer written anew for every dispatch; it only ever grows.
pub struct GrowingBuffer {
    label: &'static str,
    usage: wgpu::BufferUsages,
    buffer: wgpu::Buffer,
}

fn create(gpu: &Gpu, label: &str, usage: wgpu::BufferUsages, size: u64) -> wgpu::Buffer {
    let descriptor = wgpu::BufferDescriptor { label: Some(label), size, usage, mapped_at_creation: false };
    gpu.device.create_buffer(&descriptor)
}

impl GrowingBuffer {
    /// A buffer of 256 bytes for `usage`; what it holds is written by the host.
    pub fn new(gpu: &Gpu, label: &'static str, usage: wgpu::BufferUsages) -> Self {
        let usage = usage | wgpu::BufferUsages::COPY_DST;
        GrowingBuffer { label, usage, buffer: create(gpu, label, usage, 256) }
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
            let scope = gpu.device.push_error_scope(wgpu::ErrorFilter::OutOfMemory);
            let buffer = create(gpu, self.label, self.usage, bytes.next_power_of_two());
            if let Some(error) = pollster::block_on(scope.pop()) {
                return Err(EngineError::OutOfMemory(error.to_string()));
            }
            self.buffer = buffer;
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

    /// Zeroes the first `bytes`.
    pub fn clear(&self, gpu: &Gpu, bytes: u64) {
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        encoder.clear_buffer(&self.buffer, 0, Some(bytes));
        gpu.queue.submit([encoder.finish()]);
    }
}

/// A buffer the host can map.
pub struct ReadBack {
    buffer: wgpu::Buffer,
}

const READ_USAGE: wgpu::BufferUsages = wgpu::BufferUsages::MAP_READ.union(wgpu::BufferUsages::COPY_DST);

impl ReadBack {
    /// A buffer of 64 KiB; it grows with what is read.
    pub fn new(gpu: &Gpu) -> Self {
        ReadBack { buffer: create(gpu, "read back", READ_USAGE, 1 << 16) }
    }

    /// The words of some buffers, `bytes` from each given offset, one after the other.
    ///
    /// # Errors
    /// When the device fails.
    pub fn read(&mut self, gpu: &Gpu, from: &[(&wgpu::Buffer, u64)], bytes: u64) -> Result<Vec<u32>, EngineError> {
        let total = bytes * from.len() as u64;
        if total == 0 {
            return Ok(Vec::new());
        }
        if self.buffer.size() < total {
            self.buffer = create(gpu, "read back", READ_USAGE, total.next_power_of_two());
        }
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        for (i, (buffer, offset)) in from.iter().enumerate() {
            encoder.copy_buffer_to_buffer(buffer, *offset, &self.buffer, i as u64 * bytes, bytes);
        }
        gpu.queue.submit([encoder.finish()]);
        let slice = self.buffer.slice(..total);
        let (sent, received) = std::sync::mpsc::channel();
        slice.map_async(wgpu::MapMode::Read, move |result| {
            // The receiver waits in this very function; it is gone only if that has failed already.
            drop(sent.send(result));
        });
        gpu.wait()?;
        let lost = |text: String| EngineError::DeviceLost(text);
        received.recv().map_err(|e| lost(e.to_string()))?.map_err(|e| lost(e.to_string()))?;
        let view = slice.get_mapped_range().map_err(|e| lost(e.to_string()))?;
        let words = bytemuck::pod_collect_to_vec(&view);
        drop(view);
        self.buffer.unmap();
        Ok(words)
    }
}
