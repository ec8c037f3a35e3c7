//! From text to pattern: finding the rows of a document and working them.
//!
//! A document is parted into patterns (`find.rs`): labels (`label.rs`), facts told before the rows (`facts.rs`), lists
//! of abbreviations (`list.rs`). The rows of each are put in order (`order.rs`), what each says is read
//! (`says.rs`, [`crate::words`]), and they are worked on a cast-on (`solve.rs`), which is found where the text does
//! not state it (`width.rs`).

mod colours;
mod edges;
mod facts;
mod faults;
mod find;
mod list;
mod multiple;
mod needle;
mod order;
mod says;
mod sentences;
mod sizes;
mod solve;
#[cfg(test)]
mod tests;
mod told;
mod width;

use std::sync::Arc;

use crate::document::Document;
use crate::pattern::{Pattern, Row, RowRepeat};
use crate::place::{Place, column_letters, stem};
use crate::problem::{Code, Finding, any_error};
use crate::settings::Settings;
use crate::stitch::Stitches;
use crate::terms::{self, Vocabulary};
use crate::words::Means;
use crate::written::{Extent, Item, expand, items_use};

use find::Draft;
use needle::Laid;
use order::{Plan, Planned};
use sizes::Sizes;
use solve::{Solved, Texts};
use told::Told;

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
    for mut draft in find::drafts(document).into_iter().filter(Draft::has_rows) {
        if let (true, Some(before)) = (draft.after_set_up, readings.last()) {
            draft.facts.cast_on = left_by(before);
        }
        sizes::as_set(&mut draft.facts, &above.over(&draft.said).over(below));
        let read = reading(&document.file, &draft, below, above, vocabulary);
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
    list::leave(&draft.list, &mut means, &mut stitches);
    let plan = order::plan(file, draft, below, above, &mut findings);
    let sizes = Sizes::of(&draft.facts, above.cast_on);
    findings.extend(faults::uneven_sizes(file, draft));
    let read_size = |size| {
        Texts::new(&draft.rows, (size, sizes.count()), stitches.clone(), means.clone(), colours::of(draft))
    };
    let mut texts = read_size(sizes.first);
    texts.ground(&plan);
    let cast_on = width::cast_on(file, draft, &plan, &mut texts, below, above, &mut findings);
    let asked = settings.cast_on == Some(cast_on);
    if let Some(own) = asked.then(|| width::counted_on(draft, &plan, &mut texts, cast_on)).flatten() {
        findings.extend(faults::counts_left_aside(file, draft, &plan, &texts, (own, cast_on)));
        texts.leave_counts();
    }
    let solved = texts.solve(&plan, cast_on);
    let mut told = Told { file, draft, plan: &plan, sizes: sizes.count(), findings: &mut findings };
    told.words(&mut texts);
    told.doubts(&mut texts, &solved);
    told.as_before(&texts, &solved);
    told.troubles(&texts, &solved);
    told.colours(&texts);
    // A row that is given no number and finds none free.
    let planned = |text: usize| plan.rows.iter().any(|row| row.text == text);
    let unnumbered = draft.rows.iter().enumerate().filter(|(text, row)| row.named && !planned(*text));
    findings.extend(unnumbered.map(|(_, row)| match find::is_surely_row(&row.line.text) {
        true => faults::unplaced(row.line.place(file, 0), &row.line.text),
        false => faults::unnumbered(file, &row.line),
    }));
    findings.extend(draft.only_row().map(|row| faults::only_row(order::place(file, row), &row.line.text)));
    let some_sizes = draft.some_sizes.iter();
    findings.extend(some_sizes.map(|line| faults::for_some_sizes(line.place(file, 0), line.text.trim())));
    findings.extend(sentences::edges(file, draft, (&plan, &texts), &solved));
    sentences::told(file, draft, &plan, (&mut texts, cast_on), &mut findings);
    let mut times = vec![sizes::repeated(&solved)];
    let mut others: Vec<OtherSize> = Vec::new();
    for size in (0..sizes.count()).filter(|&size| sizes.others && size != sizes.first) {
        let mut texts = read_size(size);
        texts.ground(&plan);
        let cast_on = draft.facts.cast_on.get(size).copied().unwrap_or(cast_on);
        let solved = texts.solve(&plan, cast_on);
        let mut more = Vec::new();
        Told { file, draft, plan: &plan, sizes: sizes.count(), findings: &mut more }
            .troubles(&texts, &solved);
        more.extend(sentences::counts(file, draft, &plan, &mut texts, cast_on));
        // What is wrong in one size already is not told again for the next.
        let known = |finding: &Finding| {
            findings.iter().any(|known| known.row == finding.row && known.code == finding.code)
        };
        more.retain(|finding| !known(finding));
        findings.extend(more.into_iter().map(|finding| in_size(finding, sizes.name(size))));
        let build =
            Build { file, draft, plan: &plan, settings: &settings, stitches: &texts.stitches, cast_on };
        let whole = build.pattern(&plan.rows, &solved, cast_on).map(|pattern| vec![pattern]);
        others.push(OtherSize {
            name: sizes.name(size).to_owned(),
            patterns: whole.unwrap_or_else(|| build.stretches(&solved)),
        });
        times.push(sizes::repeated(&solved));
    }
    let build = Build { file, draft, plan: &plan, settings: &settings, stitches: &texts.stitches, cast_on };
    let whole = !any_error(&findings) && solved.iter().all(|solved| solved.row.is_ok());
    let (mut pattern, stretches) = if whole {
        (build.pattern(&plan.rows, &solved, cast_on), Vec::new())
    } else {
        (None, build.stretches(&solved))
    };
    if let Some(first) = pattern.as_mut().filter(|_| sizes.others) {
        let mut worked = vec![first.clone()];
        worked.extend(others.iter().filter_map(|other| match &other.patterns[..] {
            [pattern] => Some(pattern.clone()),
            _ => None,
        }));
        let together = sizes.together(&worked, sizes::times_by_size(&times).as_deref());
        match together.filter(|_| worked.len() == sizes.count()) {
            Some(together) => *first = together,
            None => {
                let place =
                    draft.rows.first().map_or_else(|| Place::file(file), |row| order::place(file, row));
                findings.push(faults::first_size(place, &sizes, &times));
            }
        }
    }
    if let Some((only, size)) =
        pattern.as_mut().and_then(|only| sizes.alone(&draft.facts, only).map(|size| (only, size)))
    {
        only.sizes = size;
    }
    if let Some(pattern) = &pattern {
        let works = |id| {
            pattern.rows.iter().any(|row| row.stitches.iter().any(|&one| pattern.stitches.plain(one) == id))
        };
        for (index, id) in list::unlike(&draft.list, &mut stitches) {
            if let Some(entry) = draft.list.get(index).filter(|_| works(id)) {
                let place = entry.line.place(file, 0);
                findings.push(faults::unlike(place, &entry.term, &entry.meaning, &stitches.get(id).name));
            }
        }
    }
    if pattern.is_some() {
        findings.extend(multiple::wrong(file, draft, &plan, &mut texts, cast_on));
    }
    Reading { letter: None, pattern, stretches, sizes: others, settings, findings }
}

