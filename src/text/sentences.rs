//! Sentences without a label among the rows: "Knit 6 rows", "Rep Rows 3 and 4 twice more, working ...".

use std::collections::BTreeMap;
use std::sync::Arc;

use super::faults;
use super::find::{Draft, RowText};
use super::order::{self, Plan, Planned};
use super::reading::Source;
use super::says::{Says, told_rows};
use super::solve::{Solved, Texts};
use crate::problem::Finding;
use crate::words::rows::edges;

/// Sentences without a label: those that were taken for rows where no number proves it, and those that speak of rows
/// and were not. The texts with the stitches they are worked on.
pub(super) fn told(
    file: &Arc<str>,
    draft: &Draft,
    plan: &Plan,
    (texts, cast_on): (&mut Texts, u32),
    findings: &mut Vec<Finding>,
) {
    let Closings { closings, unproved } = closings(draft, plan, texts, cast_on);
    findings.extend(
        unproved
            .and_then(|text| draft.rows.get(text))
            .map(|row| faults::too_many_closings(order::place(file, row), row.line.text.trim())),
    );
    let lines = || plan.rows.iter().map(|row| row.text);
    let (first_text, last_text) = (lines().min().unwrap_or(0), lines().max().unwrap_or(0));
    // The first and the last row that each line tells.
    let mut told: BTreeMap<usize, (u32, u32)> = BTreeMap::new();
    for Planned { number, text, .. } in &plan.rows {
        told.entry(*text).or_insert((*number, *number)).1 = *number;
    }
    let labelled = draft.rows.iter().rposition(|row| row.label.is_some());
    for (text, row) in draft.rows.iter().enumerate().filter(|(_, row)| row.label.is_none() && !row.named) {
        let numbers = told.get(&text);
        let place = order::place(file, row);
        let since = match texts.says.get(text) {
            Some(Says::As(again)) if !again.growth.is_empty() => "how often, and what grows",
            Some(Says::Last(last)) if !last.growth.is_empty() => "how often, and what grows",
            Some(Says::As(_) | Says::Last(_)) if numbers.is_some() => continue,
            Some(Says::As(_) | Says::Last(_)) => "",
            _ => "how many rows, and what is worked",
        };
        let Some(&(first, last)) = numbers else {
            if is_plain(row) && (first_text..last_text).contains(&text) {
                findings.push(faults::rows_between(place, row.line.text.trim()));
            } else if is_plain(row) {
                findings.push(faults::rows_untold(place, row.line.text.trim()));
            } else {
                let closing = closings.binary_search_by_key(&text, |closing| closing.text).ok();
                let closing = closing.and_then(|at| closings.get(at));
                findings.extend(closing.map(|Closing { before, rows, stated, .. }| {
                    faults::rows_not_added(place, row.line.text.trim(), *before, *rows, *stated)
                }));
            }
            continue;
        };
        // The number of the next row proves how many there are.
        let proved = is_plain(row) && labelled.is_some_and(|at| at > text);
        if !proved {
            findings.push(faults::rows_told(place, first, last, since));
        }
    }
    let untold = draft.untold.iter();
    findings.extend(untold.map(|line| faults::rows_untold(line.place(file, 0), line.text.trim())));
    let again = draft.again.iter();
    findings.extend(
        again.map(|line| faults::rows_not_added(line.place(file, 0), line.text.trim(), None, None, None)),
    );
    findings.extend(wrong_counts(file, draft, &closings));
}

/// Numbers of stitches to cast on beside those that the rows are worked on.
pub(super) fn other_cast_ons(source: Source<'_>) -> Vec<Finding> {
    let Source { file, draft, above, .. } = source;
    // Where the call says which, nothing is left to ask.
    let open = || draft.aside.iter().filter(|_| above.cast_on.is_none());
    let taken = &draft.facts.cast_on;
    open()
        .map(|(line, counts)| faults::other_cast_on(line.place(file, 0), line.text.trim(), counts, taken))
        .collect()
}

