//! The end of a stroke: it becomes part of its pass at once, and what it changed comes from the engine later.

use super::full_pixels::in_full_pixels;
use super::{Canvas, Change};
use crate::engine::answer::Answer;
use crate::engine::{EngineError, TileHandle};
use std::sync::Arc;
use stint_model::readout::Tally;
use stint_model::study::tile::{TileKey, TilePixels, TilePos};

/// A stroke that is part of its pass, while its pixels are on their way. Lifts are taken, or reverted the last first, in order.
#[derive(Debug)]
pub struct Lift {
    tiles: Vec<LiftedTile>,
    /// What is counted anew.
    places: Vec<TilePos>,
    number: u64,
}

#[derive(Debug)]
struct LiftedTile {
    key: TileKey,
    old: Option<TileHandle>,
    new: TileHandle,
}

/// The pixels of a lift before and after it, and what shows then.
#[derive(Debug)]
pub struct LiftedPixels {
    tiles: Vec<ReadTile>,
    tallies: Vec<Tally>,
}

#[derive(Debug)]
struct ReadTile {
    before: Arc<TilePixels>,
    after: Arc<TilePixels>,
    is_changed: bool,
    in_full_pixels: u64,
}

impl Lift {
    /// The tiles that it may have changed.
    pub fn tiles(&self) -> impl Iterator<Item = TilePos> {
        self.tiles.iter().map(|tile| tile.key.pos)
    }
}

impl Canvas {
    /// Makes the stroke that is shown part of its pass and asks the engine what changed. Never waits. The answer may be taken on any
    /// thread; [`Canvas::take_lift`] or [`Canvas::revert_lift`] is next.
    ///
    /// # Errors
    /// When the engine fails; the stroke is gone and the passes are as they were before it.
    pub fn lift(&mut self) -> Result<(Lift, Answer<LiftedPixels>), EngineError> {
        let live = self.take_live();
        self.stale.extend(live.keys().map(|key| key.pos));
        let tiles: Vec<LiftedTile> = live
            .into_iter()
            .map(|(key, new)| LiftedTile { key, old: self.tiles.insert(key, new.clone()), new })
            .collect();
        let places: Vec<TilePos> = std::mem::take(&mut self.stale).into_iter().collect();
        self.lifts += 1;
        let lift = Lift { tiles, places, number: self.lifts };
        match self.ask_for(&lift) {
            Ok(answer) => {
                self.asked.extend(lift.places.iter().map(|&pos| (pos, lift.number)));
                Ok((lift, answer))
            }
            Err(error) => {
                self.revert_lift(lift);
                Err(error)
            }
        }
    }

    fn ask_for(&mut self, lift: &Lift) -> Result<Answer<LiftedPixels>, EngineError> {
        let after = lift.tiles.iter().map(|tile| tile.new.clone());
        let before = lift.tiles.iter().filter_map(|tile| tile.old.clone());
        let handles: Vec<TileHandle> = after.chain(before).collect();
        let stacks = self.stacks(&lift.places)?;
        let answer = self.with_room(|canvas| canvas.engine_with_paints()?.request_lift(&handles, &stacks))?;
        let had_paint: Vec<bool> = lift.tiles.iter().map(|tile| tile.old.is_some()).collect();
        Ok(answer.map(move |(mut pixels, tallies)| {
            let mut before = pixels.split_off(had_paint.len().min(pixels.len())).into_iter();
            let empty = Arc::new(TilePixels::default());
            let tiles = pixels.into_iter().zip(had_paint).map(|(after, had_paint)| {
                let before = if had_paint { before.next() } else { None }.unwrap_or_else(|| empty.clone());
                let (is_changed, in_full_pixels) = (before != after, in_full_pixels(&after));
                ReadTile { before, after, is_changed, in_full_pixels }
            });
            LiftedPixels { tiles: tiles.collect(), tallies }
        }))
    }

