//! Which number formats show a date.

/// Whether a number format that needs no code shows a date. Times alone (18 to 21, 45 to 47) are no dates.
/// Source: ECMA-376 part 1, 18.8.30, with the East Asian formats.
pub(in crate::read) const fn built_in_date(id: usize) -> bool {
    matches!(id, 14..=17 | 22 | 27..=31 | 34..=36 | 50..=54 | 57 | 58)
}

/// Whether a format code shows a date: it has a year, a day, or a month that is not a minute.
pub(in crate::read) fn shows_date(code: &str) -> bool {
    if code.eq_ignore_ascii_case("general") || code.eq_ignore_ascii_case("standard") {
        return false;
    }
    let (mut year_or_day, mut month, mut time) = (false, false, false);
    let mut chars = code.chars();
    while let Some(c) = chars.next() {
        match c.to_ascii_lowercase() {
            // Text shown as it stands, blanks as wide as a character, fillers.
            '"' => {
                chars.by_ref().find(|&c| c == '"');
            }
            '\\' | '_' | '*' => {
                chars.next();
            }
            // Colours, languages, conditions; also hours above 24, which are times.
            '[' => {
                chars.by_ref().find(|&c| c == ']');
            }
            'y' | 'd' => year_or_day = true,
            'm' => month = true,
            'h' | 's' => time = true,
            _ => {}
        }
    }
    year_or_day || (month && !time)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: format codes as Excel and LibreOffice write them, from memory.
    #[test]
    fn dates_are_told_from_numbers_and_times() {
        for code in ["d/m", "dd/mm/yy", "yyyy\\-mm\\-dd", "[$-409]d\\-mmm;@", "mmm", "m/d/yy h:mm", "d. mmmm"]
        {
            assert!(shows_date(code), "{code}");
        }
        for code in [
            "General",
            "Standard",
            "0",
            "0.00",
            "#,##0 \"yards\"",
            "\"Row \"0",
            "0 \\d",
            "h:mm",
            "[h]:mm:ss",
            "mm:ss",
            "h:mm AM/PM",
            "[Red]0",
            "@",
            "_m0",
            "0*d",
            "\"md",
        ] {
            assert!(!shows_date(code), "{code}");
        }
    }
}
