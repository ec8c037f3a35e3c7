//! Columns of row numbers: the numbers that go up or down steadily beside a block of cells.

use std::collections::BTreeMap;

use super::super::key::Key;
use super::super::label::{self, Label};
use super::super::sheet::{Sheet, Text};
use super::lone;
use crate::pattern::Side;
use crate::place::Address;
use crate::stitch::Stitches;

/// A column of row numbers.
pub(super) struct Chain {
    pub(super) column: u32,
    pub(super) labels: BTreeMap<u32, Label>,
}

impl Chain {
    pub(super) fn first(&self) -> (u32, Label) {
        self.labels.first_key_value().map_or((0, Label::default()), |(row, label)| (*row, *label))
    }

    pub(super) fn last(&self) -> (u32, Label) {
        self.labels.last_key_value().map_or((0, Label::default()), |(row, label)| (*row, *label))
    }
}

/// Takes the sides that stand in cells of their own beside row numbers, "2 | WS", and gives each with the cell of its number.
pub(super) fn sides(
    sheet: &mut Sheet<'_>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> BTreeMap<Address, Side> {
    let side = |text: &str| {
        // "RS" is the shortest, "(RS):" the longest.
        let bare = text.get(..text.len().min(5)).filter(|bare| bare.len() == text.len() && bare.len() > 1)?;
        let is = |side: &str| bare.trim_matches(['(', ')', '.', ':']).eq_ignore_ascii_case(side);
        [("RS", Side::Rs), ("WS", Side::Ws)].into_iter().find(|(word, _)| is(word)).map(|(_, side)| side)
    };
    let mut sides = BTreeMap::new();
    for (at, side) in sheet.tested_words(side) {
        if sheet.text(at).is_none_or(|text| key.knows(text, stitches)) {
            continue;
        }
        let before = at.column.checked_sub(1);
        let beside = [before, at.column.checked_add(1)].into_iter().flatten();
        let numbers: Vec<Address> = beside
            .map(|column| Address::new(at.row, column))
            .filter(|at| sheet.text(*at).is_some_and(|text| label::parse(&text).is_some()))
            .collect();
        if let [number] = numbers[..] {
            sides.insert(number, side);
            sheet.take(at);
        }
    }
    sides
}

