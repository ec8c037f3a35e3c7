//! A pattern into the lines that are printed.

use std::collections::HashMap;

use super::{closed_row, common, open, widths};
use crate::pattern::{Pattern, Row, Side, Worked};
use crate::stitch::{StitchId, Stitches};
use crate::written::{Item, Label, Line, Written};

/// What rows are folded into.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// Yarn overs are named by the stitches on either side (UK).
    pub yarn_overs_by_position: bool,
    /// Return rows that are worked alike are told in one sentence.
    pub one_sentence: bool,
    /// Repeats end "to last 3 sts" instead of after a number of workings.
    pub open: bool,
    /// How deep repeats stand inside each other.
    pub nesting: u8,
}

/// Puts a pattern into lines.
pub fn written(pattern: &Pattern, options: Options) -> Written {
    let stitches = &pattern.stitches;
    // With sizes one text must serve several widths.
    let opened = options.open || !pattern.sizes.is_empty();
    let rows: Vec<Folded> = pattern
        .rows
        .iter()
        .zip(common::repeats(pattern, options.nesting))
        .map(|(row, repeat)| {
            let worded = |row: &[StitchId]| {
                if options.yarn_overs_by_position { by_position(row, stitches) } else { row.to_vec() }
            };
            let wide = widths::wider(row).map(|wide| worded(&wide));
            let worded = worded(&row.stitches);
            let closed = closed_row(repeat, &worded, stitches, options.nesting);
            Folded { worded, wide, closed }
        })
        .collect();
    let sentence = if options.one_sentence { sentence(pattern, &rows, options.nesting) } else { None };
    let mut lines = Vec::new();
    let mut before = pattern.cast_on;
    for (index, (row, folded)) in pattern.rows.iter().zip(&rows).enumerate() {
        let makes = pattern.makes(row);
        let count_changes = makes != before;
        before = makes;
        if let Some(sentence) = &sentence
            && sentence.rows.contains(&index)
        {
            if sentence.rows.first() == Some(&index) {
                lines.push(sentence.line(pattern));
            }
            continue;
        }
        let items = if opened {
            widths::open(row, folded, stitches, options.nesting)
        } else {
            open::open_whole(&folded.closed, &folded.worded, stitches)
        };
        let label = Label::Row { number: row.number, side: row.side };
        lines.push(Line { label, items, count: Some(makes), count_changes });
    }
    Written {
        title: pattern.title.clone(),
        worked: pattern.worked,
        hand: pattern.hand,
        cast_on: pattern.cast_on,
        multiple: pattern.multiple,
        sizes: pattern.sizes.clone(),
        notes: pattern.notes.clone(),
        lines,
        stitches: stitches.clone(),
    }
}

/// A row as it will be worded.
pub(super) struct Folded {
    pub(super) worded: Vec<StitchId>,
    /// The same row with the chart's repeat worked once more, where it has one.
    pub(super) wide: Option<Vec<StitchId>>,
    pub(super) closed: Vec<Item>,
}

/// The row with its yarn overs named by their neighbours: yarn overs beside each other look past one another, and
/// at the edge of a row the inner neighbour alone counts.
pub(super) fn by_position(row: &[StitchId], stitches: &Stitches) -> Vec<StitchId> {
    let over = |id: StitchId| id == Stitches::YO || id == Stitches::YO2;
    let mut named = row.to_vec();
    for (at, id) in row.iter().enumerate().filter(|(_, id)| **id == Stitches::YO) {
        let before =
            row[..at].iter().rev().find(|id| !over(**id)).map(|&id| stitches.get(id).yarn_in_front.1);
        let after = row[at + 1..].iter().find(|id| !over(**id)).map(|&id| stitches.get(id).yarn_in_front.0);
        let (before, after) = match (before, after) {
            (Some(before), Some(after)) => (before, after),
            (Some(one), None) | (None, Some(one)) => (one, one),
            (None, None) => continue,
        };
        debug_assert_eq!(*id, Stitches::YO);
        named[at] = Stitches::yarn_over_form(before, after);
    }
    named
}

