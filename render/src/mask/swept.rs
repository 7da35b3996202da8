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
        let settled = maker.settled(&self.hand);
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
