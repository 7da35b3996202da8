//! An engine whose n-th call fails.

use super::Trigger;
use std::sync::Arc;
use stint_model::readout::Tally;
use stint_model::study::tile::TilePixels;
use stint_render::cpu::CpuEngine;
use stint_render::engine::{CommitJob, Engine, EngineError, EngineInfo, Op, Stack, TileHandle};
use stint_render::paints::PaintLut;

/// The CPU engine, with faults on order.
pub struct FaultyEngine {
    engine: CpuEngine,
    trigger: Arc<Trigger>,
}

impl FaultyEngine {
    pub fn new(trigger: Arc<Trigger>) -> Self {
        FaultyEngine { engine: CpuEngine::default(), trigger }
    }

    fn call(&mut self) -> Result<&mut CpuEngine, EngineError> {
        if self.trigger.fails() { Err(EngineError::OutOfMemory("planted".to_owned())) } else { Ok(&mut self.engine) }
    }
}

impl Engine for FaultyEngine {
    fn info(&self) -> EngineInfo {
        self.engine.info()
    }

    fn set_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
        self.call()?.set_paints(paints)
    }

    fn upload(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError> {
        self.call()?.upload(tiles)
    }

    fn download(&mut self, tiles: &[TileHandle]) -> Result<Vec<Arc<TilePixels>>, EngineError> {
        self.call()?.download(tiles)
    }

    fn commit(&mut self, op: Op, jobs: &[CommitJob<'_>]) -> Result<Vec<TileHandle>, EngineError> {
        self.call()?.commit(op, jobs)
    }

    fn resolve(&mut self, stacks: &[Stack]) -> Result<Vec<u32>, EngineError> {
        self.call()?.resolve(stacks)
    }

    fn tally(&mut self, stacks: &[Stack]) -> Result<Vec<Tally>, EngineError> {
        self.call()?.tally(stacks)
    }
}
