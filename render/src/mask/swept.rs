//! A stroke of a mark in the making: what is settled is drawn once, its end anew with every sample.

use super::brush::{Brush, BrushError};
use super::hand::Hand;
use super::kinds;
use super::mark::Mark;
use super::noise::{hash, noise};
use super::ribs::{RibMaker, step_px};
use super::sweep::{Stroke, Target};
use super::visits::{Visits, lanes};
use super::{Mask, PenSample, Saved};
use std::collections::BTreeSet;
use stint_model::study::tile::TilePos;

/// A length beyond every stroke, pixels: what is settled does not depend on where the stroke ends.
const ENDLESS_PX: f32 = 1.0e7;

/// The stroke.
#[derive(Clone, Debug)]
pub struct Swept {
    brush: Brush,
    mark: Mark,
    hand: Hand,
    /// Which part of the noise tables this stroke sees.
    seed: f32,
    /// Ribs that are drawn for good.
    drawn: usize,
    /// What lies under the provisional end.
    under: Saved,
    /// Whether it is noted which pixels the stroke comes over.
    notes: bool,
    /// What it came over since it was last asked.
    visits: Visits,
}

impl Swept {
    /// Of a brush, whose settings are in range, and its mark; `notes` says whether its visits are wanted.
    pub fn new(brush: Brush, mark: Mark, notes: bool) -> Self {
        let hand = Hand::new(step_px(&brush), mark.path.smoothing);
        Swept { brush, mark, hand, seed: 0.0, drawn: 0, under: Saved::new(), notes, visits: Visits::default() }
    }

    /// Takes further samples, as [`super::StrokeMask::extend`]; gives the tiles that were drawn on, and those of the end that was taken
    /// back as they were with it.
    pub fn extend(&mut self, samples: &[PenSample], mask: &mut Mask) -> Result<(BTreeSet<TilePos>, Saved), BrushError> {
        // Before any is taken: a sample that is refused must not leave half of the others behind.
        for (i, sample) in samples.iter().enumerate() {
            if let Some(what) = sample.fault() {
                return Err(BrushError::Sample { index: self.hand.samples() + i, what });
            }
        }
        if self.hand.samples() == 0
            && let Some(first) = samples.first()
        {
            self.seed = (hash(first.x_px.to_bits(), first.y_px.to_bits()) & 0xFFF) as f32;
            if self.notes {
                self.visits.lanes = lanes(&self.brush, &self.mark, self.seed);
            }
        }
        for sample in samples {
            self.hand.push(sample);
        }
        self.hand.reach();
        let shown = mask.restore(&mut self.under);
        let mut drawn = BTreeSet::new();
        self.draw(mask, &mut drawn);
        Ok((drawn, shown))
    }

    /// The visits since they were last taken.
    pub fn take_visits(&mut self) -> Visits {
        let lanes = self.visits.lanes.clone();
        std::mem::replace(&mut self.visits, Visits { lanes, ..Visits::default() })
    }