/// A finding about one of several sizes, told as that.
pub fn in_size(finding: Finding, size: &str) -> Finding {
    let message = format!("Size {size}: {}", finding.message);
    Finding { message, ..finding }
}

/// Builds patterns from rows that are worked.
struct Build<'a> {
    file: &'a Arc<str>,
    draft: &'a Draft,
    plan: &'a Plan,
    settings: &'a Settings,
    stitches: &'a Stitches,
    cast_on: u32,
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
        let mut pattern = Pattern {
            title,
            source: Arc::clone(self.file),
            chart: None,
            worked: self.plan.worked,
            hand: facts.hand.or(self.settings.hand).unwrap_or_default(),
            cast_on,
            multiple: facts.multiple,
            sizes: Vec::new(),
            rows,
            notes: self.notes(),
            stitches: self.stitches.clone(),
        };
        pattern.show_slipped_loops();
        Some(pattern)
    }

    /// What the text tells besides: sentences that speak of rows and were not read as any are among it.
    fn notes(&self) -> Vec<String> {
        let planned = |text: usize| self.plan.rows.iter().any(|row| row.text == text);
        let rows = self
            .draft
            .rows
            .iter()
            .enumerate()
            .filter(|(text, row)| sentences::is_plain(row) && !planned(*text));
        let more = rows.map(|(_, row)| row.line.text.trim().to_owned());
        self.draft.notes.iter().cloned().chain(more).collect()
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
        // A row that is worded one stitch along works its group once less: it is known by what it works it on.
        let fits = |items: &[Item], n: u32| match n {
            n if n == times => true,
            n => n + 1 == times && items_use(items, self.stitches) == Some(multiple.of),
        };
        let mut found = None;
        let mut start = 0;
        for (item, length) in &laid.items {
            if let Item::Repeat { items, extent: Extent::Times(n) } = item
                && fits(items, *n)
            {
                if found.is_some() {
                    return None;
                }
                let unit = expand(items, self.stitches, u32::MAX).ok()?.len();
                found = Some(RowRepeat { start, length: unit, times: *n as usize });
            }
            start += length;
        }
        found
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
