//! The one door to both engines: tiles go in as values, new tiles come out, the old ones stay as they were.
//!
//! An engine owns no canvas. It keeps tiles for as long as somebody holds a [`TileHandle`], and it offers four operations
//! on them: commit (lay or scrape through a mask), resolve, tally, and reading back. Given equal tiles and masks every
//! engine gives equal bits for commit and tally, and colours within one 8-bit code for resolve.

pub mod answer;

use crate::load::BrushLoad;
use crate::mask::MaskTile;
use crate::paints::PaintLut;
use answer::Answer;
use std::any::Any;
use std::sync::Arc;
use stint_model::ids::PaintId;
use stint_model::readout::Tally;
use stint_model::study::tile::{Plane, TilePixels};

/// A tile kept by an engine; cheap to copy. The tile goes when its last handle goes.
#[derive(Clone)]
pub struct TileHandle(pub(crate) Arc<dyn Any + Send + Sync>);

impl std::fmt::Debug for TileHandle {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("TileHandle")
    }
}

/// What a commit does where its mask covers.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Op {
    /// Lays a paint over what is there.
    Lay(PaintId),
    /// Lays a mixture over what is there: its paints one after the other, each with its cover ([`BrushLoad::covers`]).
    LayMixture(BrushLoad),
    /// Takes paint off.
    Scrape,
}

impl BrushLoad {
    /// What an engine does to lay it.
    pub fn op(&self) -> Op {
        match self.paints() {
            [(paint, _)] => Op::Lay(*paint),
            _ => Op::LayMixture(*self),
        }
    }
}

/// One tile of a commit.
pub struct CommitJob<'a> {
    /// The tile as it is; `None` where the pass has no paint yet.
    pub base: Option<&'a TileHandle>,
    /// How much of each pixel the operation covers.
    pub mask: &'a MaskTile,
}

/// A tile that the same operation made of the same base through another mask.
#[derive(Clone, Copy)]
pub struct Earlier<'a> {
    /// The tile.
    pub tile: &'a TileHandle,
    /// The mask it was made through.
    pub mask: &'a MaskTile,
}

/// One tile of one pass as it shows.
#[derive(Clone, Debug)]
pub struct Layer {
    /// The tile.
    pub tile: TileHandle,
    /// Strength of its pass, 0-65535.
    pub strength: u16,
}

/// The tiles of all visible passes at one place.
#[derive(Clone, Debug)]
pub struct Stack {
    /// Top first.
    pub layers: Vec<Layer>,
}

/// Some pixels of a tile that are to be read.
#[derive(Clone, Debug)]
pub struct TileSample<'a> {
    /// The tile.
    pub tile: &'a TileHandle,
    /// Their places in it, row by row, 0-16383.
    pub pixels: Vec<usize>,
}

/// What is shown of a stack.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shown<'a> {
    /// Its colours.
    Colours,
    /// How much of each pixel is of one of these paints, as greys.
    Shares(&'a [PaintId]),
}

/// Where a tile is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ShownTile {
    /// Its first texel: column and row.
    pub at: [u32; 2],
    /// Pixels of it that lie on the canvas, across and down; at least one of each.
    pub extent: (u32, u32),
}

/// Tiles that [`Engine::sample`] reads whole in one go: bounds the memory it takes.
const SAMPLED_TILES: usize = 64;

/// What kind of engine this is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct EngineInfo {
    /// "CPU" or the adapter's name.
    pub name: String,
    /// The graphics interface, or the number of threads.
    pub detail: String,
    /// Where the work happens.
    pub kind: EngineKind,
}

/// Where an engine works.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum EngineKind {
    /// Rayon threads.
    Cpu,
    /// A driver that runs shaders on the CPU.
    SoftwareGpu,
    /// A real GPU.
    Gpu,
}

/// Why an engine could not do its work. Nothing of the study is lost by any of them: tiles in the study file are complete
/// up to the last stroke.
#[derive(Debug, thiserror::Error)]
pub enum EngineError {
    /// No adapter, or none that offers what is needed.
    #[error("no graphics device can be used ({0}); choose the CPU engine, which does the same work")]
    NoDevice(String),
    /// The device went away.
    #[error(
        "the graphics device stopped ({0}); all finished strokes are kept, choose the CPU engine if it stops again"
    )]
    DeviceLost(String),
    /// The device's memory is full.
    #[error(
        "the graphics device has no room for more paint ({0}); hide passes, merge or clear one, or choose the CPU engine"
    )]
    OutOfMemory(String),
    /// A tile of the study could not be read when it was needed.
    #[error("{0}")]
    Unreadable(String),
    /// A handle that this engine did not make.
    #[error("a tile of another engine was used; this is a fault in Stint, please report it")]
    ForeignTile,
}

/// Tiles as pixels, and tallies of stacks: what is to be known of a stroke that has ended.
pub type Lifted = (Vec<Arc<TilePixels>>, Vec<Tally>);

/// An engine. See the module text for what must hold.
///
/// What reads tiles back comes in two forms: one waits, and one, `request_…`, hands the work over and answers later. An engine whose work
/// is done when a call returns need not tell them apart.
pub trait Engine: Send {
    /// Its name and where it works.
    fn info(&self) -> EngineInfo;

    /// Bytes that its kernels, and what they are told, have moved to and from the device's memory so far, counted once for each plane, mask
    /// and texel: what decides on a device with little bandwidth. An engine that counts none says 0.
    fn moved_bytes(&self) -> u64 {
        0
    }

