//! What each row is to be worked as: by its own words, or by those of a row that it refers to.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;
use std::sync::Arc;

use super::super::order::{Plan, Planned};
use super::super::says::Says;
use super::{Lost, Texts, Trouble};
use crate::pattern::Side;
use crate::stitch::Stitches;
use crate::words::fabric::{Fabric, Plain};
use crate::words::rows::again::{Again, Last, More};
use crate::words::{Choice, Piece};
use crate::written::{Growth, Item, grown};

/// What a row is to be worked as.
#[derive(Clone)]
pub(super) enum Task {
    /// By the words of a line, grown as rows that refer to it tell: the last of these, in the course.
    Words(usize, Option<usize>),
    /// Each loop by its face, or otherwise than its face.
    Faces { against: bool },
    /// A plain fabric, the row of it from 0.
    Plain(Plain, usize),
}

/// Where a row leads that must be known to work it.
enum Leads<'t> {
    /// It says by itself what is worked.
    Nowhere(Task),
    /// To the row two before, by its number.
    AsSet(u32),
    /// To one that it works again.
    Again(Working<'t>),
}

/// The rows in order, each with what it is to be worked as, where that is known.
pub(super) struct Course<'p> {
    pub(super) plan: &'p Plan,
    tasks: Vec<Option<Result<Task, Lost>>>,
    /// How words grow, one upon the other.
    grows: Vec<Grows>,
    /// What words are that have grown.
    grown: RefCell<HashMap<Place, Rc<Readings>>>,
}

/// The last growth of words, and the side and the colour they are worked in.
type Place = (usize, Side, Option<Arc<str>>);

/// The pieces of a row, by each reading of its doubtful words.
pub(super) type Readings = Result<Vec<(Choice, Vec<Piece>)>, Lost>;

impl<'p> Course<'p> {
    pub(super) fn new(plan: &'p Plan) -> Self {
        let tasks = plan.rows.iter().map(|_| None).collect();
        Self { plan, tasks, grows: Vec::new(), grown: RefCell::default() }
    }

    pub(super) fn row(&self, at: usize) -> Result<(&Planned, &Task), Trouble> {
        let (row, task) = self.plan.rows.get(at).zip(self.tasks.get(at)).ok_or(Trouble::Unknown)?;
        let task = task.as_ref().ok_or(Trouble::Unknown)?;
        Ok((row, task.as_ref().map_err(|lost| Trouble::Lost(lost.clone()))?))
    }

    /// The tasks of some rows are known no more.
    pub(super) fn forget(&mut self, passed: Vec<(usize, usize)>) {
        for (at, _) in passed {
            if let Some(task) = self.tasks.get_mut(at) {
                *task = None;
            }
        }
    }

    /// What words are as they have grown: each growth is worked out once. `first` is what they were, on a side, begun in a
    /// colour.
    pub(super) fn grown(
        &self,
        last: usize,
        first: Readings,
        (side, colour): (Side, Option<&Arc<str>>),
        stitches: &Stitches,
    ) -> Rc<Readings> {
        let mut known = self.grown.borrow_mut();
        let place = |at: usize| (at, side, colour.cloned());
        let (mut way, mut next) = (Vec::new(), Some(last));
        let mut readings = Rc::new(first);
        while let Some(at) = next {
            if let Some(found) = known.get(&place(at)) {
                readings = Rc::clone(found);
                break;
            }
            way.push(at);
            next = self.grows.get(at).and_then(|grows| grows.before);
        }
        for at in way.into_iter().rev() {
            let Some(grows) = self.grows.get(at) else { continue };
            let grow = |(choice, pieces): &(Choice, Vec<Piece>)| Ok((*choice, grows.grow(pieces, stitches)?));
            let grown = readings.as_ref().as_ref().map_err(Clone::clone);
            readings = Rc::new(grown.and_then(|readings| readings.iter().map(grow).collect()));
            known.insert(place(at), Rc::clone(&readings));
        }
        readings
    }
}

/// A row that works another one again.
struct Working<'t> {
    /// Its line.
    text: usize,
    /// The number of the row that it works.
    source: u32,
    /// Workings of that row after the first one, with this.
    workings: u32,
    /// What its line says.
    again: Cow<'t, Again>,
}

/// How the words of a row grow in a later working.
struct Grows {
    growth: Vec<Growth>,
    /// The number of the row in the first working.
    row: u32,
    /// Workings after the first.
    workings: u32,
    /// What to say where it does not have what grows.
    told: String,
    /// How they have grown before.
    before: Option<usize>,
}

impl Grows {
    /// The pieces of a row as they are then.
    fn grow(&self, pieces: &[Piece], stitches: &Stitches) -> Result<Vec<Piece>, Lost> {
        let lost = || Lost::Growth(self.told.clone());
        // What grows may stand between markers, where it is not looked for.
        if pieces.iter().any(|piece| matches!(piece, Piece::Repeat { .. })) {
            return Err(lost());
        }
        let items: Vec<Item> = pieces
            .iter()
            .filter_map(|piece| match piece {
                Piece::Work(item) => Some(item.clone()),
                _ => None,
            })
            .collect();
        let mut items =
            grown(&items, &self.growth, self.row, self.workings, stitches).ok_or_else(lost)?.into_iter();
        let piece = |piece: &Piece| match piece {
            Piece::Work(item) => Piece::Work(items.next().unwrap_or_else(|| item.clone())),
            other => other.clone(),
        };
        Ok(pieces.iter().map(piece).collect())
    }
}

