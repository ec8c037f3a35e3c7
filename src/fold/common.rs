//! One repeat for all rows of a chart that draws none: its edges lie in the same columns from row to row.
//!
//! Each row's own repeats are proposals. A proposal is followed up and down the rows by the loops: its edges in the
//! loops that one row makes are its edges in the loops that the next row uses. The proposal with the shortest words is
//! taken; rows that can't follow it, or would be much longer for it, are folded on their own.
//!
//! No row is shorter with the common repeat than on its own, so that a proposal is followed only until it costs the rows
//! more than the best one before it. And how a row passes edges on is the same for all rows with the same stitches: it
//! is worked out once.

use foldhash::{HashMap, HashMapExt};

use super::kinds::{Kind, Kinds};
use super::plain;
use crate::pattern::{Pattern, RowRepeat, Side, Worked};
use crate::stitch::{StitchId, Stitches};
use crate::written::Item;

/// Proposals looked at: enough for every alignment of the rows of any real chart.
const MOST_PROPOSALS: usize = 400;

/// The longest row looked at, in stitches; longer ones are folded each on its own.
const LONGEST_ROW: usize = 2_000;

/// What it costs, in the measure of [`super::cost`], that a row begins its repeat elsewhere than the others.
const ELSEWHERE: u32 = 4;

/// The repeat of each row; none where the row does not follow the common one.
pub(super) fn repeats(pattern: &Pattern, kinds: &Kinds<'_>, nesting: u8) -> Vec<Option<RowRepeat>> {
    let drawn: Vec<Option<RowRepeat>> = pattern.rows.iter().map(|row| row.repeat).collect();
    let too_long = pattern.rows.iter().any(|row| row.stitches.len() > LONGEST_ROW);
    if pattern.multiple.is_some() || drawn.iter().any(Option::is_some) || nesting == 0 || too_long {
        return drawn;
    }
    let mut proposals = proposals(kinds).peekable();
    if proposals.peek().is_none() {
        return drawn;
    }
    let mut search = Search::new(pattern, kinds, drawn);
    for (row, repeat) in proposals {
        search.follow(row, repeat);
    }
    let mut told = search.aligned();
    alike(pattern, kinds, &mut told);
    if of_one_return_row(pattern, kinds, &told) {
        told.fill(None);
    }
    told
}

/// Whether nothing but one return row has a repeat: there is nothing for it to line up with.
fn of_one_return_row(pattern: &Pattern, kinds: &Kinds<'_>, repeats: &[Option<RowRepeat>]) -> bool {
    let mut rows = (0..repeats.len()).filter(|&row| repeats[row].is_some());
    let Some(first) = rows.next() else { return false };
    let is_return = |row: usize| pattern.rows[row].side == Side::Ws;
    is_return(first) && rows.all(|row| is_return(row) && kinds.of[row] == kinds.of[first])
}

/// Whether a row works nothing but one stitch in its repeat.
fn of_one_stitch(row: &[StitchId], repeat: RowRepeat) -> bool {
    let body = row.get(repeat.start..repeat.start + repeat.length).unwrap_or_default();
    body.windows(2).all(|pair| pair[0] == pair[1])
}

/// A row with the stitches of an RS row has its repeat too, wherever its columns are: in seed stitch every row is told
/// in the same words.
fn alike(pattern: &Pattern, kinds: &Kinds<'_>, repeats: &mut [Option<RowRepeat>]) {
    let mut known: Vec<Option<Option<RowRepeat>>> = vec![None; kinds.kinds.len()];
    for ((row, &kind), repeat) in pattern.rows.iter().zip(&kinds.of).zip(&*repeats) {
        if row.side == Side::Rs {
            known[kind].get_or_insert(*repeat);
        }
    }
    for (&kind, repeat) in kinds.of.iter().zip(repeats) {
        *repeat = known[kind].unwrap_or(*repeat);
    }
}

/// Every way to cut each row into a repeat worked twice or more, the widest repeated part of each row.
fn proposals(kinds: &Kinds<'_>) -> impl Iterator<Item = (usize, RowRepeat)> {
    let mut seen = 0;
    let of_row = move |(index, &number): (usize, &usize)| {
        // Kinds are numbered as they come in.
        if number < seen {
            return None;
        }
        seen += 1;
        let (first, end, length) = kinds.kinds[number].widest()?;
        let starts = (first..first + length).take_while(move |start| end - start >= 2 * length);
        Some(starts.map(move |start| (index, RowRepeat { start, length, times: (end - start) / length })))
    };
    kinds.of.iter().enumerate().filter_map(of_row).flatten().take(MOST_PROPOSALS)
}

