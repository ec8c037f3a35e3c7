//! What is told of the rows of a pattern: words that can't be read or were read in one of two ways, rows that can't be
//! worked, colours that go on.

use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;

use super::find::Draft;
use super::needle::{Untold, Unworkable};
use super::order::{self, Plan};
use super::solve::{self, Solved, Texts, Trouble};
use super::{colours, faults, says};
use crate::pattern::Worked;
use crate::place::Place;
use crate::problem::Finding;
use crate::words::{About, Choice, RowMistake};

/// What is told of the rows of a pattern.
pub(super) struct Told<'a> {
    pub(super) file: &'a Arc<str>,
    pub(super) draft: &'a Draft,
    pub(super) plan: &'a Plan,
    /// How many sizes there are.
    pub(super) sizes: usize,
    pub(super) findings: &'a mut Vec<Finding>,
}

impl<'a> Told<'a> {
    /// What the words of each line hold: told once, with the first row the line is for.
    pub(super) fn words(&mut self, texts: &mut Texts) {
        let (mut markers, mut needles) = (None, None);
        for text in 0..self.draft.rows.len() {
            if texts.says.get(text) != Some(&says::Says::Work) {
                continue;
            }
            let Some(first) = self.plan.rows.iter().find(|row| row.text == text) else { continue };
            let work = texts.work_told(text, first.side);
            let Some(row) = self.draft.rows.get(text) else { continue };
            let (start, end) = texts.spans.get(text).copied().unwrap_or_default();
            let words = row.line.text.get(start..end).unwrap_or_default();
            // What is wrong with numbers by size is told as that.
            let uneven = faults::uneven(row.line.text.get(start..).unwrap_or_default(), self.sizes).is_some();
            for error in work.errors.iter().filter(|_| !uneven) {
                let at = error.at.start
                    + words.get(error.at.start..).map_or(0, |rest| rest.len() - rest.trim_start().len());
                let place = row.line.place(self.file, start + at.min(words.len()));
                let found = words.get(error.at.clone()).unwrap_or_default();
                if faults::refers(words, error) {
                    self.findings.push(faults::unread_reference(first.number, place, words));
                    break;
                }
                let finding = faults::unreadable(first.number, place, found, error);
                let meant = match error.mistake {
                    RowMistake::UnknownColour => texts.colours.nearest(found),
                    _ => None,
                };
                self.findings.push(match meant {
                    Some(meant) => finding.expected(meant).help(format!("Did you mean {meant}?")),
                    None => finding,
                });
            }
            if let Some(slip) = work.bare_slips.first() {
                let place = row.line.place(self.file, start + slip.start);
                let found = words.get(slip.clone()).unwrap_or_default();
                self.findings.push(faults::bare_slip(first.number, first.side, place, found));
            }
            if let Some(unturned) = &work.unturned {
                self.unturned(text, row.line.place(self.file, start + unturned.start));
            }
            let here = || Some((first.number, order::place(self.file, row)));
            if work.markers && markers.is_none() {
                markers = here();
            }
            if work.needles && needles.is_none() {
                needles = here();
            }
        }
        self.findings.extend(markers.map(|(number, place)| faults::markers(number, place)));
        self.findings.extend(needles.map(|(number, place)| faults::needles(number, place)));
    }

    /// A line after whose rows the work is not to be turned, where the row behind one of them is on the other side.
    fn unturned(&mut self, text: usize, place: Place) {
        let mut pairs = self.plan.rows.windows(2).filter_map(|pair| <&[_; 2]>::try_from(pair).ok());
        let turned = pairs
            .find(|[row, next]| row.text == text && next.number == row.number + 1 && next.side != row.side);
        let told = turned.filter(|_| self.plan.worked == Worked::Flat);
        self.findings.extend(told.map(|[row, next]| faults::not_turned(place, row.number, next.side)));
    }

    /// Rows that go on in a colour, and labels that seem to name one.
    pub(super) fn colours(&mut self, texts: &Texts) {
        if let Some((first, colour)) = texts.goes_on.first() {
            let numbers: Vec<u32> = texts.goes_on.iter().map(|(number, _)| *number).collect();
            let row = self.plan.rows.iter().find(|row| row.number == *first);
            let place = row.and_then(|row| self.draft.rows.get(row.text));
            let place = place.map_or_else(|| Place::file(self.file), |row| order::place(self.file, row));
            self.findings.push(faults::colour_goes_on(&numbers, colour, place));
        }
        for (text, row) in self.draft.rows.iter().enumerate() {
            let Some(first) = self.plan.rows.iter().find(|row| row.text == text) else { continue };
            let place = order::place(self.file, row);
            if let Some((found, nearest)) = colours::nearly(row, &texts.colours) {
                self.findings.push(faults::unknown_colour(first.number, place, found, nearest));
            } else if let Some(found) = colours::unnamed(row, &texts.colours) {
                self.findings.push(faults::unnamed_colour(place, Some(first.number), found));
            }
        }
    }

