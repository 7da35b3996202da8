//! Days as numbers and back, for an axis of time. The proleptic Gregorian calendar of ISO 8601, by the arithmetic of H. Hinnant,
//! "chrono-Compatible Low-Level Date Algorithms" (days_from_civil, civil_from_days; from memory).

/// Names of the months as an axis has them.
const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// Name of a month, 1-12.
fn name_of(month: i64) -> &'static str {
    usize::try_from(month - 1).ok().and_then(|place| MONTHS.get(place)).copied().unwrap_or_default()
}

/// Days since 1 January 1970 of a day written `2026-11-25`; none where it is none.
pub(super) fn number_of(day: &str) -> Option<i64> {
    let mut parts = day.split('-').map(str::parse::<i64>);
    let (Some(Ok(year)), Some(Ok(month)), Some(Ok(date)), None) =
        (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return None;
    };
    if !(1..=9999).contains(&year) || !(1..=12).contains(&month) || !(1..=31).contains(&date) {
        return None;
    }
    Some(number(year, month, date))
}

fn number(year: i64, month: i64, date: i64) -> i64 {
    // Years begin in March, so that the day that is not always there is the last.
    let year = if month <= 2 { year - 1 } else { year };
    let (era, of_era) = (year.div_euclid(400), year.rem_euclid(400));
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + date - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

/// Year, month (1-12) and day of the month.
fn civil(number: i64) -> (i64, i64, i64) {
    let from_era = number + 719_468;
    let (era, of_era) = (from_era.div_euclid(146_097), from_era.rem_euclid(146_097));
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let shifted = (5 * of_year + 2) / 153;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year + era * 400 + i64::from(month <= 2);
    (year, month, of_year - (153 * shifted + 2) / 5 + 1)
}

/// A day in words: "25 Nov 2026".
pub(super) fn words(number: i64) -> String {
    let (year, month, date) = civil(number);
    format!("{date} {} {year}", name_of(month))
}

/// The first days of months between two days, both counted in, with their words; every month, or so many apart that there are at most
/// `most`.
pub(super) fn months(first: i64, last: i64, most: usize) -> Vec<(i64, String)> {
    let (mut year, mut month, date) = civil(first);
    if date > 1 {
        (year, month) = if month == 12 { (year + 1, 1) } else { (year, month + 1) };
    }
    let mut all = Vec::new();
    loop {
        let day = number(year, month, 1);
        if day > last {
            break;
        }
        all.push((day, format!("{} {year}", name_of(month))));
        (year, month) = if month == 12 { (year + 1, 1) } else { (year, month + 1) };
    }
    let every = all.len().div_ceil(most.max(1)).max(1);
    all.into_iter().step_by(every).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn days_are_numbered_as_the_calendar_goes() {
        // The epoch is day 0; 2000-03-01 is day 11017 (a well-known check value, from memory).
        assert_eq!((number_of("1970-01-01"), number_of("2000-03-01")), (Some(0), Some(11_017)));
        let mut before = number_of("1999-12-31").unwrap();
        for year in 2000..2105 {
            for month in 1..=12 {
                let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
                let days = [31, if leap { 29 } else { 28 }, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1];
                for date in 1..=days {
                    let now = number_of(&format!("{year}-{month:02}-{date:02}")).unwrap();
                    assert_eq!(now, before + 1);
                    assert_eq!(civil(now), (year, month as i64, date));
                    before = now;
                }
            }
        }
        for wrong in
            ["", "2026-13-01", "2026-00-10", "2026-1", "2026-01-32", "yesterday", "2026-01-01-01", "99999-01-01"]
        {
            assert_eq!(number_of(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn an_axis_has_the_months_that_fit() {
        let (first, last) = (number_of("2026-01-15").unwrap(), number_of("2026-04-01").unwrap());
        let words: Vec<_> = months(first, last, 12).into_iter().map(|(_, words)| words).collect();
        assert_eq!(words, ["Feb 2026", "Mar 2026", "Apr 2026"]);
        assert_eq!(months(first, last, 2).len(), 2);
        assert_eq!(months(first, first + 3, 8), []);
        assert_eq!(super::words(last), "1 Apr 2026");
    }
}
