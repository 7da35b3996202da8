//! Reading back: what was recorded is copied to a buffer that the host can map, and comes when the device has done it.

use super::buffers::{create, roomy};
use super::device::Gpu;
use crate::engine::EngineError;
use crate::engine::answer::Source;
use std::sync::mpsc::{Receiver, RecvTimeoutError, TryRecvError, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// Buffers that are kept for the next time.
const KEPT: usize = 4;
/// The largest that is kept, bytes.
const LARGEST_KEPT: u64 = 64 << 20;
/// A wait for the device is cut into pieces of this length: a longer one would keep the window from presenting.
const PIECE: Duration = Duration::from_micros(500);

const USAGE: wgpu::BufferUsages = wgpu::BufferUsages::MAP_READ.union(wgpu::BufferUsages::COPY_DST);

/// Buffers that the host can map and nobody uses now.
#[derive(Clone, Default)]
pub struct ReadBacks(Arc<Mutex<Vec<wgpu::Buffer>>>);

/// What is to be read: a buffer, the first byte and how many.
pub type Part<'a> = (&'a wgpu::Buffer, u64, u64);

impl ReadBacks {
    fn take(&self, gpu: &Gpu, bytes: u64) -> Result<wgpu::Buffer, EngineError> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(at) = kept.iter().position(|buffer| buffer.size() >= bytes) {
            return Ok(kept.swap_remove(at));
        }
        drop(kept);
        create(gpu, "read back", USAGE, roomy(gpu, bytes.max(1 << 16)))
    }

    fn give_back(&self, buffer: wgpu::Buffer) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if buffer.size() <= LARGEST_KEPT {
            // The smallest goes first: it is made anew in no time.
            kept.sort_by_key(|buffer| std::cmp::Reverse(buffer.size()));
            kept.truncate(KEPT - 1);
            kept.push(buffer);
        }
    }

    /// Records copies of some parts, one after the other, submits everything and does not wait.
    ///
    /// # Errors
    /// When the device has no room for them.
    pub fn submit(
        &self,
        gpu: &Gpu,
        mut encoder: wgpu::CommandEncoder,
        parts: &[Part<'_>],
    ) -> Result<ReadBack, EngineError> {
        let total: u64 = parts.iter().map(|(_, _, bytes)| bytes).sum();
        let buffer = self.take(gpu, total)?;
        let mut at = 0;
        for &(from, start, bytes) in parts {
            encoder.copy_buffer_to_buffer(from, start, &buffer, at, bytes);
            at += bytes;
        }
        let submission = gpu.queue.submit([encoder.finish()]);
        let (sent, received) = channel();
        if total > 0 {
            buffer.slice(..total).map_async(wgpu::MapMode::Read, move |mapped| {
                // Nobody may want it any more.
                drop(sent.send(mapped.map_err(|e| e.to_string())));
            });
        } else {
            drop(sent.send(Ok(())));
        }
        let state = State { received, come: None };
        let inner = Inner { gpu: gpu.clone(), buffer, total, submission, kept: self.clone(), state: Mutex::new(state) };
        Ok(ReadBack(Arc::new(inner)))
    }
}

struct State {
    received: Receiver<Result<(), String>>,
    /// What became of it, once that is known.
    come: Option<Result<(), String>>,
}

struct Inner {
    gpu: Gpu,
    buffer: wgpu::Buffer,
    total: u64,
    submission: wgpu::SubmissionIndex,
    kept: ReadBacks,
    state: Mutex<State>,
}

/// Words that are on their way from the device.
#[derive(Clone)]
pub struct ReadBack(Arc<Inner>);

