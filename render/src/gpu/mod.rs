//! The GPU engine: wgpu compute over pages of planes. Gives the bits of the CPU engine for commit and tally.
//!
//! Every call uploads its jobs, records one pass, and reads back only what was asked for. Tiles stay on the device.

mod buffers;
mod device;
mod dispatch;
pub mod layout;
mod pipeline;
mod pool;
mod shown;
pub mod source;
mod trusted;

use crate::engine::{CommitJob, Engine, EngineError, EngineInfo, Op, Shown, ShownTile, Stack, TileHandle, TileSample};
use crate::paints::PaintLut;
use crate::pixel::{paint_id, paint_of};
use buffers::{GrowingBuffer, ReadBack};
pub use device::{AdapterPreference, Gpu};
pub use dispatch::Dispatch;
use dispatch::EvenPage;
use layout::TALLY_PAINTS;
use pipeline::Pipelines;
use pool::{FreeList, PAGE_BYTES, Pool, ROW_BYTES};
pub use shown::target_texture;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use stint_model::colour::Colour;
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::readout::Tally;
use stint_model::study::tile::{BLOCKS, MAX_PLANES, Plane, TILE_PIXELS, TILE_SIDE, TilePixels, Words};

/// Stacks resolved, and tiles read back, in one go: bounds the size of the buffers in between to 32 MiB.
const CHUNK: usize = 512;

/// Pixels of a row of a tile.
const SIDE: usize = TILE_SIDE as usize;

/// Where the planes of a tile are.
#[derive(Clone)]
enum Planes {
    /// On the device, in these pages, lowest first.
    Device(Vec<u32>),
    /// Beside it: the tile was parked.
    Host(Arc<TilePixels>),
}

/// A tile of the engine.
struct GpuTile {
    /// Behind a lock, because upper planes that turn out to be empty go, and tiles are parked, while others hold the tile.
    planes: Mutex<Planes>,
    /// Paints that may be in the tile: bounds the planes it needs, so that nothing is read back to grow it.
    paints: BTreeSet<u16>,
    /// Whether some pixel may hold one paint twice: only in a tile that came in damaged.
    repeats: bool,
    free: FreeList,
}

impl GpuTile {
    fn new(pages: Vec<u32>, paints: BTreeSet<u16>, repeats: bool, free: FreeList) -> Self {
        GpuTile { planes: Mutex::new(Planes::Device(pages)), paints, repeats, free }
    }

    fn lock(&self) -> MutexGuard<'_, Planes> {
        self.planes.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Where its planes are.
    fn planes(&self) -> Planes {
        self.lock().clone()
    }

    /// The pages of its planes, lowest first; none while it is parked.
    fn pages(&self) -> Vec<u32> {
        match &*self.lock() {
            Planes::Device(pages) => pages.clone(),
            Planes::Host(_) => Vec::new(),
        }
    }

    /// Gives the pages above the lowest `planes` back; they were read and are empty.
    fn trim(&self, planes: usize) {
        if let Planes::Device(pages) = &mut *self.lock() {
            let empty = pages.split_off(planes.min(pages.len()));
            self.give_back(empty);
        }
    }

    /// Puts its planes elsewhere and gives the pages they were in back; tells how many.
    fn put(&self, planes: Planes) -> usize {
        let pages = match std::mem::replace(&mut *self.lock(), planes) {
            Planes::Device(pages) => pages,
            Planes::Host(_) => Vec::new(),
        };
        let count = pages.len();
        self.give_back(pages);
        count
    }

    fn give_back(&self, mut pages: Vec<u32>) {
        if let Ok(mut free) = self.free.lock() {
            free.append(&mut pages);
        }
    }
}

impl Drop for GpuTile {
    fn drop(&mut self) {
        self.trim(0);
    }
}

