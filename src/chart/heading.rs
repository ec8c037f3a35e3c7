//! What a chart is called, and what its designer wrote beside it.

use std::collections::BTreeSet;

use super::area::Area;
use super::key::FILL;
use super::sheet::{Sheet, Text, lies_in};
use crate::place::{Address, stem};
use crate::settings::Settings;

/// What a pattern is called, and the lines beside its chart.
pub(super) struct Heading {
    pub(super) title: String,
    pub(super) notes: Vec<Note>,
}

/// A line that the designer wrote beside the chart.
pub(super) struct Note {
    pub(super) at: Address,
    pub(super) text: String,
}

/// Whether a blank line lies between two rows of the sheet; lines that were understood as something else are none.
fn blank_between(sheet: &Sheet<'_>, above: u32, below: u32) -> bool {
    (above + 1..below).any(|row| {
        let at = sheet.grid.cells.partition_point(|cell| cell.at.row < row);
        sheet.grid.cells.get(at).is_none_or(|cell| cell.at.row != row)
    })
}

/// Title and notes of a chart: the block of lines nearest above the grid holds the title; all prose of the sheet
/// that stands nearest to this chart is a note, but for what was `taken` as more.
pub(super) fn heading(
    sheet: &Sheet<'_>,
    areas: &[Area],
    index: usize,
    (settings, taken): (&Settings, &BTreeSet<Address>),
    several_sheets: bool,
    symbol: &mut dyn FnMut(Text<'_>) -> bool,
) -> (Heading, Vec<Address>) {
    let area = &areas[index];
    let above = areas.iter().map(Area::bottom).filter(|bottom| *bottom < area.top()).max();
    let below = areas.iter().map(Area::top).filter(|top| *top > area.bottom()).min();
    // Charts side by side share out what stands above them by its column.
    let beside = areas
        .iter()
        .filter(|other| other.top() <= area.bottom() && area.top() <= other.bottom())
        .map(|other| other.columns.0)
        .filter(|first| *first > area.columns.0);
    let right = beside.min().unwrap_or(u32::MAX);
    let first_beside = areas.iter().all(|other| {
        other.columns.0 >= area.columns.0 || other.bottom() < area.top() || other.top() > area.bottom()
    });
    let left = if first_beside { 0 } else { area.columns.0.saturating_sub(1) };
    // What follows a chart directly belongs to it; what stands nearer to the next may be that one's title.
    let nearer_above =
        |at: Address| at.row < area.top() && above.is_some_and(|above| at.row - above < area.top() - at.row);
    let nearer_below = |at: Address| {
        at.row > area.bottom() && below.is_some_and(|below| below - at.row <= at.row - area.bottom())
    };
    let between = |row: u32| above.is_none_or(|above| row > above) && below.is_none_or(|below| row < below);
    let mut prose: Vec<(Address, Text<'_>)> = Vec::new();
    let mut charts: Vec<(u32, u32)> = Vec::new();
    for span in sheet.row_spans().filter(|span| between(span.first.row)) {
        let row = span.first.row;
        // A line of prose between the rows of a chart is no part of it.
        let drawn = |area: &&Area| area.rows.binary_search_by_key(&row, |row| row.row).is_ok();
        charts.clear();
        charts.extend(areas.iter().filter(drawn).map(|area| area.columns));
        if lies_in(span, &charts) {
            continue;
        }
        let is_prose = |(at, text): &(Address, Text<'_>)| {
            (left..right).contains(&at.column) && !text.starts_with(FILL) && !taken.contains(at)
        };
        prose.extend(sheet.beside(row, &charts).filter(is_prose));
    }
    // The block nearest above: lines without a blank line between them.
    let mut block: Vec<&(Address, Text<'_>)> = Vec::new();
    for line in prose.iter().rev().filter(|(at, _)| at.row < area.top()) {
        if block.last().is_some_and(|(next, _)| blank_between(sheet, line.0.row, next.row)) {
            break;
        }
        block.push(line);
    }
    let title_line = block.iter().rev().copied().find(|(at, _)| !of_symbols(sheet, at.row, symbol));
    let title = settings
        .title
        .clone()
        .or_else(|| title_line.map(|(_, text)| text.to_string()))
        .or_else(|| sheet.grid.name().filter(|_| several_sheets).map(|name| name.to_string()))
        .unwrap_or_else(|| stem(&sheet.grid.file).to_owned());
    let mut notes: Vec<Note> = Vec::new();
    let mut aside: Vec<Address> = Vec::new();
    let mut last_row = None;
    for (at, text) in &prose {
        if settings.title.is_none() && title_line.is_some_and(|(title, _)| title == at) {
            continue;
        }
        if nearer_below(*at) || nearer_above(*at) {
            continue;
        }
        // Numbers and symbols alone are no prose.
        if is_number(text) || (!text.contains(' ') && symbol(*text)) {
            aside.push(*at);
            continue;
        }
        match notes.last_mut() {
            Some(note) if last_row == Some(at.row) => {
                note.text.push(' ');
                note.text.push_str(text);
            }
            _ => notes.push(Note { at: *at, text: text.to_string() }),
        }
        last_row = Some(at.row);
    }
    (Heading { title, notes }, aside)
}

/// Whether a line holds nothing but symbols, so that it is no title: more than one of them, or one that is no word.
fn of_symbols(sheet: &Sheet<'_>, row: u32, symbol: &mut dyn FnMut(Text<'_>) -> bool) -> bool {
    let several = sheet.row(row).nth(1).is_some();
    sheet.row(row).all(|(_, text)| {
        let words = text.contains(' ') || (!several && text.chars().any(char::is_alphanumeric));
        !words && symbol(text)
    })
}

/// Whether a text is made of digits and points alone.
pub(super) fn is_number(text: &str) -> bool {
    text.chars().all(|c| c.is_ascii_digit() || c == '.')
}
