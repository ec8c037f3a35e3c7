//! A pattern into the lines that are printed.

use super::kinds::{Kind, Kinds};
use super::open::Shape;
use super::recur::{Step, recurring};
use super::sentence::{Sentence, sentence};
use super::widths::{self, Width};
use super::wordings::Wordings;
use super::{common, wording};
use crate::pattern::{Pattern, RowRepeat, Worked};
use crate::stitch::{StitchId, Stitches};
use crate::written::{Again, Item, Label, Line, Shown, Work, Written, tells, unfold};

/// What rows are folded into.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// Yarn overs are named by the stitches on either side (UK).
    pub yarn_overs_by_position: bool,
    /// Return rows that are worked alike are told in one sentence.
    pub one_sentence: bool,
    /// Rows that recur are told by the rows they are like.
    pub recurring: bool,
    /// Repeats end "to last 3 sts" instead of after a number of workings.
    pub open: bool,
    /// How deep repeats stand inside each other.
    pub nesting: u8,
}

/// Whether lines are true of all sizes of their pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Serves {
    /// They are, as the options ask for them.
    All,
    /// They are, now that yarn overs have one name: by their neighbours they have other names in other sizes.
    OneName,
    /// They are not.
    NotAll,
}

/// Puts a pattern into lines. Where its sizes can't share the names that yarn overs have by their neighbours, they have
/// one name.
pub fn written(pattern: &Pattern, options: Options) -> Written {
    served(pattern, options).0
}

/// The pattern in lines, and whether they are true of all its sizes.
pub fn served(pattern: &Pattern, options: Options) -> (Written, Serves) {
    let served = |serves, so| if serves { so } else { Serves::NotAll };
    let (written, serves) = one(pattern, options);
    if options.yarn_overs_by_position && !serves {
        let (written, serves) = one(pattern, Options { yarn_overs_by_position: false, ..options });
        return (written, served(serves, Serves::OneName));
    }
    (written, served(serves, Serves::All))
}

/// The pattern in lines, and whether they are true of all of its sizes.
fn one(pattern: &Pattern, options: Options) -> (Written, bool) {
    let stitches = &pattern.stitches;
    let rows = Rows::of(pattern, options);
    let mut wordings = Wordings::new(stitches);
    let usual = wording::each(pattern, &rows, options, &mut wordings);
    let sentence =
        if options.one_sentence { sentence(pattern, &rows, options.nesting, &mut wordings) } else { None };
    // The label of several rows names no side: it is known only where the sides take turns.
    let together = options.recurring && sides_take_turns(pattern);
    let steps = if together {
        let shared = wording::shared(pattern, &rows, &usual, options, &mut wordings);
        let mut steps = recurring(pattern, &rows, &shared, sentence.as_ref(), &mut wordings);
        if !options.open {
            keep_usual(&mut steps, &shared, &usual);
        }
        steps
    } else {
        each(&usual, sentence.as_ref())
    };
    let mut written = Written {
        title: pattern.title.clone(),
        worked: pattern.worked,
        hand: pattern.hand,
        cast_on: pattern.cast_on,
        multiple: pattern.multiple,
        sizes: pattern.sizes.clone(),
        notes: pattern.notes.clone(),
        lines: lines(pattern, &rows, &steps, sentence.as_ref(), &wordings),
        stitches: stitches.clone(),
    };
    if together && !tells(&written, written.cast_on, rows.shown()) {
        let steps = each(&usual, sentence.as_ref());
        written.lines = lines(pattern, &rows, &steps, sentence.as_ref(), &wordings);
    }
    let serves = serves_sizes(&written, pattern, options);
    (written, serves)
}

/// Whether each row is on the other side than the one before it; rounds are all on one.
fn sides_take_turns(pattern: &Pattern) -> bool {
    pattern.worked == Worked::Round || pattern.rows.windows(2).all(|pair| pair[0].side != pair[1].side)
}

/// Whether the lines, worked on the cast-on of each size, give its rows.
fn serves_sizes(written: &Written, pattern: &Pattern, options: Options) -> bool {
    let stitches = &pattern.stitches;
    pattern.sizes.iter().all(|size| {
        let Some(told) = unfold(written, size.cast_on) else { return false };
        told.len() == pattern.rows.len()
            && told.iter().zip(&pattern.rows).all(|(told, row)| {
                widths::in_size(row, &pattern.sizes, size.times).is_none_or(|row| {
                    let row = if options.yarn_overs_by_position { by_position(&row, stitches) } else { row };
                    told.stitches == row
                })
            })
    })
}

