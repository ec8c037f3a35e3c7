//! One sentence for many rows: "Row 2 and all WS rows".

use super::lines::{Folded, Rows};
use super::wordings::Wordings;
use super::{open, widths};
use crate::pattern::{Pattern, Row, Side, Worked};
use crate::stitch::StitchId;
use crate::written::{Item, Label, Line, Work};

/// One sentence for many rows: the words, and the rows they are true of.
pub(super) struct Sentence {
    /// The number of the words.
    pub(super) words: usize,
    /// Indexes of the rows it is true of, in order.
    pub(super) rows: Vec<usize>,
    /// Numbers of the rows of the same kind it is not true of.
    except: Vec<u32>,
}

impl Sentence {
    pub(super) fn line(&self, pattern: &Pattern, rows: &Rows, wordings: &Wordings<'_>) -> Line {
        let first = &pattern.rows[self.rows[0]];
        let count = rows[self.rows[0]].makes;
        let same = self.rows.iter().all(|&index| rows[index].makes == count);
        let label = Label::Every { first: first.number, side: first.side, except: self.except.clone() };
        Line {
            label,
            work: Work::Items(wordings.items(self.words).to_vec()),
            count: same.then_some(count),
            count_changes: false,
        }
    }
}

/// The sentence that is true of most rows of one kind: WS rows, or the rounds that the chart does not draw. None
/// where fewer than two rows, or fewer than two in three, are alike, or where a reader would add a row that is not
/// there: a sentence for the even rows is worked after the last odd one too.
pub(super) fn sentence(
    pattern: &Pattern,
    rows: &Rows,
    nesting: u8,
    wordings: &mut Wordings<'_>,
) -> Option<Sentence> {
    let stitches = &pattern.stitches;
    let kind = rows_of_a_kind(pattern)?;
    // Told once, such rows stand between all the others: after each where the pattern begins with another row, before
    // each where it begins with one of them.
    let begins = kind.first() == pattern.rows.iter().position(|row| !row.is_set_up()).as_ref();
    let ends = kind.last() == Some(&(pattern.rows.len() - 1));
    if begins == ends {
        return None;
    }
    // Each way to word each row, by the kind of row, and the rows it is true of.
    let mut ways: Vec<Option<Vec<usize>>> = vec![None; rows.kinds.len()];
    let mut found: Vec<(usize, Vec<usize>)> = Vec::new();
    let mut known: Vec<Option<usize>> = Vec::new();
    for &index in &kind {
        let ways = ways[rows.of[index]].get_or_insert_with(|| {
            let folded = &rows[index];
            let Folded { worded, closed, .. } = folded;
            let mut ways = vec![widths::open(&pattern.rows[index], folded, stitches, nesting)];
            ways.extend(open::every_opening(&runs(worded), stitches));
            ways.extend(open::every_opening(closed, stitches));
            let items: Vec<&[Item]> = ways.iter().map(Vec::as_slice).collect();
            let serving = widths::serving(&items, folded, stitches);
            serving.into_iter().map(|at| wordings.number(std::mem::take(&mut ways[at]))).collect()
        });
        for &mut way in ways {
            if known.len() <= way {
                known.resize(way + 1, None);
            }
            let at = *known[way].get_or_insert_with(|| {
                found.push((way, Vec::new()));
                found.len() - 1
            });
            let rows = &mut found[at].1;
            if rows.last() != Some(&index) {
                rows.push(index);
            }
        }
    }
    // Most rows first; then the shortest words; then the first found, which is the usual way to open a row.
    let (words, rows) = found
        .into_iter()
        .enumerate()
        .min_by_key(|(at, (words, rows))| (std::cmp::Reverse(rows.len()), wordings.cost(*words), *at))
        .map(|(_, found)| found)?;
    if rows.len() < 2 || 3 * rows.len() < 2 * kind.len() {
        return None;
    }
    // Where the pattern begins with one of them, the sentence must name that one first: "Row 3 and all WS rows" would
    // follow the last RS row.
    if begins && rows.first() != kind.first() {
        return None;
    }
    let except =
        kind.iter().filter(|index| !rows.contains(index)).map(|&index| pattern.rows[index].number).collect();
    Some(Sentence { words, rows, except })
}

fn rows_of_a_kind(pattern: &Pattern) -> Option<Vec<usize>> {
    let of = |wanted: &dyn Fn(&Row) -> bool| -> Vec<usize> {
        // The set-up row is none of "all": it stands by itself.
        let rows = pattern.rows.iter().enumerate().filter(|(_, row)| !row.is_set_up());
        rows.filter(|(_, row)| wanted(row)).map(|(index, _)| index).collect()
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
