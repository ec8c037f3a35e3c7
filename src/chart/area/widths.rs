//! Numbers at the ends of rows that say how many stitches each has: those that are what their rows are wide, all of them, and
//! come down to no first row.

use std::collections::BTreeSet;

use super::super::key::Key;
use super::super::label;
use super::super::sheet::Sheet;
use super::chains::Chain;
use super::{Area, AreaRow, Placed, counted};
use crate::place::Address;
use crate::problem::{Code, Finding};
use crate::stitch::Stitches;

/// The lowest number that is none of the first rows.
const LOWEST: u32 = 3;

/// The fewest rows that are hardly as wide as their numbers by chance.
const FEWEST: usize = 3;

/// Takes out the columns of numbers that count the stitches of their rows, and gives their cells, which are taken, with the
/// counts.
pub(super) fn take_out(
    sheet: &mut Sheet<'_>,
    chains: &mut Vec<Chain>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<(Address, u32)> {
    let mut counts = Vec::new();
    chains.retain(|chain| {
        let count = are_widths(sheet, chain, key, stitches);
        if count {
            counts.extend(chain.labels.iter().map(|placed| (placed.at, placed.label.number)));
        }
        !count
    });
    for (at, _) in &counts {
        sheet.take(*at);
    }
    counts
}

fn are_widths(sheet: &Sheet<'_>, chain: &Chain, key: &mut Key, stitches: &mut Stitches) -> bool {
    chain.labels.len() >= FEWEST
        && !is_headed(sheet, chain)
        && chain.labels.iter().all(|placed| {
            let number = placed.label.number;
            number >= LOWEST
                && !placed.label.explicit
                && width(sheet, placed.at, key, stitches) == Some(number)
        })
}

/// Whether a word beside the first or the last of some numbers says that they number rows.
fn is_headed(sheet: &Sheet<'_>, chain: &Chain) -> bool {
    let above = chain.labels.first().and_then(|first| Some((first.at.row.checked_sub(1)?, first.at.column)));
    let below = chain.labels.last().map(|last| (last.at.row + 1, last.at.column));
    let texts = [above, below]
        .into_iter()
        .flatten()
        .filter_map(|(row, column)| sheet.text(Address::new(row, column)));
    texts.into_iter().any(|text| counted::is_head(&text))
}

/// How many cells a row has beside its number, if they are symbols but for a number at the other end.
fn width(sheet: &Sheet<'_>, number: Address, key: &mut Key, stitches: &mut Stitches) -> Option<u32> {
    let (mut width, mut others) = (0, 0);
    for (at, text) in sheet.row(number.row).filter(|(at, _)| *at != number) {
        if key.knows(text, stitches) {
            width += sheet.shown_width(sheet.span(at));
        } else {
            label::parse(&text)?;
            others += 1;
        }
    }
    Some(width).filter(|_| others < 2)
}

/// Notes where the counts of a chart stand that only its cells show to be such.
pub(super) fn note(area: &mut Area, counts: &[(Address, u32)]) {
    if counts.is_empty() {
        return;
    }
    let assumed: BTreeSet<Address> = counts.iter().map(|(at, _)| *at).collect();
    let mut own = area.rows.iter().filter_map(|row| row.stated).map(|(_, at)| at);
    area.assumed_counts = own.find(|at| assumed.contains(at));
}

/// Says that numbers were taken as counts of stitches.
pub(in super::super) fn told(sheet: &Sheet<'_>, area: &Area) -> Option<Finding> {
    let first = area.assumed_counts?;
    let message = "Each of the numbers at the ends of the rows is what its row has of cells: they were taken as counts of stitches, not as row numbers.";
    Some(Finding::new(Code::NumbersAssumed, sheet.grid.place(first), message.to_owned()).help(
        "Nothing, if that is so; head them \"Sts\" to say it. If they number the rows, head them \"Row\".",
    ))
}

/// Says of a chart of fewer rows that its numbers may number them or count their stitches.
pub(in super::super) fn unclear(sheet: &Sheet<'_>, area: &Area) -> Option<Finding> {
    let labels: Vec<Placed> = area.rows.iter().filter_map(AreaRow::label).collect();
    let (first, last) = (labels.first()?, labels.last()?);
    let both = area.rows.iter().any(|row| row.left.is_some() && row.right.is_some());
    if labels.len() >= FEWEST || labels.len() < 2 || labels.len() < area.rows.len() || both {
        return None;
    }
    let is_width = |placed: &Placed| {
        let cells = sheet.across(placed.at.row, area.columns_of(placed.at.row)).filter_map(|(_, text)| text);
        placed.label.number >= LOWEST
            && !placed.label.explicit
            && cells.count() == placed.label.number as usize
    };
    let head = |row: Option<u32>, column: u32| {
        sheet.value(Address::new(row?, column)).filter(|value| counted::is_head(&value.text()))
    };
    let headed = head(first.at.row.checked_sub(1), first.at.column).is_some()
        || head(last.at.row.checked_add(1), last.at.column).is_some();
    if headed || !labels.iter().all(is_width) {
        return None;
    }
    let found = format!("{} and {}", first.label.number, last.label.number);
    let message = format!(
        "Of the two rows each has as many cells as the number at its end says, {found}: whether these number the rows or count their stitches can't be told."
    );
    Some(
        Finding::new(Code::NumbersUnclear, sheet.grid.place(first.at), message)
            .found(found)
            .expected("row numbers that are no counts, or counts under a heading")
            .help("Write \"Row\" above the numbers if they number the rows, \"Sts\" if they count stitches."),
    )
}
