//! Buffers that grow as needed, and reading back.

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
fn roomy(gpu: &Gpu, bytes: u64) -> u64 {
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
    ///
    /// # Errors
    /// When the device has no room.
    pub fn new(gpu: &Gpu) -> Result<Self, EngineError> {
        Ok(ReadBack { buffer: create(gpu, "read back", READ_USAGE, 1 << 16)? })
    }

    /// The words of some buffers, `bytes` from each given offset, one after the other.
    ///
    /// # Errors
    /// When the device fails or has no room for them.
    pub fn read(&mut self, gpu: &Gpu, from: &[(&wgpu::Buffer, u64)], bytes: u64) -> Result<Vec<u32>, EngineError> {
        let total = bytes * from.len() as u64;
        if total == 0 {
            return Ok(Vec::new());
        }
        if self.buffer.size() < total {
            self.buffer = create(gpu, "read back", READ_USAGE, roomy(gpu, total))?;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gpu::AdapterPreference;

    /// What cannot be given is an error that says so, and the next read works.
    #[test]
    fn a_read_that_the_device_has_no_room_for_is_refused_in_words() {
        // The word by which `tests/run` tells that there is no driver.
        if std::env::var("STINT_TEST_WITHOUT").is_ok_and(|without| without.split_whitespace().any(|w| w == "vulkan")) {
            eprintln!("SKIPPED: a read that the device has no room for (no vulkan)");
            return;
        }
        let gpu = Gpu::open(AdapterPreference::Software)
            .unwrap_or_else(|error| panic!("{error}; this test needs a Vulkan driver"));
        let mut read_back = ReadBack::new(&gpu).unwrap_or_else(|error| panic!("{error}"));
        let usage = wgpu::BufferUsages::COPY_SRC;
        let small = create(&gpu, "small", usage, 1024).unwrap_or_else(|error| panic!("{error}"));
        let too_much = gpu.device.limits().max_buffer_size.saturating_add(4) & !3;
        let refused = read_back.read(&gpu, &[(&small, 0)], too_much);
        assert!(matches!(&refused, Err(EngineError::OutOfMemory(_))), "{refused:?}");
        let words = read_back.read(&gpu, &[(&small, 0)], 1024).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(words, [0; 256]);
    }
}
