//! Patterns from rows that are worked.

use std::sync::Arc;

use super::find::Draft;
use super::needle::Laid;
use super::order::{self, Plan, Planned};
use super::sentences;
use super::solve::Solved;
use crate::pattern::{Pattern, Row, RowRepeat};
use crate::place::{Place, stem};
use crate::settings::Settings;
use crate::stitch::Stitches;
use crate::written::{Extent, Item, expand, items_use};

/// Builds patterns from rows that are worked.
pub(super) struct Build<'a> {
    pub(super) file: &'a Arc<str>,
    pub(super) draft: &'a Draft,
    pub(super) plan: &'a Plan,
    pub(super) settings: &'a Settings,
    pub(super) stitches: &'a Stitches,
    pub(super) cast_on: u32,
}

impl Build<'_> {
    /// The pattern of all the rows; none where one of them can't be worked.
    pub(super) fn whole(&self, solved: &[Solved]) -> Option<Pattern> {
        self.pattern(&self.plan.rows, solved, self.cast_on)
    }

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
            hand: self.draft.hand(),
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
        let planned = |text: usize| self.plan.rows_of(text) > 0;
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
            self.cast_on.checked_sub(multiple.plus)?.checked_div(multiple.of).filter(|&times| times > 0)?;
        // A row that is worded one stitch along works its group once less: it is known by what it works it on.
        let fits = |items: &[Item], n: u32| match n {
            n if n == times => true,
            n => n > 0 && n + 1 == times && items_use(items, self.stitches) == Some(multiple.of),
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
    pub(super) fn stretches(&self, solved: &[Solved]) -> Vec<Pattern> {
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
