//! What time it is, and which day. Models and files know no clock: whoever needs the time is told. Everything in the program that
//! asks for it asks here, so that a page in the browser, where the clocks of the standard library do not run, needs another
//! clock in this one place.

#![expect(clippy::disallowed_methods, reason = "this is the one place that asks the clocks")]

use jiff::ZonedDateTime;
pub use std::time::{Duration, Instant, SystemTime};

/// This moment, for measuring how long something takes.
pub fn now() -> Instant {
    Instant::now()
}

/// This moment by the system's clock, which a person may set; for comparing with the times of files.
pub fn system_now() -> SystemTime {
    SystemTime::now()
}

/// Tells how long ago it was started.
#[derive(Clone, Copy, Debug)]
pub struct Stopwatch(Instant);

impl Stopwatch {
    /// Runs from now on.
    pub fn start() -> Self {
        Stopwatch(now())
    }

    /// The time since it was started.
    pub fn elapsed(self) -> Duration {
        self.0.elapsed()
    }
}

/// Today where the painter is, `2026-11-25` (ISO 8601); by UTC where the system names no time zone.
pub fn today() -> String {
    ZonedDateTime::now().date().to_string()
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_day_is_written_as_iso_8601() {
        let today = super::today();
        let lengths: Vec<_> = today.split('-').map(str::len).collect();
        assert_eq!(lengths, [4, 2, 2], "{today}");
        assert!(today.parse::<jiff::civil::Date>().is_ok());
    }
}
