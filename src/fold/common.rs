//! One repeat for all rows of a chart that draws none: its edges lie in the same columns from row to row.
//!
//! Each row's own repeats are proposals. A proposal is followed up and down the rows by the loops: its edges in the
//! loops that one row makes are its edges in the loops that the next row uses. The proposal with the shortest words is
//! taken; rows that can't follow it, or would be much longer for it, are folded on their own.

use std::collections::{BTreeSet, HashMap};

use super::known::Folds;
use super::{boxed_cost, cost, plain};
use crate::pattern::{Pattern, RowRepeat, Side, Worked};
use crate::stitch::StitchId;
use crate::written::Item;

/// Proposals looked at: enough for every alignment of the rows of any real chart.
const MOST_PROPOSALS: usize = 400;

/// The longest row looked at, in stitches; longer ones are folded each on its own.
const LONGEST_ROW: usize = 2_000;

/// What it costs, in the measure of [`cost`], that a row begins its repeat elsewhere than the others.
const ELSEWHERE: u32 = 4;

/// The repeat of each row; none where the row does not follow the common one.
pub(super) fn repeats(pattern: &Pattern, folds: &Folds<'_>, nesting: u8) -> Vec<Option<RowRepeat>> {
    let drawn: Vec<Option<RowRepeat>> = pattern.rows.iter().map(|row| row.repeat).collect();
    let too_long = pattern.rows.iter().any(|row| row.stitches.len() > LONGEST_ROW);
    if pattern.multiple.is_some() || drawn.iter().any(Option::is_some) || nesting == 0 || too_long {
        return drawn;
    }
    let alone: Vec<Alone> =
        pattern.rows.iter().map(|row| Alone::of(&folds.fold(&row.stitches, nesting), folds)).collect();
    let mut seen = BTreeSet::new();
    let chosen = proposals(pattern)
        .into_iter()
        .map(|(row, repeat)| followed(pattern, row, repeat))
        .map(|found| {
            let rows = pattern.rows.iter().zip(found);
            rows.map(|(row, repeat)| Some(extended(&row.stitches, repeat?))).collect()
        })
        .chain([drawn.clone()])
        .filter(|found| seen.insert(found.iter().map(key).collect::<Vec<_>>()))
        .min_by_key(|found: &Vec<Option<RowRepeat>>| {
            let reverse = std::cmp::Reverse;
            (
                words(pattern, found, &alone, folds, nesting),
                reverse(repeated(pattern, found)),
                reverse(edge_first(pattern, found)),
            )
        })
        .unwrap_or_else(|| drawn.clone());
    let told = alike(pattern, aligned(pattern, chosen, &alone, folds, nesting));
    if of_one_return_row(pattern, &told) { drawn } else { told }
}

/// Whether nothing but one return row has a repeat: there is nothing for it to line up with.
fn of_one_return_row(pattern: &Pattern, repeats: &[Option<RowRepeat>]) -> bool {
    let mut rows =
        pattern.rows.iter().zip(repeats).filter(|(_, repeat)| repeat.is_some()).map(|(row, _)| row);
    let Some(first) = rows.next() else { return false };
    first.side == Side::Ws && rows.all(|row| row.side == Side::Ws && row.stitches == first.stitches)
}

/// The repeats as they are told: rows that have nothing but one stitch between the edges of the common repeat are told
/// without it, and an RS row whose edges take part of the first or the last working, so that it can't follow the
/// others all the way, begins its repeat in the same columns where that is as short.
fn aligned(
    pattern: &Pattern,
    repeats: Vec<Option<RowRepeat>>,
    alone: &[Alone],
    folds: &Folds<'_>,
    nesting: u8,
) -> Vec<Option<RowRepeat>> {
    let stitches = &pattern.stitches;
    let makes = |part: &[StitchId]| part.iter().map(|&id| stitches.get(id).makes).sum::<u32>();
    let mut rows = pattern.rows.iter().zip(&repeats).filter(|(row, _)| row.side == Side::Rs);
    let common = rows.find_map(|(row, repeat)| edges(&row.stitches, (*repeat)?, |id| stitches.get(id).makes));
    let rows = pattern.rows.iter().zip(&repeats).zip(alone);
    rows.map(|((row, repeat), alone)| {
        if let Some(repeat) = repeat {
            return Some(*repeat).filter(|repeat| !of_one_stitch(&row.stitches, *repeat));
        }
        let common = common.filter(|common| row.side == Side::Rs && common.unit > 0)?;
        let row = row.stitches.as_slice();
        let (first, end, length) = widest(row)?;
        (first..first + length)
            .map(|start| RowRepeat { start, length, times: end.saturating_sub(start) / length })
            .filter(|repeat| {
                repeat.times > 1 && makes(&row[repeat.start..repeat.start + length]) == common.unit
            })
            .filter(|repeat| makes(&row[..repeat.start]) % common.unit == common.before % common.unit)
            .find(|repeat| boxed_cost(row, *repeat, folds, nesting) <= alone.cost)
    })
    .collect()
}

