//! Growth: rows that recur with one more stitch here, one more repeat there, each time.
//!
//! Rows of a block are compared with the same rows of the workings after it. Where the words of a row stay the same
//! ("k to last 2 sts") there is nothing to tell. Else its folded form must be the same but for its numbers, and each
//! number must go up, or down, by the same step from working to working: the numbers of the second and the third
//! working give the step, and every other working, the first one too, is proved by writing it out.

use super::lines::Rows;
use super::recur::{LINE, LOOK_BACK};
use super::wordings::Wordings;
use crate::pattern::{Pattern, Row, Side};
use crate::stitch::{Stitches, Terms};
use crate::written::{Extent, Grown, Growth, Item, gives, grown, may_grow};

/// The longest block, in rows.
const LONGEST: usize = 60;
/// Rows that a growth must tell at least.
const LEAST: usize = 6;
/// What it costs to tell what grows, for each thing that does.
const CLAUSE: u32 = 3;
/// What it costs more where some of several must be counted off: "the 2nd k3"; and where a single stitch is to grow.
const COUNTED_OFF: u32 = 8;
const SINGLE: u32 = 16;
/// What it costs more where that is inside a repeat: "the 1st k1" of what is worked several times may be any of them. Two more
/// rows are sooner read.
const IN_REPEAT: u32 = 40;
/// More rows than any pattern in print.
const MOST_ROWS: usize = 2_000;

/// Rows worked again and again, growing.
pub(super) struct Block {
    /// The first row told by the others, the one after the first working.
    pub(super) first: usize,
    /// Rows of one working.
    pub(super) rows: usize,
    /// Workings after the first.
    pub(super) times: usize,
    pub(super) growth: Vec<Growth>,
    /// The words of the rows of the first working that grow, by row.
    items: Vec<(usize, Vec<Item>)>,
    /// Their numbers, once it is known that the block is told.
    words: Vec<(usize, usize)>,
    /// What it costs to tell the workings after the first, without the line.
    pub(super) cost: u32,
    saved: u32,
}

impl Block {
    /// The rows of the first working whose numbers grow, and the numbers of their words.
    pub(super) fn worded(&self) -> impl Iterator<Item = (usize, usize)> {
        self.words.iter().copied()
    }

    /// Whether a row is one of the first working.
    pub(super) fn begins_with(&self, row: usize) -> bool {
        (self.first - self.rows..self.first).contains(&row)
    }

    fn ends(&self) -> usize {
        self.first + self.rows * self.times
    }
}

/// The blocks that grow and save most, none of which share a row.
pub(super) fn blocks(
    pattern: &Pattern,
    rows: &Rows,
    words: &[usize],
    wordings: &mut Wordings<'_>,
) -> Vec<Block> {
    // One text for several widths leaves no numbers to grow.
    if pattern.rows.len() > MOST_ROWS || pattern.multiple.is_some() || !pattern.sizes.is_empty() {
        return Vec::new();
    }
    let Some(finder) = Finder::new(pattern, rows, words, wordings) else { return Vec::new() };
    let mut found: Vec<Block> = Vec::new();
    // The set-up row has no number by which later rows could name it.
    let begin = usize::from(pattern.rows.first().is_some_and(Row::is_set_up));
    let n = words.len();
    let mut same = vec![0; n];
    for length in 1..=LONGEST.min(n.saturating_sub(begin) / 3) {
        finder.same_workings(length, &mut same);
        // Most places are no beginning of a block, which their second and third workings tell at little cost.
        let mut may = 0;
        for base in (begin..=n - 2 * length).rev() {
            may = if finder.may_grow(base, length, &same) { may + 1 } else { 0 };
            if may >= length && base + 3 * length <= n {
                found.extend(finder.block(base + length, length, &same));
            }
        }
    }
    // The most saved first; of two that save the same, the shorter, the one that begins on the RS, and the earlier.
    let late = |block: &Block| pattern.rows[block.first].side == Side::Ws;
    found.sort_by_key(|block| (std::cmp::Reverse(block.saved), block.rows, late(block), block.first));
    let mut taken: Vec<Block> = Vec::new();
    for block in found {
        let from = block.first - block.rows;
        if taken.iter().all(|other| block.ends() <= other.first - other.rows || other.ends() <= from) {
            taken.push(block);
        }
    }
    taken.sort_by_key(|block| block.first);
    for block in &mut taken {
        let items = std::mem::take(&mut block.items);
        block.words = items.into_iter().map(|(row, items)| (row, wordings.number(items))).collect();
    }
    taken
}

