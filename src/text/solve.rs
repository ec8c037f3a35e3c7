//! Working the rows of a text on a cast-on: every stitch on its own.

mod tasks;
mod texts;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::needle::{Laid, Needle, Unworkable, plain};
use super::order::{Plan, Planned};
use super::says::Says;
use super::stated::Stated;
use crate::pattern::{Side, Worked};
use crate::stitch::{StitchId, Stitches};
use crate::words::fabric::{Cloth, Plain};
use crate::words::rows::again::{Again, More, What};
use crate::words::{Choice, InColour, Piece, Work, pieces_use};
use crate::written::{Extent, Grown, Growth, Item, Misfit};
use tasks::{Course, Readings, Task};
pub(super) use texts::Texts;

/// Stitches of a pattern, at most: a few large numbers must not exhaust the machine.
const MOST_STITCHES: usize = 8_000_000;

/// Why a row that refers to others can't be worked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Lost {
    /// The row referred to is not there.
    NoRow(u32),
    /// Rows refer to each other in a circle.
    Circle,
    /// What is to grow can't be read, or is not there.
    Growth(String),
    /// So many rows are to be worked as so many others, which does not come out even.
    Uneven {
        /// Rows of the label.
        rows: usize,
        /// Rows that are worked again.
        again: usize,
    },
}

/// Why a row could not be worked.
#[derive(Clone, Debug)]
pub(super) enum Trouble {
    /// Its words can't be read: they are told once for each line.
    Unreadable,
    /// It refers to rows that don't serve.
    Lost(Lost),
    /// It does not fit the needle.
    Unworkable(Unworkable, u32),
    /// It turns before its stitches are all worked, which its text says.
    Turned(usize),
    /// How many stitches there are can't be known, since a row before it can't be worked.
    Unknown,
}

/// A row as worked, or why not.
pub(super) struct Solved {
    pub(super) row: Result<Laid, Trouble>,
    /// Stitches the source says there are after it.
    pub(super) stated: Option<u32>,
    /// How its doubtful words were read.
    pub(super) choice: Choice,
    /// Whether another way to read them serves as well.
    pub(super) open: bool,
}

impl Texts {
    /// What the first row uses, where its words say it without a cast-on.
    pub(super) fn first_uses(&mut self, plan: &Plan) -> Option<u32> {
        let course = self.course(plan);
        let Ok((row, &Task::Words(text, _))) = course.row(0) else { return None };
        let work = self.work(text, row.side, self.begins_in(text));
        if !work.others.is_empty() || !work.errors.is_empty() {
            return None;
        }
        pieces_use(&work.pieces, &self.stitches)
    }

    /// Reads what grows in rows told by others. A growth that names no rows must be about something that one of its
    /// rows has.
    pub(super) fn ground(&mut self, plan: &Plan) {
        let mut growing: Vec<(usize, Again)> = Vec::new();
        for row in plan
            .rows
            .iter()
            .filter(|row| matches!(self.says.get(row.text), Some(Says::As(_) | Says::Last(_))))
        {
            let met = growing.last().is_some_and(|(text, _)| *text == row.text);
            if let Some(again) = self.again(row).ok().filter(|again| !met && !again.growth.is_empty()) {
                growing.push((row.text, again.into_owned()));
            }
        }
        let mut course = Course::new(plan);
        let mut due: Vec<usize> = growing.iter().rev().map(|(text, _)| *text).collect();
        let mut unread: BTreeMap<usize, Again> = growing.into_iter().collect();
        let mut waiting = BTreeSet::new();
        while let Some(text) = due.pop() {
            let Some(again) = unread.get(&text) else { continue };
            let rows = again.rows.iter().filter_map(|&number| plan.index(number));
            let passed: Vec<(usize, usize)> = rows.flat_map(|at| self.know(&mut course, at)).collect();
            // Lines that these rows lead by are read before, the farthest first; those that lead back here can't be.
            let mut before: Vec<usize> = passed.iter().map(|(_, text)| *text).collect();
            before.retain(|other| *other != text && unread.contains_key(other) && !waiting.contains(other));
            if !before.is_empty() && waiting.insert(text) {
                due.push(text);
                due.extend(before.into_iter().rev());
                course.forget(passed);
                continue;
            }
            let Some(again) = unread.remove(&text) else { continue };
            let growth = self.growth(&course, &again);
            self.growths.insert(text, growth);
            if passed.iter().any(|(_, other)| *other == text || unread.contains_key(other)) {
                course.forget(passed);
            }
        }
    }

