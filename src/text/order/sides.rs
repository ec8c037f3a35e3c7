//! The sides of rows, and in which way they are worked, as their labels say it.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{MOST_ROWS, Own, place};
use crate::pattern::{Side, Worked};
use crate::problem::Finding;
use crate::text::faults;
use crate::text::find::{Draft, RowText};
use crate::words::rows::label::{Every, Rows, names_side, rows_named};

/// The first row of another kind than those before it, a row among rounds, or a WS row where all is worked in the round, a
/// round where all is worked flat: a pattern is worked in one way.
pub(super) fn rows_and_rounds(file: &Arc<str>, draft: &Draft, worked: Worked) -> Option<Finding> {
    let labelled = || draft.rows.iter().filter_map(|row| Some((row, row.label.as_ref()?)));
    let kind = |row: &RowText| {
        let said = row.line.text.get(..row.work).unwrap_or_default();
        said.split(|c: char| !c.is_alphanumeric()).find_map(rows_named)
    };
    let first = labelled().find_map(|(row, _)| kind(row));
    let other = labelled().find(|(row, _)| kind(row).is_some_and(|kind| Some(kind) != first));
    let behind = || labelled().find(|(_, label)| label.states(Side::Ws));
    // "Worked flat." above rounds.
    let round = || labelled().find(|(_, label)| label.worked == Worked::Round);
    let (flat, (row, _)) = match worked {
        Worked::Round => (false, other.or_else(behind)?),
        Worked::Flat => (other.is_none(), other.or_else(round)?),
    };
    let label = row.line.text.get(..row.work).unwrap_or_default();
    Some(match flat {
        true => faults::round_worked_flat(place(file, row), label),
        false => faults::rows_and_rounds(place(file, row), label),
    })
}

/// Remarks in labels that name a side in words that can't be followed, "(odd rows are WS)".
pub(super) fn sides_unread(file: &Arc<str>, draft: &Draft) -> Vec<Finding> {
    let labelled = draft.rows.iter().filter_map(|row| Some((row, row.label.as_ref()?)));
    let remarks = labelled.flat_map(|(row, label)| label.remarks.iter().map(move |at| (row, *at)));
    let told = remarks.filter_map(|(row, (start, end))| {
        let text = row.line.text.get(start..end).filter(|text| names_side(text))?;
        Some(faults::side_unread(row.line.place(file, start), text))
    });
    told.collect()
}

/// Which side each row shows.
pub(super) struct Sides {
    worked: Worked,
    /// A row and its side; the others take turns.
    base: (u32, Side),
}

impl Sides {
    pub(super) fn of(draft: &Draft, worked: Worked, first_side: Option<Side>) -> Self {
        let stated = draft.rows.iter().filter_map(|row| row.label.as_ref()).find_map(|label| {
            if let Some(&stated) = label.sides.first() {
                return Some(stated);
            }
            let number = *label.numbers.first()?;
            let every = label.every.as_ref().and_then(|every| match every.kind {
                Rows::Of(side) => Some(side),
                _ => None,
            });
            Some((number, label.side.or(every)?))
        });
        Self { worked, base: stated.unwrap_or((1, first_side.unwrap_or_default())) }
    }

    pub(super) fn of_row(&self, number: u32) -> Side {
        let (base, side) = self.base;
        match self.worked {
            Worked::Round => Side::Rs,
            Worked::Flat if number.abs_diff(base).is_multiple_of(2) => side,
            Worked::Flat => side.other(),
        }
    }
}

/// The rows that a sentence for many is for: from the first one named up to the last row told, and beyond it where
/// it tells of the return row of that one.
pub(super) fn numbers_of(
    every: &Every,
    row: &RowText,
    told: &BTreeMap<u32, Own>,
    sides: &Sides,
    worked: Worked,
) -> Vec<u32> {
    let named = row.label.as_ref().and_then(|label| label.numbers.first().copied());
    let side = |number: u32| (worked == Worked::Flat).then(|| sides.of_row(number));
    let is_one = |number: u32| every.is_of_kind(number, side(number), named);
    // A set-up row stands before all that the sentence is about.
    let numbered = || told.keys().copied().filter(|number| *number > 0);
    let (least, most) = match (numbered().next(), numbered().next_back()) {
        (Some(least), Some(most)) => (least, most),
        // The sentence is all there is: one row, or a row of each side.
        _ => (1, if worked == Worked::Flat && every.kind == Rows::All { 2 } else { 1 }),
    };
    if most - least > MOST_ROWS as u32 {
        return Vec::new();
    }
    // "Odd rows: knit" before Row 2 tells Row 1 too.
    let begins = if least == 2 && is_one(1) { 1 } else { least };
    let first = named.unwrap_or(begins);
    // The sentence tells the row that follows each other one, not the one before it.
    let follows = !is_one(begins);
    let second = matches!(every.kind, Rows::Of(_) | Rows::Alternate | Rows::Even | Rows::Odd);
    let end = if follows && second && is_one(most + 1) { most + 1 } else { most };
    let end = every.last.filter(|last| *last >= first && last - first <= MOST_ROWS as u32).unwrap_or(end);
    (first.min(end)..=end).filter(|&number| is_one(number) && !every.except.contains(&number)).collect()
}
