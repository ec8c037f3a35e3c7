//! What is said of the key and its symbols, of fills, of what is hidden, and of what hangs on the cells of a chart.

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use foldhash::{HashMap, HashMapExt};

use super::area::Area;
use super::key::{FILL, Key, Matched, quoted};
use super::keyblock;
use super::sheet::{Sheet, Text};
use crate::grid::{Colour, Grid};
use crate::place::{Address, Place, Span, column_letters};
use crate::problem::{Code, Finding};
use crate::stitch::Stitches;
use crate::words;

/// Says of each symbol once what is wrong with it, at its first cell, and how often it stands elsewhere.
pub(super) fn said_once(sheet: &Sheet<'_>, findings: &mut Vec<Finding>, from: usize) {
    const MOST_LOOKED_FOR: usize = 20;
    let mut kept: Vec<(Finding, u32)> = Vec::new();
    // Where that of each symbol stands among those that are kept.
    let mut known: HashMap<(Code, Option<String>), usize> = HashMap::new();
    for finding in findings.drain(from..) {
        let symbol = matches!(
            finding.code,
            Code::UnknownSymbol | Code::UnknownKeyWords | Code::AmbiguousSymbol | Code::AmbiguousDate
        );
        let place = if symbol {
            *known.entry((finding.code, finding.found.clone())).or_insert(kept.len())
        } else {
            kept.len()
        };
        match kept.get_mut(place) {
            Some((_, times)) => *times += 1,
            None => kept.push((finding, 1)),
        }
    }
    let unknown = kept.iter_mut().filter(|(finding, _)| finding.code == Code::UnknownSymbol);
    unknown.take(MOST_LOOKED_FOR).for_each(|(finding, _)| stands_unread(sheet, finding));
    findings.extend(kept.into_iter().map(|(mut finding, times)| {
        if times > 1 {
            let (count, cells) = (times - 1, if times == 2 { "cell" } else { "cells" });
            finding.message.push_str(&format!(" It stands in {count} more {cells} of the chart."));
        }
        finding
    }));
}

/// Says of a symbol that no key explains where it stands beside words that were not read as an entry of a key.
fn stands_unread(sheet: &Sheet<'_>, finding: &mut Finding) {
    let Some((at, words)) = finding.found.as_deref().and_then(|symbol| keyblock::unread(sheet, symbol))
    else {
        return;
    };
    let place = sheet.grid.place(at);
    let beside =
        format!(" It stands beside \"{}\" ({place}), which was not read as an entry of a key.", words.str());
    finding.message.push_str(&beside);
    finding.help = "Head those lines \"Key\", and say each stitch in its name or words (\"longhand list stitches\" shows them).".into();
}

/// What is said of the words of an entry that a chart uses: of which a part was left aside, or that do not say all.
fn left_aside((place, words): (&Place, &str), stitches: &mut Stitches) -> Option<Finding> {
    if words::is_bare_slip(words) {
        let message = format!(
            "\"{words}\" in the key was read as purlwise, with the yarn on the wrong side of the fabric."
        );
        let finding = Finding::new(Code::BareSlip, place.clone(), message).found(words);
        return Some(
            finding.help("Nothing, if that is meant. Otherwise write sl 1 wyif, sl 1 wyib or sl 1 kwise."),
        );
    }
    let aside = words::left_aside(words, stitches)?;
    Some(
        Finding::new(
            Code::UnreadKeyEntry,
            place.clone(),
            format!("Of the key's \"{words}\" the part \"{aside}\" was left aside."),
        )
        .found(aside)
        .help("Nothing, if the notes of the pattern say it. Otherwise say what is worked in such places under [key], by rs, ws, rs-first and so on, or with a symbol of its own."),
    )
}

