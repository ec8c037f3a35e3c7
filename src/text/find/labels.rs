//! Lines that are rows: their labels, and the work behind them.

use super::heads::for_all_sizes;
use super::listed;
use crate::document::Line;
use crate::text::says::{Says, says};
use crate::text::stated::part_count;
use crate::words::reads;
use crate::words::rows::label::{Label, is_row_word, label};

/// The label of a line that is a row. Without a mark after it, it is one only if stitches follow.
pub(super) fn row_label(text: &str) -> Option<(Label, usize)> {
    // Bullets, "[ ]", arrows, brackets, and the marks of a bold label, "**Row 1:** K3".
    let start = text.len() - text.trim_start_matches(|c: char| !c.is_alphanumeric()).len();
    let start = start + for_all_sizes(&text[start..]);
    let found = label(&text[start..])?;
    if !found.ended {
        // "Row 3 K2, p2", "Row 3 as Row 1", and "Row 3 k2, xyz": begun like a row, it is one, to be read or told.
        let rest = text[start..].get(found.length..)?;
        let rest = rest.get(label_marks(&text[..start], rest)..)?;
        let head = rest.split([',', ';', '.']).next().unwrap_or_default();
        if matches!(says(rest), Says::Work) && !(reads(head) || reads(rest)) {
            return None;
        }
    }
    Some((found, start))
}

/// "4. K8" behind Row 3: the label of a line that only counts on from the row before.
pub(super) fn counted_on(before: &Label, line: &Line) -> Option<(Label, usize)> {
    let (label, start) = listed::item(line)?;
    let work = line.text.get(start + label.length..)?;
    let work = work.get(..part_count(work).0)?;
    let next = before.numbers.last()?.checked_add(1)?;
    (label.numbers == [next] && reads(work)).then_some((label, start))
}

/// Where in a line a labelled row begins behind a sentence.
pub(super) fn row_within(text: &str) -> Option<usize> {
    // Longer than what is told of all rows of a kind.
    const LONGEST: usize = 1_000;
    let mut stops = text.match_indices(". ").map(|(at, stop)| at + stop.len());
    stops.find(|&at| {
        let rest = text.get(at..).unwrap_or_default();
        label(rest).is_some_and(|label| {
            let head = rest.get(..label.length).unwrap_or_default().trim_end();
            let work = rest.get(label.length..).unwrap_or_default();
            let named =
                !label.numbers.is_empty() || (label.every.is_some() && work.len() <= LONGEST && reads(work));
            label.ended && named && head.ends_with(':') && !work.is_empty()
        })
    })
}

/// Bytes of the marks that end a bold label: "**Row 1:** K3", "**Row 1**: K3". Where none open before it, "Row 1: **K1;
/// rep from **", they are the row's own.
pub(super) fn label_marks(before: &str, work: &str) -> usize {
    let marks = ["**", "__"].into_iter().find(|mark| work.starts_with(mark) && before.ends_with(mark));
    marks.map_or(0, str::len)
}

/// Whether words behind a label begin with work that can be read. The others may be those that a list explains.
pub(super) fn begins_as_work(work: &str) -> bool {
    let work = work.get(..part_count(work).0).unwrap_or_default();
    let first = work.split([',', ';', '.']).next().unwrap_or_default();
    reads(work) || reads(first)
}

/// Whether a line has the number of its row, and work behind it.
pub(super) fn is_labelled_work(line: &Line, (label, start): &(Label, usize)) -> bool {
    let work = line.text.get(start + label.length..).unwrap_or_default();
    let work = work.get(..part_count(work).0).unwrap_or_default();
    label.ended && !label.numbers.is_empty() && (says(work) != Says::Work || begins_as_work(work))
}

/// Whether a label spells out that it numbers a row, "Row 1 (RS):": no abbreviation is called so.
pub(super) fn calls_a_row(line: &Line, (label, start): &(Label, usize)) -> bool {
    let head = line.text.get(*start..).and_then(|text| text.get(..label.length)).unwrap_or_default();
    let mut words = head.split(|c: char| !c.is_alphabetic()).filter(|word| word.len() > 1);
    label.ended && !label.numbers.is_empty() && head.contains(':') && words.any(is_row_word)
}
