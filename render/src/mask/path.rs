//! From pen samples to a smooth path of dabs.
//!
//! The path is the quadratic B-spline of the samples: it runs from midpoint to midpoint with the samples as control points,
//! so it follows the hand within half a sample and can be drawn while the pen is still moving; the last half, up to the pointer, is
//! provisional. Dabs stand on it at a fixed part of the brush's diameter.

use super::PenSample;
use super::brush::{Brush, BrushError};
use stint_model::study::document::CANVAS_LIMIT;

/// A place on the path with its pressure: what a brush reads of a [`PenSample`].
#[derive(Clone, Copy, Debug)]
struct PathPoint {
    x_px: f32,
    y_px: f32,
    pressure: f32,
}

impl PathPoint {
    fn toward(self, other: PathPoint, t: f32) -> PathPoint {
        let mix = |a: f32, b: f32| a + (b - a) * t;
        PathPoint {
            x_px: mix(self.x_px, other.x_px),
            y_px: mix(self.y_px, other.y_px),
            pressure: mix(self.pressure, other.pressure),
        }
    }

    fn distance_px(self, other: PathPoint) -> f32 {
        libm::hypotf(self.x_px - other.x_px, self.y_px - other.y_px)
    }
}

/// One touch of the brush.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Dab {
    /// Centre, canvas pixels from the left edge.
    pub x_px: f32,
    /// Centre, canvas pixels from the top edge.
    pub y_px: f32,
    /// Radius, pixels.
    pub radius_px: f32,
    /// Cover it builds up to, 0-1.
    pub strength: f32,
}

/// A stroke in the making: samples in, dabs out. Feeding samples one at a time or all at once gives the same dabs.
#[derive(Clone, Debug)]
pub struct Path {
    brush: Brush,
    samples: usize,
    /// The last sample.
    last: Option<PathPoint>,
    /// Where the drawn part of the path ends.
    end: Option<PathPoint>,
    /// Path length still to go before the next dab.
    until_next_px: f32,
}

impl Path {
    /// An empty path.
    ///
    /// # Errors
    /// When a setting of the brush is out of range.
    pub fn new(brush: Brush) -> Result<Self, BrushError> {
        brush.check()?;
        Ok(Path { brush, samples: 0, last: None, end: None, until_next_px: 0.0 })
    }

    /// Takes the next sample and appends the dabs that are certain now.
    ///
    /// # Errors
    /// When a value of the sample is out of range; the path stays as it was.
    pub fn push(&mut self, sample: PenSample, dabs: &mut Vec<Dab>) -> Result<(), BrushError> {
        if let Some(what) = sample.fault() {
            return Err(BrushError::Sample { index: self.samples, what });
        }
        // Far outside any canvas nothing is covered; the bound keeps the arithmetic of dabs exact enough.
        let place = |v: f32| v.clamp(-65536.0, 2.0 * 65536.0);
        let PenSample { x_px, y_px, pressure, .. } = sample;
        let point = PathPoint { x_px: place(x_px), y_px: place(y_px), pressure: pressure.clamp(0.0, 1.0) };
        self.samples += 1;
        match (self.last, self.end) {
            (Some(last), Some(end)) => {
                let middle = last.toward(point, 0.5);
                self.curve(end, last, middle, dabs);
                self.end = Some(middle);
            }
            _ => {
                self.dab(point, dabs);
                self.end = Some(point);
            }
        }
        self.last = Some(point);
        Ok(())
    }

    /// Appends the dabs from the last midpoint to the last sample, which the next sample replaces by others.
    pub fn reach(&self, dabs: &mut Vec<Dab>) {
        if let (Some(last), Some(end)) = (self.last, self.end) {
            self.clone().curve(end, last.toward(end, 0.5), last, dabs);
        }
    }

    fn dab(&mut self, at: PathPoint, dabs: &mut Vec<Dab>) {
        let size_px = self.brush.size_px_at(at.pressure);
        let radius_px = size_px / 2.0;
        // One long segment far outside would make hundreds of thousands that cover nothing on any canvas.
        let near = -radius_px..=CANVAS_LIMIT as f32 + radius_px;
        if near.contains(&at.x_px) && near.contains(&at.y_px) {
            let strength = self.brush.strength_at(at.pressure);
            dabs.push(Dab { x_px: at.x_px, y_px: at.y_px, radius_px, strength });
        }
        // Never closer than a quarter pixel: more dabs would not be seen.
        self.until_next_px = (size_px * self.brush.spacing).max(0.25);
    }

