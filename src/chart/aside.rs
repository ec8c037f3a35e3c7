//! Cells beside a chart that may belong to it and were left out of it.

use std::collections::BTreeSet;

use foldhash::HashSet;

use super::area::Area;
use super::heading::is_number;
use super::key::quoted;
use super::label;
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
    let placed = area.rows.iter().flat_map(|row| [row.left, row.right]).flatten();
    let columns: BTreeSet<u32> = placed.map(|placed| placed.at.column).collect();
    // What stands farther off may be of another chart.
    let first = columns.first().map_or(area.columns.0, |column| area.columns.0.min(*column));
    let last = columns.last().map_or(area.columns.1, |column| area.columns.1.max(*column));
    let own = |(at, _): &(Address, Text<'_>)| {
        (first..=last).contains(&at.column) || aside.binary_search(at).is_ok()
    };
    let cells: Vec<(Address, Text<'_>)> = sheet.row(row).filter(own).collect();
    let (first, last) = (cells.first()?.0, cells.last()?.0);
    let unread = |(at, text): &&(Address, Text<'_>)| {
        columns.contains(&at.column) && text.chars().any(|c| c.is_ascii_digit()) && !is_number(text)
    };
    if let Some((at, text)) = cells.iter().find(unread) {
        return Some(
            Finding::new(
                Code::RowNumberGap,
                sheet.grid.place(*at),
                format!("{} stands where its row number should, and can't be read as one.", quoted(text)),
            )
            .found(text.str())
            .expected("a row number, such as 3")
            .help("Number the row; what else is to be said of it goes into a cell beside the number."),
        );
    }
    let columns: Vec<String> = columns.into_iter().map(column_letters).collect();
    let shown: Vec<&str> = cells.iter().map(|(_, text)| text.str()).collect();
    Some(
        Finding::new(
            Code::RowNumberGap,
            sheet.grid.place(Span::new(first, last)),
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

/// Rows of symbols with numbers among them or beside the rows of a chart, one below the other, that are in no chart: one that
/// could not be found for what it is. What was left aside is given in reading order.
pub(super) fn rows(
    sheet: &Sheet<'_>,
    area: &Area,
    aside: &[Address],
    symbol: &mut dyn FnMut(Text<'_>) -> bool,
) -> Option<Finding> {
    const FEWEST_SYMBOLS: usize = 2;
    let mut is_row = |cells: &[Address]| {
        let texts = || cells.iter().filter_map(|at| sheet.text(*at));
        let symbols = texts().filter(|text| symbol(*text)).count();
        let numbered = |at: &Address| area.rows.binary_search_by_key(&at.row, |row| row.row).is_ok();
        symbols >= FEWEST_SYMBOLS
            && (cells.first().is_some_and(numbered)
                || texts().any(|text| !symbol(text) && label::parse(&text).is_some()))
    };
    let rows: Vec<&[Address]> =
        aside.chunk_by(|one, next| one.row == next.row).filter(|cells| is_row(cells)).collect();
    let row = |cells: &[Address]| cells.first().map(|at| at.row);
    let neighbours = |pair: &&[&[Address]]| row(pair[0]).map(|above| above + 1) == row(pair[1]);
    let pair = rows.windows(2).find(neighbours)?;
    let shown: Vec<&str> = pair[0].iter().filter_map(|at| sheet.text(*at)).map(Text::str).collect();
    let cells = pair.iter().copied().flatten().map(|at| Span::from(*at)).reduce(Span::join)?;
    Some(
        Finding::new(
            Code::RowsLeftAside,
            sheet.grid.place(cells),
            "Rows of symbols with numbers stand here, but which cells and numbers are a chart can't be told.",
        )
        .found(shown.join(" "))
        .expected("the number of each row at one of its ends, right beside its cells")
        .help("Move the row numbers to one end of the rows and what else stands there away from them, or leave a blank column between."),
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
