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
/// Part of all pages that is free when a stroke begins, as far as the device has room: one of so many.
const AHEAD: u32 = 4;
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

    /// Makes room for the next stroke, where little is left, so that none has to be made in the middle of it: there a bank that grows would be
    /// copied between two of its frames. Where the device has no more room nothing changes, and whoever takes pages is told.
    pub fn make_ahead(&mut self, gpu: &Gpu) {
        let made = self.banks.iter().fold(0_u32, |sum, (_, pages)| sum.saturating_add(*pages));
        let wanted = made / AHEAD;
        let free = self.free.lock().map_or(0, |free| free.len());
        if free < wanted as usize {
            // Not asked for yet, so it is no failure.
            drop(self.grow(gpu, wanted));
        }
    }

    /// Adds a bank as large as all there are, or, where all are there, makes the smallest so large: what lies in the others stays where it
    /// is. In the middle of a stroke that happens only where the stroke alone takes up what was made ahead.
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

#[cfg(test)]
mod tests {
    use super::super::read_back::ReadBacks;
    use super::super::test_device;
    use super::*;
    use crate::engine::answer::Source;

    /// Four banks, three quarters full: a stroke that takes up all that is left and more finds room that was made before it began, and what
    /// lay in the bank that grew is there.
    #[test]
    fn no_bank_is_copied_in_the_middle_of_a_stroke() -> Result<(), EngineError> {
        let Some(gpu) = test_device("banks that grow") else { return Ok(()) };
        let mut pool = Pool::new(&gpu, u64::MAX)?;
        let mut taken = Vec::new();
        while pool.banks.len() < BANKS || taken.len() < 1600 {
            taken.extend(pool.take(&gpu, 100)?);
        }
        let made: u32 = pool.banks.iter().map(|(_, pages)| pages).sum();
        assert!(
            taken.len() < made as usize && taken.len() > (made - made / AHEAD) as usize,
            "{} of {made}",
            taken.len()
        );
        let first = taken[0];
        let (bank, at) = pool.locate(first);
        gpu.queue.write_buffer(bank, at, &[7; PAGE_BYTES as usize]);
        let before = pool.buffers().map(wgpu::Buffer::clone);
        pool.make_ahead(&gpu);
        let ready = pool.buffers().map(wgpu::Buffer::clone);
        assert!(before != ready, "nothing was made ahead");
        let left = made as usize - taken.len();
        for _ in 0..10 {
            taken.extend(pool.take(&gpu, left / 5)?);
        }
        assert!(ready.iter().eq(pool.buffers()), "a bank was copied");
        let (bank, at) = pool.locate(first);
        let mut read = ReadBacks::default().submit(
            &gpu,
            gpu.device.create_command_encoder(&Default::default()),
            &[(bank, at, PAGE_BYTES)],
        )?;
        read.wait();
        assert!(read.words(|words| words.iter().all(|&word| word == 0x0707_0707))?);
        // What is plentiful is left alone.
        pool.make_ahead(&gpu);
        assert!(ready.iter().eq(pool.buffers()));
        Ok(())
    }
}
