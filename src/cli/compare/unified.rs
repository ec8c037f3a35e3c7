//! All rows as one list for tools: `-` before a row of the left one, `+` before one of the right one.

use std::fmt::Write as _;
use std::sync::Arc;

use longhand::compare::{Beside as Rows, Half, Sameness};
use longhand::convert::Pair;

use super::super::report::{self, clean};
use super::folders::{Form, Outcome, Side, Whole, closing};
use super::{Beside, is_in_rows};

/// Lines shown before and after what differs.
const AROUND: usize = 3;

/// A line of the list: what each has; the same where both have it.
struct Line {
    left: Option<String>,
    right: Option<String>,
    same: bool,
}

pub(super) fn document(beside: &Beside<'_>) -> String {
    beside.pairs.iter().map(|pair| self::pair(pair, [&pair.left, &pair.right])).collect()
}

/// Two folders: the lists of all pairs, each side named by its whole path.
pub(super) const FOLDERS: Form = Form {
    begin: |_| String::new(),
    one: |_, outcome| one(outcome),
    between: "",
    aside: Some(|_, outcome| {
        report::findings(outcome.findings.iter().filter(|finding| !is_in_rows(finding)))
    }),
    end,
    is_kept: false,
};

fn one(outcome: &Outcome) -> String {
    let name = |side: &Option<Side>, letter: &Option<Arc<str>>| {
        let file = side.as_ref().map_or("", |side| &*side.file);
        letter.as_ref().map_or_else(|| file.to_owned(), |letter| format!("{file} {letter}"))
    };
    let list = |pair: &Pair| {
        let [left, right] = &pair.letters;
        self::pair(pair, [&name(&outcome.left, left), &name(&outcome.right, right)])
    };
    outcome.pairs.iter().map(list).collect()
}

/// Nothing but the lists goes to the tool; what they come to is said beside it.
fn end(whole: &Whole<'_>) -> String {
    let terminal = whole.call.terminal;
    terminal.say(&report::findings(whole.findings.iter()));
    if !terminal.quiet {
        terminal.say(&closing(whole));
    }
    String::new()
}

/// The list of one pair, its sides called so; empty where nothing differs.
fn pair(pair: &Pair, called: [&str; 2]) -> String {
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
            let _ = writeln!(text, "--- {}\n+++ {}", clean(called[0]), clean(called[1]));
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
