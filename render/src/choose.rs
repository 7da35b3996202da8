//! Which engine does the work.
//!
//! A real GPU is used after it has shown, on a small sample, that it lays, scrapes and counts to the CPU engine's bits and shows its
//! colours to one 8-bit code. On a driver that runs
//! shaders on the CPU, whichever engine is faster on that sample is used; without any driver, the CPU engine. Such a driver
//! takes long to show that it is slow, so what was measured can be kept by the caller and is asked for first.

use crate::cpu::CpuEngine;
use crate::engine::{CommitJob, Engine, EngineError, EngineInfo, EngineKind, Layer, Op, Stack, TileHandle};
use crate::gpu::{AdapterPreference, Gpu, GpuEngine};
use crate::load::BrushLoad;
use crate::mask::MaskTile;
use crate::paints::PaintLut;
use std::sync::Arc;
use std::time::Duration;
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, SwatchId};
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::readout::Tally;
use stint_model::study::tile::TilePixels;

/// Tells the time that has passed since some moment, the same in every call: an engine is measured by it.
pub type Clock<'a> = &'a dyn Fn() -> Duration;

/// What the user asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum EngineChoice {
    /// The best that this machine has.
    #[default]
    Auto,
    /// The CPU engine.
    Cpu,
    /// A graphics device, real or not; an error if there is none.
    Gpu,
}

/// Which of two engines was faster.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Faster {
    /// The CPU engine.
    Cpu,
    /// The graphics driver that runs shaders on the CPU.
    Driver,
}

/// What was measured on a machine; holds as long as driver and program are the same.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct EngineComparison {
    /// The driver, the number of threads and the version of the program.
    pub machine: String,
    /// Which was faster in the trial.
    pub faster: Faster,
}

/// The engine that was chosen, and why.
pub struct Chosen {
    /// The engine, ready for work.
    pub engine: Box<dyn Engine>,
    /// A sentence for the user where something unexpected was found.
    pub notice: Option<String>,
    /// What was measured by this call, to be given to the next one as `known`.
    pub measured: Option<EngineComparison>,
}

impl Chosen {
    fn plain(engine: Box<dyn Engine>) -> Self {
        Chosen { engine, notice: None, measured: None }
    }

    fn cpu() -> Self {
        Chosen::plain(Box::new(CpuEngine::default()))
    }
}

/// A driver that takes this many times as long as the CPU engine for one commit need not show more.
const MAX_SLOWDOWN: u32 = 3;

/// Opens the engine that was asked for; `known` is what an earlier call measured on this machine, where anything was;
/// `clock` measures a driver that runs shaders on the CPU; `shared` is the device that a window draws on, which an engine shares with it
/// unless there is a better one.
///
/// # Errors
/// Only for [`EngineChoice::Gpu`], when no device can be used.
pub fn choose(
    choice: EngineChoice,
    known: Option<&EngineComparison>,
    clock: Clock<'_>,
    shared: Option<&Gpu>,
) -> Result<Chosen, EngineError> {
    match choice {
        EngineChoice::Cpu => Ok(Chosen::cpu()),
        EngineChoice::Gpu => Ok(Chosen::plain(Box::new(GpuEngine::new(device(shared)?)?))),
        EngineChoice::Auto => {
            // No driver is a normal state of affairs and needs no words.
            let Ok(gpu) = device(shared) else { return Ok(Chosen::cpu()) };
            let machine = described(gpu.info());
            let known = known.filter(|k| k.machine == machine).map(|k| k.faster);
            if gpu.info().kind == EngineKind::SoftwareGpu && known == Some(Faster::Cpu) {
                return Ok(Chosen::cpu());
            }
            let Ok(engine) = GpuEngine::new(gpu) else { return Ok(Chosen::cpu()) };
            Ok(compare(Box::new(engine), machine, known, clock))
        }
    }
}

