//! How long a study was worked on.

use serde::Serialize;

/// How long a study was worked on, and how long it is meant to take.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize)]
pub struct WorkTime {
    /// Seconds at work, all told.
    pub worked_s: u64,
    /// Length of the stint, minutes; none when the study may take as long as it takes.
    pub stint_min: Option<u32>,
}

impl WorkTime {
    /// Whole minutes at work.
    pub fn minutes(&self) -> u64 {
        self.worked_s / 60
    }

    /// Whether the stint is over.
    pub fn is_over(&self) -> bool {
        self.stint_min.is_some_and(|minutes| self.worked_s >= u64::from(minutes) * 60)
    }
}

/// A length of time as ISO 8601-1:2019, 5.5.2 writes it, in hours, minutes and seconds: `PT1H12M3S`, `PT0S`.
pub fn duration_text(seconds: u64) -> String {
    let parts = [(seconds / 3600, 'H'), (seconds / 60 % 60, 'M'), (seconds % 60, 'S')];
    let text: String = parts.iter().filter(|(n, _)| *n > 0).map(|(n, unit)| format!("{n}{unit}")).collect();
    if text.is_empty() { "PT0S".to_owned() } else { format!("PT{text}") }
}

/// Seconds out of such a text; none where it is another one, has parts of seconds, days or larger units.
pub fn duration_of(text: &str) -> Option<u64> {
    let mut rest = text.strip_prefix("PT").filter(|rest| !rest.is_empty())?;
    let mut seconds = 0_u64;
    for (unit, worth) in [('H', 3600), ('M', 60), ('S', 1)] {
        if let Some((digits, after)) = rest.split_once(unit) {
            if !digits.bytes().all(|b| b.is_ascii_digit()) {
                return None;
            }
            seconds = seconds.checked_add(digits.parse::<u64>().ok()?.checked_mul(worth)?)?;
            rest = after;
        }
    }
    rest.is_empty().then_some(seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_time_are_written_as_the_standard_says_and_read_back() {
        for (seconds, text) in [
            (0, "PT0S"),
            (59, "PT59S"),
            (60, "PT1M"),
            (1283, "PT21M23S"),
            (3600, "PT1H"),
            (4323, "PT1H12M3S"),
            (90_000, "PT25H"),
        ] {
            assert_eq!(duration_text(seconds), text);
            assert_eq!(duration_of(text), Some(seconds));
        }
        for wrong in ["", "PT", "P1D", "PT1.5S", "PT-3S", "PT3S1M", "PTS", "21 min", "PT99999999999999999999H"] {
            assert_eq!(duration_of(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_stint_is_over_when_its_minutes_are_full() {
        let at = |worked_s, stint_min| WorkTime { worked_s, stint_min }.is_over();
        assert!(!at(1199, Some(20)) && at(1200, Some(20)) && !at(1_000_000, None));
    }
}
