//! Two rows beside each other, piece by piece, as a page or a screen shows them.

use std::ops::Range;

use similar::DiffOp;

use super::lines::{Line, Lines};
use crate::pattern::Side;
use crate::place::Place;

/// Two rows beside each other; one of them may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Beside {
    /// The row of the left pattern.
    pub left: Option<Half>,
    /// The row of the right pattern.
    pub right: Option<Half>,
    /// What both say, in the order compared: that of a right-handed knitter where the hands differ.
    pub cells: Vec<Cell>,
}

/// One of two rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Half {
    /// Its number.
    pub number: u32,
    /// Its side.
    pub side: Side,
    /// Where it stands.
    pub place: Place,
    /// What it says from end to end, run by run.
    pub said: Vec<String>,
}

/// Some stitches of both rows that are the same or not.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Whether they are the same.
    pub sameness: Sameness,
    /// What the left row has there, run by run: "k3", "yo".
    pub left: Vec<String>,
    /// What the right row has there.
    pub right: Vec<String>,
}

/// How much the same some stitches are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sameness {
    /// The same stitches.
    Same,
    /// The same fabric, worked otherwise.
    Alike,
    /// Not the same.
    Different,
}

impl Beside {
    /// How much the same the rows are.
    pub fn sameness(&self) -> Sameness {
        if self.left.is_none() || self.right.is_none() {
            return Sameness::Different;
        }
        self.cells.iter().map(|cell| cell.sameness).max().unwrap_or(Sameness::Same)
    }

    pub(super) fn left_alone(has: &Lines<'_>, line: &Line<'_>) -> Self {
        let half = Half::of(has, line);
        let cell = Cell { sameness: Sameness::Different, left: half.said.clone(), right: Vec::new() };
        Self { left: Some(half), right: None, cells: vec![cell] }
    }

    pub(super) fn right_alone(has: &Lines<'_>, line: &Line<'_>) -> Self {
        let half = Half::of(has, line);
        let cell = Cell { sameness: Sameness::Different, left: Vec::new(), right: half.said.clone() };
        Self { left: None, right: Some(half), cells: vec![cell] }
    }

    /// Two rows, and how the one becomes the other.
    pub(super) fn both(
        (left, one): (&Lines<'_>, &Line<'_>),
        (right, two): (&Lines<'_>, &Line<'_>),
        operations: &[DiffOp],
    ) -> Self {
        let cells = stretches(one, two, operations).into_iter().map(|stretch| Cell {
            sameness: stretch.sameness,
            left: left.pieces_of(one, stretch.left),
            right: right.pieces_of(two, stretch.right),
        });
        Self { left: Some(Half::of(left, one)), right: Some(Half::of(right, two)), cells: cells.collect() }
    }
}

impl Half {
    fn of(has: &Lines<'_>, line: &Line<'_>) -> Self {
        let said = has.pieces_of(line, 0..line.looks.len());
        Self { number: line.row.number, side: line.row.side, place: line.row.place.clone(), said }
    }
}

/// Stitches of both rows, by their indexes in the order compared.
struct Stretch {
    sameness: Sameness,
    left: Range<usize>,
    right: Range<usize>,
}

/// The rows cut where they begin or cease to be the same. A run that is longer in the one is shown whole, "k5" beside
/// "k4", not as one stitch beside nothing.
fn stretches(one: &Line<'_>, two: &Line<'_>, operations: &[DiffOp]) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut from = (0, 0);
    for (at, operation) in operations.iter().enumerate() {
        let (old, new) = (operation.old_range(), operation.new_range());
        // What a longer run before has taken already.
        let (old, new) = (old.start.max(from.0)..old.end, new.start.max(from.1)..new.end);
        if let DiffOp::Equal { .. } = operation {
            alike(one, two, (old.clone(), new.clone()), &mut stretches);
        } else {
            let mut stretch =
                Stretch { sameness: Sameness::Different, left: old.clone(), right: new.clone() };
            if let Some(run) = one_run(one, two, &stretch) {
                let next = match operations.get(at + 1) {
                    Some(&DiffOp::Equal { len, .. }) => len,
                    _ => 0,
                };
                whole_run(one, run, next, &mut stretch, &mut stretches);
            }
            from = (stretch.left.end, stretch.right.end);
            stretches.push(stretch);
            continue;
        }
        from = (old.end, new.end);
    }
    stretches.retain(|stretch| !(stretch.left.is_empty() && stretch.right.is_empty()));
    stretches
}

/// The look of the stitches that the one row has more than the other, where all are of one kind.
fn one_run<'l>(one: &'l Line<'_>, two: &'l Line<'_>, stretch: &Stretch) -> Option<&'l String> {
    let more = match (stretch.left.is_empty(), stretch.right.is_empty()) {
        (false, true) => one.looks.get(stretch.left.clone())?,
        (true, false) => two.looks.get(stretch.right.clone())?,
        _ => return None,
    };
    let (first, rest) = more.split_first()?;
    rest.iter().all(|other| other == first).then_some(first)
}

/// Takes the like stitches before and after into the stretch; `next` are the same in both after it.
fn whole_run(one: &Line<'_>, look: &String, next: usize, stretch: &mut Stretch, before: &mut [Stretch]) {
    if let Some(last) = before.last_mut().filter(|last| last.sameness != Sameness::Different) {
        let stitches = one.looks.get(last.left.clone()).unwrap_or_default();
        let run = stitches.iter().rev().take_while(|other| *other == look).count();
        last.left.end -= run;
        last.right.end -= run;
        stretch.left.start -= run;
        stretch.right.start -= run;
    }
    let end = stretch.left.end;
    let after = one.looks.get(end..end + next).unwrap_or_default();
    let run = after.iter().take_while(|other| *other == look).count();
    stretch.left.end += run;
    stretch.right.end += run;
}

/// Stitches that look alike: cut where they begin or cease to be the same.
fn alike(
    one: &Line<'_>,
    two: &Line<'_>,
    (left, right): (Range<usize>, Range<usize>),
    stretches: &mut Vec<Stretch>,
) {
    for (at, with) in left.zip(right) {
        let same = one.names.get(at) == two.names.get(with);
        let sameness = if same { Sameness::Same } else { Sameness::Alike };
        match stretches.last_mut() {
            Some(last) if last.sameness == sameness && last.left.end == at && last.right.end == with => {
                last.left.end += 1;
                last.right.end += 1;
            }
            _ => stretches.push(Stretch { sameness, left: at..at + 1, right: with..with + 1 }),
        }
    }
}
