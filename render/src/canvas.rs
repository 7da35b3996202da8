//! The canvas: the tiles of every pass, what has changed, and the tally that follows.
//!
//! Work follows the touched tiles, never the canvas: each tile has its own tally, and only those of changed tiles are
//! counted again.

mod ahead;
mod away;
mod coverage;
mod crop;
mod fill;
mod full_pixels;
mod lift;
mod merge;
mod moving;
mod pair_sums;
mod room;
mod shown;
mod soften;
#[cfg(test)]
mod tests;
mod thumbnail;
mod units;
mod wet;
mod worked;

pub use crate::load::BrushLoad;
pub use away::{ReadTiles, TileSource, Unread};
pub use fill::{Fill, FillError, FillSource, MAX_GAP_PX};
pub use lift::{Lift, LiftedPixels};
pub use moving::{MoveError, MovedPaint, Placement, PlacementFault, SCALES};
pub use soften::SoftenStroke;
pub use thumbnail::{CellPaint, Thumbnail, ThumbnailPart};
pub use wet::WetStroke;

use crate::cpu::resolve_exact;
use crate::engine::answer::Answer;
use crate::engine::{CommitJob, Earlier, Engine, EngineError, EngineInfo, Layer, Op, Stack, TileHandle, TileSample};
use crate::mask::{CanvasSize, Mask, MaskTile, Visits, tile_of_pixel};
use crate::paints::PaintLut;
use crate::pixel::{paint_id, show_layer};
use ahead::Ahead;
use away::Away;
use full_pixels::in_full_pixels;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, PassId};
use stint_model::pass::Pass;
use stint_model::readout::{ClassAmounts, Tally};
use stint_model::study::tile::{BLOCK_SIDE, TileKey, TilePixels, TilePos};

/// A tile before and after one stroke.
#[derive(Clone, Debug)]
pub struct Change {
    /// Pass and place of the tile.
    pub key: TileKey,
    /// Its pixels before; no planes where the pass had no paint.
    pub before: Arc<TilePixels>,
    /// Its pixels after.
    pub after: Arc<TilePixels>,
    /// The tile before in the engine, so that [`Canvas::revert`] cannot fail.
    pub(crate) old: Option<TileHandle>,
}

/// Tiles that an engine has taken in, not in place yet: [`Canvas::place`].
#[derive(Debug)]
pub struct Uploaded(Vec<(TileKey, Option<TileHandle>, u64)>);

/// What a stroke does where its mask covers.
#[derive(Clone, PartialEq, Debug)]
pub enum StrokeOp {
    /// Lays what is on the brush.
    Lay(BrushLoad),
    /// Takes paint off.
    Scrape,
    /// Blurs what is there, as a hand that rests; a stroke that smears too is a [`SoftenStroke`].
    Soften {
        /// Radius of an even disc that blurs as much, canvas pixels.
        radius_px: f32,
    },
}

impl StrokeOp {
    /// Lays one unmixed paint.
    pub fn lay(paint: PaintId) -> Self {
        StrokeOp::Lay(BrushLoad::one(paint))
    }
}

/// Amounts by class.
fn tally_of_classes(tally: &Tally, paints: &PaintLut) -> ClassAmounts {
    let mut classes = ClassAmounts::default();
    for (id, amount) in tally.iter() {
        let class = if paints.is_free(id.0.into()) { &mut classes.free } else { &mut classes.board };
        *class += amount;
    }
    classes
}

/// The canvas of one study.
pub struct Canvas {
    size: CanvasSize,
    engine: Box<dyn Engine>,
    paints: PaintLut,
    /// Whether the engine has the paint table as it is here.
    paints_sent: bool,
    /// Bottom first.
    passes: Vec<Pass>,
    tiles: BTreeMap<TileKey, TileHandle>,
    /// Tiles of the passes that were not read yet; none of them is in `tiles`.
    away: Away,
    /// Tiles of the stroke in the making; they stand before those of the passes.
    live: BTreeMap<TileKey, TileHandle>,
    /// What the tiles of a stroke that lays paint, or scrapes, were made through: with the next samples only what is covered otherwise
    /// is made anew.
    live_masks: BTreeMap<TileKey, (Op, MaskTile)>,
    /// Pixels that the stroke in the making will need.
    ahead: Ahead,
    /// Amounts in pixels of eight paints, of the tiles that have such pixels.
    full_pixels: BTreeMap<TileKey, u64>,
    tallies: BTreeMap<TilePos, Tally>,
    total: Tally,
    stale: BTreeSet<TilePos>,
    /// Places whose tally is on its way, with the lift that asked last.
    asked: BTreeMap<TilePos, u64>,
    /// Lifts so far.
    lifts: u64,
    /// Thumbnail pictures that were asked for, the last first.
    sampled: Vec<thumbnail::Sampled>,
}

