//! From the hand's samples to an even path.
//!
//! Samples are steadied by the 1-euro filter where they tell their time, joined by a centripetal Catmull-Rom curve, and the curve is
//! cut into even steps. The path always ends at the last sample: its last pieces are provisional and replaced by the next
//! sample, those before are settled for good.

use super::PenSample;
use super::one_euro::OneEuro;
use super::pen_sample::Pointer;
use super::spline::{Piece, distance};
use stint_model::study::document::CANVAS_LIMIT;

/// What the hand did at a place of the path.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct HandPoint {
    /// Canvas pixels.
    pub at: [f32; 2],
    /// 0-1.
    pub pressure: f32,
    /// Where the pen leans to; its length is 0 upright and 1 at 60 degrees.
    pub lean: [f32; 2],
    /// Turn of the pen about its axis, degrees.
    pub twist_degrees: Option<f32>,
    /// Canvas pixels a second; 0 where the samples tell no time.
    pub speed_px_per_second: f32,
    /// Length of the path up to here, pixels.
    pub length_px: f32,
}

impl HandPoint {
    fn mix(&self, other: &HandPoint, t: f32) -> HandPoint {
        let mix = |a: f32, b: f32| a + (b - a) * t;
        HandPoint {
            at: [mix(self.at[0], other.at[0]), mix(self.at[1], other.at[1])],
            pressure: mix(self.pressure, other.pressure),
            lean: [mix(self.lean[0], other.lean[0]), mix(self.lean[1], other.lean[1])],
            // Degrees jump from 359 to 0; there is nothing to see between two samples.
            twist_degrees: if t < 0.5 { self.twist_degrees } else { other.twist_degrees },
            speed_px_per_second: mix(self.speed_px_per_second, other.speed_px_per_second),
            length_px: mix(self.length_px, other.length_px),
        }
    }
}

/// Samples closer than this to the one before are one place, pixels.
const ONE_PLACE_PX: f32 = 0.3;
/// A lean of the pen that counts as full, degrees.
const FULL_LEAN_DEGREES: f32 = 60.0;
/// How much a sample's own speed counts against those before it.
const SPEED_SHARE: f32 = 0.3;
/// Two samples are never taken to be closer in time than this, seconds.
const SHORTEST_SECONDS: f64 = 0.0005;

/// Farther than this from every canvas nothing of a stroke shows, however wide its brush, and steps are [`FAR_STEP_PX`] long, pixels: a
/// single long segment out there would be hundreds of thousands of even ones.
const FAR_PX: f32 = 4096.0;
/// See [`FAR_PX`].
const FAR_STEP_PX: f32 = 64.0;

fn is_far(at: [f32; 2]) -> bool {
    !at.iter().all(|v| (-FAR_PX..=CANVAS_LIMIT as f32 + FAR_PX).contains(v))
}

/// Walks a curve in even steps.
#[derive(Clone, Copy, Debug, Default)]
struct Walker {
    /// Length walked, pixels.
    length_px: f32,
    /// Still to go before the next step, pixels.
    until_next_px: f32,
}

impl Walker {
    /// Appends the steps of a piece.
    #[expect(clippy::cast_possible_truncation, reason = "the count is clamped before the cast")]
    fn walk(&mut self, piece: &Piece, from: &HandPoint, to: &HandPoint, step_px: f32, path: &mut Vec<HandPoint>) {
        let chords = (piece.reach_px() / (step_px * 0.5).min(1.5)).ceil().clamp(1.0, 8192.0) as u32;
        let mut at = from.at;
        let mut part = 0.0;
        for i in 1..=chords {
            let next_part = i as f32 / chords as f32;
            let next = if i == chords { to.at } else { piece.at(next_part) };
            let chord = distance(at, next);
            let mut gone = 0.0;
            while chord - gone >= self.until_next_px && chord > 0.0 {
                gone += self.until_next_px;
                let t = gone / chord;
                let place = [at[0] + (next[0] - at[0]) * t, at[1] + (next[1] - at[1]) * t];
                let hand = from.mix(to, part + (next_part - part) * t);
                path.push(HandPoint { at: place, length_px: self.length_px + gone, ..hand });
                self.until_next_px = if is_far(place) { FAR_STEP_PX.max(step_px) } else { step_px };
            }
            self.until_next_px -= chord - gone;
            self.length_px += chord;
            (at, part) = (next, next_part);
        }
    }
}

