//! The repeat of every row, told by the chart written one repeat wider: what a row then works once more.
//!
//! The columns of the repeat tell it for most charted rows. They don't for rows that the chart does not draw, nor
//! where two yarn overs meet at the edge of the repeat and are worked as one double yarn over.

use super::charted::is_of;
use crate::pattern::{Row, RowRepeat, Worked};
use crate::problem::{Code, Finding};
use crate::stitch::{StitchId, Stitches};

/// Whether a row shows its repeat so that one working more can only be the same stitches again: it is drawn, stitches stand on
/// either side of the repeat, and no two yarn overs meet where it begins again.
pub(super) fn is_sure(row: &Row, stitches: &Stitches) -> bool {
    let Some(RowRepeat { start, length, times }) = row.repeat.filter(|_| row.charted) else { return false };
    let over = |at: usize| row.stitches.get(at).is_none_or(|stitch| is_of(*stitch, Stitches::YO, stitches));
    start > 0 && start + length * times < row.stitches.len() && !(over(start) && over(start + length - 1))
}

/// Marks the repeat in the rows that have none yet, or not the right one. `wide` are the same rows with the repeat
/// worked once more. Gives the numbers of rows that show nothing of what a wider row works once more.
pub(super) fn mark(rows: &mut [Row], wide: &[Row], way: Worked, stitches: &Stitches) -> Vec<u32> {
    let mut without = Vec::new();
    // Where the repeat of the row before stands, in loops: first loop of it, and how many loops follow it.
    let mut edges: Option<(u32, u32)> = None;
    for (row, wide) in rows.iter_mut().zip(wide) {
        if row.repeat.is_none_or(|repeat| !widens(&row.stitches, repeat, &wide.stitches)) {
            // A row that is not drawn mostly works the loops one by one, and follows the row before. Otherwise the
            // edge stitches come before the repeat, as editors have them.
            let wanted = match (edges.filter(|_| !row.charted), way) {
                (Some((_, after)), Worked::Flat) => after,
                (Some((before, _)), Worked::Round) => before,
                (None, _) => u32::MAX,
            };
            row.repeat = inserted(&row.stitches, &wide.stitches, wanted as usize);
            if row.repeat.is_none() && row.stitches != wide.stitches {
                without.push(row.number);
            }
        }
        edges = row.repeat.map(|repeat| {
            let end = repeat.start + repeat.length * repeat.times;
            let makes = |part: Option<&[StitchId]>| stitches.makes(part.unwrap_or_default());
            (makes(row.stitches.get(..repeat.start)), makes(row.stitches.get(end..)))
        });
    }
    without
}

/// The first two rows that meet at the chart's own width and not at the wider one, of those that don't both show what they
/// repeat: a row whose cells in the repeat are all no stitch works no more there, whatever the row before makes.
pub(super) fn parted(rows: &[Row], wide: &[Row], stitches: &Stitches) -> Option<Finding> {
    let (uses, makes) = (|row: &Row| stitches.uses(&row.stitches), |row: &Row| stitches.makes(&row.stitches));
    let pairs = rows.windows(2).zip(wide.windows(2));
    let (row, used, made) = pairs.into_iter().find_map(|(own, wide)| {
        let ([last, row], [wide_last, wide_row]) = (own, wide) else { return None };
        let shown = last.repeat.is_some() && row.repeat.is_some();
        let (used, made) = (uses(wide_row), makes(wide_last));
        (!shown && makes(last) == uses(row) && used != made).then_some((row, used, made))
    })?;
    Some(
        Finding::new(
            Code::CountMismatch,
            row.place.clone(),
            format!(
                "With the repeat worked once more Row {} uses {used} sts, but the row before it makes {made}: the rows add up \
                 at this width only.",
                row.number
            ),
        )
        .row(row.number)
        .found(format!("{used} sts"))
        .expected(format!("{made} sts"))
        .help("Look at both rows between the edges of the repeat; with one width alone to be worked, leave the repeat out."),
    )
}

/// Whether the row with this repeat worked once more is the wider row.
fn widens(row: &[StitchId], repeat: RowRepeat, wide: &[StitchId]) -> bool {
    let end = repeat.start + repeat.length * repeat.times;
    let part = |from: usize, to: usize| row.get(from..to).unwrap_or_default();
    let unit = part(repeat.start, repeat.start + repeat.length);
    [part(0, end), unit, part(end, row.len())].concat() == wide
}

/// The repeat of a row that is `wide` once it is worked once more. The same row may be cut in several places; the
/// one nearest to `wanted` is chosen.
fn inserted(row: &[StitchId], wide: &[StitchId], wanted: usize) -> Option<RowRepeat> {
    let length = wide.len().checked_sub(row.len()).filter(|length| *length > 0)?;
    let same = |pair: &(&StitchId, &StitchId)| pair.0 == pair.1;
    let prefix = row.iter().zip(wide).take_while(same).count();
    let suffix = row.iter().rev().zip(wide.iter().rev()).take_while(same).count();
    // The stitches that recur `length` later in the wider row.
    let first = row.len() - suffix;
    let times = prefix.checked_sub(first)? / length;
    if times == 0 {
        return None;
    }
    let start = wanted.clamp(first, prefix - times * length);
    Some(RowRepeat { start, length, times })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(names: &str) -> Vec<StitchId> {
        let mut stitches = Stitches::built_in();
        names.split_whitespace().map(|name| stitches.find(name).unwrap()).collect()
    }

    /// Worked out by hand: p4, (p1, k1, p2) twice and three times, p2; it may also be cut at p5, (k1, p3), p1.
    #[test]
    fn the_repeat_is_what_a_wider_row_works_once_more() {
        let narrow = row("p p p p p k p p p k p p p p");
        let wide = row("p p p p p k p p p k p p p k p p p p");
        for (wanted, start) in [(0, 2), (4, 4), (5, 5), (9, 5)] {
            let repeat = inserted(&narrow, &wide, wanted);
            assert_eq!(repeat, Some(RowRepeat { start, length: 4, times: 2 }), "{wanted}");
        }
    }

    #[test]
    fn rows_that_do_not_widen_have_no_repeat() {
        assert_eq!(inserted(&row("k k"), &row("k k"), 0), None);
        assert_eq!(inserted(&row("k p k"), &row("k yo yo k"), 0), None);
        assert_eq!(inserted(&row("k k k"), &row("k k"), 0), None);
        assert_eq!(inserted(&row("k k"), &row("k p k k"), 0), None);
    }
}
