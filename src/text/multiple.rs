//! The multiple that a text states, held against its cast-on and its rows.

use std::sync::Arc;

use super::find::Draft;
use super::needle::Unworkable;
use super::order::{self, Plan};
use super::solve::{Solved, Texts, Trouble};
use crate::pattern::Multiple;
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::written::Misfit;

/// What is wrong with the multiple: a cast-on that is none of it, or a row that does not come out even one repeat wider.
/// The rows are known to add up on `cast_on`.
pub(super) fn wrong(
    file: &Arc<str>,
    draft: &Draft,
    plan: &Plan,
    texts: &mut Texts,
    cast_on: u32,
) -> Option<Finding> {
    let multiple = draft.facts.multiple.filter(|multiple| multiple.of > 0)?;
    // Rows after a set-up row begin on what that leaves, which the head of the text does not speak of.
    if draft.after_set_up {
        return None;
    }
    let holds = |cast_on: u32| multiple.times(cast_on).is_some();
    if let Some(&other) = draft.facts.cast_on.iter().find(|&&cast_on| !holds(cast_on)) {
        return Some(cast_on_wrong(place(file, draft), multiple, other));
    }
    if !holds(cast_on) {
        return None;
    }
    let wider = cast_on.checked_add(multiple.of)?;
    let solved = texts.solve(plan, wider);
    let (at, misfit) = first_misfit(&solved, texts, wider)?;
    let row = plan.rows.get(at)?;
    let place = draft.rows.get(row.text).map_or_else(|| place(file, draft), |row| order::place(file, row));
    Some(row_wrong(place, multiple, row.number, (cast_on, wider), misfit))
}

/// The first row whose repeat leaves stitches over, where all rows before it take what there is: what follows a row that
/// is told for one width alone says nothing of the multiple.
fn first_misfit(solved: &[Solved], texts: &Texts, cast_on: u32) -> Option<(usize, (u32, u32))> {
    let mut loops = cast_on;
    for (at, solved) in solved.iter().enumerate() {
        match &solved.row {
            Ok(laid) if texts.stitches.uses(&laid.stitches) == loops => {
                loops = texts.stitches.makes(&laid.stitches);
            }
            Err(Trouble::Unworkable(Unworkable::Misfit(Misfit::DoesNotDivide { unit, over, .. }), _)) => {
                return Some((at, (*unit, *over)));
            }
            _ => return None,
        }
    }
    None
}

fn place(file: &Arc<str>, draft: &Draft) -> Place {
    match (&draft.multiple_told, draft.rows.first()) {
        (Some(line), _) => line.place(file, 0),
        (None, Some(row)) => order::place(file, row),
        (None, None) => Place::file(file),
    }
}

fn cast_on_wrong(place: Place, multiple: Multiple, cast_on: u32) -> Finding {
    let nearest = match multiple.nearest(cast_on) {
        (Some(less), more) => format!("{less} or {more} sts"),
        (None, more) => format!("{more} sts"),
    };
    Finding::new(
        Code::MultipleMismatch,
        place,
        format!("The text says {}, but casts on {cast_on} sts, which is none.", multiple),
    )
    .found(format!("{cast_on} sts"))
    .expected(nearest)
    .help("Correct the multiple or the cast-on. Where edges are cast on beside the repeats, count them: \"plus\" is all that stands outside.")
}

fn row_wrong(
    place: Place,
    multiple: Multiple,
    number: u32,
    (cast_on, wider): (u32, u32),
    (unit, over): (u32, u32),
) -> Finding {
    let over = if over == 1 { "1 is".to_owned() } else { format!("{over} are") };
    Finding::new(
        Code::MultipleMismatch,
        place,
        format!(
            "The text says {}. The rows come out even on {cast_on} sts, but one repeat wider, on {wider} sts, {over} left over \
             from the repeat of Row {number}, which uses {unit} sts.",
            multiple
        ),
    )
    .row(number)
    .found(multiple.to_string())
    .expected("a multiple of what all repeats use")
    .help("Correct the multiple, or the repeat of the row.")
}
