//! From text to pattern: finding the rows of a document and working them.
//!
//! A document is parted into patterns (`find.rs`): labels (`label.rs`), facts told before the rows (`facts.rs`), lists
//! of abbreviations (`list.rs`). The rows of each are put in order (`order.rs`), what each says is read
//! (`says.rs`, [`crate::words`]), and they are worked on a cast-on (`solve.rs`), which is found where the text does
//! not state it (`width.rs`).

mod again;
mod colours;
mod facts;
mod faults;
mod find;
mod label;
mod lex;
mod list;
mod needle;
mod order;
mod says;
mod solve;
#[cfg(test)]
mod tests;
mod width;

use std::sync::Arc;

use crate::document::Document;
use crate::pattern::{Pattern, Row, RowRepeat, Size};
use crate::place::{Place, column_letters, stem};
use crate::problem::{Code, Finding, any_error};
use crate::settings::Settings;
use crate::stitch::Stitches;
use crate::terms::{self, Vocabulary};
use crate::words::Means;
use crate::written::{Extent, Item, expand};

use find::Draft;
use needle::Laid;
use order::{Plan, Planned};
use solve::{Solved, Texts, Trouble};

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
    /// The settings it was understood by.
    pub settings: Settings,
    /// What was found about it.
    pub findings: Vec<Finding>,
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
    let drafts: Vec<Draft> =
        find::drafts(document).into_iter().filter(|draft| !draft.rows.is_empty()).collect();
    let mut readings: Vec<Reading> =
        drafts.iter().map(|draft| reading(&document.file, draft, below, above, vocabulary)).collect();
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
    let mut findings = Vec::new();
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

fn reading(
    file: &Arc<str>,
    draft: &Draft,
    below: &Settings,
    above: &Settings,
    vocabulary: Option<&Vocabulary>,
) -> Reading {
    let mut findings = Vec::new();
    let settings = above.over(&draft.said).over(below);
    let mut stitches = Stitches::with_own(&settings.stitches);
    let mut own = list::own_stitches(&draft.list, &stitches);
    if !own.is_empty() {
        own.splice(0..0, settings.stitches.iter().cloned());
        stitches = Stitches::with_own(&own);
    }
    let mut means = Means::default();
    list::learn(&draft.list, &mut means, &mut stitches);
    if let Some(vocabulary) = vocabulary {
        means.add(vocabulary, &mut stitches);
    }
    let plan = order::plan(file, draft, below, above, &mut findings);
    let sizes = draft.facts.sizes.len().max(draft.facts.cast_on.len()).max(1);
    let mut texts = Texts::new(&draft.rows, sizes, stitches, means, colours::of(draft));
    texts.ground(&plan);
    let cast_on = width::cast_on(file, draft, &plan, &mut texts, below, above, &mut findings);
    let solved = texts.solve(&plan, cast_on);
    let mut told = Told { file, draft, plan: &plan, findings: &mut findings };
    told.words(&mut texts);
    told.troubles(&solved);
    told.colours(&texts);
    findings.extend(draft.unnumbered.iter().map(|line| faults::unnumbered(file, line)));
    // Rows that differ by size are read for the first one alone.
    if let Some(row) = texts.sized.first().and_then(|&text| draft.rows.get(text)) {
        findings.push(faults::first_size(order::place(file, row), draft.facts.sizes.first()));
    }
    let sized = texts.sized.is_empty();
    let build =
        Build { file, draft, plan: &plan, settings: &settings, stitches: &texts.stitches, cast_on, sized };
    let whole = !any_error(&findings) && solved.iter().all(|solved| solved.row.is_ok());
    let (pattern, stretches) = if whole {
        (build.pattern(&plan.rows, &solved, cast_on), Vec::new())
    } else {
        (None, build.stretches(&solved))
    };
    Reading { letter: None, pattern, stretches, settings, findings }
}

/// What is told of the rows of a pattern.
struct Told<'a> {
    file: &'a Arc<str>,
    draft: &'a Draft,
    plan: &'a Plan,
    findings: &'a mut Vec<Finding>,
}

