//! Tiles of a study that were not read yet: known by what is stored beside their pixels, and read when they are needed.
//!
//! Whatever the canvas is asked for, it reads the tiles it takes itself, so that nothing depends on what was read before. A window
//! has them read beside it ([`Canvas::unread`], [`Unread::read`], [`Canvas::take_read`]), those first that it would show, and asks only
//! for what is here.
//!
//! What the whole canvas comes to is known from the start. Where one pass shows in full, the sums that are stored with its tile are what
//! shows there. Elsewhere paint covers paint, and the pixels must be counted; until they are, what all those places come to is known by
//! class: it is what the study's last readout says beyond the places that are counted.

use super::full_pixels::in_full_pixels;
use super::{Canvas, tally_of_classes};
use crate::amount::FULL;
use crate::cpu::{CpuEngine, LayerWords, resolve_words};
use crate::engine::{Engine, EngineError, Layer, Stack};
use crate::paints::PaintLut;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::readout::{ClassAmounts, Tally};
use stint_model::study::reading::TileHead;
use stint_model::study::tile::{MAX_PLANES, TileKey, TilePixels, TilePos, Words};

/// Where tiles are read from: each holds what it held when the canvas was told of it, until something is put in its place.
pub trait TileSource: Send + Sync {
    /// The pixels of some tiles.
    ///
    /// # Errors
    /// With a sentence for the painter when one cannot be read.
    fn read(&self, keys: &[TileKey]) -> Result<Vec<(TileKey, TilePixels)>, String>;

    /// The same on one processor, so that a window has the others.
    ///
    /// # Errors
    /// As for [`TileSource::read`].
    fn read_beside(&self, keys: &[TileKey]) -> Result<Vec<(TileKey, TilePixels)>, String> {
        self.read(keys)
    }
}

/// Packed bytes that are read in one go beside the window.
const BYTES_AT_A_TIME: u64 = 2 << 20;
/// Places that are read in one go beside the window.
const PLACES_AT_A_TIME: usize = 2048;
/// Tiles that are read in one go, those that take next to no memory not counted where they are read beside the window: bounds the memory
/// on the way, however little is packed.
const TILES_AT_A_TIME: usize = 128;
/// Pixels that are coloured together.
const GROUP: usize = 16;

/// The tiles that are not here, and what is known all the same.
#[derive(Default)]
pub(super) struct Away {
    pub(super) heads: BTreeMap<TileKey, TileHead>,
    source: Option<Arc<dyn TileSource>>,
    /// Places whose tally is not known.
    uncounted: BTreeSet<TilePos>,
    /// What those come to.
    rest: ClassAmounts,
    /// Places that somebody would show.
    wanted: Vec<TilePos>,
}

/// The passes that show, top first, with their strengths.
type Showing = Vec<(PassId, u16)>;

/// Tiles that are to be read beside the window.
pub struct Unread {
    keys: Vec<TileKey>,
    /// Places that are to be counted, too.
    places: Vec<TilePos>,
    showing: Showing,
    paints: PaintLut,
    source: Arc<dyn TileSource>,
}

/// Tiles that were read, and what shows at some of their places.
pub struct ReadTiles {
    tiles: Vec<(TileKey, Arc<TilePixels>, u64)>,
    tallies: Vec<(TilePos, Tally)>,
    showing: Showing,
}

impl Unread {
    /// Reads them and counts; takes a while.
    ///
    /// # Errors
    /// With a sentence for the painter when a tile cannot be read.
    pub fn read(self) -> Result<ReadTiles, String> {
        let read = self.source.read_beside(&self.keys)?;
        let tiles: Vec<_> = read
            .into_iter()
            .map(|(key, tile)| (key, in_full_pixels(&tile), Arc::new(tile)))
            .map(|(key, in_full, tile)| (key, tile, in_full))
            .collect();
        let tallies = self.count(&tiles).map_err(|error| error.to_string())?;
        Ok(ReadTiles { tiles, tallies, showing: self.showing })
    }