    /// What grows in rows that are worked again, as their line tells.
    fn growth(&mut self, course: &Course<'_>, again: &Again) -> Result<Vec<Growth>, Lost> {
        let growth = again.growth.iter().map(|more| {
            let unknown = || Lost::Growth(more.told());
            if more.what == What::Between {
                return self.between(course, again, more).ok_or_else(unknown);
            }
            let growth = more.growth(|run| self.run(run)).ok_or_else(unknown)?;
            // Of rows that are not worked again nothing grows, and one of the rows at least has as many.
            let named = growth.which.iter().max().copied().unwrap_or(1);
            let rows = if growth.rows.is_empty() { &again.rows } else { &growth.rows };
            let met = rows.iter().any(|&number| self.has(course, number, growth.what) >= named);
            let strange = growth.rows.iter().any(|row| !again.rows.contains(row));
            if met && !strange { Ok(vec![growth]) } else { Err(unknown()) }
        });
        growth.collect::<Result<Vec<_>, Lost>>().map(|growth| growth.concat())
    }

    /// How many of what may grow a row has, as its words stand.
    fn has(&mut self, course: &Course<'_>, number: u32, what: Grown) -> u32 {
        let items = self.items(course, number);
        let like = |item: &&Item| Grown::of(item, &self.stitches).is_some_and(|(found, _)| found == what);
        u32::try_from(items.iter().flat_map(Item::pieces).filter(like).count()).unwrap_or(u32::MAX)
    }

    /// The pieces of a row by each reading of its doubtful words, grown as the course tells.
    fn readings(
        &self,
        course: &Course<'_>,
        work: &Work,
        grows: Option<usize>,
        place: (Side, Option<&Arc<str>>),
    ) -> Readings {
        let mut readings = vec![(Choice::default(), work.pieces.clone())];
        readings.extend(work.others.iter().cloned());
        match grows {
            Some(last) => course.grown(last, Ok(readings), place, &self.stitches).as_ref().clone(),
            None => Ok(readings),
        }
    }

    /// What a row works, as its words stand; nothing where it is told without words of its own.
    fn items(&mut self, course: &Course<'_>, number: u32) -> Vec<Item> {
        let row = course.plan.index(number).and_then(|at| course.row(at).ok());
        let Some((row, &Task::Words(text, grows))) = row else { return Vec::new() };
        let colour = self.begins_in(text);
        let work = self.work(text, row.side, colour.clone());
        let readings = self.readings(course, &work, grows, (row.side, colour.as_ref()));
        let first = readings.ok().and_then(|readings| readings.into_iter().next());
        let pieces = first.map_or_else(Vec::new, |(_, pieces)| pieces);
        let item = |piece: Piece| match piece {
            Piece::Work(item) => Some(item),
            _ => None,
        };
        pieces.into_iter().filter_map(item).collect()
    }

    /// How the run between the yarn overs grows, in rows that have two yarn overs and no repeat: in others it is not
    /// sure which run is meant.
    fn between(&mut self, course: &Course<'_>, again: &Again, more: &More) -> Option<Vec<Growth>> {
        let yarn_over = |item: &Item| *item == Item::Run { stitch: Stitches::YO, extent: Extent::Times(1) };
        let mut told = Vec::new();
        for &row in &again.rows {
            if !(more.rows.is_empty() || more.rows.contains(&row)) {
                continue;
            }
            let items = self.items(course, row);
            let overs: Vec<usize> =
                (0..).zip(&items).filter(|(_, item)| yarn_over(item)).map(|(at, _)| at).collect();
            let closed = items.iter().all(|item| matches!(item, Item::Run { extent: Extent::Times(_), .. }));
            match overs[..] {
                [] if more.rows.is_empty() => {}
                [first, second] if closed && second == first + 2 => {
                    let (what, _) = Grown::of(items.get(first + 1)?, &self.stitches)?;
                    let like = |item: &&Item| {
                        Grown::of(item, &self.stitches).is_some_and(|(found, _)| found == what)
                    };
                    let place = items.iter().take(first + 2).filter(like).count();
                    let which = vec![u32::try_from(place).ok()?];
                    told.push(Growth { rows: vec![row], what, which, several: true, by: more.by });
                }
                _ => return None,
            }
        }
        let strange = more.rows.iter().any(|row| !again.rows.contains(row));
        (!told.is_empty() && !strange).then_some(told)
    }