impl Told<'_> {
    /// What the words of each line hold: told once, with the first row the line is for.
    fn words(&mut self, texts: &mut Texts) {
        let mut markers = None;
        for text in 0..self.draft.rows.len() {
            if texts.says.get(text) != Some(&says::Says::Work) {
                continue;
            }
            let Some(first) = self.plan.rows.iter().find(|row| row.text == text) else { continue };
            let work = texts.work_told(text, first.side);
            let Some(row) = self.draft.rows.get(text) else { continue };
            let (start, end) = texts.spans.get(text).copied().unwrap_or_default();
            let words = row.line.text.get(start..end).unwrap_or_default();
            for error in &work.errors {
                let at = error.at.start
                    + words.get(error.at.start..).map_or(0, |rest| rest.len() - rest.trim_start().len());
                let place = row.line.place(self.file, start + at.min(words.len()));
                let found = words.get(error.at.clone()).unwrap_or_default();
                self.findings.push(faults::unreadable(first.number, place, found, error));
            }
            if let Some(slip) = work.bare_slips.first() {
                let place = row.line.place(self.file, start + slip.start);
                let found = words.get(slip.clone()).unwrap_or_default();
                self.findings.push(faults::bare_slip(first.number, first.side, place, found));
            }
            if work.markers && markers.is_none() {
                markers = Some((first.number, order::place(self.file, row)));
            }
        }
        if let Some((number, place)) = markers {
            self.findings.push(faults::markers(number, place));
        }
    }

    /// Rows that go on in a colour, and labels that seem to name one.
    fn colours(&mut self, texts: &Texts) {
        if let Some((first, colour)) = texts.goes_on.first() {
            let numbers: Vec<u32> = texts.goes_on.iter().map(|(number, _)| *number).collect();
            let row = self.plan.rows.iter().find(|row| row.number == *first);
            let place = row.and_then(|row| self.draft.rows.get(row.text));
            let place = place.map_or_else(|| Place::file(self.file), |row| order::place(self.file, row));
            self.findings.push(faults::colour_goes_on(&numbers, colour, place));
        }
        for (text, row) in self.draft.rows.iter().enumerate() {
            let Some(first) = self.plan.rows.iter().find(|row| row.text == text) else { continue };
            if let Some((found, nearest)) = colours::nearly(row, &texts.colours) {
                let place = order::place(self.file, row);
                self.findings.push(faults::unknown_colour(first.number, place, found, nearest));
            }
        }
    }

    /// Rows that can't be worked.
    fn troubles(&mut self, solved: &[Solved]) {
        let mut uneven: Vec<usize> = Vec::new();
        for (row, solved) in self.plan.rows.iter().zip(solved) {
            let Some(text) = self.draft.rows.get(row.text) else { continue };
            let place = order::place(self.file, text);
            match &solved.row {
                Err(Trouble::Lost(lost)) => {
                    if matches!(lost, solve::Lost::Uneven { .. }) {
                        if uneven.contains(&row.text) {
                            continue;
                        }
                        uneven.push(row.text);
                    }
                    let last = self.plan.rows.iter().rev().find(|other| other.text == row.text);
                    let last = last.map_or(row.number, |last| last.number);
                    self.findings.push(faults::lost(row.number, last, place, lost));
                }
                Err(Trouble::Unworkable(unworkable, loops)) => {
                    self.findings.push(faults::unworkable(row.number, place, unworkable, *loops));
                }
                Ok(_) | Err(Trouble::Unreadable | Trouble::Unknown) => {}
            }
        }
    }
}

/// Builds patterns from rows that are worked.
struct Build<'a> {
    file: &'a Arc<str>,
    draft: &'a Draft,
    plan: &'a Plan,
    settings: &'a Settings,
    stitches: &'a Stitches,
    cast_on: u32,
    /// Whether the rows serve all sizes.
    sized: bool,
}