    /// Counted as any engine counts.
    fn count(&self, tiles: &[(TileKey, Arc<TilePixels>, u64)]) -> Result<Vec<(TilePos, Tally)>, EngineError> {
        let mut cpu = CpuEngine::default();
        cpu.set_paints(&self.paints)?;
        let pixels: Vec<_> = tiles.iter().map(|(_, tile, _)| tile.clone()).collect();
        let handles: BTreeMap<TileKey, _> = tiles.iter().map(|(key, ..)| *key).zip(cpu.upload(&pixels)?).collect();
        let stack = |&pos: &TilePos| {
            let layers = self.showing.iter().filter_map(|&(pass, strength)| {
                Some(Layer { tile: handles.get(&TileKey { pass, pos })?.clone(), strength })
            });
            Stack { layers: layers.collect() }
        };
        let stacks: Vec<_> = self.places.iter().map(stack).collect();
        Ok(self.places.iter().copied().zip(cpu.tally(&stacks)?).collect())
    }
}

/// The pairs of a pixel as a tile of so many pixels has on the mean, of the paints that it has most of.
#[expect(clippy::cast_possible_truncation, reason = "what is left of full cover")]
fn mean_words(amounts: &Tally, pixels: u64) -> impl Iterator<Item = Words<'static>> {
    let mut pairs: Vec<(u16, u64)> = amounts.iter().map(|(id, sum)| (id.0, sum / pixels)).collect();
    pairs.sort_by_key(|&(_, amount)| std::cmp::Reverse(amount));
    let mut left = u64::from(FULL);
    pairs.into_iter().take(MAX_PLANES).filter(|&(_, amount)| amount > 0).map(move |(id, amount)| {
        let amount = amount.min(left);
        left -= amount;
        Words::Even(u32::from(id) << 16 | amount as u32)
    })
}

impl Canvas {
    /// Tells a canvas that was just made of tiles that are read when they are needed; `all` is what shows of them together.
    pub fn expect(&mut self, heads: Vec<TileHead>, all: ClassAmounts, source: Arc<dyn TileSource>) {
        let mut places: BTreeMap<TilePos, Vec<&TileHead>> = BTreeMap::new();
        for head in &heads {
            places.entry(head.key.pos).or_default().push(head);
        }
        let showing = self.showing();
        let mut uncounted = BTreeSet::new();
        for (pos, heads) in places {
            let strength = |head: &TileHead| showing.iter().find(|(pass, _)| *pass == head.key.pass).map(|s| s.1);
            let shown: Vec<_> = heads.iter().filter_map(|head| Some((head, strength(head)?))).collect();
            match shown[..] {
                [] => {}
                [(head, u16::MAX)] => self.replace_tally(pos, head.amounts.clone()),
                _ => drop(uncounted.insert(pos)),
            }
        }
        let rest = all.without(tally_of_classes(&self.total, &self.paints));
        let rest = if uncounted.is_empty() { ClassAmounts::default() } else { rest };
        let heads = heads.into_iter().map(|head| (head.key, head)).collect();
        self.away = Away { heads, source: Some(source), uncounted, rest, wanted: Vec::new() };
    }

    /// Whether there are tiles that were not read yet.
    pub fn is_reading(&self) -> bool {
        !self.away.heads.is_empty()
    }

    /// Places whose paints are known by class alone, and places there are.
    pub fn uncounted(&self) -> (usize, usize) {
        (self.away.uncounted.len(), usize::from(self.size.columns()) * usize::from(self.size.rows()))
    }

    /// What the places come to that are not counted.
    pub fn uncounted_amounts(&self) -> ClassAmounts {
        self.away.rest
    }

    /// The passes that show, top first.
    fn showing(&self) -> Showing {
        self.passes.iter().rev().filter(|p| p.visible && p.strength > 0).map(|p| (p.id, p.strength)).collect()
    }