/// Whether a pixel of the tile holds one paint twice.
fn repeats(tile: &TilePixels) -> bool {
    let planes = tile.planes();
    let same = |a: u32, b: u32| a != 0 && paint_of(a) == paint_of(b);
    let in_block = |upper: Words<'_>, lower: Words<'_>| match (upper, lower) {
        (Words::Even(a), Words::Even(b)) => same(a, b),
        (Words::Pixels(pixels), Words::Even(even)) => pixels.iter().any(|&pixel| same(pixel, even)),
        (Words::Even(even), Words::Pixels(pixels)) => pixels.iter().any(|&pixel| same(even, pixel)),
        (Words::Pixels(a), Words::Pixels(b)) => a.iter().zip(b).any(|(&a, &b)| same(a, b)),
    };
    (0..BLOCKS).any(|i| {
        planes.iter().enumerate().any(|(k, upper)| {
            let upper = upper.block(i);
            !matches!(upper, Words::Even(0)) && planes[..k].iter().any(|lower| in_block(upper, lower.block(i)))
        })
    })
}

/// The paints in a tile.
fn paints_in(tile: &TilePixels) -> BTreeSet<u16> {
    let mut paints = BTreeSet::new();
    let mut last = 0;
    let mut note = |pair: u32| {
        if paint_of(pair) != last {
            last = paint_of(pair);
            paints.insert(paint_id(last).0);
        }
    };
    for plane in tile.planes() {
        for i in 0..BLOCKS {
            match plane.block(i) {
                Words::Even(word) => note(word),
                Words::Pixels(words) => words.iter().for_each(|&word| note(word)),
            }
        }
    }
    paints.remove(&0);
    paints
}

fn tile(handle: &TileHandle) -> Result<&GpuTile, EngineError> {
    handle.0.downcast_ref::<GpuTile>().ok_or(EngineError::ForeignTile)
}

/// The GPU engine.
pub struct GpuEngine {
    gpu: Gpu,
    pool: Pool,
    pipelines: Pipelines,
    paints: PaintLut,
    ints: GrowingBuffer,
    latents: GrowingBuffer,
    jobs: GrowingBuffer,
    masks: GrowingBuffer,
    params: GrowingBuffer,
    output: GrowingBuffer,
    /// One bit for each paint id: which of them are lit.
    lit: GrowingBuffer,
    /// Where tiles lie in the texture that is drawn, and the numbers of that dispatch.
    places: GrowingBuffer,
    place_params: GrowingBuffer,
    read_back: ReadBack,
}

/// The rows of the tile that a sample needs, each once.
fn rows_of(sample: &TileSample<'_>) -> impl Iterator<Item = usize> {
    sample.pixels.iter().map(|i| i / SIDE).collect::<BTreeSet<usize>>().into_iter()
}

impl GpuEngine {
    /// An engine on a device.
    ///
    /// # Errors
    /// When the device fails while the kernels are made.
    pub fn new(gpu: Gpu) -> Result<Self, EngineError> {
        Self::within(gpu, u64::MAX)
    }

    /// An engine whose tiles take no more than `most_bytes` of the device's memory.
    ///
    /// # Errors
    /// As for [`GpuEngine::new`].
    pub fn within(gpu: Gpu, most_bytes: u64) -> Result<Self, EngineError> {
        use wgpu::BufferUsages as Use;
        if let Some(why) = gpu.refused() {
            return Err(EngineError::NoDevice(format!("{} {why}", gpu.info().name)));
        }
        let mut engine = GpuEngine {
            pool: Pool::new(&gpu, most_bytes)?,
            pipelines: Pipelines::new(&gpu)?,
            paints: PaintLut::new(&PaintTable::default(), Colour::default(), Mixing::default()),
            ints: GrowingBuffer::new(&gpu, "paints", Use::STORAGE)?,
            latents: GrowingBuffer::new(&gpu, "latents", Use::STORAGE)?,
            jobs: GrowingBuffer::new(&gpu, "jobs", Use::STORAGE)?,
            masks: GrowingBuffer::new(&gpu, "masks", Use::STORAGE)?,
            params: GrowingBuffer::new(&gpu, "params", Use::UNIFORM)?,
            output: GrowingBuffer::new(&gpu, "output", Use::STORAGE | Use::COPY_SRC)?,
            lit: GrowingBuffer::new(&gpu, "lit paints", Use::STORAGE)?,
            places: GrowingBuffer::new(&gpu, "places", Use::STORAGE)?,
            place_params: GrowingBuffer::new(&gpu, "place params", Use::UNIFORM)?,
            read_back: ReadBack::new(&gpu)?,
            gpu,
        };
        let paints = engine.paints.clone();
        engine.write_paints(&paints)?;
        Ok(engine)
    }

