//! Words that a hyphen breaks at the end of a line: "re-" over "peat from *", "yarn-" over "over".

use crate::document::Line;
use crate::words::mistakes;

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
