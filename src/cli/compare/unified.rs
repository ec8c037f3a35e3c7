//! All rows as one list for tools: `-` before a row of the left one, `+` before one of the right one.

use std::fmt::Write as _;

use longhand::compare::{Beside as Rows, Half, Sameness};
use longhand::convert::Pair;

use super::super::report::clean;
use super::Beside;

/// Lines shown before and after what differs.
const AROUND: usize = 3;

/// A line of the list: what each has; the same where both have it.
struct Line {
    left: Option<String>,
    right: Option<String>,
    same: bool,
}

pub(super) fn document(beside: &Beside<'_>) -> String {
    beside.pairs.iter().map(pair).collect()
}

/// The list of one pair; empty where nothing differs.
fn pair(pair: &Pair) -> String {
    let lines: Vec<Line> = head(pair).into_iter().chain(pair.rows.iter().map(row)).collect();
    let mut text = String::new();
    let mut from = 0;
    while let Some(first) = lines.iter().skip(from).position(|line| !line.same).map(|at| at + from) {
        let start = first.saturating_sub(AROUND).max(from);
        let mut end = first + 1;
        // What follows within twice the lines around belongs together.
        while let Some(next) = lines.iter().skip(end).take(2 * AROUND + 1).position(|line| !line.same) {
            end += next + 1;
        }
        let end = (end + AROUND).min(lines.len());
        if text.is_empty() {
            let _ = writeln!(text, "--- {}\n+++ {}", clean(&pair.left), clean(&pair.right));
        }
        hunk(&lines, start..end, &mut text);
        from = end;
    }
    text
}

fn hunk(lines: &[Line], range: std::ops::Range<usize>, text: &mut String) {
    let count = |lines: &[Line], side: fn(&Line) -> &Option<String>| {
        lines.iter().filter(|line| side(line).is_some()).count()
    };
    let before = lines.get(..range.start).unwrap_or_default();
    let here = lines.get(range).unwrap_or_default();
    let place = |side: fn(&Line) -> &Option<String>| {
        let (past, now) = (count(before, side), count(here, side));
        if now == 0 { format!("{past},0") } else { format!("{},{now}", past + 1) }
    };
    let _ = writeln!(text, "@@ -{} +{} @@", place(|line| &line.left), place(|line| &line.right));
    for run in here.chunk_by(|one, two| one.same == two.same) {
        if run.first().is_some_and(|line| line.same) {
            for line in run.iter().filter_map(|line| line.left.as_ref()) {
                let _ = writeln!(text, " {line}");
            }
            continue;
        }
        for line in run.iter().filter_map(|line| line.left.as_ref()) {
            let _ = writeln!(text, "-{line}");
        }
        for line in run.iter().filter_map(|line| line.right.as_ref()) {
            let _ = writeln!(text, "+{line}");
        }
    }
}

/// How the two are worked, and on how many stitches.
fn head(pair: &Pair) -> Vec<Line> {
    let [left, right] = &pair.heads;
    let count = left.len().max(right.len());
    let line = |at: usize| {
        let (left, right) = (left.get(at).cloned(), right.get(at).cloned());
        Line { same: left == right, left, right }
    };
    (0..count).map(line).collect()
}

fn row(row: &Rows) -> Line {
    let said =
        |half: &Half| clean(&format!("Row {} ({}): {}", half.number, half.side.word(), half.said.join(", ")));
    Line {
        left: row.left.as_ref().map(said),
        right: row.right.as_ref().map(said),
        same: row.sameness() == Sameness::Same,
    }
}
