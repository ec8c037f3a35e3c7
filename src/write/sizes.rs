//! Counts by size: what each row makes in every size of the pattern.

use crate::written::{Label, Line, Written, expand};

/// For each line, the stitches it makes in each size, in the order of the sizes. Empty for a line whose count is
/// not the same in all its rows, and for all of them where the pattern has no sizes or its rows can't be worked in
/// one of them.
pub(super) fn counts(written: &Written) -> Vec<Vec<u32>> {
    let mut counts = vec![Vec::new(); written.lines.len()];
    for size in &written.sizes {
        match count_size(written, size.cast_on) {
            Some(made) => {
                for (counts, made) in counts.iter_mut().zip(made) {
                    counts.extend(made);
                }
            }
            None => return vec![Vec::new(); written.lines.len()],
        }
    }
    for counts in &mut counts {
        if counts.len() < written.sizes.len() {
            counts.clear();
        }
    }
    counts
}

/// Rows beyond any pattern: wild row numbers are not followed up.
const MOST_ROWS: u32 = 100_000;

/// What each line makes on this cast-on: nothing for a line that makes now one number, now another.
fn count_size(written: &Written, cast_on: u32) -> Option<Vec<Option<u32>>> {
    let first = written.lines.iter().map(first_row).min()?;
    let last = written.lines.iter().map(first_row).max().filter(|last| last - first < MOST_ROWS)?;
    let mut made: Vec<Option<u32>> = vec![None; written.lines.len()];
    let mut varies = vec![false; written.lines.len()];
    let mut loops = cast_on;
    for number in first..=last {
        let index = line_of(&written.lines, number)?;
        let row = expand(&written.lines.get(index)?.items, &written.stitches, loops).ok()?;
        if written.stitches.uses(&row) != loops {
            return None;
        }
        loops = written.stitches.makes(&row);
        varies[index] |= made[index].is_some_and(|before| before != loops);
        made[index] = Some(loops);
    }
    Some(made.into_iter().zip(varies).map(|(made, varies)| made.filter(|_| !varies)).collect())
}

fn first_row(line: &Line) -> u32 {
    match line.label {
        Label::Row { number, .. } => number,
        Label::Every { first, .. } => first,
    }
}

/// The line that a row is worked by: its own, else the sentence for its kind.
fn line_of(lines: &[Line], row: u32) -> Option<usize> {
    lines.iter().position(|line| matches!(line.label, Label::Row { number, .. } if number == row)).or_else(
        || {
            lines.iter().position(|line| {
                matches!(&line.label, Label::Every { first, except, .. }
                if *first <= row && (row - first).is_multiple_of(2) && !except.contains(&row))
            })
        },
    )
}