    /// Takes what a lift changed, ready for the study file.
    pub fn take_lift(&mut self, lift: Lift, pixels: LiftedPixels) -> Vec<Change> {
        for (&pos, tally) in lift.places.iter().zip(pixels.tallies) {
            // What was counted since is newer.
            let Some(&asked) = self.asked.get(&pos) else { continue };
            if asked == lift.number {
                self.asked.remove(&pos);
            }
            self.replace_tally(pos, tally);
        }
        let mut changes = Vec::with_capacity(lift.tiles.len());
        for (LiftedTile { key, old, new }, read) in lift.tiles.into_iter().zip(pixels.tiles) {
            // A later stroke may have come over it.
            let is_here = self.tiles.get(&key).is_some_and(|tile| Arc::ptr_eq(&tile.0, &new.0));
            if !read.is_changed {
                if is_here {
                    self.put_or_remove(key, old);
                }
                continue;
            }
            if read.after.is_empty() && is_here {
                self.tiles.remove(&key);
            }
            self.note_full_pixels(key, read.in_full_pixels);
            changes.push(Change { key, before: read.before, after: read.after, old });
        }
        changes
    }

    /// Takes a lift back: the last that was not taken.
    pub fn revert_lift(&mut self, lift: Lift) {
        // What a stroke in the making has made, it has made of what goes now.
        self.live_masks.clear();
        for pos in lift.places {
            self.asked.remove(&pos);
            self.stale.insert(pos);
        }
        for LiftedTile { key, old, .. } in lift.tiles {
            self.put_or_remove(key, old);
        }
    }

    fn put_or_remove(&mut self, key: TileKey, tile: Option<TileHandle>) {
        match tile {
            Some(tile) => self.tiles.insert(key, tile),
            None => self.tiles.remove(&key),
        };
    }

