//! Which day it is. Models and files know no clock: whoever needs the day is told.

#![expect(clippy::disallowed_methods, reason = "this is the one place that asks the clock for the day")]

use jiff::ZonedDateTime;

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
