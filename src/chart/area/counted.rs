//! What a sheet counts beside its charts: columns numbered from an edge, stitches at the ends of rows.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::super::key::Key;
use super::super::label;
use super::super::sheet::{Sheet, Text};
use super::super::whose::{self, Owner, Shares};
use super::Area;
use crate::place::Address;
use crate::stitch::Stitches;

/// Rows that number the columns: whole numbers that change with the columns they stand in, for each chart side by side anew.
pub(super) fn column_numbers(
    sheet: &mut Sheet<'_>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<(u32, BTreeMap<u32, u32>)> {
    let number = |(at, text): (Address, Text<'_>)| {
        let text = text.strip_suffix(".0").unwrap_or(&text);
        text.parse::<u32>().ok().map(|number| (at.column, number))
    };
    // A row that holds anything else numbers no columns.
    let numbered = |row: &u32| sheet.row(*row).all(|cell| number(cell).is_some());
    let rows: Vec<u32> = sheet.rows().filter(numbered).collect();
    let mut found = Vec::new();
    for row in rows {
        let numbers: Vec<(u32, u32)> = sheet.row(row).filter_map(number).collect();
        let runs = runs(&numbers);
        if runs.is_empty() || sheet.row(row).all(|(_, text)| key.knows(text, stitches)) {
            continue;
        }
        for (column, _) in &numbers {
            sheet.take(Address::new(row, *column));
        }
        found.extend(runs.into_iter().map(|run| (row, run.iter().copied().collect())));
    }
    found
}

/// The runs of numbers that change with their columns, up or down, three or more of each; nothing where any number is in none.
fn runs(numbers: &[(u32, u32)]) -> Vec<&[(u32, u32)]> {
    const FEWEST: usize = 3;
    let step = |one: &(u32, u32), next: &(u32, u32)| {
        let (columns, numbers) = (i64::from(next.0) - i64::from(one.0), i64::from(next.1) - i64::from(one.1));
        (numbers.abs() == columns).then_some(numbers.signum())
    };
    let mut runs = Vec::new();
    let mut rest = numbers;
    while let [one, next, ..] = rest {
        let way = step(one, next);
        let steps =
            rest.windows(2).take_while(|pair| way.is_some() && step(&pair[0], &pair[1]) == way).count();
        let (run, behind) = rest.split_at(steps + 1);
        if run.len() < FEWEST {
            return Vec::new();
        }
        runs.push(run);
        rest = behind;
    }
    if rest.is_empty() { runs } else { Vec::new() }
}

/// The numbers of the columns of a chart: those of the nearest row of numbers, right above or right below, that is its own,
/// or is as much its own as that of the chart on the other side.
pub(super) fn columns_of(
    area: &Area,
    chart: usize,
    numbered: &[(u32, BTreeMap<u32, u32>)],
    shares: &Shares,
) -> BTreeMap<u32, u32> {
    const NEAR: u32 = 2;
    let (top, bottom) = (area.top(), area.bottom());
    let (first, last) = area.columns;
    let rows = (top.saturating_sub(NEAR)..=top)
        .chain((bottom + 1).saturating_sub(NEAR).max(top + 1)..=bottom + NEAR);
    let own = rows.filter_map(|row| {
        let ends_before = |(other, numbers): &(u32, BTreeMap<u32, u32>)| {
            let end = numbers.last_key_value().map_or(0, |(column, _)| *column);
            (*other, end) < (row, first)
        };
        let (found, numbers) = numbered.get(numbered.partition_point(ends_before))?;
        let (column, _) = numbers.range(first..=last).next().filter(|_| *found == row)?;
        let far = top.abs_diff(row).min(bottom.abs_diff(row));
        let owner = shares.of(Address::new(row, *column))?;
        let whole = owner.chart == chart && owner.or.is_none();
        let is_own = owner.chart == chart || owner.or == Some(chart);
        is_own.then_some((far, !whole, numbers))
    });
    let Some((.., numbers)) = own.min_by_key(|(far, shared, _)| (*shared, *far)) else {
        return BTreeMap::new();
    };
    // They may reach beyond the symbols, where blank cells are stitches too.
    let (mut first, mut last) = area.columns;
    while first.checked_sub(1).is_some_and(|before| numbers.contains_key(&before)) {
        first -= 1;
    }
    while numbers.contains_key(&(last + 1)) {
        last += 1;
    }
    numbers.range(first..=last).map(|(column, number)| (*column, *number)).collect()
}