/// Rows that no line refers to go back to their usual words.
fn keep_usual(steps: &mut [Step], shared: &[usize], usual: &[usize]) {
    if shared == usual {
        return;
    }
    let mut referred = vec![false; usual.len()];
    for step in steps.iter() {
        if let Step::Again { source, rows, .. } = step {
            referred[*source..source + rows].fill(true);
        }
    }
    for step in steps {
        if let Step::Row(row, words) = step
            && shared[*row] == *words
            && !referred[*row]
        {
            *words = usual[*row];
        }
    }
}

/// Every row on a line of its own, but for those of the sentence.
fn each(words: &[usize], sentence: Option<&Sentence>) -> Vec<Step> {
    let of_sentence = |row: usize| sentence.and_then(|sentence| sentence.rows.binary_search(&row).ok());
    let step = |(row, &words): (usize, &usize)| match of_sentence(row) {
        None => Some(Step::Row(row, words)),
        Some(place) => (place == 0).then_some(Step::Sentence),
    };
    words.iter().enumerate().filter_map(step).collect()
}

fn lines(
    pattern: &Pattern,
    rows: &Rows,
    steps: &[Step],
    sentence: Option<&Sentence>,
    wordings: &Wordings<'_>,
) -> Vec<Line> {
    let number = |row: usize| pattern.rows.get(row).map_or(0, |row| row.number);
    let makes = |row: usize| rows.get(row).map(|row| row.makes);
    let before = |row: usize| row.checked_sub(1).and_then(makes).unwrap_or(pattern.cast_on);
    let label = |first: usize, rows: usize, in_turn: bool| match (rows, pattern.rows.get(first)) {
        (1, Some(row)) => Label::Row { number: row.number, side: row.side },
        (_, row) => {
            // The name of a fabric tells on which side it begins.
            let tells = first > 0 || pattern.worked == Worked::Round || in_turn;
            let side = row.filter(|_| !tells).map(|row| row.side);
            Label::Rows { first: number(first), last: number(first + rows - 1), side }
        }
    };
    let line = |first: usize, rows: usize, work: Work| {
        let count = makes(first + rows - 1);
        let in_turn = matches!(work, Work::InTurn { .. });
        Line { label: label(first, rows, in_turn), work, count, count_changes: count != Some(before(first)) }
    };
    let items = |words: usize| Work::Items(wordings.items(words).to_vec());
    let told = |sentence: &Sentence| match sentence.rows.first() {
        // Lines that tell rows again tell all the others: to say "and all WS rows" would tell them twice.
        Some(&first) if tells_one(sentence, steps) => line(first, 1, items(sentence.words)),
        _ => sentence.line(pattern, rows, wordings),
    };
    let tell = |step: &Step| match step {
        Step::Sentence => sentence.map(told),
        Step::Row(row, words) => Some(line(*row, 1, items(*words))),
        Step::Alike { first, rows, words } => Some(line(*first, *rows, items(*words))),
        Step::InTurn { first, rows, reverse, knit_first } => {
            let work = Work::InTurn { reverse: *reverse, knit_first: *knit_first };
            Some(line(*first, *rows, work))
        }
        Step::Again { first, source, rows, times, growth } => {
            let again = Again {
                first: number(*source),
                last: number(source + rows - 1),
                times: u32::try_from(*times).unwrap_or(u32::MAX),
                growth: growth.clone(),
            };
            Some(line(*first, rows * times, Work::Again(again)))
        }
    };
    let mut lines = Vec::with_capacity(steps.len());
    lines.extend(steps.iter().filter_map(tell));
    lines
}

/// Whether a sentence for many rows tells only the first of them, since other lines tell the rest.
fn tells_one(sentence: &Sentence, steps: &[Step]) -> bool {
    let by_others = |row: &usize| {
        steps.iter().any(|step| match step {
            Step::Sentence => false,
            Step::Row(own, _) => own == row,
            Step::Alike { first, rows, .. } | Step::InTurn { first, rows, .. } => {
                (*first..first + rows).contains(row)
            }
            Step::Again { first, rows, times, .. } => (*first..first + rows * times).contains(row),
        })
    };
    sentence.rows.iter().skip(1).all(by_others)
}

/// The rows of a pattern as they will be worded; those with the same stitches and the same repeat are one.
pub(super) struct Rows {
    /// In the order they come in.
    pub(super) kinds: Vec<Folded>,
    /// Which of them each row is.
    pub(super) of: Vec<usize>,
}