/// Notes on how symbols were matched.
pub(super) fn key_notes(
    key: &mut Key,
    sheet: &Sheet<'_>,
    area: &Area,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) {
    let place = sheet.grid.place(area.span());
    let list = |texts: &[String]| texts.iter().map(|text| quoted(text)).collect::<Vec<_>>().join(", ");
    if !key.by_name.is_empty() {
        findings.push(
            Finding::new(
                Code::NameAsSymbol,
                place.clone(),
                format!("Not in the key, taken as the stitches they name: {}.", list(&key.by_name)),
            )
            .help("Nothing, if that is so; a key entry says otherwise."),
        );
    }
    for symbol in &key.by_name {
        let Some((at, words)) = keyblock::unread(sheet, symbol) else { continue };
        findings.push(
            Finding::new(
                Code::UnreadKeyEntry,
                sheet.grid.place(at),
                format!(
                    "{} stands beside \"{}\" here, which was not read as an entry of a key; it was taken as the stitch it names.",
                    quoted(symbol),
                    words.str()
                ),
            )
            .found(words.str())
            .help("Head those lines \"Key\" if they are one, and say the stitch in its name or words."),
        );
    }
    let symbol_in = |fill: Colour| {
        let shaded = move |(at, text): &(Address, Text<'_>)| {
            (area.columns.0..=area.columns.1).contains(&at.column)
                && sheet.fill(*at) == Some(fill)
                && !text.starts_with(FILL)
        };
        area.rows.iter().flat_map(|row| sheet.row(row.row)).filter(shaded)
    };
    findings.extend(key.unread_fills().filter_map(|(fill, words)| {
        let (at, _) = symbol_in(fill).next()?;
        Some(
            Finding::new(
                Code::UnreadKeyEntry,
                sheet.grid.place(at),
                format!(
                    "The key explains the fill {fill} of this cell as \"{words}\", which names no stitch and no colour: the symbols in such cells were read without it."
                ),
            )
            .found(words)
            .help("Nothing, if it only marks something. If it is a colour, give the square its name alone."),
        )
    }));
    let without: Vec<Colour> = key.fills_without_stitch().collect();
    findings.extend(without.into_iter().filter_map(|fill| {
        let worked = |(at, text): &(Address, Text<'_>)| {
            matches!(key.matches(*text, || sheet.value(*at), stitches), Matched::Works(_))
        };
        let (at, text) = symbol_in(fill).find(worked)?;
        Some(
            Finding::new(
                Code::UnreadKeyEntry,
                sheet.grid.place(at),
                format!(
                    "The key explains the fill {fill} of this cell as no stitch, and {} in it as one: the symbols in such cells were worked.",
                    quoted(&text)
                ),
            )
            .found(&*text)
            .help("Take the symbols out of the cells that are no stitch, or the fill from those that are."),
        )
    }));
    findings.extend(key.words_used().into_iter().filter_map(|used| left_aside(used, stitches)));
    for (code, pairs, verb) in [
        (Code::SymbolMatchedLoosely, &key.loosely, "taken as"),
        (Code::DateRestored, &key.dates, "is a date a spreadsheet made; read back as"),
    ] {
        for (text, symbol) in pairs {
            findings.push(
                Finding::new(
                    code,
                    place.clone(),
                    format!("{} {verb} {} of the key.", quoted(text), quoted(symbol)),
                )
                .found(text)
                .expected(symbol)
                .help("Type the symbol as the key has it to leave no doubt."),
            );
        }
    }
}

/// Says that a fill was taken as one of the key.
pub(super) fn shade_matched(sheet: &Sheet<'_>, (at, fill, meant): &(Address, Colour, Colour)) -> Finding {
    Finding::new(
        Code::ShadeMatched,
        sheet.grid.place(*at),
        format!("The fill {fill} is not in the key; it was taken as {meant}, which is almost the same."),
    )
    .found(fill)
    .expected(meant)
    .help("Fill the cell as the key has it, or add the fill to the key.")
}

/// The cells of a sheet whose text is struck out, in reading order.
pub(super) fn struck_out(grid: &Grid) -> Vec<Address> {
    if !grid.looks.each().any(|look| look.struck) {
        return Vec::new();
    }
    grid.cells.iter().map(|cell| cell.at).filter(|at| grid.looks.at(*at).struck).collect()
}

/// Those of them that lie in a chart.
pub(super) fn struck_within(struck: &[Address], span: Span) -> impl Iterator<Item = Address> {
    let from = struck.partition_point(|at| at.row < span.first.row);
    let near = struck.get(from..).unwrap_or_default().iter().copied();
    near.take_while(move |at| at.row <= span.last.row).filter(move |at| span.contains(*at))
}

/// Says that struck-out cells were read all the same.
pub(super) fn struck(grid: &Grid, cells: &[Address]) -> Option<Finding> {
    let first = *cells.first()?;
    let holds = if cells.len() == 1 { "holds" } else { "hold" };
    let shown = listed(cells);
    Some(
        Finding::new(
            Code::StruckCell,
            grid.place(first),
            format!("What {shown} {holds} is struck out; it was read as if it were not."),
        )
        .found(&shown)
        .help("Take the line away from cells that count; empty those that don't, or give them the stitch that counts."),
    )
}

/// The first few of some cells by name, and how many more there are.
fn listed<T: ToString>(cells: &[T]) -> String {
    const SHOWN: usize = 5;
    let mut shown: Vec<String> = cells.iter().take(SHOWN).map(T::to_string).collect();
    if cells.len() > SHOWN {
        shown.push(format!("{} more", cells.len() - SHOWN));
    }
    shown.join(", ")
}

