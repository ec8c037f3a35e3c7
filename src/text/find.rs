//! Finding the patterns of a document: which lines are rows, which are facts, titles, notes, lists of abbreviations.

mod draft;
mod heads;
mod joined;
mod labels;
mod listed;
mod settle;
mod tables;
mod wide;

use super::facts::{self, Facts, Told};
use super::stated::{is_count, part_count};
use crate::document::{Document, Kind, Line};
use crate::settings;
use crate::words::rows::head::{Head, section_head};
use crate::words::rows::label::{Label, label};
pub(super) use draft::{Draft, Entry, RowText};
use heads::{begins_pattern, closing, entry, explains, head_of_next, is_notes_head, opens_as_title};
use labels::{begins_as_work, calls_a_row, counted_on, is_labelled_work, label_marks, row_label, row_within};

/// What a line that is no row is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Role {
    Blank,
    Heading,
    /// Heads the designer's notes, or is one of them.
    Notes,
    /// Heads a list of abbreviations.
    ListHead,
    /// An entry of such a list.
    Entry,
    /// Heads the rows.
    RowsHead,
    Fact,
    Prose,
}

struct Part {
    role: Role,
    line: Line,
}

/// What a section is about.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Section {
    None,
    Notes,
    List,
}

/// The patterns of a document, in order. The last one may have no rows: then it holds what stands after all of them.
pub(super) fn drafts(document: &Document) -> Vec<Draft> {
    let mut finder = Finder {
        drafts: Vec::new(),
        draft: Draft::default(),
        pending: Vec::new(),
        section: Section::None,
        real: false,
        before: Vec::new(),
    };
    let lines = wide::read(&document.lines);
    let all = tables::read(&lines);
    let listed = listed::rows(&all);
    let in_list = |at: usize| listed.get(at).cloned().flatten();
    let first = all.iter().position(|line| !line.is_blank());
    let titled = first.is_some_and(|first| opens_as_title(&all[first + 1..]));
    let mut lines = all.iter().enumerate().peekable();
    while let Some((at, line)) = lines.next() {
        let title = titled && Some(at) == first;
        let may_be = finder.may_be_row(line) && !title;
        let row = if may_be { in_list(at).or_else(|| finder.row_label(line)) } else { None };
        // "Change to larger needles. Row 3: K8."
        if may_be
            && row.is_none()
            && let Some(begins) = row_within(&line.text)
        {
            finder.other(&line.part(0, begins));
            let rest = line.part(begins, line.text.len());
            if let Some(found) = row_label(&rest.text) {
                finder.rows(rest, found);
                continue;
            }
        }
        if let Some((begins, turned)) = joined::verb_first(line).filter(|_| may_be && row.is_none())
            && let Some(found) = row_label(&turned.text)
        {
            finder.other(&line.part(0, begins));
            finder.rows(turned, found);
            continue;
        }
        // "Change to larger needles and knit 2 rows."
        if may_be
            && row.is_none()
            && let Some((ends, begins)) = joined::told_behind(&line.text)
        {
            finder.other(&line.part(0, ends));
            finder.other(&line.part(begins, line.text.len()));
            continue;
        }
        let (found, mut joined) = if let Some(found) = row {
            (found, line.clone())
        } else if finder.may_be_row(line)
            && !title
            && let Some(found) = lines.peek().and_then(|next| joined::with_work(line, next.1))
        {
            lines.next();
            found
        } else {
            finder.other(line);
            continue;
        };
        let goes_on = |joined: &Line, (at, next): &(usize, &Line)| {
            let apart = in_list(*at).is_some() || counted_on(&found.0, next).is_some();
            !line.whole && !apart && joined::runs_on(&joined.text, next)
        };
        while let Some(next) = lines.peek().filter(|next| goes_on(&joined, next)) {
            joined = joined::joined(&joined, next.1);
            lines.next();
        }
        // A count that stands alone behind the row, be there room between them or not.
        let blanks = lines.clone().take_while(|(_, next)| next.is_blank()).count();
        let behind =
            lines.clone().nth(blanks).filter(|(_, next)| next.kind == Kind::Text && is_count(&next.text));
        if let (Some((_, count)), None) = (behind, part_count(&joined.text).1) {
            joined.join(count);
            lines.nth(blanks);
        }
        finder.rows(joined, found);
    }
    finder.finish();
    finder.drafts
}

/// Whether a line is one of the designer's notes.
fn is_note(part: &Part) -> bool {
    part.role == Role::Notes && !is_notes_head(part)
}

struct Finder {
    drafts: Vec<Draft>,
    draft: Draft,
    /// Lines since the last row, or since the beginning.
    pending: Vec<Part>,
    section: Section,
    /// Whether the section was begun by a heading that is marked as one: it then ends at the next.
    real: bool,
    /// Lines since the last row that may say in which colour the next begins.
    before: Vec<String>,
}

