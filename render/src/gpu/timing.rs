//! How long a kernel takes, by the clock of the device.

use super::dispatch::Dispatch;
use super::read_back::ReadBacks;
use crate::engine::EngineError;
use crate::engine::answer::Source;

impl Dispatch<'_> {
    /// Milliseconds that the device takes for each of `runs` runs; none where it has no clock for that. Waits.
    ///
    /// # Errors
    /// When the device fails.
    pub fn times_ms(&self, runs: u32) -> Result<Option<Vec<f64>>, EngineError> {
        times_ms(&self.engine.gpu, runs, |encoder, times| self.record_timed(encoder, Some(times)))
    }
}

/// Milliseconds that the device takes for each of `runs` compute passes that `record` records; none where it has no clock for that.
/// Waits.
///
/// # Errors
/// When the device fails.
pub fn times_ms(
    gpu: &super::Gpu,
    runs: u32,
    record: impl Fn(&mut wgpu::CommandEncoder, wgpu::ComputePassTimestampWrites<'_>),
) -> Result<Option<Vec<f64>>, EngineError> {
    if !gpu.device.features().contains(wgpu::Features::TIMESTAMP_QUERY) || runs == 0 {
        return Ok(None);
    }
    let set = gpu.device.create_query_set(&wgpu::QuerySetDescriptor {
        label: Some("times"),
        ty: wgpu::QueryType::Timestamp,
        count: 2 * runs,
    });
    let bytes = u64::from(runs) * 16;
    let resolved =
        super::buffers::create(gpu, "times", wgpu::BufferUsages::QUERY_RESOLVE | wgpu::BufferUsages::COPY_SRC, bytes)?;
    let mut encoder = gpu.device.create_command_encoder(&Default::default());
    for run in 0..runs {
        let (begin, end) = (Some(2 * run), Some(2 * run + 1));
        record(
            &mut encoder,
            wgpu::ComputePassTimestampWrites {
                query_set: &set,
                beginning_of_pass_write_index: begin,
                end_of_pass_write_index: end,
            },
        );
    }
    encoder.resolve_query_set(&set, 0..2 * runs, &resolved, 0);
    let mut read = ReadBacks::default().submit(gpu, encoder, &[(&resolved, 0, bytes)])?;
    read.wait();
    let period_ms = f64::from(gpu.queue.get_timestamp_period()) / 1e6;
    let times = read.words(|words| {
        let ticks: Vec<u64> = words.chunks_exact(2).map(|w| u64::from(w[0]) | (u64::from(w[1]) << 32)).collect();
        ticks.chunks_exact(2).map(|t| t[1].saturating_sub(t[0]) as f64 * period_ms).collect()
    })?;
    Ok(Some(times))
}
