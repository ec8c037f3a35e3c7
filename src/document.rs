//! The document: what a file of written rows holds, the same for every file format, each line with its true places.

use std::sync::Arc;

use crate::place::Place;

/// A text as read: its lines in order, blank ones included.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// The file's path as the user gave it; `-` for standard input.
    pub file: Arc<str>,
    /// The lines.
    pub lines: Vec<Line>,
}

/// What a line is, as far as its file says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kind {
    /// A line of text.
    #[default]
    Text,
    /// A heading.
    Heading,
    /// A line of a table, its cells joined by `: `.
    Cells,
}

/// A line of a text as its reader sees it, without marks of the file's format.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// What stands there.
    pub text: String,
    /// What it is.
    pub kind: Kind,
    /// Whether it is a paragraph, whole, and not only a line of one.
    pub whole: bool,
    /// Its number, where it is an item of a list that the file numbers.
    pub item: Option<u32>,
    /// The cells of a line of a table: bytes of the text.
    cells: Vec<(usize, usize)>,
    /// Where stretches of the text stand in the file, by their first bytes; sorted.
    marks: Vec<Mark>,
    /// The line and column of the file that follow the text.
    end: (u32, u32),
}

/// Where the text from a byte on stands in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Mark {
    byte: usize,
    line: u32,
    column: u32,
}

impl Line {
    /// A line that stands in the file as it is, at a line and a column counted from 1.
    pub fn at(line: u32, column: u32, text: impl Into<String>) -> Self {
        let mut whole = Self::default();
        whole.push(line, column, &text.into());
        whole
    }

    /// Adds text that stands at a line and a column of the file, counted from 1. Letters that nobody sees, such as
    /// hyphens for line ends that are none, are no part of it.
    pub fn push(&mut self, line: u32, column: u32, text: &str) {
        let mut column = column;
        for part in text.split_inclusive(is_unseen) {
            let seen = part.trim_end_matches(is_unseen);
            if !seen.is_empty() {
                self.push_seen(line, column, seen);
            }
            column = column.saturating_add(u32::try_from(part.chars().count()).unwrap_or(u32::MAX));
        }
        if text.is_empty() {
            self.push_seen(line, column, text);
        }
    }

    fn push_seen(&mut self, line: u32, column: u32, text: &str) {
        let byte = self.text.len();
        if self.marks.is_empty() || self.end != (line, column) {
            self.marks.push(Mark { byte, line, column });
        }
        self.text.push_str(text);
        let letters = u32::try_from(text.chars().count()).unwrap_or(u32::MAX);
        self.end = (line, column.saturating_add(letters));
    }

    /// Adds another line after a space, its places kept.
    pub fn join(&mut self, other: &Self) {
        self.text.push(' ');
        self.append(other);
    }

    /// Adds another line, its places kept.
    pub fn append(&mut self, other: &Self) {
        let from = self.text.len();
        self.marks.extend(other.marks.iter().map(|mark| Mark { byte: mark.byte + from, ..*mark }));
        self.text.push_str(&other.text);
        self.end = other.end;
    }

    /// The part of the line between two bytes, its places kept.
    pub fn part(&self, start: usize, end: usize) -> Self {
        let text = self.text.get(start..end).unwrap_or_default().to_owned();
        let first = self.marks.partition_point(|mark| mark.byte <= start).saturating_sub(1);
        let last = self.marks.partition_point(|mark| mark.byte < end);
        let marks = self.marks.get(first..last).unwrap_or_default();
        let marks = marks.iter().map(|mark| {
            let before = self.text.get(mark.byte..start).unwrap_or_default().chars().count();
            let column = mark.column.saturating_add(u32::try_from(before).unwrap_or(u32::MAX));
            Mark { byte: mark.byte.saturating_sub(start), column, ..*mark }
        });
        let marks = marks.collect();
        Self { text, kind: self.kind, whole: self.whole, marks, ..Self::default() }
    }