impl Finder {
    /// Notes under a plain heading end at the blank line; a row among them is still a note. Where a blank line or nothing but
    /// the heading stands before it, notes end where a row that can be worked stands. A list ends there too, and at whatever is
    /// called "Row 3:".
    fn may_be_row(&self, line: &Line) -> bool {
        let row = || row_label(&line.text).filter(|found| is_labelled_work(line, found));
        let free = match self.section {
            Section::None => true,
            Section::Notes if self.real => true,
            // "Row 3: K8" goes on from Row 2.
            Section::Notes if self.pending.last().is_some_and(is_note) => {
                let last = self.draft.rows.last().and_then(|row| row.label.as_ref()?.numbers.last().copied());
                let next = last.and_then(|last| last.checked_add(1));
                next.is_some() && row().is_some_and(|(label, _)| label.numbers.first().copied() == next)
            }
            Section::Notes => row().is_some(),
            Section::List => {
                row().is_some() || row_label(&line.text).is_some_and(|found| calls_a_row(line, &found))
            }
        };
        // A heading may name rows, "Rows 1-4: Border"; one that works stitches is a row that was marked as one.
        let works = || {
            row_label(&line.text).is_some_and(|(label, start)| {
                let work = line.text.get(start + label.length..).unwrap_or_default();
                label.ended && !label.numbers.is_empty() && begins_as_work(work)
            })
        };
        free && (line.kind != Kind::Heading || works())
    }

    /// The label of a line that is a row, also one that only counts on from the row before.
    fn row_label(&self, line: &Line) -> Option<(Label, usize)> {
        let last = || self.draft.rows.last()?.label.as_ref();
        row_label(&line.text).or_else(|| counted_on(last()?, line))
    }

    fn other(&mut self, line: &Line) {
        let role = self.role(line);
        self.pending.push(Part { role, line: line.clone() });
    }

    fn role(&mut self, line: &Line) -> Role {
        let text = line.text.trim();
        if text.is_empty() {
            // The blank line after a heading does not end its lines.
            let under = self
                .pending
                .last()
                .is_some_and(|part| matches!(part.role, Role::Notes | Role::Entry) && !is_notes_head(part));
            if !self.real && under {
                self.section = Section::None;
            }
            return Role::Blank;
        }
        let heading = line.kind == Kind::Heading;
        if let Some(section) = section_head(text).filter(|_| heading || self.section == Section::None) {
            self.real = heading;
            let (section, role) = match section {
                Head::Notes => (Section::Notes, Role::Notes),
                Head::List => (Section::List, Role::ListHead),
                Head::Rows => (Section::None, Role::RowsHead),
            };
            self.section = section;
            return role;
        }
        if heading {
            self.section = Section::None;
            return Role::Heading;
        }
        if self.section == Section::List
            && entry(text, line).is_none()
            && row_label(text).is_none()
            && self.real
        {
            return Role::Prose;
        }
        let mut facts = Facts::default();
        if self.section == Section::List
            && !self.real
            && facts::read(text, &mut facts) == Told::Wholly
            && !facts.cast_on.is_empty()
        {
            self.section = Section::None;
        }
        match self.section {
            Section::Notes => Role::Notes,
            Section::List => Role::Entry,
            Section::None if !self.draft.rows.is_empty() && explains(text, line) => Role::Entry,
            Section::None => {
                let told = facts::read(text, &mut Facts::default());
                let setting = settings::name_and_value(text)
                    .is_some_and(|(name, _)| settings::sheet_entry(name).is_some());
                if told == Told::Wholly || setting { Role::Fact } else { Role::Prose }
            }
        }
    }

    /// Takes the rows among the notes above the first row, where they run from Row 1 up to the one before it.
    fn rows_among_notes(&mut self, first: u32) -> Vec<(Line, (Label, usize))> {
        let found = |part: &Part| {
            let found = row_label(&part.line.text).filter(|_| is_note(part));
            found.filter(|found| is_labelled_work(&part.line, found))
        };
        let all: Vec<(usize, (Label, usize))> =
            (0..).zip(&self.pending).filter_map(|(at, part)| Some((at, found(part)?))).collect();
        let numbers: Vec<u32> =
            all.iter().flat_map(|(_, (label, _))| label.numbers.iter().copied()).collect();
        if !numbers.into_iter().eq(1..first) {
            return Vec::new();
        }
        let taken: Vec<Line> = all.iter().rev().map(|(at, _)| self.pending.remove(*at).line).collect();
        taken.into_iter().rev().zip(all.into_iter().map(|(_, found)| found)).collect()
    }

