//! The GPU engine: wgpu compute over pages of planes. Gives the bits of the CPU engine for commit and tally.
//!
//! Every call uploads its jobs, records one pass, and reads back only what was asked for. Tiles stay on the device.

mod buffers;
mod device;
mod dispatch;
pub mod layout;
mod pipeline;
mod pool;
mod read_back;
mod requests;
mod shown;
pub mod source;
mod timing;
mod trusted;
mod upload;

use crate::engine::answer::Answer;
use crate::engine::{
    CommitJob, Engine, EngineError, EngineInfo, Lifted, Op, Shown, ShownTile, Stack, TileHandle, TileSample,
};
use crate::paints::PaintLut;
use crate::pixel::{paint_id, paint_of};
use buffers::GrowingBuffer;
pub use device::{AdapterPreference, Gpu};
pub use dispatch::Dispatch;
use pipeline::Pipelines;
use pool::{FreeList, Pool};
use read_back::ReadBacks;
pub use shown::target_texture;
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use stint_model::colour::Colour;
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::readout::Tally;
use stint_model::study::tile::{BLOCKS, MAX_PLANES, TilePixels, Words};
pub use timing::times_ms;

/// Stacks resolved, and tiles read back, in one go: bounds the size of the buffers in between to 32 MiB.
const CHUNK: usize = 512;

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
        self.with_pages(<[u32]>::to_vec)
    }

    /// Does something with the pages of its planes, lowest first; none while it is parked.
    fn with_pages<R>(&self, work: impl FnOnce(&[u32]) -> R) -> R {
        match &*self.lock() {
            Planes::Device(pages) => work(pages),
            Planes::Host(_) => work(&[]),
        }
    }

    /// Its pixels while it is parked.
    fn parked(&self) -> Option<Arc<TilePixels>> {
        match &*self.lock() {
            Planes::Device(_) => None,
            Planes::Host(pixels) => Some(pixels.clone()),
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

/// Tiles and how many of their planes are in use: told by whoever reads them, on any thread, and followed by the engine between two
/// pieces of work, since a page may be given to another tile as soon as it is free.
type Trims = Arc<Mutex<Vec<(TileHandle, usize)>>>;

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
    /// Pixels on their way into pages.
    arrivals: GrowingBuffer,
    read_backs: ReadBacks,
    /// Tiles whose planes above the lowest so many turned out to be empty when they were read.
    trims: Trims,
    /// See [`Engine::moved_bytes`].
    moved: u64,
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
            arrivals: Self::arrivals(&gpu)?,
            read_backs: ReadBacks::default(),
            trims: Trims::default(),
            moved: 0,
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

    /// Gives back the pages of planes that turned out to be empty.
    fn tidy(&mut self) {
        let trims = std::mem::take(&mut *self.trims.lock().unwrap_or_else(PoisonError::into_inner));
        for (handle, planes) in trims {
            if let Ok(tile) = tile(&handle) {
                tile.trim(planes);
            }
        }
    }

    /// Brings a parked tile back onto the device.
    fn bring_back(&mut self, handle: &TileHandle) -> Result<(), EngineError> {
        let tile = tile(handle)?;
        if let Some(pixels) = tile.parked()
            && let Some(pages) = self.write_tiles(&[&pixels])?.pop()
        {
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

    fn moved_bytes(&self) -> u64 {
        self.moved
    }

    fn set_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
        self.write_paints(paints)?;
        self.paints = paints.clone();
        self.gpu.check()
    }

    fn upload(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError> {
        self.upload_tiles(tiles)
    }

    fn download(&mut self, tiles: &[TileHandle]) -> Result<Vec<Arc<TilePixels>>, EngineError> {
        let pixels = self.request_download(tiles)?.take();
        self.tidy();
        pixels
    }

    fn request_download(&mut self, tiles: &[TileHandle]) -> Result<Answer<Vec<Arc<TilePixels>>>, EngineError> {
        self.tidy();
        Ok(self.requested_lift(tiles, &[])?.map(|(pixels, _)| pixels))
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
        self.request_sample(samples)?.take()
    }

    fn request_sample(&mut self, samples: &[TileSample<'_>]) -> Result<Answer<Vec<Vec<Vec<u32>>>>, EngineError> {
        self.tidy();
        self.requested_sample(samples)
    }

    fn commit(&mut self, op: Op, jobs: &[CommitJob<'_>]) -> Result<Vec<TileHandle>, EngineError> {
        self.tidy();
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
        self.request_resolve(stacks)?.take()
    }

    fn request_resolve(&mut self, stacks: &[Stack]) -> Result<Answer<Vec<u32>>, EngineError> {
        self.tidy();
        self.requested_resolve(stacks)
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
        self.tidy();
        self.draw_shown(what, stacks, level, tiles, target)
    }

    fn tally(&mut self, stacks: &[Stack]) -> Result<Vec<Tally>, EngineError> {
        self.request_tally(stacks)?.take()
    }

    fn request_tally(&mut self, stacks: &[Stack]) -> Result<Answer<Vec<Tally>>, EngineError> {
        Ok(self.request_lift(&[], stacks)?.map(|(_, tallies)| tallies))
    }

    fn request_lift(&mut self, tiles: &[TileHandle], stacks: &[Stack]) -> Result<Answer<Lifted>, EngineError> {
        self.tidy();
        let answer = self.requested_lift(tiles, stacks)?;
        if !tiles.is_empty() {
            // A stroke has ended: between this one and the next.
            self.pool.make_ahead(&self.gpu);
        }
        Ok(answer)
    }
}

#[cfg(test)]
mod test_device;
#[cfg(test)]
mod tests;
#[cfg(test)]
pub(crate) use test_device::test_device;
