//! Which row of the one pattern stands beside which of the other.

use std::ops::Range;

use similar::DiffOp;

use super::beside::Beside;
use super::lines::Lines;
use super::{diff, stitches, told};
use crate::problem::Finding;

/// Compares the rows of two patterns, and puts them beside each other.
pub(super) fn compare(left: &Lines<'_>, right: &Lines<'_>, findings: &mut Vec<Finding>) -> Vec<Beside> {
    let mut alike = stitches::Alike::default();
    let mut sides_told = false;
    let pairs = pairs(left, right).into_iter();
    let rows = pairs.map(|(one, two)| {
        let one = one.and_then(|at| Some((at, left.lines.get(at)?)));
        let two = two.and_then(|at| Some((at, right.lines.get(at)?)));
        match (one, two) {
            (Some((one, a)), Some((two, b))) => {
                // Rows that stand otherwise after a row too many do so for that reason alone.
                if a.row.side != b.row.side && one == two && !sides_told {
                    sides_told = true;
                    findings.push(told::sides(left, a, right, b));
                }
                let operations = stitches::compare(left, a, right, b, &mut alike, findings);
                Beside::both((left, a), (right, b), &operations)
            }
            (Some((_, line)), None) => {
                findings.push(told::row(left, line, right));
                Beside::left_alone(left, line)
            }
            (None, Some((_, line))) => {
                findings.push(told::row(right, line, left));
                Beside::right_alone(right, line)
            }
            (None, None) => Beside::default(),
        }
    });
    let rows = rows.collect();
    findings.extend(alike.told(left, right));
    rows
}

/// Rows in pairs: each by its place in the order, unless fewer rows differ where some are taken as missing.
fn pairs(left: &Lines<'_>, right: &Lines<'_>) -> Vec<(Option<usize>, Option<usize>)> {
    let (one, two) = (looks(left), looks(right));
    let in_order = one.iter().zip(&two).filter(|(a, b)| a != b).count() + one.len().abs_diff(two.len());
    let operations = diff::operations(&one, &two);
    let moved: usize = operations
        .iter()
        .map(|operation| match *operation {
            DiffOp::Equal { .. } => 0,
            DiffOp::Delete { old_len, .. } => old_len,
            DiffOp::Insert { new_len, .. } => new_len,
            DiffOp::Replace { old_len, new_len, .. } => old_len.max(new_len),
        })
        .sum();
    if in_order <= moved {
        return side_by_side(0..one.len(), 0..two.len()).collect();
    }
    operations
        .iter()
        .flat_map(|operation| side_by_side(operation.old_range(), operation.new_range()))
        .collect()
}

/// The rows of two stretches in pairs; what the longer one has more stays alone.
fn side_by_side(
    left: Range<usize>,
    right: Range<usize>,
) -> impl Iterator<Item = (Option<usize>, Option<usize>)> {
    let more = left.len().max(right.len());
    let at = |range: &Range<usize>, index: usize| Some(range.start + index).filter(|at| range.contains(at));
    (0..more).map(move |index| (at(&left, index), at(&right, index)))
}

/// How each row of a pattern looks: by that rows are found in the other.
fn looks<'a>(lines: &'a Lines<'_>) -> Vec<&'a [String]> {
    lines.lines.iter().map(|line| line.looks.as_slice()).collect()
}