/// The passes that show otherwise after a change of the list, bottom first: those that are new, gone or changed; all where the others
/// changed places.
fn others(before: &[Pass], after: &[Pass]) -> BTreeSet<PassId> {
    let same = |pass: &&Pass, list: &[Pass]| {
        list.iter().any(|p| p.id == pass.id && p.visible == pass.visible && p.strength == pass.strength)
    };
    let kept_before = before.iter().filter(|pass| same(pass, after)).map(|pass| pass.id);
    let kept_after = after.iter().filter(|pass| same(pass, before)).map(|pass| pass.id);
    let in_order = kept_before.eq(kept_after);
    let all = before.iter().map(|pass| (pass, after)).chain(after.iter().map(|pass| (pass, before)));
    all.filter(|(pass, other)| !in_order || !same(pass, other)).map(|(pass, _)| pass.id).collect()
}

impl Canvas {
    /// A bare canvas; `passes` bottom first.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn new(
        size: CanvasSize,
        engine: Box<dyn Engine>,
        paints: PaintLut,
        passes: &[Pass],
    ) -> Result<Self, EngineError> {
        let mut canvas = Canvas {
            size,
            engine,
            paints,
            paints_sent: false,
            passes: passes.to_vec(),
            tiles: BTreeMap::new(),
            away: Away::default(),
            live: BTreeMap::new(),
            live_masks: BTreeMap::new(),
            ahead: Ahead::default(),
            full_pixels: BTreeMap::new(),
            tallies: BTreeMap::new(),
            total: Tally::default(),
            stale: BTreeSet::new(),
            asked: BTreeMap::new(),
            lifts: 0,
            sampled: Vec::new(),
        };
        canvas.engine_with_paints()?;
        Ok(canvas)
    }

    /// Width and height, pixels.
    pub fn size(&self) -> CanvasSize {
        self.size
    }

    /// Name and kind of the engine at work.
    pub fn engine(&self) -> EngineInfo {
        self.engine.info()
    }

    /// Replaces the paint table. Recolouring needs no work on any tile: colour is looked up when the canvas is shown. The engine
    /// gets the table with the next call that needs it, and again until it has taken it.
    pub fn set_paints(&mut self, paints: PaintLut) {
        if self.paints != paints {
            if !self.paints.has_classes_of(&paints) {
                self.forget_rest();
            }
            self.paints = paints;
            self.paints_sent = false;
            self.live_masks.clear();
        }
    }

    /// The engine, which has the present paint table.
    fn engine_with_paints(&mut self) -> Result<&mut dyn Engine, EngineError> {
        if !self.paints_sent {
            self.engine.set_paints(&self.paints)?;
            self.paints_sent = true;
        }
        Ok(self.engine.as_mut())
    }

    /// Replaces the list of passes, bottom first. Tiles of passes that are gone are dropped.
    pub fn set_passes(&mut self, passes: &[Pass]) {
        let shows = |p: &Pass| (p.id, p.visible, p.strength);
        if !self.passes.iter().map(shows).eq(passes.iter().map(shows)) {
            let others = others(&self.passes, passes);
            let keys = self.tiles.keys().chain(self.away.heads.keys());
            self.stale.extend(keys.filter(|k| others.contains(&k.pass)).map(|k| k.pos));
            self.forget_rest();
            let stays = |key: &TileKey| passes.iter().any(|p| p.id == key.pass);
            self.tiles.retain(|key, _| stays(key));
            self.away.heads.retain(|key, _| stays(key));
            self.full_pixels.retain(|key, _| stays(key));
        }
        self.passes = passes.to_vec();
    }

    /// Puts tiles in place: from a study file, or from its history. A tile without planes is taken away.
    ///
    /// # Errors
    /// When the engine fails; the canvas is as it was.
    pub fn put_tiles(&mut self, tiles: Vec<(TileKey, TilePixels)>) -> Result<(), EngineError> {
        let uploaded = self.upload(tiles)?;
        self.place(uploaded);
        Ok(())
    }

    /// Hands tiles to the engine without showing them.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn upload(&mut self, tiles: Vec<(TileKey, TilePixels)>) -> Result<Uploaded, EngineError> {
        let (full, empty): (Vec<_>, Vec<_>) = tiles.into_iter().partition(|(_, t)| !t.is_empty());
        let (keys, pixels): (Vec<_>, Vec<_>) = full.into_iter().map(|(key, t)| (key, Arc::new(t))).unzip();
        let handles = self.with_room(|canvas| canvas.engine.upload(&pixels))?;
        let amounts = pixels.iter().map(|pixels| in_full_pixels(pixels));
        let full =
            keys.into_iter().zip(handles).zip(amounts).map(|((key, handle), amount)| (key, Some(handle), amount));
        Ok(Uploaded(full.chain(empty.into_iter().map(|(key, _)| (key, None, 0))).collect()))
    }

    /// Puts uploaded tiles in place.
    pub fn place(&mut self, uploaded: Uploaded) {
        for (key, handle, in_full_pixels) in uploaded.0 {
            self.place_one(key, handle, in_full_pixels);
        }
    }

    /// `in_full_pixels` is what [`in_full_pixels`] says of the tile.
    fn place_one(&mut self, key: TileKey, handle: Option<TileHandle>, in_full_pixels: u64) {
        if self.is_uncounted(key.pos) {
            self.forget_rest();
        }
        self.away.heads.remove(&key);
        self.stale.insert(key.pos);
        self.note_full_pixels(key, in_full_pixels);
        match handle {
            Some(handle) => self.tiles.insert(key, handle),
            None => self.tiles.remove(&key),
        };
    }

    fn note_full_pixels(&mut self, key: TileKey, amount: u64) {
        if amount > 0 {
            self.full_pixels.insert(key, amount);
        } else {
            self.full_pixels.remove(&key);
        }
    }

    /// Shows a stroke in the making: `touched` tiles of one pass as they will be with the mask of the whole stroke so far.
    /// What is shown is what [`Canvas::finish`] stores; until then the pass is as it was. One stroke at a time. Tells the tiles
    /// that look different now.
    ///
    /// # Errors
    /// When the engine fails; call [`Canvas::cancel`] then.
    pub fn preview(
        &mut self,
        pass: PassId,
        op: &StrokeOp,
        mask: &Mask,
        touched: BTreeSet<TilePos>,
    ) -> Result<BTreeSet<TilePos>, EngineError> {
        self.engine_with_paints()?;
        let op = match op {
            StrokeOp::Soften { radius_px } => {
                let mut stroke = SoftenStroke::new(*radius_px, 0.0);
                return self.preview_soften(pass, &mut stroke, Visits::default(), mask, touched);
            }
            StrokeOp::Scrape => Op::Scrape,
            StrokeOp::Lay(load) => load.op(),
        };
        self.know(touched.iter().copied())?;
        let (covered, bare): (Vec<_>, Vec<_>) = touched.into_iter().partition(|pos| mask.tiles.contains_key(pos));
        // What a provisional end of the stroke covered, and its next end does not, is as before the stroke.
        for pos in &bare {
            self.live.remove(&TileKey { pass, pos: *pos });
            self.live_masks.remove(&TileKey { pass, pos: *pos });
        }
        let keys = covered.into_iter().map(|pos| TileKey { pass, pos });
        // There is nothing to take off where the pass has no paint.
        let places: Vec<_> = keys
            .filter(|key| op != Op::Scrape || self.tiles.contains_key(key))
            .filter_map(|key| Some((key, mask.tiles.get(&key.pos)?)))
            .collect();
        let after = self.with_room(|canvas| canvas.commit_places(op, &places))?;
        let changed: BTreeSet<_> = places.iter().map(|(key, _)| key.pos).chain(bare).collect();
        self.stale.extend(&changed);
        self.live.extend(places.iter().map(|(key, _)| *key).zip(after));
        for (key, mask) in places {
            let known = self.live_masks.entry(key).or_insert((op, MaskTile::Even(0)));
            known.0 = op;
            known.1.clone_from(mask);
        }
        Ok(changed)
    }

    /// New tiles: those of the passes with `op` applied. What the stroke in the making has made already is taken over.
    fn commit_places(&mut self, op: Op, places: &[(TileKey, &MaskTile)]) -> Result<Vec<TileHandle>, EngineError> {
        let job = |&(key, mask): &(TileKey, _)| CommitJob { base: self.tiles.get(&key), mask };
        let jobs: Vec<_> = places.iter().map(job).collect();
        let known = |(key, _): &(TileKey, _)| {
            let (by, mask) = self.live_masks.get(key)?;
            self.live.get(key).filter(|_| *by == op).map(|tile| Earlier { tile, mask })
        };
        let earlier: Vec<_> = places.iter().map(known).collect();
        self.engine.commit_again(op, &jobs, &earlier)
    }

    /// The tiles of the stroke in the making, which is at its end.
    fn take_live(&mut self) -> BTreeMap<TileKey, TileHandle> {
        self.live_masks.clear();
        self.ahead = Ahead::default();
        std::mem::take(&mut self.live)
    }

    /// Cancels the stroke that is shown: the passes are as they were before it.
    pub fn cancel(&mut self) {
        let live = self.take_live();
        self.stale.extend(live.into_keys().map(|k| k.pos));
    }

    /// Commits a whole mask to one pass at once: [`Canvas::preview`] and [`Canvas::finish`].
    ///
    /// # Errors
    /// When the engine fails; the canvas is as it was.
    pub fn commit(&mut self, pass: PassId, op: &StrokeOp, mask: &Mask) -> Result<Vec<Change>, EngineError> {
        let shown = self.preview(pass, op, mask, mask.tiles.keys().copied().collect());
        shown.and_then(|_| self.finish()).inspect_err(|_| self.cancel())
    }

    /// Takes changes back that could not be stored: those that were made last, all of them.
    pub fn revert(&mut self, changes: Vec<Change>) {
        for change in changes {
            self.place_one(change.key, change.old, in_full_pixels(&change.before));
        }
    }

    /// All tiles of one pass as changes that take them away: what clearing a pass means to the history.
    ///
    /// # Errors
    /// When the engine fails; the canvas is as it was.
    pub fn clear_pass(&mut self, pass: PassId) -> Result<Vec<Change>, EngineError> {
        let keys = self.tiles.keys().chain(self.away.heads.keys()).filter(|k| k.pass == pass);
        self.know(keys.map(|k| k.pos).collect::<Vec<_>>().into_iter())?;
        let keys: Vec<_> = self.tiles.keys().filter(|k| k.pass == pass).copied().collect();
        let handles: Vec<_> = keys.iter().filter_map(|k| self.tiles.get(k).cloned()).collect();
        let before = self.engine.download(&handles)?;
        let empty = Arc::new(TilePixels::default());
        self.stale.extend(keys.iter().map(|k| k.pos));
        let changes = keys.into_iter().zip(before);
        let cleared = changes.map(|(key, before)| {
            let old = self.tiles.remove(&key);
            self.full_pixels.remove(&key);
            Change { key, before, after: empty.clone(), old }
        });
        Ok(cleared.collect())
    }

    /// Whether a pass has any paint.
    pub fn is_painted(&self, pass: PassId) -> bool {
        self.tiles.keys().chain(self.away.heads.keys()).any(|k| k.pass == pass)
    }

    /// All tiles of all passes as pixels.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn all_tiles(&mut self) -> Result<Vec<(TileKey, Arc<TilePixels>)>, EngineError> {
        self.read_all()?;
        let handles: Vec<_> = self.tiles.values().cloned().collect();
        let pixels = self.engine.download(&handles)?;
        Ok(self.tiles.keys().copied().zip(pixels).collect())
    }

    /// The visible tiles at some places, which are read where they were not yet.
    fn stacks(&mut self, places: &[TilePos]) -> Result<Vec<Stack>, EngineError> {
        self.bring_shown(places)?;
        Ok(places.iter().map(|&pos| self.stack(pos)).collect())
    }

    /// The visible tiles at one place, those of a stroke in the making before those of the passes. They have been read.
    fn stack(&self, pos: TilePos) -> Stack {
        let top_first = self.passes.iter().rev().filter(|p| p.visible && p.strength > 0);
        let layers = top_first.filter_map(|p| {
            let key = TileKey { pass: p.id, pos };
            let tile = self.live.get(&key).or_else(|| self.tiles.get(&key))?.clone();
            Some(Layer { tile, strength: p.strength })
        });
        Stack { layers: layers.collect() }
    }

    /// Visible amounts of the whole canvas; counts only tiles that changed since the last call, or were never counted.
    ///
    /// # Errors
    /// When the engine fails; the next call counts again.
    pub fn tally(&mut self) -> Result<&Tally, EngineError> {
        self.forget_rest();
        self.count()
    }

    /// Visible amounts of the places that are counted; counts those that changed. What the others come to, which were not read yet, is
    /// [`Canvas::uncounted_amounts`].
    ///
    /// # Errors
    /// As for [`Canvas::tally`].
    pub fn count(&mut self) -> Result<&Tally, EngineError> {
        if !self.is_reading() {
            // All are here, however they came.
            self.forget_rest();
        }
        let on_their_way = self.asked.keys().copied();
        let places: Vec<_> =
            self.stale.iter().copied().chain(on_their_way).collect::<BTreeSet<_>>().into_iter().collect();
        let stacks = self.stacks(&places)?;
        let tallies = self.with_room(|canvas| canvas.engine_with_paints()?.tally(&stacks))?;
        for (pos, tally) in places.into_iter().zip(tallies) {
            self.replace_tally(pos, tally);
        }
        self.stale.clear();
        self.asked.clear();
        Ok(&self.total)
    }

    /// Visible amounts of the places that are counted, as they were last.
    pub fn counted(&self) -> &Tally {
        &self.total
    }

    fn replace_tally(&mut self, pos: TilePos, tally: Tally) {
        if let Some(old) = self.tallies.remove(&pos) {
            self.total.take_all(&old);
        }
        self.total.add_all(&tally);
        self.tallies.insert(pos, tally);
    }

    /// What some tiles show: 128 x 128 packed 8-bit sRGB RGBA each.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn resolve(&mut self, places: &[TilePos]) -> Result<Vec<u32>, EngineError> {
        let stacks = self.stacks(places)?;
        self.with_room(|canvas| canvas.engine_with_paints()?.resolve(&stacks))
    }

    /// Linear colours of one row of tiles, row by row across the canvas, for export: `width` times up to 128 rows.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn resolve_band(&mut self, row: u16) -> Result<Vec<Colour>, EngineError> {
        let places: Vec<_> = (0..self.size.columns()).map(|column| TilePos { column, row }).collect();
        let stacks = self.stacks(&places)?;
        let handles: Vec<_> = stacks.iter().flat_map(|s| s.layers.iter().map(|l| l.tile.clone())).collect();
        let mut pixels = self.engine.download(&handles)?.into_iter();
        let tiles: Vec<Vec<(Arc<TilePixels>, u32)>> = stacks
            .iter()
            .map(|s| s.layers.iter().zip(&mut pixels).map(|(l, t)| (t, u32::from(l.strength))).collect())
            .collect();
        let layers: Vec<Vec<_>> =
            tiles.iter().map(|tiles| tiles.iter().map(|(tile, strength)| (&**tile, *strength)).collect()).collect();
        let paints = &self.paints;
        let width = self.size.width as usize;
        let height = self.size.tile_extent(TilePos { column: 0, row }).1 as usize;
        let mut band = vec![Colour::default(); width * height];
        band.par_chunks_mut(width * BLOCK_SIDE as usize)
            .enumerate()
            .for_each(|(strip, out)| resolve_exact(&layers, strip, width, paints, out));
        Ok(band)
    }

    /// The visible paints at one pixel with their amounts (0-65535), strongest first; what is missing to 65535 is ground.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn paints_at(&mut self, x: u32, y: u32) -> Result<Vec<(PaintId, u32)>, EngineError> {
        self.ask_paints_at(x, y)?.take()
    }

    /// As [`Canvas::paints_at`], answered later.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn ask_paints_at(&mut self, x: u32, y: u32) -> Result<Answer<Vec<(PaintId, u32)>>, EngineError> {
        if x >= self.size.width || y >= self.size.height {
            return Ok(Answer::ready(Ok(Vec::new())));
        }
        let (pos, index) = tile_of_pixel(x, y);
        self.bring_shown(&[pos])?;
        let stack = self.stack(pos);
        let samples: Vec<_> =
            stack.layers.iter().map(|layer| TileSample { tile: &layer.tile, pixels: vec![index] }).collect();
        let strengths: Vec<u32> = stack.layers.iter().map(|layer| layer.strength.into()).collect();
        let answer = self.engine.request_sample(&samples)?;
        Ok(answer.map(move |found| {
            let mut amounts = BTreeMap::new();
            let mut left = crate::amount::FULL;
            for (strength, planes) in strengths.into_iter().zip(&found) {
                let pairs = planes.iter().flatten().copied();
                left = show_layer(pairs, strength, left, |id, amount| {
                    *amounts.entry(paint_id(id)).or_insert(0) += amount;
                });
            }
            let mut found: Vec<_> = amounts.into_iter().filter(|&(_, amount)| amount > 0).collect();
            found.sort_by_key(|&(_, amount)| std::cmp::Reverse(amount));
            found
        }))
    }
}
