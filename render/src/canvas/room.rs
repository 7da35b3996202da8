//! Room on a full device: tiles of hidden passes go beside it, and come back when their pass shows again.

use super::Canvas;
use crate::engine::{EngineError, TileHandle};
use stint_model::ids::PassId;

impl Canvas {
    /// Does something with the engine; once more, if the device is full and tiles of hidden passes could make room.
    pub(super) fn with_room<R>(
        &mut self,
        work: impl Fn(&mut Canvas) -> Result<R, EngineError>,
    ) -> Result<R, EngineError> {
        match work(self) {
            Err(EngineError::OutOfMemory(why)) => {
                if self.park_hidden()? == 0 {
                    return Err(EngineError::OutOfMemory(why));
                }
                work(self)
            }
            other => other,
        }
    }

    /// Parks the tiles of passes that do not show; tells how many planes that gave back.
    fn park_hidden(&mut self) -> Result<usize, EngineError> {
        let hidden = |pass: PassId| self.passes.iter().any(|p| p.id == pass && !(p.visible && p.strength > 0));
        let tiles: Vec<TileHandle> =
            self.tiles.iter().filter(|(key, _)| hidden(key.pass)).map(|(_, tile)| tile.clone()).collect();
        self.engine.park(&tiles)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::{Change, StrokeOp};
    use crate::cpu::CpuEngine;
    use crate::engine::Engine;
    use crate::gpu::{GpuEngine, test_device};
    use crate::mask::{CanvasSize, Mask, MaskTile};
    use crate::paints::PaintLut;
    use stint_model::ids::PaintId;
    use stint_model::pass::{Pass, PassKind};
    use stint_model::study::tile::{TILE_PIXELS, TilePos};

    /// 16 tiles.
    const SIZE: CanvasSize = CanvasSize { width: 512, height: 512 };
    /// Planes that the device has room for: five a tile.
    const ROOM: u64 = 5 * 16;

    fn passes(visible: [bool; 2]) -> [Pass; 2] {
        [1, 2].map(|id| Pass { visible: visible[id as usize - 1], ..Pass::new(PassId(id), "pass", PassKind::Board) })
    }

    fn canvas(engine: Box<dyn Engine>) -> Result<Canvas, EngineError> {
        Canvas::new(SIZE, engine, PaintLut::for_tests(9, |_| false), &passes([true, true]))
    }

    /// Lays a paint thinly over everything.
    fn glaze(canvas: &mut Canvas, pass: u32, paint: u16) -> Result<Vec<Change>, EngineError> {
        let mut mask = Mask::new(SIZE);
        mask.tiles.extend(SIZE.tiles().map(|pos| (pos, MaskTile::Even(9000 + 100 * paint))));
        canvas.commit(PassId(pass), &StrokeOp::lay(PaintId(paint)), &mask)
    }

    fn seen(canvas: &mut Canvas) -> Result<Vec<u32>, EngineError> {
        canvas.resolve(&SIZE.tiles().collect::<Vec<TilePos>>())
    }

    /// Engines are at most one 8-bit code apart.
    fn assert_alike(ours: &[u32], theirs: &[u32]) {
        let codes = |colours: &[u32]| -> Vec<u8> { colours.iter().flat_map(|c| c.to_le_bytes()).collect() };
        assert_eq!(ours.len(), theirs.len());
        let apart = codes(ours).into_iter().zip(codes(theirs)).map(|(a, b)| a.abs_diff(b)).max();
        assert!(apart <= Some(1), "{apart:?} codes apart");
    }

    /// Hides and shows passes on a device with little room; on the CPU, which has room for everything, the same shows.
    #[test]
    fn hidden_passes_make_room_on_a_full_device_and_come_back() -> Result<(), EngineError> {
        let Some(gpu) = test_device("room on a full device") else { return Ok(()) };
        let bytes = ROOM * 4 * TILE_PIXELS as u64;
        let mut canvas = [canvas(Box::new(GpuEngine::within(gpu, bytes)?))?, canvas(Box::new(CpuEngine::default()))?];
        for (pass, paint) in [(1, 1), (1, 2), (2, 3)] {
            for canvas in &mut canvas {
                glaze(canvas, pass, paint)?;
            }
        }
        // Two planes a tile and one above them; the next commit on the lower pass wants three more.
        let full = glaze(&mut canvas[0], 1, 4);
        assert!(matches!(full, Err(EngineError::OutOfMemory(_))), "{full:?}");
        for canvas in &mut canvas {
            canvas.set_passes(&passes([true, false]));
            glaze(canvas, 1, 4)?;
        }
        let [gpu, cpu] = &mut canvas;
        assert_alike(&seen(gpu)?, &seen(cpu)?);
        assert_eq!(gpu.tally()?, cpu.tally()?);
        // The hidden pass shows again in the place of the other, and both are what they were.
        for visible in [[false, true], [true, false]] {
            gpu.set_passes(&passes(visible));
            cpu.set_passes(&passes(visible));
            assert_alike(&seen(gpu)?, &seen(cpu)?);
            assert_eq!(gpu.tally()?, cpu.tally()?);
        }
        let pixels = |canvas: &mut Canvas| -> Result<Vec<_>, EngineError> {
            Ok(canvas.all_tiles()?.into_iter().map(|(key, tile)| (key, (*tile).clone())).collect())
        };
        assert_eq!(pixels(gpu)?, pixels(cpu)?);
        Ok(())
    }
}
