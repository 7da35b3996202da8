//! The CPU engine: rayon over tiles, kernels over rows of pixels. It is the fallback in the program and the oracle that GPU
//! results are held against.

mod classes;
mod codes;
mod commit;
mod coverage;
pub(crate) mod gamut;
mod latents;
mod layers;
mod oklab;
mod resolve;
mod tally;

use crate::engine::{CommitJob, Earlier, Engine, EngineError, EngineInfo, EngineKind, Op, Stack, TileHandle};
use crate::paints::PaintLut;
use layers::TileLayer;
use rayon::prelude::*;
use std::sync::Arc;
use stint_model::colour::Colour;
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::readout::Tally;
use stint_model::study::tile::{TILE_PIXELS, TilePixels};

pub(crate) use coverage::coverage;
pub(crate) use layers::LayerWords;
pub(crate) use resolve::{resolve_exact, resolve_words};

/// The CPU engine.
pub struct CpuEngine {
    paints: PaintLut,
}

impl Default for CpuEngine {
    fn default() -> Self {
        CpuEngine { paints: PaintLut::new(&PaintTable::default(), Colour::default(), Mixing::default()) }
    }
}

impl CpuEngine {
    /// An engine with a paint table.
    pub(crate) fn with_paints(paints: PaintLut) -> Self {
        CpuEngine { paints }
    }

    /// A tile as this engine keeps it.
    pub(crate) fn kept(tile: Arc<TilePixels>) -> TileHandle {
        TileHandle(Arc::new(tile))
    }
}

/// The pixels behind a handle of this engine.
fn pixels(handle: &TileHandle) -> Result<&Arc<TilePixels>, EngineError> {
    handle.0.downcast_ref::<Arc<TilePixels>>().ok_or(EngineError::ForeignTile)
}

/// The tiles of a stack, top first, with the strengths of their passes.
fn layers(stack: &Stack) -> Result<Vec<TileLayer<'_>>, EngineError> {
    stack.layers.iter().map(|layer| Ok((&**pixels(&layer.tile)?, u32::from(layer.strength)))).collect()
}

impl Engine for CpuEngine {
    fn info(&self) -> EngineInfo {
        let detail = format!("{} threads", rayon::current_num_threads());
        EngineInfo { name: "CPU".to_owned(), detail, kind: EngineKind::Cpu }
    }

    fn set_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
        self.paints = paints.clone();
        Ok(())
    }

    fn upload(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError> {
        Ok(tiles.iter().cloned().map(CpuEngine::kept).collect())
    }

    fn download(&mut self, tiles: &[TileHandle]) -> Result<Vec<Arc<TilePixels>>, EngineError> {
        tiles.iter().map(|t| pixels(t).cloned()).collect()
    }

    fn commit(&mut self, op: Op, jobs: &[CommitJob<'_>]) -> Result<Vec<TileHandle>, EngineError> {
        self.commit_again(op, jobs, &vec![None; jobs.len()])
    }

    fn commit_again(
        &mut self,
        op: Op,
        jobs: &[CommitJob<'_>],
        earlier: &[Option<Earlier<'_>>],
    ) -> Result<Vec<TileHandle>, EngineError> {
        let empty = Arc::new(TilePixels::default());
        let bases = jobs.iter().map(|job| job.base.map_or(Ok(&empty), pixels)).collect::<Result<Vec<_>, _>>()?;
        let known = earlier.iter().map(|known| known.map(|known| Ok((&**pixels(known.tile)?, known.mask))).transpose());
        let known = known.collect::<Result<Vec<_>, _>>()?;
        let run = |((job, base), known): ((&CommitJob<'_>, &&Arc<TilePixels>), _)| {
            let tile = commit::commit_tile(op, base, job.mask, known, &self.paints);
            TileHandle(Arc::new(Arc::new(tile)))
        };
        Ok(jobs.par_iter().zip(&bases).zip(known).map(run).collect())
    }

    fn resolve(&mut self, stacks: &[Stack]) -> Result<Vec<u32>, EngineError> {
        let layers = stacks.iter().map(layers).collect::<Result<Vec<_>, _>>()?;
        let mut out = vec![0; stacks.len() * TILE_PIXELS];
        out.par_chunks_exact_mut(TILE_PIXELS)
            .zip(&layers)
            .for_each(|(out, layers)| resolve::resolve_tile(layers, &self.paints, out));
        Ok(out)
    }

    fn tally(&mut self, stacks: &[Stack]) -> Result<Vec<Tally>, EngineError> {
        let layers = stacks.iter().map(layers).collect::<Result<Vec<_>, _>>()?;
        let entries = self.paints.ints().len();
        let run = |sums: &mut Vec<u32>, layers: &Vec<TileLayer<'_>>| tally::tally_tile(layers, sums);
        Ok(layers.par_iter().map_init(|| vec![0; entries], run).collect())
    }
}
