//! From pen samples to a smooth path of dabs.
//!
//! The path is the quadratic B-spline of the samples: it runs from midpoint to midpoint with the samples as control points,
//! so it follows the hand within half a sample and can be drawn while the pen is still moving. Dabs stand on it at a fixed
//! part of the brush's diameter.

use super::brush::{Brush, BrushError};
use serde::{Deserialize, Serialize};

/// One reading of the pen, in canvas pixels.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
pub struct Sample(
    /// x, canvas pixels from the left edge.
    pub f32,
    /// y, canvas pixels from the top edge.
    pub f32,
    /// Pressure, 0-1; 1 for a mouse.
    pub f32,
);

impl Sample {
    fn toward(self, other: Sample, t: f32) -> Sample {
        let mix = |a: f32, b: f32| a + (b - a) * t;
        Sample(mix(self.0, other.0), mix(self.1, other.1), mix(self.2, other.2))
    }

    fn distance(self, other: Sample) -> f32 {
        (self.0 - other.0).hypot(self.1 - other.1)
    }
}

/// One touch of the brush.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Dab {
    /// Centre, canvas pixels.
    pub x: f32,
    /// Centre, canvas pixels.
    pub y: f32,
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
    /// Last two samples.
    last: Option<Sample>,
    /// Where the drawn part of the path ends.
    end: Option<Sample>,
    /// Path length still to go before the next dab.
    until_next: f32,
}

impl Path {
    /// An empty path.
    ///
    /// # Errors
    /// When a setting of the brush is out of range.
    pub fn new(brush: Brush) -> Result<Self, BrushError> {
        brush.check()?;
        Ok(Path { brush, samples: 0, last: None, end: None, until_next: 0.0 })
    }

    /// Takes the next sample and appends the dabs that are certain now.
    ///
    /// # Errors
    /// When the sample is not finite; the path stays as it was.
    pub fn push(&mut self, sample: Sample, dabs: &mut Vec<Dab>) -> Result<(), BrushError> {
        if !(sample.0.is_finite() && sample.1.is_finite() && sample.2.is_finite()) {
            return Err(BrushError::Sample { index: self.samples });
        }
        // Far outside any canvas nothing is covered; the bound keeps the arithmetic of dabs exact enough.
        let place = |v: f32| v.clamp(-65536.0, 2.0 * 65536.0);
        let sample = Sample(place(sample.0), place(sample.1), sample.2.clamp(0.0, 1.0));
        self.samples += 1;
        match (self.last, self.end) {
            (Some(last), Some(end)) => {
                let middle = last.toward(sample, 0.5);
                self.curve(end, last, middle, dabs);
                self.end = Some(middle);
            }
            _ => {
                self.dab(sample, dabs);
                self.end = Some(sample);
            }
        }
        self.last = Some(sample);
        Ok(())
    }

    /// Ends the stroke: appends the dabs from the last midpoint to the last sample.
    pub fn finish(&mut self, dabs: &mut Vec<Dab>) {
        if let (Some(last), Some(end)) = (self.last, self.end) {
            self.curve(end, last.toward(end, 0.5), last, dabs);
            self.end = Some(last);
        }
    }

    fn dab(&mut self, at: Sample, dabs: &mut Vec<Dab>) {
        let size = self.brush.size_at(at.2);
        dabs.push(Dab { x: at.0, y: at.1, radius_px: size / 2.0, strength: self.brush.strength_at(at.2) });
        // Never closer than a quarter pixel: more dabs would not be seen.
        self.until_next = (size * self.brush.spacing).max(0.25);
    }

    /// Walks the quadratic curve `from`, `control`, `to` in short chords.
    fn curve(&mut self, from: Sample, control: Sample, to: Sample, dabs: &mut Vec<Dab>) {
        let length = from.distance(control) + control.distance(to);
        // Chords of about a pixel and a half; the sagitta of such a chord is far below a tenth of a pixel.
        let chords = (length / 1.5).ceil().clamp(1.0, 8192.0) as u32;
        let mut at = from;
        for i in 1..=chords {
            let t = i as f32 / chords as f32;
            let next = from.toward(control, t).toward(control.toward(to, t), t);
            let mut chord = at.distance(next);
            while chord >= self.until_next && chord > 0.0 {
                at = at.toward(next, self.until_next / chord);
                self.dab(at, dabs);
                chord = at.distance(next);
            }
            self.until_next -= chord;
            at = next;
        }
    }
}

/// All dabs of a finished stroke.
///
/// # Errors
/// When the brush is out of range, a sample is not finite, or there is none.
pub fn stroke_dabs(brush: &Brush, samples: &[Sample]) -> Result<Vec<Dab>, BrushError> {
    if samples.is_empty() {
        return Err(BrushError::Empty);
    }
    let mut path = Path::new(*brush)?;
    let mut dabs = Vec::new();
    for &sample in samples {
        path.push(sample, &mut dabs)?;
    }
    path.finish(&mut dabs);
    Ok(dabs)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn brush(size: f32, spacing: f32) -> Brush {
        Brush { size, spacing, pressure_size: false, ..Brush::default() }
    }

    #[test]
    fn dabs_of_a_straight_stroke_stand_evenly() {
        let samples: Vec<_> = (0..=10).map(|i| Sample(i as f32 * 10.0, 5.0, 1.0)).collect();
        let dabs = stroke_dabs(&brush(20.0, 0.1), &samples).unwrap();
        assert_eq!(dabs.len(), 51);
        for (i, dab) in dabs.iter().enumerate() {
            assert!((dab.x - 2.0 * i as f32).abs() < 1e-3 && dab.y == 5.0, "{i} {dab:?}");
        }
    }

    #[test]
    fn one_sample_is_one_dab_and_the_stroke_reaches_its_last_sample() {
        assert_eq!(stroke_dabs(&brush(20.0, 0.5), &[Sample(3.0, 4.0, 0.5)]).unwrap().len(), 1);
        let dabs = stroke_dabs(&brush(4.0, 0.1), &[Sample(0.0, 0.0, 1.0), Sample(30.0, 40.0, 1.0)]).unwrap();
        let last = dabs.last().unwrap();
        assert!((last.x - 30.0).hypot(last.y - 40.0) < 0.5);
    }

    #[test]
    fn pressure_gives_size_and_strength() {
        let both = Brush { pressure_strength: true, strength: 1.0, size: 100.0, ..Brush::default() };
        let dab = stroke_dabs(&both, &[Sample(0.0, 0.0, 0.5)]).unwrap()[0];
        assert!((dab.radius_px - 27.5).abs() < 1e-4);
        assert!((dab.strength - 0.5).abs() < 1e-6);
    }

    #[test]
    fn nonsense_is_refused_by_name() {
        let text = Brush { hardness: f32::NAN, ..Brush::default() }.check().unwrap_err().to_string();
        assert!(text.contains("hardness"), "{text}");
        let samples = [Sample(0.0, 0.0, 1.0), Sample(f32::INFINITY, 0.0, 1.0)];
        assert_eq!(stroke_dabs(&Brush::default(), &samples), Err(BrushError::Sample { index: 1 }));
    }
}
