//! Where planes live on the device: pages of 16384 words in up to four growing buffers, the banks.
//!
//! A page goes back to the free list when the last handle of its tile goes. Work that still reads it was submitted before
//! anything that writes it again, and the queue runs in order, so that is safe.

use super::buffers::create;
use super::device::Gpu;
use super::layout::{BANK_SHIFT, BANKS};
use crate::engine::EngineError;
use std::sync::{Arc, Mutex};
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE};

/// Bytes of one page.
pub const PAGE_BYTES: u64 = (TILE_PIXELS * 4) as u64;
/// Bytes of one row of a tile in a page.
pub const ROW_BYTES: u64 = TILE_SIDE as u64 * 4;
/// Pages of a bank when it is first made: 16 MiB.
const FIRST_PAGES: u32 = 256;
/// No bank grows beyond this, 4 GiB, so that a shader's 32 bits tell every byte of it. What the adapter allows is mostly less.
const MAX_PAGES: u32 = 1 << 16;

/// Pages that nobody uses.
pub type FreeList = Arc<Mutex<Vec<u32>>>;

/// The banks and the free pages in them.
pub struct Pool {
    banks: Vec<(wgpu::Buffer, u32)>,
    /// Stands in where there is no bank yet.
    empty: wgpu::Buffer,
    bank_limit: u32,
    free: FreeList,
}

const BANK_USAGE: wgpu::BufferUsages =
    wgpu::BufferUsages::STORAGE.union(wgpu::BufferUsages::COPY_SRC).union(wgpu::BufferUsages::COPY_DST);

impl Pool {
    /// An empty pool that takes no more than `most_bytes`.
    ///
    /// # Errors
    /// When the device has no room for a single page.
    pub fn new(gpu: &Gpu, most_bytes: u64) -> Result<Self, EngineError> {
        let limits = gpu.device.limits();
        let bytes = limits.max_buffer_size.min(limits.max_storage_buffer_binding_size).min(most_bytes / BANKS as u64);
        Ok(Pool {
            banks: Vec::new(),
            empty: create(gpu, "bank", BANK_USAGE, PAGE_BYTES)?,
            bank_limit: u32::try_from(bytes / PAGE_BYTES).unwrap_or(MAX_PAGES).min(MAX_PAGES),
            free: FreeList::default(),
        })
    }

    /// Bytes of the pages in use.
    pub fn used_bytes(&self) -> u64 {
        let made: u64 = self.banks.iter().map(|(_, pages)| u64::from(*pages)).sum();
        let free = self.free.lock().map_or(0, |free| free.len() as u64);
        (made - free) * PAGE_BYTES
    }

    /// The list a tile gives its pages back to.
    pub fn free_list(&self) -> FreeList {
        self.free.clone()
    }

    /// All banks, with the stand-in where there is none.
    pub fn buffers(&self) -> [&wgpu::Buffer; BANKS] {
        std::array::from_fn(|i| self.banks.get(i).map_or(&self.empty, |(buffer, _)| buffer))
    }

    /// The buffer and byte offset of a page.
    pub fn locate(&self, page: u32) -> (&wgpu::Buffer, u64) {
        let bank = (page >> BANK_SHIFT) as usize;
        let place = page & ((1 << BANK_SHIFT) - 1);
        (self.buffers()[bank.min(BANKS - 1)], u64::from(place) * PAGE_BYTES)
    }

    /// Takes `count` pages; their content is whatever was there.
    ///
    /// # Errors
    /// When all banks are at their limit or the device gives no more memory.
    pub fn take(&mut self, gpu: &Gpu, count: usize) -> Result<Vec<u32>, EngineError> {
        loop {
            let mut free = self.free.lock().map_err(|_| EngineError::DeviceLost("its page list broke".to_owned()))?;
            if let Some(from) = free.len().checked_sub(count) {
                return Ok(free.split_off(from));
            }
            let missing = count - free.len();
            drop(free);
            self.grow(gpu, u32::try_from(missing).unwrap_or(u32::MAX))?;
        }
    }

    /// Adds a bank as large as all there are, or, where all are there, makes the smallest so large: what lies in the others stays where it
    /// is, and a stroke never waits for a large copy.
    fn grow(&mut self, gpu: &Gpu, missing: u32) -> Result<(), EngineError> {
        let add = self.banks.len() < BANKS;
        let smallest = (0..self.banks.len()).min_by_key(|&i| self.banks[i].1);
        let (index, old) = match smallest.filter(|_| !add) {
            Some(index) => (index, self.banks[index].1),
            None => (self.banks.len(), 0),
        };
        if old >= self.bank_limit {
            let mib = (u64::from(self.bank_limit) * BANKS as u64 * PAGE_BYTES) >> 20;
            return Err(EngineError::OutOfMemory(format!("all {mib} MiB that it can bind are in use")));
        }
        let all = self.banks.iter().fold(0_u32, |sum, (_, pages)| sum.saturating_add(*pages));
        let pages = all.max(old.saturating_add(missing)).max(FIRST_PAGES).min(self.bank_limit);
        let buffer = create(gpu, "bank", BANK_USAGE, u64::from(pages) * PAGE_BYTES)?;
        if let Some((from, _)) = self.banks.get(index) {
            let mut encoder = gpu.device.create_command_encoder(&Default::default());
            encoder.copy_buffer_to_buffer(from, 0, &buffer, 0, u64::from(old) * PAGE_BYTES);
            gpu.queue.submit([encoder.finish()]);
            self.banks[index] = (buffer, pages);
        } else {
            self.banks.push((buffer, pages));
        }
        let mut free = self.free.lock().map_err(|_| EngineError::DeviceLost("its page list broke".to_owned()))?;
        // Lowest pages last, so that they are used first.
        #[expect(clippy::cast_possible_truncation, reason = "an index of one of four banks")]
        let bank = index as u32;
        free.extend((old..pages).rev().map(|place| bank << BANK_SHIFT | place));
        Ok(())
    }
}
