//! From the X server's milliseconds to this machine's moments.

use crate::base::clock::{Duration, Instant};

/// Further than this from when an event was heard its time says nothing: another clock, or one that was set.
const MOST: Duration = Duration::from_millis(250);

/// A moment that is known by both clocks.
#[derive(Clone, Copy, Debug, Default)]
pub struct ServerTime(Option<(u32, Instant)>);

impl ServerTime {
    /// When an event happened that the server stamped so and that was heard at `heard`; never later than that.
    pub fn of(&mut self, stamp: u32, heard: Instant) -> Instant {
        if let Some((known, at)) = self.0 {
            let happened = at.checked_add(Duration::from_millis(stamp.wrapping_sub(known).into()));
            if let Some(happened) = happened.filter(|then| *then <= heard && heard.duration_since(*then) <= MOST) {
                return happened;
            }
        }
        // The first, or one that was under way for less time than any before it.
        self.0 = Some((stamp, heard));
        heard
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::clock;

    #[test]
    fn events_are_as_far_apart_as_the_server_says_however_late_they_are_heard() {
        let start = clock::now();
        let at = |ms: u64| start + Duration::from_millis(ms);
        let mut time = ServerTime::default();
        // The stamps go round at their end.
        let stamp = |ms: u32| (u32::MAX - 5).wrapping_add(ms);
        assert_eq!(time.of(stamp(0), at(100)), at(100));
        assert_eq!([4, 8, 12].map(|ms| time.of(stamp(ms), at(130))), [104, 108, 112].map(at));
        // Heard sooner than the first was: its way was the shorter one.
        assert_eq!(time.of(stamp(40), at(135)), at(135));
        assert_eq!(time.of(stamp(44), at(150)), at(139));
        // The clock was set.
        assert_eq!(time.of(stamp(44).wrapping_add(1_000_000), at(154)), at(154));
        assert_eq!(time.of(stamp(44).wrapping_add(1_000_004), at(160)), at(158));
    }
}
