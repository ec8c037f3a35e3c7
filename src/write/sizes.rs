//! Counts by size: what each row makes in every size of the pattern.

use crate::written::{Label, Written, unfold};

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

/// What each line makes on this cast-on, a line for several rows after the last of them: nothing for a sentence whose
/// rows make now one number, now another.
fn count_size(written: &Written, cast_on: u32) -> Option<Vec<Option<u32>>> {
    let mut made: Vec<Option<u32>> = vec![None; written.lines.len()];
    let mut varies = vec![false; written.lines.len()];
    for row in unfold(written, cast_on)? {
        let sentence = matches!(written.lines.get(row.line)?.label, Label::Every { .. });
        let made = made.get_mut(row.line)?;
        *varies.get_mut(row.line)? |= sentence && made.is_some_and(|before| before != row.makes);
        *made = Some(row.makes);
    }
    Some(made.into_iter().zip(varies).map(|(made, varies)| made.filter(|_| !varies)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::{Hand, Side, Size, Worked};
    use crate::stitch::{StitchId, Stitches};
    use crate::written::{Extent, Item, Line, Work};

    fn to_last(stitch: StitchId, left: u32) -> Item {
        Item::Run { stitch, extent: Extent::ToLast(left) }
    }

    fn row(number: u32, items: Vec<Item>) -> Line {
        let label = Label::Row { number, side: Side::Rs };
        Line { label, work: Work::Items(items), count: None, count_changes: false }
    }

    fn every(first: u32, except: &[u32], items: Vec<Item>) -> Line {
        let label = Label::Every { first, side: Side::Ws, except: except.to_vec() };
        Line { label, work: Work::Items(items), count: None, count_changes: false }
    }

    /// The counts of a pattern in two sizes, on 6 and on 10 stitches.
    fn counted(lines: Vec<Line>) -> Vec<Vec<u32>> {
        counts(&Written {
            title: String::new(),
            worked: Worked::Flat,
            hand: Hand::Right,
            cast_on: 6,
            multiple: None,
            sizes: [6, 10].map(|cast_on| Size { name: String::new(), times: 1, cast_on }).to_vec(),
            notes: Vec::new(),
            lines,
            stitches: Stitches::built_in(),
        })
    }

    /// Worked out by hand: an increase in rows 1 and 3, none in the sentence's rows, row 4 decreases.
    #[test]
    fn rows_are_followed_in_every_size() {
        let k2tog = Stitches::built_in().known("k2tog").unwrap();
        let one = |stitch| Item::Run { stitch, extent: Extent::Times(1) };
        let more = || vec![one(Stitches::YO), to_last(Stitches::K, 0)];
        let lines = vec![
            row(1, more()),
            every(2, &[4], vec![to_last(Stitches::P, 0)]),
            row(3, more()),
            row(4, vec![to_last(k2tog, 0)]),
        ];
        assert_eq!(counted(lines), [[7, 11], [7, 11], [8, 12], [4, 6]]);
    }

    /// A sentence for rows of different counts has none of its own; rows that don't fit have none at all.
    #[test]
    fn what_can_not_be_counted_is_left_out() {
        let more =
            || vec![Item::Run { stitch: Stitches::YO, extent: Extent::Times(1) }, to_last(Stitches::K, 0)];
        let purl = || vec![to_last(Stitches::P, 0)];
        let growing = vec![row(1, more()), every(2, &[], purl()), row(3, more()), row(5, more())];
        assert_eq!(counted(growing), [vec![7, 11], vec![], vec![8, 12], vec![9, 13]]);
        let fixed = Item::Run { stitch: Stitches::K, extent: Extent::Times(6) };
        for lines in [
            vec![row(1, vec![fixed])],
            vec![row(1, purl()), row(3, purl())],
            vec![row(1, purl()), row(u32::MAX, purl())],
            vec![row(1, vec![to_last(Stitches::K, 7)])],
            Vec::new(),
        ] {
            assert_eq!(counted(lines.clone()), vec![Vec::<u32>::new(); lines.len()], "{lines:?}");
        }
    }
}
