//! A pattern of a text, from its draft to its rows, in steps: what its words mean, the order of its rows, the width they
//! are worked on, every size, and what is told of all that.

use std::sync::Arc;

use super::build::Build;
use super::find::Draft;
use super::order::{self, Plan};
use super::sizes::{self, Sizes};
use super::solve::{Solved, Texts};
use super::told::Told;
use super::{OtherSize, Reading, colours, faults, list, multiple, sentences, ways, width};
use crate::pattern::Pattern;
use crate::place::Place;
use crate::problem::{Code, Finding, any_error};
use crate::settings::Settings;
use crate::stitch::Stitches;
use crate::terms::Vocabulary;
use crate::words::Means;

/// What a pattern is read from.
#[derive(Clone, Copy)]
pub(super) struct Source<'a> {
    pub(super) file: &'a Arc<str>,
    pub(super) draft: &'a Draft,
    /// The settings of files: what the text says counts more.
    pub(super) below: &'a Settings,
    /// The settings of the call: they count more than what the text says.
    pub(super) above: &'a Settings,
}

/// The pattern of a draft, as understood with a vocabulary.
pub(super) fn reading(source: Source<'_>, vocabulary: Option<&Vocabulary>) -> Reading {
    let mut reader = Reader::new(source, vocabulary);
    let mut first = reader.first_size();
    reader.tell_rows(&mut first);
    let mut times = vec![sizes::repeated(&first.solved)];
    let mut others = Vec::new();
    for size in reader.sizes.beside() {
        let other = reader.other_size(size, first.cast_on);
        times.push(sizes::repeated(&other.solved));
        others.push(reader.all_of(&other, reader.sizes.name(size)));
    }
    let whole = !any_error(&reader.findings) && first.solved.iter().all(|solved| solved.row.is_ok());
    let build = reader.build(&first);
    let (mut pattern, stretches) =
        if whole { (build.whole(&first.solved), Vec::new()) } else { (None, build.stretches(&first.solved)) };
    if let Some(pattern) = &mut pattern {
        reader.give_sizes(pattern, &others, &times);
        reader.tell_list(pattern);
        let Source { file, draft, .. } = source;
        let wrong = multiple::wrong(file, draft, &reader.plan, &mut first.texts, first.cast_on);
        reader.findings.extend(wrong);
    }
    let Reader { settings, findings, .. } = reader;
    Reading { letter: None, pattern, stretches, sizes: others, settings, findings }
}

struct Reader<'a> {
    source: Source<'a>,
    settings: Settings,
    /// The stitches and the words that are known before any row is read.
    stitches: Stitches,
    means: Means,
    plan: Plan,
    sizes: Sizes,
    findings: Vec<Finding>,
}

/// The rows as one size works them.
struct Size {
    texts: Texts,
    cast_on: u32,
    solved: Vec<Solved>,
}

impl<'a> Reader<'a> {
    /// With what the words mean, and the rows in order.
    fn new(source: Source<'a>, vocabulary: Option<&Vocabulary>) -> Self {
        let Source { file, draft, below, above } = source;
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
        let mut findings = Vec::new();
        let plan = order::plan(source, &mut findings);
        let sizes = Sizes::of(source, &mut findings);
        findings.extend(faults::uneven_sizes(file, draft));
        Self { source, settings, stitches, means, plan, sizes, findings }
    }

    /// The lines as a size has them.
    fn texts(&self, size: usize) -> Texts {
        let draft = self.source.draft;
        let (stitches, means) = (self.stitches.clone(), self.means.clone());
        let numbers = self.sizes.numbers(size);
        let mut texts = Texts::new(&draft.rows, numbers, stitches, means, colours::of(draft));
        texts.ground(&self.plan);
        texts
    }

    /// The rows of the size that is read first, on the width that is stated, asked for or found.
    fn first_size(&mut self) -> Size {
        let mut texts = self.texts(self.sizes.first);
        let asked = self.sizes.asked(self.sizes.first);
        let cast_on =
            asked.unwrap_or_else(|| width::cast_on(self.source, &self.plan, &mut texts, &mut self.findings));
        if asked.is_some() || self.settings.cast_on == Some(cast_on) {
            self.leave_counts(&mut texts, cast_on);
        }
        let solved = texts.solve(&self.plan, cast_on);
        Size { texts, cast_on, solved }
    }

    /// Leaves the counts aside where they are those of another width than the one asked for, which is told once.
    fn leave_counts(&mut self, texts: &mut Texts, asked: u32) {
        let Source { file, draft, .. } = self.source;
        let Some(own) = width::counted_on(draft, &self.plan, texts, asked) else { return };
        if !self.findings.iter().any(|finding| finding.code == Code::CountsLeftAside) {
            self.findings.extend(faults::counts_left_aside(file, draft, &self.plan, texts, (own, asked)));
        }
        texts.leave_counts();
    }