    /// Whether something would show at a place that was not read yet.
    pub fn is_away(&self, pos: TilePos) -> bool {
        let shows = |pass: &stint_model::pass::Pass| pass.visible && pass.strength > 0;
        self.is_reading()
            && self.passes.iter().any(|p| shows(p) && self.away.heads.contains_key(&TileKey { pass: p.id, pos }))
    }

    /// The colours that places have on the whole, told from what is stored beside their pixels: packed 8-bit sRGB RGBA, red in the lowest
    /// byte.
    pub fn rough_colours(&self, places: &[TilePos]) -> Vec<u32> {
        let (showing, heads, paints, size) = (self.showing(), &self.away.heads, &self.paints, self.size);
        let colour = |&pos: &TilePos| {
            let pixels = |(across, down): (u32, u32)| u64::from(across * down).max(1);
            let mean = |&(pass, strength): &(PassId, u16)| {
                let head = heads.get(&TileKey { pass, pos })?;
                Some(LayerWords::new(mean_words(&head.amounts, pixels(size.tile_extent(pos))), strength.into()))
            };
            let layers: Vec<_> = showing.iter().filter_map(mean).collect();
            let mut colours = [0; GROUP];
            resolve_words(&layers, paints, &mut colours);
            colours[0]
        };
        places.par_iter().map(colour).collect()
    }

    /// Has these places read before others, the first first.
    pub fn want(&mut self, places: Vec<TilePos>) {
        self.away.wanted = places;
    }

    /// The tiles that are to be read next; none when all are here.
    pub fn unread(&self) -> Option<Unread> {
        let source = self.away.source.clone().filter(|_| self.is_reading())?;
        let showing = self.showing();
        let wanted = self.away.wanted.iter().copied();
        let (mut keys, mut places, mut seen) = (Vec::new(), Vec::new(), BTreeSet::new());
        let (mut bytes, mut tiles) = (0, 0);
        for pos in wanted.chain(self.away.heads.keys().map(|key| key.pos)) {
            if bytes >= BYTES_AT_A_TIME || seen.len() >= PLACES_AT_A_TIME || tiles >= TILES_AT_A_TIME {
                break;
            }
            if !seen.insert(pos) {
                continue;
            }
            let here = self.passes.iter().map(|pass| TileKey { pass: pass.id, pos });
            let heads = here.filter_map(|key| self.away.heads.get(&key));
            for head in heads {
                keys.push(head.key);
                bytes += head.packed_bytes;
                tiles += usize::from(!head.is_even());
            }
            // One of its tiles may have been read before the others.
            let is_whole = showing.iter().all(|&(pass, _)| !self.tiles.contains_key(&TileKey { pass, pos }));
            if is_whole && self.away.uncounted.contains(&pos) {
                places.push(pos);
            }
        }
        Some(Unread { keys, places, showing, paints: self.paints.clone(), source })
    }

    /// Puts tiles in place that were read; what changed meanwhile stays. Tells the places that show them now.
    ///
    /// # Errors
    /// When the engine fails; the tiles are still to be read then.
    pub fn take_read(&mut self, read: ReadTiles) -> Result<BTreeSet<TilePos>, EngineError> {
        let here = self.arrive(read.tiles)?;
        if read.showing == self.showing() {
            for (pos, tally) in read.tallies {
                self.note_counted(pos, tally);
            }
        }
        if !self.is_reading() {
            // What was read in parts.
            let left = self.away.uncounted.iter().copied().collect();
            self.count_rest(left)?;
        }
        Ok(here)
    }

