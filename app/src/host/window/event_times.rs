//! When the hand's events happened. Most window systems tell that to nobody above them, so an event counts from when it is heard; those
//! that waited together while a frame was drawn would all lie at one moment, and the hand would seem to leap. They are spread over the time
//! since the event before them.

use crate::base::clock::Instant;
use crate::ui::tools::input::Input;
use winit::event::WindowEvent;

/// Events that are heard closer to each other than this waited together, milliseconds: hands have at most a thousand a second.
const TOGETHER_MS: f64 = 0.5;
/// The slowest devices tell this often, milliseconds: events that came after a rest lie no farther apart.
const SLOWEST_MS: f64 = 8.0;

/// What a pen did that tells when.
pub struct PenEvent {
    /// When it happened.
    pub at: Instant,
    /// As winit would tell it.
    pub event: WindowEvent,
}

/// Remembers when the last event happened.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct EventTimes {
    last_ms: Option<f64>,
}

/// When an event of the hand happened.
pub fn time_ms(input: &mut Input) -> Option<&mut f64> {
    match input {
        Input::Moved { reading, .. } | Input::Pressed { reading, .. } | Input::Finger { reading, .. } => {
            reading.time_ms.as_mut()
        }
        _ => None,
    }
}

impl EventTimes {
    /// Spreads those of a frame, oldest first.
    pub fn spread(&mut self, times: &mut [&mut f64]) {
        let mut rest = times;
        while !rest.is_empty() {
            let together = 1 + rest.windows(2).take_while(|pair| *pair[1] - *pair[0] < TOGETHER_MS).count();
            let (group, after) = rest.split_at_mut(together);
            rest = after;
            let heard = group.last().map_or(0.0, |last| **last);
            let since = self.last_ms.map_or(f64::MAX, |last| (heard - last).max(0.0));
            self.last_ms = Some(heard);
            let apart = (since / together as f64).min(SLOWEST_MS);
            for (back, time) in group.iter_mut().rev().enumerate() {
                **time = heard - apart * back as f64;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spread(times: &mut EventTimes, heard: &[f64]) -> Vec<f64> {
        let mut heard = heard.to_vec();
        times.spread(&mut heard.iter_mut().collect::<Vec<_>>());
        heard
    }

    #[test]
    fn events_that_waited_together_are_spread_over_the_time_since_the_last() {
        let mut times = EventTimes::default();
        assert_eq!(spread(&mut times, &[100.0, 104.0]), [100.0, 104.0]);
        // Four that waited for a frame of 16 ms.
        assert_eq!(spread(&mut times, &[120.0, 120.01, 120.02, 120.0]), [108.0, 112.0, 116.0, 120.0]);
        // Two groups in one frame, and one that came by itself between them.
        assert_eq!(spread(&mut times, &[126.0, 126.0, 130.0, 138.0, 138.0]), [123.0, 126.0, 130.0, 134.0, 138.0]);
    }

    #[test]
    fn after_a_rest_they_are_as_far_apart_as_the_slowest_device_has_them() {
        let mut times = EventTimes::default();
        assert_eq!(spread(&mut times, &[50.0, 50.0]), [42.0, 50.0]);
        assert_eq!(spread(&mut times, &[2000.0, 2000.0, 2000.0]), [1984.0, 1992.0, 2000.0]);
        assert_eq!(spread(&mut times, &[]), Vec::<f64>::new());
    }
}
