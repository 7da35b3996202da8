//! How fast the window answers: from the first event that a frame shows to that frame being presented.

use std::time::{Duration, Instant};

/// Frames that are remembered.
const KEPT: usize = 4096;

/// Times of the frames drawn.
#[derive(Clone, Debug, Default)]
pub struct Pace {
    /// When the oldest event came that no frame shows yet.
    waiting: Option<Instant>,
    frames: Vec<Duration>,
    presented: Vec<Instant>,
}

impl Pace {
    /// An event came that the next frame will show.
    pub fn event(&mut self, now: Instant) {
        self.waiting.get_or_insert(now);
    }

    /// A frame was presented.
    pub fn presented(&mut self, now: Instant) {
        if self.frames.len() >= KEPT {
            self.frames.drain(..KEPT / 2);
            self.presented.drain(..KEPT / 2);
        }
        // A frame that no event asked for says nothing about how fast events are answered.
        if let Some(event) = self.waiting.take() {
            self.frames.push(now.duration_since(event));
            self.presented.push(now);
        }
    }

    /// Times from event to presented frame, oldest first; the last few thousand.
    pub fn frames(&self) -> &[Duration] {
        &self.frames
    }

    /// The middle one of [`Pace::frames`].
    pub fn median(&self) -> Option<Duration> {
        let mut sorted = self.frames.clone();
        sorted.sort_unstable();
        sorted.get(sorted.len() / 2).copied()
    }

    /// Frames a second between the first and the last of the remembered frames.
    pub fn frames_per_second(&self) -> Option<f64> {
        let (first, last) = (self.presented.first()?, self.presented.last()?);
        let span = last.duration_since(*first).as_secs_f64();
        (span > 0.0).then(|| (self.presented.len() - 1) as f64 / span)
    }

    /// One line a frame: milliseconds since the first frame, milliseconds from event to presented frame.
    pub fn csv(&self) -> String {
        let mut text = "presented_ms,event_to_present_ms\n".to_owned();
        let ms = |d: Duration| d.as_secs_f64() * 1000.0;
        if let Some(&first) = self.presented.first() {
            for (at, frame) in self.presented.iter().zip(&self.frames) {
                text += &format!("{:.3},{:.3}\n", ms(at.duration_since(first)), ms(*frame));
            }
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_waiting_event_counts_and_idle_frames_do_not() {
        let start = Instant::now();
        let at = |ms: u64| start + Duration::from_millis(ms);
        let mut pace = Pace::default();
        pace.presented(at(0));
        assert!(pace.frames().is_empty());
        for (first, second, shown) in [(10, 14, 30), (40, 41, 50), (60, 69, 90)] {
            pace.event(at(first));
            pace.event(at(second));
            pace.presented(at(shown));
        }
        assert_eq!(pace.frames(), [20, 10, 30].map(Duration::from_millis));
        assert_eq!(pace.median(), Some(Duration::from_millis(20)));
        // Two frames after the first, in 60 ms.
        assert!(pace.frames_per_second().is_some_and(|f| (f - 2.0 / 0.06).abs() < 1e-9));
        assert_eq!(pace.csv().lines().nth(3), Some("60.000,30.000"));
    }
}
