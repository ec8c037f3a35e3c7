//! Columns of row numbers: the numbers that go up or down steadily beside a block of cells.

use std::collections::BTreeMap;

use foldhash::{HashMap, HashMapExt};

use super::super::key::Key;
use super::super::label::{self, Label};
use super::super::order::line::Line;
use super::super::sheet::{Sheet, Text};
use super::{End, Placed, digits, lone, ragged};
use crate::pattern::Side;
use crate::place::Address;
use crate::stitch::Stitches;

/// A column of row numbers, or an edge of them.
pub(super) struct Chain {
    /// Where they stand; the outermost of their columns, where these are several.
    pub(super) column: u32,
    /// From top to bottom.
    pub(super) labels: Vec<Placed>,
}

impl Chain {
    pub(super) fn first(&self) -> (u32, Label) {
        self.labels.first().map_or((0, Label::default()), |placed| (placed.at.row, placed.label))
    }

    pub(super) fn last(&self) -> (u32, Label) {
        self.labels.last().map_or((0, Label::default()), |placed| (placed.at.row, placed.label))
    }

    /// The number that stands in a row of the sheet.
    pub(super) fn in_row(&self, row: u32) -> Option<Label> {
        let index = self.labels.binary_search_by_key(&row, |placed| placed.at.row).ok()?;
        self.labels.get(index).map(|placed| placed.label)
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
    let mut numbers = sheet.tested(label::parse);
    for (at, label) in &mut numbers {
        if let Some(&side) = sides.get(at) {
            *label = Label { side: label.side.or(Some(side)), explicit: true, ..*label };
        }
    }
    let mut columns: Vec<Placed> = numbers.iter().map(|&(at, label)| Placed { label, at }).collect();
    columns.sort_by_key(|placed| (placed.at.column, placed.at.row));
    let mut chains = Vec::new();
    for labels in columns.chunk_by(|one, next| one.at.column == next.at.column) {
        for labels in split(sheet, labels, key, stitches) {
            if is_chain(sheet, labels, key, stitches) {
                let column = labels.first().map_or(0, |placed| placed.at.column);
                let mut labels = labels.to_vec();
                labels.extend(nought(sheet, &labels));
                labels.sort_by_key(|placed| placed.at.row);
                chains.push(Chain { column, labels });
            }
        }
    }
    let mut chains = ragged::join(sheet, &numbers, chains, key, stitches);
    digits::take_out(sheet, &mut chains, key, stitches);
    lone::add(sheet, &numbers, &mut chains, key, stitches);
    chains
}

/// A row numbered 0 next to Row 1, or called "Set-up" there: it is drawn, though no row has that number.
fn nought(sheet: &Sheet<'_>, labels: &[Placed]) -> Option<Placed> {
    let one = |placed: &&Placed| placed.label.number == 1;
    let below = labels.last().filter(one).map(|last| Address::new(last.at.row + 1, last.at.column));
    let above = labels
        .first()
        .filter(one)
        .and_then(|first| Some(Address::new(first.at.row.checked_sub(1)?, first.at.column)));
    [below, above].into_iter().flatten().find_map(|at| {
        let text = sheet.text(at)?;
        if label::is_set_up(&text) && sheet.row(at.row).nth(1).is_some() {
            let label = Label { set_up: true, explicit: true, ..Label::default() };
            return Some(Placed { label, at });
        }
        let marks = |c: char| !c.is_alphanumeric();
        (text.trim_end_matches(".0").trim_matches(marks).trim_start_matches("Row ") == "0")
            .then_some(Placed { label: Label { number: 0, explicit: true, ..Label::default() }, at })
    })
}

/// Cuts the numbers of a column where one chart ends and the next begins.
fn split<'a>(
    sheet: &Sheet<'_>,
    labels: &'a [Placed],
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<&'a [Placed]> {
    let one_number = labels.windows(2).all(|pair| pair[0].label.number == pair[1].label.number)
        && labels.first().is_some_and(|placed| placed.label.number <= 2);
    let mut parts = Vec::new();
    let (mut all, mut length, mut steady) = (labels, 1, true);
    while length < all.len() {
        let (part, rest) = all.split_at(length);
        if go_on(sheet, Cut { part, rest, steady }, one_number, key, stitches) {
            length += 1;
            steady = steady && goes_steadily(all, length);
        } else {
            parts.push(part);
            (all, length, steady) = (rest, 1, true);
        }
    }
    parts.push(all);
    parts
}