struct Finder<'a> {
    pattern: &'a Pattern,
    rows: &'a Rows,
    words: &'a [usize],
    wordings: &'a Wordings<'a>,
    /// The same number for rows with the same words on the same side.
    same: Vec<usize>,
    /// The same number for rows whose folded forms differ in their numbers only, on the same side.
    shapes: Vec<usize>,
}

impl<'a> Finder<'a> {
    /// None where no row can grow: no two kinds of rows have one shape, or the same stitches in two foldings.
    fn new(
        pattern: &'a Pattern,
        rows: &'a Rows,
        words: &'a [usize],
        wordings: &'a Wordings<'a>,
    ) -> Option<Self> {
        let kinds = &rows.kinds;
        let shape_of = |at: usize| {
            kinds[..at].iter().position(|other| same_shape(&other.closed, &kinds[at].closed)).unwrap_or(at)
        };
        let of_kind: Vec<usize> = (0..kinds.len()).map(shape_of).collect();
        let alone =
            |at: usize| of_kind[at] == at && kinds[..at].iter().all(|other| other.worded != kinds[at].worded);
        if (0..kinds.len()).all(alone) {
            return None;
        }
        let on_side = |number: usize, row: &Row| 2 * number + usize::from(row.side == Side::Ws);
        let same = words.iter().zip(&pattern.rows).map(|(&words, row)| on_side(words, row)).collect();
        let shapes =
            rows.of.iter().zip(&pattern.rows).map(|(&kind, row)| on_side(of_kind[kind], row)).collect();
        Some(Self { pattern, rows, words, wordings, same, shapes })
    }

    /// The block whose first working is the `length` rows before `first`, all of which may grow, if it grows at least
    /// twice.
    /// `same` are its [`Finder::same_workings`].
    fn block(&self, first: usize, length: usize, same: &[usize]) -> Option<Block> {
        let base = first - length;
        let mut times = usize::MAX;
        let mut growing = Vec::new();
        for place in 0..length {
            let row = base + place;
            let same = same[row];
            // What stays the same to the end can't grow any further.
            let to_the_end = row + (same + 1) * length >= self.words.len();
            let grows = if to_the_end { None } else { self.growing(row, length, same) };
            let grown = grows.as_ref().map_or(0, |grows| grows.times);
            // What stays the same needs no words, as long as it does.
            if same >= grown {
                times = times.min(same);
            } else {
                times = times.min(grown);
                growing.extend(grows);
            }
            // Three workings of two rows are sooner written out than told.
            if times < 2 || times.saturating_mul(length) < LEAST {
                return None;
            }
        }
        if growing.is_empty() {
            return None;
        }
        let mut block = Block {
            first,
            rows: length,
            times,
            growth: self.told(base, length, &growing),
            items: growing.into_iter().map(|row| (row.row, row.items)).collect(),
            words: Vec::new(),
            cost: 0,
            saved: 0,
        };
        if !self.proves(&block) {
            return None;
        }
        // Of a rule with many parts each is harder to keep in mind than the one before.
        let stitches = &self.pattern.stitches;
        let unclear = |items: &[Item]| {
            let counted_off =
                |growth: &&Growth| !growth.which.is_empty() && stands_in_repeat(items, growth.what, stitches);
            block.growth.iter().filter(counted_off).count()
        };
        let unclear = block.items.iter().map(|(_, items)| unclear(items)).max().unwrap_or(0);
        block.cost = LOOK_BACK
            + IN_REPEAT * u32::try_from(unclear).unwrap_or(u32::MAX)
            + block.growth.iter().zip(0..).map(|(growth, before)| before + cost_of(growth)).sum::<u32>();
        let written_out: u32 =
            self.words.get(first..block.ends())?.iter().map(|&words| LINE + self.wordings.cost(words)).sum();
        block.saved = written_out.checked_sub(LINE + block.cost)?;
        Some(block)
    }

    /// Whether the second and the third working of a row are such that it may stay the same, or grow.
    fn may_grow(&self, row: usize, length: usize, same: &[usize]) -> bool {
        let (second, third) = (row + length, row + 2 * length);
        third < self.words.len() && (same[row] >= 2 || self.shapes[second] == self.shapes[third])
    }

    /// In how many workings of so many rows each row stays the same, from the one after it on.
    fn same_workings(&self, length: usize, workings: &mut [usize]) {
        for row in (0..self.same.len()).rev() {
            workings[row] = match self.same.get(row + length) {
                Some(later) if *later == self.same[row] => workings[row + length] + 1,
                _ => 0,
            };
        }
    }

