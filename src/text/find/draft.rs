//! A pattern as it stands in a text, before any of its rows is worked.

use super::heads::is_unnumbered;
use crate::document::Line;
use crate::pattern::Hand;
use crate::settings::Settings;
use crate::text::colours;
use crate::text::facts::{self, Facts, Told};
use crate::text::says::{Says, says};
use crate::text::sizes::of_first;
use crate::text::stated::part_count;
use crate::text::ways::Followed;
use crate::words::colours::is_abbreviation;
use crate::words::rows::label::{Label, Rows};
use crate::words::works;

/// Abbreviations of a pattern, at most.
const MOST_ENTRIES: usize = 300;

/// A pattern as it stands in the text.
#[derive(Clone, Debug, Default)]
pub(in crate::text) struct Draft {
    pub(in crate::text) title: Option<String>,
    pub(in crate::text) facts: Facts,
    /// The line that tells of what the cast-on is a multiple.
    pub(in crate::text) multiple_told: Option<Line>,
    /// Whether a line above the rows has a marker placed where the rounds begin.
    pub(in crate::text) round_marked: bool,
    /// Settings told as in a sheet: "First side: WS".
    pub(in crate::text) said: Settings,
    pub(in crate::text) notes: Vec<String>,
    /// Abbreviations and what they mean.
    pub(in crate::text) list: Vec<Entry>,
    pub(in crate::text) rows: Vec<RowText>,
    /// Notes that speak of a number of rows, in words that can't be read as rows.
    pub(in crate::text) untold: Vec<Line>,
    /// Lines that cast on other numbers of stitches than those the rows are worked on, and the numbers, by size.
    pub(in crate::text) aside: Vec<(Line, Vec<u32>)>,
    /// Lines above the rows that speak of the way the piece is worked, in words that can't be followed.
    pub(in crate::text) unfollowed: Vec<Line>,
    /// Lines among the designer's notes that speak of that.
    pub(in crate::text) ways_in_notes: Vec<Line>,
    /// Sentences that say the way the piece is worked, and that were followed though they are no facts.
    pub(in crate::text) followed: Vec<Followed>,
    /// Such sentences that were not followed, since labels or other sentences say otherwise.
    pub(in crate::text) left_aside: Vec<Followed>,
    /// Lines that begin as a row does, "Row 3 brk1", with its number, and can't be read as one.
    pub(in crate::text) unread: Vec<(u32, Line)>,
    /// Lines that say how the edges of every row are worked.
    pub(in crate::text) edges: Vec<Line>,
    /// Notes that have rows worked again so often, in words that can't be read.
    pub(in crate::text) again: Vec<Line>,
    /// Lines between rows that say that what follows is for some of the sizes only.
    pub(in crate::text) some_sizes: Vec<Line>,
    /// Whether the rows before these, set-up rows in a pattern of their own, leave the stitches that these begin on.
    pub(in crate::text) after_set_up: bool,
}

impl Draft {
    /// Whether it has rows that are given numbers, or may find them.
    pub(in crate::text) fn has_rows(&self) -> bool {
        self.rows.iter().any(|row| !row.named) || self.only_row().is_some()
    }

    /// The only row of the pattern, where it is called one and given no number: "Pattern row: *K1, p1; rep from *."
    pub(in crate::text) fn only_row(&self) -> Option<&RowText> {
        let mut rows = self.rows.iter().filter(|row| row.is_called_row());
        let only = rows.next().filter(|row| row.is_sure() && is_unnumbered(&row.line.text))?;
        rows.next().is_none().then_some(only)
    }

    /// Whether it only tells of rows of a kind so far, "All WS rows: purl", and of nothing that they are worked on.
    pub(in crate::text) fn waits_for_cast_on(&self) -> bool {
        let for_some = |row: &RowText| {
            let label = row.label.as_ref().filter(|label| label.numbers.is_empty());
            label.and_then(|label| label.every.as_ref()).is_some_and(|every| every.kind != Rows::All)
        };
        self.facts == Facts::default() && self.rows.iter().all(for_some)
    }

    /// For which hand its rows are: what is written says it for itself, whatever charts are worked for.
    pub(in crate::text) fn hand(&self) -> Hand {
        self.facts.hand.or(self.said.hand).unwrap_or_default()
    }