/// The numbers of a column cut in two.
#[derive(Clone, Copy)]
struct Cut<'a> {
    part: &'a [Placed],
    rest: &'a [Placed],
    /// Whether the numbers of the part go by ones, or by twos.
    steady: bool,
}

/// Whether so many numbers go by ones or by twos, where all but the last of them do.
fn goes_steadily(labels: &[Placed], length: usize) -> bool {
    let step = |last: usize| {
        let pair = last.checked_sub(1).and_then(|first| labels.get(first..=last));
        pair.map_or(0, |pair| pair[0].label.number.abs_diff(pair[1].label.number))
    };
    (1..=2).contains(&step(1)) && length.checked_sub(1).is_some_and(|last| step(last) == step(1))
}

/// Whether the numbers of a part of a column go on with the next of the rest; `one_number` says that one number is all there
/// is in the column.
fn go_on(sheet: &Sheet<'_>, cut: Cut<'_>, one_number: bool, key: &mut Key, stitches: &mut Stitches) -> bool {
    let Cut { part, rest, .. } = cut;
    let (Some(last), Some(next)) = (part.last(), rest.first()) else { return false };
    let column = next.at.column;
    let step_to = |next: &Placed, last: &Placed| i64::from(next.label.number) - i64::from(last.label.number);
    let step = step_to(next, last);
    let before = part.len().checked_sub(2).map(|at| step_to(last, &part[at]));
    let onward = before.is_none_or(|before| before.signum() == step.signum());
    let mut between = last.at.row + 1..next.at.row;
    if starts_again(cut) {
        return false;
    }
    // The same number again behind a line without symbols is that of the next chart: charts of two rows, numbered where each
    // row begins, have one number on each edge. Where that is all there is, any row is such a line.
    let mut apart = |row: u32| {
        one_number || !sheet.row(row).any(|(at, text)| at.column != column && key.knows(text, stitches))
    };
    if step == 0 && between.clone().any(&mut apart) {
        return false;
    }
    // A line of prose does not end a chart whose numbers count on down to the first row.
    let counts_on = step == before.unwrap_or(step.clamp(-2, -1));
    if counts_on && between.clone().all(|row| sheet.row(row).next().is_some()) {
        return true;
    }
    between.all(|row| {
        let mut cells = sheet.row(row).filter(|(at, _)| at.column != column).peekable();
        match cells.peek() {
            // A blank line inside a chart, or between two.
            None => onward && step.abs() <= 4,
            // A line of prose between two charts, or a row whose number stands on the other side.
            Some(_) => cells.any(|(_, text)| label::parse(&text).is_some() || key.knows(text, stitches)),
        }
    })
}

/// Whether numbers that came down to 1 begin anew, and come down to 1 again; or the same upwards.
fn starts_again(cut: Cut<'_>) -> bool {
    let Cut { part, rest, .. } = cut;
    let (Some(last), Some(next)) = (part.last(), rest.first()) else { return false };
    let (last, next) = (last.label.number, next.label.number);
    let down = last <= 2 && next > last + 2 && part.len() > 1;
    let comes_down = || {
        let mut steps = rest.windows(2).take_while(|pair| pair[1].label.number < pair[0].label.number);
        steps.any(|pair| pair[1].label.number <= 2)
    };
    let up = next <= 2 && last > next + 1 && part.first().is_some_and(|first| first.label.number <= 2);
    (down && comes_down()) || (up && part.len() > 1 && rest.len() > 1) || begins_the_same_way(cut)
}

/// Whether a whole chart stands above, numbered by ones or by twos from or to 1, and one as long begins below it: "2, 1"
/// and "2, 1" again.
fn begins_the_same_way(Cut { part, rest, steady }: Cut<'_>) -> bool {
    fn number(placed: &Placed) -> u32 {
        placed.label.number
    }
    let ends = [part.first(), part.last()].map(|row| row.map(number));
    part.len() > 1
        && rest.len() >= part.len()
        && steady
        && ends.contains(&Some(1))
        && part.iter().map(number).eq(rest[..part.len()].iter().map(number))
}

