//! What is read back from the device: handed over now, unpacked by whoever takes the answer.

use super::layout::TALLY_PAINTS;
use super::pool::{PAGE_BYTES, ROW_BYTES};
use super::read_back::{Part, ReadBack};
use super::{CHUNK, GpuEngine, Planes, tile};
use crate::engine::answer::{Answer, Source};
use crate::engine::{EngineError, Lifted, Stack, TileHandle, TileSample};
use crate::pixel::paint_id;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, PoisonError};
use stint_model::readout::Tally;
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_PIXELS, TILE_SIDE, TilePixels};

/// Pixels of a row of a tile.
const SIDE: usize = TILE_SIDE as usize;

/// Some tiles of which a read holds the planes, with what is known of them already.
type Held = Vec<(TileHandle, Planes)>;

/// Tallies of some stacks in a read: the first paint of a row and how many paints it has.
#[derive(Clone, Copy)]
struct Rows {
    first_stack: usize,
    stacks: usize,
    first_paint: u32,
    paints: u32,
}

/// The rows of the tile that a sample needs, each once.
fn rows_of(sample: &TileSample<'_>) -> impl Iterator<Item = usize> {
    sample.pixels.iter().map(|i| i / SIDE).collect::<BTreeSet<usize>>().into_iter()
}

fn sources<'a>(reads: impl Iterator<Item = &'a ReadBack>) -> Vec<Box<dyn Source>> {
    reads.cloned().map(|read| -> Box<dyn Source> { Box::new(read) }).collect()
}

impl GpuEngine {
    fn encoder(&self) -> wgpu::CommandEncoder {
        self.gpu.device.create_command_encoder(&Default::default())
    }

    /// The planes of some tiles in the order in which they are read.
    fn parts<'a>(&'a self, held: &'a Held) -> impl Iterator<Item = Part<'a>> {
        let pages = held.iter().flat_map(|(_, planes)| match planes {
            Planes::Device(pages) => &pages[..],
            Planes::Host(_) => &[],
        });
        pages.map(|&page| {
            let (bank, start) = self.pool.locate(page);
            (bank, start, PAGE_BYTES)
        })
    }

    /// Tiles and tallies. What fits is submitted once: the kernel, the copies of its sums and those of the tiles.
    pub(super) fn requested_lift(
        &mut self,
        tiles: &[TileHandle],
        stacks: &[Stack],
    ) -> Result<Answer<Lifted>, EngineError> {
        let held = |chunk: &[TileHandle]| {
            chunk.iter().map(|t| Ok((t.clone(), tile(t)?.planes()))).collect::<Result<Held, EngineError>>()
        };
        let mut chunks = tiles.chunks(CHUNK / MAX_PLANES).map(held).collect::<Result<Vec<Held>, EngineError>>()?;
        let with_tally = if stacks.is_empty() { None } else { chunks.pop() };
        let mut reads: Vec<(ReadBack, Held, Option<Rows>)> = Vec::new();
        for held in chunks {
            let parts: Vec<_> = self.parts(&held).collect();
            let read = self.read_backs.submit(&self.gpu, self.encoder(), &parts)?;
            reads.push((read, held, None));
        }
        let mut with_tally = with_tally.unwrap_or_default();
        let all = self.count_of_paints();
        for (i, some) in stacks.chunks(CHUNK).enumerate() {
            for first_paint in (0..all).step_by(TALLY_PAINTS as usize) {
                let held = std::mem::take(&mut with_tally);
                let paints = (all - first_paint).min(TALLY_PAINTS);
                let dispatch = self.prepare_tally(some, first_paint)?;
                let engine = dispatch.engine;
                let mut encoder = engine.encoder();
                dispatch.record_into(&mut encoder);
                let sums = (engine.output.buffer(), 0, some.len() as u64 * u64::from(paints) * 4);
                let parts: Vec<_> = engine.parts(&held).chain([sums]).collect();
                let read = engine.read_backs.submit(&engine.gpu, encoder, &parts)?;
                let rows = Rows { first_stack: i * CHUNK, stacks: some.len(), first_paint, paints };
                reads.push((read, held, Some(rows)));
            }
        }
        self.gpu.check()?;
        let (trims, stacks) = (self.trims.clone(), stacks.len());
        Ok(Answer::new(sources(reads.iter().map(|(read, ..)| read)), move || {
            let mut all = Vec::new();
            let mut tallies = vec![Tally::default(); stacks];
            let mut empty = Vec::new();
            for (read, held, rows) in reads {
                read.words(|words| {
                    let sums = unpack(words, held, &mut all, &mut empty);
                    if let Some(rows) = rows {
                        count(sums, rows, &mut tallies);
                    }
                })?;
            }
            trims.lock().unwrap_or_else(PoisonError::into_inner).extend(empty);
            Ok((all, tallies))
        }))
    }