    /// How a row grows in the workings after it, if it does so evenly at least twice, and in more of them than its words stay
    /// the same in.
    fn growing(&self, row: usize, length: usize, same: usize) -> Option<Growing> {
        let (second, third) = (row + length, row + 2 * length);
        if third >= self.words.len() || self.shapes[second] != self.shapes[third] {
            return None;
        }
        let stitches = &self.pattern.stitches;
        let kind = self.rows.of[second];
        let closed = &self.rows.kinds[kind].closed;
        let later = (row + length..self.words.len()).step_by(length);
        let on_side = |later: &usize| self.pattern.rows[*later].side == self.pattern.rows[row].side;
        if kind == self.rows.of[third] {
            // No number goes up or down: the rows are the same, or are none of a block.
            let worded = &self.rows.kinds[kind].worded;
            let alike = |row: usize| self.rows.of[row] == kind || self.rows[row].worded == *worded;
            if !alike(row) {
                return None;
            }
            let times = later.take_while(|later| on_side(later) && alike(*later)).count();
            let growing =
                || Growing { row, items: closed.clone(), steps: vec![0; numbers(closed).count()], times };
            return (times >= 2 && times > same).then(growing);
        }
        let steps: Vec<i64> = (numbers(closed).zip(numbers(&self.rows[third].closed)))
            .map(|(two, three)| i64::from(three) - i64::from(two))
            .collect();
        let numbers_at = |working: i64| {
            numbers(closed).zip(&steps).map(move |(two, step)| {
                // Of a run that shrinks to nothing no reader knows that its last working has none.
                u32::try_from(i64::from(two) + step * (working - 1)).ok().filter(|&times| times > 0)
            })
        };
        let at = |working: i64| with_numbers(closed, &mut numbers_at(working));
        // Folded alike and with the numbers that are due, a row is shown by its own folded form.
        let as_due = |row: usize, working: i64| {
            self.shapes[row] == self.shapes[second]
                && numbers(&self.rows[row].closed).map(Some).eq(numbers_at(working))
        };
        let shows = |items: &[Item], row: usize| {
            let row = &self.rows[row];
            gives(items, stitches, row.uses, &row.worded)
        };
        let items = at(0).filter(|items| shows(items, row))?;
        // A run without words for its number is printed as a repeat, but not where it is one stitch.
        let pieces = items.iter().flat_map(Item::pieces);
        let named = pieces.zip(&steps).all(|(piece, step)| match piece {
            Item::Run { stitch, extent: Extent::Times(1) } => {
                *step == 0 || stitches.get(*stitch).words(Terms::Us).run.is_some()
            }
            _ => true,
        });
        let times = later
            .zip(1i64..)
            .take_while(|(row_later, working)| {
                let shown = || at(*working).is_some_and(|items| shows(&items, *row_later));
                on_side(row_later) && (as_due(*row_later, *working) || shown())
            })
            .count();
        (named && times >= 2 && times > same).then_some(Growing { row, items, steps, times })
    }

    /// What grows, told as briefly as it is true.
    fn told(&self, base: usize, length: usize, growing: &[Growing]) -> Vec<Growth> {
        let stitches = &self.pattern.stitches;
        let mut told: Vec<Growth> = Vec::new();
        for row in growing {
            let number = self.pattern.rows[row.row].number;
            for growth in row.growth(number, stitches) {
                let like = told.iter_mut().find(|other| {
                    (other.what, other.by, &other.which) == (growth.what, growth.by, &growth.which)
                });
                match like {
                    Some(other) => {
                        other.rows.push(number);
                        other.several |= growth.several;
                    }
                    None => told.push(growth),
                }
            }
        }
        // Where all rows that have such a thing let it grow, the rows need not be named.
        let words = |row: usize| {
            let grows = growing.iter().find(|growing| growing.row == row);
            grows.map_or(self.wordings.items(self.words[row]), |growing| &growing.items)
        };
        for growth in &mut told {
            let has = |row: &usize| {
                let mut pieces = words(*row).iter().flat_map(Item::pieces);
                pieces.any(|item| Grown::of(item, stitches).is_some_and(|(what, _)| what == growth.what))
            };
            let all = (base..base + length).filter(has).count();
            if growth.which.is_empty() && all == growth.rows.len() {
                growth.rows.clear();
            }
        }
        // Runs before repeats, and what grows alike side by side.
        told.sort_by_key(|growth| (growth.what == Grown::Repeat, std::cmp::Reverse(growth.by)));
        told
    }