    /// Memory of the device that tiles take now, bytes.
    pub fn used_bytes(&self) -> u64 {
        self.pool.used_bytes()
    }

    /// Puts planes into pages of their own. Even ones are filled on the device when [`GpuEngine::fill`] is called with them: they are added
    /// to `even`.
    fn write_planes(&mut self, pixels: &TilePixels, even: &mut Vec<EvenPage>) -> Result<Vec<u32>, EngineError> {
        let pages = self.pool.take(&self.gpu, pixels.planes().len())?;
        let mut words = Vec::new();
        for (&page, plane) in pages.iter().zip(pixels.planes()) {
            if let Some(filled) = plane.even_word().and_then(|word| EvenPage::new(page, word)) {
                even.push(filled);
                continue;
            }
            words.resize(TILE_PIXELS, 0);
            plane.copy_to(&mut words);
            let (bank, offset) = self.pool.locate(page);
            self.gpu.queue.write_buffer(bank, offset, bytemuck::cast_slice(&words));
        }
        Ok(pages)
    }

    /// Brings a parked tile back onto the device.
    fn bring_back(&mut self, handle: &TileHandle) -> Result<(), EngineError> {
        let tile = tile(handle)?;
        if let Planes::Host(pixels) = tile.planes() {
            let mut even = Vec::new();
            let pages = self.write_planes(&pixels, &mut even)?;
            self.fill(&even)?;
            tile.put(Planes::Device(pages));
        }
        Ok(())
    }

    fn write_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
        self.ints.write(&self.gpu, bytemuck::cast_slice(paints.ints()))?;
        self.latents.write(&self.gpu, bytemuck::cast_slice(paints.latents()))
    }
}

impl Engine for GpuEngine {
    fn info(&self) -> EngineInfo {
        self.gpu.info().clone()
    }

