//! A stroke in the making: samples of the pen in, cover out. All that the rest of the program knows of a brush at work.

use super::brush::{Brush, BrushError};
use super::path::Path;
use super::swept::Swept;
use super::{CanvasSize, Mask, PenSample, Saved, Visits};
use std::collections::BTreeSet;
use stint_model::study::tile::TilePos;

/// The cover of one stroke of one brush, growing with the samples.
#[derive(Clone, Debug)]
pub struct StrokeMask {
    method: Method,
    mask: Mask,
    /// Whether its visits are noted.
    notes: bool,
}

/// How the cover is made.
#[derive(Clone, Debug)]
enum Method {
    /// The plain round brush: dabs of a hardness (0-1) along the path.
    Dabs {
        path: Path,
        hardness: f32,
        /// What lies under the provisional end.
        under: Saved,
    },
    /// A mark in stroke space.
    Swept(Box<Swept>),
}

impl StrokeMask {
    /// Of a brush that has not touched the canvas yet.
    ///
    /// # Errors
    /// When a setting of the brush is out of range.
    pub fn new(size: CanvasSize, brush: Brush) -> Result<Self, BrushError> {
        StrokeMask::with_notes(size, brush, false)
    }

    /// The same, noting which pixels the stroke comes over: for a wet brush and for softening. The plain round brush has no visits.
    ///
    /// # Errors
    /// As [`StrokeMask::new`].
    pub fn noting(size: CanvasSize, brush: Brush) -> Result<Self, BrushError> {
        StrokeMask::with_notes(size, brush, true)
    }

    fn with_notes(size: CanvasSize, brush: Brush, notes: bool) -> Result<Self, BrushError> {
        brush.check()?;
        let hardness = brush.hardness;
        let method = match brush.mark.as_deref().copied() {
            Some(mark) => Method::Swept(Box::new(Swept::new(brush, mark, notes))),
            None => Method::Dabs { path: Path::new(brush)?, hardness, under: Saved::new() },
        };
        Ok(StrokeMask { method, mask: Mask::new(size), notes })
    }

    /// Takes further samples; tells the tiles whose cover has changed. Samples one at a time or all at once give the same
    /// cover. The mark reaches the last sample; its end may still change with the next.
    ///
    /// # Errors
    /// When a value of a sample is out of range; none of these samples is taken then.
    pub fn extend(&mut self, samples: &[PenSample]) -> Result<BTreeSet<TilePos>, BrushError> {
        let (drawn, shown) = match &mut self.method {
            Method::Swept(swept) => swept.extend(samples, &mut self.mask)?,
            Method::Dabs { path, hardness, under } => {
                let mut dabs = Vec::new();
                // On a copy: a sample that is refused must not leave half of the others behind.
                let mut further = path.clone();
                for &sample in samples {
                    further.push(sample, &mut dabs)?;
                }
                *path = further;
                let shown = self.mask.restore(under);
                let mut drawn = BTreeSet::new();
                self.mask.add_dabs(&dabs, *hardness, &mut drawn, None);
                dabs.clear();
                path.reach(&mut dabs);
                self.mask.add_dabs(&dabs, *hardness, &mut drawn, Some(under));
                (drawn, shown)
            }
        };
        if self.notes {
            // What is under the tip, or smeared, may be another where the cover is the same.
            return Ok(drawn.into_iter().chain(shown.into_keys()).collect());
        }
        Ok(self.mask.changed(drawn, &shown))
    }

    /// What it came over since this was last asked; nothing unless it is noted.
    pub fn take_visits(&mut self) -> Visits {
        match &mut self.method {
            Method::Swept(swept) => swept.take_visits(),
            Method::Dabs { .. } => Visits::default(),
        }
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
    use crate::mask::Pointer;
    use crate::mask::mark::{Bristles, Following, Grain, Kind, Mark, Paint};

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
        let mut single = StrokeMask::new(SIZE, Brush::default()).unwrap();
        let mut told = BTreeSet::new();
        for sample in samples() {
            told.extend(single.extend(&[sample]).unwrap());
        }
        assert_eq!(single.mask(), whole.mask());
        assert!(told.len() > 1 && told.iter().eq(whole.mask().tiles.keys()));
    }

