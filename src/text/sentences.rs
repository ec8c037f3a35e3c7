//! Sentences without a label among the rows: "Knit 6 rows", "Rep Rows 3 and 4 twice more, working ...".

use std::sync::Arc;

use super::faults;
use super::find::{Draft, RowText};
use super::order::{self, Plan};
use super::says::{Says, told_rows};
use super::solve::Texts;
use crate::problem::Finding;

/// Sentences without a label: those that were taken for rows where no number proves it, and those that speak of rows
/// and were not.
pub(super) fn told(file: &Arc<str>, draft: &Draft, plan: &Plan, texts: &Texts, findings: &mut Vec<Finding>) {
    for (text, row) in draft.rows.iter().enumerate().filter(|(_, row)| row.label.is_none() && !row.named) {
        let mut numbers =
            plan.rows.iter().filter(|planned| planned.text == text).map(|planned| planned.number);
        let place = order::place(file, row);
        let since = match texts.says.get(text) {
            Some(Says::As(again)) if !again.growth.is_empty() => "how often, and what grows",
            Some(Says::Last(last)) if !last.growth.is_empty() => "how often, and what grows",
            Some(Says::As(_) | Says::Last(_)) => continue,
            _ => "how many rows, and what is worked",
        };
        let Some(first) = numbers.next() else {
            if is_plain(row) {
                findings.push(faults::rows_untold(place, row.line.text.trim()));
            }
            continue;
        };
        // The number of the next row proves how many there are.
        let proved = is_plain(row) && draft.rows.iter().skip(text + 1).any(|row| row.label.is_some());
        if !proved {
            let last = numbers.next_back().unwrap_or(first);
            findings.push(faults::rows_told(place, first, last, since));
        }
    }
    let untold = draft.untold.iter();
    findings.extend(untold.map(|line| faults::rows_untold(line.place(file, 0), line.text.trim())));
}

/// Whether a line is a sentence such as "Knit 6 rows".
pub(super) fn is_plain(row: &RowText) -> bool {
    row.label.is_none() && !row.named && told_rows(&row.line.text).is_some()
}