impl Texts {
    /// Finds out what a row is to be worked as, by the rows that it refers to, and those that they refer to: the rows on the
    /// way, and the lines that tell of them.
    pub(super) fn know(&self, course: &mut Course<'_>, first: usize) -> Vec<(usize, usize)> {
        let plan = course.plan;
        // Rows on the way to one whose task is known. Until theirs are, whoever meets them again goes in a circle.
        let mut way = Vec::new();
        let mut next = Ok(first);
        let mut task = loop {
            let at = match next {
                Ok(at) => at,
                Err(lost) => break Err(lost),
            };
            let (Some(row), Some(known)) = (plan.rows.get(at), course.tasks.get_mut(at)) else {
                break Err(Lost::Circle);
            };
            if let Some(known) = known {
                break known.clone();
            }
            *known = Some(Err(Lost::Circle));
            let (source, working) = match self.leads(plan, row) {
                Ok(Leads::Nowhere(task)) => {
                    way.push((at, row.text, None));
                    break Ok(task);
                }
                Ok(Leads::AsSet(source)) => (source, None),
                Ok(Leads::Again(working)) => (working.source, Some(working)),
                Err(lost) => {
                    way.push((at, row.text, None));
                    break Err(lost);
                }
            };
            way.push((at, row.text, working));
            next = plan.index(source).ok_or(Lost::NoRow(source));
        };
        let mut passed = Vec::new();
        for (at, text, working) in way.into_iter().rev() {
            if let Some(working) = working {
                task = task.and_then(|task| self.worked_again(task, working, &mut course.grows));
            }
            if let Some(known) = course.tasks.get_mut(at) {
                *known = Some(task.clone());
            }
            passed.push((at, text));
        }
        passed
    }

    pub(super) fn course<'p>(&self, plan: &'p Plan) -> Course<'p> {
        let mut course = Course::new(plan);
        for at in 0..plan.rows.len() {
            let _ = self.know(&mut course, at);
        }
        course
    }

    /// Which row a row refers to, if any.
    fn leads(&self, plan: &Plan, row: &Planned) -> Result<Leads<'_>, Lost> {
        Ok(match self.says.get(row.text) {
            Some(Says::As(_) | Says::Last(_)) => Leads::Again(self.working(plan, row)?),
            Some(Says::Fabric(Fabric::AsSet | Fabric::Rib)) => {
                Leads::AsSet(row.number.checked_sub(2).ok_or(Lost::NoRow(0))?)
            }
            Some(Says::Fabric(Fabric::Faces)) => Leads::Nowhere(Task::Faces { against: false }),
            Some(Says::Fabric(Fabric::AgainstFaces)) => Leads::Nowhere(Task::Faces { against: true }),
            Some(Says::Fabric(Fabric::Plain(plain))) => Leads::Nowhere(Task::Plain(*plain, row.index)),
            Some(Says::Work) | None => Leads::Nowhere(Task::Words(row.text, None)),
        })
    }

    /// The task of a row in a later working, grown as the line of that tells.
    fn worked_again(&self, mut task: Task, working: Working<'_>, all: &mut Vec<Grows>) -> Result<Task, Lost> {
        let Working { text, source, workings, again } = working;
        let growth = &again.growth;
        match (&mut task, self.growths.get(&text)) {
            (Task::Words(_, last), Some(read)) => {
                let told = growth.first().map(More::told).unwrap_or_default();
                all.push(Grows { growth: read.clone()?, row: source, workings, told, before: *last });
                *last = Some(all.len() - 1);
            }
            // Of a row told by its fabric nothing can grow.
            _ => {
                if let Some(more) = growth.iter().find(|more| more.rows.contains(&source)) {
                    return Err(Lost::Growth(more.told()));
                }
            }
        }
        Ok(task)
    }

    /// Which row a row works again that refers to others.
    fn working(&self, plan: &Plan, row: &Planned) -> Result<Working<'_>, Lost> {
        let again = self.again(row)?;
        let Again { rows, times, .. } = &*again;
        let count = plan.rows_of(row.text);
        let due = rows.len().saturating_mul(times.map_or(1, |times| times as usize));
        let even = match times {
            Some(_) => count == due,
            None => count.is_multiple_of(due.max(1)),
        };
        if !even && !row.together {
            return Err(Lost::Uneven { rows: count, again: due });
        }
        let each = rows.len().max(1);
        let source = *rows.get(row.index % each).ok_or(Lost::NoRow(row.number))?;
        let workings = u32::try_from(row.index / each + 1).unwrap_or(u32::MAX);
        Ok(Working { text: row.text, source, workings, again })
    }

    /// The rows that the text of a row refers to; none where it does not.
    pub(super) fn again(&self, row: &Planned) -> Result<Cow<'_, Again>, Lost> {
        match self.says.get(row.text) {
            Some(Says::As(again)) => Ok(Cow::Borrowed(again)),
            Some(Says::Last(Last { rows, times, growth })) => {
                // Rows that are told together stand in one run.
                let first = row.number.saturating_sub(u32::try_from(row.index).unwrap_or(u32::MAX));
                let from = first.checked_sub(*rows).ok_or(Lost::NoRow(0))?;
                let (rows, growth) = ((from..first).collect(), growth.clone());
                Ok(Cow::Owned(Again { rows, times: *times, sure: true, growth }))
            }
            _ => Err(Lost::NoRow(row.number)),
        }
    }
}