/// The path in the making.
#[derive(Clone, Debug)]
pub struct Hand {
    /// Distance of two points of the path, pixels.
    step_px: f32,
    /// The filter for both axes; none for a hand that is taken as it is.
    filter: Option<[OneEuro; 2]>,
    samples: usize,
    /// The last four samples at most, one place once; all but the last are steadied.
    recent: Vec<HandPoint>,
    /// The last sample, steadied.
    steadied: [f32; 2],
    last_time_ms: Option<f64>,
    last_at: [f32; 2],
    /// Whether the speed stands for the pressure.
    mouse: bool,
    walker: Walker,
    path: Vec<HandPoint>,
    /// How many points of the path are settled.
    settled: usize,
}

impl Hand {
    /// A path with a point every `step_px`; `smoothing` 0-1.
    pub fn new(step_px: f32, smoothing: f32) -> Self {
        // At rest from 30 hertz (a pen's own tremble goes) down to half a hertz; a quick hand is followed at once.
        let calm = f64::from(1.0 - smoothing);
        let filter = OneEuro::new(0.5 + 29.5 * calm * calm, 0.01 + 0.05 * calm);
        Hand {
            step_px,
            filter: (smoothing > 0.0).then_some([filter; 2]),
            samples: 0,
            recent: Vec::with_capacity(5),
            steadied: [0.0; 2],
            last_time_ms: None,
            last_at: [0.0; 2],
            mouse: false,
            walker: Walker::default(),
            path: Vec::new(),
            settled: 0,
        }
    }

    /// The path up to the last sample.
    pub fn path(&self) -> &[HandPoint] {
        &self.path
    }

    /// How many points of it stay as they are whatever comes.
    pub fn settled(&self) -> usize {
        self.settled
    }

    /// Whether the hand holds something that tells no pressure.
    pub fn is_mouse(&self) -> bool {
        self.mouse
    }

    /// Samples taken.
    pub fn samples(&self) -> usize {
        self.samples
    }

    /// Takes the next sample, whose values are in range; [`Hand::reach`] brings the path up to it.
    pub fn push(&mut self, sample: &PenSample) {
        // Far outside any canvas nothing is covered; the bound keeps the arithmetic exact enough.
        let place = |v: f32| v.clamp(-65536.0, 2.0 * 65536.0);
        let at = [place(sample.x_px), place(sample.y_px)];
        let lean = sample.tilt_degrees.unwrap_or([0.0; 2]).map(|degrees| degrees / FULL_LEAN_DEGREES);
        let mut point = HandPoint {
            at,
            pressure: sample.pressure.clamp(0.0, 1.0),
            lean,
            twist_degrees: sample.twist_degrees,
            speed_px_per_second: 0.0,
            length_px: 0.0,
        };
        let seconds =
            sample.time_ms.zip(self.last_time_ms).map(|(now, last)| ((now - last) / 1000.0).max(SHORTEST_SECONDS));
        let before = self.recent.last().map_or(0.0, |last| last.speed_px_per_second);
        point.speed_px_per_second = seconds.map_or(before, |seconds| {
            let own = distance(at, self.last_at) / as_f32(seconds);
            before + (own - before) * SPEED_SHARE
        });
        let steadied = match (&mut self.filter, seconds) {
            (Some(filter), Some(seconds)) => [0, 1].map(|i| as_f32(filter[i].next(f64::from(at[i]), seconds))),
            (Some(filter), None) if self.samples == 0 => {
                [0, 1].map(|i| as_f32(filter[i].next(f64::from(at[i]), SHORTEST_SECONDS)))
            }
            _ => at,
        };
        if self.samples == 0 {
            self.mouse = sample.pointer == Pointer::Mouse;
        }
        self.samples += 1;
        (self.last_time_ms, self.last_at) = (sample.time_ms, at);
        if let Some(last) = self.recent.last_mut() {
            if distance(last.at, at) < ONE_PLACE_PX {
                // Pressed harder on the spot: the mark swells. Lifted, it does not shrink.
                last.pressure = last.pressure.max(point.pressure);
                self.steadied = steadied;
                return;
            }
            last.at = self.steadied;
        }
        self.steadied = steadied;
        self.recent.push(point);
        self.settle();
    }

    /// Walks the piece that no further sample can change.
    fn settle(&mut self) {
        self.path.truncate(self.settled);
        // The last sample may still be moved by the filter, and the piece before it by its neighbour.
        if let [points @ .., b, c, d, _] = &self.recent[..] {
            let a = points.last().unwrap_or(b);
            let piece = Piece::new([a.at, b.at, c.at, d.at]);
            self.walker.walk(&piece, b, c, self.step_px, &mut self.path);
            self.settled = self.path.len();
            if self.recent.len() > 4 {
                self.recent.remove(0);
            }
        }
    }