    /// Replaces the paint table that the other calls use.
    ///
    /// # Errors
    /// When the device fails.
    fn set_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError>;

    /// Takes tiles in.
    ///
    /// # Errors
    /// When the device fails or is full.
    fn upload(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError>;

    /// Reads tiles back, without empty upper planes.
    ///
    /// # Errors
    /// When the device fails.
    fn download(&mut self, tiles: &[TileHandle]) -> Result<Vec<Arc<TilePixels>>, EngineError>;

    /// As [`Engine::download`], answered later.
    ///
    /// # Errors
    /// When the device fails or is full.
    fn request_download(&mut self, tiles: &[TileHandle]) -> Result<Answer<Vec<Arc<TilePixels>>>, EngineError> {
        Ok(Answer::ready(Ok(self.download(tiles)?)))
    }

    /// As [`Engine::sample`], answered later.
    ///
    /// # Errors
    /// When the device fails or is full.
    fn request_sample(&mut self, samples: &[TileSample<'_>]) -> Result<Answer<Vec<Vec<Vec<u32>>>>, EngineError> {
        Ok(Answer::ready(Ok(self.sample(samples)?)))
    }

    /// As [`Engine::resolve`], answered later.
    ///
    /// # Errors
    /// When the device fails or is full.
    fn request_resolve(&mut self, stacks: &[Stack]) -> Result<Answer<Vec<u32>>, EngineError> {
        Ok(Answer::ready(Ok(self.resolve(stacks)?)))
    }

    /// As [`Engine::tally`], answered later.
    ///
    /// # Errors
    /// When the device fails or is full.
    fn request_tally(&mut self, stacks: &[Stack]) -> Result<Answer<Vec<Tally>>, EngineError> {
        Ok(Answer::ready(Ok(self.tally(stacks)?)))
    }

    /// [`Engine::download`] of tiles and [`Engine::tally`] of stacks at once, answered later: all that is to be known of a stroke that
    /// has ended.
    ///
    /// # Errors
    /// When the device fails or is full.
    fn request_lift(&mut self, tiles: &[TileHandle], stacks: &[Stack]) -> Result<Answer<Lifted>, EngineError> {
        Ok(Answer::ready(Ok((self.download(tiles)?, self.tally(stacks)?))))
    }

    /// Takes tiles that are not needed soon off the device; they come back by themselves when they are. Tells how many planes were given
    /// back. An engine that has no memory of its own does nothing.
    ///
    /// # Errors
    /// When the device fails.
    fn park(&mut self, tiles: &[TileHandle]) -> Result<usize, EngineError> {
        let _ = tiles;
        Ok(0)
    }

    /// Reads some pixels: for each sample its planes, and of each plane the pairs in the order of the sample's pixels.
    ///
    /// # Errors
    /// When the device fails.
    fn sample(&mut self, samples: &[TileSample<'_>]) -> Result<Vec<Vec<Vec<u32>>>, EngineError> {
        let mut all = Vec::with_capacity(samples.len());
        for some in samples.chunks(SAMPLED_TILES) {
            let tiles: Vec<_> = some.iter().map(|s| s.tile.clone()).collect();
            for (sample, tile) in some.iter().zip(self.download(&tiles)?) {
                let pairs = |plane: &Plane| sample.pixels.iter().map(|&i| plane[i]).collect();
                all.push(tile.planes().iter().map(pairs).collect());
            }
        }
        Ok(all)
    }

    /// New tiles: each base with `op` applied through its mask.
    ///
    /// # Errors
    /// When the device fails or is full; the bases are as they were.
    fn commit(&mut self, op: Op, jobs: &[CommitJob<'_>]) -> Result<Vec<TileHandle>, EngineError>;

    /// As [`Engine::commit`], for a stroke that grows: where `earlier` tells what a job made through a smaller mask, an engine may take over
    /// what the two masks cover alike. `earlier` has an entry for each job; the tiles are the same whether it is used or not.
    ///
    /// # Errors
    /// As [`Engine::commit`].
    fn commit_again(
        &mut self,
        op: Op,
        jobs: &[CommitJob<'_>],
        earlier: &[Option<Earlier<'_>>],
    ) -> Result<Vec<TileHandle>, EngineError> {
        let _ = earlier;
        self.commit(op, jobs)
    }

    /// What the stacks show: for each, 128 x 128 packed RGBA, 8-bit sRGB, red in the lowest byte, row by row.
    ///
    /// # Errors
    /// When the device fails.
    fn resolve(&mut self, stacks: &[Stack]) -> Result<Vec<u32>, EngineError>;

    /// Whether it works on this device, so that [`Engine::draw`] can write textures that are drawn on it.
    fn draws_on(&self, device: &wgpu::Device) -> bool {
        let _ = device;
        false
    }

    /// Writes what some stacks show into a texture of [`crate::gpu::target_texture`], its sides halved `level` times. Does not wait:
    /// whatever is submitted to the device after this finds it there.
    ///
    /// # Errors
    /// When the device fails or is full, or the engine works on none.
    fn draw(
        &mut self,
        what: Shown<'_>,
        stacks: &[Stack],
        level: u32,
        tiles: &[ShownTile],
        target: &wgpu::TextureView,
    ) -> Result<(), EngineError> {
        let _ = (what, stacks, level, tiles, target);
        Err(EngineError::NoDevice("the engine works on the CPU".to_owned()))
    }

    /// Visible amounts per paint, for each stack.
    ///
    /// # Errors
    /// When the device fails.
    fn tally(&mut self, stacks: &[Stack]) -> Result<Vec<Tally>, EngineError>;
}