    /// What is told of the rows, and of the lines that may be some.
    fn tell_rows(&mut self, first: &mut Size) {
        let Source { file, draft, .. } = self.source;
        let Size { texts, cast_on, solved } = first;
        let (plan, findings) = (&self.plan, &mut self.findings);
        let mut told = Told { file, draft, plan, sizes: self.sizes.given(), findings };
        told.words(texts);
        told.doubts(texts, solved);
        told.as_before(texts, solved);
        told.troubles(texts, solved);
        told.colours(texts);
        // A row that is given no number and finds none free.
        let unplanned = |text: &usize| plan.rows_of(*text) == 0;
        let unnumbered = draft.rows.iter().enumerate().filter(|(text, row)| row.named && unplanned(text));
        findings.extend(unnumbered.map(|(_, row)| match row.is_sure() {
            true => faults::unplaced(row.line.place(file, 0), &row.line.text),
            false => faults::unnumbered(file, &row.line),
        }));
        findings
            .extend(draft.only_row().map(|row| faults::only_row(order::place(file, row), &row.line.text)));
        // "Rows 4-6 (8, 8): Knit."
        let by_size = draft.rows.iter().filter(|row| self.sizes.count() > 1 && row.numbers_by_size());
        findings.extend(by_size.map(|row| {
            faults::for_some_sizes(order::place(file, row), row.line.text.get(..row.work).unwrap_or_default())
        }));
        let some_sizes = draft.some_sizes.iter();
        findings.extend(some_sizes.map(|line| faults::for_some_sizes(line.place(file, 0), line.text.trim())));
        findings.extend(sentences::other_cast_ons(self.source));
        findings.extend(ways::told(self.source));
        findings.extend(faults::hand_as_written(file, draft, self.settings.hand));
        findings.extend(sentences::edges(file, draft, (plan, texts), solved));
        sentences::told(file, draft, plan, (texts, *cast_on), findings);
    }

    /// The rows as another size works them, on its cast-on, or the one of the first. What is wrong in one size already is
    /// not told again for the next.
    fn other_size(&mut self, size: usize, first: u32) -> Size {
        let Source { file, draft, .. } = self.source;
        let mut texts = self.texts(size);
        let asked = self.sizes.asked(size);
        let cast_on = asked.or_else(|| draft.facts.cast_on.get(size).copied()).unwrap_or(first);
        if asked.is_some() {
            self.leave_counts(&mut texts, cast_on);
        }
        let solved = texts.solve(&self.plan, cast_on);
        let mut more = Vec::new();
        let plan = &self.plan;
        Told { file, draft, plan, sizes: self.sizes.given(), findings: &mut more }.troubles(&texts, &solved);
        more.extend(sentences::counts(file, draft, plan, &mut texts, cast_on));
        let known = |finding: &Finding| {
            self.findings.iter().any(|known| known.row == finding.row && known.code == finding.code)
        };
        more.retain(|finding| !known(finding));
        let name = self.sizes.name(size);
        self.findings.extend(more.into_iter().map(|finding| in_size(finding, name)));
        Size { texts, cast_on, solved }
    }

    fn build<'b>(&'b self, size: &'b Size) -> Build<'b> {
        let Source { file, draft, .. } = self.source;
        let (plan, settings) = (&self.plan, &self.settings);
        Build { file, draft, plan, settings, stitches: &size.texts.stitches, cast_on: size.cast_on }
    }

    /// All that can be worked of another size.
    fn all_of(&self, size: &Size, name: &str) -> OtherSize {
        let build = self.build(size);
        let whole = build.whole(&size.solved).map(|pattern| vec![pattern]);
        OtherSize { name: name.to_owned(), patterns: whole.unwrap_or_else(|| build.stretches(&size.solved)) }
    }

    /// Gives the pattern of the first size the others too, where one repeat in each row gives all of them. `times` is how
    /// often each row of each size works its repeat.
    fn give_sizes(&mut self, pattern: &mut Pattern, others: &[OtherSize], times: &[Vec<Option<u32>>]) {
        let Source { file, draft, .. } = self.source;
        if self.sizes.others {
            let mut worked = vec![pattern.clone()];
            worked.extend(others.iter().filter_map(|other| match &other.patterns[..] {
                [pattern] => Some(pattern.clone()),
                _ => None,
            }));
            let together = self.sizes.together(&worked, sizes::times_by_size(times).as_deref());
            match together.filter(|_| worked.len() == self.sizes.count()) {
                Some(together) => *pattern = together,
                None => {
                    let first = draft.rows.first();
                    let place = first.map_or_else(|| Place::file(file), |row| order::place(file, row));
                    self.findings.push(faults::first_size(place, &self.sizes, times));
                }
            }
        }
        if let Some(alone) = self.sizes.alone(&draft.facts, pattern) {
            pattern.sizes = alone;
        }
    }

    /// Entries of the list that explain a stitch of the pattern as another one.
    fn tell_list(&mut self, pattern: &Pattern) {
        let Source { file, draft, .. } = self.source;
        let works = |id| {
            pattern.rows.iter().any(|row| row.stitches.iter().any(|&one| pattern.stitches.plain(one) == id))
        };
        for (index, id) in list::unlike(&draft.list, &mut self.stitches) {
            if let Some(entry) = draft.list.get(index).filter(|_| works(id)) {
                let (place, named) = (entry.line.place(file, 0), &self.stitches.get(id).name);
                self.findings.push(faults::unlike(place, &entry.term, &entry.meaning, named));
            }
        }
    }
}

/// A finding about one of several sizes, told as that.
pub fn in_size(finding: Finding, size: &str) -> Finding {
    let message = format!("Size {size}: {}", finding.message);
    Finding { message, ..finding }
}
