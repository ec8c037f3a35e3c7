//! Dates that stand where a symbol such as `1/2` was typed.

use crate::grid::Value;

/// What may have been typed where a date stands: 1 January is `1/1`, 2 January `1/2` or `2/1`.
pub(super) fn readings(text: &str, value: Option<&Value>) -> Vec<String> {
    let Some((day, month)) = (match value {
        Some(Value::Date { month, day, .. }) => Some((u32::from(*day), u32::from(*month))),
        _ => written_date(text),
    }) else {
        return Vec::new();
    };
    let mut readings = Vec::new();
    for (one, two) in [(day, month), (month, day)] {
        for mark in ['/', '-'] {
            let reading = format!("{one}{mark}{two}");
            if !readings.contains(&reading) {
                readings.push(reading);
            }
        }
    }
    readings
}

/// Day and month of a date as spreadsheets export it to csv: `2026-01-02`, `01/02/2026`, `2-Jan`, `02.01.2026`.
fn written_date(text: &str) -> Option<(u32, u32)> {
    const MONTHS: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    // A time behind it, "2026-01-02T00:00"; "2-OCT" has a T too.
    let date = text.split(' ').next()?;
    let text = date
        .split_once('T')
        .filter(|(day, _)| day.ends_with(|c: char| c.is_ascii_digit()))
        .map_or(date, |(day, _)| day);
    let parts: Vec<&str> = text.split(['-', '/', '.']).collect();
    let number = |part: &str| part.parse::<u32>().ok();
    let month = |part: &str| {
        let part = part.to_lowercase();
        MONTHS.iter().position(|month| part.starts_with(month)).map(|index| index as u32 + 1)
    };
    let (day, month) = match parts[..] {
        [year, m, d] if year.len() == 4 => (number(d)?, number(m)?),
        [one, two, year] if year.len() == 4 || year.len() == 2 => match (number(one), number(two)) {
            // Which of the two is the day, the text alone can't tell; both readings are tried later.
            (Some(one), Some(two)) => (one, two),
            (Some(day), None) => (day, month(two)?),
            _ => return None,
        },
        [one, two] => match (number(one), number(two)) {
            (Some(day), None) => (day, month(two)?),
            (None, Some(day)) => (day, month(one)?),
            _ => return None,
        },
        _ => return None,
    };
    ((1..=31).contains(&day) && (1..=31).contains(&month)).then_some((day, month))
}

#[cfg(test)]
mod tests {
    use super::readings;

    /// 2 October is `2/10` or `10/2`, and 1 January `1/1`, however a spreadsheet writes it.
    #[test]
    fn dates_as_spreadsheets_write_them() {
        for text in
            ["2-OCT", "2-Oct", "2-OCT-2026", "2026-10-02T00:00:00", "2026-10-02 00:00:00", "02.10.2026"]
        {
            assert_eq!(readings(text, None), ["2/10", "2-10", "10/2", "10-2"], "{text}");
        }
        assert_eq!(readings("1-Jan", None), ["1/1", "1-1"]);
        for text in ["K2-T", "2-KNIT", "T", "oT-1"] {
            assert!(readings(text, None).is_empty(), "{text}: {:?}", readings(text, None));
        }
    }
}
