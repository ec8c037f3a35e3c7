//! Which row of the one pattern stands beside which of the other.

use std::ops::Range;

use similar::{Algorithm, DiffOp, capture_diff_slices};

use super::lines::Lines;
use super::{stitches, told};
use crate::problem::Finding;

/// Compares the rows of two patterns.
pub(super) fn compare(left: &Lines<'_>, right: &Lines<'_>, findings: &mut Vec<Finding>) {
    let mut alike = stitches::Alike::default();
    let mut sides_told = false;
    for pair in beside(left, right) {
        match pair {
            (Some(one), Some(two)) => {
                if let (Some(a), Some(b)) = (left.lines.get(one), right.lines.get(two)) {
                    // Rows that stand otherwise after a row too many do so for that reason alone.
                    if a.row.side != b.row.side && one == two && !sides_told {
                        sides_told = true;
                        findings.push(told::sides(left, a, right, b));
                    }
                    stitches::compare(left, a, right, b, &mut alike, findings);
                }
            }
            (Some(one), None) => {
                findings.extend(left.lines.get(one).map(|line| told::row(left, line, right)))
            }
            (None, Some(two)) => {
                findings.extend(right.lines.get(two).map(|line| told::row(right, line, left)))
            }
            (None, None) => {}
        }
    }
    findings.extend(alike.told(left, right));
}

/// Rows in pairs: each by its place in the order, unless fewer rows differ where some are taken as missing.
fn beside(left: &Lines<'_>, right: &Lines<'_>) -> Vec<(Option<usize>, Option<usize>)> {
    let (one, two) = (keys(left), keys(right));
    let in_order = one.iter().zip(&two).filter(|(a, b)| a != b).count() + one.len().abs_diff(two.len());
    let operations = capture_diff_slices(Algorithm::RawMyers, &one, &two);
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

/// A number for each different row of a pattern.
fn keys<'a>(lines: &'a Lines<'_>) -> Vec<&'a [String]> {
    lines.lines.iter().map(|line| line.looks.as_slice()).collect()
}