impl Rows {
    fn of(pattern: &Pattern, options: Options) -> Self {
        let kinds = Kinds::of(pattern, options.nesting);
        let repeats = common::repeats(pattern, &kinds, options.nesting);
        // Where the first with its stitches is, by kind of stitches: mostly all of them have one repeat.
        let mut first: Vec<Option<usize>> = vec![None; kinds.kinds.len()];
        let mut known: Vec<(usize, Option<RowRepeat>)> = Vec::with_capacity(kinds.kinds.len());
        let mut rows =
            Self { kinds: Vec::with_capacity(kinds.kinds.len()), of: Vec::with_capacity(pattern.rows.len()) };
        let shape = Shape::of(pattern);
        for (index, (&stitches, repeat)) in kinds.of.iter().zip(repeats).enumerate() {
            let new = known.len();
            let first = *first[stitches].get_or_insert(new);
            let kind = (first..new).find(|&kind| known[kind] == (stitches, repeat)).unwrap_or(new);
            if kind == new {
                known.push((stitches, repeat));
                rows.kinds.push(Folded::of(pattern, index, (repeat, shape), &kinds, options));
            }
            rows.of.push(kind);
        }
        rows
    }

    /// A row by its index.
    pub(super) fn get(&self, row: usize) -> Option<&Folded> {
        self.kinds.get(*self.of.get(row)?)
    }

    /// What each row works.
    fn shown(&self) -> impl ExactSizeIterator<Item = Shown<'_>> {
        self.of.iter().map(|&kind| {
            let Folded { worded, uses, makes, .. } = &self.kinds[kind];
            Shown { stitches: worded, uses: *uses, makes: *makes }
        })
    }
}

impl std::ops::Index<usize> for Rows {
    type Output = Folded;

    fn index(&self, row: usize) -> &Folded {
        &self.kinds[self.of[row]]
    }
}

/// A row as it will be worded.
pub(super) struct Folded {
    /// The first row of its kind.
    pub(super) first: usize,
    pub(super) worded: Vec<StitchId>,
    /// Loops it uses.
    pub(super) uses: u32,
    /// Loops it leaves.
    pub(super) makes: u32,
    /// The same row at the other widths that its words must serve.
    pub(super) wide: Vec<Width>,
    pub(super) closed: Vec<Item>,
    /// That of the piece.
    pub(super) shape: Shape,
}

impl Folded {
    /// The row at this index, folded with its part of the common repeat.
    fn of(
        pattern: &Pattern,
        index: usize,
        (repeat, shape): (Option<RowRepeat>, Shape),
        kinds: &Kinds<'_>,
        options: Options,
    ) -> Self {
        let (row, stitches) = (&pattern.rows[index], &pattern.stitches);
        let worded = |row: &[StitchId]| {
            if options.yarn_overs_by_position { by_position(row, stitches) } else { row.to_vec() }
        };
        let wide = widths::others(row, &pattern.sizes, worded);
        let worded = worded(&row.stitches);
        let closed = if options.yarn_overs_by_position {
            Kind::new(&worded, stitches, options.nesting).closed(repeat)
        } else {
            kinds.row(index).closed(repeat)
        };
        let (uses, makes) = pattern.loops(row);
        Self { first: index, worded, uses, makes, wide, closed, shape }
    }
}

/// The row with its yarn overs named by their neighbours: yarn overs beside each other look past one another, and
/// at the edge of a row the inner neighbour alone counts.
pub(super) fn by_position(row: &[StitchId], stitches: &Stitches) -> Vec<StitchId> {
    let over = |id: StitchId| id == Stitches::YO || id == Stitches::YO2;
    let mut named = row.to_vec();
    for (at, id) in row.iter().enumerate().filter(|(_, id)| **id == Stitches::YO) {
        let before =
            row[..at].iter().rev().find(|id| !over(**id)).map(|&id| stitches.get(id).yarn_in_front.1);
        let after = row[at + 1..].iter().find(|id| !over(**id)).map(|&id| stitches.get(id).yarn_in_front.0);
        let (before, after) = match (before, after) {
            (Some(before), Some(after)) => (before, after),
            (Some(one), None) | (None, Some(one)) => (one, one),
            (None, None) => continue,
        };
        debug_assert_eq!(*id, Stitches::YO);
        named[at] = Stitches::yarn_over_form(before, after);
    }
    named
}