    fn set_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
        self.write_paints(paints)?;
        self.paints = paints.clone();
        self.gpu.check()
    }

    fn upload(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError> {
        let mut handles = Vec::with_capacity(tiles.len());
        let mut even = Vec::new();
        for pixels in tiles {
            let pages = self.write_planes(pixels, &mut even)?;
            let paints = paints_in(pixels);
            let tile = GpuTile::new(pages, paints, repeats(pixels), self.pool.free_list());
            handles.push(TileHandle(Arc::new(tile)));
        }
        self.fill(&even)?;
        self.gpu.queue.submit([]);
        self.gpu.check()?;
        Ok(handles)
    }

    fn download(&mut self, tiles: &[TileHandle]) -> Result<Vec<Arc<TilePixels>>, EngineError> {
        let mut all = Vec::with_capacity(tiles.len());
        for chunk in tiles.chunks(CHUNK / MAX_PLANES) {
            let held = chunk.iter().map(|t| Ok(tile(t)?.planes())).collect::<Result<Vec<_>, EngineError>>()?;
            let pages = held.iter().flat_map(|planes| match planes {
                Planes::Device(pages) => &pages[..],
                Planes::Host(_) => &[],
            });
            let copies: Vec<_> = pages.map(|&page| self.pool.locate(page)).collect();
            let words = self.read_back.read(&self.gpu, &copies, PAGE_BYTES)?;
            let mut planes = words.chunks_exact(TILE_PIXELS);
            for (handle, held) in chunk.iter().zip(held) {
                let pages = match held {
                    Planes::Device(pages) => pages,
                    Planes::Host(pixels) => {
                        all.push(pixels);
                        continue;
                    }
                };
                let planes = planes.by_ref().take(pages.len()).filter_map(Plane::from_words);
                let pixels = TilePixels::new(planes.collect());
                tile(handle)?.trim(pixels.planes().len());
                all.push(Arc::new(pixels));
            }
        }
        Ok(all)
    }

    fn park(&mut self, tiles: &[TileHandle]) -> Result<usize, EngineError> {
        let mut given_back = 0;
        for chunk in tiles.chunks(CHUNK / MAX_PLANES) {
            for (handle, pixels) in chunk.iter().zip(self.download(chunk)?) {
                given_back += tile(handle)?.put(Planes::Host(pixels));
            }
        }
        Ok(given_back)
    }

    fn sample(&mut self, samples: &[TileSample<'_>]) -> Result<Vec<Vec<Vec<u32>>>, EngineError> {
        let mut all = Vec::with_capacity(samples.len());
        for some in samples.chunks(CHUNK) {
            // Whole rows: a few hundred bytes more cost less than a copy for each pixel.
            let mut copies = Vec::new();
            for sample in some {
                for page in tile(sample.tile)?.pages() {
                    let (bank, start) = self.pool.locate(page);
                    copies.extend(rows_of(sample).map(|row| (bank, start + row as u64 * ROW_BYTES)));
                }
            }
            let words = self.read_back.read(&self.gpu, &copies, ROW_BYTES)?;
            let mut rows = words.chunks_exact(SIDE);
            for sample in some {
                if let Planes::Host(pixels) = tile(sample.tile)?.planes() {
                    let pairs = |plane: &Plane| sample.pixels.iter().map(|&i| plane[i]).collect();
                    all.push(pixels.planes().iter().map(pairs).collect());
                    continue;
                }
                let wanted: Vec<usize> = rows_of(sample).collect();
                let planes = tile(sample.tile)?.pages().into_iter().map(|_| {
                    let read: BTreeMap<usize, &[u32]> = wanted.iter().copied().zip(rows.by_ref()).collect();
                    let pair = |&i: &usize| read.get(&(i / SIDE)).map_or(0, |row| row[i % SIDE]);
                    sample.pixels.iter().map(pair).collect()
                });
                all.push(planes.collect());
            }
        }
        Ok(all)
    }

    fn commit(&mut self, op: Op, jobs: &[CommitJob<'_>]) -> Result<Vec<TileHandle>, EngineError> {
        let mut handles = Vec::with_capacity(jobs.len());
        for chunk in jobs.chunks(CHUNK * 4) {
            let (dispatch, tiles) = self.prepare_commit(op, chunk)?;
            dispatch.run();
            handles.extend(tiles);
        }
        self.gpu.check()?;
        Ok(handles)
    }

    fn resolve(&mut self, stacks: &[Stack]) -> Result<Vec<u32>, EngineError> {
        let mut colours = Vec::with_capacity(stacks.len() * TILE_PIXELS);
        for chunk in stacks.chunks(CHUNK) {
            self.prepare_resolve(chunk)?.run();
            let bytes = chunk.len() as u64 * PAGE_BYTES;
            colours.extend(self.read_back.read(&self.gpu, &[(self.output.buffer(), 0)], bytes)?);
        }
        Ok(colours)
    }

    fn draws_on(&self, device: &wgpu::Device) -> bool {
        self.gpu.draws() && self.gpu.device == *device
    }

    fn draw(
        &mut self,
        what: Shown<'_>,
        stacks: &[Stack],
        level: u32,
        tiles: &[ShownTile],
        target: &wgpu::TextureView,
    ) -> Result<(), EngineError> {
        self.draw_shown(what, stacks, level, tiles, target)
    }

    fn tally(&mut self, stacks: &[Stack]) -> Result<Vec<Tally>, EngineError> {
        let mut tallies = vec![Tally::default(); stacks.len()];
        let paints = self.count_of_paints();
        for (stacks, tallies) in stacks.chunks(CHUNK).zip(tallies.chunks_mut(CHUNK)) {
            for first_paint in (0..paints).step_by(TALLY_PAINTS as usize) {
                self.prepare_tally(stacks, first_paint)?.run();
                let paints = (paints - first_paint).min(TALLY_PAINTS);
                let bytes = stacks.len() as u64 * u64::from(paints) * 4;
                let sums = self.read_back.read(&self.gpu, &[(self.output.buffer(), 0)], bytes)?;
                for (tally, row) in tallies.iter_mut().zip(sums.chunks_exact(paints as usize)) {
                    for (id, &sum) in (first_paint..).zip(row) {
                        tally.add(paint_id(id), sum.into());
                    }
                }
            }
        }
        Ok(tallies)
    }
}