    fn draw(&mut self, mask: &mut Mask, touched: &mut BTreeSet<TilePos>) {
        let path = self.hand.path();
        let Some(length_px) = path.last().map(|p| p.length_px) else { return };
        let maker = RibMaker::new(&self.brush, &self.mark, self.hand.is_mouse());
        let mut stroke = Stroke {
            mark: &self.mark,
            hardness: self.brush.hardness,
            size_px: self.brush.size_px,
            cap: self.brush.strength * 65535.0,
            seed: self.seed,
            noise: noise(),
            length_px: ENDLESS_PX,
        };
        let settled = maker.settled(&self.hand, self.drawn);
        let lanes = self.visits.lanes.len() as f32;
        let Visits { settled: for_good, provisional, .. } = &mut self.visits;
        provisional.clear();
        if settled > self.drawn + 1 {
            // The last rib drawn begins the next strip.
            let ribs = maker.ribs(path, self.drawn..settled, length_px);
            let visits = self.notes.then_some((for_good, lanes));
            let mut target = Target { mask, touched, saved: None, visits };
            kinds::draw(self.mark.kind, &stroke, &ribs, &mut target);
            self.drawn = settled - 1;
        }
        stroke.length_px = length_px;
        let ribs = maker.ribs(path, self.drawn..path.len(), length_px);
        let visits = self.notes.then_some((provisional, lanes));
        let mut target = Target { mask, touched, saved: Some(&mut self.under), visits };
        kinds::draw(self.mark.kind, &stroke, &ribs, &mut target);
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::mask::CanvasSize;
    use crate::mask::mark::{Angle, Bristles, Kind, Paint, Shape, Tip};

    const SIZE: CanvasSize = CanvasSize { width: 500, height: 360 };

    /// The mask of a stroke drawn in one go, nothing of it settled before its end is known.
    fn at_once(swept: &Swept) -> Mask {
        let (path, mut mask) = (swept.hand.path(), Mask::new(SIZE));
        let length_px = path.last().unwrap().length_px;
        let stroke = Stroke {
            mark: &swept.mark,
            hardness: swept.brush.hardness,
            size_px: swept.brush.size_px,
            cap: swept.brush.strength * 65535.0,
            seed: swept.seed,
            noise: noise(),
            length_px,
        };
        let ribs = RibMaker::new(&swept.brush, &swept.mark, swept.hand.is_mouse()).ribs(path, 0..path.len(), length_px);
        let mut target = Target { mask: &mut mask, touched: &mut BTreeSet::new(), saved: None, visits: None };
        kinds::draw(swept.mark.kind, &stroke, &ribs, &mut target);
        mask
    }

    /// Every kind of mark with tips that lie level, aslant and turning, thin and thick, strewn too: whatever is drawn for good while the
    /// pen moves is what the whole stroke has there.
    #[test]
    fn what_is_settled_does_not_depend_on_where_the_stroke_ends() {
        let tips = [
            (Angle::Direction(0.0), 0.1, 0.0),
            (Angle::Direction(30.0), 0.4, 0.0),
            (Angle::Fixed(-50.0), 0.05, 0.3),
            (Angle::Tilt(10.0), 0.9, 0.0),
        ];
        let mut settled = 0;
        for (kind, (angle, aspect, scatter)) in Kind::ALL.into_iter().flat_map(|kind| tips.map(|tip| (kind, tip))) {
            // Dry from the start, and full until long after the end.
            for (size_px, shape, load, lift) in [(30.0, Shape::Rectangle, 0.9, 0.8), (130.0, Shape::Ellipse, 1.4, 0.0)]
            {
                let mark = Mark {
                    kind,
                    tip: Tip { shape, aspect, angle, scatter },
                    bristles: Bristles { unevenness: 0.9, splitting: 0.8, ..Bristles::default() },
                    paint: Paint { load, holds: 5.0, lift },
                    ..Mark::default()
                };
                let brush = Brush { size_px, strength: 1.0, ..Brush::default() };
                let (mut swept, mut mask) = (Swept::new(brush, mark, false), Mask::new(SIZE));
                for i in 0..40_u8 {
                    let turn = 0.14 * f32::from(i);
                    let at = [250.0 + 150.0 * turn.cos(), 180.0 + 90.0 * turn.sin()];
                    let sample = PenSample {
                        time_ms: Some(5.0 * f64::from(i)),
                        tilt_degrees: Some([40.0 * turn.sin(), 20.0]),
                        ..PenSample::new(at[0], at[1], 0.3 + 0.6 * (0.2 * f32::from(i)).sin().abs())
                    };
                    swept.extend(&[sample], &mut mask).unwrap();
                    if i % 4 == 3 {
                        assert!(mask == at_once(&swept), "{kind:?} {angle:?} {size_px} px after sample {i}");
                    }
                }
                settled += usize::from(swept.drawn > 0);
            }
        }
        assert!(settled > 60, "{settled}");
    }
}
