//! Where a row repeats itself: every maximal repetition, by Main and Lorentz's divide and conquer.
//!
//! A repetition is a stretch in which each stitch equals the one a period later, at least two periods long; it is
//! maximal where it can be made longer at neither end. There are fewer of them than stitches (the runs theorem), and
//! every unit that stands twice in succession lies in one, so that no other unit need be looked at (M. G. Main and
//! R. J. Lorentz, "An O(n log n) algorithm for finding all repetitions in a string", 1984).

use crate::stitch::StitchId;

/// A maximal repetition of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct Repetition {
    /// Stitches of what is repeated; no part of it repeats to make it up.
    pub period: usize,
    /// Its first stitch.
    pub start: usize,
    /// The place after its last stitch; at least two periods on.
    pub end: usize,
}

/// Up to so many stitches, a place for each bit, a row is compared with itself at every period, at all places at once.
const SHORT: usize = 128;

/// Every maximal repetition of a row, those of short periods first. Runs of one stitch are left out.
pub(super) fn repetitions(row: &[StitchId]) -> Vec<Repetition> {
    if row.len() <= SHORT { by_period(row) } else { by_halves(row) }
}

/// Where the least turn of a unit begins: units that are turns of each other are, from there on, the same.
pub(super) fn least_turn(unit: &[StitchId]) -> usize {
    let n = unit.len();
    // Two turns are compared, `same` stitches so far; the one that is greater there, and every turn that begins in
    // what was compared, is out.
    let (mut one, mut other, mut same) = (0, 1, 0);
    while one < n && other < n && same < n {
        let (left, right) = (unit[(one + same) % n], unit[(other + same) % n]);
        if left == right {
            same += 1;
            continue;
        }
        if left > right {
            one += same + 1
        } else {
            other += same + 1
        }
        if one == other {
            other += 1;
        }
        same = 0;
    }
    one.min(other)
}

/// The places of a short row where a kind of stitch stands, and where its runs begin but for the first run of the row.
struct Places {
    stitch: StitchId,
    stands: u128,
    begins: u128,
}

/// The repetitions of a short row, period by period.
fn by_period(row: &[StitchId]) -> Vec<Repetition> {
    let (kinds, ends) = places(row);
    let mut found: Vec<Repetition> = Vec::new();
    let mut periods = periods(&kinds);
    while periods != 0 {
        let period = periods.trailing_zeros() as usize;
        periods &= periods - 1;
        if period > row.len() / 2 {
            break;
        }
        // The places whose stitch stands a period on too.
        let mut same = kinds.iter().fold(0, |same, kind| same | (kind.stands & (kind.stands >> period)));
        // Those from which a whole period of such places goes on.
        let mut long = 1;
        while long < period && same != 0 {
            let more = long.min(period - long);
            same &= same >> more;
            long += more;
        }
        while same != 0 {
            let start = same.trailing_zeros();
            let beyond = (same >> start).trailing_ones();
            // The carry clears them.
            same &= same.wrapping_add(1 << start);
            let (start, beyond) = (start as usize, beyond as usize);
            let end = start + beyond - 1 + 2 * period;
            let of_one_stitch = start + (ends >> start).trailing_zeros() as usize >= end - 1;
            // A period that is a shorter one several times over goes from the same first to the same last stitch.
            if !of_one_stitch && found.iter().all(|one| (one.start, one.end) != (start, end)) {
                found.push(Repetition { period, start, end });
            }
        }
    }
    found
}

/// The places of each kind of stitch in a short row, and those where a run ends.
fn places(row: &[StitchId]) -> (Vec<Places>, u128) {
    let mut kinds: Vec<Places> = Vec::new();
    let (mut start, mut ends) = (0, 0);
    for run in row.chunk_by(|one, next| one == next) {
        let stands = (u128::MAX >> (SHORT - run.len())) << start;
        let begins = if start > 0 { 1 << start } else { 0 };
        match kinds.iter_mut().find(|kind| kind.stitch == run[0]) {
            Some(kind) => (kind.stands, kind.begins) = (kind.stands | stands, kind.begins | begins),
            None => kinds.push(Places { stitch: run[0], stands, begins }),
        }
        start += run.len();
        ends |= 1 << (start - 1);
    }
    (kinds, ends)
}

/// The periods that a row can have, a bit for each: a unit of more than one stitch has a place where one run ends and
/// another begins, and so has the unit after it, a period on. A row in which no such pair stands twice repeats nothing.
fn periods(kinds: &[Places]) -> u128 {
    let mut periods = 0;
    for kind in kinds {
        let mut begins = kind.begins;
        while begins != 0 {
            let first = begins.trailing_zeros();
            begins &= begins - 1;
            periods |= begins >> first;
        }
    }
    periods
}

/// The repetitions of a row of any length.
fn by_halves(row: &[StitchId]) -> Vec<Repetition> {
    let n = row.len();
    let mut found = Vec::new();
    across(row, 0, n, &mut found);
    found.retain(|&Repetition { period, start, end }| {
        (start == 0 || row[start - 1] != row[start - 1 + period])
            && (end == n || row[end] != row[end - period])
    });
    // A period that is a shorter one several times over is found from the same first to the same last stitch.
    found.sort_unstable_by_key(|one| (one.start, one.end, one.period));
    found.dedup_by_key(|one| (one.start, one.end));
    found.retain(|one| one.period > 1);
    found.sort_unstable();
    found
}