    /// The rows that a line tells of: one, or several one after another.
    fn rows(&mut self, line: Line, (found, start): (Label, usize)) {
        self.section = Section::None;
        if let Some(&first) = found.numbers.first().filter(|first| **first > 1 && self.draft.rows.is_empty())
        {
            for (line, found) in self.rows_among_notes(first) {
                self.rows(line, found);
            }
        }
        let mut rows = vec![(found, start)];
        // In the order they stand, whatever parts them: a row's label may hold such marks too.
        let marks = [". ", ") ", "] ", "; "];
        let mut places: Vec<usize> = marks
            .iter()
            .flat_map(|mark| line.text.match_indices(mark).map(|(at, mark)| at + mark.len()))
            .collect();
        places.sort_unstable();
        for at in places {
            let Some(rest) = line.text.get(at..) else { continue };
            let inside = rows.last().is_some_and(|(last, start)| at < start + last.length);
            if !inside
                && let Some(next) = label(rest)
                && next.ended
                && rest.get(..next.length).is_some_and(|head| head.trim_end().ends_with(':'))
            {
                rows.push((next, at));
            }
        }
        let ends: Vec<usize> =
            rows.iter().skip(1).map(|(_, start)| *start).chain([line.text.len()]).collect();
        for ((label, start), end) in rows.into_iter().zip(ends) {
            let work = label.length;
            // "Row 2: Purl. Rep Rows 1 and 2 until ...": what closes the rows is none of them.
            let text = line.text.get(start..end).unwrap_or_default();
            let closing = closing(text, work).map(|at| start + at);
            let (end, after) = closing.map_or((end, None), |at| (at, Some(line.part(at, end))));
            let work = work
                + label_marks(
                    line.text.get(..start).unwrap_or_default(),
                    text.get(work..).unwrap_or_default(),
                );
            self.row(RowText {
                label: Some(label),
                named: false,
                line: line.part(start, end),
                work,
                before: Vec::new(),
            });
            if let Some(after) = after {
                self.other(&after);
            }
        }
    }

    fn row(&mut self, mut row: RowText) {
        let first = |row: &RowText| row.label.as_ref().and_then(|label| label.numbers.first().copied());
        let begun = self.draft.rows.iter().find_map(first);
        // Facts of its own, and no number: another pattern. Or a number that is not further on, behind something that
        // begins one; else it is told that the number stands twice.
        let facts = self.pending.iter().any(|part| part.role == Role::Fact);
        let next = row.label.as_ref().is_some_and(|label| label.next > 0);
        let again = match (begun, first(&row)) {
            (Some(begun), Some(number)) => {
                number <= begun && (self.draft.is_set_up() || begins_pattern(&self.pending))
            }
            // What is told of all rows of a kind may stand above the cast-on.
            _ => facts && !next && !self.draft.rows.is_empty() && !self.draft.waits_for_cast_on(),
        };
        if again && !self.set_up_goes_on(&mut row) {
            let head = self.pending.split_off(head_of_next(&self.pending));
            self.close();
            self.pending = head;
            if self.drafts.last().is_some_and(Draft::is_set_up) && !row.is_set_up() {
                self.follow_set_up();
            }
        }
        self.settle(false);
        let before = std::mem::take(&mut self.before);
        self.draft.rows.push(RowText { before, ..row });
    }

    /// Whether the row, whose number is not further on, goes on with the set-up rows before it: another one of them
    /// without a number, or the first of the pattern's own rows behind a single one, which is then row 0.
    fn set_up_goes_on(&mut self, row: &mut RowText) -> bool {
        let facts = self.pending.iter().any(|part| matches!(part.role, Role::Fact | Role::Heading));
        if !self.draft.is_set_up() || facts {
            return false;
        }
        let Some(label) = row.label.as_mut() else { return false };
        if label.set_up && label.numbers == [0] {
            for (number, before) in (1..).zip(&mut self.draft.rows) {
                if let Some(label) = &mut before.label {
                    label.numbers = vec![number];
                }
            }
            label.numbers = vec![u32::try_from(self.draft.rows.len() + 1).unwrap_or(u32::MAX)];
            return true;
        }
        match &mut self.draft.rows[..] {
            [RowText { label: Some(one), .. }] if !label.set_up => {
                one.numbers = vec![0];
                true
            }
            _ => false,
        }
    }

    /// The pattern goes on behind set-up rows that are one of their own: what was told holds for both.
    fn follow_set_up(&mut self) {
        let facts = self.pending.iter().any(|part| part.role == Role::Fact);
        if let Some(before) = self.drafts.last().filter(|_| !facts) {
            let (facts, said) = (before.facts.clone(), before.said.clone());
            let (title, list) = (before.title.clone(), before.list.clone());
            self.draft = Draft { title, facts, said, list, after_set_up: true, ..Draft::default() };
        }
    }

    /// Ends the pattern: what is pending stands after its rows.
    fn close(&mut self) {
        self.settle(true);
        self.draft.title_or_colours();
        self.drafts.push(std::mem::take(&mut self.draft));
    }

    fn finish(&mut self) {
        self.close();
    }
}
