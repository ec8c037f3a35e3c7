//! Letters of full width, "Ｒｏｗ １：Ｋ４", as East Asian keyboards type them: rows and facts in them are read as in any
//! others. Titles and notes stay as they are printed.

use std::borrow::Cow;

use super::{joined, row_label};
use crate::document::Line;
use crate::text::facts::{self, Facts};
use crate::text::says::{Says, is_count, says, told_rows};

/// How far the letters of full width stand behind those they are a form of (Unicode, "Halfwidth and Fullwidth Forms").
const APART: u32 = 0xfee0;

/// The lines of a document, rows and facts in plain letters.
pub(super) fn read(lines: &[Line]) -> Cow<'_, [Line]> {
    let wide = |line: &Line| line.text.contains(|c| plain(c) != c);
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
        // What tells it as it stands may be a title, "Cast on 7！".
        let told = row || (tells(&narrow.text) && !tells(&line.text));
        read.push(if told { narrow } else { line.clone() });
    }
    Cow::Owned(read)
}

/// The letter that one of full width is a form of; any other as it is.
fn plain(letter: char) -> char {
    match letter {
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(u32::from(letter) - APART).unwrap_or(letter),
        other => other,
    }
}

/// Whether a line without a label tells something of the rows: facts, a count, rows told by others.
fn tells(text: &str) -> bool {
    facts::read(text, &mut Facts::default()).0
        || is_count(text)
        || told_rows(text).is_some()
        || matches!(says(text), Says::As(_) | Says::Last(_))
}