/// One sentence for many rows: the words, and the rows they are true of.
struct Sentence {
    items: Vec<Item>,
    /// Indexes of the rows it is true of, in order.
    rows: Vec<usize>,
    /// Numbers of the rows of the same kind it is not true of.
    except: Vec<u32>,
}

impl Sentence {
    fn line(&self, pattern: &Pattern) -> Line {
        let first = &pattern.rows[self.rows[0]];
        let counts: Vec<u32> = self.rows.iter().map(|&index| pattern.makes(&pattern.rows[index])).collect();
        let same = counts.iter().all(|count| *count == counts[0]);
        let label = Label::Every { first: first.number, side: first.side, except: self.except.clone() };
        Line { label, items: self.items.clone(), count: same.then_some(counts[0]), count_changes: false }
    }
}

/// The sentence that is true of most rows of one kind: WS rows, or the rounds that the chart does not draw. None
/// where fewer than two rows, or fewer than two in three, are alike, or where a reader would add a row that is not
/// there: a sentence for the even rows is worked after the last odd one too.
fn sentence(pattern: &Pattern, folded: &[Folded], nesting: u8) -> Option<Sentence> {
    let stitches = &pattern.stitches;
    let kind = rows_of_a_kind(pattern)?;
    // Told once, such rows stand between all the others: after each where the pattern begins with another row, before
    // each where it begins with one of them.
    let begins = kind.first() == Some(&0);
    let ends = kind.last() == Some(&(pattern.rows.len() - 1));
    if begins == ends {
        return None;
    }
    // Each way to word each row, and the rows it is true of.
    let mut wordings: Vec<(Vec<Item>, Vec<usize>)> = Vec::new();
    let mut known: HashMap<Vec<Item>, usize> = HashMap::new();
    for &index in &kind {
        let Folded { worded, closed, .. } = &folded[index];
        let mut ways = vec![widths::open(&pattern.rows[index], &folded[index], stitches, nesting)];
        ways.extend(open::every_opening(&runs(worded), worded, stitches));
        ways.extend(open::every_opening(closed, worded, stitches));
        widths::keep_serving(&mut ways, &folded[index], stitches);
        for way in ways {
            let at = *known.entry(way.clone()).or_insert_with(|| {
                wordings.push((way, Vec::new()));
                wordings.len() - 1
            });
            let rows = &mut wordings[at].1;
            if rows.last() != Some(&index) {
                rows.push(index);
            }
        }
    }
    // Most rows first; then the shortest words; then the first found, which is the usual way to open a row.
    let best = wordings
        .into_iter()
        .enumerate()
        .min_by_key(|(at, (items, rows))| (std::cmp::Reverse(rows.len()), super::cost(items, stitches), *at))
        .map(|(_, wording)| wording)?;
    let (items, rows) = best;
    if rows.len() < 2 || 3 * rows.len() < 2 * kind.len() {
        return None;
    }
    let except =
        kind.iter().filter(|index| !rows.contains(index)).map(|&index| pattern.rows[index].number).collect();
    Some(Sentence { items, rows, except })
}

fn rows_of_a_kind(pattern: &Pattern) -> Option<Vec<usize>> {
    let of = |wanted: &dyn Fn(&Row) -> bool| -> Vec<usize> {
        pattern.rows.iter().enumerate().filter(|(_, row)| wanted(row)).map(|(index, _)| index).collect()
    };
    let kind = match pattern.worked {
        Worked::Flat => of(&|row| row.side == Side::Ws),
        Worked::Round => {
            let undrawn = pattern.rows.iter().find(|row| !row.charted)?.number % 2;
            of(&|row| row.number % 2 == undrawn)
        }
    };
    // Every second row, without a gap: else "all" would say too much.
    let steady = kind.windows(2).all(|pair| pattern.rows[pair[1]].number == pattern.rows[pair[0]].number + 2);
    (kind.len() > 1 && steady).then_some(kind)
}

fn runs(row: &[StitchId]) -> Vec<Item> {
    use crate::written::Extent;
    row.chunk_by(|one, two| one == two)
        .map(|run| Item::Run {
            stitch: run[0],
            extent: Extent::Times(u32::try_from(run.len()).unwrap_or(u32::MAX)),
        })
        .collect()
}