/// Sentences about the edges of every row, where the rows as they are written have others.
pub(super) fn edges(
    file: &Arc<str>,
    draft: &Draft,
    (plan, texts): (&Plan, &Texts),
    solved: &[Solved],
) -> Vec<Finding> {
    let told = draft.edges.iter().filter_map(|line| {
        let (sentence, edges) = edges::told(&line.text)?;
        let worked =
            plan.rows.iter().zip(solved).filter_map(|(row, solved)| Some((row, solved.row.as_ref().ok()?)));
        let mut others = worked.filter(|(_, laid)| !edges.are_of(&laid.stitches, &texts.stitches));
        let (row, _) = others.next()?;
        let at = line.text.find(sentence).unwrap_or(0);
        Some(faults::edges(line.place(file, at), row.number, sentence))
    });
    told.collect()
}

/// A sentence that has rows worked again and adds none to the pattern, "Rep Rows 3 and 4 twice more. 18 sts."
struct Closing {
    /// Its line.
    text: usize,
    /// The number of the row before it.
    before: Option<u32>,
    /// The first and the last row that it has worked, if it says how often.
    rows: Option<(u32, u32)>,
    /// The stitches it states, and those that are left where its rows fit.
    stated: Option<(u32, Option<u32>)>,
}

/// Such sentences, and the first of them, by its line, that was too much to prove.
struct Closings {
    closings: Vec<Closing>,
    unproved: Option<usize>,
}

/// The sentences that say how often rows are worked again, or what that leaves: the rows are worked so often, apart, to
/// see what they leave.
fn closings(draft: &Draft, plan: &Plan, texts: &mut Texts, cast_on: u32) -> Closings {
    /// Rows that are worked to prove counts, at most, those before each sentence among them.
    const MOST: usize = 200_000;
    let mut room = MOST;
    let mut all = Closings { closings: Vec::new(), unproved: None };
    let mut before = 0;
    for (text, row) in draft.rows.iter().enumerate() {
        if row.label.is_some() || row.named || plan.rows_of(text) > 0 {
            continue;
        }
        let counts = texts.stated.get(text).is_some_and(Option::is_some);
        let says = texts.says.get(text);
        let often = match says {
            Some(Says::As(again)) => again.times.is_some(),
            Some(Says::Last(last)) => last.times.is_some(),
            _ => continue,
        };
        if !often && !counts {
            continue;
        }
        before = plan.rows_before(text, before);
        let last = before.checked_sub(1).and_then(|at| plan.rows.get(at)).map(|row| row.number);
        let count = plan.told_again(before, says);
        let rows = last.zip(count).map(|(last, count)| (last.saturating_add(1), last.saturating_add(count)));
        let mut stated = None;
        if let Some(count) = count.filter(|_| counts) {
            match room.checked_sub(before + count as usize) {
                Some(left) => {
                    room = left;
                    let again = plan.with_sentence(before, count, text);
                    stated = again.and_then(|again| stated_and_left(&again, texts, cast_on));
                }
                None => all.unproved = all.unproved.or(Some(text)),
            }
        }
        all.closings.push(Closing { text, before: last, rows, stated });
    }
    all
}

/// The count stated behind rows, and the stitches they leave where they can be worked.
fn stated_and_left(plan: &Plan, texts: &mut Texts, cast_on: u32) -> Option<(u32, Option<u32>)> {
    let solved = texts.solve(plan, cast_on);
    let last = solved.last()?;
    let sound = solved.iter().all(|solved| solved.row.is_ok());
    let laid = last.row.as_ref().ok().filter(|_| sound);
    Some((last.stated?, laid.map(|laid| texts.stitches.makes(&laid.stitches))))
}

/// Counts behind sentences that add no rows which are not what those leave.
pub(super) fn counts(
    file: &Arc<str>,
    draft: &Draft,
    plan: &Plan,
    texts: &mut Texts,
    cast_on: u32,
) -> Vec<Finding> {
    wrong_counts(file, draft, &closings(draft, plan, texts, cast_on).closings)
}

fn wrong_counts(file: &Arc<str>, draft: &Draft, closings: &[Closing]) -> Vec<Finding> {
    let wrong = closings.iter().filter_map(|closing| {
        let (stated, left) = closing.stated?;
        let (row, left) = (draft.rows.get(closing.text)?, left.filter(|left| *left != stated)?);
        Some(faults::stated_behind(order::place(file, row), row.line.text.trim(), stated, left))
    });
    wrong.collect()
}

/// Whether a line is a sentence such as "Knit 6 rows".
pub(super) fn is_plain(row: &RowText) -> bool {
    row.label.is_none() && !row.named && told_rows(&row.line.text).is_some()
}
