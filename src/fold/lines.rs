//! A pattern into the lines that are printed.

use super::known::Folds;
use super::recur::{Step, recurring};
use super::sentence::{Sentence, sentence};
use super::widths::{self, Width};
use super::{closed_row, common, wording};
use crate::pattern::{Pattern, Worked};
use crate::stitch::{StitchId, Stitches};
use crate::written::{Again, Item, Label, Line, Work, Written, unfold};

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
    let folds = Folds::of(stitches);
    let rows: Vec<Folded> = pattern
        .rows
        .iter()
        .zip(common::repeats(pattern, &folds, options.nesting))
        .map(|(row, repeat)| {
            let worded = |row: &[StitchId]| {
                if options.yarn_overs_by_position { by_position(row, stitches) } else { row.to_vec() }
            };
            let wide = widths::others(row, &pattern.sizes, worded);
            let worded = worded(&row.stitches);
            let closed = closed_row(repeat, &worded, &folds, options.nesting);
            Folded { worded, wide, closed }
        })
        .collect();
    let usual = wording::each(pattern, &rows, options);
    let sentence = if options.one_sentence { sentence(pattern, &rows, options.nesting) } else { None };
    let each = each(pattern, &usual, sentence.as_ref());
    // The label of several rows names no side: it is known only where the sides take turns.
    let together = options.recurring && sides_take_turns(pattern);
    let steps = if together {
        let shared = wording::shared(pattern, &rows, &usual, options);
        let mut steps = recurring(pattern, &rows, &shared, sentence.as_ref());
        if !options.open {
            keep_usual(&mut steps, &shared, &usual);
        }
        steps
    } else {
        each.clone()
    };
    let lines = lines(pattern, &steps, sentence.as_ref());
    let mut written = Written {
        title: pattern.title.clone(),
        worked: pattern.worked,
        hand: pattern.hand,
        cast_on: pattern.cast_on,
        multiple: pattern.multiple,
        sizes: pattern.sizes.clone(),
        notes: pattern.notes.clone(),
        lines,
        stitches: stitches.clone(),
    };
    if together && !tells(&written, &rows) {
        written.lines = self::lines(pattern, &each, sentence.as_ref());
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
fn keep_usual(steps: &mut [Step], shared: &[Vec<Item>], usual: &[Vec<Item>]) {
    let referred: Vec<usize> = steps
        .iter()
        .filter_map(|step| match step {
            Step::Again { source, rows, .. } => Some(*source..source + rows),
            _ => None,
        })
        .flatten()
        .collect();
    for step in steps {
        if let Step::Row(row, items) = step
            && shared.get(*row) == Some(items)
            && !referred.contains(row)
        {
            *items = usual.get(*row).unwrap_or(items).clone();
        }
    }
}

/// Whether the lines, worked on the pattern's own cast-on, give its rows. Rows that don't add up can't be told by
/// others.
fn tells(written: &Written, rows: &[Folded]) -> bool {
    unfold(written, written.cast_on).is_some_and(|told| {
        told.len() == rows.len() && told.iter().zip(rows).all(|(told, row)| told.stitches == row.worded)
    })
}

/// Every row on a line of its own, but for those of the sentence.
fn each(pattern: &Pattern, words: &[Vec<Item>], sentence: Option<&Sentence>) -> Vec<Step> {
    let together = |row: usize| sentence.is_some_and(|sentence| sentence.rows.contains(&row));
    let first = |row: usize| sentence.is_some_and(|sentence| sentence.rows.first() == Some(&row));
    let steps = (0..pattern.rows.len()).zip(words).filter_map(|(row, items)| match together(row) {
        true => first(row).then_some(Step::Sentence),
        false => Some(Step::Row(row, items.clone())),
    });
    steps.collect()
}

fn lines(pattern: &Pattern, steps: &[Step], sentence: Option<&Sentence>) -> Vec<Line> {
    let number = |row: usize| pattern.rows.get(row).map_or(0, |row| row.number);
    let makes = |row: usize| pattern.rows.get(row).map(|row| pattern.makes(row));
    let before = |row: usize| row.checked_sub(1).and_then(makes).unwrap_or(pattern.cast_on);
    let label = |first: usize, rows: usize| match (rows, pattern.rows.get(first)) {
        (1, Some(row)) => Label::Row { number: row.number, side: row.side },
        _ => Label::Rows { first: number(first), last: number(first + rows - 1) },
    };
    let line = |first: usize, rows: usize, work: Work| {
        let count = makes(first + rows - 1);
        Line { label: label(first, rows), work, count, count_changes: count != Some(before(first)) }
    };
    steps
        .iter()
        .filter_map(|step| match step {
            Step::Sentence => sentence.map(|sentence| sentence.line(pattern)),
            Step::Row(row, items) => Some(line(*row, 1, Work::Items(items.clone()))),
            Step::Alike { first, rows, items } => Some(line(*first, *rows, Work::Items(items.clone()))),
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
        })
        .collect()
}

/// A row as it will be worded.
pub(super) struct Folded {
    pub(super) worded: Vec<StitchId>,
    /// The same row at the other widths that its words must serve.
    pub(super) wide: Vec<Width>,
    pub(super) closed: Vec<Item>,
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