    /// Walks the quadratic curve `from`, `control`, `to` in short chords.
    #[expect(clippy::cast_possible_truncation, reason = "the count is clamped before the cast")]
    fn curve(&mut self, from: PathPoint, control: PathPoint, to: PathPoint, dabs: &mut Vec<Dab>) {
        let length_px = from.distance_px(control) + control.distance_px(to);
        // Chords of about a pixel and a half; the sagitta of such a chord is far below a tenth of a pixel.
        let chords = (length_px / 1.5).ceil().clamp(1.0, 8192.0) as u32;
        let mut at = from;
        for i in 1..=chords {
            let t = i as f32 / chords as f32;
            let next = from.toward(control, t).toward(control.toward(to, t), t);
            let mut chord = at.distance_px(next);
            while chord >= self.until_next_px && chord > 0.0 {
                at = at.toward(next, self.until_next_px / chord);
                self.dab(at, dabs);
                chord = at.distance_px(next);
            }
            self.until_next_px -= chord;
            at = next;
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// All dabs of a finished stroke.
    fn stroke_dabs(brush: &Brush, samples: &[PenSample]) -> Result<Vec<Dab>, BrushError> {
        let mut path = Path::new(brush.clone())?;
        let mut dabs = Vec::new();
        for &sample in samples {
            path.push(sample, &mut dabs)?;
        }
        path.reach(&mut dabs);
        Ok(dabs)
    }

    fn brush(size_px: f32, spacing: f32) -> Brush {
        Brush { size_px, spacing, pressure_size: false, ..Brush::default() }
    }

    #[test]
    fn dabs_of_a_straight_stroke_stand_evenly() {
        let samples: Vec<_> = (0..=10).map(|i| PenSample::new(i as f32 * 10.0, 5.0, 1.0)).collect();
        let dabs = stroke_dabs(&brush(20.0, 0.1), &samples).unwrap();
        assert_eq!(dabs.len(), 51);
        for (i, dab) in dabs.iter().enumerate() {
            assert!((dab.x_px - 2.0 * i as f32).abs() < 1e-3 && dab.y_px == 5.0, "{i} {dab:?}");
        }
    }

    /// Each of these samples lies as far out as a place may; before, every such segment gave 800,000 dabs.
    #[test]
    fn a_long_segment_makes_dabs_on_canvases_only() {
        let thin = Brush { size_px: 1.0, spacing: 0.05, pressure_size: false, ..Brush::default() };
        let far = [[-1e6, -1e6], [1e6, 1e6], [1e6, -1e6], [-1e6, 1e6]];
        let samples: Vec<_> = far.iter().map(|p| PenSample::new(p[0], p[1], 1.0)).collect();
        let dabs = stroke_dabs(&thin, &samples).unwrap();
        // Three diagonals of the largest canvas at a quarter pixel.
        assert!(dabs.len() < 3 * 4 * 23_171, "{}", dabs.len());
        assert!(dabs.iter().all(|d| (-0.5..=16_384.5).contains(&d.x_px) && (-0.5..=16_384.5).contains(&d.y_px)));
        assert!(dabs.iter().any(|d| d.x_px.hypot(d.y_px) < 50.0), "none where the path crosses the canvas");
    }

    #[test]
    fn one_sample_is_one_dab_and_the_stroke_reaches_its_last_sample() {
        assert_eq!(stroke_dabs(&brush(20.0, 0.5), &[PenSample::new(3.0, 4.0, 0.5)]).unwrap().len(), 1);
        let dabs =
            stroke_dabs(&brush(4.0, 0.1), &[PenSample::new(0.0, 0.0, 1.0), PenSample::new(30.0, 40.0, 1.0)]).unwrap();
        let last = dabs.last().unwrap();
        assert!((last.x_px - 30.0).hypot(last.y_px - 40.0) < 0.5);
    }

    #[test]
    fn pressure_gives_size_and_strength() {
        let both = Brush { pressure_strength: true, strength: 1.0, size_px: 100.0, ..Brush::default() };
        let dab = stroke_dabs(&both, &[PenSample::new(0.0, 0.0, 0.5)]).unwrap()[0];
        assert!((dab.radius_px - 27.5).abs() < 1e-4);
        assert!((dab.strength - 0.5).abs() < 1e-6);
    }

    #[test]
    fn nonsense_is_refused_by_name() {
        let text = Brush { hardness: f32::NAN, ..Brush::default() }.check().unwrap_err().to_string();
        assert!(text.contains("hardness"), "{text}");
        let samples = [PenSample::new(0.0, 0.0, 1.0), PenSample::new(f32::INFINITY, 0.0, 1.0)];
        assert_eq!(stroke_dabs(&Brush::default(), &samples), Err(BrushError::Sample { index: 1, what: "place" }));
    }
}
