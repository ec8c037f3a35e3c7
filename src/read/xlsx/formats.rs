//! Which cell formats show a number as a date.

use std::collections::HashMap;

use quick_xml::events::Event;

use super::missing;
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::package::Package;
use crate::read::xml::attribute;

/// Reads the table of cell formats: for each, whether it shows a date.
pub(super) fn read(package: &mut Package<'_>, part: &str) -> Result<Vec<bool>, Fault> {
    let mut xml = package.xml(part)?.ok_or_else(|| missing(part))?;
    let mut own: HashMap<u32, bool> = HashMap::new();
    let mut dates = Vec::new();
    let mut in_cell_formats = false;
    loop {
        match xml.next()? {
            Event::Start(start) => match start.local_name().as_ref() {
                "numFmt" => {
                    let id = attribute(&start, "numFmtId").and_then(|id| id.parse().ok());
                    if let (Some(id), Some(code)) = (id, attribute(&start, "formatCode"))
                        && own.len() < limits::TABLE_ENTRIES
                    {
                        own.insert(id, shows_date(&code));
                    }
                }
                "cellXfs" => in_cell_formats = true,
                "xf" if in_cell_formats => {
                    if dates.len() >= limits::TABLE_ENTRIES {
                        return Err(Fault::too_many("cell formats", limits::TABLE_ENTRIES as u64));
                    }
                    let id = attribute(&start, "numFmtId").and_then(|id| id.parse().ok()).unwrap_or(0);
                    dates.push(own.get(&id).copied().unwrap_or_else(|| built_in_date(id)));
                }
                _ => {}
            },
            Event::End(end) if end.local_name().as_ref() == "cellXfs" => in_cell_formats = false,
            Event::Eof => return Ok(dates),
            _ => {}
        }
    }
}

/// Whether a number format that needs no code shows a date. Times alone (18 to 21, 45 to 47) are no dates.
/// Source: ECMA-376 part 1, 18.8.30, with the East Asian formats.
pub(in crate::read) const fn built_in_date(id: u32) -> bool {
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
