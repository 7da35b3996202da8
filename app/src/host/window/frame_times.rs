//! How fast the window answers: from the first event that a frame shows to that frame being presented.

use crate::base::clock::{self, Duration, Instant, SystemTime};
use std::time::UNIX_EPOCH;

/// Frames that are remembered.
const KEPT: usize = 4096;

/// Times of the frames drawn.
#[derive(Clone, Debug)]
pub struct FrameTimes {
    /// One moment on both clocks, so that another program can compare its own times.
    zero: (Instant, SystemTime),
    /// When the oldest event came that no frame shows yet.
    waiting: Option<Instant>,
    began: Option<Instant>,
    frames: Vec<Frame>,
}

/// One frame.
#[derive(Clone, Copy, Debug)]
struct Frame {
    /// The oldest event that it shows; none where no event asked for it, which says nothing about how fast events are answered.
    event: Option<Instant>,
    began: Instant,
    presented: Instant,
}

impl Frame {
    /// From the event to the presented frame.
    fn answered(&self) -> Option<Duration> {
        Some(self.presented.duration_since(self.event?))
    }
}

impl Default for FrameTimes {
    fn default() -> Self {
        let zero = (clock::now(), clock::system_now());
        FrameTimes { zero, waiting: None, began: None, frames: Vec::new() }
    }
}

impl FrameTimes {
    /// An event came that the next frame will show.
    pub fn event(&mut self, now: Instant) {
        self.waiting.get_or_insert(now);
    }

    /// A frame begins: it shows all events until now.
    pub fn begins(&mut self, now: Instant) {
        self.began = Some(now);
    }

    /// A frame was presented.
    pub fn presented(&mut self, now: Instant) {
        if self.frames.len() >= KEPT {
            self.frames.drain(..KEPT / 2);
        }
        self.frames.push(Frame { event: self.waiting.take(), began: self.began.unwrap_or(now), presented: now });
    }

    /// Times from event to presented frame, oldest first; the last few thousand.
    pub fn frames(&self) -> Vec<Duration> {
        self.frames.iter().filter_map(Frame::answered).collect()
    }

    /// One line a frame: when it was presented and when it began, milliseconds since 1970 (Unix time), and milliseconds from
    /// the oldest event it shows to its being presented; nothing there for a frame that no event asked for.
    pub fn csv(&self) -> String {
        let mut text = "presented_ms,event_to_present_ms,began_ms\n".to_owned();
        let (zero, zero_unix) = self.zero;
        let zero_unix = zero_unix.duration_since(UNIX_EPOCH).unwrap_or_default();
        let ms = |d: Duration| d.as_secs_f64() * 1000.0;
        let unix = |at: Instant| ms(zero_unix + at.duration_since(zero));
        for frame in &self.frames {
            let answered = frame.answered().map_or_else(String::new, |d| format!("{:.3}", ms(d)));
            text += &format!("{:.3},{answered},{:.3}\n", unix(frame.presented), unix(frame.began));
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_waiting_event_counts_and_idle_frames_do_not() {
        let start = clock::now();
        let at = |ms: u64| start + Duration::from_millis(ms);
        let mut frame_times =
            FrameTimes { zero: (start, UNIX_EPOCH + Duration::from_secs(9)), ..FrameTimes::default() };
        frame_times.presented(at(0));
        assert!(frame_times.frames().is_empty());
        for (first, second, began, shown) in [(10, 14, 15, 30), (40, 41, 42, 50), (60, 69, 70, 90)] {
            frame_times.event(at(first));
            frame_times.event(at(second));
            frame_times.begins(at(began));
            frame_times.presented(at(shown));
        }
        assert_eq!(frame_times.frames(), [20, 10, 30].map(Duration::from_millis));
        assert_eq!(frame_times.csv().lines().nth(4), Some("9090.000,30.000,9070.000"));
        assert_eq!(frame_times.csv().lines().nth(1), Some("9000.000,,9000.000"), "counted, and not timed");
    }
}