/// The repetitions between two places, as far as they reach there: those in either half, and those that lie across
/// the middle.
fn across(row: &[StitchId], from: usize, to: usize, found: &mut Vec<Repetition>) {
    if to - from < 2 {
        return;
    }
    let middle = from + (to - from) / 2;
    across(row, from, middle, found);
    across(row, middle, to, found);
    let (left, right) = (&row[from..middle], &row[middle..to]);
    for (period, back, forth) in onward(right.iter(), left.iter().rev()) {
        found.push(Repetition { period, start: middle - back, end: middle + period + forth });
    }
    for (period, forth, back) in onward(left.iter().rev(), right.iter()) {
        found.push(Repetition { period, start: middle - period - back, end: middle + forth });
    }
}

/// The periods that lie on the near side of a middle, both sides read away from it: each with how far the other side,
/// and how far the near side beyond the period, goes on as it does a period on.
fn onward<'a>(
    near: impl DoubleEndedIterator<Item = &'a StitchId> + ExactSizeIterator + Clone,
    far: impl DoubleEndedIterator<Item = &'a StitchId> + ExactSizeIterator + Clone,
) -> impl Iterator<Item = (usize, usize, usize)> {
    let (n, m) = (near.len(), far.len());
    // How far the near side equals itself a period on.
    let ahead = prefixes(&near.clone().map(|&id| Some(id)).collect::<Vec<_>>());
    // How far the far side equals what comes before the end of a period, read towards and past the middle.
    let whole = far.clone().map(|&id| Some(id)).chain([None]);
    let whole: Vec<Option<StitchId>> =
        whole.chain(near.rev().map(|&id| Some(id))).chain(far.map(|&id| Some(id))).collect();
    let behind = prefixes(&whole);
    (1..=n).filter_map(move |period| {
        let forth = ahead.get(period).copied().unwrap_or(0);
        let back = behind.get(m + 1 + n - period).copied().unwrap_or(0);
        (back + forth >= period).then_some((period, back, forth))
    })
}

/// For each place of a text how far the text from there on equals the text from its beginning (the Z function).
fn prefixes(text: &[Option<StitchId>]) -> Vec<usize> {
    let n = text.len();
    let mut lengths = vec![0; n];
    // The stretch known to equal the beginning that reaches furthest.
    let (mut start, mut end) = (0, 0);
    for at in 1..n {
        let mut length = if at < end { lengths[at - start].min(end - at) } else { 0 };
        while at + length < n && text[length] == text[at + length] {
            length += 1;
        }
        if at + length > end {
            (start, end) = (at, at + length);
        }
        lengths[at] = length;
    }
    lengths
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::stitch::Stitches;

    fn row(letters: &str) -> Vec<StitchId> {
        let mut stitches = Stitches::built_in();
        let name = |letter| match letter {
            'a' => "k",
            'b' => "p",
            _ => "yo",
        };
        letters.chars().map(|letter| stitches.find(name(letter)).unwrap()).collect()
    }

    /// By the definition, every period and every place.
    fn by_hand(row: &[StitchId]) -> Vec<Repetition> {
        let n = row.len();
        let has = |start: usize, end: usize, period: usize| {
            (start..end - period).all(|at| row[at] == row[at + period])
        };
        let mut all = Vec::new();
        for period in 2..=n / 2 {
            for start in 0..n {
                for end in start + 2 * period..=n {
                    let longer = (start > 0 && has(start - 1, end, period))
                        || (end < n && has(start, end + 1, period));
                    let shorter =
                        (1..period).any(|shorter| period % shorter == 0 && has(start, end, shorter));
                    if has(start, end, period) && !longer && !shorter {
                        all.push(Repetition { period, start, end });
                    }
                }
            }
        }
        all
    }

    /// Worked out by hand.
    #[test]
    fn repetitions_are_found_where_they_are() {
        let found = |letters: &str| {
            let found = repetitions(&row(letters));
            found.iter().map(|one| (one.period, one.start, one.end)).collect::<Vec<_>>()
        };
        assert_eq!(found("abababa"), [(2, 0, 7)]);
        assert_eq!(found("cabab"), [(2, 1, 5)]);
        assert_eq!(found("aaaa"), []);
        assert_eq!(found("aabaabaa"), [(3, 0, 8)]);
        assert_eq!(found("ababcababc"), [(2, 0, 4), (2, 5, 9), (5, 0, 10)]);
        assert_eq!(found(""), []);
    }

    proptest! {
        #[test]
        fn turns_of_a_unit_have_the_same_least_turn(letters in "[abc]{1,12}", by in 0..12usize) {
            let unit = row(&letters);
            let mut turned = unit.clone();
            turned.rotate_left(by % unit.len());
            let least = |mut unit: Vec<StitchId>| {
                let turn = least_turn(&unit);
                unit.rotate_left(turn);
                unit
            };
            let all = (0..unit.len()).map(|by| [&unit[by..], &unit[..by]].concat());
            prop_assert_eq!(Some(least(unit.clone())), all.min());
            prop_assert_eq!(least(turned), least(unit));
        }

        #[test]
        fn none_is_missed(letters in "[ab]{0,24}|[abc]{0,24}|(ab){0,4}(aab){0,4}(ab){0,3}") {
            let row = row(&letters);
            prop_assert_eq!(repetitions(&row), by_hand(&row));
        }

        /// Short and long rows are looked at in two ways.
        #[test]
        fn both_ways_find_the_same(letters in "[ab]{0,60}|(ab){0,9}(aab){0,9}(ab){0,9}|(aabab){0,12}") {
            let row = row(&letters);
            prop_assert_eq!(by_period(&row), by_halves(&row));
        }
    }
}