fn is_chain(sheet: &Sheet<'_>, labels: &[Placed], key: &mut Key, stitches: &mut Stitches) -> bool {
    let Some(&Placed { at: Address { row, column }, .. }) = labels.first() else { return false };
    let explicit = labels.iter().any(|placed| placed.label.explicit);
    let keyed =
        labels.iter().all(|placed| sheet.text(placed.at).is_some_and(|text| key.knows(text, stitches)));
    let usual = usual_step(labels);
    let rarely = |(step, times): (i64, usize)| {
        let far = step.abs() > 2 && !explicit && !in_line(labels);
        far && (2 * times < labels.len() || !beside_rows(sheet, labels, key, stitches))
    };
    if usual.is_some_and(rarely) {
        return false;
    }
    // The two rows of two charts may have their numbers between these.
    let of_two_rows = !keyed && are_all_rows(sheet, labels, key, stitches);
    // How many of the numbers have a symbol beside them; words, "turn", are no part of a chart, nor are the same numbers of
    // another one.
    let mut beside = |column: Option<u32>, key: &mut Key| {
        let mut symbol = |text: Text<'_>, placed: &Placed| {
            key.knows(text, stitches)
                || text.chars().count() <= 3
                    && label::parse(&text).is_none_or(|label| label.number != placed.label.number)
        };
        let Some(column) = column else { return 0 };
        let cells = labels
            .iter()
            .filter_map(|placed| Some((sheet.text(Address::new(placed.at.row, column))?, placed)));
        cells.filter(|(text, placed)| symbol(*text, placed)).count()
    };
    let (before, behind) = (column.checked_sub(1), column.checked_add(1));
    match usual {
        None => {
            let one_blank = beside(before, key) == 0 || beside(behind, key) == 0;
            let others =
                sheet.row(row).filter(|(at, text)| at.column != column && key.knows(*text, stitches)).count();
            explicit && others >= 1 || !keyed && others >= 2 && one_blank
        }
        Some((0, _)) if (labels.len() < 4 || !in_line(labels)) && !twice_to_first(labels) => false,
        Some((step, times)) => {
            let steps = labels.len() - 1;
            let steady = times == steps && (1..=2).contains(&step.abs());
            // Digits may be symbols too. As row numbers they stand outermost and count down to the first row.
            let outermost = |end: End| {
                let beyond = |at: Address| match end {
                    End::Left => at.column < column,
                    End::Right => column < at.column,
                };
                labels.iter().all(|placed| !sheet.row(placed.at.row).any(|(at, _)| beyond(at)))
            };
            let to_first = labels.iter().any(|placed| placed.label.number <= 2);
            if keyed && !(steady && to_first && (outermost(End::Right) || outermost(End::Left))) {
                return false;
            }
            let mut interior =
                || [before, behind].into_iter().all(|column| 2 * beside(column, key) >= labels.len());
            explicit
                || of_two_rows && steady && to_first
                || ((2 * times >= steps || in_line(labels)) && (steady && labels.len() >= 3 || !interior()))
        }
    }
}

/// Whether two numbers stand beside all rows of symbols that there are, one below the other.
fn are_all_rows(sheet: &Sheet<'_>, labels: &[Placed], key: &mut Key, stitches: &mut Stitches) -> bool {
    let &[first, last] = labels else { return false };
    let beyond = [first.at.row.checked_sub(1), last.at.row.checked_add(1)];
    last.at.row == first.at.row + 1
        && beyond.into_iter().flatten().all(|row| !sheet.row(row).any(|(_, text)| key.knows(text, stitches)))
}

/// Whether rows of a chart stand beside some numbers: a symbol of the key, or several cells. Numbers far apart count rows only
/// there, and where most are as far apart: "Rows | 28" and "Sts | 24" are none.
fn beside_rows(sheet: &Sheet<'_>, labels: &[Placed], key: &mut Key, stitches: &mut Stitches) -> bool {
    labels.iter().any(|placed| {
        let mut cells = sheet.row(placed.at.row).filter(|(at, _)| *at != placed.at);
        let Some((_, first)) = cells.next() else { return false };
        cells.next().is_some() || key.knows(first, stitches)
    })
}