    /// Brings the path up to the last sample.
    pub fn reach(&mut self) {
        self.path.truncate(self.settled);
        let mut walker = self.walker;
        let points = &self.recent;
        // Pieces up to the third last sample are settled once there are four.
        let first = points.len().saturating_sub(3);
        for i in first..points.len().saturating_sub(1) {
            let (a, d) = (points[i.saturating_sub(1)], points[(i + 2).min(points.len() - 1)]);
            let (b, c) = (points[i], points[i + 1]);
            walker.walk(&Piece::new([a.at, b.at, c.at, d.at]), &b, &c, self.step_px, &mut self.path);
        }
        if let Some(last) = points.last() {
            let is_there = self.path.last().is_some_and(|p| walker.length_px - p.length_px < 0.01);
            if !is_there {
                self.path.push(HandPoint { length_px: walker.length_px, ..*last });
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "the one rounding from the filter's precision to the mask's")]
fn as_f32(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn path_of(samples: &[PenSample], smoothing: f32) -> Hand {
        let mut hand = Hand::new(2.0, smoothing);
        for sample in samples {
            hand.push(sample);
        }
        hand.reach();
        hand
    }

    #[test]
    fn the_path_is_even_and_ends_at_the_pointer() {
        let samples: Vec<_> = (0..20)
            .map(|i| {
                let time_ms = Some(f64::from(i) * 4.0);
                PenSample { time_ms, ..PenSample::new(20.0 + 9.0 * i as f32, 50.0 + (i * i % 7) as f32 * 3.0, 0.5) }
            })
            .collect();
        for smoothing in [0.0, 0.5, 1.0] {
            for count in 1..=samples.len() {
                let hand = path_of(&samples[..count], smoothing);
                let (last, pointer) = (hand.path().last().unwrap(), samples[count - 1]);
                assert!(distance(last.at, [pointer.x_px, pointer.y_px]) < 0.01, "{smoothing} {count}: {last:?}");
                for pair in hand.path().windows(2) {
                    let step = pair[1].length_px - pair[0].length_px;
                    assert!(step <= 2.001 && step > 0.0 && distance(pair[0].at, pair[1].at) <= step + 1e-3);
                }
            }
        }
    }

    /// Diagonally over all that a canvas can be, and past it: even where there may be a canvas, and few points elsewhere.
    #[test]
    fn a_long_segment_makes_many_points_on_canvases_only() {
        let path = |places: &[[f32; 2]]| {
            let mut hand = Hand::new(0.75, 0.0);
            places.iter().for_each(|[x, y]| hand.push(&PenSample::new(*x, *y, 1.0)));
            hand.reach();
            hand.path().to_vec()
        };
        let beside = path(&[[-60_000.0, -60_000.0], [-60_000.0, 130_000.0], [-9e8, 9e8]]);
        assert!(beside.len() < 6000, "{}", beside.len());
        let across = path(&[[-65_536.0, -65_536.0], [131_072.0, 131_072.0]]);
        let on_canvas = |p: &HandPoint| p.at.iter().all(|v| (0.0..=CANVAS_LIMIT as f32).contains(v));
        let inside: Vec<_> = across.iter().filter(|p| on_canvas(p)).collect();
        // By hand: 16384 √2 / 0.75 on the largest canvas, and as much again around it.
        assert!((30_000..31_500).contains(&inside.len()) && across.len() < 60_000, "{} {}", inside.len(), across.len());
        assert!(inside.windows(2).all(|pair| (pair[1].length_px - pair[0].length_px - 0.75).abs() < 0.05));
    }

    #[test]
    fn what_is_settled_stays_whatever_comes() {
        let samples: Vec<_> =
            (0..40).map(|i| PenSample::new((i * 37 % 101) as f32, (i * 53 % 97) as f32, 1.0)).collect();
        let mut hand = Hand::new(1.5, 0.0);
        let mut settled: Vec<HandPoint> = Vec::new();
        for sample in &samples {
            hand.push(sample);
            hand.reach();
            assert_eq!(hand.path()[..settled.len()], settled);
            settled = hand.path()[..hand.settled()].to_vec();
        }
        assert!(settled.len() > 100);
    }

    #[test]
    fn a_pen_that_presses_harder_on_the_spot_is_heard() {
        let hand = path_of(
            &[PenSample::new(5.0, 5.0, 0.2), PenSample::new(5.1, 5.0, 0.8), PenSample::new(5.1, 5.0, 0.1)],
            0.0,
        );
        assert_eq!((hand.path().len(), hand.path()[0].pressure, hand.samples()), (1, 0.8, 3));
    }
}
