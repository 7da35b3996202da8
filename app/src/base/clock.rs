//! What time it is, and which day. Models and files know no clock: whoever needs the time is told. Everything in the program that
//! asks for it asks here: on the page in a browser, where the clocks of the standard library do not run, it is the browser that
//! is asked.

#![expect(clippy::disallowed_methods, reason = "this is the one place that asks the clocks")]

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, Unit, ZonedDateTime};
#[cfg(not(target_arch = "wasm32"))]
pub use std::time::Instant;
pub use std::time::{Duration, SystemTime};
#[cfg(target_arch = "wasm32")]
pub use web_time::Instant;

/// This moment, for measuring how long something takes.
pub fn now() -> Instant {
    Instant::now()
}

/// This moment by the system's clock, which a person may set; for comparing with the times of files.
pub fn system_now() -> SystemTime {
    #[cfg(target_arch = "wasm32")]
    return web_time::web::SystemTimeExt::to_std(web_time::SystemTime::now());
    #[cfg(not(target_arch = "wasm32"))]
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

/// A moment as the clocks show it where the painter is.
#[cfg(not(target_arch = "wasm32"))]
fn shown(stamp: Timestamp) -> ZonedDateTime {
    stamp.to_zoned_datetime(TimeZone::system())
}

/// The same on the page, which asks the browser how far its clocks are from UTC at that moment and needs no table of the world's.
#[cfg(target_arch = "wasm32")]
fn shown(stamp: Timestamp) -> ZonedDateTime {
    let at = js_sys::Date::new(&(stamp.as_millisecond() as f64).into());
    #[expect(clippy::cast_possible_truncation, reason = "minutes of a day")]
    let behind_minutes = at.get_timezone_offset() as i32;
    let ahead = jiff::tz::Offset::from_seconds(-60 * behind_minutes);
    stamp.to_zoned_datetime(ahead.map_or(TimeZone::UTC, TimeZone::fixed))
}

/// Today where the painter is, `2026-11-25` (ISO 8601); by UTC where the system names no time zone.
pub fn today() -> String {
    shown(Timestamp::now()).date().to_string()
}

/// This moment where the painter is, to the second, `2026-11-25T17:04:09` (RFC 3339 without its offset).
pub fn to_the_second() -> String {
    shown(Timestamp::now()).strftime("%Y-%m-%dT%H:%M:%S").to_string()
}

/// The day of a moment where the painter is, `2026-11-25`; none that no calendar holds.
pub fn day_of(when: SystemTime) -> Option<String> {
    let stamp = Timestamp::try_from(when).ok()?;
    Some(shown(stamp).date().to_string())
}

/// When something happened, as a painter says it: "today", "yesterday", the day of the week within the last six days, "12 Nov" within
/// this year, "Nov 2025" before it. A time that no calendar holds has no words.
pub fn day_words(when: SystemTime) -> String {
    let Ok(stamp) = Timestamp::try_from(when) else { return String::new() };
    words_of(shown(stamp).date(), shown(Timestamp::now()).date())
}

fn words_of(day: Date, today: Date) -> String {
    let days = day.until((Unit::Day, today)).map_or(i32::MAX, |span| span.get_days());
    match days {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        2..=6 => day.strftime("%A").to_string(),
        _ if day.year() == today.year() => day.strftime("%-d %b").to_string(),
        _ => day.strftime("%b %Y").to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::words_of;
    use jiff::civil::date;

    #[test]
    fn days_are_said_as_a_painter_says_them() {
        let today = date(2026, 11, 26);
        for (day, words) in [
            (today, "today"),
            (date(2026, 11, 25), "yesterday"),
            (date(2026, 11, 22), "Sunday"),
            (date(2026, 11, 20), "Friday"),
            (date(2026, 11, 19), "19 Nov"),
            (date(2026, 1, 2), "2 Jan"),
            (date(2025, 12, 31), "Dec 2025"),
            // A clock that was wrong once.
            (date(2026, 11, 27), "27 Nov"),
        ] {
            assert_eq!(words_of(day, today), words);
        }
    }

    #[test]
    fn the_day_is_written_as_iso_8601() {
        let today = super::today();
        let lengths: Vec<_> = today.split('-').map(str::len).collect();
        assert_eq!(lengths, [4, 2, 2], "{today}");
        assert!(today.parse::<jiff::civil::Date>().is_ok());
    }
}
