//! A stroke in the making: samples of the pen in, cover out. All that the rest of the program knows of a brush at work.

use super::brush::{Brush, BrushError};
use super::path::Path;
use super::{CanvasSize, Mask, PenSample};
use std::collections::BTreeSet;
use stint_model::study::tile::TilePos;

/// The cover of one stroke of one brush, growing with the samples.
#[derive(Clone, Debug)]
pub struct StrokeMask {
    path: Path,
    /// Part of the radius that a dab covers fully, 0-1.
    hardness: f32,
    mask: Mask,
}

impl StrokeMask {
    /// Of a brush that has not touched the canvas yet.
    ///
    /// # Errors
    /// When a setting of the brush is out of range.
    pub fn new(size: CanvasSize, brush: Brush) -> Result<Self, BrushError> {
        Ok(StrokeMask { path: Path::new(brush)?, hardness: brush.hardness, mask: Mask::new(size) })
    }

    /// Takes further samples; tells the tiles whose cover has changed. Samples one at a time or all at once give the same
    /// cover.
    ///
    /// # Errors
    /// When a value of a sample is out of range; none of these samples is taken then.
    pub fn extend(&mut self, samples: &[PenSample]) -> Result<BTreeSet<TilePos>, BrushError> {
        let mut dabs = Vec::new();
        // On a copy: a sample that is refused must not leave half of the others behind.
        let mut path = self.path.clone();
        for &sample in samples {
            path.push(sample, &mut dabs)?;
        }
        self.path = path;
        let mut touched = BTreeSet::new();
        self.mask.add_dabs(&dabs, self.hardness, &mut touched);
        Ok(touched)
    }

    /// Ends the stroke at its last sample; tells the tiles whose cover has changed.
    pub fn finish(&mut self) -> BTreeSet<TilePos> {
        let mut dabs = Vec::new();
        self.path.finish(&mut dabs);
        let mut touched = BTreeSet::new();
        self.mask.add_dabs(&dabs, self.hardness, &mut touched);
        touched
    }

    /// The cover so far.
    pub fn mask(&self) -> &Mask {
        &self.mask
    }

    /// The cover alone.
    pub fn into_mask(self) -> Mask {
        self.mask
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const SIZE: CanvasSize = CanvasSize { width: 300, height: 200 };

    fn samples() -> Vec<PenSample> {
        (0..12)
            .map(|i| PenSample::new(20.0 + 22.0 * i as f32, 90.0 + (i % 4) as f32 * 15.0, 0.3 + 0.05 * i as f32))
            .collect()
    }

    #[test]
    fn one_at_a_time_is_all_at_once_and_every_changed_tile_is_told() {
        let mut whole = StrokeMask::new(SIZE, Brush::default()).unwrap();
        whole.extend(&samples()).unwrap();
        whole.finish();
        let mut single = StrokeMask::new(SIZE, Brush::default()).unwrap();
        let mut told = BTreeSet::new();
        for sample in samples() {
            told.extend(single.extend(&[sample]).unwrap());
        }
        told.extend(single.finish());
        assert_eq!(single.mask(), whole.mask());
        assert!(told.len() > 1 && told.iter().eq(whole.mask().tiles.keys()));
    }

    #[test]
    fn samples_with_one_out_of_range_leave_the_stroke_as_it_was() {
        let mut stroke = StrokeMask::new(SIZE, Brush::default()).unwrap();
        stroke.extend(&samples()[..4]).unwrap();
        let mut other = stroke.clone();
        let astray = [samples()[4], PenSample::new(f32::NAN, 1.0, 1.0)];
        assert_eq!(other.extend(&astray), Err(BrushError::Sample { index: 5, what: "place" }));
        assert_eq!(other.mask(), stroke.mask());
        assert_eq!(other.extend(&samples()[4..]).unwrap(), stroke.extend(&samples()[4..]).unwrap());
        assert_eq!(other.into_mask(), stroke.into_mask());
    }

    /// What the round brush does not read changes nothing.
    #[test]
    fn time_tilt_and_twist_are_left_unread_by_the_round_brush() {
        let mut plain = StrokeMask::new(SIZE, Brush::default()).unwrap();
        plain.extend(&samples()).unwrap();
        let more = |s: PenSample| PenSample {
            time_ms: Some(f64::from(s.x_px)),
            tilt_degrees: Some([40.0, -20.0]),
            twist_degrees: Some(90.0),
            ..s
        };
        let mut full = StrokeMask::new(SIZE, Brush::default()).unwrap();
        full.extend(&samples().into_iter().map(more).collect::<Vec<_>>()).unwrap();
        assert_eq!(full.mask(), plain.mask());
    }
}
