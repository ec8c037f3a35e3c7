//! Words that serve every width of the chart's repeat: proved at the width of the row, one repeat wider, and in every
//! size.

use super::kinds::Kind;
use super::lines::Folded;
use super::{cost, fold, open};
use crate::pattern::{Row, RowRepeat, Size};
use crate::stitch::{StitchId, Stitches};
use crate::written::{self, Extent, Item, LONGEST_ROW, items_use};

/// A row at another width.
pub(super) struct Width {
    /// How often the chart's repeat is worked in it.
    times: usize,
    stitches: Vec<StitchId>,
}

/// The row at the other widths that its words must serve, each as `worded` has it: with the chart's repeat worked once
/// more, where it has one, and in every size of the pattern.
pub(super) fn others(row: &Row, sizes: &[Size], worded: impl Fn(&[StitchId]) -> Vec<StitchId>) -> Vec<Width> {
    let Some(repeat) = row.repeat.filter(|repeat| repeat.times > 0 && repeat.length > 0) else {
        return Vec::new();
    };
    let by_size = sizes.iter().filter_map(|size| row.times_in(sizes, size.times));
    let mut times: Vec<usize> = by_size.chain([repeat.times + 1]).collect();
    times.sort_unstable();
    times.dedup();
    times.retain(|&times| times != repeat.times);
    let width = |times: usize| {
        let stitches = worked(row, times)?;
        (stitches.len() <= LONGEST_ROW).then(|| Width { times, stitches: worded(&stitches) })
    };
    times.into_iter().filter_map(width).collect()
}

/// The row in the size that works the repeat so often, where that is known.
pub(super) fn in_size(row: &Row, sizes: &[Size], times: u32) -> Option<Vec<StitchId>> {
    worked(row, row.times_in(sizes, times)?)
}

/// The row with the chart's repeat worked so often.
fn worked(row: &Row, times: usize) -> Option<Vec<StitchId>> {
    if row.repeat?.length.saturating_mul(times) > LONGEST_ROW {
        return None;
    }
    row.with_repeat_worked(times)
}

/// The row opened so that its words serve every width, as far as they can.
pub(super) fn open(row: &Row, folded: &Folded, stitches: &Stitches, nesting: u8) -> Vec<Item> {
    let usual = open::open(&folded.closed, (&folded.worded, folded.uses), folded.shape, stitches);
    let (Some(repeat), Some(widest)) = (row.repeat, folded.wide.last()) else { return usual };
    if serves(&usual, folded, stitches) {
        return usual;
    }
    let mut ways: Vec<Vec<Item>> = Vec::new();
    for boxed in boxes(&folded.worded, repeat, stitches, nesting) {
        ways.extend(open::every_opening(&boxed, stitches));
        ways.extend(open::repeats(&boxed, stitches));
    }
    let free = fold(&folded.worded, stitches, nesting);
    ways.extend(open::every_opening(&free, stitches));
    // Worked once, a repeat that is worded otherwise at its edge leaves nothing to repeat: the words are those of a
    // wider row.
    let wide = RowRepeat { times: widest.times, ..repeat };
    for boxed in boxes(&widest.stitches, wide, stitches, nesting) {
        ways.extend(open::repeats(&boxed, stitches));
    }
    ways.into_iter()
        .filter(|way| gives(way, &folded.worded, stitches) && serves(way, folded, stitches))
        .min_by_key(|way| cost(way, stitches))
        .unwrap_or(usual)
}

/// The ways to word a row that serve every width, by their index; all of them if none does.
pub(super) fn serving(ways: &[&[Item]], folded: &Folded, stitches: &Stitches) -> Vec<usize> {
    let serving: Vec<usize> = (0..ways.len()).filter(|&at| serves(ways[at], folded, stitches)).collect();
    if serving.is_empty() { (0..ways.len()).collect() } else { serving }
}

/// Whether the words are true of the row at every other width.
pub(super) fn serves(items: &[Item], folded: &Folded, stitches: &Stitches) -> bool {
    folded.wide.iter().all(|wide| gives(items, &wide.stitches, stitches))
}

/// Whether the words, worked on the loops of a row, give it, and work what they repeat.
fn gives(items: &[Item], row: &[StitchId], stitches: &Stitches) -> bool {
    let loops = stitches.uses(row);
    written::gives(items, stitches, loops, row) && works_repeats(items, stitches, loops)
}

/// Whether every open repeat is worked on so many loops: who reads "*yo, k2tog; rep from * to last 2 sts" works it once at
/// the least.
fn works_repeats(items: &[Item], stitches: &Stitches, loops: u32) -> bool {
    let mut left = loops;
    items.iter().all(|item| match (item, item.extent()) {
        (Item::Repeat { .. }, Extent::ToLast(beyond)) => std::mem::replace(&mut left, beyond) > beyond,
        (_, Extent::ToLast(beyond)) => {
            left = beyond;
            true
        }
        (_, Extent::Times(_)) => {
            let uses = items_use(std::slice::from_ref(item), stitches).unwrap_or(0);
            left = left.saturating_sub(uses);
            true
        }
    })
}

/// The row folded around the chart's repeat. Its first or its last working stands apart where it is worded
/// otherwise than the rest: the UK name of a yarn over may differ at the edge.
fn boxes(worded: &[StitchId], repeat: RowRepeat, stitches: &Stitches, nesting: u8) -> Vec<Vec<Item>> {
    let kind = Kind::new(worded, stitches, nesting);
    [(0, 0), (1, 0), (0, 1), (1, 1)]
        .into_iter()
        .filter_map(|(first, last)| {
            let times = repeat.times.checked_sub(first + last).filter(|times| *times > 0)?;
            let repeat = RowRepeat { start: repeat.start + first * repeat.length, times, ..repeat };
            let body = worded.get(repeat.start..repeat.start + repeat.length * times)?;
            let alike = body.chunks(repeat.length).all(|unit| Some(unit) == body.get(..repeat.length));
            alike.then(|| kind.boxed(repeat))
        })
        .collect()
}
