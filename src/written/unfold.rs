//! A whole pattern written out again: every row that its lines tell, stitch by stitch.

use std::borrow::Cow;

use super::growth::may_grow;
use super::{Again, Extent, Item, Label, Line, Work, Written, expand, gives, grown};
use crate::stitch::{StitchId, Stitches};

/// A row as the lines tell it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unfolded {
    /// Its number.
    pub number: u32,
    /// Index of the line that tells it.
    pub line: usize,
    /// What is worked.
    pub stitches: Vec<StitchId>,
    /// Loops it leaves.
    pub makes: u32,
}

/// Rows beyond any pattern: wild row numbers are not followed up.
const MOST_ROWS: u32 = 100_000;

/// Every row of the lines, worked one after the other on this cast-on.
///
/// None where a row is missing or told by none, or does not use exactly the loops of the row before.
pub fn unfold(written: &Written, cast_on: u32) -> Option<Vec<Unfolded>> {
    let told = Told::of(&written.lines)?;
    let mut loops = cast_on;
    let mut rows = Vec::new();
    for number in told.first..=told.last {
        let (line, items) = told.items(written, number)?;
        let stitches = expand(&items, &written.stitches, loops).ok()?;
        if written.stitches.uses(&stitches) != loops {
            return None;
        }
        loops = written.stitches.makes(&stitches);
        rows.push(Unfolded { number, line, stitches, makes: loops });
    }
    Some(rows)
}

/// A row that lines should tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown<'r> {
    /// What is worked.
    pub stitches: &'r [StitchId],
    /// Loops it uses.
    pub uses: u32,
    /// Loops it leaves.
    pub makes: u32,
}

/// Whether the lines, worked one after the other on this cast-on, give these rows and no others: what [`unfold`] says,
/// without writing them out.
pub fn tells<'r>(written: &Written, cast_on: u32, rows: impl ExactSizeIterator<Item = Shown<'r>>) -> bool {
    let Some(told) = Told::of(&written.lines) else { return false };
    if usize::try_from(told.last - told.first).ok().and_then(|rows| rows.checked_add(1)) != Some(rows.len()) {
        return false;
    }
    let mut loops = cast_on;
    // Rows recur, and so do their words: what was proved once is known.
    let mut proved: Vec<(&[Item], &[StitchId])> = Vec::with_capacity(written.lines.len());
    (told.first..=told.last).zip(rows).all(|(number, row)| {
        let before = std::mem::replace(&mut loops, row.makes);
        let Some((_, items)) = told.items(written, number).filter(|_| row.uses == before) else {
            return false;
        };
        let Cow::Borrowed(items) = items else {
            return gives(&items, &written.stitches, before, row.stitches);
        };
        if proved.iter().any(|(own, of)| std::ptr::eq(*own, items) && std::ptr::eq(*of, row.stitches)) {
            return true;
        }
        proved.push((items, row.stitches));
        gives(items, &written.stitches, before, row.stitches)
    })
}

/// Which line tells each row.
struct Told {
    first: u32,
    last: u32,
    /// By their place behind the first: rows with a line of their own, or one they share with their neighbours.
    own: Vec<Option<usize>>,
    /// The sentences for many rows.
    every: Vec<usize>,
}

impl Told {
    fn of(lines: &[Line]) -> Option<Self> {
        let named = |line: &Line| match line.label {
            Label::Row { number, .. } | Label::Every { first: number, .. } => (number, number),
            Label::Rows { first, last, .. } => (first, last),
        };
        let first = lines.iter().map(|line| named(line).0).min()?;
        let last = lines.iter().map(|line| named(line).1).max()?;
        let rows = last.checked_sub(first).filter(|rows| *rows < MOST_ROWS)?;
        let mut told = Self { first, last, own: vec![None; rows as usize + 1], every: Vec::new() };
        for (index, line) in lines.iter().enumerate() {
            if matches!(line.label, Label::Every { .. }) {
                told.every.push(index);
                continue;
            }
            let (from, to) = named(line);
            if from <= to {
                told.own[(from - first) as usize..=(to - first) as usize].fill(Some(index));
            }
        }
        // A sentence for the rows between others is true of the one after the last as well, unless it begins with
        // them: then they stand before the others.
        let after = told.last.saturating_add(1);
        let begins = told.line(lines, told.first);
        if told.line(lines, after).is_some_and(|line| Some(line) != begins) {
            told.last = after;
        }
        Some(told)
    }

