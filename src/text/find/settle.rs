//! Where lines that are no rows belong: to the head of the pattern, to its notes, to its list; and which of them may tell rows
//! after all.

use super::draft::RowText;
use super::heads::{
    called_otherwise, entry, for_some_sizes, is_needle, is_notes_head, is_unnumbered, looks_like_row, title,
    works_alone, works_in_part,
};
use super::{Finder, Role, listed};
use crate::document::Line;
use crate::settings;
use crate::text::colours;
use crate::text::facts::{self, Told};
use crate::text::says::{Says, says, told_rows};
use crate::text::speaks::{repeats_rows, speaks_of_rows};
use crate::text::stated::{count_of, part_count};
use crate::words::rows::edges;
use crate::words::rows::head::{list_in_line, title_of};
use crate::words::rows::label::label;

impl Finder {
    /// Puts the pending lines where they belong: before the first row they are its head, after it what is told
    /// between rows. `ends` says whether the pattern ends with them: a row among them that is given no number may then be its
    /// only one.
    pub(super) fn settle(&mut self, ends: bool) {
        let parts = std::mem::take(&mut self.pending);
        let head = self.draft.rows.is_empty();
        let title = if head { title(&parts) } else { None };
        for (index, part) in parts.into_iter().enumerate() {
            let text = part.line.text.trim();
            // The designer's notes are about more than the row below them.
            if part.role != Role::Notes && colours::may_take_up(text) {
                self.before.push(text.to_owned());
            }
            if edges::told(&part.line.text).is_some() {
                self.draft.edges.push(part.line.clone());
            }
            if Some(index) == title {
                self.draft.title = Some(title_of(text).to_owned());
                continue;
            }
            match part.role {
                Role::Blank | Role::ListHead | Role::RowsHead => {}
                Role::Notes if is_notes_head(&part) => {}
                Role::Entry => match entry(text, &part.line) {
                    Some(entry) => self.draft.explain(entry),
                    None => self.draft.notes.push(text.to_owned()),
                },
                Role::Fact => {
                    let told = self.draft.learn(&part.line);
                    if told != Told::Wholly
                        && let Some((name, value)) = settings::name_and_value(text)
                    {
                        let _ = settings::in_sheet(&mut self.draft.said, name, value);
                    }
                }
                Role::Notes | Role::Heading => {
                    if (head || part.role == Role::Notes) && !facts::ways_of(text, "").is_empty() {
                        self.draft.ways_in_notes.push(part.line.clone());
                    }
                    self.draft.notes.push(text.to_owned());
                }
                Role::Prose => {
                    let behind = ends && self.draft.rows.iter().any(|row| row.named);
                    self.prose(&part.line, head && !behind);
                }
            }
        }
    }

    /// Puts a sentence where it belongs: `head` says whether it stands above the rows.
    fn prose(&mut self, line: &Line, head: bool) {
        let text = line.text.trim();
        // Rows without a label; whether they are rows of this pattern is told by the numbers around them.
        let plain = told_rows(text).is_some();
        // Rows worked again; a rule for what grows that does not say for sure how often.
        let (again, doubtful) = match says(text.get(..part_count(text).0).unwrap_or_default()) {
            Says::As(again) => (again.sure, !again.sure && !again.growth.is_empty()),
            Says::Last(_) => (true, false),
            Says::Work | Says::Fabric(_) => (false, false),
        };
        if plain || (!head && again) {
            let work = line.text.len() - line.text.trim_start().len();
            let before = std::mem::take(&mut self.before);
            self.draft.rows.push(RowText { label: None, named: false, line: line.clone(), work, before });
            if plain {
                return;
            }
        }
        if head {
            self.learn_above(line);
        }
        let called = is_unnumbered(text) || is_needle(text) || (!head && looks_like_row(text));
        let otherwise = if called || head { None } else { called_otherwise(&line.text) };
        if called || otherwise.is_some() || (!head && works_alone(text)) {
            let colon = || line.text.find(':').filter(|_| called).map_or(0, |colon| colon + 1);
            let work = otherwise.unwrap_or_else(colon);
            self.draft.rows.push(RowText {
                label: None,
                named: true,
                line: line.clone(),
                work,
                before: Vec::new(),
            });
            return;
        }
        if !head && for_some_sizes(text) {
            self.draft.some_sizes.push(line.clone());
        } else if !head && !again && !doubtful && repeats_rows(text) {
            self.draft.again.push(line.clone());
        } else if (!head || listed::tells_rows(line)) && speaks_of_rows(text)
            || (!head && (doubtful || !again && works_in_part(text)))
        {
            self.draft.untold.push(line.clone());
        } else if let Some(&number) = label(text).as_ref().and_then(|label| label.numbers.first()) {
            // Where no row has that number, it was one.
            self.draft.unread.push((number, line.clone()));
        }
        self.draft.notes.push(text.to_owned());
    }

    /// Learns what a sentence above the rows tells: facts, a width, abbreviations.
    fn learn_above(&mut self, line: &Line) {
        let text = line.text.trim();
        self.draft.learn(line);
        // "8 sts" above the rows is what they are worked over.
        if let (Some(&[over]), None) = (count_of(text).as_deref(), self.draft.facts.over) {
            self.draft.facts.over = Some(over);
        }
        // "Abbreviations: dec 1 = k2tog; yo = yarn over." What is no abbreviation teaches nothing.
        let entries = list_in_line(text).unwrap_or(text);
        let mut end = line.text.trim_end().len() - entries.len();
        for piece in entries.split(';') {
            let start = end + (piece.len() - piece.trim_start().len());
            end += piece.len();
            if let Some(entry) = entry(piece.trim(), &line.part(start, end)) {
                self.draft.explain(entry);
            }
            end += ';'.len_utf8();
        }
    }
}