    /// Takes an entry of the list.
    pub(in crate::text) fn explain(&mut self, entry: Entry) {
        if self.list.len() >= MOST_ENTRIES {
            return;
        }
        // "Bobble (MB): ..." explains both; the names of a colour stay together.
        match two_terms(&entry.term) {
            Some((one, two)) if ![one, two].into_iter().any(is_abbreviation) => {
                let of = |term: &str| Entry { term: term.to_owned(), ..entry.clone() };
                self.list.extend([of(one), of(two)]);
            }
            _ => self.list.push(entry),
        }
    }

    /// Reads the facts of a line, as [`facts::read`].
    pub(in crate::text) fn learn(&mut self, line: &Line) -> Told {
        let known = self.facts.multiple;
        let read = facts::read(line.text.trim(), &mut self.facts);
        self.aside.extend(self.facts.aside.drain(..).map(|counts| (line.clone(), counts)));
        self.round_marked |= facts::marks_round(&line.text);
        if facts::unfollowed(&line.text).is_some() {
            self.unfollowed.push(line.clone());
        }
        if known != self.facts.multiple {
            self.multiple_told = Some(line.clone());
        }
        read
    }

    /// A first line that lists colours, "Colours: navy, cream", was taken for the title. Where rows work in those colours
    /// and nothing else lists any, it is what it reads like.
    pub(in crate::text) fn title_or_colours(&mut self) {
        let listed =
            self.title.as_deref().and_then(colours::listed).filter(|_| self.facts.colours.is_empty());
        let Some(listed) = listed else { return };
        let rows: Vec<String> = self.rows.iter().map(|row| row.line.text.to_lowercase()).collect();
        if listed.iter().all(|name| rows.iter().any(|row| row.contains(&name.to_lowercase()))) {
            self.facts.colours = listed;
            self.title = None;
        }
    }

    /// Whether it has rows, all of them set-up rows.
    pub(in crate::text) fn is_set_up(&self) -> bool {
        !self.rows.is_empty() && self.rows.iter().all(RowText::is_set_up)
    }
}

/// The term before a bracket and the one in it.
pub(super) fn two_terms(term: &str) -> Option<(&str, &str)> {
    let (one, two) = term.strip_suffix(')')?.split_once('(')?;
    let (one, two) = (one.trim(), two.trim());
    (!one.is_empty() && !two.is_empty() && !two.contains(['(', ',', ';'])).then_some((one, two))
}

/// An entry of a list of abbreviations.
#[derive(Clone, Debug)]
pub(in crate::text) struct Entry {
    pub(in crate::text) term: String,
    pub(in crate::text) meaning: String,
    /// The line that holds it, or the part of the line that does.
    pub(in crate::text) line: Line,
}

/// A line that tells of rows.
#[derive(Clone, Debug)]
pub(in crate::text) struct RowText {
    /// Its label; none for a sentence such as "Knit 6 rows".
    pub(in crate::text) label: Option<Label>,
    /// Whether it is called a row, "Dec row: ...", but given no number.
    pub(in crate::text) named: bool,
    /// The line, those joined that it runs over.
    pub(in crate::text) line: Line,
    /// Where in the line the work begins.
    pub(in crate::text) work: usize,
    /// Lines before it that may say in which colour it begins.
    pub(in crate::text) before: Vec<String>,
}

impl RowText {
    /// Whether it is called a row, by a number or not.
    pub(in crate::text) fn is_called_row(&self) -> bool {
        self.named || self.label.is_some()
    }

    /// Whether it is called a row without a number, and surely is one: it says what a row says.
    pub(in crate::text) fn is_sure(&self) -> bool {
        let work = self.line.text.get(self.work..).unwrap_or_default();
        let work = of_first(work.get(..part_count(work).0).unwrap_or_default());
        self.named && (works(&work) || says(&work) != Says::Work)
    }

    /// Whether its label has numbers in brackets, which are those of other sizes where there are some: "Rows 4-6 (8, 8)".
    pub(in crate::text) fn numbers_by_size(&self) -> bool {
        let remarks = self.label.iter().flat_map(|label| &label.remarks);
        let mut said = remarks.filter_map(|&(start, end)| self.line.text.get(start..end));
        said.any(|said| said.bytes().all(|byte| byte.is_ascii_digit()))
    }

    pub(in crate::text) fn is_set_up(&self) -> bool {
        self.label.as_ref().is_some_and(|label| label.set_up)
    }
}
