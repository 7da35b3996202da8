//! Pixels of tiles that a stroke will come to: asked of the engine a little ahead, so that a stroke that works pixel by pixel seldom waits
//! for a device.

use super::Canvas;
use crate::engine::answer::Answer;
use crate::engine::{EngineError, TileHandle};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use stint_model::ids::PassId;
use stint_model::study::tile::{TileKey, TilePixels, TilePos};

/// Tiles whose pixels are on their way.
struct Asked {
    tiles: Vec<(TileKey, TileHandle)>,
    answer: Answer<Vec<Arc<TilePixels>>>,
}

/// What was asked for, and what has come of it, until the stroke ends.
#[derive(Default)]
pub(super) struct Ahead {
    asked: Vec<Asked>,
    /// With the tile that they were read of: for another one they do not hold.
    here: BTreeMap<TileKey, (TileHandle, Arc<TilePixels>)>,
}

impl Canvas {
    /// Pixels of some tiles of the passes, in their order; none where there is no paint. Waits for those that were not asked for early
    /// enough.
    pub(super) fn pixels_of(&mut self, keys: &[TileKey]) -> Result<Vec<Option<Arc<TilePixels>>>, EngineError> {
        let Ahead { asked, here } = &mut self.ahead;
        for Asked { tiles, answer } in std::mem::take(asked) {
            if tiles.iter().any(|(key, _)| keys.contains(key)) {
                let come = tiles.into_iter().zip(answer.take()?);
                here.extend(come.map(|((key, handle), pixels)| (key, (handle, pixels))));
            } else {
                asked.push(Asked { tiles, answer });
            }
        }
        let tiles = &self.tiles;
        here.retain(|key, (of, _)| tiles.get(key).is_some_and(|now| Arc::ptr_eq(&now.0, &of.0)));
        let missing = keys.iter().filter(|key| !here.contains_key(key));
        let missing: Vec<_> = missing.filter_map(|key| Some((*key, tiles.get(key)?.clone()))).collect();
        let handles: Vec<_> = missing.iter().map(|(_, handle)| handle.clone()).collect();
        let read = self.engine.download(&handles)?;
        here.extend(missing.into_iter().zip(read).map(|((key, handle), pixels)| (key, (handle, pixels))));
        Ok(keys.iter().map(|key| here.get(key).map(|(_, pixels)| pixels.clone())).collect())
    }