    /// What a dab finds as full as it can make it is not worked on again, and what is shown follows what is told.
    #[test]
    fn only_tiles_whose_cover_changes_are_told() {
        let size = CanvasSize { width: 1200, height: 512 };
        for hardness in [1.0, 0.5] {
            let brush = Brush { size_px: 400.0, hardness, strength: 0.8, pressure_size: false, ..Brush::default() };
            let mut stroke = StrokeMask::new(size, brush).unwrap();
            let mut seen = Mask::new(size);
            let mut most = 0;
            for i in 0..30_u8 {
                let told = stroke.extend(&[PenSample::new(200.0 + 20.0 * f32::from(i), 256.0, 1.0)]).unwrap();
                most = most.max(told.len());
                for pos in told {
                    let (before, now) = (seen.tiles.get(&pos), stroke.mask().tiles.get(&pos));
                    assert!(before != now, "{pos:?} is told and did not change");
                    match now {
                        Some(tile) => seen.tiles.insert(pos, tile.clone()),
                        None => seen.tiles.remove(&pos),
                    };
                }
                assert!(seen == *stroke.mask(), "a tile changed that was not told");
            }
            // The circle lies in 16 tiles or more.
            assert!((4..=16).contains(&most), "{most}");
            let further = stroke.extend(&[PenSample::new(800.0, 256.0, 1.0)]).unwrap();
            assert!(further.len() < 14, "{}", further.len());
        }
    }