/// Whether a row works nothing but one stitch in its repeat.
fn of_one_stitch(row: &[StitchId], repeat: RowRepeat) -> bool {
    let body = row.get(repeat.start..repeat.start + repeat.length).unwrap_or_default();
    body.windows(2).all(|pair| pair[0] == pair[1])
}

/// A row with the stitches of an RS row has its repeat too, wherever its columns are: in seed stitch every row is told
/// in the same words.
fn alike(pattern: &Pattern, repeats: Vec<Option<RowRepeat>>) -> Vec<Option<RowRepeat>> {
    let mut known: HashMap<&[StitchId], Option<RowRepeat>> = HashMap::new();
    for (row, repeat) in pattern.rows.iter().zip(&repeats).filter(|(row, _)| row.side == Side::Rs) {
        known.entry(&row.stitches).or_insert(*repeat);
    }
    let rows = pattern.rows.iter().zip(repeats);
    rows.map(|(row, own)| known.get(row.stitches.as_slice()).copied().unwrap_or(own)).collect()
}

fn key(repeat: &Option<RowRepeat>) -> Option<(usize, usize, usize)> {
    repeat.map(|repeat| (repeat.start, repeat.length, repeat.times))
}

/// A row folded on its own.
struct Alone {
    cost: u32,
    /// Whether it is plain, and needs no repeat.
    plain: bool,
    /// Whether it has one.
    repeats: bool,
}

impl Alone {
    fn of(items: &[Item], folds: &Folds<'_>) -> Self {
        Self {
            cost: cost(items, folds.stitches),
            plain: plain(items, folds.stitches),
            repeats: items.iter().any(|item| matches!(item, Item::Repeat { .. })),
        }
    }
}

/// What the rows cost to read with these repeats, and what it costs that some begin their repeat elsewhere. `alone`
/// are the rows each folded on its own.
fn words(
    pattern: &Pattern,
    repeats: &[Option<RowRepeat>],
    alone: &[Alone],
    folds: &Folds<'_>,
    nesting: u8,
) -> u32 {
    let rows = pattern.rows.iter().zip(repeats).zip(alone);
    rows.map(|((row, repeat), alone)| match repeat {
        Some(repeat) if of_one_stitch(&row.stitches, *repeat) => alone.cost,
        Some(repeat) => {
            let common = boxed_cost(&row.stitches, *repeat, folds, nesting);
            if alone.plain { common.min(alone.cost) } else { common }
        }
        None if alone.repeats => alone.cost + ELSEWHERE,
        None => alone.cost,
    })
    .fold(0, u32::saturating_add)
}

/// How many stitches of RS rows are in the repeat: of two ways that read alike, the one that tells more of the chart.
fn repeated(pattern: &Pattern, repeats: &[Option<RowRepeat>]) -> usize {
    let rows = pattern.rows.iter().zip(repeats).filter(|(row, _)| row.side == Side::Rs);
    rows.filter_map(|(_, repeat)| repeat.map(|repeat| repeat.length * repeat.times)).sum()
}

/// How many stitches stand before the repeat on RS rows: of two ways that read alike, editors have the edge first.
fn edge_first(pattern: &Pattern, repeats: &[Option<RowRepeat>]) -> usize {
    let rows = pattern.rows.iter().zip(repeats).filter(|(row, _)| row.side == Side::Rs);
    rows.filter_map(|(_, repeat)| repeat.map(|repeat| repeat.start)).sum()
}

/// Every way to cut each row into a repeat worked twice or more, the widest repeated part of each row.
fn proposals(pattern: &Pattern) -> Vec<(usize, RowRepeat)> {
    let mut found: Vec<(usize, RowRepeat)> = Vec::new();
    let mut seen: BTreeSet<&[StitchId]> = BTreeSet::new();
    for (index, row) in pattern.rows.iter().enumerate() {
        let row = row.stitches.as_slice();
        if row.windows(2).all(|pair| pair[0] == pair[1]) || !seen.insert(row) {
            continue;
        }
        let Some((first, end, length)) = widest(row) else { continue };
        for start in first..first + length {
            let times = end.saturating_sub(start) / length;
            if times > 1 {
                found.push((index, RowRepeat { start, length, times }));
            }
        }
    }
    found.truncate(MOST_PROPOSALS);
    found
}

/// The part of a row that repeats something over and over and is longest, with the length of what it repeats. Runs
/// of one stitch are no repeat.
fn widest(row: &[StitchId]) -> Option<(usize, usize, usize)> {
    let mut best: Option<(usize, usize, usize)> = None;
    for length in 2..=row.len() / 2 {
        let mut first = 0;
        for at in 0..=row.len() - length {
            let goes_on = at + length < row.len() && row[at] == row[at + length];
            if goes_on {
                continue;
            }
            let end = at + length;
            let whole = end - first >= 2 * length;
            let run = row[first..end].windows(2).all(|pair| pair[0] == pair[1]);
            if whole && !run && best.is_none_or(|(from, to, _)| to - from < end - first) {
                best = Some((first, end, length));
            }
            first = at + 1;
        }
    }
    best
}