    /// Asks for the tiles around some that a stroke has come to. What cannot be asked for now is read when it is needed.
    pub(super) fn ask_ahead(&mut self, pass: PassId, places: impl Iterator<Item = TilePos>) {
        let near = |at: u16| at.saturating_sub(1)..=at.saturating_add(1);
        let around =
            |pos: TilePos| near(pos.row).flat_map(move |row| near(pos.column).map(move |column| (column, row)));
        let keys: BTreeSet<TileKey> =
            places.flat_map(around).map(|(column, row)| TileKey { pass, pos: TilePos { column, row } }).collect();
        let Ahead { asked, here } = &mut self.ahead;
        let is_asked = |key: &TileKey| asked.iter().any(|asked| asked.tiles.iter().any(|(of, _)| of == key));
        let fresh = keys.into_iter().filter(|key| !here.contains_key(key) && !is_asked(key));
        let tiles: Vec<_> = fresh.filter_map(|key| Some((key, self.tiles.get(&key)?.clone()))).collect();
        let handles: Vec<_> = tiles.iter().map(|(_, handle)| handle.clone()).collect();
        if !tiles.is_empty()
            && let Ok(answer) = self.engine.request_download(&handles)
        {
            asked.push(Asked { tiles, answer });
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::canvas::StrokeOp;
    use crate::cpu::CpuEngine;
    use crate::engine::{CommitJob, Engine, EngineInfo, Op, Stack};
    use crate::mask::{CanvasSize, Mask, MaskTile};
    use crate::paints::PaintLut;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use stint_model::ids::PaintId;
    use stint_model::pass::{Pass, PassKind};
    use stint_model::readout::Tally;
    use stint_model::study::tile::Plane;

    /// Counts tiles that are waited for.
    struct Waiting(CpuEngine, Arc<AtomicUsize>);

    impl Engine for Waiting {
        fn info(&self) -> EngineInfo {
            self.0.info()
        }

        fn set_paints(&mut self, paints: &PaintLut) -> Result<(), EngineError> {
            self.0.set_paints(paints)
        }

        fn upload(&mut self, tiles: &[Arc<TilePixels>]) -> Result<Vec<TileHandle>, EngineError> {
            self.0.upload(tiles)
        }

        fn download(&mut self, tiles: &[TileHandle]) -> Result<Vec<Arc<TilePixels>>, EngineError> {
            self.1.fetch_add(tiles.len(), Ordering::Relaxed);
            self.0.download(tiles)
        }

        fn request_download(&mut self, tiles: &[TileHandle]) -> Result<Answer<Vec<Arc<TilePixels>>>, EngineError> {
            self.0.request_download(tiles)
        }

        fn commit(&mut self, op: Op, jobs: &[CommitJob<'_>]) -> Result<Vec<TileHandle>, EngineError> {
            self.0.commit(op, jobs)
        }

        fn resolve(&mut self, stacks: &[Stack]) -> Result<Vec<u32>, EngineError> {
            self.0.resolve(stacks)
        }

        fn tally(&mut self, stacks: &[Stack]) -> Result<Vec<Tally>, EngineError> {
            self.0.tally(stacks)
        }
    }

    const SIZE: CanvasSize = CanvasSize { width: 1280, height: 512 };
    const PASS: PassId = PassId(1);

    fn key(column: u16) -> TileKey {
        TileKey { pass: PASS, pos: TilePos { column, row: 1 } }
    }

    fn lay(canvas: &mut Canvas, paint: u16, tiles: impl Iterator<Item = TilePos>) {
        let mut mask = Mask::new(SIZE);
        mask.tiles.extend(tiles.map(|pos| (pos, MaskTile::Even(20_000))));
        canvas.commit(PASS, &StrokeOp::lay(PaintId(paint)), &mask).unwrap();
    }

    #[test]
    fn tiles_ahead_are_not_waited_for_and_are_what_the_passes_hold() {
        let waits = Arc::<AtomicUsize>::default();
        let engine = Box::new(Waiting(CpuEngine::default(), waits.clone()));
        let pass = Pass::new(PASS, "pass", PassKind::Board);
        let mut canvas = Canvas::new(SIZE, engine, PaintLut::for_tests(9, |_| false), &[pass]).unwrap();
        lay(&mut canvas, 1, SIZE.tiles().filter(|pos| pos.column != 4));
        waits.store(0, Ordering::Relaxed);
        for column in 0..10 {
            let pixels = canvas.pixels_of(&[key(column)]).unwrap();
            assert_eq!(pixels[0].is_some(), column != 4, "{column}");
            canvas.ask_ahead(PASS, std::iter::once(key(column).pos));
        }
        // The first, which nobody knew of, and the one behind the gap is asked for from the gap.
        assert_eq!(waits.load(Ordering::Relaxed), 1);
        // What was read, or asked for, of a tile that has changed since does not hold.
        for asked in [false, true] {
            if asked {
                canvas.ahead = Ahead::default();
                canvas.ask_ahead(PASS, std::iter::once(key(2).pos));
            }
            let tile = TilePixels::new(vec![Plane::even((3 << 16) | (9 + u32::from(asked)))]);
            canvas.put_tiles(vec![(key(2), tile.clone())]).unwrap();
            assert_eq!(canvas.pixels_of(&[key(2)]).unwrap()[0].as_deref(), Some(&tile));
        }
    }
}
