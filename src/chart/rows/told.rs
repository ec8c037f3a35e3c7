//! Rows that notes of a sheet tell by others, as they are found: "Rows 9-16: Rep Rows 1-8"; and "Rep Rows 3 and 4 twice more"
//! where the row numbers leave as many rows out.

use std::collections::BTreeSet;
use std::ops::Range;

use foldhash::{HashMap, HashMapExt};

use super::super::area::{Area, AreaRow};
use super::super::order::{Order, Undrawn};
use super::super::sentences;
use super::Note;
use crate::grid::Grid;
use crate::place::{Address, Place};
use crate::problem::{Code, Finding};
use crate::words::rows::again::{self, Again, Last};
use crate::words::rows::label::{Label, label};

/// Rows of a pattern, at most: wild numbers are not followed up.
pub(super) const MOST_ROWS: u32 = 10_000;

/// The rows that a note tells.
pub(in crate::chart) struct Told {
    pub(super) first: u32,
    pub(super) last: u32,
    pub(super) again: Again,
    pub(in crate::chart) at: Address,
    pub(super) place: Place,
    /// The words, where it stands beside the rows that it has worked again: they count as its first working.
    pub(super) beside: Option<Beside>,
}

/// What stands beside rows and has them worked again.
pub(super) struct Beside {
    pub(super) text: String,
    /// The first and the last of those rows, as the chart numbers them.
    pub(super) rows: (u32, u32),
    /// How far the rows behind them move on: not at all where the numbers leave out as many.
    pub(super) moves: u32,
    /// The number that the row behind those is drawn with, and that it gets; none where none moves on.
    pub(super) behind: Option<(u32, u32)>,
}

impl Told {
    /// The rows, each with the one that it is worked by.
    pub(super) fn rows(&self) -> impl Iterator<Item = (u32, u32)> {
        (self.first..=self.last).zip(self.again.rows.iter().copied().cycle())
    }
}

/// The numbers of rows that texts beside a chart may tell by others, of those that its row numbers leave out.
pub(in crate::chart) fn numbers<'a>(area: &Area, texts: impl Iterator<Item = &'a str>) -> BTreeSet<u32> {
    let labels = || area.rows.iter().filter_map(AreaRow::label).map(|placed| placed.label.number);
    // The rows between two numbers, where more than a return row is missing.
    let apart = |(one, next): (u32, u32)| one.min(next) + 1..one.max(next);
    let is_gap = |rows: &Range<u32>| (2..MOST_ROWS as usize).contains(&rows.len());
    let gaps: Vec<Range<u32>> = labels().zip(labels().skip(1)).map(apart).filter(is_gap).collect();
    let mut told = BTreeSet::new();
    if gaps.is_empty() {
        return told;
    }
    let (mut sizes, mut times) = (BTreeSet::new(), BTreeSet::new());
    for text in texts {
        if let Some(label) = label(text).filter(|label| label.ended && label.every.is_none()) {
            let work = text.get(label.length..).unwrap_or_default();
            let again = again::read(work).is_some() || again::read_last(work).is_some();
            told.extend(label.numbers.into_iter().filter(|number| again && *number < MOST_ROWS));
        }
        sizes.extend(size(text));
        times.extend(sentences::times(text).filter(|times| *times > 1));
    }
    // With or without a return row in front of them, or behind. Of how many rows "x3" is said will be found out.
    let fits = |rows: &&Range<u32>| {
        let counts = [rows.end - rows.start, rows.end - rows.start - 1];
        counts
            .iter()
            .any(|count| sizes.contains(count) || times.iter().any(|times| count.is_multiple_of(times - 1)))
    };
    told.extend(gaps.iter().filter(fits).cloned().flatten());
    told
}

/// How many rows a text has worked again, if it says so and nothing else.
fn size(text: &str) -> Option<u32> {
    let (rows, times) = match again::read(text) {
        Some(again) => (u32::try_from(again.rows.len()).ok()?, again.times),
        None => again::read_last(text).map(|last| (last.rows, last.times))?,
    };
    rows.checked_mul(times?).filter(|size| *size < MOST_ROWS)
}

/// Takes the notes that tell rows, in the order of these: they are notes no more. What was said not to be followed is left.
pub(in crate::chart) fn take(
    grid: &Grid,
    order: &Order,
    notes: &mut Vec<Note>,
    findings: &mut Vec<Finding>,
) -> Vec<Told> {
    let last = order.rows.last().map_or(0, |row| row.number) + u32::from(order.undrawn == Undrawn::After);
    let left = findings.iter().filter(|finding| finding.code == Code::SentenceNotFollowed);
    let left: BTreeSet<Place> = left.map(|finding| finding.place.clone()).collect();
    let gaps = by_size(&order.gaps());
    let mut told: Vec<Told> = Vec::new();
    // The last row of those told so far.
    let mut after = last;
    notes.retain(|note| {
        let place = grid.place(note.at);
        if left.contains(&place) {
            return true;
        }
        let label = label(&note.text).filter(|label| label.ended);
        if let Some(rows) = read(note, label.as_ref(), &place, after, &gaps) {
            after = after.max(rows.last);
            told.push(rows);
            return false;
        }
        findings.extend(label.and_then(|label| beyond(&label, last)).map(|row| untold(place, row)));
        true
    });
    told.sort_by_key(|told| told.first);
    told
}