/// The edges of a repeat in the loops between two rows, in the order the earlier row makes them.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
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

    /// The repeat of a row of so many stitches, all alike and each of one loop, with the workings that stand beside it.
    fn of_one_stitch(self, stitches: usize) -> Option<RowRepeat> {
        let Self { before, unit, times, after } = self;
        let body = unit.checked_mul(times).filter(|body| *body > 0)?;
        let all = before.checked_add(body)?.checked_add(after)? as usize;
        let (start, length) = ((before % unit) as usize, unit as usize);
        (all == stitches).then(|| RowRepeat { start, length, times: (all - start) / length })
    }
}

/// The loops of a needle behind each place of a row, and at its end all of them.
struct Loops(Vec<u32>);

impl Loops {
    /// The loops that a row uses, and those that it makes.
    fn of(row: &[StitchId], stitches: &Stitches) -> (Self, Self) {
        let from_none = || {
            let mut behind = Vec::with_capacity(row.len() + 1);
            behind.push(0);
            behind
        };
        let (mut uses, mut makes) = (from_none(), from_none());
        let (mut used, mut made) = (0, 0);
        for run in row.chunk_by(|one, next| one == next) {
            let stitch = stitches.get(run[0]);
            for _ in run {
                used += stitch.uses;
                made += stitch.makes;
                uses.push(used);
                makes.push(made);
            }
        }
        (Self(uses), Self(makes))
    }

    /// The edges of the row's repeat, which the row must hold.
    fn edges(&self, repeat: RowRepeat) -> Edges {
        let RowRepeat { start, length, times } = repeat;
        let behind = |at: usize| self.0[at];
        Edges {
            before: behind(start),
            unit: behind(start + length) - behind(start),
            times: u32::try_from(times).unwrap_or(u32::MAX),
            after: behind(self.0.len() - 1) - behind(start + length * times),
        }
    }

    /// The places where so many loops are behind: more than one where a stitch has none, as a yarn over uses none.
    fn places(&self, loops: u32) -> std::ops::Range<usize> {
        let first = self.0.partition_point(|&behind| behind < loops);
        let more = self.0[first..].iter().take_while(|&&behind| behind == loops).count();
        first..first + more
    }
}

/// What a row does to the loops of the needles.
struct Needles {
    uses: Loops,
    makes: Loops,
    /// Whether the row on its own is plain, and needs no repeat.
    plain: bool,
    /// Whether the row on its own has one.
    repeats: bool,
    /// Whether it works every loop into one with the same stitch: then it has the edges of any repeat.
    even: bool,
}

/// Which way a repeat is followed.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Way {
    /// From a row to the next one.
    Down,
    /// From a row to the one before.
    Up,
}

/// What becomes of a repeat in a row.
#[derive(Clone, Copy)]
struct Passed {
    /// The row's own repeat, with the workings of it that stand right beside it in this row alone.
    repeat: Option<RowRepeat>,
    /// The edges on the other side of the row; none where the repeat ends here.
    edges: Option<Edges>,
    /// What the row costs more than on its own.
    cost: u32,
}

/// A way to repeat in all rows.
struct Found {
    /// What the rows cost more than each on its own.
    cost: u32,
    /// How many stitches of RS rows are in the repeat: of two ways that read alike, the one that tells more of the
    /// chart.
    repeated: usize,
    /// How many stitches stand before the repeat on RS rows: of two ways that read alike, editors have the edge first.
    edge_first: usize,
    repeats: Vec<Option<RowRepeat>>,
}

/// Proposals followed, and the best of them.
struct Search<'s, 'a> {
    pattern: &'s Pattern,
    kinds: &'s Kinds<'a>,
    /// By kind of row.
    needles: Vec<Needles>,
    known: HashMap<(usize, Way, Edges), Passed>,
    best: Found,
    /// Whether the best one is a proposal.
    proposed: bool,
    /// The one being followed.
    trial: Vec<Option<RowRepeat>>,
}