    fn line(&self, lines: &[Line], row: u32) -> Option<usize> {
        let true_of = |index: &usize| match lines.get(*index).map(|line| &line.label) {
            Some(Label::Every { first, except, .. }) => {
                *first <= row && (row - first).is_multiple_of(2) && !except.contains(&row)
            }
            _ => false,
        };
        let own =
            row.checked_sub(self.first).and_then(|place| self.own.get(place as usize).copied()).flatten();
        own.or_else(|| self.every.iter().copied().find(true_of))
    }

    /// The line that tells a row, and its words, found through all the lines that refer to others.
    fn items<'w>(&self, written: &'w Written, row: u32) -> Option<(usize, Cow<'w, [Item]>)> {
        let line = self.line(&written.lines, row)?;
        let told = written.lines.get(line)?;
        let begins = match told.label {
            Label::Row { number, .. } | Label::Rows { first: number, .. } => Some(number),
            Label::Every { .. } => None,
        };
        match &told.work {
            Work::Items(items) => Some((line, Cow::Borrowed(items))),
            Work::InTurn { knit_first, .. } => {
                let stitch =
                    if (row - begins?).is_multiple_of(2) == *knit_first { Stitches::K } else { Stitches::P };
                Some((line, Cow::Owned(vec![Item::Run { stitch, extent: Extent::ToLast(0) }])))
            }
            Work::Again(again) => {
                let begins = begins?;
                let (source, workings) = again.source(row.checked_sub(begins)?)?;
                // Only rows before can be worked again, so that this ends.
                let (_, items) = self.items(written, Some(source).filter(|&source| source < begins)?)?;
                if !may_grow(&again.growth, source) {
                    return Some((line, items));
                }
                let items = grown(&items, &again.growth, source, workings, &written.stitches)?;
                Some((line, Cow::Owned(items)))
            }
        }
    }
}

impl Again {
    /// The row that the row at this index of the line works again, and how many workings after the first one it is.
    fn source(&self, index: u32) -> Option<(u32, u32)> {
        let rows = self.last.checked_sub(self.first)?.checked_add(1)?;
        let working = index / rows;
        (working < self.times).then(|| (self.first + index % rows, working + 1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::{Hand, Side, Worked};

    /// Lines on 4 stitches.
    fn written(lines: Vec<Line>) -> Written {
        Written {
            title: String::new(),
            worked: Worked::Flat,
            hand: Hand::default(),
            cast_on: 4,
            multiple: None,
            sizes: Vec::new(),
            lines,
            notes: Vec::new(),
            stitches: Stitches::built_in(),
        }
    }

    #[test]
    fn only_rows_before_are_worked_again() {
        let knit = Work::Items(vec![Item::Run { stitch: Stitches::K, extent: Extent::ToLast(0) }]);
        let again = |first, last| Work::Again(Again { first, last, times: 1, growth: Vec::new() });
        let row = |number| Label::Row { number, side: Side::Rs };
        for (source, told) in [(1, true), (2, false), (3, false)] {
            let lines = [(row(1), knit.clone()), (row(2), again(source, source)), (row(3), knit.clone())];
            let lines = lines
                .into_iter()
                .map(|(label, work)| Line { label, work, count: Some(4), count_changes: false })
                .collect();
            assert_eq!(unfold(&written(lines), 4).is_some(), told, "Row 2 as Row {source}");
        }
    }
}