/// Says that a sheet is seen as the mirror image of what its cells say.
pub(super) fn right_to_left(grid: &Grid) -> Option<Finding> {
    grid.right_to_left.then(|| {
        Finding::new(
            Code::RightToLeft,
            grid.whole(),
            "The sheet is shown from right to left: its chart would be read as the mirror image of what is seen.",
        )
        .help(
            "Set the sheet to run from left to right; where its chart is then mirrored, sort its columns the other way \
             round.",
        )
    })
}

/// Says that a hidden column within a chart is one of those that the numbers of its columns count.
pub(super) fn hidden_column_counted(sheet: &Sheet<'_>, area: &Area) -> Option<Finding> {
    let numbers = &area.column_numbers;
    if sheet.grid.hidden_columns.is_empty() {
        return None;
    }
    let pairs = || numbers.iter().zip(numbers.iter().skip(1));
    let (hidden, left, right) = pairs().find_map(|((&first, &left), (&last, &right))| {
        let mut between = first + 1..last;
        let hidden = between.find(|column| sheet.hidden_column(*column))?;
        (left.abs_diff(right) > 1).then_some((hidden, left, right))
    })?;
    let missing = if left > right { left - 1 } else { left + 1 };
    let message = format!(
        "Column {missing} of the chart is hidden; without it Column {left} stands beside Column {right}."
    );
    let place = sheet.grid.place(Address::new(area.top(), hidden));
    Some(
        Finding::new(Code::ColumnNumberGap, place, message)
            .found(format!("{left} beside {right}"))
            .expected(missing)
            .help("Show the hidden columns, or delete them and number the columns anew."),
    )
}

/// Says which hidden rows and columns of the sheet were left out of a chart.
pub(super) fn hidden(sheet: &Sheet<'_>, area: &Area) -> Option<Finding> {
    if sheet.grid.hidden_rows.is_empty() && sheet.grid.hidden_columns.is_empty() {
        return None;
    }
    let (rows, columns) = hidden_reach(sheet, area);
    let rows: Vec<String> =
        rows.filter(|row| sheet.hidden_row(*row)).map(|row| (u64::from(row) + 1).to_string()).collect();
    let columns: Vec<String> =
        columns.filter(|column| sheet.hidden_column(*column)).map(column_letters).collect();
    let parts = hidden_parts(&rows, &columns)?;
    Some(
        Finding::new(
            Code::HiddenLeftOut,
            sheet.grid.place(area.span()),
            format!("Hidden in the sheet and left out of the chart: {parts}."),
        )
        .help("Show them again if they belong to the chart."),
    )
}

/// Says which hidden rows and columns hold something that stands in no chart, and was not read either.
pub(super) fn hidden_elsewhere(sheet: &Sheet<'_>, areas: &[Area]) -> Option<Finding> {
    if sheet.grid.hidden_rows.is_empty() && sheet.grid.hidden_columns.is_empty() {
        return None;
    }
    let (of_rows, of_columns) = areas.iter().map(|area| hidden_reach(sheet, area)).unzip();
    let (of_rows, of_columns) = (joined(of_rows), joined(of_columns));
    let (mut rows, mut columns) = (BTreeSet::new(), BTreeSet::new());
    let mut first = None;
    for Address { row, column } in sheet.grid.cells.iter().map(|cell| cell.at) {
        let (in_row, in_column) = (sheet.hidden_row(row), sheet.hidden_column(column));
        if !in_row && !in_column || rows.contains(&row) || columns.contains(&column) {
            continue;
        }
        let known = in_row && is_within(&of_rows, row) || in_column && is_within(&of_columns, column);
        if !known {
            first = first.or(Some(Address::new(row, column)));
            if in_row {
                rows.insert(row)
            } else {
                columns.insert(column)
            };
        }
    }
    let rows: Vec<String> = rows.into_iter().map(|row| (u64::from(row) + 1).to_string()).collect();
    let columns: Vec<String> = columns.into_iter().map(column_letters).collect();
    let parts = hidden_parts(&rows, &columns)?;
    Some(
        Finding::new(
            Code::HiddenLeftOut,
            sheet.grid.place(first?),
            format!("Hidden in the sheet and not read, though not empty: {parts}."),
        )
        .help("Show them again if a chart, a key or notes in them are meant."),
    )
}

