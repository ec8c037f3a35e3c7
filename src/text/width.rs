//! The width a pattern is worked on: stated, told by its first row or its multiple, or the fewest stitches that every
//! row fits.

use super::faults;
use super::find::Draft;
use super::order::{self, Plan};
use super::reading::Source;
use super::solve::{Solved, Texts};
use super::stated::Stated;
use crate::place::Place;
use crate::problem::Finding;

/// The widest cast-on that is tried.
const WIDEST: u32 = 400;

/// Patterns of more rows are not tried on many widths.
const MOST_ROWS: usize = 500;

/// Nor are patterns of more stitches; nor is anything tried once so many are worked in all.
const MOST_STITCHES: usize = 100_000;
const MOST_IN_ALL: usize = 2_000_000;

/// How many repeats are worked where the text leaves it open and no setting says.
const REPEATS: u32 = 2;

/// Stitches to cast on. An assumption is a finding.
pub(super) fn cast_on(
    source: Source<'_>,
    plan: &Plan,
    texts: &mut Texts,
    findings: &mut Vec<Finding>,
) -> u32 {
    let Source { file, draft, below, above } = source;
    let facts = &draft.facts;
    let stated = above
        .cast_on
        .or_else(|| facts.cast_on.first().copied())
        .or(draft.said.cast_on)
        .or(facts.over)
        .or(below.cast_on);
    if let Some(stated) = stated {
        return stated;
    }
    if let Some(uses) = texts.first_uses(plan).filter(|&uses| uses > 0) {
        return uses;
    }
    let place = draft.rows.first().map_or_else(|| Place::file(file), |row| order::place(file, row));
    if let Some(multiple) = facts.multiple {
        let cast_on = |repeats: u32| multiple.of.saturating_mul(repeats).saturating_add(multiple.plus);
        let repeats = match above.repeats {
            Some(repeats) => repeats,
            None => counted_repeats(plan, texts, cast_on).or(below.repeats).unwrap_or(REPEATS),
        };
        let repeats = repeats.max(1);
        let cast_on = cast_on(repeats);
        findings.push(faults::width_assumed(place, cast_on, Some(repeats)));
        return cast_on;
    }
    let (cast_on, fits) = narrowest(plan, texts);
    texts.free_width = true;
    if fits {
        findings.push(faults::width_assumed(place, cast_on, None));
    }
    cast_on
}

/// How many repeats the counts are stated for: those on which the most rows have them right.
fn counted_repeats(plan: &Plan, texts: &mut Texts, cast_on: impl Fn(u32) -> u32) -> Option<u32> {
    if plan.rows.len() > MOST_ROWS || !texts.stated.iter().flatten().any(Stated::is_count) {
        return None;
    }
    let (mut best, mut in_all) = ((0, None), 0);
    for repeats in (1..).take_while(|&repeats| cast_on(repeats) <= WIDEST) {
        let solved = texts.solve(plan, cast_on(repeats));
        let counted = |one: &&Solved| one.stated.is_some();
        let fitting = fitting(&solved, texts, cast_on(repeats));
        let right = solved.iter().take(fitting).filter(counted).count();
        if right > best.0 {
            best = (right, Some(repeats));
        }
        in_all += solved
            .iter()
            .filter_map(|one| one.row.as_ref().ok())
            .map(|laid| laid.stitches.len())
            .sum::<usize>();
        if fitting == plan.rows.len() && right > 0 || in_all > MOST_IN_ALL {
            break;
        }
    }
    best.1
}

/// The text's own width, where another one is asked for and the counts stated are wrong on that, but all right on its own.
pub(super) fn counted_on(draft: &Draft, plan: &Plan, texts: &mut Texts, asked: u32) -> Option<u32> {
    let facts = &draft.facts;
    let solved = texts.solve(plan, asked);
    let wrong = |solved: &Solved| match (&solved.row, solved.stated) {
        (Ok(laid), Some(stated)) => texts.stitches.makes(&laid.stitches) != stated,
        _ => false,
    };
    if !solved.iter().any(wrong) {
        return None;
    }
    let told = facts.cast_on.first().copied().or(draft.said.cast_on).or(facts.over);
    let own = told.or_else(|| Some(narrowest(plan, texts)).filter(|(_, fits)| *fits).map(|(own, _)| own));
    own.filter(|&own| own != asked && fitting(&texts.solve(plan, own), texts, own) == plan.rows.len())
}

/// The width that the most rows fit, and whether all of them do. Of the widths that all rows fit it is the second:
/// the first has a single repeat, which would tell nothing of what recurs. One that they fit only where last repeats end
/// in an unusual way is taken where no other is found.
fn narrowest(plan: &Plan, texts: &mut Texts) -> (u32, bool) {
    let mut best = (0, 1);
    let (mut first, mut unusual) = (None, None);
    let mut in_all = 0;
    if plan.rows.len() > MOST_ROWS {
        return (best.1, false);
    }
    for cast_on in 1..=WIDEST {
        let solved = texts.solve(plan, cast_on);
        // Long rows are not tried on many widths either.
        let worked = solved.iter().filter_map(|one| one.row.as_ref().ok());
        let worked: usize = worked.map(|laid| laid.stitches.len()).sum();
        in_all += worked;
        if worked > MOST_STITCHES || in_all > MOST_IN_ALL {
            break;
        }
        let fitting = fitting(&solved, texts, cast_on);
        if fitting == plan.rows.len() && solved.iter().any(|row| row.choice.ending > 0) {
            unusual = unusual.or(Some(cast_on));
        } else if fitting == plan.rows.len() {
            if first.is_some() {
                return (cast_on, true);
            }
            first = Some(cast_on);
        }
        if fitting > best.0 {
            best = (fitting, cast_on);
        }
    }
    match first.or(unusual) {
        Some(first) => (first, true),
        None => (best.1, false),
    }
}

/// How many rows from the first on fit each other and the counts they state.
fn fitting(solved: &[Solved], texts: &Texts, cast_on: u32) -> usize {
    let mut loops = cast_on;
    solved
        .iter()
        .take_while(|solved| {
            let Ok(laid) = &solved.row else { return false };
            // A repeat that is not worked at all is none.
            let worked = laid.items.iter().all(|(_, length)| *length > 0);
            let fits = worked && texts.stitches.uses(&laid.stitches) == loops;
            loops = texts.stitches.makes(&laid.stitches);
            fits && solved.stated.is_none_or(|stated| stated == loops)
        })
        .count()
}