    /// Works every row on a cast-on.
    pub(super) fn solve(&mut self, plan: &Plan, stitches: u32) -> Vec<Solved> {
        let cast_on = |count| Needle::cast_on(count).marked(plan.round_marked);
        let mut needle = Some(cast_on(stitches));
        let mut solved = Vec::with_capacity(plan.rows.len());
        let mut room = MOST_STITCHES;
        let mut colour = None;
        let course = self.course(plan);
        self.goes_on.clear();
        for (at, row) in plan.rows.iter().enumerate() {
            let before = needle.as_ref().map(Needle::count);
            let stated = self.stated_after(row, before);
            let solved_row = self.solve_row(&course, at, needle.as_ref(), stated, &mut colour);
            let (mut result, choice, open) = match solved_row {
                Ok((laid, choice, open)) => (Ok(laid), choice, open),
                Err(trouble) => (Err(trouble), Choice::default(), false),
            };
            if let Ok(laid) = &result {
                match room.checked_sub(laid.stitches.len()) {
                    Some(left) => room = left,
                    None => result = Err(Trouble::Unworkable(Unworkable::Misfit(Misfit::TooLong), 0)),
                }
            }
            // What the rows before have worked is not known behind one that can't be.
            if matches!(&result, Err(Trouble::Unworkable(Unworkable::Untold(..), _)))
                && solved.iter().any(|before: &Solved| before.row.is_err())
            {
                result = Err(Trouble::Unknown);
            }
            needle = match &result {
                Ok(laid) => {
                    let from = needle.unwrap_or_default();
                    Some(from.after(laid, row.side, plan.worked, &self.stitches))
                }
                Err(_) => stated.map(cast_on),
            };
            solved.push(Solved { row: result, stated, choice, open });
        }
        solved
    }

    /// Stitches that the text says there are after a row.
    fn stated_after(&self, row: &Planned, before: Option<u32>) -> Option<u32> {
        let stated = self.stated.get(row.text)?.as_ref().filter(|_| row.counted)?;
        let number = match stated.numbers() {
            &[all] => all,
            numbers => *numbers.get(self.size)?,
        };
        match stated {
            Stated::Count(_) => Some(number),
            Stated::More(_) => before?.checked_add(number),
            Stated::Fewer(_) => before?.checked_sub(number),
        }
    }

    /// A row worked on a needle, and by which reading of its doubtful words: the first that fits the needle, the count
    /// stated, and the row after it; and whether others do as well that work other stitches. `colour` is the one in use
    /// where the row begins; then the one where it ends.
    fn solve_row(
        &mut self,
        course: &Course<'_>,
        at: usize,
        needle: Option<&Needle>,
        stated: Option<u32>,
        colour: &mut Option<Arc<str>>,
    ) -> Result<(Laid, Choice, bool), Trouble> {
        let (row, task) = course.row(at)?;
        let worked = course.plan.worked;
        let mut ways = self.ways(course, at, needle, colour)?;
        let empty = Needle::default();
        let needle = needle.unwrap_or(&empty);
        if ways.len() > 1 {
            let stitches = &self.stitches;
            keep(&mut ways, |(_, laid)| fits(laid, needle, stitches));
            keep(&mut ways, |(_, laid)| {
                laid.as_ref().is_ok_and(|laid| stated.is_none_or(|n| stitches.makes(&laid.stitches) == n))
            });
        }
        if ways.len() > 1 && at + 1 < course.plan.rows.len() {
            let said = self.goes_on.len();
            let serves: Vec<bool> = ways
                .iter()
                .map(|(_, laid)| {
                    let Ok(laid) = laid else { return false };
                    let after = needle.after(laid, row.side, worked, &self.stitches);
                    let next =
                        self.ways(course, at + 1, Some(&after), &mut colour.clone()).unwrap_or_default();
                    next.iter().any(|(_, laid)| fits(laid, &after, &self.stitches))
                })
                .collect();
            // What is to be said of the next row is said when its turn comes.
            self.goes_on.truncate(said);
            let mut serves = serves.into_iter();
            keep(&mut ways, |_| serves.next().unwrap_or(false));
        }
        let open = ways.windows(2).any(|pair| match pair {
            [(_, Ok(one)), (_, Ok(other))] => one.stitches != other.stitches,
            _ => false,
        });
        let (choice, laid) = ways.into_iter().next().ok_or(Trouble::Unreadable)?;
        let laid = laid.map_err(|unworkable| Trouble::Unworkable(unworkable, needle.count()))?;
        if let &Task::Words(text, _) = task
            && self.work(text, row.side, self.begins_in(text)).turn.is_some()
            && self.stitches.uses(&laid.stitches) < needle.count()
        {
            return Err(Trouble::Turned(text));
        }
        Ok((laid, choice, open))
    }

