//! What each row is to be worked as: by its own words, or by those of a row that it refers to.

use std::borrow::Cow;

use super::super::order::{Plan, Planned};
use super::super::says::Says;
use super::{Lost, Texts, Trouble};
use crate::words::fabric::{Fabric, Plain};
use crate::words::rows::again::{Again, Last, More};
use crate::written::Growth;

/// What a row is to be worked as.
#[derive(Clone)]
pub(super) enum Task {
    /// By the words of a line, grown as rows that refer to it tell.
    Words(usize, Vec<Grows>),
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

/// The rows in order, each with what it is to be worked as.
pub(super) struct Course<'p> {
    pub(super) plan: &'p Plan,
    tasks: Vec<Result<Task, Lost>>,
}

impl Course<'_> {
    pub(super) fn row(&self, at: usize) -> Result<(&Planned, &Task), Trouble> {
        let (row, task) = self.plan.rows.get(at).zip(self.tasks.get(at)).ok_or(Trouble::Unknown)?;
        Ok((row, task.as_ref().map_err(|lost| Trouble::Lost(lost.clone()))?))
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
#[derive(Clone)]
pub(super) struct Grows {
    pub(super) growth: Vec<Growth>,
    /// The number of the row in the first working.
    pub(super) row: u32,
    /// Workings after the first.
    pub(super) workings: u32,
    /// What to say where it does not have what grows.
    pub(super) told: String,
}

impl Texts {
    /// What each row is to be worked as, by the rows that it refers to, and those that they refer to.
    fn tasks(&self, plan: &Plan) -> Vec<Result<Task, Lost>> {
        let mut tasks: Vec<Option<Result<Task, Lost>>> = plan.rows.iter().map(|_| None).collect();
        for first in 0..plan.rows.len() {
            // Rows on the way to one whose task is known. Until theirs are, whoever meets them again goes in a circle.
            let mut way = Vec::new();
            let mut next = Ok(first);
            let mut task = loop {
                let at = match next {
                    Ok(at) => at,
                    Err(lost) => break Err(lost),
                };
                let (Some(row), Some(known)) = (plan.rows.get(at), tasks.get_mut(at)) else {
                    break Err(Lost::Circle);
                };
                if let Some(known) = known {
                    break known.clone();
                }
                *known = Some(Err(Lost::Circle));
                let (source, working) = match self.leads(plan, row) {
                    Ok(Leads::Nowhere(task)) => {
                        way.push((at, None));
                        break Ok(task);
                    }
                    Ok(Leads::AsSet(source)) => (source, None),
                    Ok(Leads::Again(working)) => (working.source, Some(working)),
                    Err(lost) => {
                        way.push((at, None));
                        break Err(lost);
                    }
                };
                way.push((at, working));
                next = plan.index(source).ok_or(Lost::NoRow(source));
            };
            for (at, working) in way.into_iter().rev() {
                if let Some(working) = working {
                    task = task.and_then(|task| self.worked_again(task, working));
                }
                if let Some(known) = tasks.get_mut(at) {
                    *known = Some(task.clone());
                }
            }
        }
        tasks.into_iter().map(|task| task.unwrap_or(Err(Lost::Circle))).collect()
    }

    pub(super) fn course<'p>(&self, plan: &'p Plan) -> Course<'p> {
        Course { plan, tasks: self.tasks(plan) }
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
            Some(Says::Work) | None => Leads::Nowhere(Task::Words(row.text, Vec::new())),
        })
    }

    /// The task of a row in a later working, grown as the line of that tells.
    fn worked_again(&self, mut task: Task, working: Working<'_>) -> Result<Task, Lost> {
        let Working { text, source, workings, again } = working;
        let growth = &again.growth;
        match (&mut task, self.growths.get(&text)) {
            (Task::Words(_, grows), Some(read)) => {
                let told = growth.first().map(More::told).unwrap_or_default();
                grows.push(Grows { growth: read.clone()?, row: source, workings, told });
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
