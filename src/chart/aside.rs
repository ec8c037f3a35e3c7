//! Cells beside a chart that may belong to it and were left out of it.

use std::collections::BTreeSet;

use foldhash::HashSet;

use super::area::Area;
use super::heading::is_number;
use super::key::quoted;
use super::sheet::{Sheet, Text};
use crate::place::{Address, Span, column_letters};
use crate::problem::{Code, Finding};

/// A whole row of symbols right above or below a chart that its row numbers leave out, as where a cell too many has
/// moved the row's own number out of their column. What was left aside is given in reading order.
pub(super) fn row(sheet: &Sheet<'_>, area: &Area, aside: &[Address]) -> Option<Finding> {
    let width = area.columns.1 - area.columns.0 + 1;
    let near = [area.top().checked_sub(1), area.bottom().checked_add(1)];
    let row = near.into_iter().flatten().find(|row| {
        let is_symbol = |at: Address| {
            aside.binary_search(&at).is_ok()
                && (area.columns.0..=area.columns.1).contains(&at.column)
                && sheet.text(at).is_some_and(|text| !is_number(&text) || &*text == ".")
        };
        let (symbols, others): (Vec<Address>, Vec<Address>) =
            sheet.row(*row).map(|(at, _)| at).partition(|at| is_symbol(*at));
        // A row may hold few symbols among blank squares, and then nothing else.
        let alone = !symbols.is_empty() && others.is_empty();
        let count = u32::try_from(symbols.len()).unwrap_or(u32::MAX);
        area.rows.iter().any(|row| row.label().is_some()) && width > 1 && (2 * count > width || alone)
    })?;
    let cells: Vec<Address> = aside.iter().filter(|at| at.row == row).copied().collect();
    let (first, last) = (cells.first()?, cells.last()?);
    let placed = area.rows.iter().flat_map(|row| [row.left, row.right]).flatten();
    let columns: BTreeSet<u32> = placed.map(|placed| placed.at.column).collect();
    let columns: Vec<String> = columns.into_iter().map(column_letters).collect();
    let shown: Vec<&str> = cells.iter().filter_map(|at| sheet.text(*at)).map(Text::str).collect();
    Some(
        Finding::new(
            Code::RowNumberGap,
            sheet.grid.place(Span::new(*first, *last)),
            format!(
                "A row of symbols right {} the chart has no row number where the others have theirs.",
                if row < area.top() { "above" } else { "below" }
            ),
        )
        .found(shown.join(" "))
        .expected(format!("its row number in column {}", columns.join(" or ")))
        .help("Number it, and look for a cell too many or too few in it; leave a blank line between if it is no row of this chart."),
    )
}

/// Whether a row of the sheet looks like one of a chart though no key explains its cells: short texts, mostly the same few,
/// stand in most of the chart's columns. Headings of columns, each another letter, do not.
pub(super) fn like_row(sheet: &Sheet<'_>, area: &Area, row: u32) -> bool {
    const LONGEST: usize = 3;
    const FEWEST: usize = 3;
    let (first, last) = area.columns;
    let texts: Vec<Text<'_>> = sheet.across(row, area.columns).filter_map(|(_, text)| text).collect();
    let is_short = |text: &Text<'_>| {
        text.chars().count() <= LONGEST && !text.contains(' ') && (!is_number(text) || text.str() == ".")
    };
    let different: HashSet<usize> = texts.iter().map(|text| text.index).collect();
    texts.len() >= FEWEST
        && 2 * texts.len() > (last - first + 1) as usize
        && 3 * different.len() <= 2 * texts.len()
        && texts.iter().all(is_short)
}

/// Says that other numbers stand at one edge of a chart than at the other, by which its rows were read.
fn other_numbers(sheet: &Sheet<'_>, area: &Area, cells: &[Address]) -> Option<Finding> {
    let (first, last) = (*cells.first()?, *cells.last()?);
    let (edge, other) = match first.column {
        column if column + 1 == area.columns.0 => ("left", "right"),
        column if column == area.columns.1 + 1 => ("right", "left"),
        _ => return None,
    };
    let row = |at: Address| area.rows.binary_search_by_key(&at.row, |row| row.row).ok();
    let label = |at: Address| area.rows.get(row(at)?)?.label();
    let (top, bottom) = (label(first)?, label(last)?);
    let text = |at: Address| sheet.text(at).filter(|text| is_number(text));
    let are_numbers = |at: &Address| at.column == first.column && row(*at).is_some() && text(*at).is_some();
    if cells.len() < 2 || !cells.iter().all(are_numbers) {
        return None;
    }
    let found = format!("{} to {}", text(first)?.str(), text(last)?.str());
    let expected = format!("{} to {}", top.label.number, bottom.label.number);
    Some(
        Finding::new(
            Code::CellsLeftAside,
            sheet.grid.place(Span::new(first, last)),
            format!(
                "The numbers at the {edge} edge of the chart, {found}, are not those at its {other} edge, {expected}: the rows were read by these."
            ),
        )
        .found(found)
        .expected(expected)
        .help("Nothing, if they count something else. Otherwise correct the numbers of one of the two edges."),
    )
}

/// Says which cells that may belong to a chart were left out of it.
pub(super) fn cells(sheet: &Sheet<'_>, area: &Area, cells: &[Address]) -> Option<Finding> {
    const SHOWN: usize = 6;
    if let Some(finding) = other_numbers(sheet, area, cells) {
        return Some(finding);
    }
    let (first, rest) = cells.split_first()?;
    let shown: Vec<String> =
        cells.iter().take(SHOWN).filter_map(|at| sheet.text(*at)).map(|text| quoted(&text)).collect();
    let more = if cells.len() > SHOWN { ", ..." } else { "" };
    let whole = rest.iter().fold(Span::from(*first), |span, at| span.join((*at).into()));
    Some(
        Finding::new(
            Code::CellsLeftAside,
            sheet.grid.place(whole),
            format!(
                "Beside the chart and not taken as part of it: {}{more} ({} {}).",
                shown.join(", "),
                cells.len(),
                if cells.len() == 1 { "cell" } else { "cells" }
            ),
        )
        .found(shown.join(", "))
        .help("Nothing, if they are no part of it; otherwise number the rows they stand in, or head counts of stitches \"sts\"."),
    )
}