/// The device that a window draws on, or the best there is where that one cannot be used or is slower.
fn device(shared: Option<&Gpu>) -> Result<Gpu, EngineError> {
    match shared.filter(|gpu| gpu.computes()) {
        Some(gpu) if gpu.info().kind == EngineKind::Gpu => Ok(gpu.clone()),
        Some(gpu) => Gpu::open(AdapterPreference::RealGpu).or_else(|_| Ok(gpu.clone())),
        None => Gpu::open(AdapterPreference::Best),
    }
}

/// What a measurement belongs to.
fn described(info: &EngineInfo) -> String {
    let threads = std::thread::available_parallelism().map_or(0, usize::from);
    format!("{}, {}, {threads} threads, {}", info.name, info.detail, env!("CARGO_PKG_VERSION"))
}

/// A device or the CPU engine; `machine` describes the device and what it runs on, `known` is what was measured on it.
fn compare(mut device: Box<dyn Engine>, machine: String, known: Option<Faster>, clock: Clock<'_>) -> Chosen {
    let info = device.info();
    let mut cpu = CpuEngine::default();
    let instead = |text: &str| {
        let notice = Some(format!("{} {text}, so the CPU engine is used", info.name));
        Chosen { notice, ..Chosen::cpu() }
    };
    let software = info.kind == EngineKind::SoftwareGpu;
    if software {
        if known == Some(Faster::Driver) {
            return Chosen::plain(device);
        }
        let (Ok(ours), Ok(theirs)) = (time_one_commit(&mut cpu, clock), time_one_commit(device.as_mut(), clock)) else {
            return instead("failed on a small sample");
        };
        if theirs > ours * MAX_SLOWDOWN {
            return Chosen { measured: Some(EngineComparison { machine, faster: Faster::Cpu }), ..Chosen::cpu() };
        }
    }
    let (Ok(ours), Ok(theirs)) = (run_trial(&mut cpu, clock), run_trial(device.as_mut(), clock)) else {
        return instead("failed on a small sample");
    };
    if !ours.agrees(&theirs) {
        return instead("gives other results than the CPU engine");
    }
    if !software {
        return Chosen::plain(device);
    }
    let faster = if theirs.time < ours.time { Faster::Driver } else { Faster::Cpu };
    let engine = if faster == Faster::Driver { device } else { Box::new(cpu) };
    Chosen { measured: Some(EngineComparison { machine, faster }), ..Chosen::plain(engine) }
}

/// What came of the trial, and how long it took.
struct Trial {
    /// Tiles after laying, and after scraping.
    tiles: Vec<Arc<TilePixels>>,
    tallies: Vec<Tally>,
    /// Packed 8-bit RGBA.
    colours: Vec<u32>,
    time: Duration,
}

impl Trial {
    /// Equal bits of tiles and tallies, colours one 8-bit code apart at most.
    fn agrees(&self, other: &Trial) -> bool {
        let near = |(a, b): (&u32, &u32)| a.to_le_bytes().iter().zip(b.to_le_bytes()).all(|(a, b)| a.abs_diff(b) <= 1);
        self.tiles == other.tiles
            && self.tallies == other.tallies
            && self.colours.len() == other.colours.len()
            && self.colours.iter().zip(&other.colours).all(near)
    }
}

/// Sets eleven paints, so that the ninth-paint rule is exercised too.
fn set_paints(engine: &mut dyn Engine, mixing: Mixing) -> Result<(), EngineError> {
    let mut paints = PaintTable::default();
    for i in 0..11_u16 {
        let v = f32::from(i) / 10.0;
        // Eleven paints always fit the table. Some lie outside sRGB.
        let _ = paints.load_swatch(SwatchId(u32::from(i) + 1), Colour::new(v * 1.2, 0.3, 1.0 - 1.1 * v));
    }
    // Half of them are not on this board, so they count as free.
    paints.follow(&half_board());
    engine.set_paints(&PaintLut::new(&paints, Colour::new(0.2, 0.2, 0.2), mixing))
}