    /// The row worked by each reading of its doubtful words; one where there are none. `colour` is the one in use where
    /// the row begins, unless it says another; then the one where it ends.
    fn ways(
        &mut self,
        course: &Course<'_>,
        at: usize,
        needle: Option<&Needle>,
        colour: &mut Option<Arc<str>>,
    ) -> Result<Vec<Way>, Trouble> {
        let (row, task) = course.row(at)?;
        let worked = course.plan.worked;
        let own = self.begins_in(row.text);
        let said = match task {
            Task::Words(text, _) => own.or_else(|| self.begins_in(*text)),
            Task::Faces { .. } | Task::Plain(..) => own,
        };
        let goes_on = said.is_none();
        let begins_in = said.or_else(|| colour.take());
        *colour = begins_in.clone();
        let readings = match task {
            Task::Words(text, grows) => {
                let work = self.work(*text, row.side, begins_in.clone());
                let InColour { last, changes, single, first_used } = &work.colours;
                if let Some(carried) = begins_in.as_ref().filter(|_| goes_on && *first_used) {
                    self.goes_on.push((row.number, Arc::clone(carried)));
                }
                // Colours for some stitches alone leave none in use.
                *colour = last.clone().filter(|_| *changes || !*single || !goes_on);
                if !work.errors.is_empty() {
                    return Err(Trouble::Unreadable);
                }
                let place = (row.side, begins_in.as_ref());
                self.readings(course, &work, *grows, place).map_err(Trouble::Lost)?
            }
            Task::Faces { against } => {
                let stitches = needle.ok_or(Trouble::Unknown)?.by_faces(row.side, *against);
                let run = |stitch: StitchId| Piece::Work(Item::Run { stitch, extent: Extent::Times(1) });
                let painted: Vec<StitchId> =
                    stitches.into_iter().map(|stitch| self.in_colour(stitch, begins_in.as_deref())).collect();
                self.notes_colour(row.number, begins_in.as_ref().filter(|_| goes_on));
                vec![(Choice::default(), painted.into_iter().map(run).collect())]
            }
            Task::Plain(fabric, index) => {
                let stitch = plain_stitch(*fabric, *index, row.side, worked);
                self.notes_colour(row.number, begins_in.as_ref().filter(|_| goes_on));
                vec![(Choice::default(), plain(self.in_colour(stitch, begins_in.as_deref())))]
            }
        };
        let mut pieces = readings.iter().flat_map(|(_, pieces)| pieces);
        let open = pieces.any(|piece| piece.needs_needle(&self.stitches));
        if open && needle.is_none() {
            return Err(Trouble::Unknown);
        }
        let empty = Needle::default();
        let needle = needle.unwrap_or(&empty);
        Ok(readings
            .into_iter()
            .map(|(choice, pieces)| (choice, needle.lay(&pieces, &self.stitches, (row.side, worked))))
            .collect())
    }
}

/// A row worked by one reading of its words.
type Way = (Choice, Result<Laid, Unworkable>);

fn fits(laid: &Result<Laid, Unworkable>, needle: &Needle, stitches: &Stitches) -> bool {
    laid.as_ref().is_ok_and(|laid| stitches.uses(&laid.stitches) == needle.count())
}

/// Keeps the ways that serve, if any does.
fn keep(ways: &mut Vec<Way>, serves: impl FnMut(&Way) -> bool) {
    let serving: Vec<bool> = ways.iter().map(serves).collect();
    if serving.contains(&true) {
        let mut serving = serving.into_iter();
        ways.retain(|_| serving.next().unwrap_or(false));
    }
}

/// The stitch of a row of a plain fabric.
fn plain_stitch(plain: Plain, index: usize, side: Side, worked: Worked) -> StitchId {
    let in_turn = index.is_multiple_of(2);
    let knit = match (plain.cloth, worked, plain.knit_first) {
        (Cloth::Knit, ..) => true,
        (Cloth::Purl, ..) => false,
        (Cloth::Garter, Worked::Flat, knit_first) => knit_first.unwrap_or(true),
        (Cloth::Garter, Worked::Round, knit_first) => in_turn == knit_first.unwrap_or(true),
        (Cloth::Stocking, Worked::Round, _) => true,
        (Cloth::Reverse, Worked::Round, _) => false,
        (_, Worked::Flat, Some(knit_first)) => in_turn == knit_first,
        (Cloth::Stocking, Worked::Flat, None) => side == Side::Rs,
        (Cloth::Reverse, Worked::Flat, None) => side == Side::Ws,
    };
    if knit { Stitches::K } else { Stitches::P }
}
