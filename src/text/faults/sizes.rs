//! Sizes: numbers that are not given for as many as there are, and sizes that differ in more than their repeat.

use std::ops::Range;
use std::sync::Arc;

use super::shown;
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::text::find::{Draft, RowText};
use crate::text::order;
use crate::text::reading::Source;
use crate::text::sizes::{Sized, Sizes, sized};
use crate::text::stated::part_count;

/// Rows that are said to be for some of the sizes.
pub(in crate::text) fn for_some_sizes(place: Place, line: &str) -> Finding {
    let line = shown(line);
    let message =
        format!("\"{line}\": rows for some of the sizes can't be held; all sizes have the same rows.");
    Finding::new(Code::BeyondRows, place, message)
        .found(line)
        .help("Write each of the sizes as a pattern of its own, or say in every row how often its repeat is worked.")
}

/// Where the rows of a text begin.
pub(in crate::text) fn first_place(source: Source<'_>) -> Place {
    let first = source.draft.rows.first();
    first.map_or_else(|| Place::file(source.file), |row| order::place(source.file, row))
}

/// Sizes that a call asks for of a text that does not say how its width may grow.
pub(in crate::text) fn sizes_of_nothing(place: Place) -> Finding {
    let message = "Sizes are set, but the text does not say of what its cast-on is a multiple.";
    Finding::new(Code::RepeatColumns, place, message)
        .help("Leave sizes out, or say before the rows: \"Multiple of 6 sts + 5.\"")
}

/// A size that a call asks for, where the rows give numbers for each of the text's own sizes.
pub(in crate::text) fn no_numbers(place: Place, own: &[u32], (name, cast_on): (&str, u32)) -> Finding {
    let own = by_size(own);
    let message = format!("The rows give numbers for {own} sts, and none for size {name} of {cast_on} sts.");
    Finding::new(Code::SizesUneven, place, message)
        .found(format!("{cast_on} sts"))
        .expected(format!("{own} sts"))
        .help("Ask for sizes that the text has, or leave sizes out.")
}

/// "17 (23, 35)".
fn by_size(numbers: &[u32]) -> String {
    let (first, others) = numbers.split_first().map_or((0, numbers), |(first, others)| (*first, others));
    let others: Vec<String> = others.iter().map(u32::to_string).collect();
    format!("{first} ({})", others.join(", "))
}

/// Sizes that differ by more than how often the repeat is worked, or of which one works it no times; `times` is for each
/// size how often each row's one repeat is worked.
pub(in crate::text) fn first_size(place: Place, sizes: &Sizes, times: &[Vec<Option<u32>>]) -> Finding {
    let name = sizes.name(sizes.first);
    // What is worked no times is not there: a row of that size has no repeat where the same row of all others has one.
    let rows = times.first().map_or(0, Vec::len);
    let without = (0..rows).find_map(|row| {
        let without: Vec<usize> =
            (0..times.len()).filter(|&size| times[size].get(row).copied().flatten().is_none()).collect();
        match without[..] {
            [size] if times.len() > 1 => Some(size),
            _ => None,
        }
    });
    let why = match without {
        Some(without) => format!("Size {} works the repeat no times", sizes.name(without)),
        None => "The sizes differ by more than how often the repeat is worked".to_owned(),
    };
    Finding::new(Code::FirstSizeOnly, place, format!("{why}: all were proved, and size {name} is given."))
        .found(format!("size {name}"))
        .help("Nothing, if that size is wanted. For another one say its cast-on: --cast-on.")
}

/// The first numbers of a row that are given by size in brackets, but not for as many sizes as there are. Two numbers alone
/// may be said otherwise where there is one size.
pub(in crate::text) fn uneven(work: &str, sizes: usize) -> Option<Sized> {
    let work = work.get(..part_count(work).0)?;
    let all = sized(work, usize::MAX).into_iter();
    let bracketed = |at: &Range<usize>| work.get(at.clone()).is_some_and(|found| found.contains(['(', '[']));
    all.filter(|found| found.numbers.len() > if sizes > 1 { 1 } else { 2 } && bracketed(&found.at))
        .find(|found| found.numbers.len() != sizes)
}

/// Numbers of a row for so many sizes, where there are so many.
fn uneven_in_row(row: &RowText, place: Place, words: &str, (given, sizes): (usize, usize)) -> Finding {
    let number = row.label.as_ref().and_then(|label| label.numbers.first().copied());
    let called = number.map_or_else(|| "a row".to_owned(), |number| format!("Row {number}"));
    let words = shown(words);
    let there = match sizes {
        0 | 1 => "The text names no sizes".to_owned(),
        sizes => format!("There are {sizes} sizes"),
    };
    let message = format!("{there}, but {called} gives {given} numbers at \"{words}\".");
    let finding = Finding::new(Code::SizesUneven, place, message).found(words).help(match sizes {
        0 | 1 => {
            "Name the sizes before the rows, \"Sizes: S (M) L (XL)\", and the cast-on of each; or write the rows of one."
        }
        _ => "Give one number for each size, in their order; a dash for one that has none.",
    });
    match number {
        Some(number) => finding.row(number),
        None => finding,
    }
}

/// Numbers that are not given for as many sizes as there are.
pub(in crate::text) fn uneven_sizes(file: &Arc<str>, draft: &Draft) -> Vec<Finding> {
    let facts = &draft.facts;
    let sizes = facts.sizes.len().max(facts.cast_on.len());
    let wrong = |given: usize| sizes > 1 && given > 1 && given != sizes;
    let told = |place: Place, what: String, given: usize| {
        Finding::new(
            Code::SizesUneven,
            place,
            format!("There are {sizes} sizes, but {what} {given} numbers."),
        )
        .found(format!("{given} numbers"))
        .expected(format!("{sizes} numbers"))
        .help("Give one number for each size, in their order.")
    };
    let mut findings = Vec::new();
    if wrong(facts.cast_on.len()) || (facts.cast_on.len() > 1 && wrong(facts.sizes.len())) {
        let (what, given) = if facts.cast_on.len() < facts.sizes.len() {
            ("the cast-on has", facts.cast_on.len())
        } else {
            ("their names are", facts.sizes.len())
        };
        findings.push(told(Place::file(file), what.to_owned(), given));
    }
    for row in &draft.rows {
        let work = row.line.text.get(row.work..).unwrap_or_default();
        if let Some(Sized { at, numbers }) = uneven(work, sizes) {
            let words = work.get(at.clone()).unwrap_or_default();
            findings.push(uneven_in_row(
                row,
                row.line.place(file, row.work + at.start),
                words,
                (numbers.len(), sizes),
            ));
        }
        if let (_, Some(stated)) = part_count(work)
            && wrong(stated.numbers().len())
        {
            let number = row.label.as_ref().and_then(|label| label.numbers.first().copied());
            let what = number.map_or_else(
                || "the count of a row has".to_owned(),
                |number| format!("the count of Row {number} has"),
            );
            let finding = told(order::place(file, row), what, stated.numbers().len());
            findings.push(match number {
                Some(number) => finding.row(number),
                None => finding,
            });
        }
    }
    findings
}