/// Stretches of rows, or of columns, in their order, those that meet made one.
fn joined(mut stretches: Vec<RangeInclusive<u32>>) -> Vec<RangeInclusive<u32>> {
    stretches.sort_unstable_by_key(|stretch| *stretch.start());
    let mut joined: Vec<RangeInclusive<u32>> = Vec::with_capacity(stretches.len());
    for stretch in stretches {
        match joined.last_mut().filter(|last| stretch.start() <= last.end()) {
            Some(last) => *last = *last.start()..=*last.end().max(stretch.end()),
            None => joined.push(stretch),
        }
    }
    joined
}

/// Whether a row, or a column, is in one of some joined stretches.
fn is_within(joined: &[RangeInclusive<u32>], at: u32) -> bool {
    let before = joined.partition_point(|stretch| *stretch.start() <= at).checked_sub(1);
    before.and_then(|index| joined.get(index)).is_some_and(|stretch| stretch.contains(&at))
}

/// The rows and columns of a chart with the hidden ones right beside its edges, which belong to it where they hold anything.
fn hidden_reach(sheet: &Sheet<'_>, area: &Area) -> (RangeInclusive<u32>, RangeInclusive<u32>) {
    let (first, last) = area.columns;
    let holds = |row: u32, column: u32| sheet.grid.get(Address::new(row, column)).is_some();
    let in_row = |row: &u32| sheet.hidden_row(*row) && (first..=last).any(|column| holds(*row, column));
    let in_column =
        |column: &u32| sheet.hidden_column(*column) && area.rows.iter().any(|row| holds(row.row, *column));
    let above = (0..area.top()).rev().take_while(in_row).count() as u32;
    let below = (area.bottom() + 1..).take_while(in_row).count() as u32;
    let before = (0..first).rev().take_while(in_column).count() as u32;
    let behind = (last + 1..).take_while(in_column).count() as u32;
    (area.top() - above..=area.bottom() + below, first - before..=last + behind)
}

/// "rows 3, 4; column B"; nothing where there are none.
fn hidden_parts(rows: &[String], columns: &[String]) -> Option<String> {
    let list = |kind: &str, names: &[String]| match names {
        [] => None,
        [one] => Some(format!("{kind} {one}")),
        [first, .., last] if names.len() > MOST_HIDDEN => {
            Some(format!("{} {kind}s from {first} to {last}", names.len()))
        }
        many => Some(format!("{kind}s {}", many.join(", "))),
    };
    let parts: Vec<String> = [list("row", rows), list("column", columns)].into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// Hidden rows, or columns, named one by one.
const MOST_HIDDEN: usize = 20;

/// Comments on cells of a chart, told one by one.
const MOST_COMMENTS: usize = 20;

/// Notes on what hangs on the cells of a chart and is no part of it: comments, and conditions that may fill or hide
/// cells.
pub(super) fn hanging(grid: &Grid, area: &Area, findings: &mut Vec<Finding>) {
    let span = area.span();
    let from = grid.comments.partition_point(|(at, _)| at.row < span.first.row);
    let near = grid.comments.get(from..).unwrap_or_default().iter();
    let near = near.take_while(|(at, _)| at.row <= span.last.row);
    let comments: Vec<_> = near.filter(|(at, _)| span.contains(*at)).collect();
    for (at, text) in comments.iter().take(MOST_COMMENTS) {
        findings.push(
            Finding::new(
                Code::CellComment,
                grid.place(*at),
                format!("A comment on this cell is no part of the chart: {}.", quoted(text)),
            )
            .found(text)
            .help("Nothing, unless it says how the cell is worked: then say that in the key."),
        );
    }
    if let Some((at, _)) = comments.get(MOST_COMMENTS) {
        let more = comments.len() - MOST_COMMENTS;
        findings.push(
            Finding::new(
                Code::CellComment,
                grid.place(*at),
                format!(
                    "{more} more comments on cells of the chart are no part of it, the first of them here."
                ),
            )
            .help("Nothing, unless they say how the cells are worked: then say that in the key."),
        );
    }
    findings.extend(conditional(grid, |cells| cells.meets(span)));
}

/// Says which conditions are not worked out, of those on cells that matter.
pub(super) fn conditional(grid: &Grid, matters: impl Fn(Span) -> bool) -> Option<Finding> {
    let cells: Vec<Span> = grid.conditional.iter().copied().filter(|cells| matters(*cells)).collect();
    let first = *cells.first()?;
    let shown = listed(&cells);
    Some(
        Finding::new(
            Code::NotSeen,
            grid.place(first),
            format!(
                "The conditional formatting of {shown} is not worked out: what it fills or hides is not seen."
            ),
        )
        .found(&shown)
        .help("If its fills mean something, such as no stitch or a colour, fill the cells themselves."),
    )
}