    pub(super) fn requested_sample(
        &mut self,
        samples: &[TileSample<'_>],
    ) -> Result<Answer<Vec<Vec<Vec<u32>>>>, EngineError> {
        /// One sample: the planes and the rows that are read of each, or the tile that lies beside the device.
        struct Asked {
            planes: usize,
            rows: Vec<usize>,
            parked: Option<Arc<TilePixels>>,
            pixels: Vec<usize>,
        }
        let mut reads = Vec::new();
        for some in samples.chunks(CHUNK) {
            // Whole rows: a few hundred bytes more cost less than a copy for each pixel.
            let mut parts: Vec<Part<'_>> = Vec::new();
            let mut asked = Vec::with_capacity(some.len());
            for sample in some {
                let rows: Vec<usize> = rows_of(sample).collect();
                let (pages, parked) = match tile(sample.tile)?.planes() {
                    Planes::Device(pages) => (pages, None),
                    Planes::Host(pixels) => (Vec::new(), Some(pixels)),
                };
                for &page in &pages {
                    let (bank, start) = self.pool.locate(page);
                    parts.extend(rows.iter().map(|&row| (bank, start + row as u64 * ROW_BYTES, ROW_BYTES)));
                }
                asked.push(Asked { planes: pages.len(), rows, parked, pixels: sample.pixels.clone() });
            }
            reads.push((self.read_backs.submit(&self.gpu, self.encoder(), &parts)?, asked));
        }
        Ok(Answer::new(sources(reads.iter().map(|(read, _)| read)), move || {
            let mut all = Vec::new();
            for (read, asked) in reads {
                read.words(|words| {
                    let mut rows = words.chunks_exact(SIDE);
                    for Asked { planes, rows: wanted, parked, pixels } in asked {
                        if let Some(parked) = parked {
                            let pairs = |plane: &Plane| pixels.iter().map(|&i| plane[i]).collect();
                            all.push(parked.planes().iter().map(pairs).collect());
                            continue;
                        }
                        let planes = (0..planes).map(|_| {
                            let read: BTreeMap<usize, &[u32]> = wanted.iter().copied().zip(rows.by_ref()).collect();
                            let pair = |&i: &usize| read.get(&(i / SIDE)).map_or(0, |row| row[i % SIDE]);
                            pixels.iter().map(pair).collect()
                        });
                        all.push(planes.collect());
                    }
                })?;
            }
            Ok(all)
        }))
    }

    pub(super) fn requested_resolve(&mut self, stacks: &[Stack]) -> Result<Answer<Vec<u32>>, EngineError> {
        let mut reads = Vec::new();
        for chunk in stacks.chunks(CHUNK) {
            let dispatch = self.prepare_resolve(chunk)?;
            let engine = dispatch.engine;
            let mut encoder = engine.encoder();
            dispatch.record_into(&mut encoder);
            let colours = (engine.output.buffer(), 0, chunk.len() as u64 * PAGE_BYTES);
            reads.push(engine.read_backs.submit(&engine.gpu, encoder, &[colours])?);
        }
        let total = stacks.len() * TILE_PIXELS;
        Ok(Answer::new(sources(reads.iter()), move || {
            let mut colours = Vec::with_capacity(total);
            for read in reads {
                read.words(|words| colours.extend_from_slice(words))?;
            }
            Ok(colours)
        }))
    }
}

/// Takes the tiles of a read out of its words; notes those that have empty planes on top. Gives the words after them.
fn unpack<'a>(
    words: &'a [u32],
    held: Held,
    all: &mut Vec<Arc<TilePixels>>,
    empty: &mut Vec<(TileHandle, usize)>,
) -> &'a [u32] {
    let mut rest = words;
    for (handle, planes) in held {
        match planes {
            Planes::Host(pixels) => all.push(pixels),
            Planes::Device(pages) => {
                let (own, after) = rest.split_at((pages.len() * TILE_PIXELS).min(rest.len()));
                rest = after;
                let planes = own.chunks_exact(TILE_PIXELS).filter_map(Plane::from_words);
                let pixels = TilePixels::new(planes.collect());
                if pixels.planes().len() < pages.len() {
                    empty.push((handle, pixels.planes().len()));
                }
                all.push(Arc::new(pixels));
            }
        }
    }
    rest
}

/// Adds the sums of some rows to the tallies of their stacks.
fn count(sums: &[u32], rows: Rows, tallies: &mut [Tally]) {
    let some = tallies.iter_mut().skip(rows.first_stack).take(rows.stacks);
    for (tally, row) in some.zip(sums.chunks_exact(rows.paints as usize)) {
        for (id, &sum) in (rows.first_paint..).zip(row) {
            tally.add(paint_id(id), sum.into());
        }
    }
}
