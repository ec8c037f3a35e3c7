//! The line that most numbers of a column are on, by ones or by twos from row to row: those that are not on it were mistyped.

use foldhash::{HashMap, HashMapExt};

/// How numbers go from row to row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::chart) struct Line {
    /// From one row to the next: one or two, up or down.
    pub(in crate::chart) step: i64,
    /// The number of the row at place 0.
    start: i64,
}

impl Line {
    /// The line that at least two thirds of some numbers are on, and two of them. Each stands at the place of its row.
    pub(in crate::chart) fn of(numbers: impl Iterator<Item = (i64, u32)> + Clone) -> Option<Self> {
        const STEPS: [i64; 4] = [1, -1, 2, -2];
        // Hardly a chart has a number that is not on its line.
        let (one, next) = (numbers.clone().next()?, numbers.clone().nth(1)?);
        let through = |step: &i64| Self { step: *step, start: i64::from(one.1) - step * one.0 };
        let straight = STEPS.iter().map(through).find(|line| line.holds(next));
        if let Some(line) = straight.filter(|line| numbers.clone().all(|number| line.holds(number))) {
            return Some(line);
        }
        let mut lines: HashMap<(i64, i64), usize> = HashMap::new();
        let mut count = 0;
        for (place, number) in numbers {
            count += 1;
            for step in STEPS {
                *lines.entry((step, i64::from(number) - step * place)).or_default() += 1;
            }
        }
        // As many on two lines are on none for sure, but for two numbers, which are on one.
        let best = lines.into_iter().max_by_key(|((step, start), on)| (*on, -step.abs(), *step, *start));
        let ((step, start), on) = best?;
        (on >= 2 && 3 * on >= 2 * count).then_some(Self { step, start })
    }

    /// The number that belongs at a place.
    pub(in crate::chart) fn at(self, place: i64) -> i64 {
        self.start + self.step * place
    }

    /// Whether a number stands where it belongs.
    pub(in crate::chart) fn holds(self, (place, number): (i64, u32)) -> bool {
        self.at(place) == i64::from(number)
    }
}

/// The numbers of rows that go up and were mistyped, by their places among all, each with the number that belongs there: one or
/// two between numbers on their line, or the first or last if it breaks the order. Numbers that leave rows out are not.
pub(super) fn mistyped(numbers: &[(i64, u32)]) -> Vec<(usize, u32)> {
    let Some(line) = Line::of(numbers.iter().copied()).filter(|line| line.step > 0) else {
        return Vec::new();
    };
    let mut wrong = Vec::new();
    let mut from = 0;
    for run in numbers.chunk_by(|one, next| line.holds(*one) == line.holds(*next)) {
        let until = from + run.len();
        let number = |place: usize| numbers.get(place).map(|(_, number)| *number);
        let before = from.checked_sub(1).and_then(number);
        let after = number(until);
        let is_wrong = match (before, after) {
            _ if run.first().is_none_or(|first| line.holds(*first)) || run.len() > 2 => false,
            (Some(_), Some(_)) => true,
            (None, Some(after)) => run.len() == 1 && run[0].1 >= after,
            (Some(before), None) => run.len() == 1 && run[0].1 <= before,
            (None, None) => false,
        };
        if is_wrong {
            wrong.extend(
                (from..until)
                    .zip(run)
                    .filter_map(|(at, (place, _))| Some((at, u32::try_from(line.at(*place)).ok()?))),
            );
        }
        from = until;
    }
    wrong
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(numbers: &[u32]) -> Vec<(i64, u32)> {
        (0..).zip(numbers.iter().copied()).collect()
    }

    #[test]
    fn the_line_is_that_of_most_numbers() {
        for (numbers, line) in [
            (&[4, 3, 2, 1][..], Some((-1, 4))),
            (&[1, 3, 5, 77, 9, 11], Some((2, 1))),
            (&[4, 3, 2, 7], Some((-1, 4))),
            (&[5, 4], Some((-1, 5))),
            // Two on one line and two on another.
            (&[1, 2, 2, 3], None),
            (&[1, 3, 2, 4], None),
            (&[1, 3, 7, 9], None),
            (&[5, 28], None),
            (&[7], None),
        ] {
            let found = Line::of(placed(numbers).into_iter());
            assert_eq!(found, line.map(|(step, start)| Line { step, start }), "{numbers:?}");
        }
    }

    #[test]
    fn what_is_off_the_line_was_mistyped() {
        for (numbers, wrong) in [
            (&[1, 3, 3, 4][..], &[(1, 2)][..]),
            (&[1, 3, 5, 77, 9, 11], &[(3, 7)]),
            (&[1, 3, 5, 8, 9, 11], &[(3, 7)]),
            (&[1, 2, 4, 4, 5, 6], &[(2, 3)]),
            (&[1, 2, 4, 3, 5, 6], &[(2, 3), (3, 4)]),
            (&[2, 2, 3, 4], &[(0, 1)]),
            (&[1, 2, 3, 1], &[(3, 4)]),
            // Rows are left out: behind them the numbers go on, or it is the last row.
            (&[1, 2, 3, 6, 7, 8], &[]),
            (&[1, 2, 3, 4, 5, 9], &[]),
            (&[1, 3, 5, 7, 110], &[]),
            (&[3, 4], &[]),
        ] {
            assert_eq!(mistyped(&placed(numbers)), wrong, "{numbers:?}");
        }
    }
}