    /// Every brush paints to the pointer while the pen is still down, and with the next sample no trace of a provisional end stays.
    #[test]
    fn the_mark_reaches_the_pointer_before_the_pen_lifts() {
        let marks = Kind::ALL.map(|kind| {
            Some(Box::new(Mark { kind, paint: Paint { lift: 0.0, ..Paint::default() }, ..Mark::default() }))
        });
        for mark in marks
            .into_iter()
            .filter(|mark| mark.as_ref().is_none_or(|m| ![Kind::Rag, Kind::Charcoal].contains(&m.kind)))
            .chain([None])
        {
            let brush = Brush { size_px: 24.0, strength: 1.0, pressure_size: false, mark, ..Brush::default() };
            let mut stroke = StrokeMask::new(SIZE, brush).unwrap();
            for x in [40.0, 100.0, 160.0, 220.0] {
                stroke.extend(&[PenSample::new(x, 100.0, 1.0)]).unwrap();
                let near = (96..104).flat_map(|y| (0..6).map(move |back| (x as u32 - back, y)));
                let most = near.map(|(x, y)| stroke.mask().at(x, y)).max().unwrap();
                assert!(most > 40_000, "{:?} at {x}: {most}", stroke.method);
            }
        }
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

    fn of_kind(kind: Kind) -> Brush {
        let path = Following { taper_start: 0.3, taper_end: 0.5, ..Following::default() };
        let mark = Mark { kind, path, ..Mark::default() };
        Brush { size_px: 40.0, strength: 1.0, mark: Some(Box::new(mark)), ..Brush::default() }
    }

    /// Samples in time, of a pen that leans and turns.
    fn timed() -> Vec<PenSample> {
        let rich = |(i, s): (usize, PenSample)| PenSample {
            time_ms: Some(4.0 * i as f64),
            tilt_degrees: Some([20.0 + i as f32, -10.0]),
            twist_degrees: Some(i as f32 * 29.0),
            ..s
        };
        samples().into_iter().enumerate().map(rich).collect()
    }

    /// A strewn mark reaches beyond its width, leaves gaps within it, and is the same however its samples come.
    #[test]
    fn scatter_strews_a_mark_across_the_stroke() {
        let painted = |scatter: f32, at_once: usize| {
            let mut brush = Brush { hardness: 1.0, ..of_kind(Kind::Flat) };
            if let Some(mark) = &mut brush.mark {
                mark.tip.scatter = scatter;
                mark.path = Following::default();
            }
            let mut stroke = StrokeMask::new(SIZE, brush).unwrap();
            let samples: Vec<_> = (0..20).map(|i| PenSample::new(30.0 + 12.0 * i as f32, 100.0, 1.0)).collect();
            for some in samples.chunks(at_once) {
                stroke.extend(some).unwrap();
            }
            stroke.into_mask()
        };
        let (plain, strewn) = (painted(0.0, 20), painted(0.6, 20));
        assert!(strewn == painted(0.6, 1));
        let beyond = |mask: &Mask| (60..240).filter(|&x| (mask.at(x, 76) > 0) || (mask.at(x, 123) > 0)).count();
        assert!(beyond(&plain) == 0 && beyond(&strewn) > 10, "{} {}", beyond(&plain), beyond(&strewn));
        let inside = |mask: &Mask| (60..200).filter(|&x| mask.at(x, 83) > 60_000).count();
        assert!(inside(&strewn) < inside(&plain), "{} {}", inside(&plain), inside(&strewn));
    }

    #[test]
    fn marks_of_every_kind_grow_the_same_one_at_a_time_and_all_at_once() {
        for kind in Kind::ALL {
            for pointer in [Pointer::Pen, Pointer::Mouse] {
                let samples: Vec<_> = timed().into_iter().map(|s| PenSample { pointer, ..s }).collect();
                let mut whole = StrokeMask::new(SIZE, of_kind(kind)).unwrap();
                whole.extend(&samples).unwrap();
                let mut single = StrokeMask::new(SIZE, of_kind(kind)).unwrap();
                let mut seen = Mask::new(SIZE);
                for sample in &samples {
                    let told = single.extend(&[*sample]).unwrap();
                    // What is shown follows what is told.
                    for pos in told {
                        match single.mask().tiles.get(&pos) {
                            Some(tile) => seen.tiles.insert(pos, tile.clone()),
                            None => seen.tiles.remove(&pos),
                        };
                    }
                    assert!(seen == *single.mask(), "{kind:?}: a tile changed that was not told");
                }
                assert!(!whole.mask().tiles.is_empty());
                assert!(single.mask() == whole.mask(), "{kind:?} {pointer:?}");
            }
        }
    }

    #[test]
    fn a_mark_reaches_the_pointer_before_the_pen_is_lifted() {
        let mark = Mark { paint: Paint { lift: 0.0, holds: 1000.0, ..Paint::default() }, ..Mark::default() };
        let brush =
            Brush { size_px: 20.0, hardness: 1.0, strength: 1.0, mark: Some(Box::new(mark)), ..Brush::default() };
        for count in [1, 2, 3, 7, 12] {
            let mut stroke = StrokeMask::new(SIZE, brush.clone()).unwrap();
            stroke.extend(&timed()[..count]).unwrap();
            let last = timed()[count - 1];
            assert_eq!(stroke.mask().at(last.x_px as u32, last.y_px as u32), 65535, "at sample {count}");
        }
    }

    /// Geometry: a capsule of length l and radius r has the area 2 r l + pi r².
    #[test]
    fn a_round_stroke_of_even_pressure_has_the_area_of_a_capsule() {
        for (size_px, to) in [(12.0, [250.0, 30.0]), (40.0, [220.0, 140.0]), (61.5, [60.0, 130.0])] {
            let mark = Mark {
                kind: Kind::Round,
                bristles: Bristles { unevenness: 0.0, ..Bristles::default() },
                paint: Paint { lift: 0.0, holds: 1000.0, ..Paint::default() },
                grain: Grain { amount: 0.0, ..Grain::default() },
                ..Mark::default()
            };
            let brush = Brush { size_px, hardness: 1.0, strength: 1.0, mark: Some(Box::new(mark)), ..Brush::default() };
            let from = [50.0, 50.0];
            let part = |t: f32| PenSample::new(from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t, 0.7);
            let mut stroke = StrokeMask::new(SIZE, brush).unwrap();
            stroke.extend(&(0..=9).map(|i| part(i as f32 / 9.0)).collect::<Vec<_>>()).unwrap();
            let cover: f64 = (0..200)
                .flat_map(|y| (0..300).map(move |x| (x, y)))
                .map(|(x, y)| f64::from(stroke.mask().at(x, y)))
                .sum();
            let (length, radius) =
                (f64::from(to[0] - from[0]).hypot(f64::from(to[1] - from[1])), f64::from(size_px) / 2.0);
            let capsule = 2.0 * radius * length + std::f64::consts::PI * radius * radius;
            assert!((cover / 65535.0 - capsule).abs() < 0.01 * capsule, "{size_px}: {} {capsule}", cover / 65535.0);
        }
    }

    #[test]
    fn a_hand_at_rest_makes_no_blob_and_a_quick_one_no_gap() {
        let mark = Mark { paint: Paint { lift: 0.0, holds: 1000.0, ..Paint::default() }, ..Mark::default() };
        let brush =
            Brush { size_px: 24.0, hardness: 1.0, strength: 1.0, mark: Some(Box::new(mark)), ..Brush::default() };
        let cover = |samples: &[PenSample]| {
            let mut stroke = StrokeMask::new(SIZE, brush.clone()).unwrap();
            stroke.extend(samples).unwrap();
            stroke.into_mask()
        };
        let (a, b, c) =
            (PenSample::new(30.0, 100.0, 1.0), PenSample::new(150.0, 100.0, 1.0), PenSample::new(270.0, 100.0, 1.0));
        let quick = cover(&[a, b, c]);
        assert!((30..270).all(|x| quick.at(x, 100) == 65535));
        let rests = [&[a][..], &[b; 40], &[c]].concat();
        assert!(cover(&rests) == quick);
        // There and back over the same way.
        let back = cover(&[a, b, c, b, a]);
        let covered = |x, y| back.at(x, y) >= quick.at(x, y).saturating_sub(900);
        assert!((20..270).all(|x| (80..120).all(|y| covered(x, y))));
        // It turns with a round end, to a pixel.
        assert!((270..282).all(|x| (80..120).all(|y| back.at(x, y) >= quick.at(x + 1, y).saturating_sub(900))));
    }
}