impl<'s, 'a> Search<'s, 'a> {
    /// The best one is no common repeat at all: none of these `repeats`, one for each row, is one yet.
    fn new(pattern: &'s Pattern, kinds: &'s Kinds<'a>, repeats: Vec<Option<RowRepeat>>) -> Self {
        // As many as mostly come, so that the table need not grow.
        const FEW: usize = 28;
        let stitches = &pattern.stitches;
        let needles: Vec<Needles> = (kinds.kinds.iter()).map(|kind| Needles::of(kind, stitches)).collect();
        let elsewhere = kinds.of.iter().map(|&kind| needles[kind].apart());
        let cost = elsewhere.fold(0, u32::saturating_add);
        let trial = repeats.clone();
        let best = Found { cost, repeated: 0, edge_first: 0, repeats };
        Self { pattern, kinds, needles, known: HashMap::with_capacity(FEW), best, proposed: false, trial }
    }

    /// Follows a repeat of one row to all others, and keeps it if it is better than those before.
    fn follow(&mut self, from: usize, repeat: RowRepeat) {
        let way = self.pattern.worked;
        let own = &self.needles[self.kinds.of[from]];
        let down = own.makes.edges(repeat).turned(way);
        let up = own.uses.edges(repeat).turned(way);
        let own = self.kinds.row(from).extended(repeat);
        let mut cost = self.dearer(self.kinds.of[from], own);
        self.trial[from] = Some(own);
        for (way, rows, edges) in [(Way::Down, self.trial.len() - from - 1, down), (Way::Up, from, up)] {
            let mut met = Some(edges);
            for away in 1..=rows {
                if cost > self.best.cost {
                    return;
                }
                let row = match way {
                    Way::Down => from + away,
                    Way::Up => from - away,
                };
                let passed = match met {
                    Some(met) => self.passed(self.kinds.of[row], way, met),
                    None => self.needles[self.kinds.of[row]].out(),
                };
                self.trial[row] = passed.repeat;
                cost = cost.saturating_add(passed.cost);
                met = passed.edges.map(|edges| edges.turned(self.pattern.worked));
            }
        }
        if cost > self.best.cost {
            return;
        }
        let (mut repeated, mut edge_first) = (0, 0);
        for (row, repeat) in self.pattern.rows.iter().zip(&self.trial) {
            if let (Side::Rs, Some(repeat)) = (row.side, repeat) {
                repeated += repeat.length * repeat.times;
                edge_first += repeat.start;
            }
        }
        let best = &mut self.best;
        // No common repeat is taken only where every proposal is worse.
        let better = cost < best.cost
            || (repeated, edge_first) > (best.repeated, best.edge_first)
            || (!self.proposed && (repeated, edge_first) == (best.repeated, best.edge_first));
        if better {
            (best.cost, best.repeated, best.edge_first) = (cost, repeated, edge_first);
            std::mem::swap(&mut best.repeats, &mut self.trial);
            self.proposed = true;
        }
    }

    /// The best repeats as they are told: rows that have nothing but one stitch between the edges of the common repeat are
    /// told without it, and an RS row whose edges take part of the first or the last working, so that it can't follow the
    /// others all the way, begins its repeat in the same columns where that is as short.
    fn aligned(self) -> Vec<Option<RowRepeat>> {
        let Self { pattern, kinds, needles, best: Found { mut repeats, .. }, .. } = self;
        let rs = |row: usize| pattern.rows[row].side == Side::Rs;
        let makes = |row: usize| &needles[kinds.of[row]].makes;
        let mut rows = (0..repeats.len()).filter(|&row| rs(row));
        let common =
            rows.find_map(|row| Some(makes(row).edges(repeats[row]?))).filter(|common| common.unit > 0);
        // In the columns of the others, by kind of row.
        let mut known: Vec<Option<Option<RowRepeat>>> = vec![None; kinds.kinds.len()];
        for (row, repeat) in repeats.iter_mut().enumerate() {
            let kind = kinds.row(row);
            if let Some(own) = *repeat {
                *repeat = Some(own).filter(|own| !of_one_stitch(kind.row, *own));
                continue;
            }
            let Some(common) = common.filter(|_| rs(row)) else { continue };
            *repeat = *known[kinds.of[row]].get_or_insert_with(|| {
                let (first, end, length) = kind.widest()?;
                (first..first + length)
                    .map(|start| RowRepeat { start, length, times: end.saturating_sub(start) / length })
                    .filter(|repeat| repeat.times > 1)
                    .filter(|repeat| {
                        let edges = makes(row).edges(*repeat);
                        edges.unit == common.unit && edges.before % common.unit == common.before % common.unit
                    })
                    .find(|repeat| kind.boxed_cost(*repeat) <= kind.cost())
            });
        }
        repeats
    }