    /// The line with other letters in the place of its own, one for one, their places kept.
    #[must_use]
    pub fn with_letters(&self, letter: impl Fn(char) -> char) -> Self {
        let at = |byte: usize| {
            let before = self.text.get(..byte).unwrap_or(&self.text);
            before.chars().map(|c| letter(c).len_utf8()).sum()
        };
        let mut line = self.clone();
        line.text = self.text.chars().map(&letter).collect();
        line.marks.iter_mut().for_each(|mark| mark.byte = at(mark.byte));
        line.cells.iter_mut().for_each(|(start, end)| (*start, *end) = (at(*start), at(*end)));
        line
    }

    /// Adds marks that the reader of the file put there, such as the colon between cells of a table.
    pub fn mark(&mut self, text: &str) {
        self.text.truncate(self.text.trim_end().len());
        self.text.push_str(text);
        self.end = (0, 0);
    }

    /// Begins another cell of a table, behind a colon.
    pub fn begin_cell(&mut self) {
        self.end_cell();
        if !self.is_blank() {
            self.mark(if self.text.trim_end().ends_with(':') { " " } else { ": " });
        }
        self.cells.push((self.text.len(), self.text.len()));
    }

    /// Ends the last cell of a line of a table.
    pub fn end_cell(&mut self) {
        let end = self.text.trim_end().len();
        if let Some((start, last)) = self.cells.last_mut() {
            *last = end.max(*start);
        }
    }

    /// The cells of a line of a table: bytes of the text.
    pub fn cells(&self) -> &[(usize, usize)] {
        &self.cells
    }

    /// Whether there is nothing to read.
    pub fn is_blank(&self) -> bool {
        self.text.trim().is_empty()
    }

    /// The place of a byte of the text.
    pub fn place(&self, file: &Arc<str>, byte: usize) -> Place {
        let at = self.marks.partition_point(|mark| mark.byte <= byte).saturating_sub(1);
        let Some(mark) = self.marks.get(at) else { return Place::file(file) };
        let since = self.text.get(mark.byte..byte).unwrap_or_default().chars().count();
        Place::line(file, mark.line, mark.column.saturating_add(u32::try_from(since).unwrap_or(u32::MAX)))
    }
}

/// Whether a letter is not seen: a hyphen for the end of a line, joiners, marks of direction or of another shape.
pub(crate) const fn is_unseen(letter: char) -> bool {
    matches!(letter, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2064}'
        | '\u{2066}'..='\u{2069}' | '\u{fe0e}' | '\u{fe0f}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_that_nobody_sees_keep_the_others_in_their_places() {
        let file = Arc::from("a.txt");
        let line = Line::at(2, 1, "\u{feff}k2\u{ad}tog, y\u{200d}o\u{200b}");
        assert_eq!(line.text, "k2tog, yo");
        for (byte, column) in [(0, 2), (1, 3), (2, 5), (7, 10), (8, 12)] {
            assert_eq!(line.place(&file, byte), Place::line(&file, 2, column), "byte {byte}");
        }
        assert_eq!(Line::at(7, 1, "").place(&file, 0), Place::line(&file, 7, 1));
    }

    #[test]
    fn bytes_of_joined_lines_keep_their_places() {
        let file = Arc::from("a.txt");
        let mut line = Line::at(3, 5, "é k2,");
        line.join(&Line::at(4, 1, "p2"));
        assert_eq!(line.text, "é k2, p2");
        let part = line.part(3, 8);
        assert_eq!((part.text.as_str(), part.place(&file, 0)), ("k2, p", Place::line(&file, 3, 7)));
        assert_eq!(part.place(&file, 4), Place::line(&file, 4, 1));
        for (byte, at) in [(0, (3, 5)), (3, (3, 7)), (7, (4, 1)), (8, (4, 2))] {
            assert_eq!(line.place(&file, byte), Place::line(&file, at.0, at.1), "byte {byte}");
        }
    }
}