    /// Whether the words of the first working, grown as it is told, give every later row.
    fn proves(&self, block: &Block) -> bool {
        let stitches = &self.pattern.stitches;
        let base = block.first - block.rows;
        (block.first..block.ends()).all(|row| {
            let source = base + (row - base) % block.rows;
            let workings = u32::try_from((row - base) / block.rows).unwrap_or(u32::MAX);
            let own = block.items.iter().find(|(own, _)| *own == source).map(|(_, items)| items.as_slice());
            let items = own.unwrap_or_else(|| self.wordings.items(self.words[source]));
            let number = self.pattern.rows[source].number;
            let (words, row) = (self.words[row], &self.rows[row]);
            // Its own words give the row, as was proved when they were found.
            let own = self.wordings.items(words);
            let told = |items: &[Item]| items == own || gives(items, stitches, row.uses, &row.worded);
            if !may_grow(&block.growth, number) {
                return told(items);
            }
            grown(items, &block.growth, number, workings, stitches).is_some_and(|items| told(&items))
        })
    }
}

fn cost_of(growth: &Growth) -> u32 {
    let counted_off = COUNTED_OFF * u32::try_from(growth.which.len()).unwrap_or(u32::MAX);
    let single = matches!(growth.what, Grown::Run { times: 1, .. }) && counted_off > 0;
    CLAUSE + counted_off + if single { SINGLE } else { 0 }
}

/// Whether such a thing stands inside a repeat.
fn stands_in_repeat(items: &[Item], what: Grown, stitches: &Stitches) -> bool {
    let is_such = |item: &Item| Grown::of(item, stitches).is_some_and(|(found, _)| found == what);
    items.iter().any(|item| match item {
        Item::Repeat { items, .. } => items.iter().flat_map(Item::pieces).any(is_such),
        Item::Run { .. } => false,
    })
}

/// A row whose numbers grow.
struct Growing {
    row: usize,
    /// Its words in the first working.
    items: Vec<Item>,
    /// What is added to each of its numbers.
    steps: Vec<i64>,
    /// In how many workings after the first.
    times: usize,
}

impl Growing {
    /// What grows in it. `number` is the row's.
    fn growth(&self, number: u32, stitches: &Stitches) -> Vec<Growth> {
        let numbered: Vec<(Grown, i64)> = self
            .items
            .iter()
            .flat_map(Item::pieces)
            .zip(&self.steps)
            .filter_map(|(item, &step)| Some((Grown::of(item, stitches)?.0, step)))
            .collect();
        let mut told: Vec<Growth> = Vec::new();
        for &(what, step) in numbered.iter().filter(|(_, step)| *step != 0) {
            let Ok(by) = i32::try_from(step) else { continue };
            if told.iter().any(|growth| growth.what == what && growth.by == by) {
                continue;
            }
            let like = || numbered.iter().filter(|(other, _)| *other == what);
            let all = like().all(|(_, other)| *other == step);
            let which = if all {
                Vec::new()
            } else {
                like().zip(1..).filter(|((_, other), _)| *other == step).map(|(_, place)| place).collect()
            };
            told.push(Growth { rows: vec![number], what, which, several: like().count() > 1, by });
        }
        told
    }
}

/// Whether items are the same but for their numbers.
fn same_shape(one: &[Item], other: &[Item]) -> bool {
    one.len() == other.len()
        && one.iter().zip(other).all(|pair| match pair {
            (Item::Run { stitch: one, .. }, Item::Run { stitch: other, .. }) => one == other,
            (Item::Repeat { items: one, .. }, Item::Repeat { items: other, .. }) => same_shape(one, other),
            _ => false,
        })
}

/// The numbers of closed items, each before those of what it repeats.
fn numbers(items: &[Item]) -> impl Iterator<Item = u32> {
    items.iter().flat_map(Item::pieces).map(|item| match item.extent() {
        Extent::Times(times) => times,
        Extent::ToLast(_) => 0,
    })
}

/// The items with other numbers.
fn with_numbers(items: &[Item], numbers: &mut impl Iterator<Item = Option<u32>>) -> Option<Vec<Item>> {
    let mut numbered = Vec::with_capacity(items.len());
    for item in items {
        let extent = Extent::Times(numbers.next()??);
        numbered.push(match item {
            Item::Run { stitch, .. } => Item::Run { stitch: *stitch, extent },
            Item::Repeat { items, .. } => Item::Repeat { items: with_numbers(items, numbers)?, extent },
        });
    }
    Some(numbered)
}