/// The columns of row numbers; `sides` are those that stand beside numbers.
pub(super) fn chains(
    sheet: &Sheet<'_>,
    sides: &BTreeMap<Address, Side>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<Chain> {
    let mut columns: BTreeMap<u32, Vec<(u32, Label)>> = BTreeMap::new();
    let mut numbers = sheet.tested(label::parse);
    for (at, label) in &mut numbers {
        if let Some(&side) = sides.get(at) {
            *label = Label { side: label.side.or(Some(side)), explicit: true, ..*label };
        }
        columns.entry(at.column).or_default().push((at.row, *label));
    }
    let mut chains = Vec::new();
    for (column, labels) in columns {
        for labels in split(sheet, column, &labels, key, stitches) {
            if is_chain(sheet, column, &labels, key, stitches) {
                let mut labels: BTreeMap<u32, Label> = labels.into_iter().collect();
                labels.extend(nought(sheet, column, &labels));
                chains.push(Chain { column, labels });
            }
        }
    }
    lone::add(sheet, &numbers, &mut chains, key, stitches);
    chains
}

/// A row numbered 0 next to Row 1: it is drawn, though no row has that number.
fn nought(sheet: &Sheet<'_>, column: u32, labels: &BTreeMap<u32, Label>) -> Option<(u32, Label)> {
    let one = |(row, label): (&u32, &Label)| (label.number == 1).then_some(*row);
    let below = labels.last_key_value().and_then(one).map(|row| row + 1);
    let above = labels.first_key_value().and_then(one).and_then(|row| row.checked_sub(1));
    [below, above].into_iter().flatten().find_map(|row| {
        let text = sheet.text(Address::new(row, column))?;
        let marks = |c: char| !c.is_alphanumeric();
        (text.trim_end_matches(".0").trim_matches(marks).trim_start_matches("Row ") == "0")
            .then_some((row, Label { number: 0, explicit: true, ..Label::default() }))
    })
}

/// Cuts the numbers of a column where one chart ends and the next begins.
fn split(
    sheet: &Sheet<'_>,
    column: u32,
    labels: &[(u32, Label)],
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<Vec<(u32, Label)>> {
    let mut parts: Vec<Vec<(u32, Label)>> = Vec::new();
    let one_number = labels.windows(2).all(|pair| pair[0].1.number == pair[1].1.number)
        && labels.first().is_some_and(|(_, label)| label.number <= 2);
    for (index, &(row, label)) in labels.iter().enumerate() {
        let joins = parts.last().and_then(|part| part.last().map(|last| (part, *last))).is_some_and(
            |(part, (above, last))| {
                let step = i64::from(label.number) - i64::from(last.number);
                let before =
                    part.len().checked_sub(2).map(|at| i64::from(last.number) - i64::from(part[at].1.number));
                let onward = before.is_none_or(|before| before.signum() == step.signum());
                if starts_again(part, &labels[index..]) {
                    return false;
                }
                // The same number again behind a line without symbols is that of the next chart: charts of two rows,
                // numbered where each row begins, have one number on each edge. Where that is all there is, any row is
                // such a line.
                let apart = |between: u32, key: &mut Key, stitches: &mut Stitches| {
                    one_number
                        || !sheet
                            .row(between)
                            .any(|(at, text)| at.column != column && key.knows(text, stitches))
                };
                if step == 0 && (above + 1..row).any(|between| apart(between, key, stitches)) {
                    return false;
                }
                // A line of prose does not end a chart whose numbers count on down to the first row.
                let counts_on = step == before.unwrap_or(step.clamp(-2, -1));
                let prose_inside = counts_on && (above + 1..row).all(|row| sheet.row(row).next().is_some());
                prose_inside
                    || (above + 1..row).all(|between| {
                        let mut cells = sheet.row(between).filter(|(at, _)| at.column != column).peekable();
                        match cells.peek() {
                            // A blank line inside a chart, or between two.
                            None => onward && step.abs() <= 4,
                            // A line of prose between two charts, or a row whose number stands on the other side.
                            Some(_) => cells
                                .any(|(_, text)| label::parse(&text).is_some() || key.knows(text, stitches)),
                        }
                    })
            },
        );
        match parts.last_mut().filter(|_| joins) {
            Some(part) => part.push((row, label)),
            None => parts.push(vec![(row, label)]),
        }
    }
    parts
}

/// Whether numbers that came down to 1 begin anew, and come down to 1 again; or the same upwards.
fn starts_again(part: &[(u32, Label)], rest: &[(u32, Label)]) -> bool {
    let (Some((_, last)), Some((_, next))) = (part.last(), rest.first()) else { return false };
    let down = last.number <= 2 && next.number > last.number + 2 && part.len() > 1;
    let comes_down = || {
        let mut steps = rest.windows(2).take_while(|pair| pair[1].1.number < pair[0].1.number);
        steps.any(|pair| pair[1].1.number <= 2)
    };
    let up = next.number <= 2
        && last.number > next.number + 1
        && part.first().is_some_and(|first| first.1.number <= 2);
    (down && comes_down()) || (up && part.len() > 1 && rest.len() > 1) || begins_the_same_way(part, rest)
}

/// Whether a whole chart stands above, numbered by ones or by twos from or to 1, and one as long begins below it: "2, 1"
/// and "2, 1" again.
fn begins_the_same_way(part: &[(u32, Label)], rest: &[(u32, Label)]) -> bool {
    fn number(row: &(u32, Label)) -> u32 {
        row.1.number
    }
    let steady = |step: u32| part.windows(2).all(|pair| number(&pair[0]).abs_diff(number(&pair[1])) == step);
    let ends = [part.first(), part.last()].map(|row| row.map(number));
    part.len() > 1
        && rest.len() >= part.len()
        && part.iter().map(number).eq(rest[..part.len()].iter().map(number))
        && ends.contains(&Some(1))
        && (steady(1) || steady(2))
}

fn is_chain(
    sheet: &Sheet<'_>,
    column: u32,
    labels: &[(u32, Label)],
    key: &mut Key,
    stitches: &mut Stitches,
) -> bool {
    let explicit = labels.iter().any(|(_, label)| label.explicit);
    // Words beside the numbers, "turn", are no part of a chart.
    let mut beside = |column: Option<u32>| {
        let mut symbol = |text: Text<'_>| text.chars().count() <= 3 || key.knows(text, stitches);
        let Some(column) = column else { return 0 };
        let texts = labels.iter().filter_map(|(row, _)| sheet.text(Address::new(*row, column)));
        texts.filter(|text| symbol(*text)).count()
    };
    let (left, right) = (beside(column.checked_sub(1)), beside(column.checked_add(1)));
    let steps: Vec<i64> =
        labels.windows(2).map(|pair| i64::from(pair[1].1.number) - i64::from(pair[0].1.number)).collect();
    let usual = steps
        .iter()
        .copied()
        .max_by_key(|step| (steps.iter().filter(|other| *other == step).count(), -step.abs()));
    let keyed = labels
        .iter()
        .all(|(row, _)| sheet.text(Address::new(*row, column)).is_some_and(|text| key.knows(text, stitches)));
    match usual {
        None => {
            let others = labels.first().map_or(0, |(row, _)| {
                sheet.row(*row).filter(|(at, text)| at.column != column && key.knows(*text, stitches)).count()
            });
            explicit && others >= 1 || !keyed && others >= 2 && (left == 0 || right == 0)
        }
        Some(0) => false,
        Some(step) => {
            let regular = steps.iter().filter(|other| **other == step).count();
            let steady = regular == steps.len() && (1..=2).contains(&step.abs());
            let interior = 2 * left >= labels.len() && 2 * right >= labels.len();
            // Digits may be symbols too. As row numbers they stand outermost and count down to the first row.
            let outermost = |right: bool| {
                labels.iter().all(|(row, _)| {
                    !sheet
                        .row(*row)
                        .any(|(at, _)| if right { at.column > column } else { at.column < column })
                })
            };
            let to_first = labels.iter().any(|(_, label)| label.number <= 2);
            if keyed && !(steady && to_first && (outermost(true) || outermost(false))) {
                return false;
            }
            explicit || (2 * regular >= steps.len() && (!interior || (steady && labels.len() >= 3)))
        }
    }
}

/// Columns of row numbers whose rows overlap belong to charts side by side, or to the two edges of one chart. So do
/// columns whose rows only meet, where the numbers go on: a chart of two rows numbered on alternating sides.
pub(super) fn groups(mut chains: Vec<Chain>) -> Vec<Vec<Chain>> {
    chains.sort_by_key(|chain| chain.first().0);
    let mut groups: Vec<Vec<Chain>> = Vec::new();
    for chain in chains {
        let (first, label) = chain.first();
        let joins = groups.last().is_some_and(|group| {
            group.iter().any(|other| {
                let (last, before) = other.last();
                let step = i64::from(label.number) - i64::from(before.number);
                let meets = last + 1 == first && step.abs() == 1 && [0, step].contains(&way(group));
                first <= last || (meets && other.column != chain.column)
            })
        });
        match groups.last_mut().filter(|_| joins) {
            Some(group) => group.push(chain),
            None => groups.push(vec![chain]),
        }
    }
    for group in &mut groups {
        group.sort_by_key(|chain| chain.column);
    }
    groups
}

/// Whether the numbers beside a chart grow down the sheet, 1, or up, -1.
fn way(group: &[Chain]) -> i64 {
    let first = group.iter().map(Chain::first).min_by_key(|(row, _)| *row);
    let last = group.iter().map(Chain::last).max_by_key(|(row, _)| *row);
    let number = |found: Option<(u32, Label)>| found.map_or(0, |(_, label)| i64::from(label.number));
    (number(last) - number(first)).signum()
}

/// Whether two columns of numbers are the two edges of one chart: the same numbers, or each those the other lacks.
pub(super) fn belongs(left: &Chain, right: &Chain) -> bool {
    let shared = left.labels.keys().filter(|row| right.labels.contains_key(row)).count();
    let equal = left
        .labels
        .iter()
        .filter(|(row, label)| right.labels.get(row).is_some_and(|other| other.number == label.number))
        .count();
    shared == 0 || 2 * equal >= shared
}
