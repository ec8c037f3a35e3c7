//! Dates as spreadsheets keep them.

use crate::grid::Value;

/// The day a workbook counts its days from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Epoch {
    /// Day 1 is 1 January 1900, and 1900 is wrongly a leap year.
    #[default]
    Y1900,
    /// Day 0 is 1 January 1904.
    Y1904,
}

/// The last day spreadsheets know, 31 December 9999, counted from 1900.
const LAST_DAY: f64 = 2_958_465.0;

/// The date a count of days stands for; the number itself where there is no such date.
pub(super) fn date(days: f64, epoch: Epoch) -> Value {
    let number = Value::Number(days);
    let days = match epoch {
        Epoch::Y1900 => days.floor(),
        Epoch::Y1904 => days.floor() + 1462.0,
    };
    if !(1.0..=LAST_DAY).contains(&days) {
        return number;
    }
    let days = days as i64;
    // The day that never was, and those before it, which count from one day later.
    if days == 60 {
        return Value::Date { year: 1900, month: 2, day: 29 };
    }
    let from_1970 = days - 25_569 + i64::from(days < 60);
    let (year, month, day) = civil(from_1970);
    match (i32::try_from(year), u8::try_from(month), u8::try_from(day)) {
        (Ok(year), Ok(month), Ok(day)) => Value::Date { year, month, day },
        _ => number,
    }
}

/// Year, month and day of a number of days since 1 January 1970, in the Gregorian calendar. Years are counted from
/// March, so that the leap day is their last; 400 of them have 146,097 days.
const fn civil(days: i64) -> (i64, i64, i64) {
    let from_march = days + 719_468;
    let era = from_march.div_euclid(146_097);
    let day_of_era = from_march.rem_euclid(146_097);
    let year_of_era = (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = era * 400 + year_of_era + if month <= 2 { 1 } else { 0 };
    (year, month, day)
}

/// A date written as `2026-01-02`, whatever time follows.
pub(super) fn iso(text: &str) -> Option<Value> {
    let text = text.trim();
    let date = text.split_once('T').map_or(text, |(date, _)| date);
    let mut parts = date.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let (year, month, day) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    (parts.next().is_none() && (1..=12).contains(&month) && (1..=31).contains(&day)).then_some(Value::Date {
        year,
        month,
        day,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the counts Excel shows for these days (its documentation of the two date systems gives 5 July 1998
    /// as 35981 and 34519); the others by calendar.
    #[test]
    fn counts_of_days_are_the_dates_spreadsheets_show() {
        for (days, epoch, date_parts) in [
            (1.0, Epoch::Y1900, (1900, 1, 1)),
            (59.0, Epoch::Y1900, (1900, 2, 28)),
            (60.0, Epoch::Y1900, (1900, 2, 29)),
            (61.0, Epoch::Y1900, (1900, 3, 1)),
            (35_981.0, Epoch::Y1900, (1998, 7, 5)),
            (34_519.0, Epoch::Y1904, (1998, 7, 5)),
            (0.0, Epoch::Y1904, (1904, 1, 1)),
            (36_585.75, Epoch::Y1900, (2000, 2, 29)),
            (2_958_465.0, Epoch::Y1900, (9999, 12, 31)),
        ] {
            let (year, month, day) = date_parts;
            assert_eq!(date(days, epoch), Value::Date { year, month, day }, "{days}");
        }
        for days in [0.0, 0.5, -1.0, 2_958_466.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(date(days, Epoch::Y1900), Value::Number(_)), "{days}");
        }
    }

    #[test]
    fn written_dates_are_read() {
        let expected = Some(Value::Date { year: 2026, month: 1, day: 2 });
        assert_eq!(iso("2026-01-02"), expected);
        assert_eq!(iso("2026-01-02T10:00:00"), expected);
        for other in ["", "2026-01", "2026-13-01", "2026-01-32", "k", "-1-1-1", "2026-01-02-03"] {
            assert_eq!(iso(other), None, "{other}");
        }
    }
}