/// The repeat with the workings of it that stand right beside it in this row alone.
fn extended(row: &[StitchId], repeat: RowRepeat) -> RowRepeat {
    let RowRepeat { mut start, length, mut times } = repeat;
    let unit = row.get(start..start + length);
    while start >= length && row.get(start - length..start) == unit {
        start -= length;
        times += 1;
    }
    while row.get(start + length * times..start + length * (times + 1)) == unit {
        times += 1;
    }
    RowRepeat { start, length, times }
}

/// The edges of a repeat in the loops between two rows, in the order the earlier row makes them.
#[derive(Clone, Copy)]
struct Edges {
    before: u32,
    unit: u32,
    times: u32,
    after: u32,
}

impl Edges {
    /// The same edges as the next row meets them, or met from there.
    fn turned(self, way: Worked) -> Self {
        match way {
            Worked::Flat => Self { before: self.after, after: self.before, ..self },
            Worked::Round => self,
        }
    }
}

/// A repeat of one row, followed to all others.
fn followed(pattern: &Pattern, from: usize, repeat: RowRepeat) -> Vec<Option<RowRepeat>> {
    let stitches = &pattern.stitches;
    let uses = |id: StitchId| stitches.get(id).uses;
    let makes = |id: StitchId| stitches.get(id).makes;
    let mut found = vec![None; pattern.rows.len()];
    let row = |index: usize| pattern.rows[index].stitches.as_slice();
    found[from] = Some(repeat);
    let mut edges = edges(row(from), repeat, makes).map(|edges| edges.turned(pattern.worked));
    for (index, repeat) in found.iter_mut().enumerate().skip(from + 1) {
        let Some(met) = edges else { break };
        *repeat = cut(row(index), met, uses);
        edges = passed(row(index), *repeat, met, uses, makes).map(|edges| edges.turned(pattern.worked));
    }
    let mut edges = self::edges(row(from), repeat, uses).map(|edges| edges.turned(pattern.worked));
    for index in (0..from).rev() {
        let Some(met) = edges else { break };
        found[index] = cut(row(index), met, makes);
        edges = passed(row(index), found[index], met, makes, uses).map(|edges| edges.turned(pattern.worked));
    }
    found
}

/// The edges of a row's repeat in the loops it uses or makes.
fn edges(row: &[StitchId], repeat: RowRepeat, loops: impl Fn(StitchId) -> u32) -> Option<Edges> {
    let end = repeat.start + repeat.length * repeat.times;
    let sum = |part: &[StitchId]| part.iter().map(|&id| loops(id)).sum::<u32>();
    Some(Edges {
        before: sum(row.get(..repeat.start)?),
        unit: sum(row.get(repeat.start..repeat.start + repeat.length)?),
        times: u32::try_from(repeat.times).ok()?,
        after: sum(row.get(end..)?),
    })
}

/// The repeat of a row between these edges, where it works the same there every time.
fn cut(row: &[StitchId], edges: Edges, loops: impl Fn(StitchId) -> u32 + Copy) -> Option<RowRepeat> {
    let times = edges.times as usize;
    // A yarn over at an edge may stand on either side of it.
    places(row, edges.before, loops).find_map(|start| {
        places(row, edges.before + edges.unit, loops).find_map(|next| {
            let length = next.checked_sub(start).filter(|length| *length > 0)?;
            let body = row.get(start..start.checked_add(length.checked_mul(times)?)?)?;
            let same = body.chunks(length).all(|unit| unit == &body[..length]);
            let rest: u32 = row[start + length * times..].iter().map(|&id| loops(id)).sum();
            (same && rest == edges.after).then_some(RowRepeat { start, length, times })
        })
    })
}

/// The places in a row where so many loops are behind.
fn places(row: &[StitchId], loops: u32, of: impl Fn(StitchId) -> u32 + Copy) -> impl Iterator<Item = usize> {
    let mut behind = 0u32;
    (0..=row.len()).filter(move |&at| {
        if let Some(before) = at.checked_sub(1) {
            behind += of(row[before]);
        }
        behind == loops
    })
}

/// The edges as a row passes them on, from the loops on one side of it to those on the other.
fn passed(
    row: &[StitchId],
    repeat: Option<RowRepeat>,
    met: Edges,
    from: impl Fn(StitchId) -> u32 + Copy,
    to: impl Fn(StitchId) -> u32 + Copy,
) -> Option<Edges> {
    if let Some(repeat) = repeat {
        return edges(row, repeat, to);
    }
    let start = places(row, met.before, from).next()?;
    let end = places(row, met.before + met.unit * met.times, from).last()?;
    let sum = |part: &[StitchId]| part.iter().map(|&id| to(id)).sum::<u32>();
    let body = sum(row.get(start..end)?);
    (body % met.times == 0).then(|| Edges {
        before: sum(&row[..start]),
        unit: body / met.times,
        times: met.times,
        after: sum(&row[end..]),
    })
}