    fn arrive(&mut self, tiles: Vec<(TileKey, Arc<TilePixels>, u64)>) -> Result<BTreeSet<TilePos>, EngineError> {
        let tiles: Vec<_> = tiles.into_iter().filter(|(key, ..)| self.away.heads.contains_key(key)).collect();
        let pixels: Vec<_> = tiles.iter().map(|(_, tile, _)| tile.clone()).collect();
        let handles = self.with_room(|canvas| canvas.engine.upload(&pixels))?;
        let mut here = BTreeSet::new();
        for ((key, _, in_full), handle) in tiles.into_iter().zip(handles) {
            self.away.heads.remove(&key);
            self.tiles.insert(key, handle);
            self.note_full_pixels(key, in_full);
            here.insert(key.pos);
        }
        Ok(here)
    }

    /// Reads those of some tiles that were not read yet.
    pub(super) fn bring(&mut self, keys: impl IntoIterator<Item = TileKey>) -> Result<(), EngineError> {
        if !self.is_reading() {
            return Ok(());
        }
        let keys: Vec<TileKey> = keys.into_iter().filter(|key| self.away.heads.contains_key(key)).collect();
        let Some(source) = self.away.source.clone() else { return Ok(()) };
        for keys in keys.chunks(TILES_AT_A_TIME) {
            let read = source.read(keys).map_err(EngineError::Unreadable)?;
            let tiles = read.into_iter().map(|(key, tile)| (key, in_full_pixels(&tile), Arc::new(tile)));
            self.arrive(tiles.map(|(key, in_full, tile)| (key, tile, in_full)).collect())?;
        }
        Ok(())
    }

    /// Reads every tile that was not read yet.
    ///
    /// # Errors
    /// When one cannot be read, or the engine fails.
    pub fn read_all(&mut self) -> Result<(), EngineError> {
        let keys: Vec<_> = self.away.heads.keys().copied().collect();
        self.bring(keys)
    }

    /// Reads what shows at some places.
    pub(super) fn bring_shown(&mut self, places: &[TilePos]) -> Result<(), EngineError> {
        if !self.is_reading() {
            return Ok(());
        }
        let showing = self.showing();
        let keys = places.iter().flat_map(|&pos| showing.iter().map(move |&(pass, _)| TileKey { pass, pos }));
        self.bring(keys.collect::<Vec<_>>())
    }

    /// Makes sure that places which are about to change are here and counted.
    pub(super) fn know(&mut self, places: impl Iterator<Item = TilePos>) -> Result<(), EngineError> {
        if !self.is_reading() && self.away.uncounted.is_empty() {
            return Ok(());
        }
        let places: Vec<TilePos> = places.collect();
        let passes = self.passes.iter().map(|pass| pass.id);
        let keys: Vec<_> = passes.flat_map(|pass| places.iter().map(move |&pos| TileKey { pass, pos })).collect();
        self.bring(keys)?;
        self.count_rest(places.into_iter().filter(|pos| self.away.uncounted.contains(pos)).collect())
    }

    /// Counts places whose tally was not known and that have not changed.
    fn count_rest(&mut self, places: Vec<TilePos>) -> Result<(), EngineError> {
        if places.is_empty() {
            return Ok(());
        }
        let stacks = self.stacks(&places)?;
        let tallies = self.with_room(|canvas| canvas.engine_with_paints()?.tally(&stacks))?;
        for (pos, tally) in places.into_iter().zip(tallies) {
            self.note_counted(pos, tally);
        }
        Ok(())
    }

    fn note_counted(&mut self, pos: TilePos, tally: Tally) {
        if !self.away.uncounted.remove(&pos) {
            return;
        }
        self.away.rest = self.away.rest.without(tally_of_classes(&tally, &self.paints));
        self.replace_tally(pos, tally);
        if self.away.uncounted.is_empty() {
            self.away.rest = ClassAmounts::default();
        }
    }

    /// Has every place counted anew whose tally was not known: what all of them came to together says nothing any more.
    pub(super) fn forget_rest(&mut self) {
        self.stale.append(&mut self.away.uncounted);
        self.away.rest = ClassAmounts::default();
    }

    /// Whether the tally of a place is not known.
    pub(super) fn is_uncounted(&self, pos: TilePos) -> bool {
        self.away.uncounted.contains(&pos)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