/// Cover of every amount, none and all included, for a few tiles.
fn masks() -> Vec<MaskTile> {
    #[expect(clippy::cast_possible_truncation, reason = "what is left of a hash is cover")]
    let tile = |t: u32| {
        MaskTile::from_fn(|i| match i % 64 {
            0 => 0,
            1 => u16::MAX,
            _ => ((i as u32).wrapping_mul(2_654_435_761 + t) >> 17) as u16,
        })
    };
    (0..4).map(tile).collect()
}

/// Time of one commit of a few tiles, at its best.
fn time_one_commit(engine: &mut dyn Engine, clock: Clock<'_>) -> Result<Duration, EngineError> {
    set_paints(engine, Mixing::Perceptual)?;
    let masks = masks();
    let jobs: Vec<_> = masks.iter().map(|mask| CommitJob { base: None, mask }).collect();
    let mut run = || -> Result<Duration, EngineError> {
        let start = clock();
        let tiles = engine.commit(Op::Lay(PaintId(1)), &jobs)?;
        // A device works on after a call; reading back waits for it.
        engine.download(&tiles)?;
        Ok(clock() - start)
    };
    // The first run makes buffers.
    run()?;
    Ok(run()?.min(run()?))
}

/// Lays ten paints on a few tiles, scrapes some of them off, and tallies and resolves what is there before and after, alone and
/// through a pass of half strength; the last masks are even, one half and one full.
fn run_trial(engine: &mut dyn Engine, clock: Clock<'_>) -> Result<Trial, EngineError> {
    let masks = masks();
    let even = [MaskTile::Even(30_000), MaskTile::Even(u16::MAX)];
    let run = |engine: &mut dyn Engine| -> Result<Trial, EngineError> {
        let start = clock();
        set_paints(engine, Mixing::Perceptual)?;
        let mut tiles = Vec::new();
        for paint in 1..=10 {
            tiles = commit(engine, Op::Lay(PaintId(paint)), &tiles, &masks)?;
        }
        let scraped = commit(engine, Op::Scrape, &tiles, &masks)?;
        let glazed = commit(engine, Op::Lay(PaintId(11)), &tiles[..2], &even)?;
        let bared = commit(engine, Op::Scrape, &tiles[..2], &even)?;
        let amounts = [3, 11, 6].map(|paint| (PaintId(paint), 1000 * u32::from(paint)));
        let mixture = BrushLoad::mixture(&amounts).map_or(Op::Scrape, |load| load.op());
        let mixed = commit(engine, mixture, &tiles, &masks)?;
        let layer = |tile: &TileHandle, strength| Layer { tile: tile.clone(), strength };
        let alone = tiles.iter().chain(&glazed).map(|t| Stack { layers: vec![layer(t, u16::MAX)] });
        let through = scraped
            .iter()
            .zip(&tiles)
            .map(|(top, below)| Stack { layers: vec![layer(top, 32_000), layer(below, u16::MAX)] });
        let stacks: Vec<_> = alone.chain(through).collect();
        let (tallies, mut colours) = (engine.tally(&stacks)?, engine.resolve(&stacks)?);
        // Pigments have a kernel of their own.
        set_paints(engine, Mixing::Pigment)?;
        colours.extend(engine.resolve(&stacks)?);
        let all: Vec<_> = [tiles, scraped, glazed, bared, mixed].concat();
        let tiles = engine.download(&all)?;
        Ok(Trial { tiles, tallies, colours, time: clock() - start })
    };
    // The first run makes buffers.
    run(engine)?;
    run(engine)
}

/// Each base, or bare canvas where there is none, with `op` applied through its mask.
fn commit(
    engine: &mut dyn Engine,
    op: Op,
    bases: &[TileHandle],
    masks: &[MaskTile],
) -> Result<Vec<TileHandle>, EngineError> {
    let jobs: Vec<_> = masks.iter().enumerate().map(|(i, mask)| CommitJob { base: bases.get(i), mask }).collect();
    engine.commit(op, &jobs)
}