/// Whether numbers come down to the first rows by ones, of which one stands twice: "3, 2, 2".
fn twice_to_first(labels: &[Placed]) -> bool {
    let mut steps: Vec<i64> = (labels.windows(2))
        .map(|pair| i64::from(pair[1].label.number) - i64::from(pair[0].label.number))
        .collect();
    steps.sort_unstable();
    let to_first = labels.last().is_some_and(|last| last.label.number <= 2);
    to_first && matches!(steps[..], [.., -1, 0]) && steps.iter().filter(|step| **step != -1).count() == 1
}

/// Whether most numbers count on from row to row, whatever was mistyped among them.
fn in_line(labels: &[Placed]) -> bool {
    labels.len() > 2
        && Line::of(labels.iter().map(|placed| (i64::from(placed.at.row), placed.label.number))).is_some()
}

/// The step between most of the numbers, and how often it is taken; the smaller of steps that are taken as often, and of
/// one up and one down the later.
fn usual_step(labels: &[Placed]) -> Option<(i64, usize)> {
    let steps = || {
        let number = |placed: &Placed| i64::from(placed.label.number);
        labels.windows(2).map(move |pair| number(&pair[1]) - number(&pair[0]))
    };
    let first = steps().next()?;
    if steps().all(|step| step == first) {
        return Some((first, labels.len() - 1));
    }
    let mut taken: HashMap<i64, usize> = HashMap::new();
    steps().for_each(|step| *taken.entry(step).or_default() += 1);
    steps()
        .map(|step| (step, taken.get(&step).copied().unwrap_or(0)))
        .max_by_key(|(step, times)| (*times, -step.abs()))
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
                // A set-up row stands before the first row, whatever number that has.
                let next = step.abs() == 1 || label.set_up || before.set_up;
                let meets = last + 1 == first && next && [0, step.signum()].contains(&way(group));
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
    let both = left.labels.iter().filter_map(|placed| Some((placed.label, right.in_row(placed.at.row)?)));
    let (shared, equal) = both.fold((0, 0), |(shared, equal), (one, other)| {
        (shared + 1, equal + usize::from(one.number == other.number))
    });
    shared == 0 || 2 * equal >= shared
}

/// Whether the numbers on the left of right-side rows are those of the rows back, "2 | row 1 | 1": none that is drawn.
pub(super) fn number_returns(left: &Chain, right: &Chain) -> bool {
    left.labels.len() > 1
        && left.labels.iter().all(|placed| {
            let row = right.in_row(placed.at.row).map(|label| label.number);
            row.is_some_and(|row| row % 2 == 1 && placed.label.number == row + 1)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbered(numbers: &[u32]) -> Vec<Placed> {
        let placed = |(row, &number): (u32, &u32)| Placed {
            label: Label { number, ..Label::default() },
            at: Address::new(row, 0),
        };
        (0..).zip(numbers).map(placed).collect()
    }

    #[test]
    fn the_usual_step_is_the_smaller_of_those_as_usual() {
        for (numbers, step) in [
            (&[5, 4, 3, 2][..], Some((-1, 3))),
            (&[1, 3, 5, 8, 10], Some((2, 3))),
            (&[1, 4, 5, 8, 9], Some((1, 2))),
            (&[4, 3, 4, 3, 5], Some((-1, 2))),
            (&[2, 1, 2], Some((1, 1))),
            (&[1, 2, 1], Some((-1, 1))),
            (&[7], None),
        ] {
            assert_eq!(usual_step(&numbered(numbers)), step, "{numbers:?}");
        }
    }

    /// By ones or by twos all the way, up or down: not by one now and by two then.
    #[test]
    fn numbers_go_steadily_as_far_as_they_do() {
        for (numbers, steady) in
            [(&[1, 2, 3, 5][..], 3), (&[7, 5, 3, 1], 4), (&[1, 4, 7], 1), (&[2, 1, 3], 2), (&[2, 2], 1)]
        {
            let labels = numbered(numbers);
            let found = (2..=labels.len()).take_while(|length| goes_steadily(&labels, *length)).last();
            assert_eq!(found.unwrap_or(1), steady, "{numbers:?}");
        }
    }
}