    /// Words that may mean two things, and how they were read: each told once.
    pub(super) fn doubts(&mut self, texts: &mut Texts, solved: &[Solved]) {
        let mut told: HashSet<String> = HashSet::new();
        for (planned, solved) in self.plan.rows.iter().zip(solved) {
            if texts.says.get(planned.text) != Some(&says::Says::Work) || solved.row.is_err() {
                continue;
            }
            let work = texts.work_told(planned.text, planned.side);
            let Some(row) = self.draft.rows.get(planned.text) else { continue };
            let (start, end) = texts.spans.get(planned.text).copied().unwrap_or_default();
            let words = row.line.text.get(start..end).unwrap_or_default();
            for doubt in &work.doubts {
                let found = words.get(doubt.at.clone()).unwrap_or_default();
                let read = match (doubt.about, solved.choice) {
                    (About::Times, Choice { in_all: false, .. }) => continue,
                    (About::Times, _) => "with the first working counted".to_owned(),
                    (About::Yarn, Choice { moves: true, .. }) => {
                        "the yarn brought forward, no stitch".to_owned()
                    }
                    (About::Yarn, _) => texts.stitches.get(crate::stitch::Stitches::YO).name.clone(),
                    (About::Sign, _) => "a comma".to_owned(),
                    (About::Number, _) => "a group that is worked so many times".to_owned(),
                    (About::Row, _) => "all of the row before it, worked again to the end".to_owned(),
                    (About::Word(stitch), _) => texts.stitches.get(stitch).name.clone(),
                    (About::BoundOff, _) => "bound off, however that is worked".to_owned(),
                    (About::Ending, Choice { ending, .. }) => {
                        if ending == 0 && !solved.open && !texts.free_width {
                            continue;
                        }
                        faults::ending(work.endings.get(ending).copied().unwrap_or(1))
                    }
                };
                let found_as = || found.to_lowercase().replace(|c: char| c.is_ascii_digit(), "");
                let key = match doubt.about {
                    About::BoundOff => read.clone(),
                    _ => format!("{} {read}", found_as()),
                };
                if told.insert(key) {
                    let place = row.line.place(self.file, start + doubt.at.start);
                    let finding = faults::doubt(planned.number, place, found, &read);
                    self.findings.push(match doubt.about {
                        About::Ending => finding.help(faults::ENDING_HELP),
                        About::BoundOff => finding.help(faults::BOUND_OFF_HELP),
                        _ => finding,
                    });
                }
            }
        }
    }

    /// Stretches that were read as the row two before works them: told once, with all the rows.
    pub(super) fn as_before(&mut self, texts: &Texts, solved: &[Solved]) {
        let mut first = None;
        let mut rows = Vec::new();
        for (at, (planned, solved)) in self.plan.rows.iter().zip(solved).enumerate() {
            let Some(words) = solved.row.as_ref().ok().and_then(|laid| laid.as_before.first()) else {
                continue;
            };
            let before = at.checked_sub(2).and_then(|before| self.plan.rows.get(before));
            first = first.or_else(|| Some((before?.number, self.words_at(texts, planned.text, words)?)));
            rows.push(planned.number);
        }
        if let Some((before, (place, found))) = first {
            self.findings.push(faults::as_before(&rows, before, place, found));
        }
    }

    /// The place of some words of a row, by their bytes in its work, and the words.
    fn words_at(&self, texts: &Texts, text: usize, at: &Range<usize>) -> Option<(Place, &'a str)> {
        let draft: &'a Draft = self.draft;
        let row = draft.rows.get(text).filter(|_| texts.says.get(text) == Some(&says::Says::Work))?;
        let (start, end) = texts.spans.get(text).copied()?;
        let found = row.line.text.get(start..end)?.get(at.clone())?;
        Some((row.line.place(self.file, start + at.start), found))
    }

    /// Rows that can't be worked.
    pub(super) fn troubles(&mut self, texts: &Texts, solved: &[Solved]) {
        let mut uneven: Vec<usize> = Vec::new();
        for (at, (row, solved)) in self.plan.rows.iter().zip(solved).enumerate() {
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
                Err(Trouble::Turned(at)) => {
                    let at = self.draft.rows.get(*at).unwrap_or(text);
                    self.findings.push(faults::turned(row.number, order::place(self.file, at)));
                }
                Err(Trouble::Unworkable(Unworkable::Untold(words, why), _)) => {
                    let (place, found) = self.words_at(texts, row.text, words).unwrap_or((place, ""));
                    let why = if at < 2 && *why == Untold::Unset { Untold::Early } else { *why };
                    self.findings.push(faults::untold(row.number, place, found, why));
                }
                Err(Trouble::Unworkable(unworkable, loops)) => {
                    self.findings.push(faults::unworkable(row.number, place, unworkable, *loops));
                }
                Ok(_) | Err(Trouble::Unreadable | Trouble::Unknown) => {}
            }
        }
    }
}