/// Gives the rows of charts the counts that stand at their ends, with nothing between or in a column of counts. The others
/// count something else: they go back to the sheet.
pub(super) fn give(
    sheet: &mut Sheet<'_>,
    areas: &mut [Area],
    mut counts: Vec<(Address, u32)>,
    shares: &Shares,
) {
    counts.sort_unstable();
    // Each with its chart, which of the rows of that it stands in, and whether nothing stands between.
    let mut placed: Vec<(usize, usize, bool, (Address, u32))> = Vec::new();
    let mut columns: BTreeMap<(usize, u32), (bool, usize)> = BTreeMap::new();
    let mut left: Vec<Address> = Vec::new();
    for row in counts.chunk_by(|one, other| one.0.row == other.0.row) {
        let (cells, mut owners): (Vec<(Address, u32)>, Vec<Owner>) =
            row.iter().filter_map(|count| Some((*count, shares.of(count.0)?))).unzip();
        whose::settle(&mut owners);
        for (count, Owner { chart, .. }) in cells.into_iter().zip(owners) {
            let at = count.0;
            let row = areas.get(chart).and_then(|area| {
                let row = area.rows.binary_search_by_key(&at.row, |row| row.row).ok()?;
                Some((row, between(area.columns, at.column)?))
            });
            let Some((row, between)) = row else {
                left.push(at);
                continue;
            };
            let ends = sheet.alike(at.row, between).next().is_none();
            let column = columns.entry((chart, at.column)).or_default();
            *column = (column.0 || ends, column.1 + 1);
            placed.push((chart, row, ends, count));
        }
    }
    for (chart, row, ends, (at, count)) in placed {
        let Some(area) = areas.get_mut(chart) else { continue };
        let (any_ends, times) = columns.get(&(chart, at.column)).copied().unwrap_or_default();
        let of_counts = any_ends || times > 1 && times == area.rows.len();
        match area.rows.get_mut(row).filter(|_| ends || of_counts) {
            // Counts at both ends say the same.
            Some(row) => _ = row.stated.get_or_insert((count, at)),
            None => left.push(at),
        }
    }
    sheet.give_back(&left);
}

/// The columns between those of a chart and one beside it.
fn between((first, last): (u32, u32), column: u32) -> Option<Range<u32>> {
    match column {
        _ if column < first => Some(column + 1..first),
        _ if column > last => Some(last + 1..column),
        _ => None,
    }
}

/// Takes the words that head the row numbers of a chart, "Row": they are no title of it.
pub(super) fn take_heads(sheet: &mut Sheet<'_>, area: &mut Area) {
    const WORDS: [&str; 10] =
        ["row", "rows", "rnd", "rnds", "round", "rounds", "no", "row no", "row number", "row numbers"];
    let Some(first) = area.rows.iter().find(|row| row.label().is_some()) else { return };
    let columns = [first.left, first.right].into_iter().flatten().map(|placed| placed.at.column);
    let lines = [area.top().checked_sub(1), area.bottom().checked_add(1)];
    let mut rounds = false;
    for at in columns.flat_map(|column| lines.into_iter().flatten().map(move |row| Address::new(row, column)))
    {
        let bare = |text: Text<'_>| text.trim_end_matches(['.', ':']).to_lowercase();
        let Some(head) = sheet.text(at).map(bare).filter(|head| WORDS.contains(&head.as_str())) else {
            continue;
        };
        rounds |= matches!(head.as_str(), "rnd" | "rnds" | "round" | "rounds");
        sheet.take(at);
    }
    if rounds {
        let labels = area.rows.iter_mut().flat_map(|row| [&mut row.left, &mut row.right]).flatten();
        labels.for_each(|placed| placed.label.round = true);
    }
}