    /// Makes the stroke that is shown part of its pass and waits for what changed: [`Canvas::lift`] and [`Canvas::take_lift`].
    ///
    /// # Errors
    /// As for [`Canvas::lift`].
    pub fn finish(&mut self) -> Result<Vec<Change>, EngineError> {
        let (lift, answer) = self.lift()?;
        match answer.take() {
            Ok(pixels) => Ok(self.take_lift(lift, pixels)),
            Err(error) => {
                self.revert_lift(lift);
                Err(error)
            }
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::StrokeOp;
    use crate::cpu::CpuEngine;
    use crate::engine::Engine;
    use crate::gpu::{GpuEngine, test_device};
    use crate::mask::{CanvasSize, Mask, MaskTile};
    use crate::paints::PaintLut;
    use stint_model::ids::{PaintId, PassId};
    use stint_model::pass::{Pass, PassKind};

    const SIZE: CanvasSize = CanvasSize { width: 400, height: 300 };
    const PASS: PassId = PassId(1);

    fn canvas(engine: Box<dyn Engine>) -> Canvas {
        let pass = Pass::new(PASS, "pass", PassKind::Board);
        Canvas::new(SIZE, engine, PaintLut::for_tests(9, |_| false), &[pass]).unwrap()
    }

    /// The CPU engine, and a GPU engine where there is one.
    fn canvases() -> Vec<Canvas> {
        let gpu = test_device("lifts on a device").map(|gpu| canvas(Box::new(GpuEngine::new(gpu).unwrap())));
        std::iter::once(canvas(Box::new(CpuEngine::default()))).chain(gpu).collect()
    }

    fn show(canvas: &mut Canvas, paint: u16, tiles: &[(u16, u16)], cover: u16) {
        let mut mask = Mask::new(SIZE);
        mask.tiles.extend(tiles.iter().map(|&(column, row)| (TilePos { column, row }, MaskTile::Even(cover))));
        canvas.preview(PASS, &StrokeOp::lay(PaintId(paint)), &mask, mask.tiles.keys().copied().collect()).unwrap();
    }

    fn all(canvas: &mut Canvas) -> Vec<(TileKey, TilePixels)> {
        canvas.all_tiles().unwrap().into_iter().map(|(key, tile)| (key, (*tile).clone())).collect()
    }

    /// Strokes that end before the pixels of those before them have come give the changes and the tallies of strokes one by one.
    #[test]
    fn lifts_that_are_taken_late_change_what_strokes_one_by_one_do() {
        /// Paint, tiles, cover.
        type Laid = (u16, &'static [(u16, u16)], u16);
        let strokes: [Laid; 4] =
            [(1, &[(0, 0), (1, 0)], 40_000), (2, &[(1, 0), (2, 1)], 65_535), (3, &[(1, 0)], 9_000), (4, &[(0, 1)], 0)];
        for (mut one_by_one, mut late) in canvases().into_iter().zip(canvases()) {
            let mut expected = Vec::new();
            for (paint, tiles, cover) in strokes {
                show(&mut one_by_one, paint, tiles, cover);
                let changes = one_by_one.finish().unwrap();
                expected.push((changes, one_by_one.tally().unwrap().clone()));
            }
            let lifts: Vec<_> = strokes
                .into_iter()
                .map(|(paint, tiles, cover)| {
                    show(&mut late, paint, tiles, cover);
                    late.lift().unwrap()
                })
                .collect();
            // Another stroke is in the making meanwhile.
            show(&mut late, 5, &[(0, 0)], 30_000);
            for ((lift, answer), (changes, tally)) in lifts.into_iter().zip(expected) {
                let taken = late.take_lift(lift, answer.take().unwrap());
                let bare = |c: &Change| (c.key, c.before.clone(), c.after.clone());
                assert_eq!(taken.iter().map(bare).collect::<Vec<_>>(), changes.iter().map(bare).collect::<Vec<_>>());
                assert_eq!(*late.counted(), tally);
            }
            late.cancel();
            assert_eq!(late.tally().unwrap(), one_by_one.tally().unwrap());
            assert_eq!(late.in_full_pixels(), one_by_one.in_full_pixels());
            assert_eq!(all(&mut late), all(&mut one_by_one));
        }
    }

    #[test]
    fn lifts_that_are_taken_back_leave_the_canvas_as_it_was() {
        for mut canvas in canvases() {
            show(&mut canvas, 1, &[(0, 0), (1, 0)], 40_000);
            canvas.finish().unwrap();
            let (before, tally) = (all(&mut canvas), canvas.tally().unwrap().clone());
            show(&mut canvas, 2, &[(1, 0), (2, 0)], 20_000);
            let (first, _) = canvas.lift().unwrap();
            show(&mut canvas, 3, &[(2, 0)], 50_000);
            let (second, _) = canvas.lift().unwrap();
            canvas.revert_lift(second);
            canvas.revert_lift(first);
            assert_eq!(all(&mut canvas), before);
            assert_eq!(*canvas.tally().unwrap(), tally);
        }
    }

    /// What a stroke in the making has made of a lift that is taken back is made anew, not taken over.
    #[test]
    fn a_stroke_in_the_making_follows_a_lift_that_is_taken_back() {
        let mut mask = Mask::new(SIZE);
        mask.tiles.insert(TilePos { column: 0, row: 0 }, MaskTile::from_fn(|i| (i % 1000) as u16));
        let grow = |canvas: &mut Canvas| {
            let touched = mask.tiles.keys().copied().collect();
            canvas.preview(PASS, &StrokeOp::lay(PaintId(2)), &mask, touched).unwrap();
        };
        for (mut canvas, mut plain) in canvases().into_iter().zip(canvases()) {
            show(&mut canvas, 1, &[(0, 0)], 40_000);
            let (lift, _) = canvas.lift().unwrap();
            grow(&mut canvas);
            canvas.revert_lift(lift);
            for canvas in [&mut canvas, &mut plain] {
                grow(canvas);
                canvas.finish().unwrap();
            }
            assert_eq!(all(&mut canvas), all(&mut plain));
        }
    }

    /// Counting meanwhile counts what shows now, and what comes later changes nothing of that.
    #[test]
    fn a_tally_between_a_lift_and_its_answer_is_right() {
        for (mut canvas, mut plain) in canvases().into_iter().zip(canvases()) {
            show(&mut plain, 1, &[(0, 0)], 65_535);
            plain.finish().unwrap();
            show(&mut canvas, 1, &[(0, 0)], 65_535);
            let (lift, answer) = canvas.lift().unwrap();
            assert_eq!(canvas.tally().unwrap(), plain.tally().unwrap());
            canvas.take_lift(lift, answer.take().unwrap());
            assert_eq!(canvas.tally().unwrap(), plain.tally().unwrap());
        }
    }
}