fn half_board() -> Board {
    use stint_model::board::{Family, LightOfDay, Role, Swatch};
    let swatches = (1..=10).step_by(2).map(|id| Swatch {
        id: SwatchId(id),
        role: Role::Local,
        name: String::new(),
        colour: Colour::new(id as f32 / 10.0, 0.3, 0.5),
    });
    let family = Family { swatches: swatches.collect(), ..Family::new(stint_model::ids::FamilyId(1), "sample") };
    Board { families: vec![family], ..Board::new("sample", LightOfDay::Neutral) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paints::PaintLut;
    use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};

    /// What a device does wrong.
    #[derive(Clone, Copy, PartialEq, Debug)]
    enum Fault {
        /// One bit of a tile that is read back.
        Read,
        /// Laying through a mask with pixels.
        Lay,
        /// Laying through an even mask that covers in part, or in full.
        LayEven(u16),
        /// Laying a mixture.
        Mix,
        /// Scraping through a mask with pixels.
        Scrape,
        /// Scraping through an even mask.
        ScrapeEven(u16),
        /// A colour two codes off.
        Resolve,
        /// A colour of a stack of two passes.
        ResolveStack,
        /// A sum one step off.
        Tally,
        /// A sum of a stack of two passes.
        TallyStack,
    }

    /// The CPU engine passing for a device: slower for every commit, or with a fault.
    struct Device {
        engine: CpuEngine,
        kind: EngineKind,
        slower_ms: u64,
        /// A clock that stands still but for this device, milliseconds.
        clock_ms: Arc<AtomicU64>,
        fault: Option<Fault>,
        commits: Arc<AtomicU32>,
    }

    /// The first place of a stack whose layers are more than one, or else not.
    fn place(stacks: &[Stack], deep: bool) -> Option<usize> {
        stacks.iter().position(|s| (s.layers.len() > 1) == deep)
    }

    impl Engine for Device {
        fn info(&self) -> EngineInfo {
            EngineInfo { name: "device".to_owned(), detail: String::new(), kind: self.kind }
        }

        fn set_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
            self.engine.set_paints(paints)
        }

        fn upload(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError> {
            self.engine.upload(tiles)
        }

        fn download(&mut self, tiles: &[TileHandle]) -> Result<Vec<Arc<TilePixels>>, EngineError> {
            let mut tiles = self.engine.download(tiles)?;
            if self.fault == Some(Fault::Read)
                && let Some(first) = tiles.first_mut()
            {
                let mut planes = first.planes().to_vec();
                planes[0][7] ^= 1;
                *first = Arc::new(TilePixels::new(planes));
            }
            Ok(tiles)
        }

        fn commit(&mut self, op: Op, jobs: &[CommitJob<'_>]) -> Result<Vec<TileHandle>, EngineError> {
            self.commits.fetch_add(1, Ordering::Relaxed);
            self.clock_ms.fetch_add(self.slower_ms, Ordering::Relaxed);
            let mut made = self.engine.commit(op, jobs)?;
            let wrong = |mask: &MaskTile| match (self.fault, op, mask) {
                (Some(Fault::Lay), Op::Lay(_), MaskTile::Pixels(_))
                | (Some(Fault::Mix), Op::LayMixture(_), MaskTile::Pixels(_))
                | (Some(Fault::Scrape), Op::Scrape, MaskTile::Pixels(_)) => true,
                (Some(Fault::LayEven(cover)), Op::Lay(_), MaskTile::Even(c))
                | (Some(Fault::ScrapeEven(cover)), Op::Scrape, MaskTile::Even(c)) => cover == *c,
                _ => false,
            };
            for (tile, job) in made.iter_mut().zip(jobs).filter(|(_, job)| wrong(job.mask)) {
                // As if its mask had covered one step less in the last pixel, or had done nothing.
                let mut planes = self.engine.download(std::slice::from_ref(tile))?[0].planes().to_vec();
                match planes.first_mut() {
                    Some(plane) => plane[16_383] ^= 1,
                    None => {
                        planes = job
                            .base
                            .map(|b| self.engine.download(std::slice::from_ref(b)))
                            .transpose()?
                            .map_or_else(Vec::new, |t| t[0].planes().to_vec())
                    }
                }
                *tile = self.engine.upload(&[Arc::new(TilePixels::new(planes))])?.remove(0);
            }
            Ok(made)
        }

        fn resolve(&mut self, stacks: &[Stack]) -> Result<Vec<u32>, EngineError> {
            let mut colours = self.engine.resolve(stacks)?;
            let deep = self.fault == Some(Fault::ResolveStack);
            if (deep || self.fault == Some(Fault::Resolve))
                && let Some(i) = place(stacks, deep)
            {
                let colour = &mut colours[i * stint_model::study::tile::TILE_PIXELS + 5];
                *colour = if *colour & 0xff < 128 { *colour + 2 } else { *colour - 2 };
            }
            Ok(colours)
        }

        fn tally(&mut self, stacks: &[Stack]) -> Result<Vec<Tally>, EngineError> {
            let mut tallies = self.engine.tally(stacks)?;
            let deep = self.fault == Some(Fault::TallyStack);
            if (deep || self.fault == Some(Fault::Tally))
                && let Some(i) = place(stacks, deep)
            {
                tallies[i].add(PaintId(3), 1);
            }
            Ok(tallies)
        }
    }

    /// What is chosen of a device, and how many commits it took to find out.
    fn chosen(kind: EngineKind, slower_ms: u64, fault: Option<Fault>, known: Option<Faster>) -> (Chosen, u32) {
        let (commits, clock_ms) = (Arc::<AtomicU32>::default(), Arc::<AtomicU64>::default());
        let device = Device {
            engine: CpuEngine::default(),
            kind,
            slower_ms,
            clock_ms: Arc::clone(&clock_ms),
            fault,
            commits: Arc::clone(&commits),
        };
        let clock = || Duration::from_millis(clock_ms.load(Ordering::Relaxed));
        let chosen = compare(Box::new(device), "this".to_owned(), known, &clock);
        (chosen, commits.load(Ordering::Relaxed))
    }

    #[test]
    fn a_real_gpu_is_used_however_slow_but_not_with_other_results() {
        let (slow, _) = chosen(EngineKind::Gpu, 5, None, None);
        assert_eq!((slow.engine.info().kind, slow.measured), (EngineKind::Gpu, None));
        let faults = [Fault::Read, Fault::Lay, Fault::LayEven(30_000), Fault::LayEven(u16::MAX), Fault::Scrape];
        let more = [Fault::ScrapeEven(30_000), Fault::ScrapeEven(u16::MAX), Fault::Resolve, Fault::ResolveStack];
        for fault in faults.into_iter().chain(more).chain([Fault::Tally, Fault::TallyStack, Fault::Mix]) {
            let (wrong, _) = chosen(EngineKind::Gpu, 0, Some(fault), None);
            assert_eq!(wrong.engine.info().kind, EngineKind::Cpu, "{fault:?}");
            assert!(wrong.notice.is_some_and(|n| n.contains("other results")), "{fault:?}");
        }
    }

    #[test]
    fn a_slow_driver_is_found_out_by_one_commit_and_not_measured_again() {
        let (slow, commits) = chosen(EngineKind::SoftwareGpu, 400, None, None);
        assert_eq!((slow.engine.info().kind, slow.notice), (EngineKind::Cpu, None));
        assert_eq!(slow.measured, Some(EngineComparison { machine: "this".to_owned(), faster: Faster::Cpu }));
        assert!(commits < 10, "{commits}");
    }

    #[test]
    fn a_driver_known_to_be_faster_is_used_at_once() {
        let (fast, commits) = chosen(EngineKind::SoftwareGpu, 400, None, Some(Faster::Driver));
        assert_eq!((fast.engine.info().kind, fast.measured, commits), (EngineKind::SoftwareGpu, None, 0));
    }

    #[test]
    fn a_driver_with_other_results_is_never_used_and_never_remembered_as_faster() {
        let (wrong, _) = chosen(EngineKind::SoftwareGpu, 0, Some(Fault::Read), None);
        assert_eq!(wrong.engine.info().kind, EngineKind::Cpu);
        assert!(wrong.measured.is_none() && wrong.notice.is_some_and(|n| n.contains("other results")));
    }
}