/// Counts of stitches typed at the ends of rows: "23 sts", or numbers in a column headed "sts".
pub(super) fn counts(sheet: &mut Sheet<'_>, key: &mut Key, stitches: &mut Stitches) -> Vec<(Address, u32)> {
    let mut counts = Vec::new();
    let heading = |text: &str| {
        const WORDS: [&str; 7] = ["sts", "st", "stitches", "stitch count", "count", "st count", "total"];
        let text = text.trim_end_matches(['.', ':']);
        WORDS.iter().any(|word| word.eq_ignore_ascii_case(text))
    };
    let count = |text: &str| {
        // "3st" at the least; most cells hold a symbol.
        if text.len() < 3 {
            return None;
        }
        let text = text.trim_matches(['(', ')', '[', ']', '.', '=', ' ']);
        if !text.starts_with(|c: char| c.is_ascii_digit() || c == '+') {
            return None;
        }
        let text = text.to_lowercase();
        let number =
            text.trim_end_matches("stitches").trim_end_matches("sts").trim_end_matches("st").trim_end();
        (number.len() < text.len()).then(|| number.parse::<u32>().ok()).flatten()
    };
    // "1st" and "21st" are counts only in a column of counts: beside rows they are ordinals.
    let kind = |text: &str| if is_ordinal(text) { Kind::Ordinal } else { Kind::Named };
    let mut found = sheet.tested_words(|text| match count(text) {
        Some(count) => Some((count, kind(text))),
        None => Some((bracketed(text)?, Kind::Bracketed)),
    });
    let columns: BTreeSet<u32> =
        found.iter().filter(|(_, (_, kind))| *kind == Kind::Named).map(|(at, _)| at.column).collect();
    found.retain(|(at, (_, kind))| match kind {
        Kind::Named => true,
        Kind::Ordinal => columns.contains(&at.column),
        Kind::Bracketed => {
            beside_number(sheet, *at) && sheet.text(*at).is_some_and(|text| !key.knows(text, stitches))
        }
    });
    for (at, (count, _)) in found {
        sheet.take(at);
        counts.push((at, count));
    }
    for (at, ()) in sheet.tested_words(|text| heading(text).then_some(())) {
        let below: Vec<(Address, u32)> = sheet
            .below(at)
            .map_while(|(cell, text)| {
                let text = text.strip_suffix(".0").unwrap_or(&text);
                text.parse::<u32>().ok().map(|count| (cell, count))
            })
            .collect();
        if below.is_empty() {
            continue;
        }
        sheet.take(at);
        for (cell, count) in below {
            sheet.take(cell);
            counts.push((cell, count));
        }
    }
    counts
}

/// How a cell says that it is a count.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// "23 sts".
    Named,
    /// "21st", which may be a row number.
    Ordinal,
    /// "(23)", which may be one too.
    Bracketed,
}

/// The number in brackets that a text is.
fn bracketed(text: &str) -> Option<u32> {
    let inner = text.strip_prefix(['(', '['])?.strip_suffix([')', ']'])?;
    inner.parse().ok().filter(|_| inner.bytes().all(|byte| byte.is_ascii_digit()))
}

/// Whether a row number without brackets stands right beside a cell, and nothing on its other side.
fn beside_number(sheet: &Sheet<'_>, at: Address) -> bool {
    let beside = [at.column.checked_sub(1), at.column.checked_add(1)].into_iter().flatten();
    let mut texts = beside.filter_map(|column| sheet.text(Address::new(at.row, column)));
    let is_number = |text: Text<'_>| bracketed(&text).is_none() && label::parse(&text).is_some();
    texts.next().is_some_and(is_number) && texts.next().is_none()
}

/// Whether a text may be a row number, "1st", where it is no count.
fn is_ordinal(text: &str) -> bool {
    let number =
        text.trim().strip_suffix("st").filter(|number| number.bytes().all(|byte| byte.is_ascii_digit()));
    number.is_some_and(|number| number.ends_with('1') && !number.ends_with("11"))
}
