//! Cells beside a chart that hold several row numbers each, "1, 3": which row is which can't be told.

use super::super::key::{Key, quoted};
use super::super::label;
use super::super::sheet::Sheet;
use super::{Area, AreaRow, End};
use crate::place::Address;
use crate::problem::{Code, Finding};
use crate::stitch::Stitches;

/// Takes the cells that hold several numbers each, outermost in rows of symbols: they are no symbols themselves.
pub(in super::super) fn take(
    sheet: &mut Sheet<'_>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<(Address, String)> {
    let mut found = sheet.tested_words(|text| numbers(text).then(|| text.to_owned()));
    found.retain(|(at, _)| {
        let outermost = |end: End| {
            let within = |other: Address| match end {
                End::Left => at.column < other.column,
                End::Right => other.column < at.column,
            };
            sheet.row(at.row).all(|(other, _)| other == *at || within(other))
        };
        let symbols =
            sheet.row(at.row).filter(|(other, text)| other != at && key.knows(*text, stitches)).count();
        let is_symbol = sheet.text(*at).is_some_and(|text| key.knows(text, stitches));
        symbols > 1 && !is_symbol && (outermost(End::Right) || outermost(End::Left))
    });
    for (at, _) in &found {
        sheet.take(*at);
    }
    found
}

/// Says of the cells beside a chart that they number no row: an error where nothing else does.
pub(in super::super) fn told(sheet: &Sheet<'_>, area: &Area, taken: &[(Address, String)]) -> Option<Finding> {
    let (first, last) = area.columns;
    let in_rows = |at: &Address| (area.top()..=area.bottom()).contains(&at.row);
    let beside: Vec<&(Address, String)> = taken
        .iter()
        .filter(|(at, _)| in_rows(at) && (at.column + 1 == first || at.column == last + 1))
        .collect();
    let (at, text) = beside.first()?;
    let place = sheet.grid.place(*at);
    let cells = if beside.len() == 1 { "cell" } else { "cells" };
    if area.rows.iter().filter_map(AreaRow::label).next().is_some() {
        let message = format!(
            "Beside the chart and not taken as row numbers: {} ({} {cells}).",
            quoted(text),
            beside.len()
        );
        return Some(
            Finding::new(Code::CellsLeftAside, place, message)
                .found(text)
                .help("Nothing, if the row numbers elsewhere are right; otherwise give each row one number."),
        );
    }
    let more = match beside.len() {
        1 => String::new(),
        2 => ", as does 1 more cell".to_owned(),
        count => format!(", as do {} more cells", count - 1),
    };
    Some(
        Finding::new(
            Code::RowNumberSeveral,
            place,
            format!("{} holds several row numbers{more}: which row is which can't be told.", quoted(text)),
        )
        .found(text)
        .expected("one row number")
        .help("Give each row one number. Where a row is worked several times, draw it as often, or say so below the chart: \"Rows 3 and 4: Rep Rows 1 and 2\"."),
    )
}

/// "1, 3", "Rows 2 & 4", "2,2": several numbers, and nothing but them.
fn numbers(text: &str) -> bool {
    // "1,2" at the least; most cells hold a symbol.
    if text.len() < 3 || !text.contains([',', ';', '&']) {
        return false;
    }
    let parts: Vec<&str> =
        text.split([',', ';', '&']).map(str::trim).filter(|part| !part.is_empty()).collect();
    parts.len() > 1 && parts.iter().all(|part| label::parse(part).is_some())
}

#[cfg(test)]
mod tests {
    use super::numbers;

    #[test]
    fn several_numbers_are_told_from_one_and_from_symbols() {
        for text in ["1, 3", "2,2", "Rows 2 & 4", "1; 3; 5"] {
            assert!(numbers(text), "{text}");
        }
        for text in ["1", "3,", "1/3", "k, p", "2, k", ",", "1-3"] {
            assert!(!numbers(text), "{text}");
        }
    }
}
