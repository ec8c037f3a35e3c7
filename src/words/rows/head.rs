//! Lines above the rows: titles, and heads of sections.

use std::borrow::Cow;

use super::label::label;
use crate::stitch::Stitches;
use crate::words::{self, english};

/// The section that a line heads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Head {
    /// The designer's notes.
    Notes,
    /// A list of abbreviations.
    List,
    /// The rows.
    Rows,
}

/// The section that a line heads, if it heads one.
pub(crate) fn section_head(text: &str) -> Option<Head> {
    if text.len() > 60 {
        return None;
    }
    let plain = text.trim_end_matches([':', '.']).trim().to_lowercase();
    let heads = english::heads();
    let is = |known: &[&str]| known.contains(&plain.as_str());
    let notes = is(&heads.notes).then_some(Head::Notes);
    let list = || is(&heads.list).then_some(Head::List);
    notes.or_else(list).or_else(|| is(&heads.rows).then_some(Head::Rows))
}

/// The entries of a list of abbreviations that is told in one line, "Abbreviations: M1 = yo; dec = k2tog", where it is said to
/// be one.
pub(crate) fn list_in_line(text: &str) -> Option<&str> {
    let (head, entries) = text.split_once(": ")?;
    (section_head(head) == Some(Head::List) && entries.contains([':', '='])).then_some(entries)
}

/// Whether a text says in signs what an abbreviation stands for, "M1 = yo", and nothing else.
pub(crate) fn equates(text: &str) -> bool {
    let stands_for = |(term, meaning): (&str, &str)| {
        let meaning = meaning.split([';', ',']).next().unwrap_or_default();
        !term.trim().is_empty() && words::explained(meaning, &mut Stitches::built_in()).is_some()
    };
    text.split_once('=').is_some_and(stands_for)
}

/// What stands before a title that would read as something else.
const TITLE: &str = "Pattern: ";

/// The title as it is printed: one that would read as the label of a row or as the head of a section, "R4:" or
/// "Notes", is printed behind a word that says what it is. So is one with letters of full width, "Cast on 7！", since facts
/// in such letters are read as in any others.
pub(crate) fn printed_title(title: &str) -> Cow<'_, str> {
    let bare = title.trim_start_matches(|c: char| !c.is_alphanumeric());
    let wide = || title.contains(is_wide) && title.contains(|c: char| plain(c).is_ascii_alphabetic());
    let listed = || list_in_line(title).is_some() || equates(title);
    let section = || section_head(title).is_some() || behind_word(title).is_some();
    if label(bare).is_some() || section() || wide() || listed() {
        return Cow::Owned(format!("{TITLE}{title}"));
    }
    Cow::Borrowed(title)
}

/// How far the letters of full width stand behind those they are a form of (Unicode, "Halfwidth and Fullwidth Forms").
const APART: u32 = 0xfee0;

/// Whether a letter is one of full width, "Ａ".
pub(crate) fn is_wide(letter: char) -> bool {
    ('\u{ff01}'..='\u{ff5e}').contains(&letter)
}

/// The letter that one of full width is a form of; any other as it is.
pub(crate) fn plain(letter: char) -> char {
    match is_wide(letter) {
        true => char::from_u32(u32::from(letter) - APART).unwrap_or(letter),
        false => letter,
    }
}

/// The title that a line holds, without the word that says that it is one.
pub(crate) fn title_of(line: &str) -> &str {
    behind_word(line).unwrap_or(line)
}

fn behind_word(line: &str) -> Option<&str> {
    let word = line.get(..TITLE.len()).filter(|word| word.eq_ignore_ascii_case(TITLE))?;
    line.get(word.len()..).map(str::trim_start).filter(|title| !title.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_that_read_as_something_else_are_printed_as_titles() {
        for (title, printed) in [
            ("Tide Line", "Tide Line"),
            ("Rounds", "Rounds"),
            ("Pattern of Shells", "Pattern of Shells"),
            ("R4:", "Pattern: R4:"),
            ("- Row3:", "Pattern: - Row3:"),
            ("Next row:", "Pattern: Next row:"),
            ("Abbreviations:", "Pattern: Abbreviations:"),
            ("pattern: Shells", "Pattern: pattern: Shells"),
            ("Abbreviations: M1 = yo", "Pattern: Abbreviations: M1 = yo"),
            ("M1 = yo", "Pattern: M1 = yo"),
            ("A = B", "A = B"),
            ("Stitches: A Study", "Stitches: A Study"),
            ("Cast on 7！", "Pattern: Cast on 7！"),
            ("波（なみ）", "波（なみ）"),
        ] {
            assert_eq!(printed_title(title), printed);
            assert_eq!(title_of(printed), title);
        }
        assert_eq!(title_of("Pattern:"), "Pattern:");
        assert_eq!(title_of("PATTERN:  Shells"), "Shells");
    }
}
