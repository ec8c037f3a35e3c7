//! Rows that run over several lines: a label above its work, work that goes on, words that a hyphen breaks at the end of a
//! line.

use super::heads::{is_needle, is_remark, says_needle};
use super::row_label;
use crate::document::{Kind, Line};
use crate::text::says::{Says, says, told_rows};
use crate::text::stated::{is_count, part_count};
use crate::words::rows::label::{Label, Rows, label};
use crate::words::{mistakes, reads, texts};

/// The longest text of a row that is put together from lines, in bytes.
const LONGEST_ROW_TEXT: usize = 20_000;

/// A label that stands alone on its line, with the line under it, which must be work that can be read.
pub(super) fn with_work(line: &Line, next: &Line) -> Option<((Label, usize), Line)> {
    let plain = [line, next].iter().all(|line| line.kind == Kind::Text && !line.whole && !line.is_blank());
    if !plain || line.text.len() > 100 || next.text.len() > LONGEST_ROW_TEXT {
        return None;
    }
    let alone = format!("{}:", line.text.trim().trim_end_matches('.'));
    label(&alone).filter(|label| label.length == alone.len())?;
    let work = next.text.trim();
    // The work may run on over the line.
    let whole = work.trim_end_matches([',', ';']);
    let by_another = work.get(..3).is_some_and(|first| first.eq_ignore_ascii_case("as "));
    if !(by_another && matches!(says(work), Says::As(_))) {
        reads(whole).then_some(())?;
    }
    let mut joined = line.clone();
    joined.join(next);
    let found = row_label(&joined.text)?;
    let rest = joined.text.get(found.1 + found.0.length..)?;
    (rest.trim() == work).then_some((found, joined))
}

/// Whether a row runs over into the next line.
pub(super) fn runs_on(row: &str, next: &Line) -> bool {
    if next.is_blank()
        || next.kind != Kind::Text
        || row_label(&next.text).is_some()
        || told_rows(&next.text).is_some()
        || is_remark(next.text.trim_start())
    {
        return false;
    }
    // Longer than any row: a file without an end to its sentences.
    if row.len() > LONGEST_ROW_TEXT {
        return false;
    }
    if is_count(&next.text) && part_count(row).1.is_none() {
        return true;
    }
    // "Rnd 3:", and a line for each needle under it.
    if is_needle(&next.text) && says_needle(row) {
        return true;
    }
    let open = |open: char, close: char| row.matches(open).count() > row.matches(close).count();
    let row = row.trim_end();
    let last = row.rsplit(|c: char| !c.is_alphanumeric()).next().unwrap_or_default().to_lowercase();
    if row.ends_with([',', ';', ':', '*', '-', '/'])
        || open('(', ')')
        || open('[', ']')
        || texts().runs_on.contains(&last)
    {
        return true;
    }
    let ends = row.ends_with(['.', ')', ']', '!']);
    let first = next.text.trim_start().chars().next();
    !ends && first.is_some_and(|c| c.is_lowercase() || c.is_ascii_digit() || matches!(c, '*' | '(' | '['))
}

/// Where in a line its last sentence begins, if that tells many rows by a verb, "Purl all WS rows.", and the row that it
/// tells, worded as others are: "All WS rows: Purl".
pub(super) fn verb_first(line: &Line) -> Option<(usize, Line)> {
    let text = line.text.trim_end().trim_end_matches('.');
    let begins = text.rfind(". ").map_or(text.len() - text.trim_start().len(), |at| at + 2);
    let sentence = text.get(begins..)?;
    let (verb, rows) = sentence.split_once(' ')?;
    if !texts().plain_verbs.iter().any(|known| verb.eq_ignore_ascii_case(known)) {
        return None;
    }
    let many = label(&format!("{rows}:")).filter(|label| label.numbers.is_empty())?;
    // "Knit every row" may only say what garter stitch is.
    if many.every.as_ref()?.kind == Rows::All || !many.ended || many.length != rows.len() + 1 {
        return None;
    }
    let rows = begins + verb.len() + 1;
    let mut row = line.part(rows, text.len());
    row.mark(": ");
    row.append(&line.part(begins, begins + verb.len()));
    Some((begins, row))
}

/// Where in a line something else ends and rows are told behind it: "Change to navy and knit 2 rows.", "Change needles. Purl 1 row."
pub(super) fn told_behind(text: &str) -> Option<(usize, usize)> {
    if told_rows(text).is_some() {
        return None;
    }
    let first = text.split_whitespace().next().unwrap_or_default();
    let changes = texts().changes.iter().any(|word| word.eq_ignore_ascii_case(first));
    // Another clause may say more of the rows than can be read, "Beginning with a RS row, knit 2 rows".
    let marks: &[&str] = if changes { &[". ", " and ", ", "] } else { &[". "] };
    let found = marks.iter().filter_map(|mark| text.rfind(mark).map(|at| (at, at + mark.len())));
    let told = |&(before, at): &(usize, usize)| {
        // "1. Knit 2 rows." is an item of a list.
        text.get(..before).is_some_and(|before| before.contains(char::is_alphabetic))
            && text.get(at..).is_some_and(|rest| told_rows(rest).is_some())
    };
    found.filter(told).max()
}

/// A row with the line that it runs over into. What a hyphen parts is one word where the row can then be read better.
pub(super) fn joined(row: &Line, next: &Line) -> Line {
    let mut apart = row.clone();
    apart.join(next);
    let Some(glued) = glued(row, next) else { return apart };
    if mistakes(&glued.text) < mistakes(&apart.text) { glued } else { apart }
}

/// The two lines with the word whole that a hyphen parts; none where none does.
fn glued(row: &Line, next: &Line) -> Option<Line> {
    let before = row.text.trim_end().strip_suffix(['-', '\u{2010}'])?;
    let start = next.text.len() - next.text.trim_start().len();
    let letter = |c: Option<char>| c.is_some_and(char::is_alphabetic);
    if !letter(before.chars().next_back()) || !letter(next.text.get(start..)?.chars().next()) {
        return None;
    }
    let mut line = row.part(0, before.len());
    line.append(&next.part(start, next.text.len()));
    Some(line)
}