impl Build<'_> {
    fn pattern(&self, planned: &[Planned], solved: &[Solved], cast_on: u32) -> Option<Pattern> {
        let facts = &self.draft.facts;
        let rows = planned
            .iter()
            .zip(solved)
            .map(|(planned, solved)| self.row(planned, solved))
            .collect::<Option<Vec<Row>>>()?;
        let said = &self.settings.title;
        let title =
            said.clone().or_else(|| self.draft.title.clone()).unwrap_or_else(|| stem(self.file).to_owned());
        Some(Pattern {
            title,
            source: Arc::clone(self.file),
            chart: None,
            worked: self.plan.worked,
            hand: facts.hand.or(self.settings.hand).unwrap_or_default(),
            cast_on,
            multiple: facts.multiple,
            sizes: self.sizes(),
            rows,
            notes: self.draft.notes.clone(),
            stitches: self.stitches.clone(),
        })
    }

    fn row(&self, planned: &Planned, solved: &Solved) -> Option<Row> {
        let laid = solved.row.as_ref().ok()?;
        // A stitch in a colour is one in its plain form.
        let plain = laid.stitches.iter().map(|&id| match self.stitches.get(id).colour {
            Some(_) => id,
            None => self.stitches.plain(id),
        });
        Some(Row {
            number: planned.number,
            side: planned.side,
            charted: !planned.together,
            stitches: plain.collect(),
            place: self
                .draft
                .rows
                .get(planned.text)
                .map_or_else(|| Place::file(self.file), |row| order::place(self.file, row)),
            cells: Vec::new(),
            stated: solved.stated,
            repeat: self.repeat(laid),
        })
    }

    /// The repeat of a row: the one worked as often as the pattern's multiple asks, where there is exactly one.
    fn repeat(&self, laid: &Laid) -> Option<RowRepeat> {
        let multiple = self.draft.facts.multiple.filter(|multiple| multiple.of > 0)?;
        let times =
            self.cast_on.checked_sub(multiple.plus)?.checked_div(multiple.of).filter(|&times| times > 1)?;
        let mut found = None;
        let mut start = 0;
        for (item, length) in &laid.items {
            if let Item::Repeat { items, extent: Extent::Times(n) } = item
                && *n == times
            {
                if found.is_some() {
                    return None;
                }
                let unit = expand(items, self.stitches, u32::MAX).ok()?.len();
                found = Some(RowRepeat { start, length: unit, times: times as usize });
            }
            start += length;
        }
        found
    }

    fn sizes(&self) -> Vec<Size> {
        let facts = &self.draft.facts;
        if facts.sizes.len() != facts.cast_on.len() || !self.sized {
            return Vec::new();
        }
        let times = |cast_on: u32| {
            let multiple = facts.multiple?;
            cast_on.checked_sub(multiple.plus)?.checked_div(multiple.of)
        };
        facts
            .sizes
            .iter()
            .zip(&facts.cast_on)
            .map(|(name, &cast_on)| Size { name: name.clone(), times: times(cast_on).unwrap_or(1), cast_on })
            .collect()
    }

    /// The stretches of rows that could be worked.
    fn stretches(&self, solved: &[Solved]) -> Vec<Pattern> {
        let mut stretches = Vec::new();
        let mut from = 0;
        while from < solved.len() {
            let end = (from..solved.len())
                .find(|&at| {
                    solved[at].row.is_err()
                        || (at > from && self.plan.rows[at].number != self.plan.rows[at - 1].number + 1)
                })
                .unwrap_or(solved.len());
            if end > from {
                let begins_on = match (from, &solved[from].row) {
                    (0, _) => self.cast_on,
                    (_, Ok(laid)) => self.stitches.uses(&laid.stitches),
                    _ => 0,
                };
                stretches.extend(self.pattern(&self.plan.rows[from..end], &solved[from..end], begins_on));
            }
            from = end.max(from + usize::from(solved[from].row.is_err()));
        }
        stretches
    }
}