    /// What becomes of a repeat that comes to a row of this kind with these edges.
    fn passed(&mut self, kind: usize, way: Way, met: Edges) -> Passed {
        let (row, needles) = (&self.kinds.kinds[kind], &self.needles[kind]);
        if needles.even
            && let Some(repeat) = met.of_one_stitch(row.row.len())
        {
            return Passed { repeat: Some(repeat), edges: Some(met), cost: 0 };
        }
        if let Some(passed) = self.known.get(&(kind, way, met)) {
            return *passed;
        }
        let (near, far) = match way {
            Way::Down => (&needles.uses, &needles.makes),
            Way::Up => (&needles.makes, &needles.uses),
        };
        let passed = match row.cut(near, met) {
            Some(repeat) => {
                let extended = row.extended(repeat);
                let cost = self.dearer(kind, extended);
                Passed { repeat: Some(extended), edges: Some(far.edges(repeat)), cost }
            }
            None => Passed { edges: across(near, far, met), ..needles.out() },
        };
        self.known.insert((kind, way, met), passed);
        passed
    }

    /// What a row of this kind costs more with this repeat than on its own.
    fn dearer(&self, kind: usize, repeat: RowRepeat) -> u32 {
        let row = &self.kinds.kinds[kind];
        if self.needles[kind].plain || of_one_stitch(row.row, repeat) {
            return 0;
        }
        row.boxed_cost(repeat).saturating_sub(row.cost())
    }
}

impl Needles {
    fn of(kind: &Kind<'_>, stitches: &Stitches) -> Self {
        let (uses, makes) = Loops::of(kind.row, stitches);
        let one_loop = |id: &StitchId| (stitches.get(*id).uses, stitches.get(*id).makes) == (1, 1);
        Self {
            even: kind.row.first().is_some_and(one_loop)
                && kind.row.windows(2).all(|pair| pair[0] == pair[1]),
            uses,
            makes,
            plain: plain(kind.free(), stitches),
            repeats: kind.free().iter().any(|item| matches!(item, Item::Repeat { .. })),
        }
    }

    /// What it costs that the row does not follow the common repeat.
    fn apart(&self) -> u32 {
        if self.repeats { ELSEWHERE } else { 0 }
    }

    /// The row without the common repeat, which ends here.
    fn out(&self) -> Passed {
        Passed { repeat: None, edges: None, cost: self.apart() }
    }
}

impl Kind<'_> {
    /// The repeat with the workings of it that stand right beside it in this row alone.
    fn extended(&self, repeat: RowRepeat) -> RowRepeat {
        let RowRepeat { start, length, times } = repeat;
        let end = start + length * times;
        let Some((first, last)) = self.stretch(start, end, length) else { return repeat };
        let before = (start - first) / length;
        RowRepeat { start: start - before * length, length, times: before + times + (last - end) / length }
    }

    /// The repeat of the row between these edges in the loops of one needle, where it works the same there every time.
    fn cut(&self, near: &Loops, edges: Edges) -> Option<RowRepeat> {
        let times = edges.times as usize;
        let all = near.0.last()?;
        // A yarn over at an edge may stand on either side of it.
        near.places(edges.before).find_map(|start| {
            near.places(edges.before + edges.unit).find_map(|next| {
                let length = next.checked_sub(start).filter(|length| *length > 0)?;
                let end = start.checked_add(length.checked_mul(times)?)?;
                let ends = near.0.get(end).is_some_and(|behind| all - behind == edges.after);
                let same = ends && self.stretch(start, end, length).is_some();
                same.then_some(RowRepeat { start, length, times })
            })
        })
    }
}

/// The edges as a row without the repeat passes them on, from the loops on one side of it to those on the other.
fn across(near: &Loops, far: &Loops, met: Edges) -> Option<Edges> {
    let start = near.places(met.before).next()?;
    let end = near.places(met.before + met.unit * met.times).next_back()?;
    let behind = |at: usize| far.0[at];
    let body = behind(end).checked_sub(behind(start))?;
    (body % met.times == 0).then(|| Edges {
        before: behind(start),
        unit: body / met.times,
        times: met.times,
        after: behind(far.0.len() - 1) - behind(end),
    })
}
