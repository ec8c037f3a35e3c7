//! Letters of full width, "Ｒｏｗ １：Ｋ４", as East Asian keyboards type them: rows and facts in them are read as in any
//! others. Titles and notes stay as they are printed.

use std::borrow::Cow;

use super::{joined, row_label};
use crate::document::Line;
use crate::text::facts::{self, Facts, Told};
use crate::text::says::{Says, says, told_rows};
use crate::text::stated::is_count;
use crate::words::rows::head::{is_wide, plain, title_of};

/// The lines of a document, rows and facts in plain letters.
pub(super) fn read(lines: &[Line]) -> Cow<'_, [Line]> {
    let wide = |line: &Line| line.text.contains(is_wide);
    if !lines.iter().any(wide) {
        return Cow::Borrowed(lines);
    }
    let mut read: Vec<Line> = Vec::with_capacity(lines.len());
    // Whether the line before is a row, or what one runs over into.
    let mut row = false;
    for line in lines {
        let narrow = line.with_letters(plain);
        let runs_on = row && read.last().is_some_and(|before| joined::runs_on(&before.text, &narrow));
        row = runs_on || row_label(&narrow.text).is_some();
        // What tells it as it stands may be a title, and what says that it is one is.
        let titled = title_of(&line.text) != line.text;
        let told = row || (tells(&narrow.text) && !tells(&line.text) && !titled);
        read.push(if told { narrow } else { line.clone() });
    }
    Cow::Owned(read)
}

/// Whether a line without a label tells something of the rows: facts, a count, rows told by others.
fn tells(text: &str) -> bool {
    facts::read(text, &mut Facts::default()) != Told::Nothing
        || is_count(text)
        || told_rows(text).is_some()
        || matches!(says(text), Says::As(_) | Says::Last(_))
}