/// A note that tells rows by others: its label names rows one after another; or it works as many again as a gap of the row
/// numbers has; or it has a rule for so many workings, which follow the row `after`.
fn read(note: &Note, label: Option<&Label>, place: &Place, after: u32, gaps: &Gaps) -> Option<Told> {
    let gap = label.is_none().then(|| gap(&note.text, gaps)).flatten();
    let (first, work) = match label {
        Some(label) if label.every.is_some() => return None,
        Some(label) => (*label.numbers.first()?, note.text.get(label.length..)?),
        None => (gap.map_or(after.checked_add(1)?, |(first, _)| first), note.text.as_str()),
    };
    let again = again::read(work).or_else(|| before(first, again::read_last(work)?))?;
    let last = match (label, gap) {
        (Some(label), _) => {
            let steady = label.numbers.windows(2).all(|pair| pair[1] == pair[0] + 1);
            label.numbers.last().copied().filter(|_| steady)?
        }
        (None, Some((_, last))) => last,
        // How often the whole is worked is a note; how it grows is not, where it is sure how often.
        (None, None) if again.growth.is_empty() || !again.sure => return None,
        (None, None) => {
            after.checked_add(again.times?.checked_mul(u32::try_from(again.rows.len()).ok()?)?)?
        }
    };
    let (at, place) = (note.at, place.clone());
    let sound = last >= first && last < MOST_ROWS && !again.rows.is_empty();
    sound.then_some(Told { first, last, again, at, place, beside: None })
}

/// The gaps of the row numbers by how many rows each has, the first and the last of these; none where several have as many.
type Gaps = HashMap<u32, Option<(u32, u32)>>;

fn by_size(gaps: &[(u32, u32)]) -> Gaps {
    let mut sizes = Gaps::new();
    for &(first, last) in gaps {
        sizes.entry(last + 1 - first).and_modify(|gap| *gap = None).or_insert(Some((first, last)));
    }
    sizes
}

/// The only gap of the row numbers that has as many rows as a text has worked again.
fn gap(text: &str, gaps: &Gaps) -> Option<(u32, u32)> {
    if gaps.is_empty() {
        return None;
    }
    *gaps.get(&size(text)?)?
}

/// So many rows before a row.
fn before(first: u32, last: Last) -> Option<Again> {
    let Last { rows, times, growth } = last;
    Some(Again { rows: (first.checked_sub(rows)?..first).collect(), times, sure: true, growth })
}

/// The first row of those that a note is about, where it is about rows after the last.
fn beyond(label: &Label, last: u32) -> Option<u32> {
    if label.every.is_some() {
        return None;
    }
    label.numbers.first().copied().filter(|first| *first > last)
}

fn untold(place: Place, row: u32) -> Finding {
    Finding::new(
        Code::RowsUntold,
        place,
        format!(
            "The sheet speaks of Row {row}, which is not drawn, in words that don't tell it by other rows: it was \
             kept as a note."
        ),
    )
    .row(row)
    .help("Tell it by rows that are drawn, \"Rows 9-16: Rep Rows 1-8\", or draw it.")
}

/// Says that rows that a note tells were written out.
pub(super) fn written_out(told: &Told) -> Finding {
    let Told { first, last, again, place, .. } = told;
    if let Some(beside) = &told.beside {
        return beside.written_out(told);
    }
    let by = match &again.rows[..] {
        [one] => format!("Row {one}"),
        [one, other] => format!("Rows {one} and {other}"),
        [one, .., other] => format!("Rows {one} to {other}"),
        [] => String::new(),
    };
    let rows = match last - first {
        0 => format!("Row {first} is"),
        1 => format!("Rows {first} and {last} are"),
        _ => format!("Rows {first} to {last} are"),
    };
    Finding::new(
        Code::RowsTold,
        place.clone(),
        format!("{rows} not drawn: the sheet tells what is worked there by {by}, and that was written out."),
    )
    .row(*first)
    .help("Nothing, if that is meant; as a note of another kind it must not begin with the rows it is for.")
}

impl Beside {
    fn written_out(&self, Told { last, again, place, .. }: &Told) -> Finding {
        let first = again.rows.first().copied().unwrap_or_default();
        let (rows, were) = match self.rows {
            (one, other) if one == other => (format!("Row {one} is"), "was"),
            (one, other) if one + 1 == other => (format!("Rows {one} and {other} are"), "were"),
            (one, other) => (format!("Rows {one} to {other} are"), "were"),
        };
        let as_rows = match last - first {
            1 => format!("Rows {first} and {last}"),
            _ => format!("Rows {first} to {last}"),
        };
        let times = again.times.unwrap_or_default().saturating_add(1);
        let behind = self.behind.map_or_else(String::new, |(drawn, number)| {
            format!(" What the chart numbers from {drawn} on is numbered from {number} on.")
        });
        Finding::new(
            Code::RowsTold,
            place.clone(),
            format!(
                "\"{}\": {rows} worked {times} times, and {were} written out as {as_rows}.{behind}",
                self.text
            ),
        )
        .row(first)
        .found(&self.text)
        .help(
            "Nothing, if that is meant; as a note of another kind it must not stand right beside rows alone.",
        )
    }
}
