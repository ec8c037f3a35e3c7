//! Words that serve every width of the chart's repeat: proved at the width of the row and one repeat wider.

use super::known::Folds;
use super::lines::Folded;
use super::{boxed, cost, fold, open};
use crate::pattern::{Row, RowRepeat};
use crate::stitch::{StitchId, Stitches};
use crate::written::{Item, expand};

/// The row with the chart's repeat worked once more, where it has one.
pub(super) fn wider(row: &Row) -> Option<Vec<StitchId>> {
    let repeat = row.repeat.filter(|repeat| repeat.times > 0 && repeat.length > 0)?;
    let end = repeat.start + repeat.length * repeat.times;
    let (head, tail) = row.stitches.split_at_checked(end)?;
    let unit = head.get(repeat.start..repeat.start + repeat.length)?;
    Some([head, unit, tail].concat())
}

/// The row opened so that its words serve every width, as far as they can.
pub(super) fn open(row: &Row, folded: &Folded, stitches: &Stitches, nesting: u8) -> Vec<Item> {
    let usual = open::open(&folded.closed, &folded.worded, stitches);
    let (Some(repeat), true) = (row.repeat, folded.wide.is_some()) else { return usual };
    if serves(&usual, folded, stitches) {
        return usual;
    }
    let mut ways: Vec<Vec<Item>> = Vec::new();
    for boxed in boxes(&folded.worded, repeat, stitches, nesting) {
        ways.extend(open::every_opening(&boxed, &folded.worded, stitches));
    }
    let free = fold(&folded.worded, stitches, nesting);
    ways.extend(open::every_opening(&free, &folded.worded, stitches));
    ways.into_iter()
        .filter(|way| serves(way, folded, stitches))
        .min_by_key(|way| cost(way, stitches))
        .unwrap_or(usual)
}

/// Keeps the ways to word a row that serve every width, if there are any.
pub(super) fn keep_serving(ways: &mut Vec<Vec<Item>>, folded: &Folded, stitches: &Stitches) {
    if ways.iter().any(|way| serves(way, folded, stitches)) {
        ways.retain(|way| serves(way, folded, stitches));
    }
}

fn serves(items: &[Item], folded: &Folded, stitches: &Stitches) -> bool {
    folded.wide.as_ref().is_none_or(|wide| {
        expand(items, stitches, stitches.uses(wide)).is_ok_and(|expanded| expanded == *wide)
    })
}

/// The row folded around the chart's repeat. Its first or its last working stands apart where it is worded
/// otherwise than the rest: the UK name of a yarn over may differ at the edge.
fn boxes(worded: &[StitchId], repeat: RowRepeat, stitches: &Stitches, nesting: u8) -> Vec<Vec<Item>> {
    let folds = Folds::of(stitches);
    [(0, 0), (1, 0), (0, 1), (1, 1)]
        .into_iter()
        .filter_map(|(first, last)| {
            let times = repeat.times.checked_sub(first + last).filter(|times| *times > 0)?;
            let repeat = RowRepeat { start: repeat.start + first * repeat.length, times, ..repeat };
            let body = worded.get(repeat.start..repeat.start + repeat.length * times)?;
            let alike = body.chunks(repeat.length).all(|unit| Some(unit) == body.get(..repeat.length));
            alike.then(|| boxed(worded, repeat, &folds, nesting))
        })
        .collect()
}
