//! Where the stitches of two rows differ.

use similar::DiffOp;

use super::diff;
use super::lines::{Line, Lines};
use super::told::{self, Stretch};
use crate::place::Place;
use crate::problem::Finding;

/// Stitches that look alike and are worked otherwise, met so far.
#[derive(Default)]
pub(super) struct Alike {
    pairs: Vec<Pair>,
}

/// Two such stitches: where they first stand, and how often.
pub(super) struct Pair {
    pub(super) left: String,
    pub(super) right: String,
    pub(super) row: u32,
    pub(super) stitch: usize,
    pub(super) place: Place,
    pub(super) times: usize,
}

/// Compares two rows; what only looks alike is gathered, for one note each. Gives how the one becomes the other.
pub(super) fn compare(
    left: &Lines<'_>,
    one: &Line<'_>,
    right: &Lines<'_>,
    two: &Line<'_>,
    alike: &mut Alike,
    findings: &mut Vec<Finding>,
) -> Vec<DiffOp> {
    let operations = operations(&one.looks, &two.looks);
    let mut differences: Vec<Difference> = Vec::new();
    for operation in &operations {
        let (old, new) = (operation.old_range(), operation.new_range());
        if let DiffOp::Equal { .. } = operation {
            for (at, with) in old.zip(new) {
                alike.see(one, at, two, with);
            }
            continue;
        }
        let stretch = Stretch { left: old, right: new };
        let at = told::first_worked(one, &stretch.left) + 1;
        let found = told::stitches(left, one, right, two, &stretch);
        match differences.iter_mut().find(|difference| difference.is_of(&found)) {
            Some(difference) => difference.again.push(at),
            None => differences.push(Difference { found, many: stretch.left.len() > 1, again: Vec::new() }),
        }
    }
    findings.extend(differences.into_iter().map(Difference::told));
    operations
}

/// A difference, and where a repeat that is worked again has it again.
struct Difference {
    found: Finding,
    /// Whether several stitches differ.
    many: bool,
    /// Where it begins again, by the stitch as worked.
    again: Vec<usize>,
}

impl Difference {
    /// Whether another difference is the same cell, or the same words, worked once more.
    fn is_of(&self, other: &Finding) -> bool {
        let Finding { place, found, expected, help, .. } = &self.found;
        (found, expected, help, place) == (&other.found, &other.expected, &other.help, &other.place)
    }

    fn told(self) -> Finding {
        let Self { mut found, many, again } = self;
        if !again.is_empty() {
            found.message.truncate(found.message.trim_end_matches('.').len());
            found.message += &told::again(many, &again);
        }
        found
    }
}

/// What differs: each stitch against the one at its place, unless fewer differ where some are taken as missing.
fn operations(left: &[String], right: &[String]) -> Vec<DiffOp> {
    let moved = diff::operations(left, right);
    let changes: usize = moved
        .iter()
        .filter(|operation| !matches!(operation, DiffOp::Equal { .. }))
        .map(|operation| operation.old_range().len().max(operation.new_range().len()))
        .sum();
    let in_place = left.iter().zip(right).filter(|(one, two)| one != two).count();
    if left.len() != right.len() || in_place > changes {
        return in_order(moved, left, right);
    }
    let pairs: Vec<bool> = left.iter().zip(right).map(|(one, two)| one == two).collect();
    let mut at = 0;
    let runs = pairs.chunk_by(|one, two| one == two).map(|run| {
        let (index, len) = (at, run.len());
        at += len;
        match run.first() {
            Some(true) => DiffOp::Equal { old_index: index, new_index: index, len },
            _ => DiffOp::Replace { old_index: index, old_len: len, new_index: index, new_len: len },
        }
    });
    runs.collect()
}

/// Moves a stitch too many or too few in a run of its like to the end of the run: there a reader who follows both
/// rows stitch by stitch first meets the difference.
fn in_order(operations: Vec<DiffOp>, left: &[String], right: &[String]) -> Vec<DiffOp> {
    let mut ordered = Vec::with_capacity(operations.len());
    let mut rest = operations.into_iter().peekable();
    while let Some(operation) = rest.next() {
        let (row, from, count) = match operation {
            DiffOp::Insert { new_index, new_len, .. } => (right, new_index, new_len),
            DiffOp::Delete { old_index, old_len, .. } => (left, old_index, old_len),
            other => {
                ordered.push(other);
                continue;
            }
        };
        let after = match rest.peek() {
            Some(&DiffOp::Equal { len, .. }) => len,
            _ => 0,
        };
        let same = |step: &usize| row.get(from + step) == row.get(from + count + step);
        let moved = (0..after).take_while(same).count();
        let (old_index, new_index) = (operation.old_range().start, operation.new_range().start);
        if moved > 0 {
            ordered.push(DiffOp::Equal { old_index, new_index, len: moved });
        }
        let (old_index, new_index) = (old_index + moved, new_index + moved);
        ordered.push(match operation {
            DiffOp::Insert { new_len, .. } => DiffOp::Insert { old_index, new_index, new_len },
            _ => DiffOp::Delete { old_index, old_len: count, new_index },
        });
        if let Some(next @ DiffOp::Equal { .. }) = rest.next_if(|_| moved > 0) {
            let (old_index, new_index) = (next.old_range().start + moved, next.new_range().start + moved);
            ordered.push(DiffOp::Equal { old_index, new_index, len: after - moved });
        }
    }
    ordered
}

impl Alike {
    fn see(&mut self, one: &Line<'_>, at: usize, two: &Line<'_>, with: usize) {
        let (Some(left), Some(right)) = (one.names.get(at), two.names.get(with)) else { return };
        if left == right {
            return;
        }
        match self.pairs.iter_mut().find(|pair| pair.left == *left && pair.right == *right) {
            Some(pair) => pair.times += 1,
            None => self.pairs.push(Pair {
                left: left.clone(),
                right: right.clone(),
                row: one.row.number,
                stitch: one.worked(at) + 1,
                place: one.row.place_of(one.worked(at)),
                times: 1,
            }),
        }
    }

    /// A note for each pair of stitches that look alike.
    pub(super) fn told(self, left: &Lines<'_>, right: &Lines<'_>) -> impl Iterator<Item = Finding> {
        self.pairs.into_iter().map(|pair| told::alike(left.called, right.called, &pair))
    }
}
