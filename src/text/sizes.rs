//! Sizes: "Cast on 23 (29, 35) sts", "rep from * 3 (4, 5) times", "[25 (31, 37) sts]". Every size is worked and
//! proved; a pattern has sizes where they differ only by how often its repeat is worked.

use super::facts::Facts;
use crate::pattern::{Multiple, Pattern, Size};
use crate::stitch::StitchId;

/// The sizes a text tells of.
pub(super) struct Sizes {
    /// What they are called, one at least.
    names: Vec<String>,
    /// The one that is read first: its stitches are those of the pattern.
    pub(super) first: usize,
    /// Whether the others are read too.
    pub(super) others: bool,
}

impl Sizes {
    /// The sizes of the facts. A cast-on that the user asks for picks the size that has it, and that one alone.
    pub(super) fn of(facts: &Facts, asked: Option<u32>) -> Self {
        let count = facts.sizes.len().max(facts.cast_on.len()).max(1);
        let names = (0..count)
            .map(|at| facts.sizes.get(at).cloned().unwrap_or_else(|| (at + 1).to_string()))
            .collect();
        let first = asked.and_then(|asked| facts.cast_on.iter().position(|&cast_on| cast_on == asked));
        Self { names, first: first.unwrap_or(0), others: count > 1 && asked.is_none() }
    }

    /// How many there are.
    pub(super) const fn count(&self) -> usize {
        self.names.len()
    }

    /// What one is called.
    pub(super) fn name(&self, size: usize) -> &str {
        self.names.get(size).map_or("", String::as_str)
    }

    /// The pattern with its sizes, given each of them as worked, the first one first; `None` where they differ by
    /// more than how often the repeat is worked. `times` is how often one row's repeat is worked in each size, where
    /// a row tells it.
    pub(super) fn together(&self, worked: &[Pattern], times: Option<&[u32]>) -> Option<Pattern> {
        let first = worked.first()?;
        let cast_ons: Vec<u32> = worked.iter().map(|pattern| pattern.cast_on).collect();
        let multiple = first.multiple.or_else(|| multiple(&cast_ons, times?));
        let counted = multiple.or_else(|| plain(&cast_ons))?;
        let often = |cast_on: u32| {
            let span = cast_on.checked_sub(counted.plus)?;
            (span % counted.of == 0).then_some(span / counted.of).filter(|&times| times > 0)
        };
        let sizes = self
            .names
            .iter()
            .zip(&cast_ons)
            .map(|(name, &cast_on)| Some(Size { name: name.clone(), times: often(cast_on)?, cast_on }))
            .collect::<Option<Vec<Size>>>()?;
        let from = sizes.first()?.times;
        for (pattern, size) in worked.iter().zip(&sizes) {
            let alike = pattern.rows.len() == first.rows.len()
                && pattern.rows.iter().zip(&first.rows).all(|(row, other)| {
                    let (row, other) = (&row.stitches, &other.stitches);
                    match size.times.cmp(&from) {
                        std::cmp::Ordering::Less => worked_more(row, other, from - size.times),
                        std::cmp::Ordering::Equal => row == other,
                        std::cmp::Ordering::Greater => worked_more(other, row, size.times - from),
                    }
                });
            if !alike {
                return None;
            }
        }
        Some(Pattern { multiple, sizes, ..first.clone() })
    }
}

/// The multiple that the cast-ons are of, by how often the repeat is worked in each.
fn multiple(cast_ons: &[u32], times: &[u32]) -> Option<Multiple> {
    let (&first, &often) = (cast_ons.first()?, times.first()?);
    let (&other, &more) = cast_ons.iter().zip(times).find(|(_, times)| **times != often)?;
    let of = first.abs_diff(other).checked_div(often.abs_diff(more)).filter(|&of| of > 0)?;
    Some(Multiple { of, plus: first.checked_sub(of.checked_mul(often)?)? })
}

/// Plain widths, which repeat nothing but their stitches: the most that all of them grow by.
fn plain(cast_ons: &[u32]) -> Option<Multiple> {
    let &first = cast_ons.first()?;
    let of = cast_ons.iter().map(|cast_on| cast_on.abs_diff(first)).fold(0, common);
    (of > 0).then(|| Multiple { of, plus: first % of })
}

/// The greatest common divisor.
const fn common(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common(b, a % b) }
}

/// Whether a row is another one with one and the same group of stitches worked so many times more.
fn worked_more(short: &[StitchId], long: &[StitchId], more: u32) -> bool {
    let Some(extra) = long.len().checked_sub(short.len()) else { return false };
    let more = more as usize;
    if extra == 0 || more == 0 || !extra.is_multiple_of(more) {
        return false;
    }
    let length = extra / more;
    let alike = |a: &[StitchId], b: &[StitchId]| a.iter().zip(b).take_while(|(a, b)| a == b).count();
    let head = alike(short, long);
    let tail = short.iter().rev().zip(long.iter().rev()).take_while(|(a, b)| a == b).count();
    // Where the group is worked more often the row recurs at its distance: from the place before which both rows are
    // alike up to the place behind which they are again.
    (short.len().saturating_sub(tail)..=head.min(short.len())).any(|start| {
        let group = &long[start..start + length];
        let again = |from: usize| from.checked_add(length).and_then(|to| long.get(from..to)) == Some(group);
        let inserted = (0..more).all(|time| again(start + time * length));
        inserted && (again(start + extra) || start.checked_sub(length).is_some_and(again))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: "k k (p k) k" with the group once or twice more; a stitch put elsewhere is no repeat.
    #[test]
    fn rows_that_repeat_more_often_are_told() {
        let row = |text: &str| -> Vec<StitchId> {
            let mut stitches = crate::stitch::Stitches::built_in();
            text.split(' ').map(|name| stitches.find(name).unwrap()).collect()
        };
        let short = row("k k p k k");
        assert!(worked_more(&short, &row("k k p k p k k"), 1));
        assert!(worked_more(&short, &row("k k p k p k p k k"), 2));
        assert!(!worked_more(&short, &row("k k p k p k p k k"), 3));
        assert!(!worked_more(&short, &row("k k p k k k p"), 1));
        assert!(!worked_more(&short, &short, 1));
        assert!(worked_more(&row("p p p"), &row("p p p p p p p"), 2));
    }

    #[test]
    fn multiples_are_worked_out() {
        assert_eq!(multiple(&[23, 29, 41], &[3, 4, 6]), Some(Multiple { of: 6, plus: 5 }));
        assert_eq!(multiple(&[23, 23], &[3, 3]), None);
        assert_eq!(plain(&[20, 24, 30]), Some(Multiple { of: 2, plus: 0 }));
    }
}