impl ReadBack {
    /// The words, which must have come: [`Source::wait`].
    ///
    /// # Errors
    /// When the device failed.
    pub fn words<R>(&self, of: impl FnOnce(&[u32]) -> R) -> Result<R, EngineError> {
        let inner = &*self.0;
        let come = inner.state.lock().unwrap_or_else(PoisonError::into_inner).come.clone();
        let lost = |text: String| EngineError::DeviceLost(text);
        come.unwrap_or_else(|| Err("it did not answer".to_owned())).map_err(lost)?;
        inner.gpu.check()?;
        if inner.total == 0 {
            return Ok(of(&[]));
        }
        let result = {
            let view = inner.buffer.slice(..inner.total).get_mapped_range().map_err(|e| lost(e.to_string()))?;
            match bytemuck::try_cast_slice(&view) {
                Ok(words) => of(words),
                // Mapped memory is aligned in practice; where it is not, a copy is.
                Err(_) => of(&bytemuck::pod_collect_to_vec::<u8, u32>(&view)),
            }
        };
        inner.buffer.unmap();
        inner.kept.give_back(inner.buffer.clone());
        Ok(result)
    }
}

impl Source for ReadBack {
    fn has_come(&mut self) -> bool {
        let mut state = self.0.state.lock().unwrap_or_else(PoisonError::into_inner);
        if state.come.is_none() {
            // A device tells what is done only when it is asked.
            let polled = self.0.gpu.device.poll(wgpu::PollType::Poll);
            state.come = match (state.received.try_recv(), polled) {
                (Ok(come), _) => Some(come),
                (Err(_), Err(error)) => Some(Err(error.to_string())),
                (Err(TryRecvError::Empty), Ok(_)) => None,
                (Err(TryRecvError::Disconnected), Ok(_)) => Some(Err("it forgot what was asked".to_owned())),
            };
        }
        state.come.is_some()
    }

    fn wait(&mut self) {
        while !self.has_come() {
            let until =
                wgpu::PollType::Wait { submission_index: Some(self.0.submission.clone()), timeout: Some(PIECE) };
            let waited = self.0.gpu.device.poll(until);
            let mut state = self.0.state.lock().unwrap_or_else(PoisonError::into_inner);
            state.come = match waited {
                // Another thread may be about to say so.
                Ok(_) => match state.received.recv_timeout(PIECE) {
                    Ok(come) => Some(come),
                    Err(RecvTimeoutError::Timeout) => None,
                    Err(RecvTimeoutError::Disconnected) => Some(Err("it forgot what was asked".to_owned())),
                },
                Err(wgpu::PollError::Timeout) => None,
                Err(error) => Some(Err(error.to_string())),
            };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gpu::test_device;

    /// What cannot be given is an error that says so, and the next read works; two reads under way do not disturb each other.
    #[test]
    fn a_read_that_the_device_has_no_room_for_is_refused_in_words() {
        let Some(gpu) = test_device("a read that the device has no room for") else { return };
        let usage = wgpu::BufferUsages::COPY_SRC | wgpu::BufferUsages::COPY_DST;
        let small = create(&gpu, "small", usage, 1024).unwrap_or_else(|error| panic!("{error}"));
        let read_backs = ReadBacks::default();
        let encoder = || gpu.device.create_command_encoder(&Default::default());
        let too_much = gpu.device.limits().max_buffer_size.saturating_add(4) & !3;
        let refused = read_backs.submit(&gpu, encoder(), &[(&small, 0, too_much)]);
        assert!(matches!(&refused, Err(EngineError::OutOfMemory(_))));
        let read = |part| read_backs.submit(&gpu, encoder(), &[part]).unwrap_or_else(|error| panic!("{error}"));
        let mut first = read((&small, 0, 1024));
        gpu.queue.write_buffer(&small, 0, &[1; 1024]);
        let mut second = read((&small, 512, 512));
        second.wait();
        let words = |read: &ReadBack| read.words(<[u32]>::to_vec).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(words(&second), [0x0101_0101; 128]);
        first.wait();
        assert_eq!(words(&first), [0; 256]);
        assert!(read((&small, 0, 0)).has_come(), "nothing is there at once");
    }
}
