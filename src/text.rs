//! From text to pattern: finding the rows of a document and working them.
//!
//! A document is parted into patterns (`find.rs`): labels (`words/rows/label.rs`), facts told before the rows (`facts.rs`),
//! lists of abbreviations (`list.rs`). Each is then read step by step (`reading.rs`): its rows are put in order (`order.rs`),
//! what each says is read (`says.rs`, [`crate::words`]), and they are worked on a cast-on (`solve.rs`), which is found where
//! the text does not state it (`width.rs`).

mod build;
mod colours;
mod facts;
mod faults;
mod find;
mod list;
mod multiple;
mod needle;
mod order;
mod reading;
mod says;
mod sentences;
mod sizes;
mod solve;
mod speaks;
mod stated;
#[cfg(test)]
mod tests;
mod told;
mod ways;
mod width;

use std::sync::Arc;

use crate::document::Document;
use crate::pattern::Pattern;
use crate::place::{Place, column_letters};
use crate::problem::{Code, Finding};
use crate::settings::Settings;
use crate::terms::{self, Vocabulary};

use find::Draft;
pub use reading::in_size;
use reading::{Source, reading};

/// A pattern of a text, as understood.
#[derive(Clone, Debug)]
pub struct Reading {
    /// Its letter, where the text has several: A, B, ... Z, AA in the order they stand.
    pub letter: Option<Arc<str>>,
    /// The pattern; none where a row of it can't be worked.
    pub pattern: Option<Pattern>,
    /// Where it can't be worked whole: the stretches of rows that can, each with the stitches it begins on, so that
    /// their counts can be proved all the same.
    pub stretches: Vec<Pattern>,
    /// The other sizes, as far as they can be worked.
    pub sizes: Vec<OtherSize>,
    /// The settings it was understood by.
    pub settings: Settings,
    /// What was found about it.
    pub findings: Vec<Finding>,
}

/// A size of a pattern beside the first one, so that its counts can be proved too.
#[derive(Clone, Debug)]
pub struct OtherSize {
    /// What it is called.
    pub name: String,
    /// Its rows: all of them, or the stretches that can be worked.
    pub patterns: Vec<Pattern>,
}

/// Understands every pattern of a text. `below` are the settings files', `above` those of the call: what the text says
/// stands between the two. `vocabulary` is the one of the user's own file, where the settings name no built-in one.
/// Findings that belong to no pattern are given apart.
pub fn read(
    document: &Document,
    below: &Settings,
    above: &Settings,
    vocabulary: Option<&Vocabulary>,
) -> (Vec<Reading>, Vec<Finding>) {
    let settings = above.over(below);
    let vocabulary = vocabulary.or_else(|| settings.terms.as_deref().and_then(terms::named));
    let (mut readings, mut findings): (Vec<Reading>, Vec<Finding>) = Default::default();
    let mut worked = None;
    for mut draft in find::drafts(document).into_iter().filter(Draft::has_rows) {
        if let (true, Some(before)) = (draft.after_set_up, readings.last()) {
            draft.facts.cast_on = left_by(before);
            draft.facts.worked = draft.facts.worked.or(worked);
        }
        ways::settle(&mut draft);
        worked = draft.facts.worked;
        if above.sizes.is_none() {
            sizes::as_set(&mut draft.facts, &above.over(&draft.said).over(below));
        }
        let read = reading(Source { file: &document.file, draft: &draft, below, above }, vocabulary);
        // A sentence that tells of rows, "K2row in r", may find no place for any.
        if read.pattern.as_ref().is_some_and(|pattern| pattern.rows.is_empty()) {
            findings.extend(read.findings);
        } else {
            readings.push(read);
        }
    }
    if readings.len() > 1 {
        for (index, reading) in (0..).zip(&mut readings) {
            let letter: Arc<str> = column_letters(index).into();
            reading.letter = Some(Arc::clone(&letter));
            for pattern in reading.pattern.iter_mut().chain(&mut reading.stretches) {
                pattern.chart = Some(Arc::clone(&letter));
            }
            for finding in &mut reading.findings {
                finding.chart = Some(Arc::clone(&letter));
            }
        }
    }
    if readings.is_empty() {
        findings.push(
            Finding::new(
                Code::NoRows,
                Place::file(&document.file),
                "No line of the text is a row or a round.",
            )
            .help("Begin each row with its label: \"Row 1:\", \"Rnd 1:\", \"1st row:\"."),
        );
    }
    (readings, findings)
}

/// Stitches that the last row of a pattern leaves, in each of its sizes; none where they are not known.
fn left_by(before: &Reading) -> Vec<u32> {
    let first = before.pattern.iter();
    let others = before.sizes.iter().filter_map(|size| size.patterns.first());
    first.chain(others).filter_map(|pattern| Some(pattern.makes(pattern.rows.last()?))).collect()
}
