//! In what two lists differ.

use std::hash::Hash;

use similar::{Algorithm, DiffOp, capture_diff_slices};

/// Lists that differ over longer stretches than these, the lengths of both multiplied, are not searched for the fewest
/// changes: that takes time with the square of what differs.
const MOST: usize = 4_000 * 4_000;

/// The fewest changes that make one list of the other; where they differ over too long a stretch, that stretch is one.
pub(super) fn operations<T: Eq + Hash + Ord>(left: &[T], right: &[T]) -> Vec<DiffOp> {
    let same = |(one, other): &(&T, &T)| one == other;
    let before = left.iter().zip(right).take_while(same).count();
    let (left_rest, right_rest) =
        (left.get(before..).unwrap_or_default(), right.get(before..).unwrap_or_default());
    let behind = left_rest.iter().rev().zip(right_rest.iter().rev()).take_while(same).count();
    let (old_len, new_len) = (left_rest.len() - behind, right_rest.len() - behind);
    if old_len.saturating_mul(new_len) <= MOST {
        return capture_diff_slices(Algorithm::RawMyers, left, right);
    }
    let equal = |old_index: usize, new_index: usize, len: usize| DiffOp::Equal { old_index, new_index, len };
    [
        equal(0, 0, before),
        DiffOp::Replace { old_index: before, old_len, new_index: before, new_len },
        equal(before + old_len, before + new_len, behind),
    ]
    .into_iter()
    .filter(|operation| !operation.old_range().is_empty() || !operation.new_range().is_empty())
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lists_that_differ_all_along_are_one_difference() {
        let list = |middle: char, count: usize| -> Vec<char> {
            [vec!['a'; 2], vec![middle; count], vec!['z'; 3]].concat()
        };
        let (short, other) = (list('k', 2), list('p', 3));
        let replaced = |from: usize, to: usize| DiffOp::Replace {
            old_index: 2,
            old_len: from,
            new_index: 2,
            new_len: to,
        };
        let changes = |left: &[char], right: &[char]| -> Vec<DiffOp> {
            let all = operations(left, right);
            all.into_iter().filter(|one| !matches!(one, DiffOp::Equal { .. })).collect()
        };
        assert_eq!(changes(&short, &other), [replaced(2, 3)]);
        assert_eq!(changes(&list('k', 400_000), &list('p', 500_000)), [replaced(400_000, 500_000)]);
        assert_eq!(operations(&list('k', 400_000), &list('k', 400_000)).len(), 1);
    }
}
